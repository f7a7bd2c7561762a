//! Bad scenarios: one file per fault in `bad/`, the message a person gets beside it.
//!
//! `NAME.toml` is read and its message compared with `NAME.txt`. `NAME.set` holds overrides, one a line, that are
//! applied to the good scenario. With the environment variable `UPDATE_BAD=1` the `.txt` files are written anew:
//! read every changed one before it is committed.

use std::fs;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use proptest::prelude::*;
use study::Loaded;
use study::record::Override;

/// A good scenario, to be spoiled.
const GOOD: &str = include_str!("../bad/good.toml");

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("bad")
}

/// Message and exit code of a file, with the folder left out of the text.
fn message(file: &str, overrides: &[Override]) -> (String, u8) {
    let bytes = fs::read(folder().join(file)).unwrap();
    let problems = match String::from_utf8(bytes) {
        Ok(text) => Loaded::from_text(file, "bad", &text, overrides).map(|_| ()),
        Err(_) => Loaded::from_file(&folder().join(file), overrides).map(|_| ()),
    };
    let problems = problems.expect_err(&format!("{file} was read without a problem"));
    let folder = format!("{}/", folder().display());
    (
        problems.to_string().replace(&folder, ""),
        problems.exit_code,
    )
}

fn overrides(file: &str) -> Vec<Override> {
    let text = fs::read_to_string(folder().join(file)).unwrap();
    let pair = |line: &str| {
        let (path, value) = line.split_once('=').unwrap();
        Override {
            path: path.to_owned(),
            value: value.to_owned(),
        }
    };
    text.lines().filter(|l| !l.is_empty()).map(pair).collect()
}

/// Names of the files with an ending, sorted; without the good one.
fn files(ending: &str) -> Vec<String> {
    let names = fs::read_dir(folder())
        .unwrap()
        .map(|e| e.unwrap().file_name().into_string().unwrap());
    let mut names: Vec<_> = names
        .filter(|n| n.ends_with(ending) && n != "good.toml")
        .collect();
    names.sort();
    names
}

#[test]
fn every_bad_scenario_gets_its_message() {
    let mut wrong = Vec::new();
    let mut count = 0;
    for file in files(".toml").into_iter().chain(files(".set")) {
        let (text, exit_code) = match file.strip_suffix(".set") {
            Some(_) => message("good.toml", &overrides(&file)),
            None => message(&file, &[]),
        };
        let text = format!("exit {exit_code}\n{text}\n");
        let expected = folder().join(&file).with_extension("txt");
        if std::env::var_os("UPDATE_BAD").is_some() {
            fs::write(&expected, &text).unwrap();
        }
        let expected = fs::read_to_string(&expected).unwrap_or_default();
        if text != expected {
            wrong.push(format!("{file}: expected\n{expected}\ngot\n{text}"));
        }
        count += 1;
    }
    assert!(
        wrong.is_empty(),
        "{} of {count} differ\n\n{}",
        wrong.len(),
        wrong.join("\n\n")
    );
    assert!(count >= 60, "only {count} bad scenarios");
}

#[test]
fn every_message_is_short_and_names_place_found_expected_state_id_and_exit_code() {
    for file in files(".txt") {
        let text = fs::read_to_string(folder().join(&file)).unwrap();
        let (exit, text) = text.split_once('\n').unwrap();
        let last = format!("{exit})");
        let mut lines = 0;
        for line in text.lines() {
            lines += 1;
            if line.ends_with(&last) {
                assert!(
                    line.starts_with("  nothing was run, no file was written ("),
                    "{file}: {line}"
                );
                assert!(lines <= 8, "{file}: a message of {lines} lines");
                lines = 0;
            }
        }
        assert!(
            text.contains(": found ") && text.contains("\n  expected: "),
            "{file}"
        );
        assert!(
            text.chars().all(|c| c == '\n' || !c.is_control()),
            "{file}: control characters"
        );
    }
}

#[test]
fn the_good_scenario_reads_without_a_problem() {
    if let Err(problems) = Loaded::from_text("good.toml", "good", GOOD, &[]) {
        panic!("{problems}");
    }
}
