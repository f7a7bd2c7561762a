//! Reads shaft and hub of a tapered spline.

use crate::problem::id;
use crate::scenario::characteristic::{self, Spec, Usual};
use crate::scenario::document::Value;
use crate::scenario::joint::{length, spec};
use crate::scenario::material::material;
use crate::scenario::quantity::Measure;
use crate::scenario::scale::Scale;
use crate::scenario::seat::Parts;
use crate::scenario::walk::Section;
use crate::scenario::{Characteristic, Hub, Material, Seat, Shaft, Spline, SplinePart};

/// Stiffness of a pair of steel teeth where none is stated: 14 N/(mm·um), in N/mm per mm. The usual value of
/// ISO 6336-1, recalled; it holds for gear teeth, which also bend, and is low for a tooth that is wedged on both sides.
const DEFAULT_STIFFNESS: f64 = 14_000.0;

/// Fewest and most teeth.
const TEETH: (u64, u64) = (4, 120);

/// What a reader of a message is told of the kind of scenario.
const KIND: &str = "a tapered spline";

/// The characteristics of one part.
struct PartSpecs {
    plane: Spec,
    size: Spec,
    index_error: Spec,
    profile_error: Spec,
}

const fn error(key: &'static str, path: &'static str, words: &'static str) -> Spec {
    let example = "{ process = { shape = \"normal\", sd = \"4 um\" } }";
    spec(key, path, Scale::Length, false, words, example)
}

const INDEX: &str = "the error of a tooth's place around the shaft, from tooth to tooth";
const PROFILE: &str = "the error of a flank, normal to it, from flank to flank";

const SHAFT: PartSpecs = PartSpecs {
    plane: spec(
        "gauge_plane",
        "shaft.gauge_plane",
        Scale::Length,
        false,
        "the gauge plane's distance from the shoulder",
        "\"4 mm\"",
    ),
    size: spec(
        "tooth_thickness",
        "shaft.tooth_thickness",
        Scale::Length,
        true,
        "the thickness of a tooth at the gauge plane",
        "\"3 mm\"",
    ),
    index_error: error("index_error", "shaft.index_error", INDEX),
    profile_error: error("profile_error", "shaft.profile_error", PROFILE),
};

const HUB: PartSpecs = PartSpecs {
    plane: spec(
        "gauge_plane",
        "hub.gauge_plane",
        Scale::Length,
        false,
        "the gauge plane's distance from the clamping face",
        "\"4 mm\"",
    ),
    size: spec(
        "space_width",
        "hub.space_width",
        Scale::Length,
        true,
        "the width of a space at the gauge plane",
        "\"2.9 mm\"",
    ),
    index_error: error("index_error", "hub.index_error", INDEX),
    profile_error: error("profile_error", "hub.profile_error", PROFILE),
};

const FLANK_HALF_ANGLE: Spec = spec(
    "flank_half_angle",
    "teeth.flank_half_angle",
    Scale::HalfAngle,
    true,
    "the half-angle of a tooth's wedge",
    "\"3 deg\"",
);

/// Keys of `[shaft]` and `[hub]` that belong to a cone, each with why a spline does not read it.
const OF_A_CONE: [(&str, &str); 8] = [
    (
        "flank",
        "how far the teeth engage is [teeth] engaged_length",
    ),
    (
        "gauge_diameter",
        "the size of a tooth is [shaft] tooth_thickness, that of a space [hub] space_width",
    ),
    ("taper", WEDGE),
    ("cone_angle", WEDGE),
    ("half_angle", WEDGE),
    ("end", "shaft ends by name are those with a cone"),
    ("bore_diameter", RINGS),
    ("outside_diameter", RINGS),
];

const WEDGE: &str = "the wedge of the teeth is [teeth] flank_half_angle";
const RINGS: &str = "it serves the rings of a cone; the flanks of teeth give by [teeth] stiffness";

/// What `[teeth]` states.
struct Teeth {
    count: u32,
    flank_half_angle: Characteristic,
    engaged_length_mm: f64,
    stiffness: f64,
}

/// Reads `[teeth]`, `[shaft]` and `[hub]`.
pub(crate) fn parts(head: &Section<'_, '_>) -> Parts {
    let teeth = teeth(head);
    let shaft = part(head, "shaft", &SHAFT);
    let hub = part(head, "hub", &HUB);
    let (shaft_material, shaft) = shaft.unzip();
    let (hub_material, hub) = hub.unzip();
    let seat = (|| {
        let teeth = teeth?;
        Some(Seat::Spline(Spline {
            teeth: teeth.count,
            flank_half_angle: teeth.flank_half_angle,
            engaged_length_mm: teeth.engaged_length_mm,
            stiffness_n_per_mm2: teeth.stiffness,
            shaft: shaft?,
            hub: hub?,
        }))
    })();
    (
        seat,
        shaft_material.map(|material| Shaft {
            material,
            bore_diameter_mm: 0.0,
            end: None,
        }),
        hub_material.map(|material| Hub {
            material,
            outside_diameter_mm: 0.0,
            end: None,
        }),
    )
}

fn teeth(head: &Section<'_, '_>) -> Option<Teeth> {
    let section = head.required_section("teeth", "count, flank_half_angle and engaged_length")?;
    if !section.has("count") {
        section.missing("count", "the number of teeth", "count = 24");
    }
    let count = section.count("count", TEETH.0, TEETH.1);
    let flank_half_angle = characteristic::read(&section, &FLANK_HALF_ANGLE);
    let engaged_length_mm = length(
        &section,
        "engaged_length",
        f64::MIN_POSITIVE,
        "the length over which the teeth are engaged",
        "\"20 mm\"",
    );
    let stiffness = stiffness(&section);
    section.finish();
    Some(Teeth {
        count: u32::try_from(count?).ok()?,
        flank_half_angle: flank_half_angle?,
        engaged_length_mm: engaged_length_mm?,
        stiffness: stiffness?,
    })
}

fn stiffness(section: &Section<'_, '_>) -> Option<f64> {
    if !section.has("stiffness") {
        return Some(DEFAULT_STIFFNESS);
    }
    let typed = section.quantity("stiffness", &[Measure::ToothStiffness])?;
    if typed.value <= 0.0 {
        section.bad(
            &id::GEOMETRY,
            "stiffness",
            &typed.canonical(),
            "a stiffness above 0",
            "leave it out for 14 N/(mm*um), a pair of steel teeth",
        );
        return None;
    }
    Some(typed.value)
}

/// Reads `[shaft]` or `[hub]`: its material and its teeth.
fn part(
    head: &Section<'_, '_>,
    name: &'static str,
    specs: &PartSpecs,
) -> Option<(Material, SplinePart)> {
    let keys = format!("material, gauge_plane and {}", specs.size.key);
    let section = head.required_section(name, &keys)?;
    for (key, why) in OF_A_CONE {
        section.stray(key, KIND, why);
    }
    let material = material(&section);
    let gauge_plane = characteristic::read(&section, &specs.plane);
    let size = characteristic::read(&section, &specs.size);
    let index_error = tooth_error(&section, &specs.index_error);
    let profile_error = tooth_error(&section, &specs.profile_error);
    section.finish();
    let part = SplinePart {
        gauge_plane: gauge_plane?,
        size: size?,
        index_error: index_error?,
        profile_error: profile_error?,
    };
    Some((material?, part))
}

/// Reads an error of teeth: 0 on every tooth when it is left out, else what its process gives.
fn tooth_error(section: &Section<'_, '_>, spec: &Spec) -> Option<Characteristic> {
    if let Some(entry) = section.get(spec.key)
        && !matches!(entry.node.value, Value::Table(_))
    {
        section.bad(
            &id::WRONG_TYPE,
            spec.key,
            &crate::scenario::value::shown(&entry.node.value),
            &format!("a table with a process: {}", spec.words),
            &format!(
                "{}; for example  {} = {}",
                same_on_all(spec.key),
                spec.key,
                spec.example
            ),
        );
        return None;
    }
    let perfect = Usual {
        nominal: 0.0,
        stated: "left out: perfect teeth",
    };
    characteristic::read_or(section, spec, Some(perfect))
}

/// Why one value for all teeth is no error of theirs.
fn same_on_all(key: &str) -> &'static str {
    if key == "index_error" {
        "the same shift of every tooth is no error, the hub just turns"
    } else {
        "the same error on every flank belongs to the size of the tooth or space"
    }
}

/// Refuses keys of `[contact]` that belong to a cone.
pub(crate) fn contact_without_cone(section: &Section<'_, '_>) {
    for (key, why) in [
        (
            "smoothing",
            "an allowance on the diameter of a cone; a tooth's errors are index_error and profile_error",
        ),
        (
            "blue_film",
            "blue share is that of a cone; contact share counts the teeth that bear",
        ),
    ] {
        section.stray(key, KIND, why);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::problem::Problem;
    use crate::scenario::read::scenario_of;

    const TEXT: &str = include_str!("../../../../tests/bad/good-spline.toml");

    fn read(text: &str) -> (Spline, Vec<Problem>) {
        let (scenario, problems) = scenario_of(text);
        match scenario.map(|s| s.seat) {
            Some(Seat::Spline(spline)) => (spline, problems),
            other => panic!("{other:?}\n{problems:?}"),
        }
    }

    #[test]
    fn a_tapered_spline_is_read_in_the_units_of_the_inside() {
        let (spline, problems) = read(TEXT);
        assert!(
            problems.iter().all(|p| p.id == id::NOT_YET.name),
            "{problems:?}"
        );
        assert_eq!(spline.teeth, 24);
        assert_eq!(
            spline.flank_half_angle.nominal,
            3.0 * std::f64::consts::PI / 180.0
        );
        let minute = std::f64::consts::PI / 10_800.0;
        assert!((spline.flank_half_angle.process.sd() - 0.5 * minute).abs() < 1e-18);
        assert_eq!(spline.engaged_length_mm, 22.0);
        assert_eq!(
            spline.stiffness_n_per_mm2, 14_000.0,
            "14 N per mm of length and um"
        );
        assert_eq!(
            (spline.shaft.size.nominal, spline.hub.size.nominal),
            (3.0, 2.97)
        );
        assert_eq!(spline.shaft.size.path, "shaft.tooth_thickness");
        assert_eq!(spline.hub.size.path, "hub.space_width");
        assert_eq!(spline.hub.gauge_plane.nominal, 0.0);
    }

    #[test]
    fn errors_of_teeth_are_around_0_and_teeth_without_them_are_perfect() {
        let (spline, _) = read(TEXT);
        let index = &spline.shaft.index_error;
        assert_eq!(
            (index.nominal, index.process.mean(), index.process.sd()),
            (0.0, 0.0, 0.004)
        );
        assert!(spline.hub.profile_error.process.is_constant());
        assert_eq!(spline.hub.profile_error.process.mean(), 0.0);
        let leaning = TEXT.replace(
            "index_error = { process = { shape = \"normal\", sd = \"5 um\" } }",
            "index_error = { process = { shape = \"uniform\", low = \"-9 um\", high = \"3 um\" } }",
        );
        let mean = read(&leaning).0.hub.index_error.process.mean();
        assert!((mean + 0.003).abs() < 1e-15, "{mean}");
    }

    #[test]
    fn steel_teeth_are_taken_where_no_stiffness_is_stated() {
        let text = TEXT.replace("stiffness = \"14 N/(mm*um)\"\n", "");
        assert!(text.len() < TEXT.len());
        assert_eq!(read(&text).0.stiffness_n_per_mm2, DEFAULT_STIFFNESS);
    }

    #[test]
    fn every_characteristic_of_teeth_is_listed_once() {
        let (scenario, _) = scenario_of(TEXT);
        let scenario = scenario.expect("a scenario that reads");
        let mut paths: Vec<_> = scenario.characteristics().iter().map(|c| c.path).collect();
        assert_eq!(paths.len(), 13);
        paths.sort_unstable();
        paths.dedup();
        assert_eq!(paths.len(), 13, "{paths:?}");
        assert!(paths.contains(&"teeth.flank_half_angle"));
    }
}
