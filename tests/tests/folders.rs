//! Report folders: where they go, what is never overwritten, and that a refusal comes before the run.

#[path = "../cli/program.rs"]
mod program;

use program::{exits, program, seatyield, stderr, stdout, tree, winch};

use std::fs;
use std::path::Path;
use std::time::Duration;

/// A run that would take days: a test that ends has been refused before it.
const ENDLESS: &str = "1e15";

fn place() -> tempfile::TempDir {
    let place = tempfile::tempdir().unwrap();
    winch(place.path(), "a.toml");
    place
}

/// Runs into the folder `report` and expects this exit code.
#[track_caller]
fn run(folder: &Path, code: i32, more: &[&str]) -> String {
    let mut words = vec!["run", "a.toml", "--out", "report"];
    words.extend(more);
    let output = seatyield(folder, &words);
    exits(&output, code);
    stderr(&output)
}

fn refused(folder: &Path, more: &[&str]) -> String {
    let before = tree(folder);
    let mut words = vec!["--pairings", ENDLESS];
    words.extend(more);
    let said = run(folder, 5, &words);
    assert_eq!(tree(folder), before);
    said
}

#[test]
fn a_report_is_a_page_charts_the_record_and_a_table() {
    let place = place();
    exits(&seatyield(place.path(), &["run", "a.toml"]), 0);
    let names: Vec<String> = fs::read_dir(place.path().join("out/a"))
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    for name in ["report.html", "result.json", "summary.csv"] {
        assert!(names.iter().any(|n| n == name), "{name}: {names:?}");
    }
    assert!(names.iter().any(|n| n.ends_with(".svg")), "{names:?}");
}

#[test]
fn the_default_folder_is_a_plain_name_under_out_whatever_the_scenario_is_called() {
    let long = format!("{}.toml", "x".repeat(200));
    let hard = [
        "NUL.csv.toml",
        "con.toml",
        "..toml",
        "Winch Drum.toml",
        "wheel \u{202e}gnp.toml",
        "泵轮.toml",
        "🦀.toml",
        "=1+1.toml",
        "<script>.toml",
        "$(id).toml",
        "a\nb.toml",
        "trailing-.toml",
        &long,
    ];
    for name in hard {
        let place = tempfile::tempdir().unwrap();
        winch(place.path(), name);
        exits(&seatyield(place.path(), &["run", &format!("./{name}")]), 0);
        let made: Vec<_> = fs::read_dir(place.path().join("out"))
            .unwrap()
            .map(|entry| entry.unwrap().file_name().into_string().unwrap())
            .collect();
        assert_eq!(made.len(), 1, "{name}: {made:?}");
        assert!(
            made[0]
                .bytes()
                .all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-'),
            "{name}: {made:?}"
        );
        let beside = fs::read_dir(place.path()).unwrap().count();
        assert_eq!(beside, 2, "{name}: the scenario and out");
    }
}

#[test]
fn a_report_of_the_same_scenario_is_rewritten_without_asking() {
    let place = place();
    run(place.path(), 0, &[]);
    fs::write(place.path().join("report/report.html"), "old").unwrap();
    // Comments do not count.
    let scenario = place.path().join("a.toml");
    let text = fs::read_to_string(&scenario).unwrap();
    fs::write(&scenario, format!("# another comment\n{text}")).unwrap();
    run(place.path(), 0, &[]);
    assert_ne!(
        fs::read(place.path().join("report/report.html")).unwrap(),
        b"old"
    );
    assert_eq!(
        fs::read_dir(place.path()).unwrap().count(),
        2,
        "no leftovers"
    );
}

#[test]
fn a_report_of_another_scenario_needs_force() {
    let place = place();
    run(place.path(), 0, &[]);
    let said = refused(place.path(), &[]);
    assert!(
        said.contains("another scenario") && said.contains("--force"),
        "{said}"
    );
    run(place.path(), 0, &["--seed", "8", "--force"]);
    assert_eq!(
        fs::read_dir(place.path()).unwrap().count(),
        2,
        "no leftovers"
    );
}

#[test]
fn a_folder_with_other_files_needs_force_and_none_of_them_is_lost() {
    let place = place();
    let report = place.path().join("report");
    fs::create_dir(&report).unwrap();
    fs::write(report.join("notes.txt"), "mine").unwrap();
    refused(place.path(), &[]);
    let said = run(place.path(), 0, &["--force", "--quiet"]);
    assert!(said.contains("report.old-1"), "{said}");
    let kept = place.path().join("report.old-1/notes.txt");
    assert_eq!(fs::read(kept).unwrap(), b"mine");
    assert!(!report.join("notes.txt").exists());
}

#[test]
fn notes_put_into_a_report_survive_its_rewriting() {
    let place = place();
    run(place.path(), 0, &[]);
    fs::write(place.path().join("report/notes.txt"), "mine").unwrap();
    run(place.path(), 0, &[]);
    assert_eq!(
        fs::read(place.path().join("report.old-1/notes.txt")).unwrap(),
        b"mine"
    );
}

#[test]
fn an_empty_folder_is_filled() {
    let place = place();
    fs::create_dir(place.path().join("report")).unwrap();
    run(place.path(), 0, &[]);
    assert!(place.path().join("report/result.json").is_file());
}

#[test]
fn a_file_is_never_replaced() {
    let place = place();
    fs::write(place.path().join("report"), "mine").unwrap();
    refused(place.path(), &[]);
    refused(place.path(), &["--force"]);
    assert_eq!(fs::read(place.path().join("report")).unwrap(), b"mine");
}

#[cfg(unix)]
#[test]
fn a_link_is_never_followed_and_its_target_is_named() {
    use std::os::unix::fs::symlink;
    let place = place();
    fs::create_dir(place.path().join("real")).unwrap();
    for target in ["real", "a.toml", "nowhere"] {
        symlink(target, place.path().join("report")).unwrap();
        for more in [&[][..], &["--force"]] {
            let said = refused(place.path(), more);
            assert!(said.contains(target), "{said}");
        }
        fs::remove_file(place.path().join("report")).unwrap();
    }
}

#[cfg(unix)]
#[test]
fn a_pipe_or_a_device_is_refused_without_waiting() {
    let place = place();
    let made = std::process::Command::new("mkfifo")
        .arg(place.path().join("report"))
        .status()
        .unwrap();
    assert!(made.success());
    assert!(refused(place.path(), &["--force"]).contains("a pipe"));
    let words = ["run", "a.toml", "--pairings", ENDLESS, "--out", "/dev/null"];
    exits(&seatyield(place.path(), &words), 5);
}

#[test]
fn a_place_that_cannot_be_written_is_found_before_the_run() {
    let place = place();
    fs::write(place.path().join("f"), "").unwrap();
    for out in ["f/report", ".", "..", "/"] {
        let words = ["run", "a.toml", "--pairings", ENDLESS, "--out", out];
        let output = seatyield(place.path(), &words);
        exits(&output, 5);
        assert_eq!(stdout(&output), "");
    }
}

#[cfg(target_os = "linux")]
#[test]
fn a_folder_that_takes_no_files_is_found_before_the_run() {
    let place = place();
    let words = [
        "run",
        "a.toml",
        "--pairings",
        ENDLESS,
        "--out",
        "/proc/seatyield",
    ];
    let output = seatyield(place.path(), &words);
    exits(&output, 5);
    assert!(
        stderr(&output).contains("/proc/seatyield"),
        "{}",
        stderr(&output)
    );
}

#[test]
fn redraw_keeps_to_the_same_rules() {
    let place = place();
    run(place.path(), 0, &[]);
    fs::write(place.path().join("taken"), "mine").unwrap();
    for (out, code) in [("report", 0), ("new", 0), ("taken", 5)] {
        let output = seatyield(
            place.path(),
            &["redraw", "report/result.json", "--out", out],
        );
        exits(&output, code);
    }
    assert_eq!(fs::read(place.path().join("taken")).unwrap(), b"mine");
}

#[cfg(target_os = "linux")]
#[test]
fn results_are_printed_even_when_the_folder_goes_away_during_the_run() {
    use std::process::Stdio;
    let place = place();
    let words = [
        "run",
        "a.toml",
        "--pairings",
        "5e6",
        "--out",
        "sub/report",
        "--threads",
        "1",
    ];
    let sub = place.path().join("sub");
    fs::create_dir(&sub).unwrap();
    let touched = |folder: &Path| fs::metadata(folder).and_then(|found| found.modified()).ok();
    let before = touched(&sub);
    std::thread::sleep(Duration::from_millis(20));
    let mut child = program(place.path())
        .args(words)
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // The look before the run touches the folder; after that the run has begun.
    while touched(&sub) == before && child.try_wait().unwrap().is_none() {
        std::thread::sleep(Duration::from_millis(5));
    }
    while fs::remove_dir(&sub).is_err() {
        std::thread::sleep(Duration::from_millis(5));
    }
    let output = child.wait_with_output().unwrap();
    exits(&output, 5);
    assert!(
        stdout(&output).contains("5,000,000 joints"),
        "{}",
        stdout(&output)
    );
    assert!(
        stderr(&output).contains("sub/report"),
        "{}",
        stderr(&output)
    );
}

#[test]
fn a_report_redrawn_from_its_record_has_the_same_bytes() {
    let place = place();
    exits(&seatyield(place.path(), &["run", "a.toml"]), 0);
    let words = ["redraw", "out/a/result.json", "--out", "again"];
    exits(&seatyield(place.path(), &words), 0);
    let files = tree(&place.path().join("out/a"));
    assert!(files.len() > 3, "{files:?}");
    for file in files {
        let again = place.path().join("again").join(file.file_name().unwrap());
        assert_eq!(
            fs::read(&file).unwrap(),
            fs::read(&again).unwrap(),
            "{file:?}"
        );
    }
}

#[test]
fn nothing_private_stands_in_a_report() {
    let place = place();
    let output = program(place.path())
        .args(["run", "a.toml"])
        .env("USER", "privateuser")
        .env("HOSTNAME", "privatehost")
        .env("HOME", place.path().join("privatehome"))
        .output()
        .unwrap();
    exits(&output, 0);
    for file in tree(&place.path().join("out/a")) {
        let text = fs::read_to_string(&file).unwrap();
        assert!(!text.contains("private"), "{file:?}");
        assert!(!text.contains(place.path().to_str().unwrap()), "{file:?}");
    }
}
