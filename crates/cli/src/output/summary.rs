//! What a run found, on one screen: yield, scatters, rejects, capability, and what the reader must know.

use std::fmt::Write;

use study::record::{Output, Record, Reject};

use super::numbers::{count, decimals_for, fixed};
use super::plain::plain;
use super::table::{Side, row, set, wrapped};
use super::{capability, shares, supply, until, words};

/// The two scatters of the job: where the hub closes, and what force closes it.
const SCATTERS: [&str; 3] = ["draw_up", "closing_load", "closing_torque"];

/// The summary of a record, ending in a newline.
pub fn summary(record: &Record) -> String {
    let mut text = format!(
        "{}\n\n{}",
        plain(&record.subject.title),
        yield_lines(record)
    );
    part(&mut text, "Scatter", &scatter(record));
    part(&mut text, "Rejects by first broken limit", &rejects(record));
    part(&mut text, "From lot to lot", &supply::lots(record));
    part(&mut text, "Inspection", &supply::inspection(record));
    part(&mut text, "Capability", &capability::table(record));
    part(&mut text, "Know this", &warnings(record));
    let _ = write!(text, "\n{}{}", until::lines(record), what_ran(record));
    text
}

fn part(text: &mut String, head: &str, body: &str) {
    if !body.is_empty() {
        let _ = write!(text, "\n{head}\n{body}");
    }
}

/// The yield in counts, its interval, and how it stands against what was asked for.
fn yield_lines(record: &Record) -> String {
    let share = &record.yield_;
    let confidence = confidence(share.confidence);
    let [value, low, high] = shares::percent(share.fraction, share.low, share.high);
    let (n, good) = (count(share.pairings), count(share.good));
    let mut text = match &record.doubt {
        Some(doubt) => supply::doubt_lines(record, doubt),
        None => String::new(),
    };
    text += &if share.good == share.pairings {
        let all = if record.pairings == 1 {
            "The only joint is good".to_owned()
        } else {
            format!("All {n} joints are good")
        };
        format!("{all}: at least {low} % ({confidence})\n")
    } else if share.good == 0 {
        format!("None of {n} joints is good: at most {high} % ({confidence})\n")
    } else {
        format!("Of {n} joints {good} are good: {value} % ({low} to {high} %, {confidence})\n")
    };
    if let Some(target) = record.target_yield {
        let asked = stated_percent(target);
        let verdict = if record.doubt.is_some() {
            supply::verdict(record, target)
        } else if share.low >= target {
            "met, with the whole interval above it"
        } else if share.high < target {
            "not met, with the whole interval below it"
        } else {
            "open: it lies within the interval; more pairings narrow it"
        };
        let _ = writeln!(text, "Asked for: {asked} %: {verdict}");
    }
    text
}

fn scatter(record: &Record) -> String {
    let followed: Vec<&Output> = SCATTERS
        .iter()
        .filter_map(|name| record.output(name))
        .collect();
    if followed.is_empty() {
        return String::new();
    }
    let mut rows = vec![row([
        "", "mean", "sd", "0.135 %", "50 %", "99.865 %", "", "",
    ])];
    rows.extend(
        followed
            .iter()
            .map(|output| scatter_row(output, record.pairings)),
    );
    use Side::{Left, Right};
    set(
        &[Left, Right, Right, Right, Right, Right, Left, Left],
        &rows,
    )
}

fn scatter_row(output: &Output, pairings: u64) -> Vec<String> {
    let (factor, unit) = words::unit(&output.unit);
    let decimals = decimals_for(output.sd.or(output.mean).unwrap_or(1.0) * factor, 3);
    let show = |value: Option<f64>| match value {
        Some(value) => fixed(value * factor, decimals),
        None => "-".to_owned(),
    };
    let quantile = |share: &str| show(output.quantiles.get(share).map(|q| q.value));
    vec![
        plain(&output.words),
        show(output.mean),
        show(output.sd),
        quantile("0.00135"),
        quantile("0.5"),
        quantile("0.99865"),
        unit,
        remarks(output, pairings),
    ]
}

/// How many pairings a scatter leaves out, or heaps at one value.
fn remarks(output: &Output, pairings: u64) -> String {
    let mut remarks = Vec::new();
    if output.present < pairings {
        remarks.push(format!(
            "of {} pairings that have it",
            count(output.present)
        ));
    }
    if let (Some(at_atom @ 1..), Some(atom)) = (output.at_atom, output.atom) {
        remarks.push(format!("{} at {atom}", count(at_atom)));
    }
    remarks.join(", ")
}

fn rejects(record: &Record) -> String {
    let seen: Vec<&Reject> = record
        .rejects
        .iter()
        .filter(|reject| reject.count > 0)
        .collect();
    let mut rows = vec![row(["", "joints", "share", "interval", ""])];
    for reject in &seen {
        let [value, low, high] = shares::percent(reject.fraction, reject.low, reject.high);
        rows.push(vec![
            words::verdict(&reject.mode, words::Seat::of(record)),
            count(reject.count),
            format!("{value} %"),
            format!("{low} to {high} %"),
            remarks_on(reject, record),
        ]);
    }
    use Side::{Left, Right};
    let mut text = if seen.is_empty() {
        String::new()
    } else {
        set(&[Left, Right, Right, Right, Left], &rows)
    };
    text.push_str(&none_seen(record));
    text
}

fn remarks_on(reject: &Reject, record: &Record) -> String {
    let remarks = [which(reject, record), also(reject)];
    let said: Vec<&str> = remarks
        .iter()
        .map(String::as_str)
        .filter(|remark| !remark.is_empty())
        .collect();
    said.join("; ")
}

/// Limits that are named before the others are only counted.
const NAMED: usize = 2;

/// Which limits stand behind `another limit broken`, the most broken first.
fn which(reject: &Reject, record: &Record) -> String {
    if reject.mode != "other_limit" {
        return String::new();
    }
    let mut broken: Vec<_> = record
        .broken_limits
        .iter()
        .filter(|limit| limit.mode == reject.mode && limit.count > 0)
        .collect();
    broken.sort_by_key(|limit| std::cmp::Reverse(limit.count));
    let names: Vec<String> = broken
        .iter()
        .take(NAMED)
        .map(|limit| words::broken_limit(&limit.name, words::Seat::of(record)))
        .collect();
    match broken.len().saturating_sub(NAMED) {
        0 => names.join(", "),
        more => format!("{} and {more} more", names.join(", ")),
    }
}

fn also(reject: &Reject) -> String {
    match reject.also_broken {
        0 => String::new(),
        n => format!("{} break another limit too", count(n)),
    }
}

/// The limits that no joint broke: with a bound, since nothing seen is not never.
fn none_seen(record: &Record) -> String {
    let unseen: Vec<_> = record
        .broken_limits
        .iter()
        .filter(|limit| limit.count == 0)
        .collect();
    let Some(high) = unseen.iter().map(|limit| limit.high).reduce(f64::max) else {
        return String::new();
    };
    let names: Vec<String> = unseen
        .iter()
        .map(|limit| words::broken_limit(&limit.name, words::Seat::of(record)))
        .collect();
    let each = if names.len() > 1 { "each " } else { "" };
    wrapped(&format!(
        "none seen: {}; {each}fewer than {} ({})",
        names.join(", "),
        shares::fewer_than(high),
        confidence(record.confidence)
    ))
}

fn warnings(record: &Record) -> String {
    record
        .warnings
        .iter()
        .map(|warning| wrapped(&plain(warning)))
        .collect()
}

/// What must be the same for the same numbers.
fn what_ran(record: &Record) -> String {
    let hash: String = record.scenario_hash.chars().take(12).collect();
    format!(
        "Ran {} pairings with seed {}, random stream {}, scenario {}\n",
        count(record.pairings),
        record.seed,
        record.stream_version,
        plain(&hash)
    )
}

/// `95 %`.
fn confidence(confidence: f64) -> String {
    format!("{} %", stated_percent(confidence))
}

/// A stated fraction in per cent, with the digits it was stated with: `0.995` is `99.5`.
fn stated_percent(fraction: f64) -> String {
    capability::trimmed(fraction * 100.0)
}

#[cfg(test)]
mod tests;
