//! Measured parts of a tapered spline: each keeps the errors of its teeth whatever it is paired with. All parts are
//! invented.

#[path = "../cli/program.rs"]
mod program;

use program::{exits, seatyield, stderr, stdout, tree, winch};

use std::fs;
use std::path::Path;

use serde_json::Value;

/// The committed winch drum: 24 teeth of 5.2 mm in spaces of 5.172 mm, half-angle 3 deg, gauge planes at 10 and 4 mm.
const SCENARIO: &str = include_str!("../../scenarios/winch-drum-spline.toml");

/// Index error of tooth 1; the second shaft has an index error and a profile error on flanks that face the same way.
const SHAFTS: &str = "name,shaft.index_error.1 [um],shaft.index_error.2 [um],shaft.profile_error.3+ [um]\n\
     A,6,0,0\nB,0,-4,-5\n";

/// An index error on the tooth where shaft A has one, and a profile error elsewhere.
const HUBS: &str = "name,hub.index_error.1 [um],hub.profile_error.5- [um]\nplain,0,0\nH,-2,-3\n";

fn place() -> tempfile::TempDir {
    let place = tempfile::tempdir().unwrap();
    for (name, text) in [
        ("s.toml", SCENARIO),
        ("shafts.csv", SHAFTS),
        ("hubs.csv", HUBS),
    ] {
        fs::write(place.path().join(name), text).unwrap();
    }
    place
}

fn json(folder: &Path, line: &[&str]) -> Vec<Value> {
    let output = seatyield(folder, &[line, &["--json"]].concat());
    exits(&output, 0);
    let value: Value = serde_json::from_str(&stdout(&output)).unwrap();
    value.as_array().unwrap().clone()
}

const ALL: [&str; 7] = [
    "pair",
    "s.toml",
    "--parts",
    "shafts.csv",
    "--parts",
    "hubs.csv",
    "--all",
];

/// First touch by the formula, with the smallest errors of both sides added by hand (um).
fn first_touch(least_plus_um: f64, least_minus_um: f64) -> f64 {
    let half_angle = 3f64.to_radians();
    let perfect = (5.2 - 5.172) / (2.0 * libm::tan(half_angle)) + 10.0 - 4.0;
    perfect - 1e-3 * (least_plus_um + least_minus_um) / (2.0 * libm::sin(half_angle))
}

/// `h0 = h_p - (min e+ + min e-) / (2 sin b)`. By hand, with `e+ = p+ + i` and `e- = p- - i` of shaft and hub added up:
/// A alone has `e+_1 = 6`, `e-_1 = -6`; B alone `e+_2 = -4`, `e-_2 = 4`, `e+_3 = -5`; with hub H tooth 1 loses 2 um on the
/// one side and gains 2 um on the other, and `e-_5 = -3`.
#[test]
fn verified_first_touch_follows_the_least_errors_of_both_sides() {
    let place = place();
    let pairs = json(place.path(), &ALL);
    let expected = [
        ("A", "plain", 0.0, -6.0),
        ("A", "H", 0.0, -4.0),
        ("B", "plain", -5.0, 0.0),
        ("B", "H", -5.0, -3.0),
    ];
    assert_eq!(pairs.len(), expected.len());
    for (pair, (shaft, hub, plus, minus)) in pairs.iter().zip(expected) {
        assert_eq!((&pair["shaft"], &pair["hub"]), (&shaft.into(), &hub.into()));
        let touch = pair["first_touch_mm"].as_f64().unwrap();
        let by_hand = first_touch(plus, minus);
        assert!(
            (touch - by_hand).abs() < 1e-9,
            "{shaft} with {hub}: {touch}, {by_hand}"
        );
    }
}

/// Shaft and hub from files of their own, and the same pair in one row: every number agrees, and so does the rung of a
/// ladder at the scenario's torque.
#[test]
fn a_part_keeps_its_errors_in_every_way_of_pairing() {
    let place = place();
    let pairs = json(place.path(), &ALL);
    let pair = &pairs[3];
    let thickness = pair["thickness_mm"].as_f64().unwrap();
    let whole = format!(
        "spacer.thickness [mm],shaft.index_error.2 [mm],shaft.profile_error.3+ [um],hub.index_error.1 [um],hub.profile_error.5- [um]\n\
         {thickness},-0.004,-5,-2,-3\n"
    );
    fs::write(place.path().join("whole.csv"), whole).unwrap();
    let alone = &json(place.path(), &["pair", "s.toml", "--parts", "whole.csv"])[0];
    let mut compared = 0;
    for (key, value) in alone.as_object().unwrap() {
        if let Some(value) = value.as_f64().filter(|_| key != "row") {
            let other = pair[key].as_f64().unwrap();
            assert!(
                (value - other).abs() <= 1e-9 * value.abs().max(1.0),
                "{key}"
            );
            compared += 1;
        }
    }
    assert!(compared > 10, "{alone}");
    assert_eq!(alone["verdict"], pair["verdict"]);
    let input = |path: &str| {
        let inputs = alone["inputs"].as_array().unwrap();
        let found = inputs.iter().find(|input| input["path"] == path);
        found.unwrap()["value"].as_f64().unwrap()
    };
    assert!((input("shaft.profile_error.3+") + 0.005).abs() < 1e-15);

    let climb = [
        "pair",
        "s.toml",
        "--parts",
        "whole.csv",
        "--torque",
        "200..250",
        "--json",
    ];
    let output = seatyield(place.path(), &climb);
    exits(&output, 0);
    let ladder: Value = serde_json::from_str(&stdout(&output)).unwrap();
    let top = ladder["rungs"].as_array().unwrap().last().unwrap();
    let loads = [top, alone].map(|found| found["clamp_load_n"].as_f64().unwrap());
    assert!((loads[0] - loads[1]).abs() < 1e-6 * loads[1], "{loads:?}");
}

/// By hand: perfect teeth all carry, and one whose both flanks stand back by 0.5 mm does not.
#[test]
fn perfect_teeth_all_touch_and_errors_leave_some_out() {
    let place = place();
    let count = |line: &[&str]| {
        json(place.path(), line)[0]["teeth_in_contact"]
            .as_f64()
            .unwrap()
    };
    assert_eq!(count(&["pair", "s.toml"]), 24.0);
    fs::write(
        place.path().join("late.csv"),
        "shaft.profile_error.7+ [mm],shaft.profile_error.7- [mm]\n0.5,0.5\n",
    )
    .unwrap();
    assert_eq!(count(&["pair", "s.toml", "--parts", "late.csv"]), 23.0);
}

/// Each bad column: header, row, exit code 4 and a part of the message.
#[test]
fn columns_that_the_scenario_does_not_have_are_refused() {
    for (header, row, message) in [
        ("shaft.gauge_diameter [mm]", "30", "shaft.tooth_thickness"),
        ("hub.gauge_diameter [mm]", "30", "hub.space_width"),
        ("hub.taper", "1:10", "teeth.flank_half_angle"),
        ("bolt.head_friction", "0.1", "bolt.nut_factor"),
        ("contact.face_friction", "0.1", "contact.face_friction"),
        ("shaft.index_error.25 [um]", "1", "shaft.index_error.24"),
        ("shaft.index_error [um]", "1", "shaft.index_error.1"),
        ("shaft.profile_error.3 [um]", "1", "shaft.profile_error.1+"),
    ] {
        let place = place();
        fs::write(place.path().join("x.csv"), format!("{header}\n{row}\n")).unwrap();
        let before = tree(place.path());
        let output = seatyield(place.path(), &["pair", "s.toml", "--parts", "x.csv"]);
        exits(&output, 4);
        assert_eq!(tree(place.path()), before);
        let said = stderr(&output);
        assert!(
            said.contains("parts-021") && said.contains("x.csv:1:1"),
            "{said}"
        );
        assert!(said.contains(message), "{header}: {said}");
        assert_eq!(stdout(&output), "");
    }
    let place = place();
    fs::write(place.path().join("x.csv"), "hub.index_error.3 [mm]\n3.5\n").unwrap();
    let output = seatyield(place.path(), &["pair", "s.toml", "--parts", "x.csv"]);
    exits(&output, 4);
    assert!(
        stderr(&output).contains("parts-014"),
        "a unit slip: {}",
        stderr(&output)
    );
}

#[test]
fn a_cone_has_no_errors_of_teeth() {
    let place = place();
    winch(place.path(), "cone.toml");
    for parts in ["shafts.csv", "hubs.csv"] {
        let line = ["pair", "cone.toml", "--parts", parts, "--all"];
        let output = seatyield(place.path(), &line);
        exits(&output, 4);
        let said = stderr(&output);
        assert!(said.contains("seats on a cone"), "{said}");
    }
}

/// What no pairing of the joint has is not listed for people; scripts find it under `absent`.
#[test]
fn outputs_that_the_joint_cannot_have_are_left_to_scripts() {
    let place = place();
    let output = seatyield(place.path(), &["pair", "s.toml"]);
    exits(&output, 0);
    let text = stdout(&output);
    assert!(!text.contains("  no "), "{text}");
    let pair = &json(place.path(), &["pair", "s.toml"])[0];
    for key in ["bore_stress_mpa", "runout_mm"] {
        assert!(pair["absent"][key].is_string(), "{key}: {pair}");
    }
    let free = ["pair", "s.toml", "--set", "hub.space_width.nominal=9 mm"];
    let text = stdout(&seatyield(place.path(), &free));
    assert!(
        text.contains("  no "),
        "absent for this pairing only: {text}"
    );
}
