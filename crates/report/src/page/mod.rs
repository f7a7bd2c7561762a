//! The page: one HTML file, in the order in which a meeting reads it.
//!
//! It is written so that it is well-formed XML as well as HTML; no script, nothing fetched.

mod answer;
mod bolt;
mod capability;
mod head;
mod later;
mod method;
mod parts;
mod play;
mod rejects;
mod seat;

use record::Record;

use crate::chart::Figures;
use crate::style;
use crate::text::{escape, visible};

/// Nothing may be loaded or run; only the style of the page itself counts.
const POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'; img-src data:";

/// Writes the page.
pub fn write(record: &Record, figures: &Figures) -> String {
    let mut page = String::with_capacity(400_000);
    page.push_str(
        "<!DOCTYPE html>\n<html lang=\"en\" dir=\"ltr\">\n<head>\n<meta charset=\"utf-8\"/>\n",
    );
    page.push_str(&format!(
        "<meta http-equiv=\"Content-Security-Policy\" content=\"{POLICY}\"/>\n"
    ));
    page.push_str("<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n");
    page.push_str("<meta name=\"referrer\" content=\"no-referrer\"/>\n");
    page.push_str(&format!(
        "<title>{}</title>\n",
        escape(&visible(&title(record)))
    ));
    page.push_str(&format!(
        "<style>\n{}{}</style>\n</head>\n<body>\n",
        style::chart_rules(),
        style::PAGE_RULES
    ));
    let sections = [
        head::write(record),
        answer::write(record, &figures.field),
        joint(figures),
        seat::write(record, figures),
        torque(record, figures),
        rejects::write(record, figures),
        play::write(record, figures),
        later::write(record, figures),
        capability::write(record, figures),
        parts::write(record),
        method::write(record),
    ];
    page.push_str("<main>\n");
    for section in sections {
        page.push_str(&section);
    }
    page.push_str("</main>\n</body>\n</html>\n");
    page
}

/// The title of the scenario, or its name.
fn title(record: &Record) -> String {
    let title = record.subject.title.trim();
    if title.is_empty() {
        record.scenario.name.clone()
    } else {
        title.to_owned()
    }
}

/// A section under a heading; nothing when it has no body.
fn section(heading: &str, body: &str) -> String {
    if body.is_empty() {
        return String::new();
    }
    format!(
        "<section>\n<h2>{}</h2>\n{body}</section>\n",
        escape(heading)
    )
}

/// A paragraph of our own words (already safe).
fn paragraph(markup: &str) -> String {
    format!("<p>{markup}</p>\n")
}

fn joint(figures: &Figures) -> String {
    section("The joint", &figures.joint.html())
}

fn torque(record: &Record, figures: &Figures) -> String {
    let chart = figures.torque.as_ref().map(|f| f.html());
    section(
        "What the torque buys",
        &(chart.unwrap_or_default() + &bolt::write(record)),
    )
}

/// One cell of a table, with the heading that a telephone shows before it.
fn cell(heading: &str, class: &str, markup: &str) -> String {
    let class = if class.is_empty() {
        String::new()
    } else {
        format!(" class=\"{class}\"")
    };
    format!("<td{class} data-head=\"{}\">{markup}</td>", escape(heading))
}

/// A table whose first column names the row. Cells are markup.
fn table(caption: &str, heads: &[&str], rows: &[Vec<String>]) -> String {
    let numeric = |i: usize| if i > 0 { "num" } else { "" };
    let mut out = table_head(caption);
    for (i, head) in heads.iter().enumerate() {
        let class = if i > 0 { " class=\"num\"" } else { "" };
        out.push_str(&format!("<th scope=\"col\"{class}>{}</th>", escape(head)));
    }
    out.push_str("</tr></thead>\n<tbody>\n");
    for row in rows {
        out.push_str("<tr>");
        for (i, markup) in row.iter().enumerate() {
            if i == 0 {
                out.push_str(&format!("<th scope=\"row\">{markup}</th>"));
            } else {
                out.push_str(&cell(heads.get(i).unwrap_or(&""), numeric(i), markup));
            }
        }
        out.push_str("</tr>\n");
    }
    out.push_str("</tbody>\n</table>\n");
    out
}

/// The heading of a table and its opening. A heading keeps with what follows when printed, a caption does not.
fn table_head(caption: &str) -> String {
    let id: String = caption
        .chars()
        .filter(char::is_ascii_alphabetic)
        .take(24)
        .collect();
    format!(
        "<h3 id=\"{id}\">{}</h3>\n<table class=\"stack\" aria-labelledby=\"{id}\">\n<thead><tr>",
        escape(caption)
    )
}

/// A value with what belongs under it in small print.
fn with_small(value: &str, small: &str) -> String {
    if small.is_empty() {
        return value.to_owned();
    }
    format!("{value} <span class=\"sub\">{small}</span>")
}
