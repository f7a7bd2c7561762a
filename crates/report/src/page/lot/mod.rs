//! The page of a capability study of measured parts.

pub mod answer;
mod gauge;
mod method;
mod overview;
mod shapes;
mod tables;
#[cfg(test)]
mod tests;

use record::{LotCharacteristic, LotStudy};

use super::matrix::warning;
use super::{document, paragraph, section};
use crate::chart::lot::Figures;
use crate::figure;
use crate::style;
use crate::text::{escape, html};

/// Rules of this page beside those of every page.
const RULES: &str = "
pre{font:12.5px/1.5 'Liberation Mono','Courier New',monospace;white-space:pre-wrap;overflow-wrap:anywhere;border-left:3px solid var(--hair);padding-left:10px;margin:0 0 12px}
a{color:inherit}
@media print{pre{break-inside:avoid}}
";

/// Writes the page.
pub fn write(study: &LotStudy, figures: &[Figures]) -> String {
    let mut sections = vec![
        head(study),
        section("Answer", &answer::section_body(study, figures.len())),
    ];
    for (i, c) in study.characteristics.iter().enumerate() {
        sections.push(characteristic(study, i, c, figures.get(i)));
    }
    sections.push(section("The file", &overview::file(study)));
    sections.push(section("How this was computed", &method::body(study)));
    let rules = format!("{}{RULES}", style::SHEET_RULES);
    document(&title(study), &rules, &sections)
}

/// What the study is called.
fn title(study: &LotStudy) -> String {
    match study.title.trim() {
        "" => study.file.name.clone(),
        title => title.to_owned(),
    }
}

/// What is studied, what is stated about it, and what made the page.
fn head(study: &LotStudy) -> String {
    let fact =
        |name: &str, value: &str| format!("<dt>{}</dt><dd>{}</dd>\n", html(name), html(value));
    let mut facts = fact("file", &study.file.name);
    facts.extend(study.about.iter().map(|(name, value)| fact(name, value)));
    format!(
        "<header>\n<h1>{}</h1>\n<dl class=\"facts\">\n{facts}</dl>\n\
         <p class=\"small muted hash\">{} · seatyield {} · SHA-256 of the file {}</p>\n</header>\n",
        html(&title(study)),
        rows(study.file.rows),
        html(&study.program_version),
        html(&study.file.sha256),
    )
}

/// `1 row`, `2 rows`.
fn rows(n: u64) -> String {
    format!(
        "{} {}",
        figure::count(n),
        if n == 1 { "row" } else { "rows" }
    )
}

/// Everything about one characteristic.
fn characteristic(
    study: &LotStudy,
    i: usize,
    c: &LotCharacteristic,
    drawn: Option<&Figures>,
) -> String {
    let mut body = String::new();
    if study.characteristics.len() > 1 {
        body.push_str(&answer::sentences(study, c));
    }
    body.push_str(&tables::facts(c));
    if let Some(figures) = drawn {
        body.extend(figures.all().map(|figure| figure.html()));
    }
    body.push_str(&tables::all(i, study, c));
    format!(
        "<section id=\"c{}\">\n<h2>{}</h2>\n{body}</section>\n",
        i + 1,
        html(&name(c))
    )
}

/// The heading of the column, or a word where it is empty.
fn name(c: &LotCharacteristic) -> String {
    match c.name.trim() {
        "" => "(without a name)".to_owned(),
        name => name.to_owned(),
    }
}

/// Says which characteristics are drawn, when not all are.
fn drawn_words(study: &LotStudy, drawn: usize) -> String {
    let all = study.characteristics.len();
    if all <= drawn {
        return String::new();
    }
    paragraph(&format!(
        "Charts are drawn of the first {drawn} of the {all} characteristics; the tables hold all."
    ))
}

/// Sentences to be known before the numbers are trusted.
fn warnings<'a>(sentences: impl Iterator<Item = &'a String>) -> String {
    sentences.map(|words| warning(words)).collect()
}

/// Our own words as a paragraph.
fn said(words: &str) -> String {
    paragraph(&escape(words))
}
