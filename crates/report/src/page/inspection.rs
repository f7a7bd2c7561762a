//! Inspection and scrap: what inspection did to each kind of part, and what it takes to make one good joint.

use record::{Inspection, Record, Share, Throughput};

use super::{listed, paragraph, section, sheet, with_small, words_of};
use crate::figure;
use crate::text::{html, sentence};

/// Columns of the table with their classes.
const HEADS: [(&str, &str); 5] = [
    ("part", "text"),
    ("made", "num"),
    ("scrapped", "text"),
    ("scrapped although good", "text"),
    ("passed although bad", "text"),
];

/// Fewest and most decimals of a factor of the rolled throughput.
const DECIMALS: [usize; 2] = [4, 9];

/// Writes the section; nothing for a record without inspection.
pub fn write(record: &Record) -> String {
    if record.inspections.is_empty() {
        return String::new();
    }
    let rows: Vec<Vec<String>> = record
        .inspections
        .iter()
        .map(|i| row(i, record.confidence))
        .collect();
    let mut body = sheet("What inspection did to the parts", &HEADS, &rows);
    body.push_str(&paragraph(&format!(
        "All three shares are of the parts made, with {} intervals. Good and bad are meant against the drawing: a part is bad when an inspected characteristic truly lies outside it, whatever the gauge read. \
         What passes although bad goes to assembly and is counted there by what it does to the joint.",
        figure::confidence(record.confidence)
    )));
    body.push_str(&stated(record));
    if let Some(throughput) = &record.throughput {
        body.push_str("<h3>From parts to good joints</h3>\n");
        body.push_str(&rolled(record, throughput));
        body.push_str(&made(throughput));
        body.push_str(&paragraph(
            "First-pass yield of a step: what is good at the first go, out of all that entered it; what is scrapped or reworked does not count as good. \
             Rolled throughput is the product of the first-pass yields. Shares of parts are counted per parts made, shares of joints per joints assembled: they multiply, they do not add.",
        ));
    }
    section("Inspection and scrap", &body)
}

fn row(inspection: &Inspection, confidence: f64) -> Vec<String> {
    let cell = |share: &Share| counted(share, inspection.made, confidence);
    vec![
        html(&sentence(&inspection.part)),
        figure::count(inspection.made),
        cell(&inspection.scrapped),
        cell(&inspection.wrongly_scrapped),
        cell(&inspection.wrongly_passed),
    ]
}

/// The count and, in small print, the rate with its interval.
fn counted(share: &Share, made: u64, confidence: f64) -> String {
    let rate = figure::rate(
        share.count,
        made,
        (share.fraction, share.low, share.high),
        confidence,
    );
    match share.count {
        0 => with_small("none", &rate),
        n => with_small(&figure::count(n), &rate),
    }
}

/// How each characteristic is inspected.
fn stated(record: &Record) -> String {
    let mut lines = String::new();
    for (path, words) in record.inspections.iter().flat_map(|i| &i.stated) {
        lines.push_str(&format!(
            "<li>{}: {}</li>\n",
            words_of(record, path),
            html(words)
        ));
    }
    if lines.is_empty() {
        return String::new();
    }
    format!("<h3>How they are inspected</h3>\n<ul>\n{lines}</ul>\n")
}

/// The product written out.
fn rolled(record: &Record, throughput: &Throughput) -> String {
    let mut factors: Vec<f64> = record
        .inspections
        .iter()
        .map(|i| 1.0 - i.scrapped.fraction)
        .collect();
    factors.push(record.yield_.fraction);
    let all = || factors.iter().chain([&throughput.rolled]);
    let decimals = (DECIMALS[0]..DECIMALS[1])
        .find(|d| all().all(|f| !is_hidden(*f, *d)))
        .unwrap_or(DECIMALS[1]);
    let shown: Vec<String> = factors
        .iter()
        .map(|f| match *f {
            f if f == 0.0 || f == 1.0 => figure::stated(f),
            f => figure::fixed(f, decimals),
        })
        .collect();
    let parts: Vec<String> = record
        .inspections
        .iter()
        .map(|i| format!("{}s", html(&i.part)))
        .collect();
    let joints = match record.inspections.len() {
        1 => "joints".to_owned(),
        _ => "and joints".to_owned(),
    };
    let bounded = if factors.iter().any(|f| *f == 0.0 || *f == 1.0) {
        " A factor of 1 or 0 stands for none that failed, or none that passed, among those counted; its bound stands above."
    } else {
        ""
    };
    paragraph(&format!(
        "Rolled throughput, {} {joints}: {} = <strong>{}</strong> (factors rounded).{bounded}",
        match parts.len() {
            1 => format!("{} and", parts[0]),
            _ => parts.join(", "),
        },
        shown.join("\u{A0}× "),
        match throughput.rolled {
            0.0 => "0".to_owned(),
            rolled => figure::fixed(rolled, decimals),
        },
    ))
}

/// Whether a factor would be rounded to nothing or to all.
fn is_hidden(factor: f64, decimals: usize) -> bool {
    let half = 0.5 * figure::power(-(decimals as i32));
    (factor > 0.0 && factor < half) || (factor < 1.0 && factor >= 1.0 - half)
}

/// Parts made for each good joint.
fn made(throughput: &Throughput) -> String {
    let parts: Vec<String> = throughput
        .made_per_good
        .iter()
        .filter(|(_, made)| made.is_finite())
        .map(|(part, made)| format!("{} {}s", figure::significant(*made, 4), html(part)))
        .collect();
    if parts.is_empty() {
        return paragraph("No joint is good, so no number of parts leads to a good one.");
    }
    paragraph(&format!(
        "For every good joint {} are made.",
        listed(&parts)
    ))
}
