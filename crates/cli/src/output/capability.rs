//! Capability of each judged output: Cpk and the percentile Ppk, each with its interval or the reason for its absence.

use study::record::{Index, Limits, Output, Record};

use super::numbers::{fixed, significant};
use super::plain::plain;
use super::table::{Side, row, set};
use super::words;

/// The table for the judged outputs; empty when nothing is judged.
pub fn table(record: &Record) -> String {
    let judged: Vec<(&Output, &Limits)> = record
        .outputs
        .iter()
        .filter_map(|output| Some((output, output.limits.as_ref()?)))
        .collect();
    if judged.is_empty() {
        return String::new();
    }
    let moves = moves(record);
    let mut rows = vec![if moves {
        row(["", "limits", "Cpk within", "Ppk overall", "percentile", ""])
    } else {
        row(["", "limits", "Cpk = Ppk, normal", "percentile", ""])
    }];
    rows.extend(judged.iter().map(|(output, limits)| {
        let mut cells = vec![
            plain(&output.words),
            limits_in_words(limits, &output.unit),
            index(output.cpk),
        ];
        cells.extend(moves.then(|| index(output.ppk)));
        cells.extend([index(output.ppk_percentile), shape(output)]);
        cells
    }));
    let mut text = set(&[Side::Left; 6][..if moves { 6 } else { 5 }], &rows);
    for (output, _) in judged {
        text.push_str(&reasons(output));
    }
    if moves {
        text += "  within: one lot, one state of the tool; overall: all lots, the whole life of a tool\n";
    }
    text
}

/// Whether the mean of some process moves, so that the indices within and overall differ.
fn moves(record: &Record) -> bool {
    record
        .characteristics
        .iter()
        .any(|c| !c.process.slow.is_empty())
}

fn index(index: Option<Index>) -> String {
    index.map_or_else(
        || "-".to_owned(),
        |i| {
            format!(
                "{} ({} to {})",
                fixed(i.value, 2),
                fixed(i.low, 2),
                fixed(i.high, 2)
            )
        },
    )
}

fn shape(output: &Output) -> String {
    if output.shape_normal {
        ""
    } else {
        "shape not normal"
    }
    .to_owned()
}

/// Why an index of an output is left out.
fn reasons(output: &Output) -> String {
    [
        ("cpk", "normal index"),
        ("ppk_percentile", "percentile index"),
    ]
    .iter()
    .filter_map(|(key, name)| {
        let reason = output.absent.get(*key)?;
        Some(format!(
            "  no {name} for {}: {}\n",
            plain(&output.words),
            plain(reason)
        ))
    })
    .collect()
}

/// `at least 6 kN`, `6 to 9 kN`.
pub fn limits_in_words(limits: &Limits, unit: &str) -> String {
    let (factor, unit) = words::unit(unit);
    let show = |value: f64| trimmed(value * factor);
    let text = match (limits.min, limits.max) {
        (Some(min), Some(max)) => format!("{} to {} {unit}", show(min), show(max)),
        (Some(min), None) => format!("at least {} {unit}", show(min)),
        (None, Some(max)) => format!("at most {} {unit}", show(max)),
        (None, None) => String::new(),
    };
    text.trim_end().to_owned()
}

/// A stated value without the zeros that nobody stated.
pub fn trimmed(value: f64) -> String {
    let text = significant(value, 9);
    match text.contains('.') {
        true => text.trim_end_matches('0').trim_end_matches('.').to_owned(),
        false => text,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn limits_read_as_a_person_states_them() {
        let limits = |min, max| Limits { min, max };
        assert_eq!(
            limits_in_words(&limits(Some(6000.0), None), "N"),
            "at least 6 kN"
        );
        assert_eq!(
            limits_in_words(&limits(None, Some(160.0)), "MPa"),
            "at most 160 MPa"
        );
        assert_eq!(
            limits_in_words(&limits(Some(-0.25), Some(0.1)), "mm"),
            "-0.25 to 0.1 mm"
        );
        assert_eq!(
            limits_in_words(&limits(Some(0.5), None), ""),
            "at least 0.5"
        );
    }

    #[test]
    fn stated_values_lose_only_empty_zeros() {
        for (value, text) in [
            (29.682, "29.682"),
            (100.0, "100"),
            (0.000_012, "0.000012"),
            (12_000.0, "12,000"),
        ] {
            assert_eq!(trimmed(value), text);
        }
    }
}
