//! The scatter of the outputs within lots: pairs of pairings whose parts come from the same lots and tools in the same state.

use capability::index::Within;
use rayon::prelude::*;
use sampling::{BLOCK, Order};

use crate::dispatch::{self, Instructions};
use crate::plan::Plan;
use crate::supply::Supply;

/// Blocks of pairings.
const BLOCKS: u64 = (1 << 20) / BLOCK as u64;

/// Blocks summed up by one task, in their order.
const TASK: u64 = 128;

/// The standard deviation of every output followed within lots, where anything moves the mean; `None` for an output of which
/// no two pairings of a pair are defined.
///
/// With `d` the difference within a pair, `s^2 = mean(d^2) / 2` is free of everything that the two share.
pub fn of(
    plan: &Plan,
    pool: &rayon::ThreadPool,
    instructions: Instructions,
) -> Option<Vec<Option<Within>>> {
    if !plan.parts.iter().any(sampling::Part::has_slow) {
        return None;
    }
    let sums: Vec<Vec<[f64; 3]>> = pool.install(|| {
        (0..BLOCKS / TASK)
            .into_par_iter()
            .map(|task| task_sums(plan, task, instructions))
            .collect()
    });
    let mut folded = vec![[0.0; 3]; plan.outputs.len()];
    for task in sums {
        for (sum, part) in folded.iter_mut().zip(task) {
            for (a, b) in sum.iter_mut().zip(part) {
                *a += b;
            }
        }
    }
    let within = |[n, squares, fourths]: [f64; 3]| {
        let mean = squares / n;
        (n >= 2.0 && mean > 0.0).then(|| Within {
            sd: libm::sqrt(0.5 * mean),
            sd_variance: 0.25 * (fourths / n / (mean * mean) - 1.0) / n,
        })
    };
    Some(folded.into_iter().map(within).collect())
}

/// Pairs, sums of squares and of fourth powers of the differences, by output.
fn task_sums(plan: &Plan, task: u64, instructions: Instructions) -> Vec<[f64; 3]> {
    let mut sums = vec![[0.0; 3]; plan.outputs.len()];
    let mut block = plan.block();
    let mut supply = Supply::new(plan, Order::Pairs);
    for number in task * TASK..(task + 1) * TASK {
        dispatch::draw(instructions, plan, number, BLOCK, &mut supply, &mut block);
        dispatch::solve(instructions, plan, plan.wanted, &mut block);
        for (output, sum) in plan.outputs.iter().zip(&mut sums) {
            let values = &block.outputs[output.index()];
            for pair in 0..BLOCK / 2 {
                let absent = block.absent[2 * pair] | block.absent[2 * pair + 1];
                if absent >> output.index() & 1 == 0 {
                    let d = values[2 * pair] - values[2 * pair + 1];
                    let square = d * d;
                    sum[0] += 1.0;
                    sum[1] += square;
                    sum[2] += square * square;
                }
            }
        }
    }
    sums
}
