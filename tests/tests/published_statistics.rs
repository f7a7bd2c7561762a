//! Published results about capability, counted shares and distributions (`published/statistics_*.csv`), and the reference
//! data sets of NIST (`published/strd/`). The source stands beside each row.

use capability::binomial;
use capability::index::{
    Limits, measured_cp_interval, measured_cpk_interval, measured_lower_bound, normal_formula,
    percentile_formula,
};
use capability::moments::{Moments, lag1_autocorrelation};
use capability::sketch::Sketch;
use distributions::{
    Lognormal, Shape, Triangular, TruncatedNormal, Uniform, beta, gamma, noncentral_t, normal,
};

/// One published number.
struct Row {
    id: String,
    check: String,
    inputs: Vec<f64>,
    expected: f64,
    tolerance: f64,
    source: String,
}

fn rows(table: &str) -> Vec<Row> {
    let mut reader = csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .from_reader(table.as_bytes());
    let number = |text: &str| {
        text.parse::<f64>()
            .unwrap_or_else(|_| panic!("not a number: {text:?}"))
    };
    reader
        .records()
        .map(|record| {
            let record = record.expect("a row of seven fields");
            Row {
                id: record[0].to_owned(),
                check: record[1].to_owned(),
                inputs: record[2].split(' ').map(number).collect(),
                expected: number(&record[3]),
                tolerance: number(&record[4]),
                source: format!("{} ({})", &record[5], &record[6]),
            }
        })
        .collect()
}

/// Runs every row; reports all that fail, not only the first.
fn verify(table: &str, count: usize, compute: fn(&str, &[f64]) -> f64) {
    let rows = rows(table);
    let failures: Vec<String> = rows
        .iter()
        .filter_map(|row| {
            let got = compute(&row.check, &row.inputs);
            let holds = (got - row.expected).abs() <= row.tolerance;
            (!holds).then(|| {
                format!(
                    "{} {} {:?}: expected {}, got {got}, tolerance {:e}; {}",
                    row.id, row.check, row.inputs, row.expected, row.tolerance, row.source
                )
            })
        })
        .collect();
    assert!(
        failures.is_empty(),
        "{} of {} rows fail:\n{}",
        failures.len(),
        rows.len(),
        failures.join("\n")
    );
    assert_eq!(rows.len(), count, "every row must be read");
}

/// Moments of a sample with this mean and sample standard deviation, symmetric, of 100 values.
fn moments(mean: f64, sd: f64) -> Moments {
    let m2 = 99.0 * sd * sd;
    Moments::from_shifted_sums(100, mean, [0.0, m2, 0.0, 3.0 * m2 * m2 / 100.0])
}

/// Percentile indices of a Weibull shape, scale 1, from its quantiles at 1/n, 2/n, ...; n is such that the three quantiles of
/// the index are among them, so what is left is the width of a bin, 2e-6.
fn weibull(shape: f64, limits: Limits) -> (Option<f64>, f64) {
    let n = 200_000;
    let mut sketch = Sketch::new(0.0, 4.0, 2_000_000, None).expect("a valid layout");
    for i in 1..=n {
        let p = f64::from(i).min(f64::from(n) - 0.5) / f64::from(n);
        sketch.add(libm::pow(-libm::log1p(-p), 1.0 / shape));
    }
    let indices = percentile_formula(&sketch, limits, 0.95);
    (
        indices.cp.ok().map(|cp| cp.value),
        indices.cpk.expect("a limit").value,
    )
}

fn capability_check(check: &str, x: &[f64]) -> f64 {
    let both = |min: f64, max: f64| Limits {
        min: Some(min),
        max: Some(max),
    };
    let (from, to) = (
        |min: f64| Limits {
            min: Some(min),
            max: None,
        },
        |max: f64| Limits {
            min: None,
            max: Some(max),
        },
    );
    let sample = |limits: Limits| normal_formula(&moments(x[0], x[1]), limits, 0.95);
    match check {
        // Mean, standard deviation, lower limit, upper limit.
        "cp" => sample(both(x[2], x[3])).cp.unwrap().value,
        "cpk" => sample(both(x[2], x[3])).cpk.unwrap().value,
        "cpu" => sample(to(x[3])).cpk.unwrap().value,
        "cpl" => sample(from(x[2])).cpk.unwrap().value,
        // Index, number of readings, confidence.
        "cp_low" => measured_cp_interval(x[0], x[1] as u64, x[2]).unwrap().low,
        "cp_high" => measured_cp_interval(x[0], x[1] as u64, x[2]).unwrap().high,
        "cpk_low" => measured_cpk_interval(x[0], x[1] as u64, x[2]).unwrap().low,
        "cpk_high" => measured_cpk_interval(x[0], x[1] as u64, x[2]).unwrap().high,
        "lower_bound" => measured_lower_bound(x[0], x[1] as u64, x[2]).unwrap(),
        // Number of readings, content, confidence: mean + k s covers the content with the confidence.
        "tolerance_factor" => {
            let root_n = x[0].sqrt();
            let delta = normal::quantile(x[1]) * root_n;
            rising_root(0.0, 20.0, |k| {
                noncentral_t::below(k * root_n, x[0] - 1.0, delta) - x[2]
            })
        }
        // Shape, lower limit, upper limit.
        "weibull_cp" => weibull(x[0], both(x[1], x[2])).0.unwrap(),
        "weibull_cpu" => weibull(x[0], to(x[2])).1,
        "weibull_cpl" => weibull(x[0], from(x[1])).1,
        // Index.
        "ppm_two_sided" => 2e6 * normal::below(-3.0 * x[0]),
        "ppm_one_sided" => 1e6 * normal::below(-3.0 * x[0]),
        "ppm_shifted" => 1e6 * normal::below(1.5 - 3.0 * x[0]),
        "chi_square" => gamma::chi_square_quantile(x[0], x[1]),
        // Number of readings: mean range of standard-normal readings, the integral of 1 - Phi^n - (1 - Phi)^n.
        "d2" => {
            let n = x[0] as i32;
            simpson(-9.0, 9.0, |z| {
                1.0 - normal::below(z).powi(n) - normal::below(-z).powi(n)
            })
        }
        // Number of readings: mean of s over sigma, the integral of P(s/sigma > u) = P(chi-square > (n - 1) u^2).
        "c4" => {
            let half = 0.5 * (x[0] - 1.0);
            simpson(0.0, 9.0, |u| gamma::above(half * u * u, half))
        }
        _ => panic!("no check is called {check:?}"),
    }
}

fn share_check(check: &str, x: &[f64]) -> f64 {
    match check {
        // Hits, trials, confidence.
        "share_low" => binomial::interval(x[0] as u64, x[1] as u64, x[2]).low,
        "share_high" => binomial::interval(x[0] as u64, x[1] as u64, x[2]).high,
        // Share to be demonstrated, one-sided confidence: smallest number of trials without a failure.
        "zero_failure_size" => {
            let two_sided = 1.0 - 2.0 * (1.0 - x[1]);
            let size = (1..100_000).find(|&n| binomial::interval(0, n, two_sided).high < x[0]);
            size.expect("a size below 100 000") as f64
        }
        // Sample size, acceptance number, share of rejects: probability of acceptance.
        "accept" => beta::above(x[2], x[1] + 1.0, x[0] - x[1]),
        _ => panic!("no check is called {check:?}"),
    }
}

fn distribution_check(check: &str, x: &[f64]) -> f64 {
    let truncated = || TruncatedNormal::new(0.0, 1.0, x[0], x[1]).unwrap();
    // exp(s Z): mean exp(s^2/2), variance mean^2 (exp(s^2) - 1).
    let lognormal = |s: f64| {
        let mean = libm::exp(0.5 * s * s);
        Lognormal::with_moments(mean, mean * libm::sqrt(libm::expm1(s * s)), 0.0).unwrap()
    };
    match check {
        "normal_quantile" => normal::quantile(x[0]),
        "normal_above" => normal::below(-x[0]),
        "normal_between" => normal::below(x[1]) - normal::below(x[0]),
        // Lower end, upper end.
        "truncated_mean" => truncated().mean(),
        "truncated_variance" => truncated().sd().powi(2),
        // Probability, shapes.
        "beta_quantile" => beta::quantile(x[0], x[1], x[2]),
        // Probability, standard deviation of the logarithm.
        "lognormal_quantile" => lognormal(x[1]).quantile(x[0]),
        "lognormal_mean" => lognormal(x[0]).mean(),
        "lognormal_variance" => lognormal(x[0]).sd().powi(2),
        "triangular_variance" => Triangular::new(x[0], x[1], x[2]).unwrap().sd().powi(2),
        "uniform_variance" => Uniform::new(x[0], x[1]).unwrap().sd().powi(2),
        // Probability above one half, degrees of freedom; by the beta distribution of nu/(nu + t^2).
        "t_quantile" => {
            let b = beta::quantile(2.0 * (1.0 - x[0]), 0.5 * x[1], 0.5);
            (x[1] * (1.0 - b) / b).sqrt()
        }
        "chi_square" => gamma::chi_square_quantile(x[0], x[1]),
        _ => panic!("no check is called {check:?}"),
    }
}

/// Integral by Simpson's rule on 20 000 equal steps.
fn simpson(from: f64, to: f64, f: impl Fn(f64) -> f64) -> f64 {
    let steps = 20_000;
    let width = (to - from) / f64::from(steps);
    let weight = |i: i32| match i {
        _ if i == 0 || i == steps => 1.0,
        _ if i % 2 == 1 => 4.0,
        _ => 2.0,
    };
    let sum: f64 = (0..=steps)
        .map(|i| weight(i) * f(from + width * f64::from(i)))
        .sum();
    sum * width / 3.0
}

fn rising_root(mut low: f64, mut high: f64, f: impl Fn(f64) -> f64) -> f64 {
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if f(middle) < 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

#[test]
fn verified_capability_indices_and_their_intervals() {
    verify(
        include_str!("../published/statistics_capability.csv"),
        92,
        capability_check,
    );
}

#[test]
fn verified_intervals_of_counted_shares() {
    verify(
        include_str!("../published/statistics_shares.csv"),
        27,
        share_check,
    );
}

#[test]
fn verified_quantiles_tails_and_moments_of_distributions() {
    verify(
        include_str!("../published/statistics_distributions.csv"),
        43,
        distribution_check,
    );
}

/// Log relative error: number of digits that agree, 15 at most.
fn digits(got: f64, certified: f64) -> f64 {
    let difference = (got - certified).abs();
    if difference == 0.0 {
        15.0
    } else {
        (-libm::log10(difference / certified.abs())).min(15.0)
    }
}

/// A reference data set of NIST: certified values on top, readings below.
struct ReferenceSet {
    certified: [f64; 4],
    readings: Vec<f64>,
}

impl ReferenceSet {
    fn read(text: &str) -> Self {
        let certified = ["n", "mean", "sample_sd", "lag1_autocorrelation"].map(|name| {
            let line = text.lines().find_map(|line| {
                line.strip_prefix("# ")?
                    .strip_prefix(name)?
                    .strip_prefix(' ')
            });
            line.and_then(|value| value.trim().parse().ok())
                .unwrap_or_else(|| panic!("no certified {name}"))
        });
        let readings = text
            .lines()
            .filter(|line| !line.starts_with('#') && !line.trim().is_empty());
        Self {
            certified,
            readings: readings
                .map(|line| line.trim().parse().expect("a reading"))
                .collect(),
        }
    }
}

/// Name, data, and the digits asked of mean, standard deviation and lag-1 autocorrelation. Where fewer than 13 are asked, the
/// readings themselves do not carry more in double precision (1000000.1 is off by 2e-11, 10000000.1 by 4e-10).
const REFERENCE_SETS: [(&str, &str, [f64; 3]); 9] = [
    (
        "Lew",
        include_str!("../published/strd/Lew.txt"),
        [14.0, 13.0, 13.0],
    ),
    (
        "Lottery",
        include_str!("../published/strd/Lottery.txt"),
        [14.0, 13.0, 13.0],
    ),
    (
        "Mavro",
        include_str!("../published/strd/Mavro.txt"),
        [14.0, 13.0, 13.0],
    ),
    (
        "Michelso",
        include_str!("../published/strd/Michelso.txt"),
        [14.0, 13.0, 13.0],
    ),
    (
        "NumAcc1",
        include_str!("../published/strd/NumAcc1.txt"),
        [14.0, 15.0, 15.0],
    ),
    (
        "NumAcc2",
        include_str!("../published/strd/NumAcc2.txt"),
        [14.0, 14.0, 14.0],
    ),
    (
        "NumAcc3",
        include_str!("../published/strd/NumAcc3.txt"),
        [14.0, 9.0, 9.0],
    ),
    (
        "NumAcc4",
        include_str!("../published/strd/NumAcc4.txt"),
        [14.0, 8.0, 8.0],
    ),
    (
        "PiDigits",
        include_str!("../published/strd/PiDigits.txt"),
        [14.0, 13.0, 13.0],
    ),
];

#[test]
fn verified_mean_spread_and_autocorrelation_of_all_nine_nist_reference_sets() {
    let mut short = Vec::new();
    for (name, text, asked) in REFERENCE_SETS {
        let ReferenceSet {
            certified,
            readings,
        } = ReferenceSet::read(text);
        assert_eq!(
            readings.len() as f64,
            certified[0],
            "{name}: number of readings"
        );
        let moments = Moments::of(&readings);
        let got = [
            moments.mean(),
            moments.sd(),
            lag1_autocorrelation(&readings),
        ]
        .map(|value| value.expect("a value"));
        for (i, quantity) in ["mean", "standard deviation", "lag-1 autocorrelation"]
            .into_iter()
            .enumerate()
        {
            let reached = digits(got[i], certified[i + 1]);
            println!("{name} {quantity}: {reached:.1} digits");
            if reached < asked[i] {
                short.push(format!(
                    "{name} {quantity}: {reached:.2} digits, asked {}: got {}",
                    asked[i], got[i]
                ));
            }
        }
    }
    assert!(short.is_empty(), "{}", short.join("\n"));
}
