//! `recheck`: run a record's scenario again and compare every number.

use std::ffi::OsString;
use std::fmt::Write;

use study::record::Difference;
use study::{NotRechecked, RunOptions};

use super::stopped;
use crate::exit::{Exit, Failure};
use crate::input::arguments::Recheck;
use crate::input::{record_file, threads};
use crate::output::console;
use crate::output::numbers::count;
use crate::output::plain::plain;
use crate::output::progress::Meter;
use crate::signals::Signals;

/// Most differences that are listed.
const LISTED: usize = 20;

/// Runs again and says whether every number is the same.
pub fn recheck(arguments: &Recheck, words: &[OsString]) -> Result<Exit, Failure> {
    let record = record_file::read(&arguments.record)?;
    let (threads, note) = threads::settled(arguments.how.threads);
    if let Some(note) = note.filter(|_| !arguments.how.quiet) {
        console::note(&note);
    }
    let signals = Signals::watch().map_err(Failure::Signals)?;
    let meter = Meter::new(arguments.how.quiet);
    let outcome = study::recheck(
        &record,
        &RunOptions::threads(threads),
        &|progress| meter.tell(progress),
        signals.stop(),
    );
    meter.finish();
    let differences = outcome.map_err(|reason| match reason {
        NotRechecked::Stopped(reason) => stopped(reason, record.seed, &signals, words),
        other => Failure::NotARecord {
            path: arguments.record.clone(),
            reason: other.to_string(),
        },
    })?;
    console::print(&verdict(&differences, record.pairings))?;
    Ok(if differences.is_empty() {
        Exit::Done
    } else {
        Exit::NoMatch
    })
}

fn verdict(differences: &[Difference], pairings: u64) -> String {
    if differences.is_empty() {
        return format!(
            "every number is the same ({} pairings run again)\n",
            count(pairings)
        );
    }
    let mut text = format!("{} values differ\n", count(differences.len() as u64));
    for difference in differences.iter().take(LISTED) {
        let [path, recorded, now] =
            [&difference.path, &difference.first, &difference.second].map(|text| plain(text));
        let _ = writeln!(text, "  {path}: recorded {recorded}, now {now}");
    }
    if differences.len() > LISTED {
        let _ = writeln!(
            text,
            "  and {} more",
            count((differences.len() - LISTED) as u64)
        );
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn differences_are_listed_up_to_twenty_with_the_total() {
        let difference = |n: usize| Difference {
            path: format!("outputs[{n}].mean"),
            first: "1".to_owned(),
            second: "2".to_owned(),
        };
        let many: Vec<Difference> = (0..25).map(difference).collect();
        let text = verdict(&many, 10);
        assert!(text.starts_with("25 values differ\n  outputs[0].mean: recorded 1, now 2\n"));
        assert!(text.ends_with("  and 5 more\n"));
        assert_eq!(text.lines().count(), 22);
        assert!(verdict(&[], 10).starts_with("every number is the same"));
    }
}
