//! One pairing at rising torque, as a user meets it. All parts are invented.

#[path = "../cli/program.rs"]
mod program;

use program::{exits, seatyield, stdout, tree, winch};

use std::fs;
use std::path::Path;

use serde_json::Value;

fn place() -> tempfile::TempDir {
    let place = tempfile::tempdir().unwrap();
    winch(place.path(), "a.toml");
    place
}

fn number(object: &Value, key: &str) -> f64 {
    object[key]
        .as_f64()
        .unwrap_or_else(|| panic!("{key} in {object}"))
}

fn near(a: f64, b: f64, within: f64) {
    assert!((a - b).abs() <= within, "{a} is not {b}");
}

fn pairing(folder: &Path, line: &[&str]) -> Value {
    let output = seatyield(folder, &[line, &["--json"]].concat());
    exits(&output, 0);
    let value: Value = serde_json::from_str(&stdout(&output)).unwrap();
    value[0].clone()
}

fn ladder(folder: &Path, more: &[&str]) -> Value {
    let line = [&["pair", "a.toml", "--json", "--torque"], more].concat();
    let output = seatyield(folder, &line);
    exits(&output, 0);
    serde_json::from_str(&stdout(&output)).unwrap()
}

/// Common practice, no source: at part torque the spacer may still be loose, and be tight at full torque.
/// Statics: the bolt load is carried by cones and spacer together, and more torque never opens the joint.
#[test]
fn play_of_the_spacer_vanishes_on_the_way_to_the_full_torque() {
    let place = place();
    let ladder = ladder(place.path(), &["2..60"]);
    let rungs = ladder["rungs"].as_array().unwrap();
    let gaps: Vec<f64> = rungs.iter().map(|rung| number(rung, "gap_mm")).collect();
    assert!(gaps[0] > 0.0, "loose at part torque: {gaps:?}");
    assert_eq!(gaps[gaps.len() - 1], 0.0, "tight at full torque");
    assert!(gaps.windows(2).all(|pair| pair[1] <= pair[0]), "{gaps:?}");
    let pinched = number(&ladder, "pinched_from_nm");
    for rung in rungs {
        let [bolt, clamp, seat] =
            ["bolt_load_n", "clamp_load_n", "seat_load_n"].map(|key| number(rung, key));
        near(clamp + seat, bolt, 1e-9 * bolt);
        let loose = number(rung, "torque_nm") < pinched;
        assert_eq!(number(rung, "gap_mm") > 0.0, loose, "{rung}");
        assert_eq!(clamp > 0.0, !loose, "{rung}");
    }
}

/// Closed form for a rigid spacer: past the closing torque the cones take no more, so that each N·m buys
/// 1/(k d) = 1000/(0.20 x 12 mm) = 416.67 N of clamp load.
#[test]
fn verified_a_rigid_spacer_takes_all_further_bolt_load() {
    let place = place();
    let ladder = ladder(place.path(), &["2 N*m..60 N*m"]);
    near(
        number(&ladder, "clamp_n_per_nm"),
        1000.0 / (0.2 * 12.0),
        1e-6,
    );
    near(number(&ladder, "bears_from_nm"), 0.0, 0.0);
}

#[test]
fn a_rung_agrees_with_solving_the_pairing_at_that_torque() {
    let place = place();
    let parts = "shaft.gauge_diameter [mm],bolt.torque [N*m]\n29.998,63\n";
    fs::write(place.path().join("one.csv"), parts).unwrap();
    let ladder = ladder(place.path(), &["10..60", "--parts", "one.csv"]);
    near(number(&ladder, "applied_share"), 63.0 / 60.0, 1e-12);
    for torque in [10.0, 40.0, 60.0] {
        let rungs = ladder["rungs"].as_array().unwrap();
        let rung = rungs
            .iter()
            .find(|rung| rung["torque_nm"] == torque)
            .unwrap();
        let word = torque.to_string();
        let alone = pairing(
            place.path(),
            &["pair", "a.toml", "--parts", "one.csv", "--torque", &word],
        );
        assert_eq!(alone["verdict"], rung["verdict"]);
        for key in [
            "bolt_load_n",
            "stand_off_mm",
            "gap_mm",
            "clamp_load_n",
            "seat_load_n",
        ] {
            assert_eq!(alone[key], rung[key], "{key} at {torque}");
        }
        // The closing torque is one set on the wrench: it does not depend on the torque tried.
        near(
            number(&alone, "closing_torque_nm"),
            number(&ladder, "pinched_from_nm"),
            1e-6,
        );
    }
}

#[test]
fn a_ladder_is_printed_and_written_as_page_picture_and_table() {
    let place = place();
    exits(
        &seatyield(place.path(), &["pair", "a.toml", "--torque", "10..80"]),
        0,
    );
    assert_eq!(tree(place.path()).len(), 1, "no folder was named");
    let line = ["pair", "a.toml", "--torque", "10..80", "--out", "ladder"];
    let output = seatyield(place.path(), &line);
    exits(&output, 0);
    let text = stdout(&output);
    for part in [
        "bolt load",
        "clamp load",
        "The spacer is pinched at",
        "of clamp load",
    ] {
        assert!(text.contains(part), "{part}: {text}");
    }
    let csv = fs::read_to_string(place.path().join("ladder/ladder.csv")).unwrap();
    assert!(
        csv.starts_with(
            "torque_nm,bolt_load_n,stand_off_mm,gap_mm,clamp_load_n,seat_load_n,verdict"
        )
    );
    assert_eq!(csv.lines().count(), 37);
    let svg = fs::read_to_string(place.path().join("ladder/ladder.svg")).unwrap();
    roxmltree::Document::parse(&svg).unwrap();
    assert!(place.path().join("ladder/ladder.html").is_file());
}
