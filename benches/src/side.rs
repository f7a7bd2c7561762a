//! Running one side: here, in a process of its own, or as the numpy peer.

use std::collections::BTreeMap;
use std::process::{Command, Stdio};
use std::sync::atomic::AtomicBool;
use std::time::Instant;

use fit::Verdict;
use study::{Counts, Instructions, Plan, simulate};

use crate::gate::Side;
use crate::report::{COUNTS, Report};
use crate::scalar::ScalarJoint;
use crate::{frames, grid, machine, plan_with, scalar, unordered};

/// What every run of a comparison is told.
#[derive(Debug, Clone, Copy)]
pub struct Task {
    /// Pairings.
    pub pairings: u64,
    /// Seed.
    pub seed: u64,
    /// Vector unit.
    pub unit: Instructions,
    /// Pairings in an array of the peer.
    pub chunk: u64,
}

/// A vector unit by a short name: `avx512`, `avx2`, `baseline`, `best`.
///
/// # Errors
/// A sentence, when this machine does not have it.
pub fn unit(name: &str) -> Result<Instructions, String> {
    let available = Instructions::available();
    if name == "best" {
        return Ok(Instructions::best());
    }
    let found = available.iter().find(|unit| short(**unit) == name);
    found.copied().ok_or_else(|| {
        let names: Vec<_> = available.iter().map(|unit| short(*unit)).collect();
        format!("--unit {name}: this machine has {}", names.join(", "))
    })
}

/// The short name of a unit: its first word without hyphen.
pub fn short(unit: Instructions) -> String {
    let word = unit.name().split(' ').next().unwrap_or("");
    word.replace('-', "").to_lowercase()
}

/// Runs a side in a child process; returns what it says and how long the whole process took (s).
///
/// # Errors
/// A sentence, when the child fails or says too little.
pub fn child(side: Side, task: &Task) -> Result<(Report, f64), String> {
    let mut command = match side {
        Side::Peer { processes } => {
            let mut command = Command::new("python3");
            command
                .arg(crate::folder().join("peer/pairings.py"))
                .arg(task.pairings.to_string());
            command.args([
                "--processes",
                &processes.to_string(),
                "--chunk",
                &task.chunk.to_string(),
            ]);
            command
        }
        Side::Ours { threads } => own("ours", threads, task)?,
        Side::Unordered { threads } => own("unordered", threads, task)?,
        Side::Grid { shared: true } => own("shared", 1, task)?,
        Side::Grid { shared: false } => own("separate", 1, task)?,
        Side::Scalar => own("scalar", 1, task)?,
    };
    command
        .args(["--seed", &task.seed.to_string()])
        .stdin(Stdio::null());
    let begun = Instant::now();
    let output = command
        .output()
        .map_err(|error| format!("{}: {error}", side.name()))?;
    let whole = begun.elapsed().as_secs_f64();
    let said = String::from_utf8_lossy(&output.stdout) + String::from_utf8_lossy(&output.stderr);
    if !output.status.success() {
        return Err(format!(
            "{} ended with {}: {said}",
            side.name(),
            output.status
        ));
    }
    let report = Report::parse(&said).map_err(|error| format!("{}: {error}", side.name()))?;
    if report.pairings() != task.pairings {
        return Err(format!(
            "{} counted {} of {} pairings",
            side.name(),
            report.pairings(),
            task.pairings
        ));
    }
    Ok((report, whole))
}

fn own(side: &str, threads: usize, task: &Task) -> Result<Command, String> {
    let program = std::env::current_exe().map_err(|error| error.to_string())?;
    let mut command = Command::new(program);
    command.args([
        "child",
        side,
        "--threads",
        &threads.to_string(),
        "--unit",
        &short(task.unit),
    ]);
    command.args(["--pairings", &task.pairings.to_string()]);
    Ok(command)
}

/// Runs a side of our own in this process.
///
/// # Errors
/// A sentence, when it cannot run.
pub fn here(side: &str, threads: usize, task: &Task) -> Result<Report, String> {
    let plan = plan_with("nine-normals", task.pairings, task.seed)?;
    let pool = rayon::ThreadPoolBuilder::new()
        .num_threads(threads)
        .build()
        .map_err(|error| error.to_string())?;
    match side {
        "ours" => measured(|| {
            let stop = AtomicBool::new(false);
            let counts = simulate(&plan, task.unit, &pool, &|_| {}, &stop);
            counts
                .map(|counts| by_verdict(&plan, &counts))
                .map_err(|error| error.to_string())
        }),
        "unordered" => measured(|| {
            Ok(by_verdict(
                &plan,
                &unordered::simulate(&plan, task.unit, &pool),
            ))
        }),
        "shared" | "separate" => {
            let plans = grid::plans(task.seed)?;
            let pairings = task.pairings / grid::POINTS;
            measured(|| {
                let counts = grid::simulate(plans, side == "shared", pairings, task.unit, &pool);
                counts.map(|counts| keyed(counts.into_iter()))
            })
        }
        "scalar" => {
            let (joint, frames) = (ScalarJoint::new(&plan)?, frames(&plan)?);
            measured(|| {
                let tally = scalar::simulate(&joint, &frames, task.pairings, task.seed);
                if tally
                    .outputs
                    .iter()
                    .any(|output| output.counted() != task.pairings)
                {
                    return Err("a histogram of the scalar path lacks pairings".into());
                }
                Ok(keyed(Verdict::ALL.into_iter().zip(tally.verdicts)))
            })
        }
        _ => Err(format!("no side {side}")),
    }
}

fn measured(run: impl FnOnce() -> Result<BTreeMap<String, u64>, String>) -> Result<Report, String> {
    let (begun, before) = (Instant::now(), machine::cpu_ticks()?);
    let counts = run()?;
    let (seconds, ticks) = (
        begun.elapsed().as_secs_f64(),
        machine::cpu_ticks()? - before,
    );
    Ok(Report {
        seconds,
        cpu: ticks as f64 / machine::ticks_per_second(),
        peak_kib: machine::peak_kib()?,
        counts,
    })
}

/// Counts by verdict from the sets of broken limits: the first of a set claims the pairing.
fn by_verdict(plan: &Plan, counts: &Counts) -> BTreeMap<String, u64> {
    let masks = counts.counted.masks.totals();
    keyed(masks.map(|(mask, count)| (plan.criteria.verdict(mask), count)))
}

/// Sums by verdict, the six of the benchmark always there.
fn keyed(counts: impl Iterator<Item = (Verdict, u64)>) -> BTreeMap<String, u64> {
    let mut sums: BTreeMap<String, u64> = COUNTS.iter().map(|key| ((*key).to_owned(), 0)).collect();
    for (verdict, count) in counts.filter(|(_, count)| *count > 0) {
        *sums.entry(verdict.key().to_owned()).or_default() += count;
    }
    sums
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn own_sides_agree_on_the_shares() {
        let task = Task {
            pairings: 40_000,
            seed: 5,
            unit: Instructions::best(),
            chunk: 8192,
        };
        let reports =
            ["ours", "unordered", "scalar"].map(|side| here(side, 2, &task).expect("runs"));
        assert_eq!(reports[0].counts, reports[1].counts);
        assert!(reports.iter().all(|report| report.pairings() == 40_000));
        assert_eq!(reports[0].agrees_with(&reports[2]), Ok(()));
        assert!(here("neither", 1, &task).is_err());
    }

    #[test]
    fn units_are_found_by_their_short_names() {
        assert_eq!(unit("baseline").map(Instructions::name), Ok("baseline"));
        assert_eq!(unit("best"), Ok(Instructions::best()));
        assert!(unit("avx9").expect_err("no such unit").contains("baseline"));
    }
}
