//! Runs a record's embedded scenario again and compares every number.

use std::sync::atomic::AtomicBool;

pub use record::Difference;
use record::Record;
use sampling::STREAM_VERSION;

use crate::loaded::Loaded;
use crate::problem::Problems;
use crate::run::{Progress, RunOptions, Stopped, run};

/// Why a record was not run again.
#[derive(Debug, thiserror::Error)]
pub enum NotRechecked {
    /// The record was drawn from another version of the random stream.
    #[error(
        "the record was made with stream version {found}; this program draws version {expected}"
    )]
    OtherStream {
        /// Version in the record.
        found: u32,
        /// Version of this program.
        expected: u32,
    },
    /// The embedded scenario cannot be read.
    #[error("{0}")]
    Scenario(Problems),
    /// The run left no record.
    #[error(transparent)]
    Stopped(#[from] Stopped),
    /// The records cannot be compared.
    #[error("the records cannot be compared: {0}")]
    Compare(String),
}

/// Runs the scenario in a record again; an empty list means that every number is the same.
///
/// # Errors
/// [`NotRechecked`] when there is nothing to compare with.
pub fn recheck(
    record: &Record,
    options: &RunOptions,
    progress: &(dyn Fn(Progress) + Sync),
    stop: &AtomicBool,
) -> Result<Vec<Difference>, NotRechecked> {
    if record.stream_version != STREAM_VERSION {
        return Err(NotRechecked::OtherStream {
            found: record.stream_version,
            expected: STREAM_VERSION,
        });
    }
    let loaded = Loaded::from_record(record).map_err(NotRechecked::Scenario)?;
    let again = run(&loaded, options, progress, stop)?;
    record
        .differences(&again)
        .map_err(|error| NotRechecked::Compare(error.to_string()))
}
