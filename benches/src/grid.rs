//! A study of 41 x 41 points, taper against scatter of the diameters: on shared draws, and with draws of its own at every point.

use std::sync::atomic::AtomicBool;

use fit::Verdict;
use study::record::Override;
use study::{Instructions, Loaded, Plan, Points};

/// Points along each axis.
const AXIS: usize = 41;

/// Points in all.
pub const POINTS: u64 = (AXIS * AXIS) as u64;

/// The plans of all points, taper outside, scatter inside: tapers from 0.03 to 0.07 on diameter, standard deviations of both
/// diameters from 2 to 16 um. The hub's diameter follows the taper so that the nominal draw-up stays.
///
/// # Errors
/// What is wrong with the scenario.
pub fn plans(seed: u64) -> Result<Vec<Plan>, String> {
    let path = crate::folder().join("../scenarios/nine-normals.toml");
    let step = |i: usize, from: f64, to: f64| from + (to - from) * i as f64 / (AXIS - 1) as f64;
    let mut plans = Vec::with_capacity(AXIS * AXIS);
    for i in 0..AXIS {
        let tangent = 0.5 * step(i, 0.03, 0.07);
        let degrees = libm::atan(tangent).to_degrees();
        let hub = 30.0 - 2.0 * tangent * 6.232;
        for j in 0..AXIS {
            let sd = step(j, 2.0, 16.0);
            let change = |path: &str, value: String| Override {
                path: path.to_owned(),
                value: format!("\"{value}\""),
            };
            let changes = [
                change("shaft.half_angle.nominal", format!("{degrees} deg")),
                change("hub.half_angle.nominal", format!("{degrees} deg")),
                change("hub.gauge_diameter.nominal", format!("{hub} mm")),
                change("shaft.gauge_diameter.process.sd", format!("{sd} um")),
                change("hub.gauge_diameter.process.sd", format!("{sd} um")),
            ];
            let mut loaded =
                Loaded::from_file(&path, &changes).map_err(|problems| problems.to_string())?;
            loaded.scenario.run.seed = seed;
            plans.push(Plan::new(&loaded.scenario)?);
        }
    }
    Ok(plans)
}

/// Pairings by verdict over all points, each with `pairings` of them: on shared draws, or point by point.
///
/// # Errors
/// A sentence, when it cannot run.
pub fn simulate(
    plans: Vec<Plan>,
    shared: bool,
    pairings: u64,
    unit: Instructions,
    pool: &rayon::ThreadPool,
) -> Result<Vec<(Verdict, u64)>, String> {
    let stop = AtomicBool::new(false);
    let groups: Vec<Vec<Plan>> = if shared {
        vec![plans]
    } else {
        plans.into_iter().map(|plan| vec![plan]).collect()
    };
    let run = |group: Vec<Plan>| {
        let points = Points::new(group)?;
        let counts = points.run(pairings, unit, pool, &stop);
        let counts = counts.map_err(|error| error.to_string())?;
        let verdicts = points
            .plans()
            .iter()
            .zip(&counts)
            .flat_map(|(plan, counts)| {
                let sets = counts.sets.totals();
                sets.map(|(mask, count)| (plan.criteria.verdict(mask), count))
            });
        Ok(verdicts.collect())
    };
    // From a thread of the pool, so that no run waits for it to wake up.
    let verdicts: Result<Vec<Vec<_>>, String> =
        pool.install(|| groups.into_iter().map(run).collect());
    Ok(verdicts?.concat())
}
