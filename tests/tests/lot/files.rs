//! The report folder, the same bytes each time, and lines that run when they are pasted.

use std::fs;
use std::path::Path;

use super::program::tree;
use super::{exits, only, seatyield, stderr, stdout, studied_in};

/// Sixty readings that look normal, mixed: quantiles of a normal distribution around 30.
fn readings() -> String {
    let scores =
        (0..60).map(|i| distributions::normal::quantile((f64::from((i * 23) % 60) + 0.5) / 60.0));
    let rows = scores.map(|z| format!("{:.4}\n", 29.994 + 0.0025 * z));
    std::iter::once("d [mm]\n".to_owned()).chain(rows).collect()
}

const LIMITS: [&str; 4] = ["--nominal", "30 mm", "--deviations", "-13 um..0 um"];

fn lot(folder: &Path, code: i32, more: &[&str]) -> String {
    let mut words = vec!["lot", "shafts.csv"];
    words.extend(LIMITS);
    words.extend(more);
    let output = seatyield(folder, &words);
    exits(&output, code);
    stdout(&output) + &stderr(&output)
}

fn place() -> tempfile::TempDir {
    let place = tempfile::tempdir().unwrap();
    fs::write(place.path().join("shafts.csv"), readings()).unwrap();
    place
}

/// Every file of a folder with its bytes.
fn contents(folder: &Path) -> Vec<(std::path::PathBuf, Vec<u8>)> {
    let files = tree(folder).into_iter().filter(|path| path.is_file());
    files
        .map(|path| {
            (
                path.strip_prefix(folder).unwrap().to_owned(),
                fs::read(path).unwrap(),
            )
        })
        .collect()
}

#[test]
fn a_report_on_readings_is_the_study_a_page_charts_and_a_table() {
    let place = place();
    lot(place.path(), 0, &[]);
    let names: Vec<String> = contents(&place.path().join("out/shafts"))
        .into_iter()
        .map(|(path, _)| path.to_string_lossy().into_owned())
        .collect();
    for name in ["lot.json", "lot.html", "lot.csv"] {
        assert!(names.iter().any(|n| n == name), "{name}: {names:?}");
    }
    assert!(names.iter().any(|n| n.ends_with(".svg")), "{names:?}");
}

#[test]
fn the_same_file_gives_the_same_bytes() {
    let (one, two) = (place(), place());
    lot(one.path(), 0, &[]);
    lot(two.path(), 0, &[]);
    let (one, two) = (
        contents(&one.path().join("out")),
        contents(&two.path().join("out")),
    );
    assert!(one == two && !one.is_empty());
}

#[test]
fn a_folder_of_the_same_readings_is_rewritten_and_any_other_is_kept() {
    let place = place();
    lot(place.path(), 0, &[]);
    lot(place.path(), 0, &["--about", "supplier=supplier B"]);
    let before = contents(&place.path().join("out"));
    let text = readings() + "29.9950\n";
    fs::write(place.path().join("shafts.csv"), text).unwrap();
    let refusal = lot(place.path(), 5, &[]);
    assert!(refusal.contains("--force"), "{refusal}");
    assert!(contents(&place.path().join("out")) == before);
    lot(place.path(), 0, &["--force"]);
    assert!(contents(&place.path().join("out")) != before);
    fs::create_dir(place.path().join("mine")).unwrap();
    fs::write(place.path().join("mine/notes.txt"), "keep").unwrap();
    lot(place.path(), 5, &["--out", "mine"]);
    assert_eq!(
        fs::read_to_string(place.path().join("mine/notes.txt")).unwrap(),
        "keep"
    );
}

#[test]
fn json_is_the_study_that_is_written_and_nothing_else() {
    let place = place();
    let mut words = vec!["lot", "shafts.csv", "--json", "--quiet"];
    words.extend(LIMITS);
    let output = seatyield(place.path(), &words);
    exits(&output, 0);
    let written = fs::read_to_string(place.path().join("out/shafts/lot.json")).unwrap();
    assert_eq!(stdout(&output), written);
    assert_eq!(stderr(&output), "");
}

#[test]
fn what_stands_beside_an_index_is_filled_or_not_stated() {
    let place = tempfile::tempdir().unwrap();
    let mut options = LIMITS.to_vec();
    options.extend([
        "--about",
        "machine=lathe 3",
        "--about",
        "dates=3 to 7 March",
    ]);
    let study = studied_in(place.path(), &readings(), &options);
    assert!(
        study
            .about
            .contains(&("machine".to_owned(), "lathe 3".to_owned()))
    );
    let of = only(study);
    let beside = |what: &str| {
        let found = of.beside.iter().find(|(name, _)| name == what);
        found.map(|(_, text)| text.clone()).expect(what)
    };
    assert_eq!(beside("machines"), "lathe 3");
    assert_eq!(beside("dates"), "3 to 7 March");
    assert_eq!(beside("cavities"), "not stated");
    assert_eq!(beside("readings"), "60");
}

/// The scenario of the tests with the gauge diameter of the shaft from the pasted process.
fn pasted(lines: &str) -> String {
    let process = lines.lines().find(|line| line.starts_with("process = "));
    let process = process.expect("a process");
    let (mut text, mut in_shaft, mut done) = (String::new(), false, false);
    for line in include_str!("../../cli/winch.toml").lines() {
        if line.starts_with('[') {
            in_shaft = line == "[shaft]";
        }
        if in_shaft && line.starts_with("gauge_diameter") {
            done = true;
            text += &format!(
                "gauge_diameter = {{ nominal = \"30 mm\", deviations = [\"-13 um\", \"0 um\"], {process} }}\n"
            );
        } else {
            text += &format!("{line}\n");
        }
    }
    assert!(done, "the scenario has a shaft with a gauge diameter");
    text
}

#[test]
fn a_pasted_process_is_a_scenario_that_can_run() {
    let place = tempfile::tempdir().unwrap();
    let of = only(studied_in(place.path(), &readings(), &LIMITS));
    fs::write(place.path().join("pasted.toml"), pasted(&of.scenario)).unwrap();
    exits(&seatyield(place.path(), &["check", "pasted.toml"]), 0);
}

#[test]
fn lots_that_shift_are_pasted_as_lots_and_can_run() {
    // Twelve lots of ten: scores within a lot, shifted by scores of the lots; both even and mixed.
    let score = |i: usize, n: usize| distributions::normal::quantile((i as f64 + 0.5) / n as f64);
    let mut text = String::from("lot,d [mm]\n");
    for lot in 0..12 {
        for part in 0..10 {
            let z = score((part * 7 + lot * 3) % 10, 10) + 1.5 * score((lot * 5) % 12, 12);
            text += &format!("L{lot},{:.5}\n", 29.994 + 0.0012 * z);
        }
    }
    let place = tempfile::tempdir().unwrap();
    let mut options = LIMITS.to_vec();
    options.extend(["--subgroup", "lot"]);
    let of = only(studied_in(place.path(), &text, &options));
    assert!(of.normality.normal, "{}", of.normality.words);
    let process = of
        .scenario
        .lines()
        .find(|line| line.starts_with("process = "))
        .unwrap();
    assert!(
        process.contains("lots = { sd = ") && process.contains("size = 10"),
        "{process}"
    );
    fs::write(place.path().join("pasted.toml"), pasted(&of.scenario)).unwrap();
    exits(&seatyield(place.path(), &["check", "pasted.toml"]), 0);
}

#[test]
fn the_readings_themselves_are_proposed_with_what_the_file_needs() {
    let place = tempfile::tempdir().unwrap();
    let text = "made by hand\nserial;d [mm]\n".to_owned()
        + &(0..20)
            .map(|i| format!("A{i};30,0{:02}\n", i * 7 % 20))
            .collect::<String>();
    let options = [
        "--separator",
        "semicolon",
        "--decimal",
        ",",
        "--skip-rows",
        "1",
    ];
    let of = only(studied_in(place.path(), &text, &options));
    for line in [
        "process = { lot = \"lot\", column = \"d\", use = \"resample\" }",
        "[lots.lot]",
        "file = \"lot.csv\"",
        "separator = \"semicolon\"",
        "decimal = \",\"",
        "skip_rows = 1",
    ] {
        assert!(
            of.scenario.lines().any(|found| found == line),
            "{line}: {}",
            of.scenario
        );
    }
}
