//! Counters and sums of very long runs: 1e12 pairings and up to 2^53, the most that a scenario may ask for.
//!
//! A run of `2^53` pairings cannot be waited for, so its counts are made by merging copies: every merge doubles them. The
//! sums of 1e12 pairings are folded chunk by chunk, as many chunks as there are.
//!
//! Why nothing overflows: a scenario asks for at most `2^53` pairings (a larger number is refused when the scenario is read,
//! `tests/bad/number-pairings-huge.toml`). Every count of pairings is a `u64`, which holds 2048 times as much, and up to
//! `2^53` it stays exact as a float. The `u16` counters at work are emptied into `u64` before any can be
//! full: after 65,535 pairings at most. Parts made for inspected pairings are at most 400 to each of them (the most attempts): `3.6e18`, below
//! `2^63 = 9.2e18`.

use capability::binomial;
use capability::covariance::{ChunkSums, FoldedCovariances, Layout, OutputPlace};
use capability::masks::MaskCounts;
use capability::moments::Moments;
use capability::sketch::Sketch;
use capability::sum::Compensated;
use capability::tally::{self, Counts, FoldedSums, Frame, Sums, Totals};

/// Pairings of a chunk of a run.
const CHUNK: usize = 65_536;

/// Chunks of a run of 1e12 pairings.
const CHUNKS: u64 = 15_258_789;

const FRAME: Frame = Frame {
    from: 8.0,
    to: 12.0,
    shift: 10.0,
    atom: Some(10.5),
};

/// Values of one chunk: whole 1024ths from 7.5 to 12.5, skewed, one in eight at the point mass.
fn values() -> Vec<f64> {
    let value = |i: usize| match i % 8 {
        0 => 10.5,
        _ => {
            let share = (i * 40_503 % CHUNK) as f64 / CHUNK as f64;
            ((7.5 + 5.0 * share * share.sqrt()) * 1024.0).floor() / 1024.0
        }
    };
    (0..CHUNK).map(value).collect()
}

fn tallied(values: &[f64]) -> (Sums, Totals) {
    let (mut sums, mut counts, mut totals) =
        (Sums::default(), Counts::default(), Totals::default());
    for block in values.chunks(256) {
        let mut slots = vec![0; block.len()];
        tally::add(block, None, &FRAME, &mut sums, &mut counts, &mut slots);
    }
    counts.drain_into(&mut totals);
    (sums, totals)
}

/// The totals `2^times` times.
fn doubled(totals: &Totals, times: u32) -> Totals {
    (0..times).fold(totals.clone(), |mut sum, _| {
        let part = sum.clone();
        sum.merge(&part);
        sum
    })
}

fn sketch(totals: &Totals) -> Sketch {
    Sketch::from_totals(totals, &FRAME, 7.5, 12.5).unwrap()
}

#[test]
fn bins_count_on_beyond_2_to_32_and_2_to_53_without_loss() {
    let (_, chunk) = tallied(&values());
    assert_eq!(chunk.present(), CHUNK as u64);
    for times in [15, 16, 17, 36, 37, 38, 46] {
        let mut many = doubled(&chunk, times);
        assert_eq!(many.present(), (CHUNK as u64) << times);
        assert_eq!(many.at_atom(), chunk.at_atom() << times);
        assert_eq!(many.below(), chunk.below() << times);
        assert_eq!(many.above(), chunk.above() << times);
        // One more chunk is not lost, in no bin.
        let before = many.clone();
        many.merge(&chunk);
        assert_eq!(many.present(), ((CHUNK as u64) << times) + CHUNK as u64);
        let bins = many.bins().iter().zip(before.bins()).zip(chunk.bins());
        for (bin, ((after, before), one)) in bins.enumerate() {
            assert_eq!(after - before, *one, "bin {bin} of 2^{}", times + 16);
        }
    }
}

#[test]
fn counts_of_a_chunk_are_emptied_at_its_end_so_that_one_bin_passes_2_to_32() {
    // 65,537 chunks of 65,536 values in one bin: 2^32 + 65,536, more than a `u32` holds.
    let (mut sums, mut counts, mut totals) =
        (Sums::default(), Counts::default(), Totals::default());
    let (values, mut slots) = ([9.0; 8], [0; 8]);
    let mut chunk = Totals::default();
    for _ in 0..CHUNK / 8 {
        tally::add(&values, None, &FRAME, &mut sums, &mut counts, &mut slots);
    }
    counts.drain_into(&mut chunk);
    counts.drain_into(&mut chunk);
    assert_eq!(chunk.present(), CHUNK as u64, "emptied once only");
    for _ in 0..=CHUNK {
        totals.merge(&chunk);
    }
    assert_eq!(totals.present(), (1 << 32) + CHUNK as u64);
    assert_eq!(
        totals.bins().iter().max(),
        Some(&((1 << 32) + CHUNK as u64))
    );
}

#[test]
fn quantiles_of_2_to_53_values_are_those_of_the_chunk_they_repeat_to_the_last_bit() {
    // Doubling every count doubles every step of the cumulative count exactly, as long as it is exact: up to 2^53.
    let (_, chunk) = tallied(&values());
    let one = sketch(&chunk);
    for times in [16, 24, 37] {
        let many = sketch(&doubled(&chunk, times));
        assert_eq!(many.total(), (CHUNK as u64) << times);
        for p in [
            0.0, 1e-9, 0.001_35, 0.01, 0.25, 0.5, 0.75, 0.99, 0.998_65, 1.0,
        ] {
            assert_eq!(many.quantile(p), one.quantile(p), "2^{times} chunks, {p}");
        }
        for x in [7.6, 9.0, 10.5, 11.999, 12.4] {
            assert_eq!(many.share_below(x), one.share_below(x), "2^{times}, {x}");
        }
        assert_eq!(many.atom_share(), one.atom_share());
    }
}

#[test]
fn verified_interval_of_a_quantile_has_the_width_of_the_normal_limit_for_1e12_values_and_2_to_53() {
    // Ranks n p -+ 1.959964 sqrt(n p (1 - p)) and one more for their being whole (limit of de Moivre and Laplace).
    let z = 1.959_963_984_540_054;
    for n in [1_000_000_000_000_u64, 1 << 53] {
        for p in [0.001_35, 0.5, 0.998_65] {
            let (r, s) = capability::quantiles::enclosing_ranks(n, p, 0.95).unwrap();
            let centre = n as f64 * p;
            let reach = z * (centre * (1.0 - p)).sqrt();
            // Next term of the expansion: up to (z^2 - 1)/6 and a rank for each end; n p itself is rounded to a rank or two.
            let (below, above) = (centre - r as f64, s as f64 - centre);
            assert!((below - reach).abs() < 4.0, "{n}, {p}: {below}, {reach}");
            assert!((above - reach).abs() < 4.0, "{n}, {p}: {above}, {reach}");
        }
    }
}

#[test]
fn verified_intervals_of_shares_at_1e12_and_2_to_53_trials() {
    // 45 digits (mpmath): at 0 and 1 hit from the closed form of the tails, beyond by integrating the beta density.
    let off = |got: f64, expected: f64| (got - expected).abs() / expected.max(1e-300);
    for (count, of, low, high) in ROWS {
        let got = binomial::interval(count, of, 0.95);
        let (low, high) = (off(got.low, low), off(got.high, high));
        assert!(
            low < 1e-12 && high < 1e-12,
            "{count} of {of}: {low}, {high}"
        );
    }
}

/// Hits, trials, lower and upper end at 95 %.
const ROWS: [(u64, u64, f64, f64); 8] = [
    (0, 1_000_000_000_000, 0.0, 3.688_879_454_107_133e-12),
    (
        1,
        1_000_000_000_000,
        2.531_780_798_428_955_5e-14,
        5.571_643_390_926_163e-12,
    ),
    (
        1_000_000,
        1_000_000_000_000,
        9.980_409_843_173_845e-7,
        1.001_961_910_962_551_5e-6,
    ),
    (0, 1 << 53, 0.0, 4.095_478_905_023_969_7e-16),
    (
        1,
        1 << 53,
        2.810_841_335_719_724_4e-18,
        6.185_766_777_620_946e-16,
    ),
    (
        1_000_000,
        1 << 53,
        1.108_048_079_224_047e-10,
        1.112_401_184_439_141_4e-10,
    ),
    (
        1 << 43,
        1 << 53,
        0.000_976_561_854_953_540_9,
        0.000_976_563_145_046_779_9,
    ),
    (
        1 << 52,
        1 << 53,
        0.499_999_989_674_211_8,
        0.500_000_010_325_788_2,
    ),
];

#[test]
fn masks_count_on_beyond_2_to_53_without_loss() {
    // Sets whose row is found in a table, and those of many limits.
    for high in [7, 1 << 20] {
        let mut counts = MaskCounts::new(1);
        counts.add(&[0, 0, 0, 5, high], &[0; 5]);
        for _ in 0..60 {
            let part = counts.clone();
            counts.merge(&part);
        }
        counts.add(&[5], &[0]);
        let seen: Vec<_> = counts.totals().collect();
        assert_eq!(seen, [(0, 3 << 60), (5, (1 << 60) + 1), (high, 1 << 60)]);
    }
}

#[test]
fn compensated_sum_loses_no_term_beside_one_a_million_million_times_larger() {
    // 2^66 with 2^20 terms of 1 or so: each is below half a unit of the last place of the sum.
    let big = 2.0_f64.powi(66);
    let mut sum = Compensated::default();
    sum.add(big);
    for i in 0..1 << 20 {
        sum.add(if i % 2 == 0 { 1.25 } else { 0.75 });
    }
    let mut plain = big;
    (0..1 << 20).for_each(|_| plain += 1.0);
    assert_eq!(plain, big, "a plain sum takes in nothing");
    sum.add(-big);
    assert_eq!(sum.value(), f64::from(1 << 20));
}

#[test]
fn compensated_sum_of_a_term_2_to_37_times_by_doubling_is_exact() {
    // As many chunks as 2^53 pairings have. 0.1 is no binary fraction: its sum is the double nearest to it, times 2^37.
    let mut sum = Compensated::default();
    sum.add(0.1);
    for _ in 0..37 {
        let part = sum;
        sum.merge(&part);
    }
    assert_eq!(sum.value(), 0.1 * 2.0_f64.powi(37));
}

/// Mean and root of the mean square, skewness and excess kurtosis of the values about their mean, in two passes.
fn shape_of(values: &[f64]) -> [f64; 4] {
    let n = values.len() as f64;
    let mean = Compensated::of(values.iter().copied()) / n;
    let [m2, m3, m4] =
        [2, 3, 4].map(|k| Compensated::of(values.iter().map(|v| (v - mean).powi(k))) / n);
    [mean, m2.sqrt(), m3 / (m2 * m2.sqrt()), m4 / (m2 * m2) - 3.0]
}

fn assert_shape(moments: &Moments, expected: [f64; 4], to: f64, what: &str) {
    let n = moments.n() as f64;
    let got = [
        moments.mean(),
        // About all values, not the sample's: the divisor n - 1 undone.
        moments.sd().map(|sd| sd * ((n - 1.0) / n).sqrt()),
        moments.skewness(),
        moments.excess_kurtosis(),
    ];
    for (place, (got, expected)) in got.into_iter().zip(expected).enumerate() {
        let got = got.unwrap();
        let off = (got - expected).abs() / expected.abs().max(1.0);
        assert!(off <= to, "{what}, moment {}: {got}, {expected}", place + 1);
    }
}

#[test]
fn verified_moments_of_1e12_values_folded_chunk_by_chunk_are_those_of_the_chunk_they_repeat() {
    let values = values();
    let (sums, _) = tallied(&values);
    let mut folded = FoldedSums::default();
    for _ in 0..CHUNKS {
        folded.fold(&sums);
    }
    let n = CHUNKS * CHUNK as u64;
    assert!(n >= 999_999_000_000);
    for (k, sum) in folded.powers().into_iter().enumerate() {
        let exact = sums.power(k + 1) * CHUNKS as f64;
        assert!(
            (sum - exact).abs() <= 2.0 * f64::EPSILON * exact.abs(),
            "power {}: {sum}, {exact}",
            k + 1
        );
    }
    assert_eq!((folded.least(), folded.most()), (7.5, values_most(&values)));
    let moments = Moments::from_shifted_sums(n, FRAME.shift, folded.powers());
    assert_shape(&moments, shape_of(&values), 1e-13, "1e12 values");
}

fn values_most(values: &[f64]) -> f64 {
    values.iter().copied().fold(f64::NEG_INFINITY, f64::max)
}

#[test]
fn verified_merged_moments_of_two_halves_of_2_to_52_values_each_are_those_of_the_whole() {
    let values = values();
    let (left, right) = values.split_at(CHUNK / 2);
    let right: Vec<f64> = right.iter().map(|v| v + 3.0).collect();
    let all: Vec<f64> = left.iter().chain(&right).copied().collect();
    for times in [25, 37, 46] {
        let [mut a, b] = [left, &right].map(|half| {
            let mut moments = Moments::of(half);
            for _ in 0..times {
                let part = moments;
                moments.merge(&part);
            }
            moments
        });
        a.merge(&b);
        assert_eq!(a.n(), (CHUNK as u64) << times);
        assert_shape(&a, shape_of(&all), 1e-13, &format!("2^{times} times"));
    }
}

#[test]
fn verified_covariance_of_1e12_pairings_is_that_of_the_chunk_they_repeat() {
    let x = values();
    let y: Vec<f64> = x
        .iter()
        .zip(0_u32..)
        .map(|(x, i)| 2.0 * x + f64::from(i % 61) / 64.0)
        .collect();
    let layout = Layout {
        inputs: vec![10.0],
        outputs: vec![OutputPlace {
            shift: 20.0,
            absent_bit: 3,
        }],
    };
    let absent: Vec<u32> = (0..CHUNK).map(|i| u32::from(i % 5 == 1) << 3).collect();
    let mut chunk = ChunkSums::new(&layout);
    chunk.add(&layout, &[&x], &[&y], &absent, CHUNK);
    let folded = |chunks: u64| {
        let mut folded = FoldedCovariances::new(&layout);
        (0..chunks).for_each(|_| folded.fold(&chunk));
        folded.relation(0, 0).unwrap()
    };
    let (one, many) = (folded(1), folded(CHUNKS));
    assert_eq!(one.present, 52_429);
    assert_eq!(many.present, 52_429 * CHUNKS);
    let close = |got: Option<f64>, expected: Option<f64>, what| {
        let (got, expected) = (got.unwrap(), expected.unwrap());
        let off = (got / expected - 1.0).abs();
        assert!(off < 1e-13, "{what}: {got}, {expected}");
    };
    close(many.slope, one.slope, "slope");
    close(many.correlation, one.correlation, "correlation");
    // The same sums, times so many chunks, over another n - 1.
    let [n, all] = [one.present, many.present].map(|n| n as f64);
    let divisors = CHUNKS as f64 * (n - 1.0) / (all - 1.0);
    close(
        many.covariance,
        one.covariance.map(|c| c * divisors),
        "covariance",
    );
}
