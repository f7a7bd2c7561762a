//! Where the parts of a run come from: the characteristics of a scenario, part by part, ready to be drawn.

use std::collections::BTreeMap;

use fit::Input;
use sampling::{Characteristic, Gate, GateCounts, LotPlan, Mixing, Order, Part, Scratch};

use crate::inputs::{inputs, stream_name};
use crate::normal_scores::{Group, mixing};
use crate::plan::Plan;
use crate::scenario::{self, Check, Inspection, Scenario};

/// What a thread needs to draw parts, and what inspection made of them.
#[derive(Debug, Clone)]
pub struct Supply {
    /// Whose parts a pairing takes.
    pub order: Order,
    /// Counts of inspection, by part of the plan.
    pub counts: Vec<GateCounts>,
    pub(crate) scratch: Scratch,
}

impl Supply {
    /// A fresh supply for this plan.
    pub fn new(plan: &Plan, order: Order) -> Supply {
        Supply {
            order,
            counts: vec![GateCounts::default(); plan.parts.len()],
            scratch: Scratch::default(),
        }
    }
}

/// The first word of a path: the part that a characteristic belongs to.
pub fn part_of(path: &str) -> &str {
    path.split_once('.').map_or(path, |(part, _)| part)
}

/// The kinds of part that a pairing is made of, in the order of [`parts`].
pub fn part_words(scenario: &Scenario) -> Vec<&'static str> {
    let mut words: Vec<&'static str> = vec![];
    for (_, c) in inputs(scenario) {
        let word = part_of(c.path);
        if !words.contains(&word) {
            words.push(word);
        }
    }
    words
}

/// The parts of a pairing: shaft, hub, spacer, and what belongs to the contact and the bolt.
pub fn parts(scenario: &Scenario) -> Vec<Part> {
    let groups = mixing(scenario);
    let all = inputs(scenario);
    let mut places: BTreeMap<&str, Vec<(Input, &scenario::Characteristic)>> = BTreeMap::new();
    for (input, c) in all {
        places.entry(part_of(c.path)).or_default().push((input, c));
    }
    let part = |word: &str| {
        let members = places.remove(word).unwrap_or_default();
        let mixing = groups.iter().filter_map(|group| placed(group, &members));
        let mixing = mixing.collect();
        let drawn = members.iter().map(|(input, c)| drawn(*input, c)).collect();
        Part::new(scenario.run.seed, drawn, mixing)
    };
    part_words(scenario).into_iter().map(part).collect()
}

/// The members of a group of correlated characteristics by their places in a part, when they are in it.
fn placed(group: &Group, members: &[(Input, &scenario::Characteristic)]) -> Option<Mixing> {
    let place = |path: &&'static str| members.iter().position(|(_, c)| c.path == *path);
    Some(Mixing {
        members: group.members.iter().map(place).collect::<Option<_>>()?,
        factor: group.factor.clone(),
    })
}

fn drawn(input: Input, c: &scenario::Characteristic) -> Characteristic {
    let name = stream_name(input).to_owned();
    let rows = c.from_lot.as_ref().filter(|_| c.process.is_resampled());
    Characteristic {
        column: input.index(),
        process: c.process.clone(),
        // All readings that a part takes from one lot come from one row.
        stream: rows.map_or_else(
            || name.clone(),
            |from| format!("{}.rows/{}", part_of(c.path), from.lot),
        ),
        gate: c.inspection.as_ref().map(|inspection| gate(c, inspection)),
        name,
    }
}

fn gate(c: &scenario::Characteristic, inspection: &Inspection) -> Gate {
    let range = |low: Option<f64>, high: Option<f64>| {
        (
            low.unwrap_or(f64::NEG_INFINITY),
            high.unwrap_or(f64::INFINITY),
        )
    };
    let accepted = range(inspection.lower, inspection.upper);
    Gate {
        gauge_sd: inspection.gauge_sd,
        accepted,
        drawing: range(c.lower, c.upper),
        check: match inspection.check {
            Check::Every => sampling::Check::Every,
            Check::Share(share) => sampling::Check::Share(share),
            Check::Lot {
                size,
                sample,
                accept,
            } => sampling::Check::Lot(LotPlan::new(
                &c.process,
                inspection.gauge_sd,
                accepted,
                size,
                sample,
                accept,
            )),
        },
    }
}
