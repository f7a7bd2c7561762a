//! The head: what joint, which drawings, which supplier or lot, and what made the page.

use record::{Basis, Record};

use super::title;
use crate::figure;
use crate::text::{html, html_lines};

/// Marks of the three kinds of statement.
pub const SIMULATED: &str = "○";
/// Stated in the scenario without readings behind it.
pub const ASSUMED: &str = "□";
/// From readings of real parts.
pub const MEASURED: &str = "■";

/// Writes the head.
pub fn write(record: &Record) -> String {
    let subject = &record.subject;
    let mut facts = String::new();
    let mut fact =
        |name: &str, value: String| facts.push_str(&format!("<dt>{name}</dt><dd>{value}</dd>\n"));
    let drawings: Vec<String> = subject
        .drawings
        .iter()
        .map(|(part, number)| format!("{} {}", html(part), html(number)))
        .collect();
    if !drawings.is_empty() {
        fact("Drawings", drawings.join(", "));
    }
    if let Some(supplier) = &subject.supplier {
        fact("Supplier", html(supplier));
    }
    if let Some(lot) = &subject.lot {
        fact("Lot", html(lot));
    }
    if let Some(notes) = &subject.notes {
        fact("Notes", html_lines(notes));
    }
    let facts = if facts.is_empty() {
        String::new()
    } else {
        format!("<dl class=\"facts\">\n{facts}</dl>\n")
    };
    format!(
        "<header>\n<h1>{}</h1>\n{facts}{}{}</header>\n",
        html(&title(record)),
        provenance(record),
        kinds(record)
    )
}

fn provenance(record: &Record) -> String {
    format!(
        "<p class=\"small muted hash\">{} · seed {} · seatyield {} · stream version {} · scenario {}, hash {}</p>\n",
        figure::pairings(record.pairings),
        record.seed,
        html(&record.program_version),
        record.stream_version,
        html(&record.scenario.name),
        html(&record.scenario_hash),
    )
}

/// Tells apart what is simulated, assumed and measured, and says how much of each there is.
fn kinds(record: &Record) -> String {
    let all = record.characteristics.len();
    let measured = record
        .characteristics
        .iter()
        .filter(|c| c.process.basis == Basis::Measured)
        .count();
    let rest = match (measured, all) {
        (_, 0) => "The scenario varies no characteristic.".to_owned(),
        (0, n) => format!(
            "All {n} processes are {ASSUMED}\u{A0}assumed: no reading of a real part stands behind this page."
        ),
        (m, n) if m == n => format!("All {n} processes are {MEASURED}\u{A0}measured."),
        (m, n) => format!(
            "{} of {n} processes {} {MEASURED}\u{A0}measured, {} {} {ASSUMED}\u{A0}assumed.",
            m,
            if m == 1 { "is" } else { "are" },
            n - m,
            if n - m == 1 { "is" } else { "are" },
        ),
    };
    format!(
        "<p class=\"small\">{SIMULATED}\u{A0}simulated: computed from the processes below, like every share and load on this page. \
         {ASSUMED}\u{A0}assumed: stated without readings. {MEASURED}\u{A0}measured: from readings of parts. {rest}</p>\n"
    )
}
