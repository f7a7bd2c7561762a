//! Reads what the faces of the pinched spacer do: carry torque, and settle.

use crate::problem::id;
use crate::scenario::characteristic::{self, Spec};
use crate::scenario::joint::{length, spec};
use crate::scenario::scale::Scale;
use crate::scenario::walk::Section;
use crate::scenario::{Characteristic, Face, Give, Spacer};

const FRICTION: Spec = spec(
    "face_friction",
    "contact.face_friction",
    Scale::Ratio,
    true,
    "a friction coefficient of the spacer's faces",
    "0.15",
);

const SETTLING: Spec = spec(
    "settling",
    "spacer.settling",
    Scale::Length,
    false,
    "what the two faces settle by",
    "\"4 um\"",
);

/// Reads the faces in `[contact]`: the outer `None` when something was reported, the inner when nothing is stated.
pub(crate) fn face(section: &Section<'_, '_>, spacer: Option<&Spacer>) -> Option<Option<Face>> {
    if !section.has("face_friction") {
        if section.has("face_radius") {
            section.missing(
                "face_friction",
                "the friction that acts at face_radius",
                "face_friction = 0.15",
            );
            return None;
        }
        return Some(None);
    }
    let friction = characteristic::read(section, &FRICTION);
    let radius_mm = radius(section, spacer);
    Some(Some(Face {
        friction: friction?,
        radius_mm: radius_mm?,
    }))
}

/// The stated radius, or that of the spacer's ring.
fn radius(section: &Section<'_, '_>, spacer: Option<&Spacer>) -> Option<f64> {
    if !section.has("face_radius")
        && let Give::Ring {
            outside_mm,
            inside_mm,
            ..
        } = spacer?.give
    {
        return Some(even_pressure_radius(0.5 * outside_mm, 0.5 * inside_mm));
    }
    let what = "the radius at which the faces rub (the spacer has no diameters to take it from)";
    length(section, "face_radius", f64::MIN_POSITIVE, what, "\"17 mm\"")
}

/// Effective radius of friction on a ring under even pressure (mm), from its outer and inner radius `R`, `r` (mm):
/// `2/3 (R^3 - r^3) / (R^2 - r^2)`, the disc-clutch formula of the machine-design handbooks.
fn even_pressure_radius(outer: f64, inner: f64) -> f64 {
    // (R^3 - r^3) / (R^2 - r^2) = (R^2 + R r + r^2) / (R + r), which loses nothing on a thin ring.
    2.0 / 3.0 * (outer * outer + outer * inner + inner * inner) / (outer + inner)
}

/// Reads the settling in `[spacer]`: the outer `None` when something was reported, the inner when none is stated.
pub(crate) fn settling(section: &Section<'_, '_>) -> Option<Option<Characteristic>> {
    if !section.has("settling") {
        return Some(None);
    }
    let settling = characteristic::read(section, &SETTLING)?;
    let lowest = settling.process.quantile(characteristic::REACH);
    let found = if settling.nominal < 0.0 {
        format!("a settling of {}", Scale::Length.show(settling.nominal))
    } else if let Some(upper) = settling.upper.filter(|&upper| upper < 0.0) {
        format!("an upper limit of {}", Scale::Length.show(upper))
    } else if lowest < 0.0 {
        format!(
            "a process that gives {} or less once in 1e9 parts",
            Scale::Length.show(lowest)
        )
    } else {
        return Some(Some(settling));
    };
    section.bad(
        &id::REACH,
        "settling",
        &found,
        "0 or more on every part: faces only settle, they do not grow",
        "use shape = \"truncated_normal\" with low and high, \"uniform\" or \"lognormal\"",
    );
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::read::scenario_of;

    const GOOD: &str = include_str!("../../../../tests/bad/good.toml");

    #[test]
    fn effective_radius_of_a_disc_is_two_thirds_and_of_a_thin_ring_its_mean() {
        assert!((even_pressure_radius(30.0, 0.0) - 20.0).abs() < 1e-12);
        assert!((even_pressure_radius(20.001, 19.999) - 20.0).abs() < 1e-6);
        let (outer, inner) = (19.0_f64, 13.0_f64);
        let cubes = (outer.powi(3) - inner.powi(3)) / (outer.powi(2) - inner.powi(2));
        assert!((even_pressure_radius(outer, inner) - 2.0 / 3.0 * cubes).abs() < 1e-12);
    }

    #[test]
    fn the_faces_rub_at_the_rings_radius_unless_another_is_stated() {
        let face = |more: &str| {
            let text = GOOD.replace("[bolt]", &format!("{more}\n[bolt]"));
            let (scenario, problems) = scenario_of(&text);
            assert!(problems.is_empty(), "{problems:?}");
            scenario.expect("a good scenario").contact.face
        };
        assert!(face("").is_none());
        let of_ring = face("face_friction = 0.15").expect("stated");
        assert!((of_ring.radius_mm - even_pressure_radius(19.0, 13.0)).abs() < 1e-12);
        assert_eq!(of_ring.friction.nominal, 0.15);
        let stated = face("face_friction = 0.15\nface_radius = \"17 mm\"").expect("stated");
        assert_eq!(stated.radius_mm, 17.0);
    }

    #[test]
    fn settling_is_read_and_never_negative() {
        let read = |value: &str| {
            let text = GOOD.replace("[contact]", &format!("settling = {value}\n[contact]"));
            let (scenario, problems) = scenario_of(&text);
            let ids: Vec<_> = problems.iter().map(|p| p.id).collect();
            scenario.map(|s| s.spacer.settling).ok_or(ids)
        };
        let stated = read("\"4 um\"").expect("good").expect("stated");
        assert_eq!((stated.nominal, stated.path), (0.004, "spacer.settling"));
        assert!(read("\"0 um\"").is_ok());
        let wide = "{ nominal = \"4 um\", process = { shape = \"normal\", sd = \"2 um\" } }";
        assert_eq!(read(wide).err(), Some(vec![id::REACH.name]));
        assert_eq!(read("\"-1 um\"").err(), Some(vec![id::REACH.name]));
    }
}
