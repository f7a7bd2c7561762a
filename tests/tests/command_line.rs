//! The command line as scripts and people meet it: exit codes, streams, signals, text that is safe to show.

#[path = "../cli/program.rs"]
mod program;

use program::{exits, program, seatyield, stderr, stdout, tree, winch};

use std::fs;
use std::path::Path;
use std::process::{Child, Stdio};
use std::time::{Duration, Instant};

/// A run that would take days.
const ENDLESS: &str = "1e15";

fn place() -> tempfile::TempDir {
    tempfile::tempdir().unwrap()
}

#[test]
fn a_wrong_command_line_is_exit_2_with_nothing_on_stdout() {
    let place = place();
    winch(place.path(), "a.toml");
    for line in [
        "fly a.toml",
        "run",
        "run a.toml --pairings 10k",
        "run a.toml --pairings 0",
        "run a.toml --pairings -1",
        "run a.toml --pairings 1.5",
        "run a.toml --pairings 1e30",
        "run a.toml --threads 0",
        "run a.toml --least-yield 99.5",
        "run a.toml --seed -1",
        "pair a.toml --at top",
        "run a.toml --sed 3",
    ] {
        let words: Vec<&str> = line.split(' ').collect();
        let output = seatyield(place.path(), &words);
        exits(&output, 2);
        assert_eq!(stdout(&output), "", "{line}");
    }
    assert_eq!(tree(place.path()).len(), 1, "nothing was written");
}

#[test]
fn a_refused_count_states_the_forms_and_the_range() {
    let place = place();
    let form = seatyield(place.path(), &["run", "a.toml", "--pairings", "10k"]);
    assert!(
        stderr(&form).contains("1000000, 1_000_000 or 1e6"),
        "{}",
        stderr(&form)
    );
    let range = seatyield(place.path(), &["run", "a.toml", "--pairings", "1e30"]);
    assert!(stderr(&range).contains("1 to 2^53"), "{}", stderr(&range));
}

#[test]
fn a_mistyped_option_gets_the_nearest_one() {
    let output = seatyield(place().path(), &["run", "a.toml", "--pairing", "3"]);
    exits(&output, 2);
    assert!(
        stderr(&output).contains("--pairings"),
        "{}",
        stderr(&output)
    );
}

#[test]
fn only_the_commands_that_exist_are_listed() {
    let output = seatyield(place().path(), &["--help"]);
    exits(&output, 0);
    let help = stdout(&output);
    for command in ["run", "pair", "check", "redraw", "recheck"] {
        assert!(
            help.contains(&format!("\n  {command} ")),
            "{command}: {help}"
        );
    }
}

#[test]
fn a_missing_scenario_is_exit_3_and_a_missing_record_exit_5() {
    let place = place();
    for command in ["run", "pair", "check"] {
        exits(&seatyield(place.path(), &[command, "none.toml"]), 3);
    }
    for command in ["redraw", "recheck"] {
        exits(&seatyield(place.path(), &[command, "none.json"]), 5);
    }
    assert!(tree(place.path()).is_empty());
}

#[test]
fn the_ways_to_write_a_count_give_the_same_bytes() {
    let place = place();
    winch(place.path(), "a.toml");
    let records: Vec<Vec<u8>> = ["1000", "1e3", "1_000", "1.0e3"]
        .iter()
        .map(|count| {
            let words = ["run", "a.toml", "--json", "--quiet", "--pairings", count];
            let output = seatyield(place.path(), &words);
            exits(&output, 0);
            output.stdout
        })
        .collect();
    assert!(records.iter().all(|record| *record == records[0]));
}

#[test]
fn json_is_the_record_and_nothing_else() {
    let place = place();
    winch(place.path(), "a.toml");
    let output = seatyield(place.path(), &["run", "a.toml", "--json"]);
    exits(&output, 0);
    assert_eq!(
        output.stdout,
        fs::read(place.path().join("out/a/result.json")).unwrap()
    );
    let record = record::Record::from_json(&stdout(&output)).unwrap();
    assert_eq!(record.pairings, 2000);
    assert!(!stdout(&output).contains("null"));
}

#[test]
fn the_number_of_threads_and_the_locale_change_no_byte() {
    let place = place();
    winch(place.path(), "a.toml");
    let words = ["run", "a.toml", "--json", "--pairings", "100_000"];
    let first = seatyield(place.path(), &words);
    exits(&first, 0);
    for threads in ["1", "2", "7"] {
        let output = program(place.path())
            .args(words)
            .args(["--threads", threads])
            .env("LC_ALL", "tr_TR.UTF-8")
            .env("LANG", "de_DE.UTF-8")
            .env("TZ", "Asia/Kathmandu")
            .output()
            .unwrap();
        exits(&output, 0);
        assert_eq!(output.stdout, first.stdout, "{threads} threads");
    }
}

#[test]
fn too_many_threads_are_noted_once_and_the_run_goes_on() {
    let place = place();
    winch(place.path(), "a.toml");
    let output = seatyield(place.path(), &["run", "a.toml", "--threads", "100000"]);
    exits(&output, 0);
    assert_eq!(
        stderr(&output).matches("100000 threads asked for").count(),
        1
    );
}

#[test]
fn the_summary_has_the_yield_in_counts_and_what_ran() {
    let place = place();
    winch(place.path(), "a.toml");
    let output = seatyield(place.path(), &["run", "a.toml"]);
    exits(&output, 0);
    let text = stdout(&output);
    for part in [
        "Winch drum",
        "2,000 joints",
        "95 %)\n",
        "draw-up to close",
        "closing torque",
        "Capability",
        "Ran 2,000 pairings with seed 7",
        "Report in out/a\n",
    ] {
        assert!(text.contains(part), "{part}: {text}");
    }
    assert!(!text.contains("100 %") && !text.contains("0 ppm"), "{text}");
    assert!(stderr(&output).contains("a second"), "{}", stderr(&output));
}

#[test]
fn quiet_says_nothing_on_stderr() {
    let place = place();
    winch(place.path(), "a.toml");
    let output = seatyield(
        place.path(),
        &["run", "a.toml", "--quiet", "--threads", "99"],
    );
    exits(&output, 0);
    assert_eq!(stderr(&output), "");
    assert!(!stdout(&output).is_empty());
}

#[test]
fn a_yield_below_what_was_asked_for_is_exit_1_with_the_report_written() {
    let place = place();
    winch(place.path(), "a.toml");
    let output = seatyield(
        place.path(),
        &["run", "a.toml", "--least-yield", "99.9999%"],
    );
    exits(&output, 1);
    assert!(
        stdout(&output).contains("Asked for: 99.9999 %"),
        "{}",
        stdout(&output)
    );
    assert!(place.path().join("out/a/result.json").is_file());
    let words = ["run", "a.toml", "--least-yield", "0.0001%", "--force"];
    let output = seatyield(place.path(), &words);
    exits(&output, 0);
}

#[test]
fn hostile_text_is_shown_escaped_and_nothing_steers_the_terminal() {
    let place = place();
    let scenario = winch(place.path(), "a.toml");
    let text = fs::read_to_string(&scenario).unwrap();
    let title = r#"title = "a\u001B[2J\u0007 \u202Egnp.exe <script>" #"#;
    fs::write(&scenario, text.replacen("title =", &format!("{title} "), 1)).unwrap();
    for words in [
        &["run", "a.toml"][..],
        &["pair", "a.toml"],
        &["check", "a.toml"],
        &["run", "a\u{1b}[2J.toml"],
    ] {
        let output = seatyield(place.path(), words);
        for text in [stdout(&output), stderr(&output)] {
            let raw = text
                .chars()
                .find(|c| (c.is_control() && *c != '\n') || *c == '\u{202e}');
            assert_eq!(raw, None, "{words:?}: {text}");
        }
    }
}

#[test]
fn pairs_have_the_documented_fields_and_no_null() {
    let place = place();
    winch(place.path(), "a.toml");
    for at in ["nominal", "middle"] {
        let output = seatyield(place.path(), &["pair", "a.toml", "--json", "--at", at]);
        exits(&output, 0);
        let text = stdout(&output);
        assert!(!text.contains("null"));
        let pairs: serde_json::Value = serde_json::from_str(&text).unwrap();
        let pair = &pairs[0];
        for output in fit::Output::ALL {
            let absent = pair["absent"].get(output.key()).is_some();
            assert_ne!(
                pair[output.key()].is_number(),
                absent,
                "{}: {text}",
                output.key()
            );
        }
        assert!(pair["verdict"].is_string() && pair["broken_limits"].is_array());
    }
}

#[test]
fn a_set_value_changes_the_solved_pairing() {
    let place = place();
    winch(place.path(), "a.toml");
    let gap = |set: &str| {
        let output = seatyield(place.path(), &["pair", "a.toml", "--json", "--set", set]);
        exits(&output, 0);
        let pairs: serde_json::Value = serde_json::from_str(&stdout(&output)).unwrap();
        pairs[0]["first_touch_mm"].as_f64().unwrap() - pairs[0]["draw_up_mm"].as_f64().unwrap()
    };
    assert!((gap("spacer.thickness.nominal=6 mm") - 6.0).abs() < 1e-9);
    assert!((gap("spacer.thickness.nominal=\"6.1 mm\"") - 6.1).abs() < 1e-9);
}

#[test]
fn check_states_the_plan_and_its_cost_and_writes_nothing() {
    let place = place();
    winch(place.path(), "a.toml");
    let output = seatyield(
        place.path(),
        &["check", "a.toml", "--set", "run.pairings=1e6"],
    );
    exits(&output, 0);
    let text = stdout(&output);
    for part in [
        "shaft.gauge_diameter",
        "clamp load",
        "at least 6 kN",
        "1,000,000 pairings",
        "seed 7",
        "About ",
    ] {
        assert!(text.contains(part), "{part}: {text}");
    }
    assert_eq!(tree(place.path()).len(), 1);
}

#[test]
fn a_record_is_rechecked_to_the_last_bit() {
    let place = place();
    winch(place.path(), "a.toml");
    exits(
        &seatyield(
            place.path(),
            &["run", "a.toml", "--set", "bolt.torque.nominal=61 N*m"],
        ),
        0,
    );
    let output = seatyield(
        place.path(),
        &["recheck", "out/a/result.json", "--threads", "3"],
    );
    exits(&output, 0);
    assert!(stdout(&output).contains("every number is the same"));

    let text = fs::read_to_string(place.path().join("out/a/result.json")).unwrap();
    let mut edited: serde_json::Value = serde_json::from_str(&text).unwrap();
    edited["yield"]["good"] = serde_json::json!(1);
    fs::write(place.path().join("edited.json"), edited.to_string()).unwrap();
    let output = seatyield(place.path(), &["recheck", "edited.json"]);
    exits(&output, 6);
    assert!(
        stdout(&output).contains("yield.good: recorded 1, now"),
        "{}",
        stdout(&output)
    );
    let output = seatyield(place.path(), &["redraw", "edited.json", "--out", "drawn"]);
    exits(&output, 6);
    assert!(!place.path().join("drawn").exists());
}

#[test]
fn a_cut_foreign_or_newer_record_is_exit_6() {
    let place = place();
    winch(place.path(), "a.toml");
    exits(&seatyield(place.path(), &["run", "a.toml"]), 0);
    let text = fs::read_to_string(place.path().join("out/a/result.json")).unwrap();
    let newer = text.replacen("\"schema_version\": 1", "\"schema_version\": 2", 1);
    let cut = &text[..text.len() / 2];
    for bad in [cut, "", "{}", "not json", &newer] {
        fs::write(place.path().join("bad.json"), bad).unwrap();
        for command in ["recheck", "redraw"] {
            exits(&seatyield(place.path(), &[command, "bad.json"]), 6);
        }
    }
}

#[test]
fn a_reader_that_leaves_early_is_no_failure() {
    let place = place();
    winch(place.path(), "a.toml");
    for words in [
        &["run", "a.toml"][..],
        &["run", "a.toml", "--json"],
        &["pair", "a.toml"],
        &["check", "a.toml"],
        &["--help"],
    ] {
        let mut child = program(place.path())
            .args(words)
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        drop(child.stdout.take());
        let output = child.wait_with_output().unwrap();
        exits(&output, 0);
        assert!(!stderr(&output).contains("panic") && !stderr(&output).contains("rror"));
    }
}

#[cfg(target_os = "linux")]
#[test]
fn results_that_cannot_be_printed_are_exit_5() {
    let place = place();
    winch(place.path(), "a.toml");
    let full = fs::OpenOptions::new()
        .write(true)
        .open("/dev/full")
        .unwrap();
    let output = program(place.path())
        .args(["pair", "a.toml"])
        .stdout(full)
        .stderr(Stdio::piped())
        .output()
        .unwrap();
    exits(&output, 5);
}

#[cfg(target_os = "linux")]
#[test]
fn a_path_that_is_not_utf8_works_and_is_shown_escaped() {
    use std::ffi::OsStr;
    use std::os::unix::ffi::OsStrExt;
    let place = place();
    let name = OsStr::from_bytes(b"winch-\xff.toml");
    winch(place.path(), name);
    let out = OsStr::from_bytes(b"report-\xfe");
    let words = [OsStr::new("run"), name, OsStr::new("--out"), out];
    let output = seatyield(place.path(), &words);
    exits(&output, 0);
    assert!(
        stdout(&output).contains(r"Report in report-\xfe"),
        "{}",
        stdout(&output)
    );
    assert!(place.path().join(out).join("result.json").is_file());
    // Without --out the name of the scenario decides.
    exits(&seatyield(place.path(), &words[..2]), 0);
}

#[cfg(unix)]
#[test]
fn interrupted_runs_exit_130_or_143_and_write_nothing() {
    for (signal, code) in [("INT", 130), ("TERM", 143)] {
        let place = place();
        winch(place.path(), "a.toml");
        let child = endless(place.path(), &[]);
        std::thread::sleep(Duration::from_millis(500));
        send(&child, signal);
        let begun = Instant::now();
        let output = child.wait_with_output().unwrap();
        assert_eq!(output.status.code(), Some(code), "{}", stderr(&output));
        assert!(begun.elapsed() < Duration::from_secs(10));
        assert_eq!(stdout(&output), "");
        assert!(stderr(&output).contains("nothing was written"));
        assert_eq!(
            tree(place.path()).len(),
            1,
            "only the scenario: {:?}",
            tree(place.path())
        );
    }
}

#[test]
fn progress_without_a_terminal_has_no_escapes() {
    let place = place();
    winch(place.path(), "a.toml");
    for (key, value) in [
        ("TERM", "xterm-256color"),
        ("TERM", "dumb"),
        ("NO_COLOR", "1"),
    ] {
        let output = program(place.path())
            .args(["run", "a.toml"])
            .env(key, value)
            .output()
            .unwrap();
        exits(&output, 0);
        assert!(
            !stderr(&output).contains(['\u{1b}', '\r']),
            "{}",
            stderr(&output)
        );
    }
}

fn endless(folder: &Path, more: &[&str]) -> Child {
    program(folder)
        .args(["run", "a.toml", "--pairings", ENDLESS])
        .args(more)
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap()
}

#[cfg(unix)]
fn send(child: &Child, signal: &str) {
    let line = format!("kill -{signal} {}", child.id());
    assert!(
        std::process::Command::new("sh")
            .args(["-c", &line])
            .status()
            .unwrap()
            .success()
    );
}
