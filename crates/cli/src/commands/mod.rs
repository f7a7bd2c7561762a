//! The commands: each reads, asks the study, and shows what came of it.

mod check;
mod lot;
mod pair;
mod recheck;
mod redraw;
mod run;

use std::ffi::OsString;
use std::path::{Path, PathBuf};

use study::Stopped;
use study::record::Override;

use crate::exit::{Exit, Failure};
use crate::folder::{Folder, slug};
use crate::guard::command_line;
use crate::input::arguments::{Command, Destination};
use crate::input::assignment::Assignment;
use crate::output::console;
use crate::output::plain::{plain_lines, shown};
use crate::signals::Signals;

/// Does what a command asks for; a failure is said on stderr.
pub fn perform(command: &Command, words: &[OsString]) -> Exit {
    let outcome = match command {
        Command::Run(arguments) => run::run(arguments, words),
        Command::Pair(arguments) => pair::pair(arguments, words),
        Command::Lot(arguments) => lot::lot(arguments, words),
        Command::Check(arguments) => check::check(arguments, words),
        Command::Redraw(arguments) => redraw::redraw(arguments, words),
        Command::Recheck(arguments) => recheck::recheck(arguments, words),
    };
    outcome.unwrap_or_else(|failure| {
        match &failure {
            // These begin with a place, as an editor wants it.
            Failure::Input(problems) => console::note(&plain_lines(&problems.to_string())),
            other => console::error(&other.to_string()),
        }
        failure.exit()
    })
}

/// What was set on the command line, in order.
fn overrides(set: &[Assignment]) -> Vec<Override> {
    set.iter().map(|assignment| assignment.0.clone()).collect()
}

/// The folder that was named, or the one under `out` that belongs to the scenario.
fn destination(to: &Destination, name: &str, hash: &str) -> Result<Folder, Failure> {
    let path = match &to.out {
        Some(path) => path.clone(),
        None => Path::new("out").join(slug(name)),
    };
    Ok(Folder::prepare(&path, hash, to.force)?)
}

/// Says where the old folder went when it held more than a report.
fn say_kept(kept: Option<PathBuf>) {
    if let Some(path) = kept {
        console::note(&format!(
            "note: the old folder held files that are not part of this report; it is kept as {}",
            shown(path)
        ));
    }
}

/// A report that cannot be drawn: a defect.
fn undrawn(reason: String, words: &[OsString]) -> Failure {
    Failure::Defect {
        what: reason,
        command: command_line(words),
    }
}

/// Why a run left no record, as the shell needs it.
fn stopped(stopped: Stopped, seed: u64, signals: &Signals, words: &[OsString]) -> Failure {
    match stopped {
        Stopped::Interrupted => Failure::Interrupted {
            signal: signals.number(),
        },
        Stopped::NotFinite { .. } => Failure::Defect {
            what: format!("{stopped} (seed {seed})"),
            command: command_line(words),
        },
        Stopped::Threads(_) => Failure::Threads(stopped),
        Stopped::Impossible(_) => Failure::Impossible(stopped),
    }
}
