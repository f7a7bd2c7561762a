use super::*;
use crate::loaded::Loaded;
use crate::run::simulate;
use record::Override;

fn pool(threads: usize) -> rayon::ThreadPool {
    rayon::ThreadPoolBuilder::new()
        .num_threads(threads)
        .build()
        .expect("threads")
}

fn plan(name: &str, changes: &[(&str, &str)]) -> Plan {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../scenarios/");
    let path = format!("{folder}{name}.toml");
    let changes: Vec<Override> = changes
        .iter()
        .map(|(path, value)| Override {
            path: (*path).to_owned(),
            value: (*value).to_owned(),
        })
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

#[test]
fn a_point_counts_what_a_run_of_its_own_counts() {
    // Plain parts; inspected, correlated and slow ones; teeth with errors.
    for name in ["nine-normals", "coupling-supply", "winch-drum-spline"] {
        let shared = as_alone(name, points(name));
        assert_eq!(shared[0], shared[4], "{name}: a point that is as it was");
        assert_ne!(shared[0].sets, shared[3].sets, "{name}: another limit");
    }
}

/// A characteristic that is constant at one point and another constant, or none, at the next.
#[test]
fn constants_of_every_kind_of_part_are_those_of_the_point() {
    let other = &[("shaft.gauge_plane", "\"4.05 mm\"")][..];
    let same = &[("shaft.gauge_plane", "\"4 mm\"")][..];
    // As the files have it.
    let varies = &[][..];
    for name in ["nine-normals", "coupling-supply"] {
        for pair in [[same, other], [varies, other], [other, varies]] {
            let plans = pair.iter().map(|changes| plan(name, changes)).collect();
            let shared = as_alone(name, plans);
            assert_ne!(shared[0].sets, shared[1].sets, "{name}: {pair:?}");
        }
    }
}

/// Runs the points, and each by itself: the counts are the same, the means to rounding.
fn as_alone(name: &str, plans: Vec<Plan>) -> Vec<PointCounts> {
    let pairings = TASK + 1_000;
    let points = Points::new(plans).expect("points of one joint");
    let stop = AtomicBool::new(false);
    let shared = points
        .run(pairings, Instructions::best(), &pool(2), &stop)
        .expect("runs");
    for (plan, got) in points.plans().iter().zip(&shared) {
        let mut plan = plan.clone();
        plan.pairings = pairings;
        let alone = simulate(&plan, Instructions::best(), &pool(1), &|_| {}, &stop);
        let alone = alone.expect("runs");
        let sets: Vec<_> = alone.counted.masks.totals().collect();
        assert_eq!(got.sets.totals().collect::<Vec<_>>(), sets, "{name}");
        let shifts = Points::shifts(&plan, Instructions::best());
        for (i, output) in plan.outputs.iter().enumerate() {
            let (totals, frame) = (&alone.counted.totals[i], &alone.frames[i]);
            let Powers { count, sums } = got.powers[i];
            assert_eq!(count, totals.present(), "{name}: {}", output.key());
            let mean = shifts[i] + sums[0] / count as f64;
            let expected = frame.shift + alone.sums[i].powers()[0] / count as f64;
            assert!(
                (mean - expected).abs() <= 1e-12 * (mean.abs() + expected.abs()),
                "{name}: mean of {}: {mean} for {expected}",
                output.key()
            );
        }
    }
    shared
}

/// A single point is drawn as a run is; many are made from scores at hand, group by group, in room that is used again.
#[test]
fn a_point_does_not_hang_on_its_group() {
    let run = |plans: Vec<Plan>| {
        let points = Points::new(plans).expect("points of one joint");
        let best = Instructions::best();
        let counts = points.run(3 * TASK + 1000, best, &pool(1), &AtomicBool::new(false));
        counts.expect("runs")
    };
    for name in ["nine-normals", "coupling-supply", "winch-drum-spline"] {
        let torque = |point: usize| format!("\"{} N*m\"", 50 + point);
        // Every third point has a constant where the others may scatter.
        let gauge = |point: usize| ("shaft.gauge_plane", ["\"4.05 mm\"", "\"4 mm\""][point % 2]);
        let point = |point: usize| {
            let torque = torque(point);
            let mut changes = vec![("bolt.torque.nominal", torque.as_str())];
            changes.extend((point.is_multiple_of(3)).then(|| gauge(point)));
            plan(name, &changes)
        };
        let all = run((0..GROUP + 3).map(point).collect());
        for place in [0, 1, GROUP - 1, GROUP, GROUP + 1, GROUP + 2] {
            assert_eq!(
                all[place..=place],
                run(vec![point(place)]),
                "{name} {place}"
            );
        }
    }
}

/// Points that differ from the one before in the scatter of sizes alone are solved from what sizes do not change.
#[test]
fn a_point_solved_again_has_the_bits_of_one_solved_alone() {
    // A plain joint; one with smoothing; a steep one; a soft spacer.
    let cases: [&[(&str, &str)]; 4] = [
        &[],
        &[("contact.smoothing", "\"4 um\"")],
        &[
            ("shaft.half_angle.nominal", "\"14 deg\""),
            ("hub.half_angle.nominal", "\"14 deg\""),
            ("hub.gauge_diameter.nominal", "\"26.92 mm\""),
        ],
        &[("spacer.outside_diameter", "\"31 mm\"")],
    ];
    let run = |points: &Points| {
        let best = Instructions::best();
        let counts = points.run(TASK, best, &pool(1), &AtomicBool::new(false));
        counts.expect("runs")
    };
    for case in cases {
        let scatter = |sd: &str| {
            let more = [
                ("shaft.gauge_diameter.process.sd", sd),
                ("hub.gauge_diameter.process.sd", sd),
                ("shaft.gauge_plane.process.sd", sd),
            ];
            plan("nine-normals", &[case, &more].concat())
        };
        let plans = ["\"8 um\"", "\"12 um\"", "\"3 um\""].map(scatter);
        let points = Points::new(plans.to_vec()).expect("points of one joint");
        let passes: Vec<Pass> = points.renewed.iter().map(|r| r.pass(false)).collect();
        assert_eq!(passes, [Pass::First, Pass::Again, Pass::Again], "{case:?}");
        let all = run(&points);
        assert!(all[0] != all[1] && all[1] != all[2], "{case:?}");
        for (got, plan) in all.iter().zip(plans) {
            let alone = run(&Points::new(vec![plan]).expect("one point"));
            assert_eq!(*got, alone[0], "{case:?}");
        }
    }
}

#[test]
fn points_come_out_the_same_on_any_number_of_threads_and_every_vector_unit() {
    let points = Points::new(points("nine-normals")).expect("points of one joint");
    let stop = AtomicBool::new(false);
    let run = |unit, threads| {
        points
            .run(5 * TASK, unit, &pool(threads), &stop)
            .expect("runs")
    };
    let first = run(Instructions::best(), 1);
    for threads in [2, 3, 5] {
        assert_eq!(
            run(Instructions::best(), threads),
            first,
            "{threads} threads"
        );
    }
    for unit in Instructions::available() {
        assert_eq!(run(unit, 2), first, "{}", unit.name());
    }
}

#[test]
fn the_order_of_the_points_changes_none_of_them() {
    let stop = AtomicBool::new(false);
    let run = |plans| {
        let points = Points::new(plans).expect("points of one joint");
        let counts = points.run(TASK, Instructions::best(), &pool(2), &stop);
        counts.expect("runs")
    };
    let forth = run(points("coupling-supply"));
    let mut back = points("coupling-supply");
    back.reverse();
    let mut back = run(back);
    back.reverse();
    assert_eq!(forth, back);
}

#[test]
fn points_of_different_joints_are_refused() {
    assert!(Points::new(vec![]).is_err());
    let mixed = vec![plan("nine-normals", &[]), plan("winch-drum-spline", &[])];
    assert!(Points::new(mixed).is_err());
    let seeds = vec![
        plan("nine-normals", &[]),
        plan("nine-normals", &[("run.seed", "8")]),
    ];
    assert!(Points::new(seeds).is_err());
}
