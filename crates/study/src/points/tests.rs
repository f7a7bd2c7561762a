use super::*;
use crate::loaded::Loaded;
use crate::run::simulate;
use crate::typed::Assignment;

fn pool(threads: usize) -> rayon::ThreadPool {
    rayon::ThreadPoolBuilder::new()
        .num_threads(threads)
        .build()
        .expect("threads")
}

fn plan(name: &str, changes: &[(&str, &str)]) -> Plan {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../scenarios/");
    let path = format!("{folder}{name}.toml");
    let changes: Vec<Assignment> = changes
        .iter()
        .map(|(path, value)| format!("{path}={value}").parse().expect("an assignment"))
        .collect();
    let loaded = Loaded::from_file(path.as_ref(), &changes).unwrap_or_else(|p| panic!("{p}"));
    Plan::new(&loaded.scenario).expect("a joint")
}

/// Points of every scenario: a changed scatter, a changed nominal, a limit, and one that is as it was.
fn points(name: &str) -> Vec<Plan> {
    [
        &[][..],
        &[("spacer.thickness.nominal", "\"6.01 mm\"")],
        &[("bolt.torque.nominal", "\"50 N*m\"")],
        &[("limits.clamp_load.min", "\"9 kN\"")],
        &[],
    ]
    .iter()
    .map(|changes| plan(name, changes))
    .collect()
}
