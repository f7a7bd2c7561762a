//! Whole-program tests of seatyield live in `tests/`; this library holds what they share.

pub mod joints;
pub mod lots;
pub mod processes;
pub mod shelf;

use std::path::PathBuf;
use std::sync::atomic::AtomicBool;

use record::{Override, Record};
use study::{Loaded, RunOptions};

/// A file of the repository, by its path from the top.
pub fn repository(path: &str) -> PathBuf {
    PathBuf::from(concat!(env!("CARGO_MANIFEST_DIR"), "/..")).join(path)
}

/// A committed scenario, with what is set differently.
///
/// # Panics
/// When it cannot be read; the message holds all problems.
pub fn scenario(name: &str, set: &[(&str, &str)]) -> Loaded {
    let overrides: Vec<Override> = set
        .iter()
        .map(|(path, value)| Override {
            path: (*path).to_owned(),
            value: (*value).to_owned(),
        })
        .collect();
    let path = repository(&format!("scenarios/{name}.toml"));
    Loaded::from_file(&path, &overrides).unwrap_or_else(|problems| panic!("{problems}"))
}

/// Runs a scenario.
///
/// # Panics
/// When the run leaves no record.
pub fn run(loaded: &Loaded, options: &RunOptions) -> Record {
    study::run(loaded, options, &|_| {}, &AtomicBool::new(false))
        .unwrap_or_else(|stopped| panic!("{stopped}"))
}
