//! What inspection made of the parts, put into a record.

use record::{Inspection, Readings, ReadingsColumn, Throughput, Yield};
use sampling::GateCounts;

use crate::describe::in_micrometres;
use crate::plan::Plan;
use crate::run::Counts;
use crate::scenario::Scenario;
use crate::share;
use crate::supply::{part_of, part_words};

/// The parts that pairings consume one by one.
const PARTS: [&str; 3] = ["shaft", "hub", "spacer"];

/// What inspection did, by part that is inspected.
pub fn inspections(scenario: &Scenario, plan: &Plan, counts: &Counts) -> Vec<Inspection> {
    let parts = part_words(scenario).into_iter().zip(&plan.parts);
    let inspected = parts
        .zip(&counts.counted.gates)
        .filter(|((_, part), _)| part.is_inspected());
    inspected
        .map(|((word, _), gates)| inspection(scenario, word, gates))
        .collect()
}

fn inspection(scenario: &Scenario, word: &str, gates: &GateCounts) -> Inspection {
    let share = |count| share::of(count, gates.made, scenario.run.confidence);
    let stated = scenario.characteristics().into_iter().filter_map(|c| {
        let inspection = c.inspection.as_ref().filter(|_| part_of(c.path) == word)?;
        Some((c.path.to_owned(), in_micrometres(&inspection.stated)))
    });
    Inspection {
        part: word.to_owned(),
        stated: stated.collect(),
        made: gates.made,
        scrapped: share(gates.scrapped),
        wrongly_scrapped: share(gates.wrongly_scrapped),
        wrongly_passed: share(gates.wrongly_passed),
    }
}

/// Rolled throughput and parts made per good joint, where anything is inspected.
pub fn throughput(inspections: &[Inspection], found: &Yield) -> Option<Throughput> {
    if inspections.is_empty() {
        return None;
    }
    let passed: f64 = inspections
        .iter()
        .map(|i| 1.0 - i.scrapped.fraction)
        .product();
    let per_good = |word: &str| {
        let inspected = inspections.iter().find(|i| i.part == word);
        let made = inspected.map_or(found.pairings, |i| i.made);
        (word.to_owned(), made as f64 / found.good as f64)
    };
    Some(Throughput {
        rolled: passed * found.fraction,
        made_per_good: match found.good {
            0 => vec![],
            _ => PARTS.into_iter().map(per_good).collect(),
        },
    })
}

/// The readings behind processes.
pub fn readings(scenario: &Scenario) -> Vec<Readings> {
    let lots = scenario.lots.iter();
    lots.map(|lot| Readings {
        lot: lot.name.clone(),
        file: lot.file.clone(),
        sha256: lot.sha256.clone(),
        rows: lot.rows as u64,
        dropped: lot.dropped as u64,
        columns: lot
            .columns
            .iter()
            .map(|column| ReadingsColumn {
                name: column.name.clone(),
                unit: column.unit.clone(),
                values: column.values.to_vec(),
            })
            .collect(),
    })
    .collect()
}
