//! The twin of the run loop whose threads add their float sums as they finish: what the order of the chunks costs.

use std::sync::Mutex;
use std::sync::atomic::{AtomicU64, Ordering};

use capability::tally::FoldedSums;
use study::{CHUNK, Counted, Counts, Instructions, Plan, Workspace, chunk};

/// Runs all chunks of the plan like `study::simulate`. Counts are the same; the sums depend on which thread was first.
pub fn simulate(plan: &Plan, instructions: Instructions, pool: &rayon::ThreadPool) -> Counts {
    let frames = plan.frames(instructions);
    let chunks = plan.pairings.div_ceil(CHUNK);
    let next = AtomicU64::new(0);
    let sums = Mutex::new(vec![FoldedSums::default(); plan.outputs.len()]);
    let workers = pool.broadcast(|_| {
        let mut work = Workspace::new(plan);
        loop {
            let number = next.fetch_add(1, Ordering::Relaxed);
            if number >= chunks {
                return work.counted;
            }
            let parts = chunk(instructions, plan, &frames, number, &mut work);
            let mut sums = sums
                .lock()
                .unwrap_or_else(std::sync::PoisonError::into_inner);
            for (sum, part) in sums.iter_mut().zip(&parts) {
                sum.fold(part);
            }
        }
    });
    let mut counted = Counted::new(plan);
    for part in &workers {
        counted.merge(part);
    }
    Counts {
        pairings: plan.pairings,
        frames,
        sums: sums
            .into_inner()
            .unwrap_or_else(std::sync::PoisonError::into_inner),
        counted,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::atomic::AtomicBool;

    #[test]
    fn the_twin_counts_what_the_run_counts() {
        let plan = crate::plan(3 * CHUNK + 100).expect("the benchmark's scenario");
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(2)
            .build()
            .expect("threads");
        let best = Instructions::best();
        let twin = simulate(&plan, best, &pool);
        let run =
            study::simulate(&plan, best, &pool, &|_| {}, &AtomicBool::new(false)).expect("runs");
        assert_eq!(twin.counted.totals, run.counted.totals);
        assert_eq!(twin.counted.masks, run.counted.masks);
        for (a, b) in twin.sums.iter().zip(&run.sums) {
            let (a, b) = (a.powers()[1], b.powers()[1]);
            assert!((a - b).abs() <= 1e-12 * b.abs(), "{a} {b}");
        }
    }
}
