//! Reads the head of a scenario and its `[run]`: what it is about, how much to run.

use std::collections::BTreeMap;

use fit::Output;

use crate::problem::escape::{cut, forbidden_in_xml, named, quoted};
use crate::problem::id;
use crate::scenario::document::{Spot, Value};
use crate::scenario::quantity::Measure;
use crate::scenario::until;
use crate::scenario::walk::{Section, Walk, nearest};
use crate::scenario::{
    DEFAULT_CONFIDENCE, DEFAULT_MOST_PAIRINGS, DEFAULT_PAIRINGS, DEFAULT_SEED, Run, Subject,
};
use crate::until::Until;

/// The newest format of a scenario that is read.
pub(crate) const FORMAT: u64 = 1;

/// Most pairings: every count stays exact as a float.
pub(crate) const MOST_PAIRINGS: u64 = 1 << 53;

/// Longest name or title, in characters.
const NAME: usize = 200;

/// Longest notes, in characters.
const NOTES: usize = 4000;

/// Reads what the scenario is about.
pub(crate) fn subject(head: &Section<'_, '_>) -> Option<Subject> {
    if !head.has("title") {
        head.missing(
            "title",
            "a title: what the scenario is about",
            "title = \"Fan hub on a 1:16 shaft end\"",
        );
    }
    let name = |key| {
        head.text(key)
            .and_then(|text| check_text(head.walk, head.spot_of(key), key, text, NAME))
    };
    let (title, supplier, lot) = (name("title"), name("supplier"), name("lot"));
    let notes = head
        .text("notes")
        .and_then(|text| check_text(head.walk, head.spot_of("notes"), "notes", text, NOTES));
    let drawings = drawings(head);
    Some(Subject {
        title: title?,
        drawings,
        supplier,
        lot,
        notes,
    })
}

/// Drawing numbers: a table of texts with any keys.
fn drawings(head: &Section<'_, '_>) -> BTreeMap<String, String> {
    let mut found = BTreeMap::new();
    let Some(entry) = head.get("drawings") else {
        return found;
    };
    let Value::Table(table) = &entry.node.value else {
        head.wrong_type(
            entry,
            &entry.node.value,
            "a table of texts, for example { shaft = \"PS-1042 C\" }",
        );
        return found;
    };
    let mut folded: BTreeMap<String, Spot> = BTreeMap::new();
    for drawing in &table.entries {
        let path = format!("drawings.{}", drawing.key);
        if let Some(first) = folded.insert(drawing.key.to_lowercase(), drawing.key_spot) {
            let found = format!(
                "two names that differ only in case ({} and {})",
                head.walk.where_is(first),
                head.walk.where_is(drawing.key_spot)
            );
            head.walk.report(
                &id::DUPLICATE,
                drawing.key_spot.max(first),
                &path,
                &found,
                "names that differ in more than case",
                "",
            );
        }
        if check_text(head.walk, drawing.key_spot, &path, &drawing.key, NAME).is_none() {
            continue;
        }
        match &drawing.node.value {
            Value::Text(text) => {
                if let Some(text) = check_text(head.walk, drawing.node.spot, &path, text, NAME) {
                    found.insert(drawing.key.clone(), text);
                }
            }
            other => head.walk.report(
                &id::WRONG_TYPE,
                drawing.node.spot,
                &path,
                other.kind(),
                "text in quotes",
                "",
            ),
        }
    }
    found
}

/// A text that a report can show: not empty, not too long, no control characters (notes may have lines and tabs).
fn check_text(
    walk: &Walk<'_>,
    spot: Spot,
    path: &str,
    text: &str,
    longest: usize,
) -> Option<String> {
    let expected = format!("text of 1 to {longest} characters without control characters");
    let allowed = |c: char| longest > NAME && matches!(c, '\n' | '\r' | '\t');
    let length = text.chars().count();
    let found = if text.trim().is_empty() {
        "an empty text".to_owned()
    } else if length > longest {
        format!("a text of {length} characters")
    } else if let Some(c) = text
        .chars()
        .find(|&c| c.is_control() && !allowed(c) && !forbidden_in_xml(c))
    {
        format!(
            "the control character {} in {}",
            named(c),
            quoted(&cut(text, 40))
        )
    } else {
        return Some(text.to_owned());
    };
    walk.report(&id::TEXT, spot, path, &found, &expected, "");
    None
}

/// Checks the number of the format, when it is stated.
pub(crate) fn format(head: &Section<'_, '_>) {
    if let Some(format) = head.count("format", 1, u64::MAX)
        && format > FORMAT
    {
        let found = format!("format {format}, newer than this version reads");
        head.bad(
            &id::FORMAT,
            "format",
            &found,
            &format!("format {FORMAT} at most"),
            &format!(
                "a version of seatyield that reads format {format} is needed (this is {})",
                env!("CARGO_PKG_VERSION")
            ),
        );
    }
}

/// Reads `[run]`, which may be missing.
pub(crate) fn run(head: &Section<'_, '_>) -> Option<Run> {
    let mut run = Run {
        pairings: DEFAULT_PAIRINGS,
        until: None,
        seed: DEFAULT_SEED,
        confidence: DEFAULT_CONFIDENCE,
        target_yield: None,
        outputs: Output::ALL.to_vec(),
    };
    if !head.has("run") {
        return Some(run);
    }
    let section = head.section("run")?;
    let before = section.walk.count();
    if let Some(seed) = section.count("seed", 0, u64::MAX) {
        run.seed = seed;
    }
    if let Some(confidence) = share(&section, "confidence", 0.5, 1.0) {
        run.confidence = confidence;
    }
    run.until = until::until(&section, "until").map(|(half_width, stated)| Until {
        half_width,
        stated,
        confidence: run.confidence,
    });
    if let Some(pairings) = section.count("pairings", 1, MOST_PAIRINGS) {
        run.pairings = pairings;
    } else if run.until.is_some() {
        run.pairings = DEFAULT_MOST_PAIRINGS;
    }
    run.target_yield = share(&section, "target_yield", 0.0, 1.0);
    if let Some(outputs) = outputs(&section) {
        run.outputs = outputs;
    }
    let good = section.walk.count() == before;
    section.finish();
    good.then_some(run)
}

/// A share strictly between two bounds, as `"95 %"` or 0.95.
fn share(section: &Section<'_, '_>, key: &'static str, low: f64, high: f64) -> Option<f64> {
    let typed = section.quantity(key, &[Measure::Percent, Measure::Plain])?;
    if typed.value > low && typed.value < high {
        return Some(typed.value);
    }
    let hint = match typed.measure {
        Measure::Plain if typed.value > 100.0 * low && typed.value < 100.0 * high => {
            format!("write \"{} %\" if percent is meant", typed.number)
        }
        _ => String::new(),
    };
    let expected = format!(
        "a share above {} % and below {} %, for example \"95 %\" or 0.95",
        100.0 * low,
        100.0 * high
    );
    section.bad(&id::RANGE, key, &typed.canonical(), &expected, &hint);
    None
}

/// The outputs to follow, in their fixed order.
fn outputs(section: &Section<'_, '_>) -> Option<Vec<Output>> {
    let entry = section.get("outputs")?;
    let names: Vec<_> = Output::ALL.iter().map(|o| o.name()).collect();
    let expected = "\"all\", or a list of outputs, for example [\"clamp_load\", \"draw_up\"]";
    let items = match &entry.node.value {
        Value::Text(text) if text == "all" => return Some(Output::ALL.to_vec()),
        Value::List(items) => items,
        other => {
            section.wrong_type(entry, other, expected);
            return None;
        }
    };
    let mut outputs = Vec::new();
    for item in items {
        match &item.value {
            Value::Text(name) => match Output::from_name(name) {
                Some(output) => outputs.push(output),
                None => {
                    let hint = nearest(name, &names).map_or_else(
                        || "scenarios/README.md lists the outputs".to_owned(),
                        |n| format!("did you mean {}?", quoted(n)),
                    );
                    section.walk.report(
                        &id::WORD,
                        item.spot,
                        &section.path_of("outputs"),
                        &quoted(name),
                        "the name of an output",
                        &hint,
                    );
                }
            },
            other => section.walk.report(
                &id::WRONG_TYPE,
                item.spot,
                &section.path_of("outputs"),
                other.kind(),
                expected,
                "",
            ),
        }
    }
    outputs.sort_unstable();
    outputs.dedup();
    Some(outputs)
}
