//! What the benchmarks share: the scenario that they run, the scalar path, the numpy peer, and how times are read.

use std::path::{Path, PathBuf};

use capability::tally::Frame;
use study::record::Override;
use study::{Instructions, Loaded, Plan};

pub mod gate;
pub mod grid;
pub mod machine;
pub mod report;
pub mod scalar;
pub mod side;
pub mod unordered;

/// The folder of the benchmarks.
pub fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).to_path_buf()
}

/// The plan of the benchmark's scenario.
///
/// # Errors
/// What is wrong with the scenario.
pub fn plan(pairings: u64) -> Result<Plan, String> {
    plan_of("nine-normals", pairings)
}

/// The plan of a scenario by name.
///
/// # Errors
/// What is wrong with the scenario.
pub fn plan_of(name: &str, pairings: u64) -> Result<Plan, String> {
    plan_with(name, pairings, 1)
}

/// The plan of a scenario by name, with some of its keys changed.
///
/// # Errors
/// What is wrong with the scenario.
pub fn plan_changed(name: &str, pairings: u64, changes: &[(&str, &str)]) -> Result<Plan, String> {
    let changes: Vec<Override> = changes
        .iter()
        .map(|(path, value)| Override {
            path: (*path).to_owned(),
            value: (*value).to_owned(),
        })
        .collect();
    let mut loaded = loaded(name, &changes)?;
    loaded.scenario.run.pairings = pairings;
    Plan::new(&loaded.scenario)
}

fn loaded(name: &str, changes: &[Override]) -> Result<Loaded, String> {
    let path = folder()
        .join("../scenarios")
        .join(name)
        .with_extension("toml");
    Loaded::from_file(&path, changes).map_err(|problems| problems.to_string())
}

/// The plan of a scenario by name, with a seed.
///
/// # Errors
/// What is wrong with the scenario.
pub fn plan_with(name: &str, pairings: u64, seed: u64) -> Result<Plan, String> {
    let mut loaded = loaded(name, &[])?;
    loaded.scenario.run.pairings = pairings;
    loaded.scenario.run.seed = seed;
    Plan::new(&loaded.scenario)
}

/// Where the bins of the four outputs lie.
///
/// # Errors
/// When the scenario follows other outputs than [`scalar::OUTPUTS`].
pub fn frames(plan: &Plan) -> Result<[Frame; 4], String> {
    if plan.outputs != scalar::OUTPUTS {
        return Err(format!(
            "the benchmark follows four outputs, the scenario {:?}",
            plan.outputs
        ));
    }
    let frames = plan.frames(Instructions::best());
    <[Frame; 4]>::try_from(frames).map_err(|_| "one frame for each output".to_owned())
}
