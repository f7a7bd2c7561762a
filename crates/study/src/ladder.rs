//! One pairing at rising torque.
//!
//! Each rung is the torque set on the wrench; the pairing keeps its own relative torque error and frictions. The
//! spacer is pinched at the closing torque `T_close = T_set F(t) / B`, with `F(t)` the load of the cones at the
//! stand-off `t`; from there on the bolt load beyond the cones' clamps the spacer.

use std::path::Path;

use fit::{Input, Output, Solution, Spacer};
use record::{Ladder, Rung};

use crate::depict;
use crate::loaded::Loaded;
use crate::measured::Measured;
use crate::pair::{self, At};
use crate::parts::{self, Known, PartRow};
use crate::plan::Plan;
use crate::problem::id;
use crate::problem::{Problem, Problems};

/// Steps that the rungs may have, times a power of ten.
const STEPS: [f64; 4] = [1.0, 2.0, 2.5, 5.0];

/// Most steps of a ladder.
const MOST_STEPS: f64 = 40.0;

/// Halvings that find a torque to the last bits.
const HALVINGS: u32 = 60;

/// What to solve.
#[derive(Debug, Clone, Copy)]
pub struct LadderOptions<'a> {
    /// Sizes where nothing else is stated.
    pub at: At,
    /// A CSV file of measured parts with exactly one row.
    pub parts: Option<&'a Path>,
    /// Lowest torque (N·m); rungs begin above 0.
    pub from_nm: f64,
    /// Highest torque (N·m), above the lowest.
    pub to_nm: f64,
}

/// Solves one pairing at round torques from the lowest to the highest.
///
/// # Errors
/// [`Problems`] of the file of parts, or when it does not have exactly one row.
pub fn ladder(loaded: &Loaded, options: &LadderOptions<'_>) -> Result<Ladder, Problems> {
    let known = Known::of(&loaded.scenario);
    let row = options.parts.map(|path| one_row(path, &known));
    let row = row.transpose()?;
    let mut measured = Measured::new(pair::base(&loaded.scenario, options.at));
    row.iter().for_each(|row| measured.put(row));
    let rungs = torques(options.from_nm, options.to_nm)
        .into_iter()
        .map(|torque| rung(loaded, &measured, torque))
        .collect::<Result<Vec<Rung>, Problems>>()?;
    let climb = Climb::new(loaded, measured)?;
    let highest = rungs.last();
    let pinched_from_nm = climb.pinched_from().filter(|nm| *nm <= options.to_nm);
    let clamp_n_per_nm = highest.zip(pinched_from_nm).and_then(|(top, from)| {
        let bought = top.clamp_load_n? / (top.torque_nm - from);
        (top.torque_nm > from && bought.is_finite()).then_some(bought)
    });
    let scenario = &loaded.scenario;
    Ok(Ladder {
        program_version: env!("CARGO_PKG_VERSION").to_owned(),
        scenario: loaded.name.clone(),
        scenario_hash: loaded.hash.clone(),
        title: scenario.subject.title.clone(),
        seat: depict::seat(scenario).to_owned(),
        name: row.and_then(|row| row.name),
        set_nm: scenario.bolt.torque.nominal * 1e-3,
        applied_share: climb.applied_share,
        draw_up_mm: climb.own.get(Output::DrawUp),
        rigid_spacer: climb.plan.joint.sizes().spacer == Spacer::Rigid,
        least_clamp_load_n: scenario
            .limits
            .iter()
            .find(|limit| limit.output == Output::ClampLoad)
            .and_then(|limit| limit.min),
        bears_from_nm: climb.bears_from(options.to_nm),
        pinched_from_nm,
        clamp_n_per_nm,
        cautions: highest_cautions(&climb, options.to_nm),
        rungs,
    })
}

/// The only row of a file.
fn one_row(path: &Path, known: &Known) -> Result<PartRow, Problems> {
    let mut rows = parts::read_parts(path, known)?;
    match (rows.pop(), rows.len()) {
        (Some(row), 0) => Ok(row),
        (_, others) => Err(Problem::new(
            &id::PARTS_NOT_ONE,
            &path.to_string_lossy(),
            "",
            &format!("{} rows", others + 1),
            "exactly one row, because a ladder follows one pairing",
        )
        .hint("take the row of interest into a file of its own")
        .into()),
    }
}

/// The two ends, and round torques between them: about 36, never more than 42.
fn torques(from: f64, to: f64) -> Vec<f64> {
    let step = round_step((to - from) / MOST_STEPS);
    let first = libm::floor(from / step + 1e-9) + 1.0;
    let last = libm::ceil(to / step - 1e-9) - 1.0;
    let between = 0..=(last - first).max(-1.0) as i64;
    let between = between
        .map(|i| libm::round((first + i as f64) * step * 1e9) / 1e9)
        .filter(|torque| *torque > from && *torque < to);
    let start = (from > 0.0).then_some(from);
    start.into_iter().chain(between).chain([to]).collect()
}

/// The smallest round step that is not below `least`.
fn round_step(least: f64) -> f64 {
    let mut unit = 1.0;
    while unit > least {
        unit /= 10.0;
    }
    loop {
        if let Some(step) = STEPS.into_iter().find(|s| s * unit >= least * (1.0 - 1e-9)) {
            return step * unit;
        }
        unit *= 10.0;
    }
}

/// The pairing with another torque set on the wrench.
fn rung(loaded: &Loaded, measured: &Measured, torque_nm: f64) -> Result<Rung, Problems> {
    let (scenario, turned) = pair::at_torque(&loaded.scenario, Some(torque_nm));
    let plan = Plan::new(&scenario).map_err(|reason| loaded.impossible(&reason))?;
    let solution = solve(&plan, measured, turned);
    let names = plan.criteria.names().into_iter().enumerate();
    let broken = names.filter(|(bit, _)| solution.broken >> bit & 1 == 1);
    Ok(Rung {
        torque_nm,
        bolt_load_n: solution.get(Output::BoltLoad).unwrap_or(0.0),
        stand_off_mm: solution.get(Output::StandOff),
        gap_mm: solution.get(Output::Gap),
        clamp_load_n: solution.get(Output::ClampLoad),
        seat_load_n: solution.get(Output::SeatLoad),
        verdict: solution.verdict.key().to_owned(),
        broken_limits: broken.map(|(_, name)| name).collect(),
    })
}

/// The solution with another torque, as a factor of the pairing's own.
fn solve(plan: &Plan, measured: &Measured, turned: f64) -> Solution {
    let mut pairing = measured.pairing;
    pairing.0[Input::Torque.index()] *= turned;
    plan.joint
        .solve_with(&pairing, &measured.teeth, &plan.criteria)
}

fn highest_cautions(climb: &Climb, to_nm: f64) -> Vec<String> {
    let said = pair::cautions(&climb.at(to_nm));
    said.into_iter().map(str::to_owned).collect()
}

/// The pairing under its own torque and under any other.
struct Climb {
    plan: Plan,
    measured: Measured,
    own: Solution,
    set_nm: f64,
    applied_share: f64,
}

impl Climb {
    fn new(loaded: &Loaded, measured: Measured) -> Result<Climb, Problems> {
        let plan = Plan::new(&loaded.scenario).map_err(|reason| loaded.impossible(&reason))?;
        let own = solve(&plan, &measured, 1.0);
        let set = loaded.scenario.bolt.torque.nominal;
        Ok(Climb {
            own,
            set_nm: set * 1e-3,
            applied_share: measured.pairing.get(Input::Torque) / set,
            plan,
            measured,
        })
    }

    /// The loads at another setting of the wrench; limits on torques are judged in [`rung`].
    fn at(&self, torque_nm: f64) -> Solution {
        solve(&self.plan, &self.measured, torque_nm / self.set_nm)
    }

    /// The closing torque; 0 when the faces meet first.
    fn pinched_from(&self) -> Option<f64> {
        self.own.get(Output::ClosingTorque)
    }

    /// The torque from which the cones carry load, up to a highest one.
    fn bears_from(&self, to_nm: f64) -> Option<f64> {
        let bears = |torque: f64| {
            self.at(torque)
                .get(Output::SeatLoad)
                .is_some_and(|f| f > 0.0)
        };
        if bears(to_nm * 1e-6) {
            return Some(0.0);
        }
        if !bears(to_nm) {
            return None;
        }
        let (mut low, mut high) = (0.0, to_nm);
        for _ in 0..HALVINGS {
            let middle = 0.5 * (low + high);
            if bears(middle) {
                high = middle;
            } else {
                low = middle;
            }
        }
        Some(high)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rungs_are_round_and_end_where_they_were_asked_to() {
        let rungs = torques(10.0, 80.0);
        assert_eq!(rungs.len(), 36);
        assert_eq!(&rungs[..3], &[10.0, 12.0, 14.0]);
        assert_eq!(rungs.last(), Some(&80.0));
        assert_eq!(torques(0.0, 100.0)[0], 2.5);
        let odd = torques(7.3, 9.1);
        assert_eq!((odd[0], odd[1], odd[odd.len() - 1]), (7.3, 7.35, 9.1));
    }

    #[test]
    fn rungs_rise_and_are_never_many() {
        for (from, to) in [
            (0.0, 1e-3),
            (0.1, 0.100_001),
            (1.0, 1e6),
            (59.9, 60.0),
            (0.0, 37.7),
        ] {
            let rungs = torques(from, to);
            assert!(
                rungs.len() >= 12 && rungs.len() <= 42,
                "{from}..{to}: {}",
                rungs.len()
            );
            assert!(rungs.windows(2).all(|w| w[0] < w[1]), "{rungs:?}");
        }
    }
}
