//! Whether the process was steady: the readings in the order of production.

use capability::moments::{Moments, lag1_autocorrelation};
use capability::quantiles;
use record::{ProductionOrder, Subgroups, Test, Trend};

use super::chance::{t_test, z_test};
use super::characteristic::{points, shifts};
use super::words::short;

/// Fewest readings whose order is judged.
const FEWEST: usize = 12;

/// Fewest readings on either side of the median for the normal law of the number of runs.
const SIDE: usize = 6;

/// Chance below which the order is judged not steady. Two tests at 0.01: a steady process is called something else in 2 of 100
/// studies.
const CHANCE: f64 = 0.01;

/// Judges the order of readings.
pub(super) fn studied(values: &[f64], unit: &str) -> ProductionOrder {
    let (runs, trend) = (runs(values), trend(values));
    let (verdict, words) = judged(values, runs, trend, unit);
    ProductionOrder {
        points: points(values),
        runs,
        trend,
        lag1: lag1_autocorrelation(values).filter(|lag| lag.is_finite()),
        verdict: verdict.to_owned(),
        words,
    }
}

fn judged(
    values: &[f64],
    runs: Option<Test>,
    trend: Option<Trend>,
    unit: &str,
) -> (&'static str, String) {
    let rows = "The rows are taken as the order of production";
    if values.len() < FEWEST || (runs.is_none() && trend.is_none()) {
        let words = format!(
            "{rows}; {} readings are too few, or too alike, to judge it.",
            values.len()
        );
        return ("too_few", words);
    }
    match (trend, runs) {
        (Some(trend), _) if trend.p < CHANCE => (
            "drift",
            format!(
                "{rows}: along it the readings {} by {} {} (by chance: p = {}).",
                if trend.change > 0.0 { "rise" } else { "fall" },
                short(libm::fabs(trend.change)),
                unit,
                short(trend.p)
            )
            .replace("  ", " "),
        ),
        (_, Some(runs)) if runs.p < CHANCE => (
            "shifts",
            format!(
                "{rows}: readings above and below the median {} (runs, p = {}).",
                if runs.statistic < 0.0 {
                    "stand together more than chance gives"
                } else {
                    "take turns more than chance gives"
                },
                short(runs.p)
            ),
        ),
        _ => (
            "steady",
            format!("{rows}: no drift and no shift beyond chance."),
        ),
    }
}

/// Subgroups whose means differ make an order that looked steady one with shifts.
pub(super) fn with_subgroups(order: &mut ProductionOrder, subgroups: Option<&Subgroups>) {
    let differing = subgroups
        .filter(|groups| shifts(groups))
        .and_then(|groups| groups.means_equal);
    if let Some(test) = differing.filter(|_| order.verdict == "steady") {
        order.verdict = "shifts".to_owned();
        order.words = format!(
            "No drift along the rows, but the means of the subgroups differ by more than chance (p = {}).",
            short(test.p)
        );
    }
}

/// Runs above and below the median (A. Wald, J. Wolfowitz, Ann. Math. Stat. 11 (1940) 147-162, recalled), readings at the
/// median left out. With `a` above and `b` below: mean `2ab/(a + b) + 1`, variance `2ab(2ab - a - b)/((a + b)^2 (a + b - 1))`.
/// The statistic is negative when there are few runs.
fn runs(values: &[f64]) -> Option<Test> {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let median = quantiles::of_sorted(&sorted, 0.5)?;
    let sides: Vec<bool> = values
        .iter()
        .filter(|x| **x != median)
        .map(|x| *x > median)
        .collect();
    let above = sides.iter().filter(|side| **side).count();
    if above < SIDE || sides.len() - above < SIDE {
        return None;
    }
    let runs = 1 + sides.windows(2).filter(|pair| pair[0] != pair[1]).count();
    let (a, b) = (above as f64, (sides.len() - above) as f64);
    let (n, twice) = (a + b, 2.0 * a * b);
    let variance = twice * (twice - n) / (n * n * (n - 1.0));
    z_test((runs as f64 - twice / n - 1.0) / libm::sqrt(variance))
}

/// The straight line through readings against their place, and Student's test of its slope.
fn trend(values: &[f64]) -> Option<Trend> {
    let n = values.len();
    let mean = Moments::of(values).mean().filter(|_| n > 2)?;
    let middle = 0.5 * (n - 1) as f64;
    let (mut xy, mut xx, mut yy) = (0.0, 0.0, 0.0);
    for (i, value) in values.iter().enumerate() {
        let (x, y) = (i as f64 - middle, value - mean);
        xy += x * y;
        xx += x * x;
        yy += y * y;
    }
    let freedom = (n - 2) as f64;
    let left = yy - xy * xy / xx;
    if !(yy > 0.0) {
        return None;
    }
    let slope = xy / xx;
    let p = if left > 1e-12 * yy {
        t_test(slope / libm::sqrt(left / freedom / xx), freedom)?.p
    } else {
        0.0
    };
    Some(Trend {
        change: slope * (n - 1) as f64,
        p,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_rising_lot_drifts_and_two_levels_shift() {
        let rising: Vec<f64> = (0..40)
            .map(|i| f64::from(i) + f64::from(i * 7 % 5))
            .collect();
        let got = studied(&rising, "um");
        assert_eq!(got.verdict, "drift");
        assert!(got.trend.expect("a trend").change > 35.0);
        let levels: Vec<f64> = (0..36)
            .map(|i| f64::from(u8::from(i / 12 % 2 == 0)) * 10.0 + f64::from(i * 7 % 5))
            .collect();
        assert_eq!(studied(&levels, "um").verdict, "shifts");
    }

    #[test]
    fn few_or_equal_readings_are_not_judged() {
        assert_eq!(studied(&[1.0, 2.0, 3.0], "").verdict, "too_few");
        assert_eq!(studied(&[1.0; 50], "").verdict, "too_few");
        assert_eq!(studied(&[], "").verdict, "too_few");
    }

    #[test]
    fn verified_runs_by_hand() {
        // Twelve readings, six above and six below, in twelve runs: mean 7, variance 72 * 60/(144 * 11).
        let turns: Vec<f64> = (0..12).map(|i| f64::from(i % 2)).collect();
        let got = runs(&turns).expect("a test");
        assert!((got.statistic - 5.0 / libm::sqrt(72.0 * 60.0 / (144.0 * 11.0))).abs() < 1e-12);
    }
}
