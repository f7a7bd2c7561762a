//! `check`: read a scenario, say what would run, and what that would cost.

use std::ffi::OsString;
use std::fmt::Write;
use std::time::Instant;

use study::scenario::{Characteristic, Scenario};
use study::{Loaded, RunOptions};

use super::{overrides, stopped};
use crate::exit::{Exit, Failure};
use crate::input::arguments::Check;
use crate::input::threads;
use crate::output::capability::{limits_in_words, trimmed};
use crate::output::console;
use crate::output::numbers::{count, decimals_for, fixed};
use crate::output::plain::plain;
use crate::output::progress::duration;
use crate::output::table::{Side, row, set};
use crate::output::words;
use crate::signals::Signals;

/// Pairings of the two trials behind the estimate: both beyond what a run does once, whatever its length.
const TRIALS: [u64; 2] = [1 << 17, 1 << 19];

/// Reads, checks and prints; runs nothing but a short trial.
pub fn check(arguments: &Check, words: &[OsString]) -> Result<Exit, Failure> {
    let loaded = Loaded::from_file(&arguments.scenario, &overrides(&arguments.set))?;
    let (threads, _) = threads::settled(None);
    let seconds = estimate(&loaded, threads, words)?;
    let mut text = plan(&loaded);
    let _ = writeln!(
        text,
        "{} {} on {threads} {}, from a trial just now; memory does not grow with the pairings",
        match loaded.scenario.run.until {
            None => "About",
            Some(_) => "At most about",
        },
        duration(seconds),
        if threads == 1 { "thread" } else { "threads" }
    );
    console::print(&text)?;
    Ok(Exit::Done)
}

/// What would run.
fn plan(loaded: &Loaded) -> String {
    let scenario = &loaded.scenario;
    let mut rows = vec![row([
        "",
        "nominal",
        "lower",
        "upper",
        "",
        "process",
        "mean",
        "sd",
        "stated as",
    ])];
    rows.extend(
        scenario
            .characteristics()
            .into_iter()
            .map(characteristic_row),
    );
    use Side::{Left, Right};
    let sides = [Left, Right, Right, Right, Left, Left, Right, Right, Left];
    let hash: String = loaded.hash.chars().take(12).collect();
    format!(
        "{}\n\nCharacteristics\n{}\nA joint is good when the spacer is pinched and\n{}\n\
         Would run {} with seed {}, scenario {hash}\n",
        plain(&scenario.subject.title),
        set(&sides, &rows),
        limits(scenario),
        pairings(scenario),
        scenario.run.seed
    )
}

/// How many pairings, and what may end the run before.
fn pairings(scenario: &Scenario) -> String {
    let most = count(scenario.run.pairings);
    match &scenario.run.until {
        None => format!("{most} pairings"),
        Some(until) => format!(
            "at most {most} pairings, until the interval of the reject rate ({} %) has {},",
            trimmed(100.0 * until.confidence),
            plain(&until.stated)
        ),
    }
}

fn characteristic_row(characteristic: &Characteristic) -> Vec<String> {
    let shown = characteristic.shown_in;
    let show = |value: f64| trimmed(shown.show(value));
    let limit = |value: Option<f64>| value.map_or_else(|| "-".to_owned(), show);
    let process = &characteristic.process;
    let decimals = decimals_for(shown.show(process.sd()), 3);
    let spread = if process.is_constant() {
        "-".to_owned()
    } else {
        fixed(shown.show(process.sd()), decimals)
    };
    vec![
        plain(characteristic.path),
        show(characteristic.nominal),
        limit(characteristic.lower),
        limit(characteristic.upper),
        words::unit(shown.unit()).1,
        process.shape_name().replace('_', " "),
        if process.is_constant() {
            show(process.mean())
        } else {
            fixed(shown.show(process.mean()), decimals)
        },
        spread,
        plain(
            &std::iter::once(characteristic.stated.clone())
                .chain(characteristic.slow_words())
                .collect::<Vec<_>>()
                .join("; "),
        ),
    ]
}

fn limits(scenario: &Scenario) -> String {
    let rows: Vec<Vec<String>> = scenario
        .limits
        .iter()
        .map(|limit| {
            let bounds = study::record::Limits {
                min: limit.min,
                max: limit.max,
            };
            vec![
                limit.output.words().to_owned(),
                limits_in_words(&bounds, limit.output.unit()),
            ]
        })
        .collect();
    set(&[Side::Left, Side::Left], &rows)
}

/// Time for the whole run (s), from two short runs: what they take beyond a fixed part grows with the pairings.
fn estimate(loaded: &Loaded, threads: usize, words: &[OsString]) -> Result<f64, Failure> {
    let signals = Signals::watch().map_err(Failure::Signals)?;
    let timed = |pairings: u64| {
        let mut trial = loaded.clone();
        trial.scenario.run.pairings = pairings;
        let begun = Instant::now();
        study::run(
            &trial,
            &RunOptions::threads(threads),
            &|_| {},
            signals.stop(),
        )
        .map_err(|reason| stopped(reason, loaded.scenario.run.seed, &signals, words))?;
        Ok::<f64, Failure>(begun.elapsed().as_secs_f64())
    };
    let pairings = loaded.scenario.run.pairings;
    let [small, large] = TRIALS;
    if pairings <= large {
        return timed(pairings);
    }
    let (first, second) = (timed(small)?, timed(large)?);
    let slope = ((second - first) / (large - small) as f64).max(0.0);
    Ok(second + slope * (pairings - large) as f64)
}
