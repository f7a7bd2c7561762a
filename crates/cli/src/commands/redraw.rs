//! `redraw`: the report again from a saved record, without running anything.

use std::ffi::OsString;

use super::{destination, say_kept, undrawn};
use crate::exit::{Exit, Failure};
use crate::input::arguments::Redraw;
use crate::input::record_file;
use crate::output::plain::shown;
use crate::output::{console, drawing};

/// Draws the report of a record.
pub fn redraw(arguments: &Redraw, words: &[OsString]) -> Result<Exit, Failure> {
    let record = record_file::read(&arguments.record)?;
    record
        .agrees()
        .map_err(|contradiction| Failure::NotARecord {
            path: arguments.record.clone(),
            reason: format!("{contradiction}; recheck lists what differs"),
        })?;
    let folder = destination(&arguments.to, &record.scenario.name, &record.scenario_hash)?;
    let path = folder.path().to_owned();
    let files = drawing::files(&record).map_err(|reason| undrawn(reason, words))?;
    say_kept(folder.write(&files)?);
    console::print(&format!("Report in {}\n", shown(path)))?;
    Ok(Exit::Done)
}
