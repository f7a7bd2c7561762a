//! What becomes of the joint after assembly: settling, and the temperatures of service.

use record::{Output, Record};

use super::{paragraph, section, spread};
use crate::chart::Figures;
use crate::figure;

/// What else is told of the later states.
const OTHERS: [&str; 5] = [
    "settled_bolt_load",
    "service_bolt_load",
    "service_seat_load",
    "slip_torque",
    "service_slip_torque",
];

/// Writes the section; nothing for a record that ends with assembly.
pub fn write(record: &Record, figures: &Figures) -> String {
    let Some(figure) = &figures.later else {
        return String::new();
    };
    let mut body = figure.html();
    let service = record.output("service_clamp_load").is_some();
    let outputs: Vec<&Output> = OTHERS
        .iter()
        .filter(|name| service || **name != "slip_torque")
        .filter_map(|name| record.output(name))
        .collect();
    if !outputs.is_empty() {
        body.push_str(&spread::table(
            "What else changes after assembly",
            &outputs,
            record.pairings,
        ));
    }
    if service {
        body.push_str(&paragraph(&temperatures(record)));
    }
    section("After assembly", &body)
}

/// From where to where, and what a negative seat load means.
fn temperatures(record: &Record) -> String {
    let Some(temperature) = &record.joint.temperature else {
        return String::new();
    };
    let from = &temperature.assembly_c;
    let Some(to) = &temperature.service_c else {
        return String::new();
    };
    let change = |part: &str, from: f64, to: f64| {
        format!(
            "{part} {} to {}",
            figure::stated(from),
            figure::with_unit(&figure::stated(to), "°C")
        )
    };
    let mut changes = vec![
        change("shaft", from.shaft, to.shaft),
        change("hub", from.hub, to.hub),
        change("spacer", from.spacer, to.spacer),
    ];
    if let Some(bolt) = to.bolt {
        changes.push(change("bolt", from.shaft, bolt));
    }
    format!(
        "From assembly to service: {}. A negative seat load means that the cone holds the hub back against the spacer.",
        changes.join(", ")
    )
}
