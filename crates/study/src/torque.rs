//! What the torque buys: the first pairings of the run, solved again at other settings of the wrench.

use fit::{GAP_LEFT, NEVER_SEATS, Output, Spacer};
use rayon::prelude::*;
use record::{Share, TorqueCurve, TorquePoint};

use crate::dispatch::{self, Instructions};
use crate::plan::Plan;
use crate::scenario::Scenario;
use crate::share;

/// Pairings behind each point, as long as the run has as many.
const PAIRINGS: u64 = 100_000;

/// Settings of the wrench up to twice the stated torque.
const SETTINGS: u32 = 40;

/// The curve of a plan. Each pairing keeps its own relative torque error and frictions.
pub fn curve(
    scenario: &Scenario,
    plan: &Plan,
    pool: &rayon::ThreadPool,
    instructions: Instructions,
) -> TorqueCurve {
    let set = scenario.bolt.torque.nominal;
    let process = &scenario.bolt.torque.process;
    let of = plan.pairings.min(PAIRINGS);
    let points = pool.install(|| {
        (1..=SETTINGS)
            .into_par_iter()
            .map(|step| {
                let factor = 2.0 * f64::from(step) / f64::from(SETTINGS);
                point(plan, factor, set, of, scenario.run.confidence, instructions)
            })
            .collect()
    });
    TorqueCurve {
        pairings: of,
        set_nm: set * 1e-3,
        low_nm: process.quantile(0.001_35) * 1e-3,
        high_nm: process.quantile(0.998_65) * 1e-3,
        rigid_spacer: plan.joint.sizes().spacer == Spacer::Rigid,
        points,
    }
}

/// One setting: `factor` times the stated torque.
fn point(
    plan: &Plan,
    factor: f64,
    set: f64,
    of: u64,
    confidence: f64,
    instructions: Instructions,
) -> TorquePoint {
    let bit = |output: Output, minimum: bool| {
        let sides = plan.criteria.sides();
        let place = sides
            .iter()
            .position(|s| s.output == output && s.minimum == minimum)?;
        Some(1_u32 << (fit::FIRST_SIDE + place))
    };
    let (clamp_low, stress_high) = (bit(Output::ClampLoad, true), bit(Output::BoreStress, false));
    let (mut pinched, mut clamped, mut overstressed, mut good) = (0, 0, 0, 0);
    for (broken, count) in dispatch::at_torque(instructions, plan, factor, of).seen() {
        let count_if = |yes: bool| if yes { count } else { 0 };
        pinched += count_if(broken & (GAP_LEFT | NEVER_SEATS) == 0);
        clamped += count_if(broken & (clamp_low.unwrap_or(0) | NEVER_SEATS) == 0);
        overstressed += count_if(broken & stress_high.unwrap_or(0) != 0);
        good += count_if(broken == 0);
    }
    let share = |count: u64| -> Share { share::of(count, of, confidence) };
    TorquePoint {
        torque_nm: factor * set * 1e-3,
        pinched: share(pinched),
        clamped: clamp_low.map(|_| share(clamped)),
        overstressed: stress_high.map(|_| share(overstressed)),
        good: share(good),
    }
}
