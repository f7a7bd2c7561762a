//! The rule that could end a run: what was asked, how often it was looked at, what that does to the interval.

use record::{HalfWidth, Record, Until};

use crate::figure;
use crate::text::{html, shell_word};

/// What looking and stopping does to the interval: measured by `crates/study/src/until/coverage.rs`.
const MEASURED: &str = "";

/// The lines of the section on intervals; none for a run without a rule.
pub fn lines(record: &Record) -> Vec<String> {
    let Some(until) = &record.until else {
        return Vec::new();
    };
    vec![rule(record, until), MEASURED.to_owned()]
}

/// Rule, pairings, looks.
fn rule(record: &Record, until: &Until) -> String {
    let stated = html(&until.stated);
    let most = figure::pairings(until.most_pairings);
    let done = figure::pairings(record.pairings);
    let end = match (record.pairings < until.most_pairings, until.met) {
        (true, _) => format!("It ended after {done}, of {most} at most"),
        (false, true) => format!("That was met only with the most allowed, {most}"),
        (false, false) => format!("That was not met with the most allowed, {most}"),
    };
    format!(
        "The run was to end at a {stated}: half the width of the {} interval of the reject rate, all rejects together. {end}; {}. \
         The interval was looked at after every {}, for the first time after {}, in the order of the pairings.",
        figure::confidence(record.confidence),
        reached(record, until),
        figure::pairings(until.look_every),
        figure::pairings(until.first_look),
    )
}

fn reached(record: &Record, until: &Until) -> String {
    let ppm = figure::with_unit(&figure::significant(1e6 * until.reached, 3), "ppm");
    let rejects = record.pairings.saturating_sub(record.yield_.good);
    match until.half_width {
        HalfWidth::OfRejectRate(_) if rejects > 0 => {
            let rate = rejects as f64 / record.pairings as f64;
            let part = figure::significant(100.0 * until.reached / rate, 3);
            let part = figure::with_unit(&part, "%");
            format!("the half-width is {ppm}, {part} of the reject rate")
        }
        _ => format!("the half-width is {ppm}"),
    }
}

/// The options that run it again, for a rule that the command line gave; a rule in the file needs none.
pub fn option(record: &Record) -> String {
    let overrides = &record.scenario.overrides;
    match overrides.iter().rfind(|change| change.path == PATH) {
        Some(change) => format!(" --until {}", shell_word(&change.value)),
        None => String::new(),
    }
}

/// Path of the rule in a scenario.
pub const PATH: &str = "run.until";
