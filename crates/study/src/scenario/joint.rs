//! Reads the parts of the joint: shaft, hub, spacer, contact.

use crate::problem::id;
use crate::scenario::characteristic::{self, Spec};
use crate::scenario::document::Value;
use crate::scenario::material::material;
use crate::scenario::process::word;
use crate::scenario::quantity::{Measure, Quantity};
use crate::scenario::scale::Scale;
use crate::scenario::value::read_quantity;
use crate::scenario::walk::Section;
use crate::scenario::{Characteristic, Cone, Contact, Give, Hub, Shaft, Spacer};

/// Checks `[joint]`, which may be missing: only cones under the law of rings are read by this version.
pub(crate) fn joint(head: &Section<'_, '_>) {
    if !head.has("joint") {
        return;
    }
    let Some(section) = head.section("joint") else {
        return;
    };
    for (key, now, later) in [
        ("seat", "cone", "tapered_spline"),
        ("elastic_law", "rings", "coupled"),
    ] {
        if section.peek_text(key) == Some(later) {
            let found = format!("\"{later}\", which this version does not read");
            section.bad(&id::NOT_YET, key, &found, &format!("\"{now}\""), "");
        } else {
            let _ = word(&section, key, &[now]);
        }
    }
    section.finish();
}

/// Reads `[shaft]`.
pub(crate) fn shaft(head: &Section<'_, '_>) -> Option<Shaft> {
    let section = head.required_section(
        "shaft",
        "material, flank, gauge_plane, gauge_diameter and a taper",
    )?;
    let material = material(&section);
    let bore = if section.has("bore_diameter") {
        length(
            &section,
            "bore_diameter",
            0.0,
            "the bore's diameter",
            "\"0 mm\"",
        )
    } else {
        Some(0.0)
    };
    let cone = cone(&section, &SHAFT);
    section.finish();
    Some(Shaft {
        material: material?,
        bore_diameter_mm: bore?,
        cone: cone?,
    })
}

/// Reads `[hub]`.
pub(crate) fn hub(head: &Section<'_, '_>) -> Option<Hub> {
    let section = head.required_section(
        "hub",
        "material, outside_diameter, flank, gauge_plane, gauge_diameter and a taper",
    )?;
    let material = material(&section);
    let outside = length(
        &section,
        "outside_diameter",
        f64::MIN_POSITIVE,
        "the hub's outside diameter",
        "\"54 mm\"",
    );
    let cone = cone(&section, &HUB);
    section.finish();
    Some(Hub {
        material: material?,
        outside_diameter_mm: outside?,
        cone: cone?,
    })
}

/// Reads `[spacer]`.
pub(crate) fn spacer(head: &Section<'_, '_>) -> Option<Spacer> {
    let section = head.required_section("spacer", "thickness")?;
    let thickness = characteristic::read(&section, &THICKNESS);
    let give = give(&section);
    section.finish();
    Some(Spacer {
        thickness: thickness?,
        give: give?,
    })
}

/// How the spacer yields: rigid unless a stiffness or its diameters are stated.
fn give(section: &Section<'_, '_>) -> Option<Give> {
    let keys = ["outside_diameter", "inside_diameter", "material"];
    if section.has("stiffness") {
        let twice = keys.map(|key| {
            section.exclude(
                "stiffness",
                key,
                "a stated stiffness, or a ring of a material",
            )
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
        return (!twice.contains(&true)).then_some(Give::Stiffness(typed.value));
    }
    if !keys
        .iter()
        .map(|key| section.has(key))
        .fold(false, |any, has| any | has)
    {
        return Some(Give::Rigid);
    }
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
    Some(Give::Ring {
        outside_mm,
        inside_mm,
        material: material?,
    })
}

/// Reads `[contact]`.
pub(crate) fn contact(head: &Section<'_, '_>) -> Option<Contact> {
    let section = head.required_section("contact", "friction")?;
    let friction = characteristic::read(&section, &FRICTION);
    let or = |key, least, default| {
        if section.has(key) {
            length(&section, key, least, "a length", "\"5 um\"")
        } else {
            Some(default)
        }
    };
    let (smoothing, film) = (
        or("smoothing", 0.0, 0.0),
        or("blue_film", f64::MIN_POSITIVE, DEFAULT_FILM_MM),
    );
    section.finish();
    Some(Contact {
        friction: friction?,
        smoothing_mm: smoothing?,
        blue_film_mm: film?,
    })
}

/// Film of engineer's blue where none is stated (mm).
pub(crate) const DEFAULT_FILM_MM: f64 = 0.005;

/// A length of at least `least`; reported when it is missing.
fn length(
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

/// The characteristics of a cone on one part.
struct ConeSpecs {
    plane: Spec,
    diameter: Spec,
    angle_path: &'static str,
    measured_from: &'static str,
}

const fn spec(
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

const SHAFT: ConeSpecs = ConeSpecs {
    plane: spec(
        "gauge_plane",
        "shaft.gauge_plane",
        Scale::Length,
        false,
        "the gauge plane's distance from the shoulder",
        "\"4 mm\"",
    ),
    diameter: spec(
        "gauge_diameter",
        "shaft.gauge_diameter",
        Scale::Length,
        true,
        "the diameter at the gauge plane",
        "\"30 mm\"",
    ),
    angle_path: "shaft.half_angle",
    measured_from: "the shoulder",
};

const HUB: ConeSpecs = ConeSpecs {
    plane: spec(
        "gauge_plane",
        "hub.gauge_plane",
        Scale::Length,
        false,
        "the gauge plane's distance from the clamping face",
        "\"4 mm\"",
    ),
    diameter: spec(
        "gauge_diameter",
        "hub.gauge_diameter",
        Scale::Length,
        true,
        "the diameter at the gauge plane",
        "\"29.7 mm\"",
    ),
    angle_path: "hub.half_angle",
    measured_from: "the clamping face",
};

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
fn cone(section: &Section<'_, '_>, specs: &ConeSpecs) -> Option<Cone> {
    let flank = flank(section, specs.measured_from);
    let gauge_plane = characteristic::read(section, &specs.plane);
    let gauge_diameter = characteristic::read(section, &specs.diameter);
    let angle = angle(section, specs.angle_path);
    let ((large_end_mm, small_end_mm), (half_angle, taper_stated)) = (flank?, angle?);
    Some(Cone {
        large_end_mm,
        small_end_mm,
        gauge_plane: gauge_plane?,
        gauge_diameter: gauge_diameter?,
        half_angle,
        taper_stated,
    })
}

/// Both ends of the flank: large end first.
fn flank(section: &Section<'_, '_>, from: &str) -> Option<(f64, f64)> {
    let expected = format!(
        "two distances from {from}: large end, small end, for example [\"3 mm\", \"38 mm\"]"
    );
    let Some(entry) = section.get("flank") else {
        section.missing("flank", &expected, "flank = [\"3 mm\", \"38 mm\"]");
        return None;
    };
    let Value::List(items) = &entry.node.value else {
        section.wrong_type(entry, &entry.node.value, &expected);
        return None;
    };
    let [large, small] = items.as_slice() else {
        section.wrong_type(entry, &entry.node.value, &expected);
        return None;
    };
    let path = section.path_of("flank");
    let read = |node| read_quantity(section.walk, node, &path, &[Measure::Length]);
    let (large, small): (Option<Quantity>, Option<Quantity>) = (read(large), read(small));
    let (large, small) = (large?.value, small?.value);
    if large >= small {
        section.bad(
            &id::GEOMETRY,
            "flank",
            &format!("the large end at {large} mm, the small end at {small} mm"),
            &expected,
            "distances grow from the large end to the small end",
        );
        return None;
    }
    Some((large, small))
}

/// The three ways to state the angle.
const ANGLES: [(&str, Scale, &str); 3] = [
    ("taper", Scale::TaperRate, "\"1:20\""),
    ("cone_angle", Scale::ConeAngle, "\"2.864 deg\""),
    ("half_angle", Scale::HalfAngle, "\"1.432 deg\""),
];

fn angle(section: &Section<'_, '_>, path: &'static str) -> Option<(Characteristic, String)> {
    let stated: Vec<_> = ANGLES.iter().filter(|(key, ..)| section.has(key)).collect();
    match stated.as_slice() {
        [] => {
            section.missing(
                "taper",
                "the taper as one of taper (rate), cone_angle (included angle), half_angle",
                "taper = \"1:20\"",
            );
            None
        }
        [(key, scale, example)] => {
            let spec = spec(key, path, *scale, false, "a taper", example);
            let read = characteristic::read(section, &spec)?;
            Some((read, as_stated(section, key)))
        }
        [(first, ..), rest @ ..] => {
            for (second, ..) in rest {
                section.exclude(first, second, "the same angle is stated twice");
            }
            None
        }
    }
}

/// The nominal taper as typed.
fn as_stated(section: &Section<'_, '_>, key: &'static str) -> String {
    let node = section.get(key).map(|entry| match &entry.node.value {
        Value::Table(table) => table.get("nominal").map_or(&entry.node, |e| &e.node),
        _ => &entry.node,
    });
    let typed = match node.map(|n| &n.value) {
        Some(Value::Text(text)) => text.trim().to_owned(),
        Some(Value::Float(text) | Value::Whole(text, _)) => text.clone(),
        _ => String::new(),
    };
    match key {
        "cone_angle" => format!("{typed} included"),
        "half_angle" => format!("{typed} half-angle"),
        _ => typed,
    }
}
