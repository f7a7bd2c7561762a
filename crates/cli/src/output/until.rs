//! What became of the rule that could end a run.

use study::record::{HalfWidth, Record, Until};

use super::numbers::{count, significant};
use super::plain::plain;
use super::table::wrapped;

/// The lines of the summary; empty for a run without a rule.
pub fn lines(record: &Record) -> String {
    let Some(until) = &record.until else {
        return String::new();
    };
    let (done, most) = (count(record.pairings), count(until.most_pairings));
    let (stated, reached) = (plain(&until.stated), reached(record, until));
    wrapped(&if record.pairings < until.most_pairings {
        format!(
            "Stopped after {done} pairings: {reached} (asked for: {stated}, with at most {most} pairings)"
        )
    } else {
        let met = match until.met {
            _ if record.pairings < until.first_look => "not looked at",
            true => "met",
            false => "not met",
        };
        format!("Ran the most pairings, {most}: {reached} (asked for: {stated}, {met})")
    })
}

/// The half-width that was reached, in the unit of the rule.
fn reached(record: &Record, until: &Until) -> String {
    let ppm = format!("half-width {} ppm", significant(1e6 * until.reached, 3));
    let rejects = record.pairings.saturating_sub(record.yield_.good);
    match until.half_width {
        HalfWidth::OfRejectRate(_) if rejects > 0 => {
            let rate = rejects as f64 / record.pairings as f64;
            let part = significant(100.0 * until.reached / rate, 3);
            format!("{ppm}, {part} % of the reject rate")
        }
        _ => ppm,
    }
}
