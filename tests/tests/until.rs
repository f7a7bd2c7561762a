//! Runs that end when the interval of their reject rate is narrow enough: where they end, and that they are nothing else
//! than a run of so many pairings.

use std::sync::OnceLock;
use std::sync::atomic::{AtomicBool, Ordering};

use acceptance::{run, scenario};
use record::{HalfWidth, Record};
use study::{Instructions, Loaded, RunOptions, Stopped};

/// Pairings in a chunk.
const CHUNK: u64 = 65_536;

/// One reject in about 900.
const SCENARIO: &str = "pump-impeller";

/// Few outputs beside those under a limit, for speed.
const OUTPUTS: (&str, &str) = ("run.outputs", "[\"draw_up\"]");

fn with_rule(rule: &str, most: &str) -> Loaded {
    let set = [("run.until", rule), ("run.pairings", most), OUTPUTS];
    scenario(SCENARIO, &set)
}

fn fixed(pairings: u64) -> Record {
    let set = [("run.pairings", &*pairings.to_string()), OUTPUTS];
    run(&scenario(SCENARIO, &set), &RunOptions::threads(2))
}

fn rejects(record: &Record) -> u64 {
    record.rejects.iter().map(|reject| reject.count).sum()
}

/// Half-width of the exact interval at 95 %, found without the program: tails of the binomial as sums of its terms, the
/// ends by bisection (C. J. Clopper, E. S. Pearson, Biometrika 26 (1934) 404-413, recalled). For fewer rejects than good.
fn half_width(rejects: u64, pairings: u64) -> f64 {
    let n = pairings as f64;
    let term = |k: u64, p: f64| {
        let (k, lg) = (k as f64, libm::lgamma);
        libm::exp(
            lg(n + 1.0) - lg(k + 1.0) - lg(n - k + 1.0)
                + k * libm::log(p)
                + (n - k) * libm::log1p(-p),
        )
    };
    let at_most = |k: u64, p: f64| (0..=k).map(|k| term(k, p)).sum::<f64>();
    let falls_to = |share: f64, k: u64| {
        let (mut low, mut high) = (1e-12, 0.5);
        for _ in 0..60 {
            let p = 0.5 * (low + high);
            if at_most(k, p) > share {
                low = p;
            } else {
                high = p;
            }
        }
        0.5 * (low + high)
    };
    let low = match rejects {
        0 => 0.0,
        k => falls_to(0.975, k - 1),
    };
    0.5 * (falls_to(0.025, rejects) - low)
}

/// A rule that ends the run soon after the first look: as narrow as 18 chunks leave it, and their rejects.
fn soon() -> (f64, u64) {
    static FOUND: OnceLock<(f64, u64)> = OnceLock::new();
    *FOUND.get_or_init(|| {
        let record = fixed(18 * CHUNK);
        let rejects = rejects(&record);
        (1.000_1 * half_width(rejects, record.pairings), rejects)
    })
}

#[test]
fn verified_the_run_ends_at_the_first_chunk_whose_interval_is_narrow_enough() {
    let (asked, at_18) = soon();
    let rate = at_18 as f64 / (18 * CHUNK) as f64;
    let rules: [(String, &dyn Fn(f64) -> f64); 2] = [
        (format!("half-width {} ppm", 1e6 * asked), &|_| asked),
        (
            format!("half-width {} % of the reject rate", 100.0 * asked / rate),
            &|found: f64| asked / rate * found,
        ),
    ];
    let looked: Vec<(u64, u64)> = (16..=18)
        .map(|chunks| (chunks, rejects(&fixed(chunks * CHUNK))))
        .collect();
    for (rule, due) in rules {
        let narrow = |&&(chunks, rejects): &&(u64, u64)| {
            let pairings = chunks * CHUNK;
            half_width(rejects, pairings) <= due(rejects as f64 / pairings as f64)
        };
        let (chunks, counted) = *looked.iter().find(narrow).expect("18 chunks are enough");
        let record = run(&with_rule(&rule, "1e8"), &RunOptions::threads(2));
        assert_eq!(record.pairings, chunks * CHUNK, "{rule}");
        assert_eq!(rejects(&record), counted, "{rule}");
        let until = record.until.expect("a rule was stated");
        assert!(until.met && until.most_pairings == 100_000_000, "{until:?}");
        let exact = half_width(counted, chunks * CHUNK);
        assert!(
            (until.reached / exact - 1.0).abs() < 1e-6,
            "{until:?} {exact}"
        );
        assert!(
            record
                .warnings
                .iter()
                .all(|w| !w.contains("The run was to end"))
        );
    }
}

#[test]
fn threads_and_vector_units_do_not_move_the_end() {
    let (asked, _) = soon();
    let loaded = with_rule(&format!("half-width {} ppm", 1e6 * asked), "1e9");
    let one = run(&loaded, &RunOptions::threads(1)).to_json();
    for threads in [2, 3, 5] {
        let more = run(&loaded, &RunOptions::threads(threads)).to_json();
        assert!(one == more, "{threads} threads differ from one");
    }
    for instructions in Instructions::available() {
        let options = RunOptions {
            threads: 2,
            instructions,
        };
        let other = run(&loaded, &options).to_json();
        assert!(one == other, "{} differs", instructions.name());
    }
}

#[test]
fn a_run_that_ended_is_a_run_of_so_many_pairings() {
    // Lots, inspection and readings: what runs after the pairings must use those that were done.
    for name in [SCENARIO, "coupling-supply"] {
        let rule = [("run.until", "half-width 0.5 %"), ("run.pairings", "1e8")];
        let mut ended = run(&scenario(name, &rule), &RunOptions::threads(3));
        let pairings = ended.pairings.to_string();
        let same = [("run.pairings", pairings.as_str())];
        let fixed = run(&scenario(name, &same), &RunOptions::threads(2));
        assert_eq!(ended.pairings, 16 * CHUNK, "{name}: the first look");
        assert!(ended.until.take().is_some() && fixed.until.is_none());
        ended
            .scenario
            .overrides
            .clone_from(&fixed.scenario.overrides);
        ended.scenario_hash.clone_from(&fixed.scenario_hash);
        assert!(ended.to_json() == fixed.to_json(), "{name}");
    }
}

#[test]
fn no_rule_ends_a_run_before_its_sixteenth_chunk_and_none_goes_past_the_most() {
    let wide = "half-width 50 %";
    let options = RunOptions::threads(2);
    assert_eq!(run(&with_rule(wide, "1e8"), &options).pairings, 16 * CHUNK);
    for most in [200_007, 17 * CHUNK + 5] {
        let narrow = run(
            &with_rule("half-width 1e-6 ppm", &most.to_string()),
            &options,
        );
        assert_eq!(narrow.pairings, most);
        let until = narrow.until.as_ref().expect("a rule was stated");
        assert!(!until.met, "{until:?}");
        let words = match most >= 16 * CHUNK {
            true => "did not reach it",
            false => "first looked at after 1,048,576 pairings",
        };
        let said = |w: &&String| w.contains(words);
        assert_eq!(narrow.warnings.iter().filter(said).count(), 1);
    }
    let few = run(&with_rule(wide, "200_007"), &options);
    assert_eq!(few.pairings, 200_007);
}

#[test]
fn without_rejects_an_absolute_rule_is_met_and_a_relative_one_says_that_it_cannot_be() {
    let never = |rule: &str, most: &str| {
        let set = [
            ("run.until", rule),
            ("run.pairings", most),
            OUTPUTS,
            ("limits", "{ clamp_load = { min = \"10 N\" } }"),
            ("bolt.torque.nominal", "150 N*m"),
        ];
        run(&scenario(SCENARIO, &set), &RunOptions::threads(2))
    };
    // Nothing in n pairings: high = 1 - 0.025^(1/n), so 1.5 ppm take ln(40) / 3e-6 pairings: 18.8 chunks.
    let absolute = never("half-width 1.5 ppm", "1e8");
    assert_eq!(rejects(&absolute), 0);
    assert_eq!(absolute.pairings, 19 * CHUNK);
    let relative = never("half-width 50 % of the reject rate", "1_100_000");
    assert_eq!(relative.pairings, 1_100_000);
    let said = |w: &String| w.contains("No joint was rejected");
    assert!(
        relative.warnings.iter().any(said),
        "{:?}",
        relative.warnings
    );
}

#[test]
fn a_record_that_ended_by_its_rule_is_run_again_to_the_last_bit() {
    let record = run(
        &with_rule("half-width 100 ppm", "1e8"),
        &RunOptions::threads(2),
    );
    let read = Record::from_json(&record.to_json()).expect("its own JSON");
    assert_eq!(read, record);
    let until = read.until.as_ref().expect("a rule was stated");
    assert_eq!(until.half_width, HalfWidth::Absolute(1e-4));
    let stop = AtomicBool::new(false);
    let again = study::recheck(&read, &RunOptions::threads(3), &|_| {}, &stop);
    assert_eq!(again.expect("runs"), []);
}

#[test]
fn an_interrupted_run_leaves_no_record_and_no_thread_waiting() {
    for threads in [1, 3] {
        let stop = AtomicBool::new(false);
        let outcome = study::run(
            &with_rule("half-width 1e-6 ppm", "1e15"),
            &RunOptions::threads(threads),
            &|progress| {
                assert!(progress.estimated);
                if progress.done > 3 * CHUNK {
                    stop.store(true, Ordering::Relaxed);
                }
            },
            &stop,
        );
        assert!(matches!(outcome, Err(Stopped::Interrupted)), "{outcome:?}");
    }
}
