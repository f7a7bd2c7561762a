//! Reads shaft and hub of a cone.

use crate::problem::id;
use crate::scenario::characteristic::{self, Spec};
use crate::scenario::document::Value;
use crate::scenario::joint::{length, spec};
use crate::scenario::material::material;
use crate::scenario::quantity::{Measure, Quantity};
use crate::scenario::scale::Scale;
use crate::scenario::seat::Parts;
use crate::scenario::value::read_quantity;
use crate::scenario::walk::Section;
use crate::scenario::{Characteristic, Cone, Cones, Hub, Seat, Shaft};

/// Reads `[shaft]` and `[hub]`.
pub(crate) fn parts(head: &Section<'_, '_>) -> Parts {
    let (shaft, male) = shaft(head);
    let (hub, female) = hub(head);
    let cones = male.zip(female);
    let seat = cones.map(|(shaft, hub)| Seat::Cone(Cones { shaft, hub }));
    (seat, shaft, hub)
}

/// Keys of teeth, which a cone does not read.
const OF_A_SPLINE: [&str; 4] = [
    "tooth_thickness",
    "space_width",
    "index_error",
    "profile_error",
];

fn without_teeth(section: &Section<'_, '_>) {
    for key in OF_A_SPLINE {
        section.stray(
            key,
            "a cone",
            "it belongs to  [joint] seat = \"tapered_spline\"",
        );
    }
}

fn shaft(head: &Section<'_, '_>) -> (Option<Shaft>, Option<Cone>) {
    let keys = "material, flank, gauge_plane, gauge_diameter and a taper";
    let Some(section) = head.required_section("shaft", keys) else {
        return (None, None);
    };
    without_teeth(&section);
    let material = material(&section);
    let bore = if section.has("bore_diameter") {
        let what = "the bore's diameter";
        length(&section, "bore_diameter", 0.0, what, "\"0 mm\"")
    } else {
        Some(0.0)
    };
    let cone = cone(&section, &SHAFT);
    section.finish();
    let shaft = material
        .zip(bore)
        .map(|(material, bore_diameter_mm)| Shaft {
            material,
            bore_diameter_mm,
        });
    (shaft, cone)
}

fn hub(head: &Section<'_, '_>) -> (Option<Hub>, Option<Cone>) {
    let keys = "material, outside_diameter, flank, gauge_plane, gauge_diameter and a taper";
    let Some(section) = head.required_section("hub", keys) else {
        return (None, None);
    };
    without_teeth(&section);
    let material = material(&section);
    let what = "the hub's outside diameter";
    let outside = length(
        &section,
        "outside_diameter",
        f64::MIN_POSITIVE,
        what,
        "\"54 mm\"",
    );
    let cone = cone(&section, &HUB);
    section.finish();
    let hub = material
        .zip(outside)
        .map(|(material, outside_diameter_mm)| Hub {
            material,
            outside_diameter_mm,
        });
    (hub, cone)
}

/// The characteristics of a cone on one part.
struct ConeSpecs {
    plane: Spec,
    diameter: Spec,
    angle_path: &'static str,
    measured_from: &'static str,
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
