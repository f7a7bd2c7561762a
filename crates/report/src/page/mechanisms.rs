//! The mechanisms that a record uses beyond the plain joint, one paragraph each, and what is left out.

use record::Record;

use super::supply;
use crate::figure;
use crate::seat::Seat;
use crate::text::html;

/// How each mechanism was computed; only those that the record uses.
pub fn used(record: &Record) -> Vec<String> {
    [
        spline(record),
        Some(bolt(record)),
        settling(record),
        temperature(record),
        capacity(record),
        play(record),
        ends(record),
    ]
    .into_iter()
    .flatten()
    .collect()
}

fn spline(record: &Record) -> Option<String> {
    let teeth = record.joint.teeth.as_ref()?;
    Some(format!(
        "Teeth: each of the {} has two flanks with errors of their own, drawn once for a part; index errors close one flank and open the other. \
         The hub turns until both sides carry the same. First touch is an extreme of the teeth, and under load more flanks come in, each with a stiffness \
         of {} per tooth pair, which includes the bending of the tooth and is low for a wedged one.",
        teeth.count,
        figure::with_unit(
            &figure::stated(teeth.stiffness_n_per_mm2 * 1e-3),
            "N/(mm·µm)"
        )
    ))
}

fn bolt(record: &Record) -> String {
    if record.joint.bolt.pitch_mm.is_some() {
        "Bolt load: torque over pitch/2π + thread friction × pitch diameter/(2 cos 30°) + head friction × bearing diameter/2, the relation of the bolting standards for a metric thread.".to_owned()
    } else {
        "Bolt load: torque over nut factor × diameter.".to_owned()
    }
}

fn settling(record: &Record) -> Option<String> {
    record.output("settled_clamp_load")?;
    Some(
        "Settling: faces and threads flatten after tightening, and the bolt loses its stiffness times that amount. The seat stays on its sliding-on branch, so that the clamp load left is a lower bound; a joint with a gap keeps its gap."
            .to_owned(),
    )
}

fn temperature(record: &Record) -> Option<String> {
    let temperature = record.joint.temperature.as_ref()?;
    let assembly = "Temperature: sizes are stated at 20 °C; at assembly every length of a part grows by its own expansion, angles stay.";
    let service = if temperature.service_c.is_some() {
        " In service the hub is locked at the middle of its overlap while all parts take their strains; where the cone can neither push nor hold what bolt and spacer ask of it, the hub slides to its bound. Two states, no gradients; the way starts from the joint as assembled, so a loss by settling comes on top."
    } else {
        ""
    };
    Some(format!("{assembly}{service}"))
}

fn capacity(record: &Record) -> Option<String> {
    record.output("torque_capacity")?;
    Some(
        "Torque capacity: slip torque of the cone and face friction × clamp load × mean radius; the same clamp load passes both faces of the spacer and counts once."
            .to_owned(),
    )
}

fn play(record: &Record) -> Option<String> {
    record.output("runout")?;
    let radius = record.joint.runout_radius_mm?;
    Some(format!(
        "Runout: full axial reading at a radius of {} of a hub that rocks on free cones; a seated hub has none here.",
        figure::with_unit(&figure::stated(radius), "mm")
    ))
}

/// Standard ends whose sizes were taken, and how those are known.
fn ends(record: &Record) -> Option<String> {
    let (shaft, hub) = (&record.joint.shaft.end, &record.joint.hub.end);
    let of = |part: &str, end: &Option<String>| {
        end.as_ref()
            .map(|end| format!("the {part} those of {}", html(end)))
    };
    let named: Vec<String> = [of("shaft", shaft), of("hub", hub)]
        .into_iter()
        .flatten()
        .collect();
    (!named.is_empty()).then(|| {
        format!(
            "Sizes that the scenario does not state are standard ones: {}.",
            named.join("; ")
        )
    })
}

/// What the calculation leaves out.
pub fn left_out(record: &Record) -> String {
    let shape = match Seat::of(record) {
        Seat::Cone => "Yielding, rounded edges and form errors of the cones",
        Seat::Teeth => "Yielding, crowned flanks, and unequal flank angles of shaft and hub",
    };
    let bolt = if record.output("bolt_utilisation").is_some() {
        "thread engagement"
    } else {
        "thread detail and bolt strength"
    };
    let mut later = Vec::new();
    if record.output("settled_clamp_load").is_none() {
        later.push("settling");
    }
    later.push(if record.output("service_clamp_load").is_some() {
        "creep and gradients of temperature"
    } else {
        "heat"
    });
    later.push("speed in service");
    let parts = if record.inspections.is_empty() {
        "Parts are paired at random; nothing is selected, sorted or reworked."
    } else {
        "Parts that pass inspection are paired at random; beyond that nothing is selected or sorted, and nothing is reworked."
    };
    let wear = if supply::moves(record) {
        "wear of the joint"
    } else {
        "wear"
    };
    format!(
        "{shape}; ovality, tilt and bending loads; {bolt}; {}; {wear}, lapping and the order of assembly. {parts}",
        joined(&later)
    )
}

fn joined(words: &[&str]) -> String {
    match words {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}
