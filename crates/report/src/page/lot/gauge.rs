//! The gauge study: where the spread comes from.

use record::{Gauge, LotCharacteristic};

use super::super::paragraph;
use super::said;
use super::tables::{chance, table};
use crate::chart::lot::Reader;
use crate::figure;
use crate::text::html;

/// The tables, when there is a study.
pub fn tables(id: &str, c: &LotCharacteristic) -> String {
    match &c.gauge {
        None => String::new(),
        Some(g) if !g.reason.is_empty() => said(&format!(
            "No gauge study: {}.",
            g.reason.trim_end_matches('.')
        )),
        Some(g) => sources(id, c, g) + &words(g) + &variance(&format!("{id}-variance"), g),
    }
}

/// Standard deviations by source.
fn sources(id: &str, c: &LotCharacteristic, g: &Gauge) -> String {
    let r = Reader::of(c);
    let tolerance = c
        .lower
        .zip(c.upper)
        .map(|(l, u)| u - l)
        .filter(|t| *t > 0.0);
    let heads = [
        ("source", "text"),
        ("standard deviation", "num"),
        ("of the total", "num"),
        ("six of them, of the tolerance", "num"),
        ("by average and range", "num"),
    ];
    let percent = |x: f64| figure::with_unit(&figure::significant(x * 100.0, 3), "%");
    let rows: Vec<Vec<String>> = [
        ("repeatability (equipment)", g.repeatability),
        ("reproducibility (appraisers)", g.reproducibility),
        ("gauge: both together", g.gauge),
        ("parts", g.parts),
        ("total", g.total),
    ]
    .into_iter()
    .enumerate()
    .map(|(i, (source, sd))| {
        vec![
            source.to_owned(),
            html(&r.sd(sd)),
            if g.total > 0.0 {
                percent(sd / g.total)
            } else {
                "—".to_owned()
            },
            tolerance.map_or("—".to_owned(), |t| percent(6.0 * sd / t)),
            g.by_range.map_or("—".to_owned(), |sds| html(&r.sd(sds[i]))),
        ]
    })
    .collect();
    table(id, "Gauge study", &heads, &rows)
}

fn words(g: &Gauge) -> String {
    let (parts, appraisers, trials) = g.counts;
    let interaction = match (g.interaction, g.pooled) {
        (Some(test), true) => format!(
            " Appraisers and parts do not act on each other by more than chance gives (F {}, p {}), so that share counts as equipment.",
            figure::fixed(test.statistic, 3),
            chance(test.p)
        ),
        (Some(test), false) => format!(
            " Appraisers and parts act on each other (F {}, p {}); that share counts as reproducibility.",
            figure::fixed(test.statistic, 3),
            chance(test.p)
        ),
        (None, _) => String::new(),
    };
    said(&format!(
        "{} parts, {} appraisers, {} trials; {} distinct {}. Standard deviations add as squares, so the shares of the total do not add up to 100\u{A0}%.{interaction}",
        figure::count(parts),
        figure::count(appraisers),
        figure::count(trials),
        figure::count(g.categories),
        if g.categories == 1 {
            "category"
        } else {
            "categories"
        }
    ))
}

/// The analysis of variance.
fn variance(id: &str, g: &Gauge) -> String {
    if g.table.is_empty() {
        return paragraph("The analysis of variance is left out.");
    }
    let heads = [
        ("source", "text"),
        ("sum of squares", "num"),
        ("degrees of freedom", "num"),
        ("mean square", "num"),
    ];
    let row = |(source, sum, freedom, mean): &(String, f64, u64, f64)| {
        vec![
            html(source),
            figure::significant(*sum, 5),
            figure::count(*freedom),
            figure::significant(*mean, 5),
        ]
    };
    let rows: Vec<Vec<String>> = g.table.iter().map(row).collect();
    table(id, "Analysis of variance of the gauge study", &heads, &rows)
}
