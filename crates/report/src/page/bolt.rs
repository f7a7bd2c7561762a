//! What the bolt bears, and what torque the joint transmits, in a sentence each.

use record::Record;

use super::{later, paragraph};
use crate::figure;

/// The sentences; nothing when the record follows neither.
pub fn write(record: &Record) -> String {
    let mut body = String::new();
    if let Some(sentence) = utilisation(record) {
        body.push_str(&paragraph(&sentence));
    }
    if let Some(output) = record.output("torque_capacity") {
        body.push_str(&paragraph(&format!(
            "Torque that the joint transmits before it slips, seat and pinched faces together: {}.",
            later::spread(output)
        )));
    }
    body
}

/// How much of its yield strength the bolt uses while it is tightened.
fn utilisation(record: &Record) -> Option<String> {
    let output = record.output("bolt_utilisation")?;
    let at = |share: &str| output.quantiles.get(share).map(|q| percent(q.value));
    let (middle, high) = (at("0.5")?, at("0.99865")?);
    let limit = output
        .limits
        .and_then(|l| l.max)
        .map_or("no limit is set".to_owned(), |max| {
            format!("the limit is {}", stated_percent(max))
        });
    let stress = if record.joint.bolt.pitch_mm.is_some() {
        "tension together with the torsion of tightening"
    } else {
        "tension alone: a nut factor does not tell the torsion of tightening, so the bolt bears more than this"
    };
    Some(format!(
        "The bolt uses {middle} of its yield strength in the median joint and {high} at the 99.865\u{A0}% quantile; {limit}. This is {stress}."
    ))
}

fn percent(share: f64) -> String {
    figure::with_unit(&figure::significant(share * 100.0, 3), "%")
}

fn stated_percent(share: f64) -> String {
    figure::with_unit(&figure::stated(share * 100.0), "%")
}
