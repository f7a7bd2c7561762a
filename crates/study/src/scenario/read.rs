//! From a text to a checked scenario: guard, parser, overrides, walk, sense. Every problem is reported at once.

use record::Override;
use toml::de::DeTable;

use crate::problem::escape::{forbidden_in_xml, named};
use crate::problem::{Problem, Problems, id};
use crate::scenario::document::{self, Node, Spot, Table, Value};
use crate::scenario::lines::Lines;
use crate::scenario::source::{self, SCENARIO};
use crate::scenario::syntax::{self, Place};
use crate::scenario::walk::{Section, Walk};
use crate::scenario::{
    Lot, LotSource, Scenario, bolt, canonical, correlation, guard, head, joint, lacking, limits,
    lots, overrides, seat, sense, temperature,
};

/// A scenario that was read, with the hash of its canonical form.
#[derive(Debug)]
pub(crate) struct Read {
    /// The scenario.
    pub(crate) scenario: Scenario,
    /// SHA-256 in hexadecimal.
    pub(crate) hash: String,
}

/// Reads a scenario from its text.
///
/// # Errors
/// All [`Problems`].
pub(crate) fn read(
    file: &str,
    text: &str,
    sets: &[Override],
    lots: &LotSource<'_>,
) -> Result<Read, Problems> {
    source::check_text(file, text, &SCENARIO)?;
    let text = source::without_bom(text);
    let lines = Lines::new(text);
    let place = Place {
        file,
        text,
        lines: &lines,
    };
    let report = guard::scan(text);
    if !report.fatal.is_empty() {
        return Err(Problems::new(syntax::fatal(place, &report.fatal)));
    }
    let (parsed, errors) = DeTable::parse_recoverable(text);
    let (mut problems, broken) = syntax::problems(place, &report, parsed.get_ref(), &errors);
    let mut document = document::table(parsed.get_ref(), &Spot::File);
    problems.extend(overrides::apply(&mut document, sets));

    let walk = Walk::new(file, &lines);
    characters(&walk, "", &document);
    let scenario = scenario(&walk, &document, lots);
    let mut walked = walk.into_problems();
    if !broken.is_empty() {
        walked.retain(|p| survives(p) && p.place.is_none_or(|(line, _)| !broken.contains(&line)));
    }
    problems.extend(walked);
    match scenario {
        Some(scenario) if problems.is_empty() => Ok(Read {
            hash: canonical::hash(&document, &scenario.lots),
            scenario,
        }),
        _ => Err(Problems::new(problems)),
    }
}

/// Whether a problem can be believed in a file whose syntax is broken elsewhere: it concerns one value only.
fn survives(problem: &Problem) -> bool {
    let kinds = [
        id::WRONG_TYPE,
        id::NUMBER,
        id::UNIT,
        id::WORD,
        id::TEXT,
        id::CHARACTER,
    ];
    kinds.iter().any(|kind| kind.name == problem.id)
}

/// Refuses characters that came in by an escape and that no report could carry.
fn characters(walk: &Walk<'_>, path: &str, table: &Table) {
    for entry in &table.entries {
        let path = if path.is_empty() {
            entry.key.clone()
        } else {
            format!("{path}.{}", entry.key)
        };
        if let Some(c) = entry.key.chars().find(|&c| forbidden_in_xml(c)) {
            walk.report(
                &id::CHARACTER,
                entry.key_spot,
                &path,
                &format!("the character {} in a key", named(c)),
                "keys without control characters",
                "",
            );
        }
        characters_of(walk, &path, &entry.node);
    }
}

fn characters_of(walk: &Walk<'_>, path: &str, node: &Node) {
    match &node.value {
        Value::Text(text) => {
            if let Some(c) = text.chars().find(|&c| forbidden_in_xml(c)) {
                walk.report(
                    &id::CHARACTER,
                    node.spot,
                    path,
                    &format!("the character {}", named(c)),
                    "text without control characters",
                    "",
                );
            }
        }
        Value::List(items) => items
            .iter()
            .for_each(|item| characters_of(walk, path, item)),
        Value::Table(table) => characters(walk, path, table),
        _ => {}
    }
}

fn scenario(walk: &Walk<'_>, document: &Table, source: &LotSource<'_>) -> Option<Scenario> {
    let head = Section::head(walk, document);
    head::format(&head);
    lots::read(&head, document, source);
    head.not_yet("sweep", "one scenario is one run; vary a value with --set");
    let subject = head::subject(&head);
    let run = head::run(&head);
    let stated = seat::joint(&head);
    let (seat, shaft, hub) = seat::parts(&head, stated);
    let spacer = joint::spacer(&head);
    let contact = joint::contact(&head, stated, spacer.as_ref());
    let bolt = bolt::bolt(&head);
    let temperature = temperature::temperature(&head, stated);
    let limits = limits::limits(&head);
    let scenario = (|| {
        Some(Scenario {
            subject: subject?,
            run: run?,
            seat: seat?,
            shaft: shaft?,
            hub: hub?,
            spacer: spacer?,
            contact: contact?,
            bolt: bolt?,
            temperature: temperature?,
            runout_radius_mm: stated.runout_radius_mm,
            limits,
            correlations: vec![],
            lots: used(walk),
        })
    })();
    let mut scenario = scenario.map(Scenario::with_judged_outputs);
    match &mut scenario {
        Some(scenario) => scenario.correlations = correlation::read(&head, scenario),
        None => {
            head.has("correlated");
        }
    }
    if let Some(scenario) = &scenario {
        sense::check(&head, scenario);
        temperature::check(&head, scenario);
        lacking::check(&head, scenario);
    }
    head.finish();
    scenario
}

/// The lots whose readings were read.
fn used(walk: &Walk<'_>) -> Vec<Lot> {
    walk.lots().values().flatten().cloned().collect()
}

impl Scenario {
    /// The same scenario, whose followed outputs hold the judged ones.
    fn with_judged_outputs(mut self) -> Scenario {
        self.run
            .outputs
            .extend(self.limits.iter().map(|limit| limit.output));
        self.run.outputs.sort_unstable();
        self.run.outputs.dedup();
        self
    }
}

/// What a text reads as, and every problem of it, for the tests.
#[cfg(test)]
pub(crate) fn scenario_of(text: &str) -> (Option<Scenario>, Vec<Problem>) {
    let lines = Lines::new(text);
    let (parsed, errors) = DeTable::parse_recoverable(text);
    assert!(errors.is_empty(), "{errors:?}");
    let document = document::table(parsed.get_ref(), &Spot::File);
    let walk = Walk::new("test.toml", &lines);
    let scenario = scenario(&walk, &document, &LotSource::Nowhere);
    (scenario, walk.into_problems())
}
