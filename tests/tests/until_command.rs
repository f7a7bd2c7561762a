//! The command line of runs that end by a rule: `--until`, what is said of it, and what is refused.

#[path = "../cli/program.rs"]
mod program;

use program::{exits, seatyield, stderr, stdout, tree, winch};

use std::fs;

fn place() -> tempfile::TempDir {
    tempfile::tempdir().unwrap()
}

#[test]
fn a_rule_that_is_none_is_exit_2_and_says_what_a_rule_looks_like() {
    let place = place();
    winch(place.path(), "a.toml");
    for rule in [
        "",
        "50 ppm",
        "half-width 50",
        "half-width 0 ppm",
        "half-width -1 %",
        "half-width 51 %",
        "half-width nan ppm",
        "half-width 5 % of the yield",
    ] {
        let output = seatyield(place.path(), &["run", "a.toml", "--until", rule]);
        exits(&output, 2);
        assert_eq!(stdout(&output), "", "{rule}");
    }
    let output = seatyield(place.path(), &["run", "a.toml", "--until", "half-width 50"]);
    let said = stderr(&output);
    assert!(said.contains("half-width 50 ppm"), "{said}");
    assert_eq!(tree(place.path()).len(), 1, "nothing was written");
}

#[test]
fn a_run_with_a_rule_stops_says_so_and_is_rechecked() {
    let place = place();
    winch(place.path(), "a.toml");
    let rule = "half-width 5 % of the reject rate";
    let checked = seatyield(
        place.path(),
        &["check", "a.toml", "--set", &format!("run.until={rule}")],
    );
    exits(&checked, 0);
    for part in ["at most 2,000 pairings", rule, "At most about"] {
        assert!(stdout(&checked).contains(part), "{}", stdout(&checked));
    }
    let output = seatyield(
        place.path(),
        &["run", "a.toml", "--pairings", "1e9", "--until", rule],
    );
    exits(&output, 0);
    let text = stdout(&output);
    for part in [
        "Stopped after 1,048,576 pairings: half-width",
        rule,
        "1,000,000,000",
    ] {
        assert!(text.contains(part), "{part}: {text}");
    }
    assert!(stderr(&output).contains("1,048,576 pairings in"));
    let page = fs::read_to_string(place.path().join("out/a/report.html")).unwrap();
    assert!(page.contains("--pairings 1000000000 --until"), "command");
    let again = seatyield(place.path(), &["recheck", "out/a/result.json"]);
    exits(&again, 0);
    assert!(stdout(&again).contains("1,048,576 pairings run again"));
}
