//! What the torque buys: the first pairings of the run, solved again at other settings of the wrench.

use fit::{GAP_LEFT, Input, NEVER_SEATS, Output, Spacer};
use rayon::prelude::*;
use record::{Share, TorqueCurve, TorquePoint};
use sampling::{BLOCK, Order};

use crate::dispatch::{self, Instructions};
use crate::plan::Plan;
use crate::scenario::Scenario;
use crate::share;
use crate::supply::Supply;

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
    let counts = pool.install(|| {
        (0..of.div_ceil(BLOCK as u64))
            .into_par_iter()
            .map(|number| {
                let len = (of - number * BLOCK as u64).min(BLOCK as u64) as usize;
                block_counts(plan, number, len, instructions)
            })
            .reduce(nothing, added)
    });
    let points = (1..=SETTINGS).zip(&counts).map(|(step, counts)| {
        let share = |count: u64| -> Share { share::of(count, of, scenario.run.confidence) };
        TorquePoint {
            torque_nm: factor(step) * set * 1e-3,
            pinched: share(counts.pinched),
            clamped: plan
                .bit(Output::ClampLoad, true)
                .map(|_| share(counts.clamped)),
            overstressed: plan
                .bit(Output::BoreStress, false)
                .map(|_| share(counts.overstressed)),
            overtightened: plan
                .bit(Output::BoltUtilisation, false)
                .map(|_| share(counts.overtightened)),
            good: share(counts.good),
        }
    });
    let points = points.collect();
    TorqueCurve {
        pairings: of,
        set_nm: set * 1e-3,
        low_nm: process.quantile(0.001_35) * 1e-3,
        high_nm: process.quantile(0.998_65) * 1e-3,
        rigid_spacer: plan.joint.sizes().spacer == Spacer::Rigid,
        points,
    }
}

/// Setting `step` as a share of the stated torque.
fn factor(step: u32) -> f64 {
    2.0 * f64::from(step) / f64::from(SETTINGS)
}

/// What is counted at one setting.
#[derive(Debug, Clone, Copy, Default)]
struct Counts {
    pinched: u64,
    clamped: u64,
    overstressed: u64,
    overtightened: u64,
    good: u64,
}

fn nothing() -> Vec<Counts> {
    vec![Counts::default(); SETTINGS as usize]
}

/// Integers: the order of the sums does not matter.
fn added(mut sums: Vec<Counts>, parts: Vec<Counts>) -> Vec<Counts> {
    for (sum, part) in sums.iter_mut().zip(parts) {
        sum.pinched += part.pinched;
        sum.clamped += part.clamped;
        sum.overstressed += part.overstressed;
        sum.overtightened += part.overtightened;
        sum.good += part.good;
    }
    sums
}

/// Draws one block and solves it at every setting; counts its first `len` pairings.
fn block_counts(plan: &Plan, number: u64, len: usize, instructions: Instructions) -> Vec<Counts> {
    let clamp_low = plan.bit(Output::ClampLoad, true).unwrap_or(0) | NEVER_SEATS;
    let stress_high = plan.bit(Output::BoreStress, false).unwrap_or(0);
    let bolt_high = plan.bit(Output::BoltUtilisation, false).unwrap_or(0);
    let mut block = plan.block();
    let mut supply = Supply::new(plan, Order::Stock);
    dispatch::draw(instructions, plan, number, len, &mut supply, &mut block);
    let drawn = block.inputs[Input::Torque.index()];
    (1..=SETTINGS)
        .map(|step| {
            block.inputs[Input::Torque.index()] = drawn.map(|torque| torque * factor(step));
            dispatch::solve(instructions, plan, plan.judged, &mut block);
            let mut counts = Counts::default();
            for &broken in &block.broken[..len] {
                counts.pinched += u64::from(broken & (GAP_LEFT | NEVER_SEATS) == 0);
                counts.clamped += u64::from(broken & clamp_low == 0);
                counts.overstressed += u64::from(broken & stress_high != 0);
                counts.overtightened += u64::from(broken & bolt_high != 0);
                counts.good += u64::from(broken == 0);
            }
            counts
        })
        .collect()
}
