//! Runs a record's embedded scenario again and compares every number.

use std::sync::atomic::AtomicBool;

use record::Record;

use crate::problem::Problems;
use crate::run::{Progress, RunOptions, Stopped};

/// One value that came out differently.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Difference {
    /// Where in the record, for example `outputs[3].mean`.
    pub path: String,
    /// Value in the record.
    pub recorded: String,
    /// Value of the new run.
    pub now: String,
}

/// Runs the scenario in a record again; an empty list means that every number is the same.
///
/// # Errors
/// `Ok(Err(problems))` when the embedded scenario cannot be read; [`Stopped`] when the run left no record.
pub fn recheck(
    record: &Record,
    options: &RunOptions,
    progress: &(dyn Fn(Progress) + Sync),
    stop: &AtomicBool,
) -> Result<Result<Vec<Difference>, Problems>, Stopped> {
    let _ = (record, options, progress, stop);
    todo!()
}
