//! Stated pairings, solved without randomness by the same equations.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use fit::{Input, Output, Pairing, Solution, Verdict};

use crate::inputs;
use crate::loaded::Loaded;
use crate::measured::Measured;
use crate::parts::{self, Known, PartRow, ToothError};
use crate::plan::Plan;
use crate::problem::Problems;
use crate::scenario::Scenario;

/// Which sizes a pairing has where nothing else is stated.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum At {
    /// Nominal sizes.
    #[default]
    Nominal,
    /// The middle of the drawing limits; nominal where there are none.
    Middle,
}

/// What to solve.
#[derive(Debug, Clone, Default)]
pub struct PairOptions<'a> {
    /// Sizes where nothing else is stated.
    pub at: At,
    /// A CSV file of measured parts; each row is one pairing.
    pub parts: Option<&'a Path>,
    /// Torque set on the wrench instead of the scenario's (N·m); every pairing keeps its own relative torque error.
    pub torque_nm: Option<f64>,
}

/// One solved pairing.
#[derive(Debug, Clone, PartialEq)]
pub struct Pair {
    /// Row in the file of parts, counted from 1; 0 for the scenario's own pairing.
    pub row: usize,
    /// Name of the row, when the file gives one.
    pub name: Option<String>,
    /// The characteristics that went in, then the errors of teeth that were stated: dotted path, value, unit.
    pub inputs: Vec<(String, f64, &'static str)>,
    /// Outputs that are defined, by key with unit, in the order of the outputs.
    pub outputs: Vec<(&'static str, f64)>,
    /// Why an output is left out, by key.
    pub absent: BTreeMap<&'static str, &'static str>,
    /// Those of them that no pairing of this joint has, by key.
    pub never: BTreeSet<&'static str>,
    /// The verdict's key.
    pub verdict: &'static str,
    /// Every broken limit, by name as in a record's `broken_limits`.
    pub broken: Vec<String>,
    /// What a reader must know before trusting the numbers, one sentence each.
    pub cautions: Vec<&'static str>,
}

/// Solves the stated pairings.
///
/// # Errors
/// [`Problems`] of the parts file, or sizes that contradict each other.
pub fn pair(loaded: &Loaded, options: &PairOptions<'_>) -> Result<Vec<Pair>, Problems> {
    let (scenario, turned) = at_torque(&loaded.scenario, options.torque_nm);
    let plan = Plan::new(&scenario).map_err(|reason| loaded.impossible(&reason))?;
    let base = base(&loaded.scenario, options.at);
    let solve = |part: Option<&PartRow>| {
        let mut measured = Measured::new(base);
        part.into_iter().for_each(|part| measured.put(part));
        let Measured { mut pairing, teeth } = measured;
        pairing.0[Input::Torque.index()] *= turned;
        let solution = plan.joint.solve_with(&pairing, &teeth, &plan.criteria);
        let errors = part.iter().flat_map(|part| &part.errors);
        let solved = stated(&scenario, &plan, &pairing, errors, &solution);
        Pair {
            row: part.map_or(0, |part| part.row),
            name: part.and_then(|part| part.name.clone()),
            ..solved
        }
    };
    let Some(path) = options.parts else {
        return Ok(vec![solve(None)]);
    };
    let rows = parts::read_parts(path, &Known::of(&scenario))?;
    Ok(rows.iter().map(|row| solve(Some(row))).collect())
}

/// The scenario with another torque set on the wrench (N·m), and the factor by which the torque of every pairing turns
/// with it.
pub(crate) fn at_torque(scenario: &Scenario, torque_nm: Option<f64>) -> (Scenario, f64) {
    let mut scenario = scenario.clone();
    let Some(torque_nm) = torque_nm else {
        return (scenario, 1.0);
    };
    let set = torque_nm * 1000.0;
    let factor = set / scenario.bolt.torque.nominal;
    scenario.bolt.torque.nominal = set;
    (scenario, factor)
}

/// The pairing of the scenario itself.
pub(crate) fn base(scenario: &Scenario, at: At) -> Pairing {
    Pairing(inputs::by_input(scenario, 0.0, |c| {
        match (at, c.lower, c.upper) {
            (At::Middle, Some(lower), Some(upper)) => 0.5 * (lower + upper),
            _ => c.nominal,
        }
    }))
}

/// A solved pairing with its keys and units, without row and name; `errors` are those stated of its teeth.
pub(crate) fn stated<'a>(
    scenario: &Scenario,
    plan: &Plan,
    pairing: &Pairing,
    errors: impl Iterator<Item = &'a (ToothError, f64)>,
    solution: &Solution,
) -> Pair {
    let characteristics = inputs::inputs(scenario);
    let input = |(input, c): (Input, &crate::scenario::Characteristic)| {
        (
            c.path.to_owned(),
            c.shown_in.show(pairing.get(input)),
            c.shown_in.unit(),
        )
    };
    let errors = errors.map(|(tooth, error)| (tooth.path(), *error, "mm"));
    let outputs = Output::ALL.into_iter();
    let names = plan.criteria.names();
    Pair {
        row: 0,
        name: None,
        inputs: characteristics
            .into_iter()
            .map(input)
            .chain(errors)
            .collect(),
        outputs: outputs
            .clone()
            .filter_map(|o| Some((o.key(), solution.get(o)?)))
            .collect(),
        absent: outputs
            .clone()
            .filter_map(|o| Some((o.key(), solution.reason(o)?)))
            .collect(),
        never: outputs
            .filter(|o| plan.joint.missing(*o).is_some())
            .map(Output::key)
            .collect(),
        verdict: solution.verdict.key(),
        cautions: cautions(solution),
        broken: (0..names.len())
            .filter(|bit| solution.broken >> bit & 1 == 1)
            .map(|bit| names[bit].clone())
            .collect(),
    }
}

/// What must be known of one solution.
pub(crate) fn cautions(solution: &Solution) -> Vec<&'static str> {
    let above = |output: Output, bound: f64| solution.get(output).is_some_and(|v| v > bound);
    let partial = above(Output::MismatchRatio, 1.0);
    let smoothed = solution.verdict == Verdict::ConesFree && above(Output::DrawUp, 0.0);
    let yields = above(Output::BoltUtilisation, 1.0);
    let lost = solution.get(Output::ServiceClampLoad) == Some(0.0) && above(Output::ClampLoad, 0.0);
    let slides_off = solution.get(Output::ReleaseLoad).is_some_and(|v| v < 0.0);
    [
        partial.then_some(
            "The angle mismatch exceeds the interference: contact is partial, and the ring law overstates the contact \
             share and can miss the load of the cones by a factor of two either way.",
        ),
        smoothed.then_some(
            "The smoothing allowance takes up the whole draw-up: the flanks meet but carry nothing.",
        ),
        slides_off.then_some(
            "The seat is not self-locking: it lets go as soon as the bolt does.",
        ),
        yields.then_some(
            "The bolt is tightened beyond its yield strength: the calculation is elastic and does not hold there.",
        ),
        lost.then_some("In service no clamp load is left."),
    ]
    .into_iter()
    .flatten()
    .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cautions_of(set: &[(&str, &str)]) -> Vec<&'static str> {
        let text = include_str!("../../../scenarios/pump-impeller.toml");
        let set: Vec<_> = set
            .iter()
            .map(|(path, value)| record::Override {
                path: (*path).to_owned(),
                value: (*value).to_owned(),
            })
            .collect();
        let loaded = Loaded::from_text("pump.toml", "pump", text, &set).expect("a good scenario");
        let mut pairs = pair(&loaded, &PairOptions::default()).expect("no parts to read");
        pairs.pop().expect("one pairing").cautions
    }

    #[test]
    fn cautions_speak_only_where_there_is_cause() {
        assert!(cautions_of(&[]).is_empty());
        let partial = cautions_of(&[("hub.taper.nominal", "1:20")]);
        assert!(partial[0].starts_with("The angle mismatch"), "{partial:?}");
        let smoothed = cautions_of(&[("contact.smoothing", "0.1 mm")]);
        assert!(smoothed[0].starts_with("The smoothing"), "{smoothed:?}");
        let oiled = [
            ("contact.friction.nominal", "0.04"),
            (
                "contact.friction.process",
                "{ shape = \"normal\", sd = 0.001 }",
            ),
        ];
        assert!(cautions_of(&oiled)[0].starts_with("The seat is not"));
    }
}
