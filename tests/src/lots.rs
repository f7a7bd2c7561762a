//! The invented readings of `scenarios/lots`, which can be made again: every reading is a function of a seed, the name of its
//! column and its row. They are rounded as a measuring room would write them down.

use sampling::{Stream, StreamId, score_of};

/// Seed of the readings.
const SEED: u64 = 4;

/// The standard-normal score of a row.
fn score(column: &str, row: u64) -> f64 {
    let id = StreamId {
        seed: SEED,
        point: None,
        characteristic: column,
        attempt: 0,
    };
    score_of(&Stream::new(id), row)
}

/// Names and texts of the files.
pub fn files() -> [(&'static str, String); 4] {
    [
        ("hub-bores.csv", hub_bores()),
        ("spacer-rings.csv", spacer_rings()),
        ("face-runout.csv", face_runout()),
        ("bore-gauge.csv", bore_gauge()),
    ]
}

/// Sixty hubs from a lathe with two spindles, the second 4 um smaller; bores with a longer tail upwards, where the tool
/// chatters. A larger bore goes with a larger angle.
fn hub_bores() -> String {
    let mut text = String::from("serial,spindle,gauge_diameter [mm],cone_angle [deg]\n");
    for row in 0..60 {
        let (z, z2) = (score("hub.diameter", row), score("hub.angle", row));
        let spindle = 1 + row % 2;
        // A skewed shape with mean 0 and sd 1: z + c (z^2 - 1) over sqrt(1 + 2 c^2), c = 0.15.
        let tail = (z + 0.15 * (z * z - 1.0)) / 1.045_f64.sqrt();
        let diameter = 37.185 + 1e-3 * (if spindle == 1 { 2.0 } else { -2.0 } + 3.2 * tail);
        let angle = 5.7248 + 1e-4 * (8.0 * (0.5 * z + 0.866 * z2));
        text += &format!("INV-{:03},{spindle},{diameter:.4},{angle:.4}\n", row + 1);
    }
    text
}

/// Twenty-five samples of five spacer rings, an hour apart: the grinding wheel wears and is dressed after the twelfth hour.
fn spacer_rings() -> String {
    let mut text = String::from("serial,hour,thickness [mm]\n");
    for hour in 0..25_u64 {
        let wear = ((hour % 12) as f64 - 5.5) * 0.5;
        let setting = 1.2 * score("spacer.hour", hour);
        for ring in 0..5 {
            let row = hour * 5 + ring;
            let thickness = 8.0 + 1e-3 * (wear + setting + 2.5 * score("spacer.ring", row));
            text += &format!("INV-{:03},{},{thickness:.4}\n", row + 1, hour + 1);
        }
    }
    text
}

/// Eighty faces: the run-out is the length of two independent errors, written with a decimal comma.
fn face_runout() -> String {
    let mut text = String::from("serial;runout [um]\n");
    for row in 0..80 {
        let (a, b) = (score("runout.a", row), score("runout.b", row));
        let runout = format!("{:.1}", 4.0 * (a * a + b * b).sqrt());
        text += &format!("INV-{:03};{}\n", row + 1, runout.replace('.', ","));
    }
    text
}

/// Ten hubs, each measured three times by three appraisers with one bore gauge.
fn bore_gauge() -> String {
    let mut text = String::from("part,appraiser,trial,gauge_diameter [mm]\n");
    let mut row = 0;
    for part in 0..10 {
        for (place, appraiser) in ["A", "B", "C"].into_iter().enumerate() {
            for trial in 1..=3 {
                let error = 0.5 * score("gauge.trial", row) + [0.2, -0.3, 0.1][place];
                let diameter = 37.185 + 1e-3 * (3.8 * score("gauge.part", part) + error);
                text += &format!("INV-{:03},{appraiser},{trial},{diameter:.4}\n", part + 1);
                row += 1;
            }
        }
    }
    text
}
