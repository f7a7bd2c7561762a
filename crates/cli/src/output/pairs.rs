//! Solved pairings for people: one as a list, several as one line each.

use std::collections::BTreeMap;
use std::fmt::Write;

use study::Pair;

use super::capability::trimmed;
use super::numbers::{count, decimals_for, fixed};
use super::plain::plain;
use super::table::{Side, row, set};
use super::words;

/// Columns of the table of several pairings.
const COLUMNS: [&str; 7] = [
    "first_touch_mm",
    "draw_up_mm",
    "closing_torque_nm",
    "clamp_load_n",
    "seat_load_n",
    "contact_share",
    "bore_stress_mpa",
];

/// The pairings under the scenario's title, ending in a newline.
pub fn pairs(title: &str, pairs: &[Pair]) -> String {
    let body = match pairs {
        [pair] => single(pair),
        several => table(several),
    };
    format!("{}\n\n{body}", plain(title))
}

/// Rows that a caution names before it only counts them.
const NAMED: usize = 10;

/// What the hub of a pairing sits on: only teeth can be counted.
fn seat(pair: &Pair) -> words::Seat {
    let counts_teeth = |(key, _): &(&str, f64)| *key == "teeth_in_contact";
    if pair.outputs.iter().any(counts_teeth) {
        words::Seat::Teeth
    } else {
        words::Seat::Cone
    }
}

/// One pairing: what went in, what came out, the verdict.
fn single(pair: &Pair) -> String {
    use Side::{Left, Right};
    let sides = [Left, Right, Left];
    let inputs: Vec<_> = pair
        .inputs
        .iter()
        .map(|(path, value, unit)| {
            let (factor, unit) = words::unit(unit);
            vec![plain(path), trimmed(value * factor), unit]
        })
        .collect();
    let outputs: Vec<_> = pair
        .outputs
        .iter()
        .map(|(key, value)| {
            let (name, unit) = words::output(key);
            let (factor, unit) = words::unit(unit);
            vec![name, solved(value * factor), unit]
        })
        .collect();
    let mut text = format!(
        "Sizes\n{}\nSolved\n{}",
        set(&sides, &inputs),
        set(&sides, &outputs)
    );
    for (key, reason) in &pair.absent {
        if pair.never.contains(key) {
            continue;
        }
        let _ = writeln!(text, "  no {}: {}", words::output(key).0, plain(reason));
    }
    let _ = writeln!(
        text,
        "\nVerdict: {}",
        words::verdict(pair.verdict, seat(pair))
    );
    for name in &pair.broken {
        let _ = writeln!(text, "  broken: {}", words::broken_limit(name, seat(pair)));
    }
    for caution in &pair.cautions {
        let _ = writeln!(text, "\nKnow this: {caution}");
    }
    text
}

/// Several pairings, one line each, and how many are good.
fn table(pairs: &[Pair]) -> String {
    let mut names = row(["row", ""]);
    let mut units = row(["", ""]);
    for key in COLUMNS {
        let (name, unit) = words::output(key);
        names.push(name);
        units.push(words::unit(unit).1);
    }
    names.push("verdict".to_owned());
    names.push("broken limits".to_owned());
    let mut rows = vec![names, units];
    rows.extend(pairs.iter().map(line));
    let sides = [
        &[Side::Right, Side::Left][..],
        &[Side::Right; COLUMNS.len()],
        &[Side::Left; 2],
    ]
    .concat();
    let good = pairs.iter().filter(|pair| pair.verdict == "good").count();
    format!(
        "{}\n{} of {} pairings are good. Every output of each: --json\n{}",
        set(&sides, &rows),
        count(good as u64),
        count(pairs.len() as u64),
        cautions(pairs)
    )
}

/// Each caution once, with the rows that it is about.
fn cautions(pairs: &[Pair]) -> String {
    let mut rows: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    for pair in pairs {
        for caution in &pair.cautions {
            rows.entry(caution).or_default().push(pair.row.to_string());
        }
    }
    let line = |(caution, rows): (&str, Vec<String>)| {
        let more = rows.len().saturating_sub(NAMED);
        let named = rows[..rows.len() - more].join(", ");
        let rest = if more > 0 {
            format!(" and {more} more")
        } else {
            String::new()
        };
        format!("\nKnow this of row {named}{rest}: {caution}\n")
    };
    rows.into_iter().map(line).collect()
}

fn line(pair: &Pair) -> Vec<String> {
    let name = pair.name.as_deref().map(plain).unwrap_or_default();
    let mut cells = vec![pair.row.to_string(), name];
    for key in COLUMNS {
        let found = pair.outputs.iter().find(|(name, _)| *name == key);
        cells.push(found.map_or_else(
            || "-".to_owned(),
            |(_, value)| solved(value * words::unit(words::output(key).1).0),
        ));
    }
    let broken: Vec<String> = pair
        .broken
        .iter()
        .map(|name| words::broken_limit(name, seat(pair)))
        .collect();
    cells.extend(row([
        &words::verdict(pair.verdict, seat(pair)),
        &broken.join(", "),
    ]));
    cells
}

/// Four significant digits, six decimals at most: rounding errors of a zero are not shown as values.
fn solved(value: f64) -> String {
    let decimals = decimals_for(value, 4);
    fixed(value, if decimals > 9 { 3 } else { decimals.min(6) })
}

#[cfg(test)]
pub mod tests {
    use super::*;
    use std::collections::BTreeSet;

    /// A pairing with a gap, for tests.
    pub fn with_gap() -> Pair {
        Pair {
            row: 3,
            name: Some("tray 1\u{7}".to_owned()),
            inputs: vec![("shaft.gauge_diameter".to_owned(), 29.994, "mm")],
            outputs: vec![("draw_up_mm", 0.1523), ("clamp_load_n", 0.0)],
            absent: BTreeMap::from([("mismatch_ratio", "no interference")]),
            never: BTreeSet::new(),
            verdict: "gap_left",
            broken: vec!["gap_left".to_owned(), "clamp_load.min".to_owned()],
            cautions: vec!["Partial contact."],
        }
    }

    #[test]
    fn one_pairing_is_a_list_with_reasons_and_broken_limits() {
        let text = pairs("Pump\u{7}", &[with_gap()]);
        for part in [
            r"Pump\u{7}",
            "shaft.gauge_diameter  29.994  mm",
            "draw-up to close  0.1523  mm",
            "no mismatch ratio: no interference",
            "Verdict: gap left at the spacer",
            "broken: clamp load below its minimum",
            "Know this: Partial contact.",
        ] {
            assert!(text.contains(part), "{part}: {text}");
        }
    }

    #[test]
    fn several_pairings_are_lines_with_a_count_of_the_good() {
        let good = Pair {
            row: 4,
            verdict: "good",
            broken: Vec::new(),
            ..with_gap()
        };
        let text = pairs("Pump", &[with_gap(), good]);
        assert!(text.contains("1 of 2 pairings are good"), "{text}");
        assert!(
            text.ends_with("\nKnow this of row 3, 4: Partial contact.\n"),
            "{text}"
        );
        assert!(text.contains(r"3  tray 1\u{7}  "), "{text}");
        let first = text
            .lines()
            .find(|line| line.trim_start().starts_with("3 "))
            .unwrap();
        assert!(
            first.contains("gap left at the spacer, clamp load below its minimum"),
            "{text}"
        );
    }
}
