//! One production run: blocks over cores, folded in order into a record.

use std::sync::atomic::AtomicBool;

use record::Record;

use crate::loaded::Loaded;

/// How to run. Nothing here changes the result.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RunOptions {
    /// Worker threads, at least 1.
    pub threads: usize,
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
    /// A pairing gave a number that is not finite: a defect of this program.
    #[error("pairing {pairing} gave a value of {output} that is not a number")]
    NotFinite {
        /// Number of the first such pairing, counted from 0.
        pairing: u64,
        /// Its output.
        output: &'static str,
    },
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
    let _ = (loaded, options, progress, stop);
    todo!()
}
