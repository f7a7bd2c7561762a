//! The command line of seatyield: arguments, messages, progress, exit codes. No mathematics.

mod commands;
mod exit;
mod folder;
mod guard;
mod input;
mod output;
mod signals;

use std::ffi::OsString;
use std::process::ExitCode;

use clap::Parser;

use exit::Exit;
use input::arguments::Arguments;

/// Runs the program with the arguments of the process.
pub fn main() -> ExitCode {
    let words: Vec<OsString> = std::env::args_os().collect();
    guard::guarded(&words, || started(&words)).into()
}

/// Reads the arguments and does what they ask for.
fn started(words: &[OsString]) -> Exit {
    match Arguments::try_parse_from(words) {
        Ok(arguments) => commands::perform(&arguments.command, words),
        Err(answer) => answered(&answer),
    }
}

/// Prints clap's own answer: the help and the version on stdout, a wrong command line on stderr.
fn answered(answer: &clap::Error) -> Exit {
    // A reader that closed the pipe has seen what it wanted.
    let _ = answer.print();
    if answer.use_stderr() {
        Exit::CommandLine
    } else {
        Exit::Done
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn exit_of(line: &str) -> Exit {
        let words: Vec<OsString> = line.split(' ').map(OsString::from).collect();
        started(&words)
    }

    #[test]
    fn a_wrong_command_line_is_exit_2() {
        for line in [
            "seatyield",
            "seatyield fly x.toml",
            "seatyield run",
            "seatyield run a.toml --pairings 10k",
            "seatyield run a.toml --pairings -1",
            "seatyield run a.toml --threads 0",
            "seatyield run a.toml --least-yield 99.5",
            "seatyield run a.toml --set hub",
            "seatyield run a.toml --sed 3",
        ] {
            assert_eq!(exit_of(line), Exit::CommandLine, "{line}");
        }
    }

    #[test]
    fn help_and_version_are_exit_0() {
        for line in [
            "seatyield --version",
            "seatyield --help",
            "seatyield run --help",
        ] {
            assert_eq!(exit_of(line), Exit::Done, "{line}");
        }
    }

    #[test]
    fn the_arguments_are_put_together_soundly() {
        use clap::CommandFactory;
        Arguments::command().debug_assert();
    }
}
