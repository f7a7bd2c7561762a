//! A slip of the unit: readings a thousand times, or an inch, away from what the drawing says.

use super::characteristic::Readings;
use super::words::short;
use crate::problem::{Problem, id};

/// How near a factor must be to one of a slip.
const NEAR: f64 = 0.05;

/// Factors between readings and drawing that a wrong unit gives, for the unit of the heading, with the unit that is meant.
const SLIPS: [(&str, f64, &str); 8] = [
    ("mm", 1000.0, "um"),
    ("um", 0.001, "mm"),
    ("m", 1000.0, "mm"),
    ("mm", 0.001, "m"),
    ("mm", 1.0 / 25.4, "in"),
    ("in", 25.4, "mm"),
    ("N", 0.001, "kN"),
    ("kN", 1000.0, "N"),
];

/// The problem, when the readings look like a slip.
pub(super) fn found(file: &str, of: &Readings) -> Option<Problem> {
    let drawing = &of.drawing;
    let middle = drawing.lower.zip(drawing.upper).map(|(l, u)| 0.5 * (l + u));
    let due = drawing.nominal.or(middle).filter(|due| *due != 0.0)?;
    let mut sorted = of.values.clone();
    sorted.sort_by(f64::total_cmp);
    let median = capability::quantiles::of_sorted(&sorted, 0.5)?;
    let unit = of.unit.name();
    let slip = SLIPS
        .iter()
        .find(|(name, factor, _)| *name == unit && libm::fabs(median / due / factor - 1.0) < NEAR);
    let (_, factor, meant) = slip?;
    let times = if *factor > 1.0 {
        format!("{} times the drawing's", short(*factor))
    } else {
        format!("the drawing's over {}", short(1.0 / factor))
    };
    let said = format!(
        "readings around {} {unit}, {times} {} {unit}",
        short(median),
        short(due)
    );
    let problem = Problem::new(
        &id::PARTS_RANGE,
        file,
        &of.name,
        &said,
        "readings and drawing of one size",
    );
    let line = of.lines.first().map(|line| (*line as usize, 1));
    Some(problem.at(line).hint(&format!(
        "are the readings in {meant}? then the heading should say [{meant}]"
    )))
}
