//! Bad files of readings: one file per fault in `bad_readings/`, the message a person gets beside it.
//!
//! Every file is read without settings, all columns at once; `wanted-*` is asked for the column `gauge_diameter`. With
//! `UPDATE_GOLDEN=1` the `.txt` files are written anew: read every changed one before it is committed.

use std::fs;
use std::path::{Path, PathBuf};

use study::Problems;
use study::readings::{Dialect, SetBy, Want, read, read_all};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("bad_readings")
}

fn problems(name: &str) -> Option<Problems> {
    let path = folder().join(name);
    let by = SetBy::Scenario {
        file: "scenario.toml".to_owned(),
        lot: "supplier_b".to_owned(),
        line: 17,
    };
    let dialect = Dialect::default();
    if name.starts_with("wanted-") {
        return read(&path, &dialect, &by, &[Want::Number("gauge_diameter")]).err();
    }
    read_all(&path, &dialect, &by).err()
}

/// Exit code and message, with the folder left out of the text.
fn message(name: &str) -> String {
    let Some(problems) = problems(name) else {
        return format!("{name} was read without a problem");
    };
    let folder = format!("{}/", folder().display());
    let text = problems.to_string().replace(&folder, "");
    format!("exit {}\n{text}\n", problems.exit_code)
}

fn names() -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(folder())
        .expect("the folder is there")
        .map(|entry| {
            entry
                .expect("an entry")
                .file_name()
                .into_string()
                .expect("a name")
        })
        .filter(|name| name.ends_with(".csv"))
        .collect();
    names.sort();
    names
}

#[test]
fn pinned_message_of_every_bad_file_of_readings() {
    let names = names();
    assert!(names.len() >= 45, "{} files", names.len());
    let mut differing = vec![];
    for name in &names {
        let got = message(name);
        let path = folder().join(name).with_extension("txt");
        if std::env::var_os("UPDATE_GOLDEN").is_some() {
            fs::write(&path, &got).expect("written");
        }
        let expected = fs::read_to_string(&path).unwrap_or_default();
        if got != expected {
            differing.push(format!("{name}\n--- expected\n{expected}--- got\n{got}"));
        }
    }
    assert!(differing.is_empty(), "{}", differing.join("\n"));
}

#[test]
fn every_message_has_a_place_or_concerns_the_whole_file_and_at_most_eight_lines() {
    for name in names() {
        let problems = problems(&name).unwrap_or_else(|| panic!("{name} was read"));
        for problem in &problems.list {
            let text = problem.to_string();
            assert!(text.lines().count() <= 8, "{name}: {text}");
            assert!([4, 8].contains(&problem.exit_code), "{name}: {text}");
        }
    }
}

#[test]
fn a_pipe_and_a_folder_and_a_missing_file_are_said_and_never_waited_for() {
    let by = SetBy::Options;
    for (path, words) in [
        (folder(), "a folder"),
        (PathBuf::from("/dev/zero"), "a pipe or device"),
        (
            folder().join("semicolon-decimal-coma.csv"),
            "semicolon-decimal-comma.csv",
        ),
    ] {
        let problems = read_all(&path, &Dialect::default(), &by).expect_err("no file");
        assert_eq!(problems.exit_code, 4, "{problems}");
        assert!(problems.to_string().contains(words), "{problems}");
    }
}

#[test]
fn a_line_of_more_than_a_mebibyte_is_over_the_limit() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("line.csv");
    let text = format!("serial,diameter [mm]\nA,{}\n", "1".repeat(1 << 20));
    fs::write(&path, text).expect("written");
    let problems = read_all(&path, &Dialect::default(), &SetBy::Options).expect_err("too long");
    assert_eq!(
        (problems.exit_code, problems.list[0].place),
        (8, Some((2, 1))),
        "{problems}"
    );
}
