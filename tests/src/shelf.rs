//! The fitter's shelf of `scenarios/shelf`: invented measured parts, drawn from the processes of the pump impeller.
//!
//! Shaft `i` has the sizes of pairing `i` of a run with a seed of its own, and so have hub and spacer: the characteristics
//! have streams of their own, so nothing ties a shaft to the hub of the same number. Readings are rounded as a
//! measuring room would write them down.

use fit::{Block, Input};
use sampling::{BLOCK, Order};
use study::{Plan, Supply};

/// Seed of the parts: not the scenario's, so that they are no part of the committed report.
const SEED: &str = "19";

const DEGREES: f64 = 180.0 / std::f64::consts::PI;

/// A column of a file: heading, characteristic, factor to its unit, decimals written.
type Column = (&'static str, Input, f64, usize);

const SHAFTS: [Column; 3] = [
    ("shaft.gauge_plane [mm]", Input::MalePlane, 1.0, 3),
    ("shaft.gauge_diameter [mm]", Input::MaleSize, 1.0, 4),
    (
        "shaft.cone_angle [deg]",
        Input::MaleHalfAngle,
        2.0 * DEGREES,
        4,
    ),
];

const HUBS: [Column; 3] = [
    ("hub.gauge_plane [mm]", Input::FemalePlane, 1.0, 3),
    ("hub.gauge_diameter [mm]", Input::FemaleSize, 1.0, 4),
    (
        "hub.cone_angle [deg]",
        Input::FemaleHalfAngle,
        2.0 * DEGREES,
        4,
    ),
];

const SPACERS: [Column; 1] = [("spacer.thickness [mm]", Input::Thickness, 1.0, 3)];

/// Names and texts of the files.
///
/// # Panics
/// When the committed scenario cannot be read or planned.
pub fn files() -> [(&'static str, String); 3] {
    let loaded = crate::scenario("pump-impeller", &[("run.seed", SEED)]);
    let plan = Plan::new(&loaded.scenario).unwrap_or_else(|reason| panic!("{reason}"));
    let mut block = Block::new(plan.joint.teeth());
    let mut supply = Supply::new(&plan, Order::Stock);
    plan.draw(0, BLOCK, &mut supply, &mut block);
    [
        ("shafts.csv", file(&block, "PS", 12, &SHAFTS)),
        ("hubs.csv", file(&block, "PI", 10, &HUBS)),
        ("spacers.csv", file(&block, "SF", 8, &SPACERS)),
    ]
}

fn file(block: &Block, mark: &str, parts: usize, columns: &[Column]) -> String {
    let mut text = String::from("name");
    for (heading, ..) in columns {
        text += &format!(",{heading}");
    }
    for part in 0..parts {
        text += &format!("\n{mark}-{:02}", part + 1);
        for &(_, input, factor, decimals) in columns {
            let reading = block.inputs[input.index()][part] * factor;
            text += &format!(",{reading:.decimals$}");
        }
    }
    text + "\n"
}
