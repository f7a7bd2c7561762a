//! All characteristics in one table, and what the file held.

use record::{LotCharacteristic, LotStudy};

use super::super::paragraph;
use super::name;
use super::tables::{MOST, more, table};
use crate::chart::lot::{at_least, leading, two};
use crate::figure;
use crate::text::{self, html};

/// All characteristics, one a row.
pub fn all(all: &[LotCharacteristic]) -> String {
    let heads = [
        ("characteristic", "text"),
        ("readings", "num"),
        ("outside", "num"),
        ("leading index", "text"),
        ("seen", "num"),
        ("demonstrated", "num"),
        ("order", "text"),
    ];
    let row = |(i, c): (usize, &LotCharacteristic)| {
        let cap = c.capability.as_ref();
        let lead = cap.and_then(leading);
        let limited = c.lower.is_some() || c.upper.is_some();
        let dash = || "—".to_owned();
        vec![
            format!("<a href=\"#c{}\">{}</a>", i + 1, html(&name(c))),
            figure::count(c.n),
            if limited {
                figure::count(c.outside.0 + c.outside.1)
            } else {
                "no limits".to_owned()
            },
            lead.map_or_else(dash, |l| l.0.to_owned()),
            lead.map_or_else(dash, |l| two(l.1.value)),
            cap.and_then(|cap| cap.demonstrated)
                .map_or_else(dash, at_least),
            order_word(c).to_owned(),
        ]
    };
    let rows: Vec<Vec<String>> = all.iter().enumerate().map(row).collect();
    table("overview", "All characteristics", &heads, &rows)
}

/// The verdict on the order in a word.
fn order_word(c: &LotCharacteristic) -> &'static str {
    match c.order.verdict.as_str() {
        "steady" => "steady",
        "drift" => "drift",
        "shifts" => "shifts",
        _ => "not judged",
    }
}

/// What the file held, and what was left out.
pub fn file(study: &LotStudy) -> String {
    let file = &study.file;
    let blank = match file.blank_lines {
        0 => String::new(),
        1 => "; 1 blank line skipped".to_owned(),
        n => format!("; {} blank lines skipped", figure::count(n)),
    };
    let mut body = paragraph(&format!(
        "{}: {}{blank}. {}.",
        html(&file.name),
        super::rows(file.rows),
        html(&text::sentence(&file.written))
    ));
    let heads = [
        ("column", "text"),
        ("unit", "text"),
        ("what was done with it", "text"),
    ];
    let row = |(name, unit, done): &(String, String, String)| {
        let unit = if unit.is_empty() {
            "—".to_owned()
        } else {
            html(unit)
        };
        vec![html(name), unit, html(done)]
    };
    let rows: Vec<Vec<String>> = file.columns.iter().map(row).collect();
    body.push_str(&table("columns", "Columns", &heads, &rows));
    if !file.dropped.is_empty() {
        let heads = [
            ("line", "num"),
            ("column", "text"),
            ("what stood there", "text"),
        ];
        let row = |(line, column, found): &(u64, String, String)| {
            vec![figure::count(*line), html(column), html(found)]
        };
        let rows: Vec<Vec<String>> = file.dropped.iter().take(MOST).map(row).collect();
        body.push_str(&table(
            "dropped",
            "Missing readings, left out",
            &heads,
            &rows,
        ));
        body.push_str(&more(file.dropped.len()));
    }
    body
}
