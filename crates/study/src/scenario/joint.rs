//! Reads the parts of the joint that every seat has: spacer, contact.

use crate::problem::id;
use crate::scenario::characteristic::{self, Spec};
use crate::scenario::material::material;
use crate::scenario::quantity::Measure;
use crate::scenario::scale::Scale;
use crate::scenario::seat::Stated;
use crate::scenario::walk::Section;
use crate::scenario::{Contact, Give, Material, Spacer, face, spline};

/// Reads `[spacer]`.
pub(crate) fn spacer(head: &Section<'_, '_>) -> Option<Spacer> {
    let section = head.required_section("spacer", "thickness")?;
    let thickness = characteristic::read(&section, &THICKNESS);
    let give = give(&section, head.has("temperature"));
    let settling = face::settling(&section);
    section.finish();
    let (give, material) = give?;
    Some(Spacer {
        thickness: thickness?,
        give,
        material,
        settling: settling?,
    })
}

/// How the spacer yields, and its material: rigid unless a stiffness or its diameters are stated. A material alone
/// says how it expands, which counts where temperatures are stated.
fn give(section: &Section<'_, '_>, warm: bool) -> Option<(Give, Option<Material>)> {
    let diameters = ["outside_diameter", "inside_diameter"].map(|key| section.has(key));
    let expands_only = warm && diameters == [false, false] && section.has("material");
    if section.has("stiffness") {
        let give = stiffness(section, warm);
        return if expands_only {
            let material = material(section);
            Some((give?, Some(material?)))
        } else {
            Some((give?, None))
        };
    }
    if expands_only {
        return Some((Give::Rigid, Some(material(section)?)));
    }
    if diameters == [false, false] && !section.has("material") {
        return Some((Give::Rigid, None));
    }
    ring(section)
}

/// A stated stiffness, which leaves no room for a ring.
fn stiffness(section: &Section<'_, '_>, warm: bool) -> Option<Give> {
    let keys = ["outside_diameter", "inside_diameter", "material"];
    let twice = keys.map(|key| {
        let why = "a stated stiffness, or a ring of a material";
        !(warm && key == "material") && section.exclude("stiffness", key, why)
    });
    let typed = section.quantity("stiffness", &[Measure::Stiffness])?;
    if typed.value <= 0.0 {
        section.bad(
            &id::GEOMETRY,
            "stiffness",
            &typed.canonical(),
            "a stiffness above 0",
            "leave it out for a rigid spacer",
        );
        return None;
    }
    (!twice.contains(&true)).then_some(Give::Stiffness(typed.value))
}

/// A plain ring of a material.
fn ring(section: &Section<'_, '_>) -> Option<(Give, Option<Material>)> {
    let outside = length(
        section,
        "outside_diameter",
        f64::MIN_POSITIVE,
        "the ring's outside diameter (a spacer without diameters is rigid)",
        "\"40 mm\"",
    );
    let inside = length(
        section,
        "inside_diameter",
        0.0,
        "the ring's inside diameter",
        "\"28 mm\"",
    );
    let material = material(section);
    let (outside_mm, inside_mm) = (outside?, inside?);
    if inside_mm >= outside_mm {
        let found = format!(
            "an inside diameter of {inside_mm} mm ({}) and an outside diameter of {outside_mm} mm ({})",
            section.walk.where_is(section.spot_of("inside_diameter")),
            section.walk.where_is(section.spot_of("outside_diameter"))
        );
        section.bad(
            &id::GEOMETRY,
            "inside_diameter",
            &found,
            "inside below outside",
            "",
        );
        return None;
    }
    let material = material?;
    let give = Give::Ring {
        outside_mm,
        inside_mm,
        material: material.clone(),
    };
    Some((give, Some(material)))
}

/// Reads `[contact]`.
pub(crate) fn contact(
    head: &Section<'_, '_>,
    stated: Stated,
    spacer: Option<&Spacer>,
) -> Option<Contact> {
    let section = head.required_section("contact", "friction")?;
    if stated.spline {
        spline::contact_without_cone(&section);
    }
    let friction = characteristic::read(&section, &FRICTION);
    let or = |key, least, default| {
        if !stated.spline && section.has(key) {
            length(&section, key, least, "a length", "\"5 um\"")
        } else {
            Some(default)
        }
    };
    let (smoothing, film) = (
        or("smoothing", 0.0, 0.0),
        or("blue_film", f64::MIN_POSITIVE, DEFAULT_FILM_MM),
    );
    let face = face::face(&section, spacer);
    section.finish();
    Some(Contact {
        friction: friction?,
        smoothing_mm: smoothing?,
        blue_film_mm: film?,
        face: face?,
    })
}

/// Film of engineer's blue where none is stated (mm).
pub(crate) const DEFAULT_FILM_MM: f64 = 0.005;

/// A length of at least `least`; reported when it is missing.
pub(crate) fn length(
    section: &Section<'_, '_>,
    key: &'static str,
    least: f64,
    what: &str,
    example: &str,
) -> Option<f64> {
    if !section.has(key) {
        section.missing(key, what, &format!("{key} = {example}"));
    }
    let typed = section.quantity(key, &[Measure::Length])?;
    if typed.value < least {
        let expected = if least > 0.0 {
            "a length above 0"
        } else {
            "a length of 0 or more"
        };
        section.bad(&id::GEOMETRY, key, &typed.canonical(), expected, "");
        return None;
    }
    Some(typed.value)
}

/// A characteristic before it is read.
pub(crate) const fn spec(
    key: &'static str,
    path: &'static str,
    scale: Scale,
    positive: bool,
    words: &'static str,
    example: &'static str,
) -> Spec {
    Spec {
        key,
        path,
        scale,
        positive,
        words,
        example,
    }
}

const THICKNESS: Spec = spec(
    "thickness",
    "spacer.thickness",
    Scale::Length,
    true,
    "a thickness",
    "\"6 mm\"",
);
const FRICTION: Spec = spec(
    "friction",
    "contact.friction",
    Scale::Ratio,
    true,
    "a friction coefficient",
    "0.14",
);
