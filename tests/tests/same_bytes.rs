//! The same scenario and seed give the same bytes: any number of threads, any vector unit, run again.

use acceptance::{run, scenario};
use study::{Instructions, RunOptions};

/// Enough for a few chunks and a last one that is not full.
const PAIRINGS: &str = "210_007";

const SCENARIOS: [&str; 9] = [
    "nine-normals",
    "five-kinds",
    "coupling-supply",
    "pump-impeller",
    "fan-hub-gap-left",
    "winch-drum-mixed",
    "winch-drum-spline",
    "fan-hub-hot",
    "pinion-bolt",
];

#[test]
fn any_number_of_threads_gives_the_same_bytes() {
    for name in SCENARIOS {
        let loaded = scenario(name, &[("run.pairings", PAIRINGS)]);
        let one = run(&loaded, &RunOptions::threads(1)).to_json();
        for threads in [2, 3, 8] {
            let more = run(&loaded, &RunOptions::threads(threads)).to_json();
            assert!(one == more, "{name}: {threads} threads differ from one");
        }
    }
}

#[test]
fn every_vector_unit_gives_the_same_bits() {
    for name in SCENARIOS {
        let loaded = scenario(name, &[("run.pairings", "70_001")]);
        let records = Instructions::available().into_iter().map(|instructions| {
            let options = RunOptions {
                threads: 1,
                instructions,
            };
            (instructions, run(&loaded, &options).to_json())
        });
        let records: Vec<_> = records.collect();
        for (instructions, record) in &records[1..] {
            assert!(
                *record == records[0].1,
                "{name}: {} differs from {}",
                instructions.name(),
                records[0].0.name()
            );
        }
    }
}

#[test]
fn a_record_run_again_has_no_differences_and_a_changed_one_has() {
    let loaded = scenario("pump-impeller", &[("run.pairings", "20_000")]);
    let options = RunOptions::threads(2);
    let record = run(&loaded, &options);
    let read = record::Record::from_json(&record.to_json()).expect("its own JSON");
    assert_eq!(read, record);
    let stop = std::sync::atomic::AtomicBool::new(false);
    let again =
        |record: &record::Record| study::recheck(record, &options, &|_| {}, &stop).expect("runs");
    assert_eq!(again(&read), []);
    let mut changed = read;
    changed.yield_.good += 1;
    let paths: Vec<String> = again(&changed).into_iter().map(|d| d.path).collect();
    assert_eq!(paths, ["yield.good"]);
}

#[test]
fn another_seed_draws_other_parts() {
    let options = RunOptions::threads(2);
    let of = |seed| {
        run(
            &scenario(
                "winch-drum-mixed",
                &[("run.pairings", "20_000"), ("run.seed", seed)],
            ),
            &options,
        )
    };
    assert_ne!(of("1").yield_.good, of("2").yield_.good);
}

#[test]
fn all_pairings_are_counted_once() {
    for name in SCENARIOS {
        let record = run(
            &scenario(name, &[("run.pairings", PAIRINGS)]),
            &RunOptions::threads(2),
        );
        let rejects: u64 = record.rejects.iter().map(|reject| reject.count).sum();
        assert_eq!(record.yield_.good + rejects, record.pairings, "{name}");
        let draw_up = record.draw_up.expect("draw-up is followed");
        let by_verdict: u64 = draw_up.counts.values().flatten().sum();
        assert_eq!(
            by_verdict, record.pairings,
            "{name}: nothing never seats here"
        );
        for broken in &record.broken_limits {
            let first = record
                .rejects
                .iter()
                .find(|reject| reject.mode == broken.mode);
            assert!(
                broken.count <= record.pairings - record.yield_.good,
                "{name} {}",
                broken.name
            );
            assert!(
                first.is_some(),
                "{name}: {} has no reject mode",
                broken.name
            );
        }
    }
}

#[test]
fn readings_drawn_anew_give_the_same_bytes_on_any_thread_and_unit() {
    // Few pairings: the lots are drawn anew 400 times with as many.
    let loaded = scenario("coupling-measured", &[("run.pairings", "3_000")]);
    let one = run(&loaded, &RunOptions::threads(1)).to_json();
    for threads in [2, 5] {
        assert!(
            one == run(&loaded, &RunOptions::threads(threads)).to_json(),
            "{threads} threads"
        );
    }
    for instructions in Instructions::available() {
        let options = RunOptions {
            threads: 2,
            instructions,
        };
        assert!(
            one == run(&loaded, &options).to_json(),
            "{}",
            instructions.name()
        );
    }
}
