//! `seatyield lot` as a whole: published readings, what is refused, folders, and lines that run when pasted.

#[path = "../../cli/program.rs"]
#[allow(dead_code, reason = "shared with other tests")]
mod program;

mod files;
mod published;
mod refused;

use std::fs;
use std::path::Path;

use program::{exits, seatyield, stderr, stdout};
use record::{LotCharacteristic, LotStudy};

/// Writes the readings and studies them with `--json`.
#[track_caller]
fn studied(text: &str, more: &[&str]) -> LotStudy {
    let place = tempfile::tempdir().unwrap();
    studied_in(place.path(), text, more)
}

/// The same in a folder that stays.
#[track_caller]
fn studied_in(folder: &Path, text: &str, more: &[&str]) -> LotStudy {
    fs::write(folder.join("lot.csv"), text).unwrap();
    let mut words = vec!["lot", "lot.csv", "--json"];
    words.extend(more);
    let output = seatyield(folder, &words);
    exits(&output, 0);
    serde_json::from_str(&stdout(&output)).expect("the study is JSON")
}

/// The only characteristic.
#[track_caller]
fn only(study: LotStudy) -> LotCharacteristic {
    assert_eq!(study.characteristics.len(), 1);
    study.characteristics.into_iter().next().unwrap()
}

/// Writes the readings, studies them, expects this exit code and gives what was said on the side.
#[track_caller]
fn said(text: &str, code: i32, more: &[&str]) -> String {
    let place = tempfile::tempdir().unwrap();
    fs::write(place.path().join("lot.csv"), text).unwrap();
    let mut words = vec!["lot", "lot.csv"];
    words.extend(more);
    let output = seatyield(place.path(), &words);
    exits(&output, code);
    if code != 0 {
        assert_eq!(stdout(&output), "");
        assert!(!place.path().join("out").exists());
    }
    stderr(&output)
}

#[track_caller]
fn close(got: f64, expected: f64, allowed: f64) {
    assert!(
        (got - expected).abs() <= allowed,
        "{got}, expected {expected}"
    );
}
