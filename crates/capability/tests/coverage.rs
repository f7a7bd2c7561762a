//! Verified: stated intervals hold the true value as often as they say.
//!
//! Shares are exact sums over all outcomes; indices are simulated with a small generator of their own, at fixed seeds, so a
//! run is repeatable. The quick run is part of the ordinary tests; the long one:
//! `cargo test --release -p capability -- --ignored --nocapture`.

mod readings;

use capability::binomial;
use capability::index::{Limits, PERCENTILES, normal_formula, percentile_formula};
use capability::moments::Moments;
use capability::sketch::Sketch;
use distributions::normal;
use readings::SplitMix64;

#[test]
fn the_generator_matches_its_reference_at_seed_zero() {
    let mut g = SplitMix64(0);
    let expected = [
        0xe220_a839_7b1d_cdaf_u64,
        0x6e78_9e6a_a1b9_65f4,
        0x06c4_5d18_8009_454f,
    ];
    assert_eq!([g.next(), g.next(), g.next()], expected);
}

/// A shape with its true mean and standard deviation.
struct Case {
    name: &'static str,
    mean: f64,
    sd: f64,
    draw: fn(&mut SplitMix64) -> f64,
    /// Lowest coverage of a 95 % interval at 1000 values and more, rounded down from the long run.
    lowest: f64,
}

/// Student's t with `K` degrees of freedom.
fn student<const K: u32>(g: &mut SplitMix64) -> f64 {
    let chi_square: f64 = (0..K).map(|_| g.score()).map(|z| z * z).sum();
    g.score() / libm::sqrt(chi_square / f64::from(K))
}

fn cases() -> [Case; 6] {
    let lognormal = |s: f64| {
        (
            libm::exp(0.5 * s * s),
            libm::exp(0.5 * s * s) * libm::sqrt(libm::expm1(s * s)),
        )
    };
    let (quarter, half) = (lognormal(0.25), lognormal(0.5));
    let student_sd = |k: f64| libm::sqrt(k / (k - 2.0));
    [
        Case {
            name: "normal",
            mean: 0.0,
            sd: 1.0,
            draw: SplitMix64::score,
            lowest: 0.94,
        },
        Case {
            name: "uniform",
            mean: 0.5,
            sd: 1.0 / libm::sqrt(12.0),
            draw: SplitMix64::uniform,
            lowest: 0.94,
        },
        Case {
            name: "lognormal, g1 0.8",
            mean: quarter.0,
            sd: quarter.1,
            draw: |g| libm::exp(0.25 * g.score()),
            lowest: 0.94,
        },
        Case {
            name: "lognormal, g1 1.8",
            mean: half.0,
            sd: half.1,
            draw: |g| libm::exp(0.5 * g.score()),
            lowest: 0.925,
        },
        Case {
            name: "Student, 10 df",
            mean: 0.0,
            sd: student_sd(10.0),
            draw: student::<10>,
            lowest: 0.94,
        },
        Case {
            name: "Student, 5 df",
            mean: 0.0,
            sd: student_sd(5.0),
            draw: student::<5>,
            lowest: 0.925,
        },
    ]
}

/// Limits at so many standard deviations below and above the mean: centred, leaning up, leaning down.
const PLACES: [(f64, f64); 3] = [(4.0, 4.0), (8.0, 4.0), (4.0, 8.0)];

/// Shares of `runs` samples of `n` values whose 95 % intervals hold the true Cp, and the true Cpk at each place.
fn coverage(case: &Case, n: usize, runs: u32) -> (f64, [f64; 3]) {
    let mut g = SplitMix64(0x5ea7 + n as u64);
    let (mut cp_hits, mut cpk_hits) = (0, [0; 3]);
    for _ in 0..runs {
        let values: Vec<f64> = (0..n).map(|_| (case.draw)(&mut g)).collect();
        let moments = Moments::of(&values);
        for (hits, (down, up)) in cpk_hits.iter_mut().zip(PLACES) {
            let limits = Limits {
                min: Some(case.mean - down * case.sd),
                max: Some(case.mean + up * case.sd),
            };
            let indices = normal_formula(&moments, limits, 0.95);
            let (cp, cpk) = (indices.cp.unwrap(), indices.cpk.unwrap());
            *hits += u32::from(cpk.low <= down.min(up) / 3.0 && down.min(up) / 3.0 <= cpk.high);
            if down == up {
                cp_hits += u32::from(cp.low <= down / 3.0 && down / 3.0 <= cp.high);
            }
        }
    }
    (
        f64::from(cp_hits) / f64::from(runs),
        cpk_hits.map(|hits| f64::from(hits) / f64::from(runs)),
    )
}

fn check_normal_formula(n: usize, runs: u32) {
    for case in cases() {
        let (cp, cpk) = coverage(&case, n, runs);
        println!(
            "n {n}, {runs} runs, {}: Cp {cp:.4}, Cpk centred, up, down {cpk:.4?}",
            case.name
        );
        // Odds of a false alarm: five standard errors of `runs` samples, one in three million.
        let slack = 5.0 * libm::sqrt(0.05 * 0.95 / f64::from(runs));
        for share in cpk.into_iter().chain([cp]) {
            assert!(
                share >= case.lowest - slack,
                "{}: {share} below {}",
                case.name,
                case.lowest
            );
            assert!(share <= 0.975 + slack, "{}: {share}", case.name);
        }
    }
}

#[test]
fn cpk_interval_covers_skewed_and_heavy_tailed_outputs() {
    check_normal_formula(1000, 1000);
    check_normal_formula(10_000, 100);
}

#[test]
#[ignore = "slow: cargo test --release -p capability -- --ignored --nocapture"]
fn cpk_interval_covers_in_the_long_run() {
    check_normal_formula(1000, 20_000);
    check_normal_formula(10_000, 10_000);
    check_normal_formula(100_000, 2000);
}

/// Share of runs whose percentile interval holds the true Cp and Cpk; a monotone map of a score makes the shape.
fn percentile_coverage(map: fn(f64) -> f64, range: (f64, f64), n: u32, runs: u32) -> (f64, f64) {
    let [low, median, high] = PERCENTILES.map(|p| map(normal::quantile(p)));
    let (min, max) = (low - 0.4 * (median - low), high + 0.3 * (high - median));
    let (cp, cpk) = ((max - min) / (high - low), 1.3);
    let mut g = SplitMix64(7);
    let mut hits = (0, 0);
    for _ in 0..runs {
        let mut sketch = Sketch::new(range.0, range.1, 2000, None).unwrap();
        (0..n).for_each(|_| sketch.add(map(g.score())));
        let got = percentile_formula(
            &sketch,
            Limits {
                min: Some(min),
                max: Some(max),
            },
            0.95,
        );
        let (a, b) = (got.cp.unwrap(), got.cpk.unwrap());
        hits.0 += u32::from(a.low <= cp && cp <= a.high);
        hits.1 += u32::from(b.low <= cpk && cpk <= b.high);
    }
    (
        f64::from(hits.0) / f64::from(runs),
        f64::from(hits.1) / f64::from(runs),
    )
}

/// Name, monotone map of a score, range of the sketch.
type Mapped = (&'static str, fn(f64) -> f64, (f64, f64));

fn check_percentile_formula(n: u32, runs: u32) {
    let shapes: [Mapped; 4] = [
        ("normal", |z| z, (-6.0, 6.0)),
        ("lognormal, g1 1.8", |z| libm::exp(0.5 * z), (0.0, 12.0)),
        ("uniform", normal::below, (0.0, 1.0)),
        (
            "heavy-tailed, g2 1.7",
            |z| z * libm::exp(0.04 * z * z),
            (-12.0, 12.0),
        ),
    ];
    for (name, map, range) in shapes {
        let (cp, cpk) = percentile_coverage(map, range, n, runs);
        println!("n {n}, {runs} runs, {name}: percentile Cp {cp:.4}, Cpk {cpk:.4}");
        let slack = 5.0 * libm::sqrt(0.05 * 0.95 / f64::from(runs));
        assert!(
            cp >= 0.95 - slack && cpk >= 0.95 - slack,
            "{name}: Cp {cp}, Cpk {cpk}"
        );
    }
}

#[test]
fn percentile_interval_covers_any_shape() {
    check_percentile_formula(5000, 200);
    check_percentile_formula(10_000, 100);
}

#[test]
fn percentile_interval_of_a_thousand_values_is_absent_not_wrong() {
    let mut sketch = Sketch::new(0.0, 1.0, 100, None).unwrap();
    let mut g = SplitMix64(1);
    (0..1000).for_each(|_| sketch.add(g.uniform()));
    let limits = Limits {
        min: Some(0.0),
        max: Some(1.0),
    };
    let got = percentile_formula(&sketch, limits, 0.95);
    assert!(got.cp.is_err() && got.cpk.is_err(), "{got:?}");
}

#[test]
#[ignore = "slow: cargo test --release -p capability -- --ignored --nocapture"]
fn percentile_interval_covers_in_the_long_run() {
    check_percentile_formula(5000, 5000);
    check_percentile_formula(10_000, 5000);
    check_percentile_formula(100_000, 1000);
}

/// Exact coverage of the interval of a share: the probability of all counts whose interval holds the chance.
///
/// Sums the binomial itself, by the ratio of neighbours from the most likely count outwards until terms no longer count;
/// weights are scaled by their own sum. Nothing here knows of the beta distribution that the interval is made of.
fn share_coverage(of: u64, chance: f64, confidence: f64) -> f64 {
    let holds = |count: u64| binomial::interval(count, of, confidence).contains(chance);
    if chance == 0.0 || chance == 1.0 {
        return f64::from(u8::from(holds(if chance == 0.0 { 0 } else { of })));
    }
    let odds = chance / (1.0 - chance);
    let peak = (((of + 1) as f64 * chance) as u64).min(of);
    let up = |count: u64| (of - count) as f64 / (count + 1) as f64 * odds;
    let (mut total, mut covered) = (0.0, 0.0);
    let mut take = |count: u64, weight: f64| {
        total += weight;
        covered += if holds(count) { weight } else { 0.0 };
        weight > 1e-18
    };
    let (mut count, mut weight) = (peak, 1.0);
    while take(count, weight) && count < of {
        weight *= up(count);
        count += 1;
    }
    (count, weight) = (peak, 1.0);
    while count > 0 {
        count -= 1;
        weight /= up(count);
        if !take(count, weight) {
            break;
        }
    }
    covered / total
}

#[test]
fn share_interval_covers_exactly_at_every_chance() {
    for of in [1, 10, 100, 1000, 20_000, 1_000_000] {
        for chance in [0.0, 1e-6, 0.01, 0.5, 0.99, 1.0 - 1e-6, 1.0] {
            for confidence in [0.9, 0.95, 0.99] {
                let share = share_coverage(of, chance, confidence);
                println!("{of} trials, chance {chance}, confidence {confidence}: {share:.5}");
                assert!(
                    share >= confidence - 1e-11,
                    "{of} trials, chance {chance}: {share} below {confidence}"
                );
            }
        }
    }
}

#[test]
fn share_interval_does_not_cover_much_more_than_it_says_for_many_trials() {
    let share = share_coverage(20_000, 0.5, 0.95);
    assert!(share < 0.955, "{share}");
}
