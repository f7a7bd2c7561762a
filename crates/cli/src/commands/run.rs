//! `run`: simulate production, write the report, print the summary.

use std::ffi::OsString;
use std::time::{Duration, Instant};

use study::record::{Override, Record};
use study::scenario::DEFAULT_MOST_PAIRINGS;
use study::{Loaded, RunOptions};

use super::{destination, overrides, say_kept, stopped, undrawn};
use crate::exit::{Exit, Failure};
use crate::folder::{Folder, RECORD_FILE};
use crate::input::arguments::Run;
use crate::input::threads;
use crate::output::drawing;
use crate::output::numbers::count;
use crate::output::plain::shown;
use crate::output::progress::{Meter, duration, per_second};
use crate::output::{console, summary};
use crate::signals::Signals;

/// Simulates, writes the report folder and prints what was found.
pub fn run(arguments: &Run, words: &[OsString]) -> Result<Exit, Failure> {
    let loaded = Loaded::from_file(&arguments.scenario, &all_overrides(arguments))?;
    let folder = destination(&arguments.to, &loaded.name, &loaded.hash)?;
    let path = folder.path().to_owned();
    let record = simulated(arguments, &loaded, words)?;
    let written = write(folder, &record, words);
    // What was found is printed even when the folder cannot be written after all.
    let mut text = if arguments.json {
        record.to_json()
    } else {
        summary::summary(&record)
    };
    if written.is_ok() && !arguments.json {
        text += &format!("Report in {}\n", shown(path));
    }
    console::print(&text)?;
    written?;
    Ok(judged(arguments, &record))
}

/// Writes the report; when it cannot be drawn, the record alone, so that the run is not lost.
fn write(folder: Folder, record: &Record, words: &[OsString]) -> Result<(), Failure> {
    match drawing::files(record) {
        Ok(files) => say_kept(folder.write(&files)?),
        Err(reason) => {
            let path = folder.path().join(RECORD_FILE);
            say_kept(folder.write(&drawing::record_alone(record))?);
            console::note(&format!("note: the record is safe in {}", shown(path)));
            return Err(undrawn(reason, words));
        }
    }
    Ok(())
}

/// Path of the number of pairings in a scenario.
const PAIRINGS: &str = "run.pairings";

/// What `--set` changes, then what the options of their own change.
fn all_overrides(arguments: &Run) -> Vec<Override> {
    let mut all = overrides(&arguments.set);
    let mut push = |path: &str, value: String| {
        all.push(Override {
            path: path.to_owned(),
            value,
        });
    };
    let most = arguments.pairings.map(|pairings| pairings.0);
    // A rule of the command line is there to end the run: a number in the file was meant for a run without it.
    let left_open =
        arguments.until.is_some() && !arguments.set.iter().any(|set| set.0.path == PAIRINGS);
    if let Some(most) = most.or(left_open.then_some(DEFAULT_MOST_PAIRINGS)) {
        push(PAIRINGS, most.to_string());
    }
    if let Some(until) = &arguments.until {
        push("run.until", until.stated.clone());
    }
    if let Some(seed) = arguments.seed {
        push("run.seed", seed.0.to_string());
    }
    if let Some(least) = &arguments.least_yield {
        push("run.target_yield", least.stated.clone());
    }
    all
}

/// The record, with progress on stderr and an ear for Ctrl-C.
fn simulated(arguments: &Run, loaded: &Loaded, words: &[OsString]) -> Result<Record, Failure> {
    let quiet = arguments.how.quiet;
    let (threads, note) = threads::settled(arguments.how.threads);
    if let Some(note) = note.filter(|_| !quiet) {
        console::note(&note);
    }
    let signals = Signals::watch().map_err(Failure::Signals)?;
    let meter = Meter::new(quiet);
    let begun = Instant::now();
    let outcome = study::run(
        loaded,
        &RunOptions::threads(threads),
        &|progress| meter.tell(progress),
        signals.stop(),
    );
    meter.finish();
    let record =
        outcome.map_err(|reason| stopped(reason, loaded.scenario.run.seed, &signals, words))?;
    if !quiet {
        console::note(&speed(record.pairings, begun.elapsed(), threads));
    }
    Ok(record)
}

/// How long it took; never part of the record.
fn speed(pairings: u64, elapsed: Duration, threads: usize) -> String {
    let seconds = elapsed.as_secs_f64();
    format!(
        "{} pairings in {}, {} a second, {threads} {}",
        count(pairings),
        duration(seconds),
        per_second(pairings as f64 / seconds.max(1e-9)),
        if threads == 1 { "thread" } else { "threads" }
    )
}

/// Exit 1 when the lower end of the yield's interval is below what was asked for: of the wide interval where processes
/// come from few readings.
fn judged(arguments: &Run, record: &Record) -> Exit {
    let [low, _] = record.yield_between();
    match &arguments.least_yield {
        Some(least) if low < least.fraction => Exit::YieldLow,
        _ => Exit::Done,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::input::arguments::{Arguments, Command};
    use clap::Parser;

    #[test]
    fn options_of_their_own_come_after_set() {
        let line =
            "seatyield run a.toml --pairings 1e3 --seed 5 --least-yield 99.5% --set run.seed=4";
        let rule = ["--until", "half-width 0.020%"];
        let arguments = Arguments::try_parse_from(line.split(' ').chain(rule)).unwrap();
        let Command::Run(run) = arguments.command else {
            panic!("not run")
        };
        let all: Vec<(String, String)> = all_overrides(&run)
            .into_iter()
            .map(|o| (o.path, o.value))
            .collect();
        let expected = [
            ("run.seed", "4"),
            ("run.pairings", "1000"),
            ("run.until", "half-width 0.02 %"),
            ("run.seed", "5"),
            ("run.target_yield", "99.5 %"),
        ];
        assert_eq!(all, expected.map(|(p, v)| (p.to_owned(), v.to_owned())));
    }

    #[test]
    fn a_rule_alone_leaves_room_to_end_the_run() {
        let most = |line: &[&str]| {
            let rule = ["seatyield", "run", "a.toml", "--until", "half-width 50 ppm"];
            let arguments = Arguments::try_parse_from(rule.iter().chain(line)).unwrap();
            let Command::Run(run) = arguments.command else {
                panic!("not run")
            };
            let all = all_overrides(&run).into_iter();
            let stated = all.filter(|o| o.path == PAIRINGS).map(|o| o.value);
            stated.collect::<Vec<_>>()
        };
        assert_eq!(most(&[]), ["1000000000"]);
        assert_eq!(most(&["--pairings", "2e6"]), ["2000000"]);
        assert_eq!(most(&["--set", "run.pairings=3e6"]), ["3e6"]);
    }

    #[test]
    fn the_wide_interval_decides_the_exit_where_readings_leave_doubt() {
        let text = include_str!("../../../../reports/pump-impeller/result.json");
        let mut record = Record::from_json(text).unwrap();
        let line = |least: f64| format!("seatyield run a.toml --least-yield {least}");
        let exit = |record: &Record, least: f64| {
            let arguments = Arguments::try_parse_from(line(least).split(' ')).unwrap();
            let Command::Run(run) = arguments.command else {
                panic!("not run")
            };
            judged(&run, record)
        };
        let low = record.yield_.low;
        assert_eq!(exit(&record, low - 0.001), Exit::Done);
        assert_eq!(exit(&record, low + 0.001), Exit::YieldLow);
        record.doubt = Some(study::record::Doubt {
            low: low - 0.05,
            high: 0.999_9,
            confidence: 0.95,
            repeats: 200,
            pairings: 10_000,
            ways: Vec::new(),
            readings: 30,
        });
        assert_eq!(exit(&record, low - 0.001), Exit::YieldLow);
        assert_eq!(exit(&record, low - 0.051), Exit::Done);
    }

    #[test]
    fn speed_names_time_rate_and_threads() {
        assert_eq!(
            speed(1_000_000, Duration::from_millis(500), 2),
            "1,000,000 pairings in 0.50 s, 2.00 million a second, 2 threads"
        );
    }
}
