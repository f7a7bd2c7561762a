//! How the program ends: its exit codes, and the failures behind them.

use std::path::PathBuf;
use std::process::ExitCode;

use study::{Problems, Stopped};

use crate::folder::FolderError;
use crate::output::plain::{plain, shown};

/// The documented exit codes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Exit {
    /// 0: done.
    Done,
    /// 1: done, but the lower end of the yield's interval is below the yield asked for.
    YieldLow,
    /// 2: the command line.
    CommandLine,
    /// 5: reading or writing files.
    Files,
    /// 6: a record does not match, or is not one.
    NoMatch,
    /// 8: over a limit of the machine.
    OverLimit,
    /// 70: a defect of this program.
    Defect,
    /// 130 or 143: stopped by signal 2 or 15, nothing written.
    Signal(u8),
    /// The code that comes with the problems of an input: 3 scenario, 4 readings, 5 files.
    Input(u8),
}

impl Exit {
    /// The number that the shell sees.
    pub fn code(self) -> u8 {
        match self {
            Exit::Done => 0,
            Exit::YieldLow => 1,
            Exit::CommandLine => 2,
            Exit::Files => 5,
            Exit::NoMatch => 6,
            Exit::OverLimit => 8,
            Exit::Defect => 70,
            Exit::Signal(signal) => 128 + signal,
            Exit::Input(code) => code,
        }
    }
}

impl From<Exit> for ExitCode {
    fn from(exit: Exit) -> ExitCode {
        ExitCode::from(exit.code())
    }
}

/// Why a command left no result.
#[derive(Debug, thiserror::Error)]
pub enum Failure {
    /// The scenario or the readings.
    #[error("{0}")]
    Input(#[from] Problems),
    /// Options that do not go together.
    #[error("{0}")]
    Options(String),
    /// The output folder.
    #[error("{0}")]
    Folder(#[from] FolderError),
    /// A file that cannot be read.
    #[error("{}: cannot be read: {reason}", shown(path))]
    Unreadable {
        /// The file.
        path: PathBuf,
        /// Why.
        reason: String,
    },
    /// A file that is not a record of this program's version.
    #[error("{}: {}", shown(path), plain(reason))]
    NotARecord {
        /// The file.
        path: PathBuf,
        /// Why.
        reason: String,
    },
    /// The results cannot be printed, for example on a full device.
    #[error("the results cannot be printed: {0}")]
    Print(std::io::Error),
    /// The handlers for Ctrl-C cannot be set.
    #[error("the handlers for signals cannot be set: {0}")]
    Signals(std::io::Error),
    /// Ctrl-C or a polite request to end.
    #[error("interrupted; nothing was written")]
    Interrupted {
        /// The signal's number.
        signal: u8,
    },
    /// The worker threads could not be started.
    #[error("{0}\n  hint: ask for fewer with --threads")]
    Threads(Stopped),
    /// Sizes that do not make a joint.
    #[error("{0}; nothing was written")]
    Impossible(Stopped),
    /// A number that is not finite, or a report that cannot be drawn: a defect.
    #[error(
        "internal error: {what}\n  \
         This is a defect of the program, not of the input.\n  \
         Please report it together with the scenario and this command:\n  {command}"
    )]
    Defect {
        /// What was found.
        what: String,
        /// The command line to type again.
        command: String,
    },
}

impl Failure {
    /// The exit code that belongs to the failure.
    pub fn exit(&self) -> Exit {
        match self {
            Failure::Input(problems) => Exit::Input(problems.exit_code),
            Failure::Options(_) => Exit::CommandLine,
            Failure::Impossible(_) => Exit::Input(3),
            Failure::Folder(_) | Failure::Unreadable { .. } | Failure::Print(_) => Exit::Files,
            Failure::NotARecord { .. } => Exit::NoMatch,
            Failure::Signals(_) | Failure::Threads(_) => Exit::OverLimit,
            Failure::Interrupted { signal } => Exit::Signal(*signal),
            Failure::Defect { .. } => Exit::Defect,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exit_codes_are_those_of_the_handbook() {
        let codes = [
            (Exit::Done, 0),
            (Exit::YieldLow, 1),
            (Exit::CommandLine, 2),
            (Exit::Input(3), 3),
            (Exit::Input(4), 4),
            (Exit::Files, 5),
            (Exit::NoMatch, 6),
            (Exit::OverLimit, 8),
            (Exit::Defect, 70),
            (Exit::Signal(2), 130),
            (Exit::Signal(15), 143),
        ];
        for (exit, code) in codes {
            assert_eq!(exit.code(), code, "{exit:?}");
        }
    }
}
