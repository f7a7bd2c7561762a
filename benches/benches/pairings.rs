//! What one pairing costs: scores, solving a block, and a whole run on one and two threads.

use std::hint::black_box;
use std::path::Path;
use std::sync::atomic::AtomicBool;

use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use fit::{Criteria, Joint, Outputs};
use sampling::{BLOCK, Order, Stream, StreamId, fill_scores};
use study::{Instructions, Loaded, Plan, Supply, simulate};

fn scenario(pairings: u64) -> Loaded {
    named("nine-normals", pairings)
}

fn named(name: &str, pairings: u64) -> Loaded {
    let folder = Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../scenarios"));
    let path = folder.join(name).with_extension("toml");
    let mut loaded = Loaded::from_file(&path, &[]).unwrap_or_else(|problems| panic!("{problems}"));
    loaded.scenario.run.pairings = pairings;
    loaded
}

fn scores(c: &mut Criterion) {
    let id = StreamId {
        seed: 1,
        point: None,
        characteristic: "bench",
        attempt: 0,
    };
    let stream = Stream::new(id);
    let mut column = [0.0; BLOCK];
    let mut group = c.benchmark_group("scores");
    group.throughput(Throughput::Elements(BLOCK as u64));
    group.bench_function("one column, baseline instructions", |b| {
        let mut block = 0;
        b.iter(|| {
            fill_scores(&stream, block, &mut column);
            block += 1;
            black_box(&column);
        });
    });
    group.finish();
}

fn solve(c: &mut Criterion) {
    let loaded = scenario(1);
    let plan = Plan::new(&loaded.scenario).expect("a possible joint");
    let joint = Joint::new(study::joint_sizes(&loaded.scenario)).expect("a possible joint");
    let mut block = plan.block();
    let mut supply = Supply::new(&plan, Order::Stock);
    plan.draw(0, BLOCK, &mut supply, &mut block);
    let mut group = c.benchmark_group("solve");
    group.throughput(Throughput::Elements(BLOCK as u64));
    group.bench_function("one block, all outputs, baseline instructions", |b| {
        b.iter(|| {
            block.solve(&joint, &Criteria::default(), Outputs::ALL);
            black_box(&block.broken);
        });
    });
    group.finish();
}

fn run(c: &mut Criterion) {
    let pairings = 4_000_000;
    let plan = Plan::new(&scenario(pairings).scenario).expect("a possible joint");
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
    for (name, what) in [
        ("pump-impeller", "cone"),
        ("pinion-bolt", "cone, settling, torque capacity"),
        ("fan-hub-hot", "cone, service temperature"),
        ("winch-drum-spline", "spline of 24 teeth"),
        (
            "coupling-supply",
            "cone, seven kinds of process, lots, wear, inspection, correlation",
        ),
        ("coupling-measured", "cone, readings"),
    ] {
        let plan = Plan::new(&named(name, pairings).scenario).expect("a possible joint");
        group.bench_function(what, |b| {
            let stop = AtomicBool::new(false);
            b.iter(|| simulate(&plan, Instructions::best(), &pool, &|_| {}, &stop).expect("runs"));
        });
    }
    group.finish();
}

criterion_group!(benches, scores, solve, run, mechanisms);
criterion_main!(benches);
