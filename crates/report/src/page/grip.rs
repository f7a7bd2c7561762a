//! What the joint transmits, and how hard bolt and teeth work.

use record::{Output, Record};

use super::{paragraph, section, spread};
use crate::seat::Seat;

/// The outputs of this section, in its order.
const OUTPUTS: [&str; 5] = [
    "torque_capacity",
    "self_locking_margin",
    "bolt_utilisation",
    "teeth_in_contact",
    "tooth_load_share",
];

/// Writes the section; nothing without a bolt whose strength is known, teeth, or faces that carry torque.
pub fn write(record: &Record) -> String {
    let outputs: Vec<&Output> = OUTPUTS
        .iter()
        .filter_map(|name| record.output(name))
        .collect();
    if outputs.iter().all(|o| o.name == "self_locking_margin") {
        return String::new();
    }
    let has = |name: &str| outputs.iter().any(|o| o.name == name);
    let (heading, caption) = match Seat::of(record) {
        Seat::Cone => ("Grip and bolt", "Grip and bolt, in numbers"),
        Seat::Teeth => ("Grip, bolt and teeth", "Grip, bolt and teeth, in numbers"),
    };
    let mut body = spread::table(caption, &outputs, record.pairings);
    let mut remarks = Vec::new();
    if has("torque_capacity") {
        remarks.push(
            "Torque capacity is the slip torque of the cone and the friction of the pinched faces together.",
        );
    }
    if has("self_locking_margin") {
        remarks.push("A negative self-locking margin means that the hub comes off with the bolt.");
    }
    if has("bolt_utilisation") {
        remarks.push(if record.joint.bolt.pitch_mm.is_some() {
            "Bolt utilisation is tension and torsion of the thread together while it is tightened, as a share of the yield strength; loads in service are not in it."
        } else {
            "Bolt utilisation is tension alone, as assembled, as a share of the yield strength, without loads in service: a nut factor does not say how much of the torque twists the bolt, so the true value is higher."
        });
    }
    if Seat::of(record) == Seat::Teeth {
        remarks.push("The load share is that of the most loaded tooth; with perfect teeth each would carry the same.");
    }
    body.push_str(&paragraph(&remarks.join(" ")));
    section(heading, &body)
}
