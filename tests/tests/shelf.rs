//! The committed shelf of measured parts and what is committed of it. All parts are invented.

#[path = "../cli/program.rs"]
mod program;

use acceptance::{repository, shelf};
use program::{exits, seatyield, stdout, tree, winch};

use std::fs;
use std::path::Path;

#[test]
fn pinned_shelf_is_what_the_example_writes() {
    for (name, text) in shelf::files() {
        let committed = fs::read_to_string(repository(&format!("scenarios/shelf/{name}"))).unwrap();
        assert_eq!(
            committed, text,
            "{name}: cargo run -p acceptance --example shelf"
        );
    }
}

/// The drawing's limits of the committed scenario, typed here again: gauge diameters 30 and 29.383 mm with 6.5 um either
/// way, gauge planes 4 mm with 0.03 mm, spacers 6 mm with 0.03 mm. Capable processes keep nearly all parts inside; half a
/// tolerance beyond would be ten standard deviations of a diameter.
#[test]
fn readings_lie_where_the_drawing_puts_them() {
    let nominal = |heading: &str| match heading {
        "shaft.gauge_diameter [mm]" => Some((30.0, 0.0065)),
        "hub.gauge_diameter [mm]" => Some((29.383, 0.0065)),
        "shaft.gauge_plane [mm]" | "hub.gauge_plane [mm]" => Some((4.0, 0.03)),
        "spacer.thickness [mm]" => Some((6.0, 0.03)),
        "shaft.cone_angle [deg]" | "hub.cone_angle [deg]" => {
            Some((2.0 * libm::atan(0.05).to_degrees(), 0.6 / 60.0))
        }
        _ => None,
    };
    let mut readings = 0;
    for (name, text) in shelf::files() {
        let mut reader = csv::Reader::from_reader(text.as_bytes());
        let heads = reader.headers().unwrap().clone();
        for row in reader.records() {
            let row = row.unwrap();
            for (head, cell) in heads.iter().zip(&row).filter(|(head, _)| *head != "name") {
                let (middle, either_way) = nominal(head).unwrap_or_else(|| panic!("{head}"));
                let reading: f64 = cell.parse().unwrap();
                assert!(
                    (reading - middle).abs() < 1.5 * either_way,
                    "{name}: {head} {cell}"
                );
                readings += 1;
            }
        }
    }
    assert_eq!(readings, 12 * 3 + 10 * 3 + 8);
}

/// The tables of both committed reports come out again byte for byte. How pages and pictures look may change.
#[test]
fn pinned_numbers_of_the_committed_reports_come_out_again() {
    let place = tempfile::tempdir().unwrap();
    let path = |file: &str| repository(file).to_string_lossy().into_owned();
    let (pump, shafts, hubs) = (
        path("scenarios/pump-impeller.toml"),
        path("scenarios/shelf/shafts.csv"),
        path("scenarios/shelf/hubs.csv"),
    );
    let matrix = [
        "pair", &pump, "--parts", &shafts, "--parts", &hubs, "--all", "--step", "0.05 mm", "--out",
        "shelf",
    ];
    let ladder = [
        "pair",
        &pump,
        "--torque",
        "5..110",
        "--out",
        "pump-impeller-ladder",
    ];
    for line in [&matrix[..], &ladder] {
        exits(&seatyield(place.path(), line), 0);
    }
    for (folder, table) in [
        ("shelf", "pairs.csv"),
        ("pump-impeller-ladder", "ladder.csv"),
    ] {
        let made = place.path().join(folder);
        let committed = repository(&format!("reports/{folder}"));
        let names = |at: &Path| {
            let names = tree(at).into_iter();
            let mut names: Vec<_> = names.map(|p| p.file_name().unwrap().to_owned()).collect();
            names.sort();
            names
        };
        assert_eq!(names(&made), names(&committed), "{folder}");
        let read = |at: &Path| fs::read_to_string(at.join(table)).unwrap();
        assert!(read(&made) == read(&committed), "{folder}/{table}");
    }
}

/// The nearest of the shelf's spacers, found here by comparing all of them.
#[test]
fn the_nearest_spacer_of_the_shelf_is_chosen() {
    let place = tempfile::tempdir().unwrap();
    winch(place.path(), "a.toml");
    let spacers = repository("scenarios/shelf/spacers.csv");
    let spacers = spacers.to_string_lossy();
    let line = ["pair", "a.toml", "--all", "--json", "--parts", &spacers];
    let output = seatyield(place.path(), &line);
    exits(&output, 0);
    let pairs: serde_json::Value = serde_json::from_str(&stdout(&output)).unwrap();
    let number = |key: &str| pairs[0][key].as_f64().unwrap();
    let needed = number("needed_thickness_mm");
    let [_, _, (_, text)] = shelf::files();
    let listed = text
        .lines()
        .skip(1)
        .map(|line| line.split_once(',').unwrap());
    let (name, nearest) = listed
        .map(|(name, cell)| (name, cell.parse::<f64>().unwrap()))
        .min_by(|a, b| (a.1 - needed).abs().total_cmp(&(b.1 - needed).abs()))
        .unwrap();
    assert_eq!(pairs[0]["spacer"].as_str(), Some(name));
    assert!((number("thickness_mm") - nearest).abs() < 1e-12);
}
