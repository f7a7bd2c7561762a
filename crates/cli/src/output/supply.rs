//! Where the parts come from, on the summary: the doubt of few readings, lots, inspection and what it costs in parts.

use study::record::{Doubt, Inspection, Record, Share};

use super::ladder::ordinary;
use super::numbers::{count, fixed, significant};
use super::plain::plain;
use super::table::{Side, row, set, wrapped};
use super::{capability, shares};

/// The line that leads where processes come from readings, and what the line of the pairings stands for then.
pub fn doubt_lines(record: &Record, doubt: &Doubt) -> String {
    let Some(finding) = report::doubt_finding(record) else {
        return String::new();
    };
    format!(
        "{} ({} %): readings leave that open, {} behind a process at the fewest\nBy the pairings alone, the processes exactly as read:\n",
        ordinary(&finding),
        capability::trimmed(doubt.confidence * 100.0),
        count(doubt.readings)
    )
}

/// How the yield stands against what was asked for, by the ends of the wide interval.
pub fn verdict(record: &Record, target: f64) -> &'static str {
    let [low, high] = record.yield_between();
    if low >= target {
        "met, with the whole wide interval above it"
    } else if high < target {
        "not met, with the whole wide interval below it"
    } else {
        "open: it lies within the wide interval, whose lower end counts; more readings narrow it"
    }
}

/// One line a part: how low its worst lots run.
pub fn lots(record: &Record) -> String {
    let each = record.lot_yields.iter();
    each.map(|lots| wrapped(&ordinary(&report::lots_finding(std::slice::from_ref(lots)))))
        .collect()
}

/// What inspection did to each part, and what it leaves together with assembly.
pub fn inspection(record: &Record) -> String {
    if record.inspections.is_empty() {
        return String::new();
    }
    let mut rows = vec![row([
        "",
        "made",
        "scrapped",
        "of those made",
        "scrapped though good",
        "passed though bad",
    ])];
    rows.extend(record.inspections.iter().map(inspected));
    let sides = [&[Side::Left][..], &[Side::Right; 5]].concat();
    set(&sides, &rows) + &throughput(record)
}

fn inspected(i: &Inspection) -> Vec<String> {
    vec![
        plain(&i.part),
        count(i.made),
        count(i.scrapped.count),
        share(&i.scrapped),
        count(i.wrongly_scrapped.count),
        count(i.wrongly_passed.count),
    ]
}

/// A share with its interval; of nothing seen, the bound.
fn share(share: &Share) -> String {
    if share.count == 0 {
        return format!("fewer than {}", shares::fewer_than(share.high));
    }
    let [value, low, high] = shares::percent(share.fraction, share.low, share.high);
    format!("{value} % ({low} to {high} %)")
}

fn throughput(record: &Record) -> String {
    let Some(all) = &record.throughput else {
        return String::new();
    };
    let mut text = wrapped(&format!(
        "Rolled throughput, inspection and assembly: {} %",
        fixed(all.rolled * 100.0, 2)
    ));
    let parts: Vec<String> = all
        .made_per_good
        .iter()
        .filter(|(_, made)| made.is_finite())
        .map(|(part, made)| format!("{} {}", plain(part), significant(*made, 4)))
        .collect();
    if !parts.is_empty() {
        text += &wrapped(&format!("Parts made per good joint: {}", parts.join(", ")));
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_scrapped_is_a_bound() {
        let share_of = |count, fraction, low, high| {
            share(&Share {
                count,
                fraction,
                low,
                high,
            })
        };
        assert_eq!(share_of(0, 0.0, 0.0, 3.689e-6), "fewer than 4 in a million");
        assert_eq!(
            share_of(12_310, 0.012_16, 0.011_95, 0.012_38),
            "1.22 % (1.19 to 1.24 %)"
        );
    }
}
