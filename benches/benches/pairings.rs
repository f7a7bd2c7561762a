//! What one pairing costs: the parts of a block, a whole run on one and two threads, and each mechanism.

use std::hint::black_box;
use std::sync::atomic::AtomicBool;

use capability::tally::Sums;
use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use sampling::BLOCK;
use study::{Instructions, Plan, Workspace, count, draw, simulate, solve};

fn plan(name: &str, pairings: u64) -> Plan {
    benches::plan_of(name, pairings).unwrap_or_else(|problem| panic!("{problem}"))
}

/// The three parts of one block, and the whole of it, on every vector unit.
fn block(c: &mut Criterion) {
    let plan = plan("nine-normals", 1 << 20);
    let mut group = c.benchmark_group("block");
    group.throughput(Throughput::Elements(BLOCK as u64));
    for unit in Instructions::available() {
        let frames = plan.frames(unit);
        let mut work = Workspace::new(&plan);
        let mut sums = vec![Sums::default(); plan.outputs.len()];
        let mut number = 0;
        let mut parts = |work: &mut Workspace| {
            number += 1;
            let Workspace { block, supply, .. } = work;
            draw(unit, &plan, number, BLOCK, supply, block);
        };
        let name = unit.name();
        group.bench_function(format!("scores and sizes, {name}"), |b| {
            b.iter(|| parts(black_box(&mut work)));
        });
        group.bench_function(format!("solve, {name}"), |b| {
            b.iter(|| solve(unit, &plan, plan.wanted, black_box(&mut work.block)));
        });
        group.bench_function(format!("accumulate, {name}"), |b| {
            b.iter(|| count(unit, &plan, &frames, BLOCK, black_box(&mut work), &mut sums));
        });
        group.bench_function(format!("whole, {name}"), |b| {
            b.iter(|| {
                parts(&mut work);
                solve(unit, &plan, plan.wanted, &mut work.block);
                count(unit, &plan, &frames, BLOCK, &mut work, &mut sums);
            });
        });
    }
    group.finish();
}

fn run(c: &mut Criterion) {
    let pairings = 4_000_000;
    let plan = plan("nine-normals", pairings);
    let mut group = c.benchmark_group("run");
    group.throughput(Throughput::Elements(pairings));
    group.sample_size(10);
    for threads in [1, 2] {
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .expect("threads");
        for instructions in Instructions::available().into_iter().skip(1) {
            group.bench_function(format!("{threads} threads, {}", instructions.name()), |b| {
                let stop = AtomicBool::new(false);
                b.iter(|| simulate(&plan, instructions, &pool, &|_| {}, &stop).expect("runs"));
            });
        }
    }
    group.finish();
}

/// What each mechanism costs: all outputs that the joint has, one thread, the widest vector unit.
fn mechanisms(c: &mut Criterion) {
    let pairings = 500_000;
    let mut group = c.benchmark_group("mechanisms");
    group.throughput(Throughput::Elements(pairings));
    group.sample_size(10);
    let pool = rayon::ThreadPoolBuilder::new()
        .num_threads(1)
        .build()
        .expect("a thread");
    let spacers = [
        ("spacer.thickness.deviations", "[\"-30 um\", \"30 um\"]"),
        (
            "spacer.thickness.inspection",
            "{ gauge_uncertainty = \"4 um\" }",
        ),
    ];
    for (name, changes, what) in [
        ("nine-normals", &[][..], "nine normals, four outputs"),
        ("five-kinds", &[], "five kinds of process, four outputs"),
        (
            "five-kinds",
            &spacers,
            "five kinds of process, inspected spacers, four outputs",
        ),
        ("pump-impeller", &[], "cone, all outputs"),
        ("pinion-bolt", &[], "cone, settling, torque capacity"),
        ("fan-hub-hot", &[], "cone, service temperature"),
        ("winch-drum-spline", &[], "spline of 24 teeth"),
        (
            "coupling-supply",
            &[],
            "seven kinds of process, lots, wear, inspection, correlation",
        ),
        ("coupling-measured", &[], "cone, readings"),
    ] {
        let plan = benches::plan_changed(name, pairings, changes);
        let plan = plan.unwrap_or_else(|problem| panic!("{problem}"));
        group.bench_function(what, |b| {
            let stop = AtomicBool::new(false);
            b.iter(|| simulate(&plan, Instructions::best(), &pool, &|_| {}, &stop).expect("runs"));
        });
    }
    group.finish();
}

criterion_group!(groups, block, run, mechanisms);
criterion_main!(groups);
