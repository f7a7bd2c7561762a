//! The tables of one characteristic.

use record::{LotCapability, LotCharacteristic, LotStudy, Subgroups, Test};

use super::super::{cell, paragraph, with_small};
use super::{gauge, said, shapes};
use crate::chart::lot::{MOST_DRAWN, Reader, at_least, indices, two};
use crate::figure;
use crate::text::{escape, html};

/// Most rows of a list that has no natural end.
pub const MOST: usize = 40;

/// Shapes listed of each characteristic when there are many.
const FEW_SHAPES: usize = 3;

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
    let range = if c.min == c.max {
        format!("all {}", r.value(c.min))
    } else {
        format!("from {} to {}", r.number(c.min), r.value(c.max))
    };
    fact(
        "readings",
        html(&format!("{}, {range}", figure::count(c.n))),
    );
    if c.sd > 0.0 {
        fact(
            "mean, standard deviation",
            html(&format!("{}, {}", r.mean(c.mean), r.sd(c.sd))),
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
    let values = match c.resolution.distinct {
        1 => "one value".to_owned(),
        n => format!("{} different values", figure::count(n)),
    };
    let step = c
        .resolution
        .step
        .map_or("none shared".to_owned(), |step| r.spread(step));
    let step = format!("{step}; {values}");
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

/// All tables of a characteristic; with many characteristics only the best shapes of each.
pub fn all(i: usize, study: &LotStudy, c: &LotCharacteristic) -> String {
    let (confidence, many) = (study.confidence, study.characteristics.len() > MOST_DRAWN);
    let most = if many { FEW_SHAPES } else { usize::MAX };
    let id = |word: &str| format!("{word}-{}", i + 1);
    [
        indices_table(&id("indices"), c, confidence),
        shapes::fits(&id("shapes"), c, most),
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
        ("demonstrated", "num"),
    ];
    let row = |(name, index): (&'static str, record::Index)| {
        let leads = cap.leads.0 == name;
        let bound = cap.demonstrated.filter(|_| leads);
        vec![
            if leads {
                format!("<strong>{name}, leads</strong>")
            } else {
                name.to_owned()
            },
            two(index.value),
            format!("{} to {}", two(index.low), two(index.high)),
            bound.map_or("—".to_owned(), at_least),
        ]
    };
    let rows: Vec<Vec<String>> = indices(cap).into_iter().map(row).collect();
    let absent = absent(cap);
    if rows.is_empty() {
        return absent;
    }
    table(id, "Indices", &heads, &rows) + &absent
}

/// What is left out and why.
fn absent(cap: &LotCapability) -> String {
    if cap.absent.is_empty() {
        return String::new();
    }
    let word = |key: &str| match key {
        "cp" => "Cp".to_owned(),
        "cpk" => "Cpk".to_owned(),
        "pp" => "Pp".to_owned(),
        "ppk" => "Ppk".to_owned(),
        "pp_percentile" => "Pp (percentile)".to_owned(),
        "ppk_percentile" => "Ppk (percentile)".to_owned(),
        "demonstrated" => "what the index demonstrates".to_owned(),
        "outside" => "share outside".to_owned(),
        other => html(other),
    };
    // One reason is said once, for all that it leaves out.
    let mut reasons: Vec<(&str, Vec<String>)> = Vec::new();
    for (key, why) in &cap.absent {
        match reasons.iter_mut().find(|(known, _)| known == why) {
            Some((_, keys)) => keys.push(word(key)),
            None => reasons.push((why, vec![word(key)])),
        }
    }
    let items: Vec<String> = reasons
        .iter()
        .map(|(why, keys)| format!("{}: {}.", keys.join(", "), html(why.trim_end_matches('.'))))
        .collect();
    format!("<p class=\"small\">Left out. {}</p>\n", items.join(" "))
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
    let heads = [("question", "text"), ("statistic", "num"), ("p", "num")];
    let groups = c.subgroups.as_ref();
    let trend = c.order.trend.map(|t| (Reader::of(c).change(t.change), t.p));
    let stated = |test: Option<Test>| test.map(|t| (figure::fixed(t.statistic, 3), t.p));
    let of_groups = |test: &dyn Fn(&Subgroups) -> Option<Test>| stated(groups.and_then(test));
    let [normal, spread] = [
        "Are the readings normal?",
        "Do the subgroups have one spread?",
    ];
    let rows: Vec<Vec<String>> = [
        (
            normal,
            "Anderson and Darling",
            stated(c.normality.anderson_darling),
        ),
        (normal, "Shapiro and Wilk", stated(c.normality.shapiro_wilk)),
        (
            "Do they follow one another at random?",
            "runs about the median",
            stated(c.order.runs),
        ),
        (
            "Do they drift?",
            "straight line: change over all readings",
            trend,
        ),
        (
            "Do the subgroups have one mean?",
            "analysis of variance",
            of_groups(&|g| g.means_equal),
        ),
        (spread, "Bartlett", of_groups(&|g| g.spreads_equal_bartlett)),
        (
            spread,
            "Levene, with medians",
            of_groups(&|g| g.spreads_equal_levene),
        ),
    ]
    .into_iter()
    .filter_map(|(question, test, found)| {
        let (statistic, p) = found?;
        Some(vec![
            with_small(question, test),
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
            r.sd(g.sd_between)
        )
    } else {
        "between them no more than chance gives".to_owned()
    };
    paragraph(&format!(
        "{} subgroups of {size}, {}. Standard deviation within them {} on {} degrees of freedom; {}.",
        figure::count(g.count),
        html(&g.stated),
        html(&r.sd(g.sd_within)),
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
pub fn more(all: usize) -> String {
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
    // A telephone shows what is known under what it is about; a heading in each cell would only repeat itself.
    let mut out = format!(
        "<h3 id=\"{id}\">What must stand beside every index</h3>\n<table class=\"stack sheet small\" aria-labelledby=\"{id}\">\n<tbody>\n"
    );
    for (item, known) in &c.beside {
        let known = if known == "not stated" {
            "<strong>not stated</strong>".to_owned()
        } else {
            html(known)
        };
        out.push_str(&format!(
            "<tr><th scope=\"row\">{}</th><td>{known}</td></tr>\n",
            html(item)
        ));
    }
    out + "</tbody>\n</table>\n"
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
