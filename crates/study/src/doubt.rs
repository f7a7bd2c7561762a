//! The doubt that few readings leave: the lots behind processes are drawn anew, and the yield is simulated for each.
//!
//! A yield from a lot of 30 readings is uncertain because of the 30 readings; more pairings do not help. Every repeat takes
//! another lot that might have been measured as well, and its yield joins the interval.

use std::collections::BTreeMap;
use std::sync::Arc;

use distributions::{beta, gamma, normal};
use rayon::prelude::*;
use record::{Doubt, Yield};
use sampling::{BLOCK, Order, Process, Stream, StreamId};

use crate::dispatch::{self, Instructions};
use crate::plan::Plan;
use crate::scenario::from_lot::fitted;
use crate::scenario::{FromLot, Scenario, UseOfReadings};
use crate::supply::Supply;

/// Repeats.
const REPEATS: u64 = 400;

/// Pairings of a repeat, as long as the run has as many.
const PAIRINGS: u64 = 32_768;

/// Fewest readings with which the doubt is estimated.
pub const FEWEST: usize = 5;

/// The interval with both kinds of doubt; `None` where no process comes from readings, or a lot is too small to tell.
pub fn of(
    scenario: &Scenario,
    plan: &Plan,
    found: &Yield,
    pool: &rayon::ThreadPool,
    instructions: Instructions,
) -> Option<Doubt> {
    let sources: Vec<(&str, &FromLot)> = scenario
        .characteristics()
        .into_iter()
        .filter_map(|c| Some((c.path, c.from_lot.as_ref()?)))
        .collect();
    let readings = sources.iter().map(|(_, from)| from.readings.len()).min()?;
    if readings < FEWEST {
        return None;
    }
    let pairings = plan.pairings.min(PAIRINGS);
    let mut yields: Vec<f64> = pool.install(|| {
        (0..REPEATS)
            .into_par_iter()
            .map(|repeat| {
                let again = redrawn(scenario, repeat as u32);
                let plan = plan.with_parts_of(&again);
                let rejected = rejected(&plan, pairings, instructions);
                let chance = unit(scenario.run.seed, "doubt.count", repeat as u32, 0);
                // The count of a repeat is itself a matter of chance (Jeffreys' posterior of a share).
                let (a, b) = (rejected as f64 + 0.5, (pairings - rejected) as f64 + 0.5);
                1.0 - beta::quantile(chance, a, b)
            })
            .collect()
    });
    yields.sort_by(f64::total_cmp);
    let outside = (0.5 * (1.0 - found.confidence) * REPEATS as f64) as usize;
    let (low, high) = (yields[outside], yields[REPEATS as usize - 1 - outside]);
    Some(Doubt {
        low: low.min(found.low),
        high: high.max(found.high),
        confidence: found.confidence,
        repeats: REPEATS,
        pairings,
        ways: sources
            .iter()
            .map(|(path, from)| ((*path).to_owned(), way(from).to_owned()))
            .collect(),
        readings: readings as u64,
    })
}

/// How the readings of a process are drawn anew, in words.
fn way(from: &FromLot) -> &'static str {
    match from.how {
        UseOfReadings::Resample => "rows drawn from the lot with replacement",
        UseOfReadings::Fit("normal") => {
            "mean and standard deviation drawn as the readings leave them open (normal posterior without prior knowledge)"
        }
        UseOfReadings::Fit(_) => {
            "rows drawn from the lot with replacement, and the shape fitted again"
        }
    }
}

/// The scenario with every lot measured once more.
fn redrawn(scenario: &Scenario, repeat: u32) -> Scenario {
    let mut again = scenario.clone();
    let mut rows: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    again.each_characteristic(&mut |c| {
        let Some(from) = c.from_lot.clone() else {
            return;
        };
        let seed = scenario.run.seed;
        let process = match from.how {
            UseOfReadings::Fit("normal") => posterior(seed, c.path, repeat, &from.readings),
            how => {
                let picked = rows
                    .entry(from.lot.clone())
                    .or_insert_with(|| picks(seed, &from.lot, repeat, from.readings.len()));
                let values: Arc<[f64]> = picked.iter().map(|&row| from.readings[row]).collect();
                match how {
                    UseOfReadings::Resample => Process::rows(values).ok(),
                    UseOfReadings::Fit(name) => fitted(name, &values).ok(),
                }
            }
        };
        // A lot drawn anew to which the shape cannot be fitted (all rows alike) leaves the process as it is.
        if let Some(process) = process {
            c.process = process;
        }
    });
    again
}

/// Rows of a lot of `n`, drawn with replacement.
fn picks(seed: u64, lot: &str, repeat: u32, n: usize) -> Vec<usize> {
    let name = format!("doubt.rows/{lot}");
    let row =
        |place: usize| ((unit(seed, &name, repeat, place as u64) * n as f64) as usize).min(n - 1);
    (0..n).map(row).collect()
}

/// A normal process as likely as any other behind `n` readings with mean `m` and standard deviation `s`:
/// `sigma^2 = (n - 1) s^2 / chi^2(n - 1)`, `mu = m + sigma z / sqrt n` (any text on Bayesian inference; flat prior for `mu` and
/// `ln sigma`, so that the intervals of a normal lot keep their classical coverage).
fn posterior(seed: u64, path: &str, repeat: u32, readings: &[f64]) -> Option<Process> {
    let moments = capability::moments::Moments::of(readings);
    let (mean, sd) = (moments.mean()?, moments.sd()?);
    let freedom = (readings.len() - 1) as f64;
    let chance = |what: &str| unit(seed, &format!("doubt.{what}/{path}"), repeat, 0);
    let chi_square = gamma::chi_square_quantile(chance("spread"), freedom);
    let sigma = sd * libm::sqrt(freedom / chi_square);
    let z = normal::quantile(chance("mean"));
    let mu = mean + sigma * z / libm::sqrt(readings.len() as f64);
    Process::normal(mu, sigma).ok()
}

/// Rejects among the first `pairings`.
fn rejected(plan: &Plan, pairings: u64, instructions: Instructions) -> u64 {
    let mut block = plan.block();
    let mut supply = Supply::new(plan, Order::Stock);
    let mut rejected = 0;
    for number in 0..pairings.div_ceil(BLOCK as u64) {
        let len = (pairings - number * BLOCK as u64).min(BLOCK as u64) as usize;
        dispatch::draw(instructions, plan, number, len, &mut supply, &mut block);
        dispatch::solve(instructions, plan, plan.judged, &mut block);
        let lanes = &block.broken[..len];
        rejected += lanes.iter().filter(|broken| **broken != 0).count() as u64;
    }
    rejected
}

/// A number strictly between 0 and 1.
fn unit(seed: u64, characteristic: &str, attempt: u32, index: u64) -> f64 {
    let stream = Stream::new(StreamId {
        seed,
        point: None,
        characteristic,
        attempt,
    });
    ((stream.word(index) >> 12) as f64 + 0.5) * (1.0 / 4_503_599_627_370_496.0)
}
