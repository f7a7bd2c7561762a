//! Reads shaft and hub of a cone.

use crate::problem::id;
use crate::scenario::characteristic::{self, Spec, Usual};
use crate::scenario::document::Value;
use crate::scenario::ends::{self, End};
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
    let (cone, end) = cone(&section, &SHAFT);
    section.finish();
    let shaft = material
        .zip(bore)
        .map(|(material, bore_diameter_mm)| Shaft {
            material,
            bore_diameter_mm,
            end,
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
    let (cone, end) = cone(&section, &HUB);
    section.finish();
    let hub = material
        .zip(outside)
        .map(|(material, outside_diameter_mm)| Hub {
            material,
            outside_diameter_mm,
            end,
        });
    (hub, cone)
}

/// The characteristics of a cone on one part.
struct ConeSpecs {
    plane: Spec,
    diameter: Spec,
    angle_path: &'static str,
    measured_from: &'static str,
    is_shaft: bool,
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
    is_shaft: true,
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
    is_shaft: false,
};

/// Reads a cone, and the standard end that gives what is not stated, in words.
fn cone(section: &Section<'_, '_>, specs: &ConeSpecs) -> (Option<Cone>, Option<String>) {
    let stated = ends::stated(section);
    let words = stated
        .as_ref()
        .and_then(|end| Some(end.as_ref()?.in_words()));
    let known = !matches!(stated, Some(None));
    // Behind a name that is not known nothing is called missing.
    let end = stated.and_then(|end| end.or_else(|| ends::all().pop()));
    let cone = sizes(section, specs, end.as_ref()).filter(|_| known);
    (cone, words)
}

fn sizes(section: &Section<'_, '_>, specs: &ConeSpecs, end: Option<&End>) -> Option<Cone> {
    let length = end.and_then(|end| end.length_mm).filter(|_| specs.is_shaft);
    let flank = match length {
        Some(length) if !section.has("flank") => Some((0.0, length)),
        _ => flank(section, specs.measured_from),
    };
    let words = end.map_or_else(String::new, |end| format!("{}, no scatter", end.name));
    let usual = |nominal: f64| Usual {
        nominal,
        stated: &words,
    };
    let gauge = end.map(|end| if specs.is_shaft { end.shaft } else { end.hub });
    let plane = gauge.map(|gauge| usual(gauge.plane.on(flank.unwrap_or_default())));
    let diameter = gauge.map(|gauge| usual(gauge.diameter_mm));
    let gauge_plane = characteristic::read_or(section, &specs.plane, plane);
    let gauge_diameter = characteristic::read_or(section, &specs.diameter, diameter);
    let taper = end.map(|end| (usual(end.half_angle), end.taper));
    let length = flank.map(|(large, small)| small - large);
    let angle = angle(section, specs.angle_path, taper, length);
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

/// The half-angle, and how it is stated; `usual` is that of a standard end, with its words. `flank` is the length of the cone
/// along its axis (mm).
fn angle(
    section: &Section<'_, '_>,
    path: &'static str,
    usual: Option<(Usual<'_>, &str)>,
    flank: Option<f64>,
) -> Option<(Characteristic, String)> {
    let (usual, words) = usual.unzip();
    let stated: Vec<_> = ANGLES.iter().filter(|(key, ..)| section.has(key)).collect();
    match stated.as_slice() {
        [] if usual.is_some() => {
            let (key, scale, example) = ANGLES[0];
            let spec = spec(key, path, scale, false, "a taper", example);
            let read = characteristic::read_or(section, &spec, usual)?;
            Some((read, words.unwrap_or_default().to_owned()))
        }
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
            let read = characteristic::read_on(section, &spec, usual, flank)?;
            let stated = as_stated(section, key);
            Some((
                read,
                stated
                    .or_else(|| words.map(str::to_owned))
                    .unwrap_or_default(),
            ))
        }
        [(first, ..), rest @ ..] => {
            for (second, ..) in rest {
                section.exclude(first, second, "the same angle is stated twice");
            }
            None
        }
    }
}

/// The nominal taper as typed; `None` where a table leaves it out.
fn as_stated(section: &Section<'_, '_>, key: &'static str) -> Option<String> {
    let entry = section.get(key)?;
    let node = match &entry.node.value {
        Value::Table(table) => &table.get("nominal")?.node,
        _ => &entry.node,
    };
    let typed = match &node.value {
        Value::Text(text) => text.trim().to_owned(),
        Value::Float(text) | Value::Whole(text, _) => text.clone(),
        _ => String::new(),
    };
    Some(match key {
        "cone_angle" => format!("{typed} included"),
        "half_angle" => format!("{typed} half-angle"),
        _ => typed,
    })
}
