//! The rule that could end a run: what was asked, how often it was looked at, what that does to the interval.

use record::{HalfWidth, Record, Until};

use crate::figure;
use crate::text::{html, shell_word};

/// What looking and stopping does to the interval: measured by `crates/study/src/until/coverage.rs`.
const MEASURED: &str = "Looking often and stopping at a good moment changes what an interval covers, so it was measured under this very rule, in 33 \
    cases of 20\u{202F}000 simulated runs each (reject rates from 1 ppm to 20\u{A0}%, ends after 1.6 to 14 million pairings): the stated 95\u{A0}% \
    interval held the true rate in 94.6 to 99.1\u{A0}% of the runs of a case (standard error 0.15\u{A0}%). The rate found was off by 0.2 of its \
    standard error on average where a run ends with a handful of rejects, by 0.1 with about twenty, by 0.02 and less with a thousand: too low under a \
    rule in ppm or per cent of the pairings, too high under a part of the reject rate.";

/// Confidence of the intervals that were measured.
const MEASURED_AT: f64 = 0.95;

/// The lines of the section on intervals; none for a run without a rule.
pub fn lines(record: &Record) -> Vec<String> {
    let Some(until) = &record.until else {
        return Vec::new();
    };
    let mut lines = vec![rule(record, until), MEASURED.to_owned()];
    if record.confidence != MEASURED_AT {
        lines.push(format!(
            "Intervals of {}, as in this report, were not measured.",
            figure::confidence(record.confidence)
        ));
    }
    lines
}

/// Rule, pairings, looks.
fn rule(record: &Record, until: &Until) -> String {
    let stated = html(&until.stated);
    let most = figure::pairings(until.most_pairings);
    let done = figure::pairings(record.pairings);
    let end = match (record.pairings < until.most_pairings, until.met) {
        _ if until.most_pairings < until.first_look => {
            format!("It was not looked at: {most} were allowed, fewer than before the first look")
        }
        (true, _) => format!("It ended after {done}, of {most} at most"),
        (false, true) => format!("That was met only with the most allowed, {most}"),
        (false, false) => format!("That was not met with the most allowed, {most}"),
    };
    format!(
        "The run was to end by the rule \"{stated}\". Half-width means half the width of the {} interval of the reject rate, all rejects together. {end}; {}. \
         The interval is looked at after every {}, for the first time after {}, in the order of the pairings.",
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture;

    fn record(half_width: HalfWidth, pairings: u64) -> Record {
        let mut record = fixture::impeller();
        record.until = Some(Until {
            stated: "half-width <50> ppm".to_owned(),
            half_width,
            reached: 4.9e-5,
            met: record.pairings == pairings,
            most_pairings: pairings,
            first_look: 1_048_576,
            look_every: 65_536,
        });
        record
    }

    #[test]
    fn rule_looks_and_end_are_said_as_the_record_has_them() {
        let all = record(HalfWidth::Absolute(5e-5), 4_000_000);
        let said = lines(&all).join(" ");
        for part in [
            "half-width &lt;50&gt; ppm",
            "It ended after 1\u{202F}000\u{202F}000 pairings, of 4\u{202F}000\u{202F}000 pairings at most",
            "the half-width is 49.0\u{A0}ppm.",
            "after every 65\u{202F}536 pairings, for the first time after 1\u{202F}048\u{202F}576 pairings",
        ] {
            assert!(said.contains(part), "{part}: {said}");
        }
        let never = lines(&record(HalfWidth::Absolute(5e-5), 1_000_000)).join(" ");
        assert!(never.contains("It was not looked at"), "{never}");
        let mut all = record(HalfWidth::Absolute(5e-5), 2_000_000);
        all.pairings = 2_000_000;
        all.confidence = 0.9;
        all.until.as_mut().expect("a rule").met = true;
        let met = lines(&all).join(" ");
        assert!(met.contains("met only with the most allowed"), "{met}");
        assert!(met.contains("Intervals of 90"), "{met}");
        assert!(lines(&fixture::impeller()).is_empty());
    }

    #[test]
    fn a_relative_rule_is_answered_as_a_part_of_the_reject_rate() {
        let mut relative = record(HalfWidth::OfRejectRate(0.05), 4_000_000);
        relative.yield_.good = relative.pairings - 1000;
        let said = lines(&relative).join(" ");
        // 49 ppm of a rate of 1000 ppm.
        assert!(said.contains("4.90\u{A0}% of the reject rate"), "{said}");
        relative.yield_.good = relative.pairings;
        assert!(!lines(&relative).join(" ").contains("% of the reject rate;"));
    }

    #[test]
    fn the_rule_of_a_command_line_comes_back_as_its_option() {
        let mut record = record(HalfWidth::Absolute(5e-5), 4_000_000);
        assert_eq!(option(&record), "");
        record.scenario.overrides = vec![record::Override {
            path: PATH.to_owned(),
            value: "half-width 50 ppm".to_owned(),
        }];
        assert_eq!(option(&record), " --until 'half-width 50 ppm'");
    }
}
