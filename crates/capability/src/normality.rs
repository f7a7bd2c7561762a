//! Whether readings agree with a normal distribution of unknown mean and spread.

use distributions::normal;

use crate::moments::Moments;
use crate::test::Test;

/// Fewest readings of the Anderson-Darling test: its probabilities were worked out from 8 on.
const FEWEST: usize = 8;

/// Readings between which the probabilities of the Shapiro-Wilk test were worked out.
const ROYSTON: std::ops::RangeInclusive<usize> = 3..=5000;

/// Anderson and Darling's test, which gives the tails weight.
///
/// ```text
/// A^2 = -n - (1/n) sum over i = 1..n of (2 i - 1) (ln Phi(z_i) + ln Phi(-z_(n + 1 - i))),   z_i = (x_i - mean)/s
/// ```
///
/// with the readings `x_i` rising, their mean and their standard deviation `s` (divisor `n - 1`). `statistic` is `A^2`
/// itself; `p` is that of `A^2 (1 + 0.75/n + 2.25/n^2)` by the four exponentials of R. B. D'Agostino and M. A. Stephens
/// (Goodness-of-Fit Techniques, 1986, table 4.9, recalled), good to about the third digit between 0.001 and 0.9 and only an
/// order of size beyond. Any order of the readings. None below 8 readings or without spread. A coarse gauge (few distinct
/// readings) raises `A^2` also where the process is normal.
pub fn anderson_darling(readings: &[f64]) -> Option<Test> {
    let n = readings.len();
    if n < FEWEST {
        return None;
    }
    let scores = rising_scores(readings)?;
    let terms = scores.iter().zip(scores.iter().rev()).enumerate();
    let sum: f64 = terms
        .map(|(i, (low, high))| (2 * i + 1) as f64 * (log_below(*low) + log_below(-high)))
        .sum();
    let n = n as f64;
    let statistic = -n - sum / n;
    Test::of(
        statistic,
        stephens(statistic * (1.0 + 0.75 / n + 2.25 / (n * n))),
    )
}

/// Readings less their mean, over their standard deviation, rising. None without a spread that a number carries.
fn rising_scores(readings: &[f64]) -> Option<Vec<f64>> {
    let moments = Moments::of(readings);
    let (mean, sd) = (moments.mean()?, moments.sd()?);
    if !(sd > 0.0 && sd.is_finite()) {
        return None;
    }
    let mut scores: Vec<f64> = readings.iter().map(|x| (x - mean) / sd).collect();
    scores.sort_by(f64::total_cmp);
    Some(scores)
}

/// `ln Phi(z)`, also where `Phi(z)` is too small for a number.
///
/// Beyond 30 standard deviations by Mills' series `Phi(-x) = phi(x)/x (1 - 1/x^2 + 3/x^4 - ...)`, good to 2e-11 there.
fn log_below(z: f64) -> f64 {
    if z > 0.0 {
        libm::log1p(-normal::below(-z))
    } else if z > -30.0 {
        libm::log(normal::below(z))
    } else {
        let inverse = 1.0 / (z * z);
        let series = inverse * (-1.0 + inverse * (3.0 - 15.0 * inverse));
        -0.5 * z * z - libm::log(-z) - 0.5 * libm::log(std::f64::consts::TAU) + libm::log1p(series)
    }
}

/// Probability of a larger corrected `A^2` of normal readings whose mean and spread are estimated.
fn stephens(a: f64) -> f64 {
    // The last exponential turns up again at 153, where the probability is far below what a number carries in any use.
    let a = a.min(150.0);
    match a {
        _ if a < 0.2 => 1.0 - libm::exp(-13.436 + 101.14 * a - 223.73 * a * a),
        _ if a < 0.34 => 1.0 - libm::exp(-8.318 + 42.796 * a - 59.938 * a * a),
        _ if a < 0.6 => libm::exp(0.9177 - 4.279 * a - 1.38 * a * a),
        _ => libm::exp(1.2937 - 5.709 * a + 0.0186 * a * a),
    }
}

/// Shapiro and Wilk's test, which sees most kinds of departure with few readings.
///
/// ```text
/// W = (sum a_i x_i)^2 / sum (x_i - mean)^2
/// ```
///
/// with the readings `x_i` rising; small `W` speaks against the normal. Weights `a_i` and `p` by P. Royston (Applied
/// Statistics 44 (1995) 547-551, algorithm R 94, recalled): exact for 3 readings, fitted to simulations from 4 to 5000. Any
/// order of the readings. None outside 3 to 5000 readings or without spread.
pub fn shapiro_wilk(readings: &[f64]) -> Option<Test> {
    let n = readings.len();
    if !ROYSTON.contains(&n) {
        return None;
    }
    let scores = rising_scores(readings)?;
    let weights = weights(n);
    // W is the square of the correlation r of readings and weights, both of length 1 about 0: 1 - r is half the squared
    // distance between them, which keeps its digits where W is nearly 1.
    let length = libm::sqrt(scores.iter().map(|z| z * z).sum());
    let apart: f64 = (0..n)
        .map(|i| weight(&weights, i, n) - scores[i] / length)
        .map(|d| d * d)
        .sum();
    let short = (0.5 * apart).clamp(0.0, 1.0);
    let off = short * (2.0 - short);
    Test::of(1.0 - off, royston(off, n))
}

/// Weight of reading `i` of `n`, rising, from the weights of the upper half, largest reading first.
fn weight(upper: &[f64], i: usize, n: usize) -> f64 {
    let mirrored = n - 1 - i;
    match (upper.get(i), upper.get(mirrored)) {
        (Some(weight), _) => -weight,
        (_, Some(weight)) => *weight,
        _ => 0.0,
    }
}

/// Weights of the largest readings, largest first, up to the middle; the smallest have the same with the sign turned.
///
/// The scores `m_i = Phi^-1((i - 3/8)/(n + 1/4))` over their length, but for the outermost one (up to 5 readings) or two,
/// which polynomials in `1/sqrt(n)` correct; the others are scaled so that all squares add to 1.
fn weights(n: usize) -> Vec<f64> {
    if n == 3 {
        return vec![std::f64::consts::FRAC_1_SQRT_2];
    }
    let count = n as f64;
    let scores: Vec<f64> = (0..n / 2)
        .map(|i| normal::upper_quantile((i as f64 + 0.625) / (count + 0.25)))
        .collect();
    let squares = 2.0 * scores.iter().map(|m| m * m).sum::<f64>();
    let (u, length) = (1.0 / libm::sqrt(count), libm::sqrt(squares));
    let corrections: &[[f64; 5]] = if n <= 5 {
        &OUTERMOST[..1]
    } else {
        &OUTERMOST[..]
    };
    let ends: Vec<f64> = corrections
        .iter()
        .zip(&scores)
        .map(|(correction, score)| u * polynomial(correction, u) + score / length)
        .collect();
    let (mut left, mut taken) = (squares, 1.0);
    for (end, score) in ends.iter().zip(&scores) {
        left -= 2.0 * score * score;
        taken -= 2.0 * end * end;
    }
    let scale = libm::sqrt(taken / left);
    let inner = scores.iter().skip(ends.len()).map(|score| score * scale);
    ends.iter().copied().chain(inner).collect()
}

/// What the weights of the largest and the second largest reading gain, by powers of `u = 1/sqrt(n)` from the first on.
const OUTERMOST: [[f64; 5]; 2] = [
    [0.221_157, -0.147_981, -2.071_190, 4.434_685, -2.706_056],
    [0.042_981, -0.293_762, -1.752_461, 5.682_633, -3.582_633],
];

/// Probability of so large an `off = 1 - W`, or a larger one, of normal readings.
fn royston(off: f64, n: usize) -> f64 {
    if n == 3 {
        // asin(sqrt(W)) - asin(sqrt(3/4)), with asin(sqrt(1 - off)) = pi/2 - asin(sqrt(off)); W is at least 3/4.
        let angle = std::f64::consts::FRAC_PI_6 - libm::asin(libm::sqrt(off));
        return (6.0 / std::f64::consts::PI * angle).max(0.0);
    }
    if off <= 0.0 {
        return 1.0;
    }
    let (count, log) = (n as f64, libm::log(off));
    if n > 11 {
        let x = libm::log(count);
        let mean = polynomial(&[-1.5861, -0.310_82, -0.083_751, 0.003_891_5], x);
        let sd = libm::exp(polynomial(&[-0.4803, -0.082_676, 0.003_030_2], x));
        return normal::below((mean - log) / sd);
    }
    let end = -2.273 + 0.459 * count;
    if log >= end {
        return 0.0;
    }
    let mean = polynomial(&[0.5440, -0.399_78, 0.025_054, -0.000_671_4], count);
    let sd = libm::exp(polynomial(
        &[1.3822, -0.778_57, 0.062_767, -0.002_032_2],
        count,
    ));
    normal::below((mean + libm::log(end - log)) / sd)
}

/// `c0 + c1 x + c2 x^2 + ...`
fn polynomial(coefficients: &[f64], x: f64) -> f64 {
    coefficients.iter().rev().fold(0.0, |sum, c| sum * x + c)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verified_three_readings_have_a_closed_form() {
        // W = (x3 - x1)^2 / (2 sum (x - mean)^2): of 0, 1, 3 it is 9/(2 * 14/3) = 27/28, p = 6/pi (asin sqrt W - pi/3).
        let got = shapiro_wilk(&[3.0, 0.0, 1.0]).unwrap();
        let p = 6.0 / std::f64::consts::PI
            * (libm::asin(libm::sqrt(27.0 / 28.0)) - std::f64::consts::FRAC_PI_3);
        assert!((got.statistic - 27.0 / 28.0).abs() < 1e-15, "{got:?}");
        assert!((got.p - p).abs() < 1e-14, "{got:?}, {p}");
        let even = shapiro_wilk(&[1.0, 2.0, 3.0]).unwrap();
        assert!((even.p - 1.0).abs() < 1e-7, "{even:?}");
        // Two equal readings are as far from the normal as three can be: W = 3/4.
        let pair = shapiro_wilk(&[1.0, 1.0, 3.0]).unwrap();
        assert!(
            (pair.statistic - 0.75).abs() < 1e-15 && pair.p < 1e-14,
            "{pair:?}"
        );
    }

    #[test]
    fn the_weights_have_length_one() {
        for n in 3..=200 {
            let upper = weights(n);
            let square: f64 = (0..n).map(|i| weight(&upper, i, n)).map(|a| a * a).sum();
            assert!((square - 1.0).abs() < 1e-14, "n {n}: {square}");
            assert!(upper.windows(2).all(|w| w[0] > w[1]), "n {n}: {upper:?}");
        }
    }

    #[test]
    fn the_logarithm_of_a_tail_is_smooth_where_its_series_takes_over() {
        let (inside, outside) = (log_below(-30.0 + 1e-9), log_below(-30.0 - 1e-9));
        // The slope there is -z, nearly: 2e-9 apart means 6e-8.
        assert!((inside - outside - 60.066e-9).abs() < 1e-9);
        assert!(log_below(-100.0) < -5000.0 && log_below(100.0) == 0.0);
    }

    #[test]
    fn a_single_reading_far_from_many_gives_numbers() {
        let mut readings: Vec<f64> = (0..5000).map(|i| f64::from(i % 10) * 1e-6).collect();
        readings[7] = 1e9;
        let (a, w) = (
            anderson_darling(&readings).unwrap(),
            shapiro_wilk(&readings).unwrap(),
        );
        assert!(a.statistic > 1000.0 && a.p < 1e-100, "{a:?}");
        assert!(w.statistic < 0.01 && w.p < 1e-20, "{w:?}");
    }

    #[test]
    fn few_equal_and_uncarried_readings_are_not_tested() {
        for readings in [&[1.0; 20][..], &[], &[1.0, 2.0], &[0.0, 1e-300, 3e-300]] {
            assert_eq!(shapiro_wilk(readings), None, "{readings:?}");
            assert_eq!(anderson_darling(readings), None, "{readings:?}");
        }
        let huge: Vec<f64> = (0..9).map(|i| f64::from(i % 2) * 1e300).collect();
        assert_eq!((anderson_darling(&huge), shapiro_wilk(&huge)), (None, None));
        let many = vec![0.5; 5001];
        assert_eq!(shapiro_wilk(&many), None);
    }

    #[test]
    fn an_even_lot_of_scores_is_normal_and_an_exponential_one_is_not() {
        let at = |i: i32| (f64::from(i) + 0.5) / 60.0;
        let scores: Vec<f64> = (0..60).map(|i| normal::quantile(at(i))).collect();
        let tail: Vec<f64> = (0..60).map(|i| -libm::log1p(-at(i))).collect();
        for test in [anderson_darling, shapiro_wilk] {
            assert!(test(&scores).is_some_and(|test| test.p > 0.9));
            assert!(test(&tail).is_some_and(|test| test.p < 0.001));
        }
    }
}
