//! Where joints seat, and both scatters side by side.

use record::{Output, Record};

use super::{paragraph, section, spread};
use crate::chart::Figures;
use crate::seat::Seat;

/// The outputs that tell where joints seat, then those that tell what it takes to close them.
const SCATTERS: [&str; 4] = ["draw_up", "stand_off", "closing_load", "closing_torque"];

/// Writes the section.
pub fn write(record: &Record, figures: &Figures) -> String {
    let mut body = figures
        .distribution
        .as_ref()
        .map(|f| f.html())
        .unwrap_or_default();
    body.push_str(&scatters(record));
    section("Where joints seat", &body)
}

/// Both scatters, so that a cure for one is not taken for a cure of the other.
fn scatters(record: &Record) -> String {
    let outputs: Vec<&Output> = SCATTERS
        .iter()
        .filter_map(|name| record.output(name))
        .collect();
    if outputs.is_empty() {
        return String::new();
    }
    let spreads = |caption: &str| spread::table(caption, &outputs, record.pairings);
    let has = |names: &[&str]| outputs.iter().any(|o| names.contains(&o.name.as_str()));
    if !has(&SCATTERS[2..]) {
        return spreads("Where joints seat, in numbers")
            + &paragraph("What it takes to close the joints was not followed in this run.");
    }
    if !has(&SCATTERS[..2]) {
        return spreads("What it takes to close the joints");
    }
    spreads("Both scatters side by side: where joints seat, and what it takes to close them")
        + &paragraph(&format!(
            "The two scatters have different cures. A coarser taper moves the hub less for the same error of {} and so narrows \
             where joints seat, but the interference at the closed position hardly changes, and with it the load that closes them. \
             Closing load also follows the friction on the {}.",
            match Seat::of(record) {
                Seat::Cone => "a diameter",
                Seat::Teeth => "a tooth",
            },
            Seat::of(record).noun()
        ))
}
