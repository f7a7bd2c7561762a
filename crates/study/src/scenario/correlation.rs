//! Correlation between two characteristics of one part, by rank or linear.

use crate::normal_scores::{self, Unreachable};
use crate::problem::escape::quoted;
use crate::problem::id;
use crate::scenario::document::{Node, Value};
use crate::scenario::quantity::Measure;
use crate::scenario::scale::short;
use crate::scenario::walk::{Section, nearest};
use crate::scenario::{Characteristic, Scenario};
use crate::supply::part_of;

/// How a correlation is stated.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CorrelationKind {
    /// Spearman's correlation of the ranks.
    Rank,
    /// Pearson's correlation of the values.
    Linear,
}

/// A stated correlation between two characteristics of one part.
#[derive(Debug, Clone, PartialEq)]
pub struct Correlation {
    /// Dotted paths of the two characteristics.
    pub between: [&'static str; 2],
    /// How it is stated.
    pub kind: CorrelationKind,
    /// As stated, -1 to 1.
    pub stated: f64,
    /// The correlation of the normal scores that gives it.
    pub score: f64,
}

/// Largest correlation, either way.
const MOST: f64 = 0.999;

/// The ways to state the angle of a cone, all of which mean its half-angle.
const ANGLES: [&str; 2] = ["taper", "cone_angle"];

/// Reads `correlated` at the head of the file.
pub(crate) fn read(head: &Section<'_, '_>, scenario: &Scenario) -> Vec<Correlation> {
    let Some(entry) = head.get("correlated") else {
        return vec![];
    };
    let Value::List(items) = &entry.node.value else {
        head.wrong_type(
            entry,
            &entry.node.value,
            "a list, for example [{ between = [\"shaft.gauge_diameter\", \"shaft.taper\"], rank = 0.4 }]",
        );
        return vec![];
    };
    let before = head.walk.count();
    let mut found: Vec<Correlation> = vec![];
    for (place, item) in items.iter().enumerate() {
        let Some(section) = head.item("correlated", place, item) else {
            continue;
        };
        if let Some(correlation) = one(&section, scenario) {
            let same = |other: &Correlation| {
                other.between.contains(&correlation.between[0])
                    && other.between.contains(&correlation.between[1])
            };
            if found.iter().any(same) {
                let words = correlation.between.join(" and ");
                section.bad(
                    &id::CONTRADICTION,
                    "between",
                    &format!("{words}, a second time"),
                    "every pair once",
                    "",
                );
            } else {
                found.push(correlation);
            }
        }
        section.finish();
    }
    if head.walk.count() == before {
        possible(head, &found);
    }
    found
}

fn one(section: &Section<'_, '_>, scenario: &Scenario) -> Option<Correlation> {
    let pair = between(section, scenario);
    section.exclude(
        "rank",
        "linear",
        "a rank correlation (Spearman) or a linear one (Pearson)",
    );
    let rank = section.quantity("rank", &[Measure::Plain]);
    let linear = section.quantity("linear", &[Measure::Plain]);
    let (kind, key, stated) = match (rank, linear) {
        (Some(rank), _) => (CorrelationKind::Rank, "rank", rank.value),
        (None, Some(linear)) => (CorrelationKind::Linear, "linear", linear.value),
        (None, None) => {
            if !section.has("rank") && !section.has("linear") {
                section.missing(
                    "rank",
                    "the correlation of the ranks, or linear = … for that of the values",
                    "rank = 0.4",
                );
            }
            return None;
        }
    };
    if !(-MOST..=MOST).contains(&stated) {
        section.bad(
            &id::RANGE,
            key,
            &short(stated),
            "a correlation from -0.999 to 0.999",
            "",
        );
        return None;
    }
    let [a, b] = pair?;
    let score = match kind {
        CorrelationKind::Rank => normal_scores::of_rank(stated),
        CorrelationKind::Linear => {
            match normal_scores::of_linear(
                stated,
                a.process.within_shape()?,
                b.process.within_shape()?,
            ) {
                Ok(score) => score,
                Err(Unreachable { least, most }) => {
                    let expected =
                        format!("from {least:.3} to {most:.3}, which these two shapes can have");
                    section.bad(
                        &id::RANGE,
                        key,
                        &short(stated),
                        &expected,
                        "state a rank correlation, which any shapes can have",
                    );
                    return None;
                }
            }
        }
    };
    Some(Correlation {
        between: [a.path, b.path],
        kind,
        stated,
        score,
    })
}

/// The two characteristics of a pair.
fn between<'s>(
    section: &Section<'_, '_>,
    scenario: &'s Scenario,
) -> Option<[&'s Characteristic; 2]> {
    let Some(entry) = section.get("between") else {
        section.missing(
            "between",
            "two characteristics of one part",
            "between = [\"shaft.gauge_diameter\", \"shaft.taper\"]",
        );
        return None;
    };
    let texts: Option<Vec<&str>> = match &entry.node.value {
        Value::List(items) if items.len() == 2 => items.iter().map(text).collect(),
        _ => None,
    };
    let Some(texts) = texts else {
        section.wrong_type(entry, &entry.node.value, "a list of two paths");
        return None;
    };
    let (a, b) = (
        characteristic(section, scenario, texts[0])?,
        characteristic(section, scenario, texts[1])?,
    );
    if a.path == b.path {
        section.bad(
            &id::CONTRADICTION,
            "between",
            &format!("{} with itself", a.path),
            "two characteristics",
            "",
        );
        return None;
    }
    if part_of(a.path) != part_of(b.path) {
        section.bad(
            &id::CONTRADICTION,
            "between",
            &format!("{} and {}", a.path, b.path),
            "two characteristics of one part",
            "parts are not paired: what one part has says nothing about another",
        );
        return None;
    }
    Some([a, b])
}

fn text(node: &Node) -> Option<&str> {
    match &node.value {
        Value::Text(text) => Some(text),
        _ => None,
    }
}

fn characteristic<'s>(
    section: &Section<'_, '_>,
    scenario: &'s Scenario,
    path: &str,
) -> Option<&'s Characteristic> {
    let all = scenario.characteristics();
    let angle = path.split_once('.').filter(|(_, key)| ANGLES.contains(key));
    let meant = angle.map_or_else(|| path.to_owned(), |(part, _)| format!("{part}.half_angle"));
    let Some(found) = all.iter().find(|c| c.path == meant) else {
        let known: Vec<&str> = all.iter().map(|c| c.path).collect();
        let hint = nearest(path, &known).map_or_else(String::new, |near| {
            format!("did you mean {}?", quoted(near))
        });
        section.bad(
            &id::REFERENCE,
            "between",
            &quoted(path),
            &format!("one of {}", known.join(", ")),
            &hint,
        );
        return None;
    };
    let reason = if found.process.within_shape().is_none() {
        Some((
            "does not vary from part to part",
            "give it a process that varies",
        ))
    } else if found.process.is_resampled() {
        Some((
            "is drawn again from readings, whose rows keep their own correlation",
            "use = \"fit\" for the lot",
        ))
    } else if found.path.ends_with("index_error") || found.path.ends_with("profile_error") {
        Some(("is drawn tooth by tooth", ""))
    } else {
        None
    };
    if let Some((words, hint)) = reason {
        section.bad(
            &id::CONTRADICTION,
            "between",
            &format!("{} {words}", found.path),
            "characteristics that vary together",
            hint,
        );
        return None;
    }
    Some(found)
}

/// Refuses correlations that no part can have all at once, and names the pair that is furthest out.
fn possible(head: &Section<'_, '_>, found: &[Correlation]) {
    for group in normal_scores::matrices(found) {
        let Some(fault) = group.fault() else { continue };
        let place = found
            .iter()
            .find(|c| c.between.contains(&fault.pair[0]) && c.between.contains(&fault.pair[1]));
        let stated = place.map_or(0.0, |c| c.stated);
        head.bad(
            &id::CONTRADICTION,
            "correlated",
            &format!(
                "correlations that contradict each other, above all {} and {} ({}); smallest eigenvalue {:.3}",
                fault.pair[0], fault.pair[1], short(stated), fault.eigenvalue
            ),
            &match fault.range {
                Some((low, high)) => format!("a correlation of their scores from {low:.3} to {high:.3}, given the others"),
                None => "correlations that one part can have".to_owned(),
            },
            "two characteristics that both go with a third must go with each other",
        );
    }
}
