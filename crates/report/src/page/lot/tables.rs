//! The tables of one characteristic, the overview of all, and what the file held.

use record::{FittedShape, LotCharacteristic, LotStudy, Test};

use super::super::{cell, paragraph, with_small};
use super::{gauge, name, said};
use crate::chart::lot::{Reader, at_least, indices, leading, two};
use crate::figure;
use crate::text::{escape, html};

/// Most rows of a list that has no natural end.
const MOST: usize = 40;

/// A table with a heading of its own identifier: many characteristics have the same tables.
pub fn table(id: &str, caption: &str, heads: &[(&str, &str)], rows: &[Vec<String>]) -> String {
    let mut out = format!(
        "<h3 id=\"{id}\">{}</h3>\n<table class=\"stack sheet small\" aria-labelledby=\"{id}\">\n<thead><tr>",
        escape(caption)
    );
    for (head, class) in heads {
        out.push_str(&format!(
            "<th scope=\"col\" class=\"{class}\">{}</th>",
            escape(head)
        ));
    }
    out.push_str("</tr></thead>\n<tbody>\n");
    for row in rows {
        out.push_str("<tr>");
        for (i, (markup, (head, class))) in row.iter().zip(heads).enumerate() {
            out.push_str(&match i {
                0 => format!("<th scope=\"row\" class=\"{class}\">{markup}</th>"),
                _ => cell(head, class, markup),
            });
        }
        out.push_str("</tr>\n");
    }
    out.push_str("</tbody>\n</table>\n");
    out
}

/// All characteristics, one a row.
pub fn overview(all: &[LotCharacteristic]) -> String {
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

/// The readings in numbers.
pub fn facts(c: &LotCharacteristic) -> String {
    if c.n == 0 {
        return String::new();
    }
    let r = Reader::of(c);
    let mut facts = String::new();
    let mut fact =
        |name: &str, value: String| facts.push_str(&format!("<dt>{name}</dt><dd>{value}</dd>\n"));
    if let Some(nominal) = c.nominal {
        fact("nominal", html(&r.stated(nominal)));
    }
    fact("drawing limits", limits(c, &r));
    fact(
        "readings",
        html(&format!(
            "{}, from {} to {}",
            figure::count(c.n),
            r.number(c.min),
            r.value(c.max)
        )),
    );
    if c.n > 1 {
        fact(
            "mean, standard deviation",
            html(&format!("{}, {}", r.mean(c.mean), r.spread(c.sd))),
        );
    }
    if let (Some(skewness), Some(kurtosis)) = (c.skewness, c.excess_kurtosis) {
        fact(
            "skewness, excess kurtosis",
            format!(
                "{}, {}",
                figure::signed(skewness, 2),
                figure::signed(kurtosis, 2)
            ),
        );
    }
    let step = match c.resolution.step {
        Some(step) => format!(
            "{}; {} different readings",
            r.spread(step),
            figure::count(c.resolution.distinct)
        ),
        None => format!(
            "none shared; {} different readings",
            figure::count(c.resolution.distinct)
        ),
    };
    fact("step of the readings", html(&step));
    format!("<dl class=\"facts\">\n{facts}</dl>\n")
}

fn limits(c: &LotCharacteristic, r: &Reader) -> String {
    let words = match (c.lower, c.upper) {
        (Some(l), Some(u)) => format!("{} to {}", r.stated(l), r.stated(u)),
        (Some(l), None) => format!("at least {}", r.stated(l)),
        (None, Some(u)) => format!("at most {}", r.stated(u)),
        (None, None) => return "not stated".to_owned(),
    };
    if c.limits_stated.is_empty() {
        return html(&words);
    }
    format!(
        "{} <span class=\"muted\">(stated: {})</span>",
        html(&words),
        html(&c.limits_stated)
    )
}

/// All tables of a characteristic.
pub fn all(i: usize, c: &LotCharacteristic, confidence: f64) -> String {
    let id = |word: &str| format!("{word}-{}", i + 1);
    [
        indices_table(&id("indices"), c, confidence),
        fits(&id("shapes"), c),
        tests(&id("tests"), c),
        outliers(&id("far"), c),
        gauge::tables(&id("gauge"), c),
        classes(c),
        beside(&id("beside"), c),
        scenario(c),
    ]
    .concat()
}

fn indices_table(id: &str, c: &LotCharacteristic, confidence: f64) -> String {
    let Some(cap) = &c.capability else {
        return String::new();
    };
    let level = format!("interval, {}", figure::confidence(confidence));
    let heads = [
        ("index", "text"),
        ("seen", "num"),
        (level.as_str(), "num"),
        ("", "text"),
    ];
    let row = |(name, index): (&'static str, record::Index)| {
        let leads = cap.leads.0 == name;
        let bound = cap
            .demonstrated
            .filter(|_| leads)
            .map_or(String::new(), |b| format!(", demonstrates {}", at_least(b)));
        vec![
            name.to_owned(),
            two(index.value),
            format!("{} to {}", two(index.low), two(index.high)),
            if leads {
                format!("leads{bound}")
            } else {
                String::new()
            },
        ]
    };
    let rows: Vec<Vec<String>> = indices(cap).into_iter().map(row).collect();
    let absent: Vec<String> = cap
        .absent
        .iter()
        .map(|(key, why)| format!("{}: {}", html(key), html(why)))
        .collect();
    let absent = if absent.is_empty() {
        String::new()
    } else {
        format!("<p class=\"small\">Left out: {}.</p>\n", absent.join("; "))
    };
    if rows.is_empty() {
        return absent;
    }
    table(id, "Indices", &heads, &rows) + &absent
}

fn fits(id: &str, c: &LotCharacteristic) -> String {
    if c.fits.is_empty() {
        return String::new();
    }
    let r = Reader::of(c);
    let quantile = |share: &str| format!("{share}\u{A0}% quantile{}", r.bracket());
    let quantiles = ["0.135", "50", "99.865"].map(quantile);
    let heads = [
        ("shape", "text"),
        ("AIC above the best", "num"),
        ("low tail, seen : expected", "num"),
        ("high tail", "num"),
        (quantiles[0].as_str(), "num"),
        (quantiles[1].as_str(), "num"),
        (quantiles[2].as_str(), "num"),
        ("outside the drawing", "num"),
        ("largest distance", "num"),
    ];
    let row = |(i, fit): (usize, &FittedShape)| {
        let leads = if c.chosen == Some(i) { ", leads" } else { "" };
        let parameters: Vec<String> = fit
            .parameters
            .iter()
            .map(|(key, text)| format!("{} {}", html(key), html(text)))
            .collect();
        let due = 0.025 * c.n as f64;
        let seen = |times: f64| {
            format!(
                "{} : {}",
                figure::fixed(times * due, 0),
                figure::significant(due, 2)
            )
        };
        vec![
            with_small(
                &format!("{}{leads}", html(&fit.shape.replace('_', " "))),
                &parameters.join(", "),
            ),
            figure::fixed(fit.above_best, 1),
            seen(fit.tails[0]),
            seen(fit.tails[1]),
            r.fine(fit.quantiles[0]),
            r.fine(fit.quantiles[1]),
            r.fine(fit.quantiles[2]),
            fit.outside.map_or("—".to_owned(), share),
            figure::fixed(fit.distance, 3),
        ]
    };
    let rows: Vec<Vec<String>> = c.fits.iter().enumerate().map(row).collect();
    table(id, "Shapes fitted, best first", &heads, &rows)
}

/// A share in per cent, or in a million when it is rare.
fn share(x: f64) -> String {
    if x < 1e-15 {
        return "less than 1 in 10¹⁵".to_owned();
    }
    if x < 1e-3 {
        return figure::millionths(x);
    }
    figure::with_unit(&figure::significant(x * 100.0, 3), "%")
}

/// How often chance alone gives as much.
pub fn chance(p: f64) -> String {
    if p < 0.0001 {
        "less than 0.0001".to_owned()
    } else {
        figure::significant(p, 2)
    }
}

fn tests(id: &str, c: &LotCharacteristic) -> String {
    let heads = [
        ("question", "text"),
        ("test", "text"),
        ("statistic", "num"),
        ("p", "num"),
    ];
    let groups = c.subgroups.as_ref();
    let trend = c.order.trend.map(|t| (Reader::of(c).change(t.change), t.p));
    let stated = |test: Option<Test>| test.map(|t| (figure::fixed(t.statistic, 3), t.p));
    let rows: Vec<Vec<String>> = [
        (
            "Are the readings normal?",
            "Anderson and Darling",
            stated(c.normality.anderson_darling),
        ),
        (
            "Are the readings normal?",
            "Shapiro and Wilk",
            stated(c.normality.shapiro_wilk),
        ),
        (
            "Do they follow one another at random?",
            "runs about the median",
            stated(c.order.runs),
        ),
        (
            "Do they drift?",
            "linear trend, change over all readings",
            trend,
        ),
        (
            "Do the subgroups have one mean?",
            "analysis of variance",
            stated(groups.and_then(|g| g.means_equal)),
        ),
        (
            "Do the subgroups have one spread?",
            "Bartlett",
            stated(groups.and_then(|g| g.spreads_equal_bartlett)),
        ),
        (
            "Do the subgroups have one spread?",
            "Levene, with medians",
            stated(groups.and_then(|g| g.spreads_equal_levene)),
        ),
    ]
    .into_iter()
    .filter_map(|(question, test, found)| {
        let (statistic, p) = found?;
        Some(vec![
            question.to_owned(),
            test.to_owned(),
            escape(&statistic),
            chance(p),
        ])
    })
    .collect();
    let mut out = String::new();
    if !rows.is_empty() {
        out.push_str(&table(id, "Tests", &heads, &rows));
    }
    if let Some(lag) = c.order.lag1 {
        out.push_str(&said(&format!(
            "Correlation of each reading with the one before: {}.",
            figure::signed(lag, 2)
        )));
    }
    out + &subgroups(c)
}

/// The subgroups in a sentence or two.
fn subgroups(c: &LotCharacteristic) -> String {
    let Some(g) = &c.subgroups else {
        return String::new();
    };
    let r = Reader::of(c);
    let (few, many) = g.size;
    let size = if few == many {
        figure::count(few)
    } else {
        format!("{} to {}", figure::count(few), figure::count(many))
    };
    let between = if g.sd_between > 0.0 {
        format!(
            "between them, beyond what chance gives, {}",
            r.spread(g.sd_between)
        )
    } else {
        "between them no more than chance gives".to_owned()
    };
    paragraph(&format!(
        "{} subgroups of {size}, {}. Standard deviation within them {} on {} degrees of freedom; {}.",
        figure::count(g.count),
        html(&g.stated),
        html(&r.spread(g.sd_within)),
        figure::count(g.freedom),
        html(&between)
    ))
}

fn outliers(id: &str, c: &LotCharacteristic) -> String {
    if c.outliers.is_empty() {
        return String::new();
    }
    let r = Reader::of(c);
    let value = format!("reading{}", r.bracket());
    let heads = [
        ("line of the file", "num"),
        ("place in order", "num"),
        ("name", "text"),
        (value.as_str(), "num"),
        ("distance in standard deviations of the others", "num"),
    ];
    let rows: Vec<Vec<String>> = c
        .outliers
        .iter()
        .take(MOST)
        .map(|o| {
            vec![
                figure::count(o.line),
                figure::count(o.reading),
                o.name.as_deref().map_or("—".to_owned(), html),
                r.number(o.value),
                figure::fixed(o.distance, 1),
            ]
        })
        .collect();
    table(
        id,
        "Readings far from the others: flagged, kept",
        &heads,
        &rows,
    ) + &more(c.outliers.len())
}

/// Says how many rows were left off.
fn more(all: usize) -> String {
    match all.saturating_sub(MOST) {
        0 => String::new(),
        n => paragraph(&format!("And {} more.", figure::count(n as u64))),
    }
}

fn classes(c: &LotCharacteristic) -> String {
    let list = |classes: &[String]| {
        classes
            .iter()
            .map(|class| html(class))
            .collect::<Vec<_>>()
            .join(", ")
    };
    let mut out = String::new();
    if !c.classes.is_empty() {
        out.push_str(&paragraph(&format!(
            "Classes that hold every reading: {}.",
            list(&c.classes)
        )));
    }
    if !c.not_classes.is_empty() {
        out.push_str(&paragraph(&format!(
            "Classes that do not: {}.",
            list(&c.not_classes)
        )));
    }
    if out.is_empty() {
        return out;
    }
    let caution =
        "A class that holds these readings need not hold the parts that were not measured.";
    format!("<h3>Tolerance classes</h3>\n{out}{}", said(caution))
}

fn beside(id: &str, c: &LotCharacteristic) -> String {
    if c.beside.is_empty() {
        return String::new();
    }
    let row = |(item, known): &(String, String)| {
        let known = if known == "not stated" {
            "<strong>not stated</strong>".to_owned()
        } else {
            html(known)
        };
        vec![html(item), known]
    };
    let rows: Vec<Vec<String>> = c.beside.iter().map(row).collect();
    let heads = [("what it is about", "text"), ("what is known", "text")];
    table(id, "What must stand beside every index", &heads, &rows)
}

fn scenario(c: &LotCharacteristic) -> String {
    if c.scenario.trim().is_empty() {
        return String::new();
    }
    // Line by line, so that a hidden character is written out and a line stays a line.
    let lines: Vec<String> = c.scenario.lines().map(html).collect();
    format!(
        "<h3>Lines for a scenario</h3>\n<pre>{}</pre>\n",
        lines.join("\n")
    )
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
        html(&file.written)
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
