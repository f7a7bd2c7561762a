//! One production run: chunks over cores, folded in order into a record.

use std::sync::atomic::{AtomicBool, Ordering};

use capability::tally::{FoldedSums, Frame, Sums};
use record::Record;
use sampling::BLOCK;

use crate::dispatch::{self, Instructions};
use crate::kernel::{CHUNK, Counted, Workspace};
use crate::loaded::Loaded;
use crate::plan::Plan;
use crate::prefix::{Chunk, Turns};
use crate::summary;

/// How to run. Nothing here changes the result.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RunOptions {
    /// Worker threads, at least 1.
    pub threads: usize,
    /// Vector unit to use.
    pub instructions: Instructions,
}

impl RunOptions {
    /// This many threads, on the widest vector unit of this processor.
    pub fn threads(threads: usize) -> RunOptions {
        RunOptions {
            threads,
            instructions: Instructions::best(),
        }
    }
}

/// How far a run is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Progress {
    /// Pairings done.
    pub done: u64,
    /// Pairings in all, or about so many.
    pub pairings: u64,
    /// Whether `pairings` is an estimate: the run ends when its interval is narrow enough.
    pub estimated: bool,
}

/// Why a run left no record.
#[derive(Debug, thiserror::Error)]
pub enum Stopped {
    /// The caller asked it to stop.
    #[error("interrupted")]
    Interrupted,
    /// The worker threads could not be started.
    #[error("the worker threads could not be started: {0}")]
    Threads(String),
    /// The sizes of the scenario contradict each other.
    #[error("the scenario does not make a joint: {0}")]
    Impossible(String),
    /// A pairing gave a number that is not finite: a defect of this program.
    #[error(
        "a pairing of chunk {chunk} (pairings {first} to {last}) gave a value of {output} that is not a number"
    )]
    NotFinite {
        /// Number of the chunk, counted from 0.
        chunk: u64,
        /// First pairing of the chunk, counted from 0.
        first: u64,
        /// Last pairing of the chunk.
        last: u64,
        /// The output.
        output: &'static str,
    },
}

/// What is left of a run before it is put into words.
#[derive(Debug)]
pub struct Counts {
    /// Pairings done: those of the plan, or fewer where its rule ended the run.
    pub pairings: u64,
    /// Where the bins lie, by output followed.
    pub frames: Vec<Frame>,
    /// Sums by output followed.
    pub sums: Vec<FoldedSums>,
    /// Everything counted.
    pub counted: Counted,
}

/// Simulates the scenario and sums it up. The record is the same for any number of threads.
///
/// `progress` is called now and then from any thread; `stop` is looked at between chunks.
///
/// # Errors
/// [`Stopped`] when there is no record.
pub fn run(
    loaded: &Loaded,
    options: &RunOptions,
    progress: &(dyn Fn(Progress) + Sync),
    stop: &AtomicBool,
) -> Result<Record, Stopped> {
    let mut plan = Plan::new(&loaded.scenario).map_err(Stopped::Impossible)?;
    let pool = rayon::ThreadPoolBuilder::new()
        .num_threads(options.threads.max(1))
        .build()
        .map_err(|error| Stopped::Threads(error.to_string()))?;
    let counts = simulate(&plan, options.instructions, &pool, progress, stop)?;
    // What follows looks at the pairings that were done.
    plan.pairings = counts.pairings;
    let record = summary::record(loaded, &plan, &counts, &pool, options.instructions);
    if stop.load(Ordering::Relaxed) {
        return Err(Stopped::Interrupted);
    }
    Ok(record)
}

/// Runs the chunks of the plan on the pool: all of them, or until its rule is met.
///
/// # Errors
/// [`Stopped`] when it was interrupted or a value was not finite.
pub fn simulate(
    plan: &Plan,
    instructions: Instructions,
    pool: &rayon::ThreadPool,
    progress: &(dyn Fn(Progress) + Sync),
    stop: &AtomicBool,
) -> Result<Counts, Stopped> {
    let frames = plan.frames(instructions);
    let turns = Turns::new(plan, pool.current_num_threads());
    let workers = pool.broadcast(|_| {
        let _guard = turns.guarded();
        let mut work = Workspace::new(plan);
        while let Some(number) = turns.take(stop) {
            let sums = chunk(instructions, plan, &frames, number, &mut work);
            let counted = plan
                .until
                .as_ref()
                .map(|_| std::mem::replace(&mut work.counted, Counted::new(plan)));
            progress(turns.give(number, Chunk { sums, counted }));
        }
        work.counted
    });
    if stop.load(Ordering::Relaxed) {
        return Err(Stopped::Interrupted);
    }
    let prefix = turns.into_prefix();
    let pairings = prefix.pairings();
    if let Some((chunk, output)) = prefix.not_finite {
        let first = chunk * CHUNK;
        let last = (first + CHUNK).min(pairings) - 1;
        return Err(Stopped::NotFinite {
            chunk,
            first,
            last,
            output: plan.outputs[output].key(),
        });
    }
    let mut counted = prefix.counted;
    for part in &workers {
        counted.merge(part);
    }
    Ok(Counts {
        pairings,
        frames,
        sums: prefix.sums,
        counted,
    })
}

/// Runs chunk `number`: draws, solves, counts; returns the sums of the outputs followed.
pub fn chunk(
    instructions: Instructions,
    plan: &Plan,
    frames: &[Frame],
    number: u64,
    work: &mut Workspace,
) -> Vec<Sums> {
    let mut sums = vec![Sums::default(); plan.outputs.len()];
    let (first, end) = (number * CHUNK, plan.pairings.min((number + 1) * CHUNK));
    for start in (first..end).step_by(BLOCK) {
        let block = start / BLOCK as u64;
        let len = (end - start).min(BLOCK as u64) as usize;
        let Workspace {
            block: parts,
            supply,
            ..
        } = work;
        dispatch::draw(instructions, plan, block, len, supply, parts);
        dispatch::solve(instructions, plan, plan.wanted, &mut work.block);
        dispatch::count(instructions, plan, frames, len, work, &mut sums);
    }
    work.end_chunk();
    sums
}
