//! How the yield varies from lot to lot: lot after lot in the order of production.

use capability::quantiles;
use rayon::prelude::*;
use record::LotYields;
use sampling::{BLOCK, Order, Slow};

use crate::dispatch::{self, Instructions};
use crate::plan::Plan;
use crate::scenario::{Characteristic, Scenario};
use crate::supply::{Supply, part_of};

/// Lots simulated.
const LOTS: u64 = 1_000;

/// Most pairings simulated of a lot: beyond that its yield is known to a few tenths of a percent.
const MOST_OF_EACH: u64 = 8_192;

/// Shares of the lots at which yields are stated.
const SHARES: [f64; 6] = [0.01, 0.05, 0.25, 0.5, 0.75, 0.95];

/// Bins of the picture.
const BINS: usize = 40;

/// The yields of the lots of every part whose mean moves from lot to lot, by part and size of the lot.
pub fn of(
    scenario: &Scenario,
    plan: &Plan,
    pool: &rayon::ThreadPool,
    instructions: Instructions,
) -> Vec<LotYields> {
    sources(scenario)
        .into_iter()
        .map(|source| {
            let mut yields = simulated(plan, source.size, pool, instructions);
            yields.sort_by(f64::total_cmp);
            summed_up(source, &yields)
        })
        .collect()
}

/// Lots of one part and size.
struct Source {
    part: &'static str,
    size: u64,
    paths: Vec<&'static str>,
}

fn sources(scenario: &Scenario) -> Vec<Source> {
    let mut sources: Vec<Source> = vec![];
    for c in scenario.characteristics() {
        let Some(size) = lot_size(c) else { continue };
        let part = part_of(c.path);
        let known = sources
            .iter_mut()
            .find(|source| source.part == part && source.size == size);
        match known {
            Some(source) => source.paths.push(c.path),
            None => sources.push(Source {
                part,
                size,
                paths: vec![c.path],
            }),
        }
    }
    sources
}

/// Parts in a lot of a characteristic whose mean moves from lot to lot.
fn lot_size(c: &Characteristic) -> Option<u64> {
    c.process.slow().iter().find_map(|slow| match slow {
        Slow::Lots { size, .. } => Some(*size),
        Slow::Wear { .. } => None,
    })
}

/// The yield of each lot.
fn simulated(
    plan: &Plan,
    size: u64,
    pool: &rayon::ThreadPool,
    instructions: Instructions,
) -> Vec<f64> {
    let each = size.min(MOST_OF_EACH);
    pool.install(|| {
        (0..LOTS)
            .into_par_iter()
            .map(|lot| good(plan, lot * size, each, instructions) as f64 / each as f64)
            .collect()
    })
}

/// Good joints among `len` pairings from `first` on, in the order of production.
fn good(plan: &Plan, first: u64, len: u64, instructions: Instructions) -> u64 {
    let mut block = plan.block();
    let mut supply = Supply::new(plan, Order::Production);
    let length = BLOCK as u64;
    let mut good = 0;
    for number in first / length..(first + len).div_ceil(length) {
        dispatch::draw(instructions, plan, number, BLOCK, &mut supply, &mut block);
        dispatch::solve(instructions, plan, plan.judged, &mut block);
        let from = first.saturating_sub(number * length) as usize;
        let to = (first + len - number * length).min(length) as usize;
        let lanes = &block.broken[from..to];
        good += lanes.iter().filter(|broken| **broken == 0).count() as u64;
    }
    good
}

fn summed_up(source: Source, sorted: &[f64]) -> LotYields {
    let (least, most) = (sorted[0], sorted[sorted.len() - 1]);
    let (from, to) = range(least, most);
    let mut counts = vec![0; BINS];
    for y in sorted {
        let bin = ((y - from) / (to - from) * BINS as f64) as usize;
        counts[bin.min(BINS - 1)] += 1;
    }
    let quantile = |share| Some((share, quantiles::of_sorted(sorted, share)?));
    LotYields {
        part: source.part.to_owned(),
        paths: source.paths.into_iter().map(str::to_owned).collect(),
        size: source.size,
        simulated_of_each: source.size.min(MOST_OF_EACH),
        lots: sorted.len() as u64,
        mean: sorted.iter().sum::<f64>() / sorted.len() as f64,
        quantiles: SHARES.into_iter().filter_map(quantile).collect(),
        from,
        to,
        counts,
    }
}

/// A range with some width that holds all yields.
fn range(least: f64, most: f64) -> (f64, f64) {
    let width = (most - least).max(0.01);
    let to = (most + 0.5 * (width - (most - least))).min(1.0);
    ((to - width).max(0.0), to.max(width))
}
