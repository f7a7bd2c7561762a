//! Whether readings agree with a normal distribution: Anderson-Darling and Shapiro-Wilk.

use capability::moments::Moments;
use distributions::normal;
use record::{Normality, Test};

use super::CHANCE;
use super::chance::test;
use super::words::short;

/// Fewest readings of the Anderson-Darling test.
const FEWEST: usize = 8;

/// Most readings of the Shapiro-Wilk test.
const MOST: usize = 5000;

/// Judges readings that rise: normal when neither test finds a difference beyond chance.
pub(super) fn judged(sorted: &[f64]) -> Normality {
    let (anderson_darling, shapiro_wilk) = (anderson_darling(sorted), shapiro_wilk(sorted));
    let tests = [anderson_darling, shapiro_wilk];
    let smallest = tests.iter().flatten().map(|test| test.p).reduce(f64::min);
    let normal = smallest.is_some_and(|p| p >= CHANCE);
    Normality {
        anderson_darling,
        shapiro_wilk,
        normal,
        words: words(sorted.len(), smallest),
    }
}

fn words(n: usize, smallest: Option<f64>) -> String {
    let Some(p) = smallest else {
        return format!("{n} readings are too few, or too alike, to test their shape.");
    };
    if p < CHANCE {
        return format!(
            "The readings are not normal: a normal process would give such a lot with a chance of {} only.",
            short(p)
        );
    }
    // The skewness of n normal readings scatters with sqrt(6/n): twice that is seen about every second time.
    let seen = short(2.0 * libm::sqrt(6.0 / n as f64));
    format!(
        "Nothing speaks against a normal distribution (smaller p = {}); {n} readings would show a skewness of about {seen} or more, \
         not less, and nothing of the far tails.",
        short(p)
    )
}

/// `A^2 = -n - sum (2 i - 1)(ln F(z_i) + ln(1 - F(z_(n + 1 - i))))/n` with mean and standard deviation of the readings; the
/// probability from `A^2 (1 + 0.75/n + 2.25/n^2)` (R. B. D'Agostino, M. A. Stephens, Goodness-of-Fit Techniques, recalled).
fn anderson_darling(sorted: &[f64]) -> Option<Test> {
    let n = sorted.len();
    let moments = Moments::of(sorted);
    let (mean, sd) = (moments.mean()?, moments.sd().filter(|sd| *sd > 0.0)?);
    if n < FEWEST {
        return None;
    }
    let below = |i: usize| normal::below((sorted[i] - mean) / sd);
    let above = |i: usize| normal::below((mean - sorted[i]) / sd);
    let terms =
        (0..n).map(|i| (2 * i + 1) as f64 * (libm::log(below(i)) + libm::log(above(n - 1 - i))));
    let count = n as f64;
    let statistic = -count - terms.sum::<f64>() / count;
    let a = (statistic * (1.0 + 0.75 / count + 2.25 / (count * count))).min(150.0);
    let p = match a {
        a if a < 0.2 => 1.0 - libm::exp(-13.436 + 101.14 * a - 223.73 * a * a),
        a if a < 0.34 => 1.0 - libm::exp(-8.318 + 42.796 * a - 59.938 * a * a),
        a if a < 0.6 => libm::exp(0.9177 - 4.279 * a - 1.38 * a * a),
        a => libm::exp(1.2937 - 5.709 * a + 0.0186 * a * a),
    };
    test(statistic, p)
}

/// `W = (sum a_i x_i)^2 / sum (x_i - mean)^2` with the weights and the probability of P. Royston (Applied Statistics 44 (1995)
/// 547-551, algorithm R 94, recalled).
fn shapiro_wilk(sorted: &[f64]) -> Option<Test> {
    let n = sorted.len();
    let moments = Moments::of(sorted);
    let sd = moments.sd().filter(|sd| *sd > 0.0)?;
    if !(3..=MOST).contains(&n) {
        return None;
    }
    let weights = weights(n);
    let half = weights.len();
    let contrast: f64 = (0..half)
        .map(|i| weights[i] * (sorted[n - 1 - i] - sorted[i]))
        .sum();
    let w = (contrast * contrast / ((n - 1) as f64 * sd * sd)).min(1.0);
    test(w, chance_of(w, n))
}

/// Weights of the largest readings, largest first; the smallest have the same with the sign turned.
fn weights(n: usize) -> Vec<f64> {
    if n == 3 {
        return vec![libm::sqrt(0.5)];
    }
    let half = n / 2;
    let score = |i: usize| -normal::quantile((i as f64 + 0.625) / (n as f64 + 0.25));
    let scores: Vec<f64> = (0..half).map(score).collect();
    let squares = 2.0 * scores.iter().map(|m| m * m).sum::<f64>();
    let (u, root) = (1.0 / libm::sqrt(n as f64), libm::sqrt(squares));
    let first = polynomial(
        &[0.0, 0.221_157, -0.147_981, -2.071_19, 4.434_685, -2.706_056],
        u,
    ) + scores[0] / root;
    let mut ends = vec![first];
    if n > 5 {
        let second = polynomial(
            &[
                0.0, 0.042_981, -0.293_762, -1.752_461, 5.682_633, -3.582_633,
            ],
            u,
        );
        ends.push(second + scores[1] / root);
    }
    let (mut left, mut taken) = (squares, 1.0);
    for (end, score) in ends.iter().zip(&scores) {
        left -= 2.0 * score * score;
        taken -= 2.0 * end * end;
    }
    let scale = libm::sqrt(left / taken);
    let middle = scores.iter().skip(ends.len()).map(|score| score / scale);
    ends.iter().copied().chain(middle).collect()
}

/// Chance of so small a `W`.
fn chance_of(w: f64, n: usize) -> f64 {
    if n == 3 {
        let p =
            6.0 / std::f64::consts::PI * (libm::asin(libm::sqrt(w)) - libm::asin(libm::sqrt(0.75)));
        return p.max(0.0);
    }
    let (count, off) = (n as f64, libm::log(1.0 - w));
    let (value, mean, sd) = if n <= 11 {
        let end = -2.273 + 0.459 * count;
        if off >= end {
            return 0.0;
        }
        (
            -libm::log(end - off),
            polynomial(&[0.544, -0.399_78, 0.025_054, -6.714e-4], count),
            libm::exp(polynomial(
                &[1.3822, -0.778_57, 0.062_767, -0.002_032_2],
                count,
            )),
        )
    } else {
        let x = libm::log(count);
        (
            off,
            polynomial(&[-1.5861, -0.310_82, -0.083_751, 0.003_891_5], x),
            libm::exp(polynomial(&[-0.4803, -0.082_676, 0.003_030_2], x)),
        )
    };
    normal::below((mean - value) / sd)
}

/// `c0 + c1 x + c2 x^2 ...`
fn polynomial(coefficients: &[f64], x: f64) -> f64 {
    coefficients.iter().rev().fold(0.0, |sum, c| sum * x + c)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verified_tests_agree_with_an_independent_library() {
        // scipy.stats.shapiro; anderson without its correction.
        let cases: [(&[f64], f64, f64, f64); 3] = SCIPY;
        for (readings, w, p, a) in cases {
            let shapiro = shapiro_wilk(readings).expect("a test");
            assert!(
                (shapiro.statistic - w).abs() < 1e-6 && (shapiro.p - p).abs() < 1e-5,
                "{shapiro:?}"
            );
            if let Some(anderson) = anderson_darling(readings) {
                assert!((anderson.statistic - a).abs() < 1e-6, "{anderson:?}");
            }
        }
    }

    #[test]
    fn equal_and_few_readings_are_not_tested() {
        assert_eq!(judged(&[1.0; 20]).shapiro_wilk, None);
        let two = judged(&[1.0, 2.0]);
        assert!(!two.normal && two.shapiro_wilk.is_none());
    }

    #[test]
    fn an_even_lot_of_scores_is_normal_and_an_exponential_one_is_not() {
        let scores: Vec<f64> = (0..60)
            .map(|i| normal::quantile((f64::from(i) + 0.5) / 60.0))
            .collect();
        assert!(judged(&scores).normal);
        let tail: Vec<f64> = (0..60)
            .map(|i| -libm::log1p(-(f64::from(i) + 0.5) / 60.0))
            .collect();
        assert!(!judged(&tail).normal);
    }

    const SCIPY: [(&[f64], f64, f64, f64); 3] = [
        (
            &[
                148.0, 154.0, 158.0, 160.0, 161.0, 162.0, 166.0, 170.0, 182.0, 195.0, 236.0,
            ],
            0.788814695,
            0.006703814,
            0.946771880,
        ),
        (&[1.0, 2.0, 4.0], 0.964285714, 0.636886845, 0.000000000),
        (
            &[
                1.04, 2.45, 2.49, 2.49, 2.54, 2.93, 2.95, 3.02, 3.21, 3.39, 3.4, 3.57, 3.79, 4.51,
                4.73, 4.79, 5.5, 6.14, 7.26, 8.85, 9.96, 10.01, 11.68, 12.59, 13.3,
            ],
            0.848660723,
            0.001661252,
            1.576476389,
        ),
    ];
}
