//! `pair`: solve stated pairings without chance.

use std::ffi::OsString;
use std::path::Path;

use study::{LadderOptions, Loaded, MatchOptions, PairOptions};

use super::{overrides, say_kept, undrawn};
use crate::exit::{Exit, Failure};
use crate::folder::{File, Folder};
use crate::guard::command_line;
use crate::input::arguments::{At, Pair};
use crate::input::quantity::Torques;
use crate::output::pairs::pairs;
use crate::output::pairs_json::pairs_json;
use crate::output::plain::shown;
use crate::output::{console, ladder, matrix, matrix_json};

/// Scenario hash of a folder that never takes the place of a report without being told to.
const NO_REPORT: &str = "";

/// Solves and prints the pairings.
pub fn pair(arguments: &Pair, words: &[OsString]) -> Result<Exit, Failure> {
    agree(arguments)?;
    let loaded = Loaded::from_file(&arguments.scenario, &overrides(&arguments.set))?;
    match (arguments.torque, separate(arguments)) {
        (Some(Torques::Span { from_nm, to_nm }), _) => {
            let options = LadderOptions {
                at: at(arguments),
                parts: arguments.parts.first().map(AsRef::as_ref),
                from_nm,
                to_nm,
            };
            climbed(arguments, &loaded, &options, words)
        }
        (torque, true) => {
            let options = MatchOptions {
                at: at(arguments),
                parts: &arguments.parts,
                all: arguments.all,
                draw_up_mm: arguments.draw_up.map(|length| length.mm),
                step_mm: arguments.step.map(|length| length.mm),
                torque_nm: one(torque),
            };
            matched(arguments, &loaded, &options, words)
        }
        (torque, false) => {
            let options = PairOptions {
                at: at(arguments),
                parts: arguments.parts.first().map(AsRef::as_ref),
                torque_nm: one(torque),
            };
            plain(arguments, &loaded, &options, words)
        }
    }
}

fn one(torque: Option<Torques>) -> Option<f64> {
    match torque {
        Some(Torques::One(nm)) => Some(nm),
        _ => None,
    }
}

fn at(arguments: &Pair) -> study::At {
    match arguments.at {
        At::Nominal => study::At::Nominal,
        At::Middle => study::At::Middle,
    }
}

/// Whether each file holds one part.
fn separate(arguments: &Pair) -> bool {
    arguments.all || arguments.parts.len() > 1
}

/// Refuses options that do not go together.
fn agree(arguments: &Pair) -> Result<(), Failure> {
    let climbs = matches!(arguments.torque, Some(Torques::Span { .. }));
    let wrong = [
        (
            arguments.all && arguments.parts.is_empty(),
            "--all pairs measured parts\n  expected: --parts with a file of shafts, hubs or spacers",
        ),
        (
            climbs && separate(arguments),
            "a span of torques follows one pairing\n  expected: no --all, and at most one --parts with one row",
        ),
        (
            (arguments.draw_up.is_some() || arguments.step.is_some()) && !separate(arguments),
            "--draw-up and --step choose spacers for measured parts\n  expected: several --parts, or --all",
        ),
        (
            arguments.out.is_some() && !climbs && !separate(arguments),
            "there is nothing to write into a folder\n  expected with --out: several --parts, --all, or a span of torques",
        ),
    ];
    match wrong.into_iter().find(|(is_wrong, _)| *is_wrong) {
        Some((_, words)) => Err(Failure::Options(words.to_owned())),
        None => Ok(()),
    }
}

/// Whole pairings, as they are stated.
fn plain(
    arguments: &Pair,
    loaded: &Loaded,
    options: &PairOptions<'_>,
    words: &[OsString],
) -> Result<Exit, Failure> {
    let solved = study::pair(loaded, options)?;
    let text = if arguments.json {
        pairs_json(&solved).map_err(|error| defect(&error, words))?
    } else {
        pairs(&loaded.scenario.subject.title, &solved)
    };
    console::print(&text)?;
    Ok(Exit::Done)
}

/// Measured parts, each with each or row by row.
fn matched(
    arguments: &Pair,
    loaded: &Loaded,
    options: &MatchOptions<'_>,
    words: &[OsString],
) -> Result<Exit, Failure> {
    let folder = folder(arguments)?;
    let matched = study::match_parts(loaded, options)?;
    let written = match folder {
        Some(folder) => {
            let rendered = report::render_matrix(&matched.matrix)
                .map_err(|error| undrawn(error.to_string(), words))?;
            Some(write(folder, "pairs", rendered)?)
        }
        None => None,
    };
    if arguments.json {
        matrix_json::print(&matched).map_err(|error| match error {
            matrix_json::Error::NotFinite(error) => defect(&error, words),
            matrix_json::Error::Print(failure) => failure,
        })?;
    } else {
        console::print(&(matrix::matrix(&matched.matrix) + &place(written)))?;
    }
    Ok(Exit::Done)
}

/// One pairing at rising torque.
fn climbed(
    arguments: &Pair,
    loaded: &Loaded,
    options: &LadderOptions<'_>,
    words: &[OsString],
) -> Result<Exit, Failure> {
    let folder = folder(arguments)?;
    let solved = study::ladder(loaded, options)?;
    let written = match folder {
        Some(folder) => {
            let rendered = report::render_ladder(&solved)
                .map_err(|error| undrawn(error.to_string(), words))?;
            Some(write(folder, "ladder", rendered)?)
        }
        None => None,
    };
    let text = if arguments.json {
        solved.to_json().map_err(|name| {
            defect(
                &format!("a rung gave a value of {name} that is not a number"),
                words,
            )
        })?
    } else {
        ladder::ladder(&solved) + &place(written)
    };
    console::print(&text)?;
    Ok(Exit::Done)
}

/// The folder that was named, if any.
fn folder(arguments: &Pair) -> Result<Option<Folder>, Failure> {
    let prepared = |path: &Path| Folder::prepare(path, NO_REPORT, arguments.force);
    Ok(arguments.out.as_deref().map(prepared).transpose()?)
}

/// Writes page, pictures and table under one name; gives the folder as it is shown.
fn write(folder: Folder, name: &str, rendered: report::Rendered) -> Result<String, Failure> {
    let path = shown(folder.path());
    let file = |name: String, text: String| File {
        name,
        bytes: text.into_bytes(),
    };
    let mut files = vec![
        file(format!("{name}.csv"), rendered.summary_csv),
        file(format!("{name}.html"), rendered.html),
    ];
    let charts = rendered.charts.into_iter();
    files.extend(charts.map(|chart| file(chart.file_name, chart.svg)));
    say_kept(folder.write(&files)?);
    Ok(path)
}

fn place(written: Option<String>) -> String {
    written.map_or_else(String::new, |path| {
        format!("\nPage, picture and table in {path}\n")
    })
}

fn defect(what: &impl ToString, words: &[OsString]) -> Failure {
    Failure::Defect {
        what: what.to_string(),
        command: command_line(words),
    }
}
