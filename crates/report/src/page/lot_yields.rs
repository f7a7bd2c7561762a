//! From lot to lot: how the yield varies where the mean of a process does.

use record::{LotYields, Record};

use super::{listed, paragraph, section, table, words_of};
use crate::chart::{self, Figures};
use crate::figure;
use crate::text::{html, sentence};

/// Writes the section; nothing for a record without lots.
pub fn write(record: &Record, figures: &Figures) -> String {
    if record.lot_yields.is_empty() {
        return String::new();
    }
    let mut body = figures
        .lot_yields
        .as_ref()
        .map(|f| f.html())
        .unwrap_or_default();
    for lots in &record.lot_yields {
        body.push_str(&paragraph(&simulated(record, lots)));
    }
    body.push_str(&quantiles(&record.lot_yields));
    body.push_str(&paragraph(
        "Lots with the same means would differ too, because a lot is a finite number of joints; that chance is in these numbers, as it is in real lots of this size. \
         The yield of all lots together is the one of the answer.",
    ));
    section("From lot to lot", &body)
}

/// What is simulated of each lot, and what moves.
fn simulated(record: &Record, lots: &LotYields) -> String {
    let part = html(&sentence(&lots.part));
    let of_each = if lots.simulated_of_each >= lots.size {
        "every part of each was simulated".to_owned()
    } else {
        format!(
            "of each the first {} were simulated",
            match lots.simulated_of_each {
                1 => "part".to_owned(),
                n => format!("{} parts", figure::count(n)),
            }
        )
    };
    let moves: Vec<String> = lots.paths.iter().map(|p| words_of(record, p)).collect();
    let moves = match moves.len() {
        0 => String::new(),
        1 => format!(" From lot to lot the mean of the {} moves.", listed(&moves)),
        _ => format!(" From lot to lot the means of {} move.", listed(&moves)),
    };
    let alike = if chart::lots_spread(lots) {
        String::new()
    } else {
        format!(
            " All of them run alike: {}.",
            chart::yield_words(lots, lots.mean)
        )
    };
    format!(
        "{part}: {} of {} parts; {of_each}.{moves}{alike}",
        match lots.lots {
            1 => "one lot".to_owned(),
            n => format!("{} lots", figure::count(n)),
        },
        figure::count(lots.size),
    )
}

/// One column a part, one row a share of the lots.
fn quantiles(all: &[LotYields]) -> String {
    let mut shares: Vec<f64> = all
        .iter()
        .flat_map(|l| l.quantiles.iter().map(|q| q.0))
        .collect();
    shares.sort_by(f64::total_cmp);
    shares.dedup();
    let heads: Vec<String> = std::iter::once("lots".to_owned())
        .chain(
            all.iter()
                .map(|l| format!("yield of {} lots", crate::text::short(&l.part, 24))),
        )
        .collect();
    let heads: Vec<&str> = heads.iter().map(String::as_str).collect();
    let mut rows: Vec<Vec<String>> = shares
        .iter()
        .map(|share| row(&words(*share), all, |l| at(l, *share)))
        .collect();
    rows.push(row("mean of all", all, |l| Some(l.mean)));
    table("Yield of the lots", &heads, &rows)
}

fn at(lots: &LotYields, share: f64) -> Option<f64> {
    lots.quantiles.iter().find(|q| q.0 == share).map(|q| q.1)
}

fn row(name: &str, all: &[LotYields], of: impl Fn(&LotYields) -> Option<f64>) -> Vec<String> {
    let cells = all
        .iter()
        .map(|l| of(l).map_or("—".to_owned(), |value| chart::yield_words(l, value)));
    std::iter::once(name.to_owned()).chain(cells).collect()
}

/// A share of the lots as it is said at a table.
fn words(share: f64) -> String {
    let known = [
        (0.01, "1 lot in 100: at most"),
        (0.05, "1 lot in 20: at most"),
        (0.25, "1 lot in 4: at most"),
        (0.5, "half of the lots: at most"),
        (0.75, "3 lots in 4: at most"),
        (0.95, "19 lots in 20: at most"),
    ];
    let found = known.iter().find(|(s, _)| (s - share).abs() < 1e-9);
    found.map_or_else(
        || format!("{} of the lots: at most", figure::confidence(share)),
        |(_, words)| (*words).to_owned(),
    )
}
