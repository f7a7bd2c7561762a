//! Why joints are rejected: the bars, what was never seen, and every limit wherever it is broken.

use record::{BrokenLimit, Record, Reject};

use super::{paragraph, section, table};
use crate::chart::Figures;
use crate::figure;
use crate::mode::{self, Mode};
use crate::seat::Seat;
use crate::text::escape;
use crate::unit::Unit;

/// Writes the section.
pub fn write(record: &Record, figures: &Figures) -> String {
    let mut body = match &figures.rejects {
        Some(figure) => figure.html(),
        None => paragraph("No joint was rejected, so there is nothing to rank."),
    };
    body.push_str(&unseen(record));
    body.push_str(&broken(record));
    section("Why joints are rejected", &body)
}

fn unseen(record: &Record) -> String {
    let none: Vec<&Reject> = record.rejects.iter().filter(|r| r.count == 0).collect();
    let Some(first) = none.first() else {
        return String::new();
    };
    let names: Vec<String> = none
        .iter()
        .map(|r| escape(&Mode::of(&r.mode, Seat::of(record)).label))
        .collect();
    let each = if none.len() > 1 { "; of each " } else { ", " };
    paragraph(&format!(
        "Not seen as first cause: {}{each}{} ({}).",
        names.join(", "),
        figure::fewer_than(first.high),
        figure::confidence(record.confidence)
    ))
}

fn broken(record: &Record) -> String {
    if record.broken_limits.is_empty() {
        return String::new();
    }
    let rows: Vec<Vec<String>> = record
        .broken_limits
        .iter()
        .map(|b| row(b, record))
        .collect();
    table(
        "Every limit, counted wherever it is broken (one joint may break several)",
        &[
            "limit",
            "value",
            "pairings that break it",
            "share of all joints",
        ],
        &rows,
    )
}

fn row(b: &BrokenLimit, record: &Record) -> Vec<String> {
    let value = b.limit.map_or("—".to_owned(), |v| {
        escape(&Unit::of(&b.unit, v).stated(v))
    });
    let share = figure::share(
        b.count,
        record.yield_.pairings,
        (b.fraction, b.low, b.high),
        record.confidence,
    );
    let count = if b.count == 0 {
        "none".to_owned()
    } else {
        figure::count(b.count)
    };
    vec![
        escape(&mode::limit_words(&b.name, Seat::of(record))),
        value,
        count,
        share,
    ]
}
