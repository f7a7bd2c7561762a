//! What stands behind the processes: files of readings, and correlations between characteristics of one part.

use record::{Correlation, Readings, Record};

use super::{paragraph, sheet, with_small, words_of};
use crate::figure;
use crate::text::html;

/// Letters of a hash that are shown; all of them are in the table of numbers and in the record.
const HASH: usize = 12;

/// Both tables; nothing for a record without readings and correlations.
pub fn tables(record: &Record) -> String {
    format!("{}{}", correlations(record), files(record))
}

fn correlations(record: &Record) -> String {
    if record.correlations.is_empty() {
        return String::new();
    }
    let heads = [
        ("characteristics", "text"),
        ("kind", "text"),
        ("stated", "num"),
        ("as drawn", "num"),
    ];
    let rows: Vec<Vec<String>> = record
        .correlations
        .iter()
        .map(|c| correlation(record, c))
        .collect();
    sheet("Correlated characteristics", &heads, &rows)
        + &paragraph(
            "As drawn: counted over the first parts of the run, before inspection. It differs from what is stated by the chance of so many parts.",
        )
}

fn correlation(record: &Record, c: &Correlation) -> Vec<String> {
    let [a, b] = &c.between;
    let shown = |value: f64| figure::signed(value, 3);
    // What was stated leads; the other kind stands under it.
    let (kind, drawn, other) = match c.kind.as_str() {
        "rank" => (
            "rank".to_owned(),
            c.drawn_rank,
            format!("linear {}", shown(c.drawn_linear)),
        ),
        "linear" => (
            "linear".to_owned(),
            c.drawn_linear,
            format!("rank {}", shown(c.drawn_rank)),
        ),
        other => (
            html(other),
            c.drawn_rank,
            format!("linear {}", shown(c.drawn_linear)),
        ),
    };
    vec![
        format!("{} with {}", words_of(record, a), words_of(record, b)),
        kind,
        figure::stated_signed(c.stated),
        with_small(
            &shown(drawn),
            &format!("{other}; {} parts", figure::count(c.pairs)),
        ),
    ]
}

fn files(record: &Record) -> String {
    if record.readings.is_empty() {
        return String::new();
    }
    let heads = [
        ("lot", "text"),
        ("file", "text"),
        ("columns used", "text"),
        ("rows", "num"),
        ("dropped", "num"),
        ("hash", "text"),
    ];
    let rows: Vec<Vec<String>> = record.readings.iter().map(file).collect();
    sheet("Readings behind the processes", &heads, &rows)
        + &paragraph(
            "A row is dropped when one of its readings is missing. The readings that were used are kept in the record; the hash (SHA-256, its beginning) tells which file they came from.",
        )
}

fn file(r: &Readings) -> Vec<String> {
    let columns: Vec<String> = r
        .columns
        .iter()
        .map(|c| match c.unit.as_str() {
            "" => html(&c.name),
            unit => format!("{} ({})", html(&c.name), html(unit)),
        })
        .collect();
    let hash: String = r.sha256.chars().take(HASH).collect();
    vec![
        html(&r.lot),
        html(&r.file),
        columns.join(", "),
        figure::count(r.rows),
        match r.dropped {
            0 => "none".to_owned(),
            n => figure::count(n),
        },
        format!("<code>{}</code>", html(&hash)),
    ]
}
