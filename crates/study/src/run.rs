//! One production run: chunks over cores, folded in order into a record.

use std::collections::BTreeMap;
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};

use capability::tally::{FoldedSums, Frame, Sums};
use record::Record;
use sampling::BLOCK;

use crate::dispatch::{self, Instructions};
use crate::kernel::{CHUNK, Counted, Workspace};
use crate::loaded::Loaded;
use crate::plan::Plan;
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
    /// Pairings in all.
    pub pairings: u64,
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
    let plan = Plan::new(&loaded.scenario).map_err(Stopped::Impossible)?;
    let pool = rayon::ThreadPoolBuilder::new()
        .num_threads(options.threads.max(1))
        .build()
        .map_err(|error| Stopped::Threads(error.to_string()))?;
    let counts = simulate(&plan, options.instructions, &pool, progress, stop)?;
    let record = summary::record(loaded, &plan, &counts, &pool, options.instructions);
    if stop.load(Ordering::Relaxed) {
        return Err(Stopped::Interrupted);
    }
    Ok(record)
}

/// Runs all chunks of the plan on the pool.
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
    let chunks = plan.pairings.div_ceil(CHUNK);
    let next = AtomicU64::new(0);
    let prefix = Mutex::new(Prefix::new(plan.outputs.len()));
    let workers = pool.broadcast(|_| {
        let mut work = Workspace::new(plan);
        while !stop.load(Ordering::Relaxed) {
            let number = next.fetch_add(1, Ordering::Relaxed);
            if number >= chunks {
                break;
            }
            let sums = chunk(instructions, plan, &frames, number, &mut work);
            let folded = lock(&prefix).push(number, sums);
            progress(Progress {
                done: (folded * CHUNK).min(plan.pairings),
                pairings: plan.pairings,
            });
        }
        work.counted
    });
    if stop.load(Ordering::Relaxed) {
        return Err(Stopped::Interrupted);
    }
    let prefix = prefix
        .into_inner()
        .unwrap_or_else(std::sync::PoisonError::into_inner);
    if let Some((chunk, output)) = prefix.not_finite {
        let first = chunk * CHUNK;
        let last = (first + CHUNK).min(plan.pairings) - 1;
        return Err(Stopped::NotFinite {
            chunk,
            first,
            last,
            output: plan.outputs[output].key(),
        });
    }
    let mut counted = Counted::new(plan);
    for part in &workers {
        counted.merge(part);
    }
    Ok(Counts {
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

fn lock<T>(mutex: &Mutex<T>) -> std::sync::MutexGuard<'_, T> {
    mutex
        .lock()
        .unwrap_or_else(std::sync::PoisonError::into_inner)
}

/// Chunk sums folded in the order of the chunks: a running prefix, and what came early.
struct Prefix {
    next: u64,
    early: BTreeMap<u64, Vec<Sums>>,
    sums: Vec<FoldedSums>,
    not_finite: Option<(u64, usize)>,
}

impl Prefix {
    fn new(outputs: usize) -> Prefix {
        Prefix {
            next: 0,
            early: BTreeMap::new(),
            sums: vec![FoldedSums::default(); outputs],
            not_finite: None,
        }
    }

    /// Takes the sums of one chunk; returns how many chunks are folded.
    fn push(&mut self, number: u64, sums: Vec<Sums>) -> u64 {
        self.early.insert(number, sums);
        while let Some(sums) = self.early.remove(&self.next) {
            for (output, (folded, sums)) in self.sums.iter_mut().zip(&sums).enumerate() {
                if !sums.is_finite() && self.not_finite.is_none() {
                    self.not_finite = Some((self.next, output));
                }
                folded.fold(sums);
            }
            self.next += 1;
        }
        self.next
    }
}
