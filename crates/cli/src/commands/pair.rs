//! `pair`: solve stated pairings without chance.

use std::ffi::OsString;

use study::{Loaded, PairOptions};

use super::overrides;
use crate::exit::{Exit, Failure};
use crate::guard::command_line;
use crate::input::arguments::{At, Pair};
use crate::output::console;
use crate::output::pairs::pairs;
use crate::output::pairs_json::pairs_json;

/// Solves and prints the pairings.
pub fn pair(arguments: &Pair, words: &[OsString]) -> Result<Exit, Failure> {
    let loaded = Loaded::from_file(&arguments.scenario, &overrides(&arguments.set))?;
    let options = PairOptions {
        at: match arguments.at {
            At::Nominal => study::At::Nominal,
            At::Middle => study::At::Middle,
        },
        parts: arguments.parts.as_deref(),
    };
    let solved = study::pair(&loaded, &options)?;
    let text = if arguments.json {
        pairs_json(&solved).map_err(|error| Failure::Defect {
            what: error.to_string(),
            command: command_line(words),
        })?
    } else {
        pairs(&loaded.scenario.subject.title, &solved)
    };
    console::print(&text)?;
    Ok(Exit::Done)
}
