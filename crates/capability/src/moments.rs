//! Mean, spread, skewness and kurtosis of readings, mergeable without loss.

use crate::sum::Compensated;

/// Number of values, their mean, and the sums of the second to fourth power of the deviations from it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Moments {
    n: u64,
    mean: f64,
    m2: f64,
    m3: f64,
    m4: f64,
}

/// A second central sum below this part of the raw one is rounding, not spread.
const ROUNDING: f64 = 1e-11;

impl Moments {
    /// No values yet.
    pub const NONE: Self = Self {
        n: 0,
        mean: 0.0,
        m2: 0.0,
        m3: 0.0,
        m4: 0.0,
    };

    /// Moments of readings, in two compensated passes.
    ///
    /// The first takes deviations from the first reading (exact when the readings share their leading digits), the second
    /// deviations from the mean held in two numbers. Right to the digits that the readings themselves carry.
    pub fn of(readings: &[f64]) -> Self {
        let Some(&first) = readings.first() else {
            return Self::NONE;
        };
        let n = readings.len() as f64;
        let shift = Compensated::of(readings.iter().map(|x| x - first)) / n;
        let mean = first + shift;
        // What rounding the mean to one number left out.
        let rest = (first - mean) + shift;
        let sum_of = |power: fn(f64) -> f64| {
            Compensated::of(readings.iter().map(|x| power((x - mean) - rest)))
        };
        Self {
            n: readings.len() as u64,
            mean,
            m2: sum_of(|d| d * d),
            m3: sum_of(|d| d * d * d),
            m4: sum_of(|d| (d * d) * (d * d)),
        }
    }

    /// Moments from the sums of the first to fourth power of the deviations from `shift`.
    ///
    /// With `a = sums[0] / n`: `m2 = s2 - a s1`, `m3 = s3 - 3 a s2 + 2 a^2 s1`, `m4 = s4 - 4 a s3 + 6 a^2 s2 - 3 a^3 s1`.
    /// `shift` must lie near the mean, within a few standard deviations, or digits cancel: at `k` standard deviations
    /// from it the second sum loses a factor of about `1 + k^2`. A spread below 3e-6 of that distance counts as none.
    pub fn from_shifted_sums(n: u64, shift: f64, sums: [f64; 4]) -> Self {
        if n == 0 {
            return Self::NONE;
        }
        let [s1, s2, s3, s4] = sums;
        let a = s1 / n as f64;
        let mean = shift + a;
        let m2 = s2 - a * s1;
        if m2 <= ROUNDING * s2 {
            return Self {
                n,
                mean,
                m2: 0.0,
                m3: 0.0,
                m4: 0.0,
            };
        }
        Self {
            n,
            mean,
            m2,
            m3: s3 - 3.0 * a * s2 + 2.0 * a * a * s1,
            m4: s4 - 4.0 * a * s3 + 6.0 * a * a * s2 - 3.0 * a * a * a * s1,
        }
    }

    /// Takes in the moments of further values.
    ///
    /// Pairwise update of central sums (P. Pebay, SAND2008-6212, recalled). The bits depend on the order of merging:
    /// merge in a fixed order.
    pub fn merge(&mut self, other: &Self) {
        if self.n == 0 || other.n == 0 {
            if self.n == 0 {
                *self = *other;
            }
            return;
        }
        let (na, nb) = (self.n as f64, other.n as f64);
        let n = na + nb;
        let d = other.mean - self.mean;
        let cross = d * d * (na / n * nb);
        let (wa, wb) = (na / n, nb / n);
        let m4 = self.m4
            + other.m4
            + cross * d * d * (wa * wa - wa * wb + wb * wb)
            + 6.0 * d * d * (wa * wa * other.m2 + wb * wb * self.m2)
            + 4.0 * d * (wa * other.m3 - wb * self.m3);
        let m3 =
            self.m3 + other.m3 + cross * d * (wa - wb) + 3.0 * d * (wa * other.m2 - wb * self.m2);
        *self = Self {
            n: self.n + other.n,
            mean: self.mean + d * wb,
            m2: self.m2 + other.m2 + cross,
            m3,
            m4,
        };
    }

    /// Number of values.
    pub fn n(&self) -> u64 {
        self.n
    }

    /// Arithmetic mean; none without values.
    pub fn mean(&self) -> Option<f64> {
        (self.n > 0).then_some(self.mean)
    }

    /// Sample standard deviation, divisor `n - 1`; none below two values.
    pub fn sd(&self) -> Option<f64> {
        (self.n > 1).then(|| libm::sqrt(self.m2 / (self.n - 1) as f64))
    }

    /// Skewness `g1 = (m3 / n) / (m2 / n)^(3/2)`; none below two values or without spread.
    pub fn skewness(&self) -> Option<f64> {
        let variance = self.variance_over_n()?;
        Some(self.m3 / self.n as f64 / (variance * libm::sqrt(variance)))
    }

    /// Excess kurtosis `g2 = (m4 / n) / (m2 / n)^2 - 3`; none below two values or without spread.
    pub fn excess_kurtosis(&self) -> Option<f64> {
        let variance = self.variance_over_n()?;
        Some(self.m4 / self.n as f64 / (variance * variance) - 3.0)
    }

    /// `m2 / n` when there is a spread to speak of: one whose square a number still carries in full, about 1e-77 to 1e77
    /// of the unit, so that neither skewness nor kurtosis becomes `0 / 0`.
    fn variance_over_n(&self) -> Option<f64> {
        let variance = self.m2 / self.n as f64;
        let carried = (variance * variance).is_normal() && self.m4.is_finite();
        (self.n > 1 && carried).then_some(variance)
    }
}

/// Lag-1 autocorrelation: `sum (x_i - mean)(x_(i+1) - mean) / sum (x_i - mean)^2`.
///
/// None below two readings or without spread.
pub fn lag1_autocorrelation(readings: &[f64]) -> Option<f64> {
    let moments = Moments::of(readings);
    if moments.n < 2 || moments.m2 <= 0.0 {
        return None;
    }
    let first = readings.first()?;
    let shift = Compensated::of(readings.iter().map(|x| x - first)) / readings.len() as f64;
    let rest = (first - moments.mean) + shift;
    let deviation = |x: f64| (x - moments.mean) - rest;
    let products = readings
        .windows(2)
        .map(|pair| deviation(pair[0]) * deviation(pair[1]));
    Some(Compensated::of(products) / moments.m2)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(got: Option<f64>, expected: f64, tolerance: f64) -> bool {
        got.is_some_and(|got| (got - expected).abs() <= tolerance * expected.abs().max(1.0))
    }

    #[test]
    fn small_set_matches_hand_arithmetic() {
        // 1, 2, 3, 6: mean 3, deviations -2 -1 0 3, squares 14, cubes 18, fourth powers 98.
        let m = Moments::of(&[1.0, 2.0, 3.0, 6.0]);
        assert_eq!((m.n(), m.mean()), (4, Some(3.0)));
        assert!(close(m.sd(), libm::sqrt(14.0 / 3.0), 1e-15));
        assert!(close(m.skewness(), 4.5 / libm::pow(3.5, 1.5), 1e-15));
        assert!(close(m.excess_kurtosis(), 24.5 / 12.25 - 3.0, 1e-15));
    }

    #[test]
    fn merged_and_shifted_sums_agree_with_the_two_pass_result() {
        let readings: Vec<f64> = (0..500)
            .map(|i| 30.0 + 0.01 * libm::exp(f64::from(i * 37 % 101) / 40.0))
            .collect();
        let whole = Moments::of(&readings);
        let mut merged = Moments::NONE;
        readings
            .chunks(77)
            .for_each(|part| merged.merge(&Moments::of(part)));
        let shift = 30.02;
        let power_sum = |k: i32| Compensated::of(readings.iter().map(|x| (x - shift).powi(k)));
        let shifted = Moments::from_shifted_sums(500, shift, [1, 2, 3, 4].map(power_sum));
        for (name, m) in [("merged", merged), ("shifted", shifted)] {
            assert!(
                close(m.mean(), whole.mean().unwrap(), 1e-15),
                "{name}: {m:?}, {whole:?}"
            );
            assert!(
                close(m.sd(), whole.sd().unwrap(), 1e-12),
                "{name}: {m:?}, {whole:?}"
            );
            assert!(
                close(m.skewness(), whole.skewness().unwrap(), 1e-11),
                "{name}: {m:?}, {whole:?}"
            );
            assert!(
                close(m.excess_kurtosis(), whole.excess_kurtosis().unwrap(), 1e-11),
                "{name}: {m:?}, {whole:?}"
            );
        }
    }

    /// Sums of powers of whole numbers with these multiplicities, about `shift`; each below 2^53, so exact.
    fn exact_sums(values: &[(i64, i64)], shift: i64) -> [f64; 4] {
        [1, 2, 3, 4].map(|k| {
            let sum: i64 = values.iter().map(|(x, n)| n * (x - shift).pow(k)).sum();
            assert!(sum.abs() < 1 << 53, "{sum}");
            sum as f64
        })
    }

    #[test]
    fn verified_sums_taken_a_few_sd_from_the_mean_keep_their_digits_up_to_1e9_values() {
        // 0 nine times, 10 once: mean 1, variance 9, g1 = 8/3, g2 = 46/9 (Bernoulli of chance 0.1, times 10).
        for tenths in [1, 1000, 100_000_000] {
            let n = 10 * tenths;
            let sample_sd = 3.0 * libm::sqrt(n as f64 / (n - 1) as f64);
            for off_by in [0, 3, -6, 12, -20] {
                let sums = exact_sums(&[(0, 9 * tenths), (10, tenths)], 1 + off_by);
                let m = Moments::from_shifted_sums(n as u64, (1 + off_by) as f64, sums);
                // Roundings of terms that cancel: the k-th power of the distance in standard deviations and more.
                let k = off_by as f64 / 3.0;
                let lost = 4.0 * f64::EPSILON * (1.0 + k * k) * (1.0 + k * k);
                assert!(
                    close(m.mean(), 1.0, 4.0 * f64::EPSILON * (1.0 + k.abs())),
                    "n {n}, {k} sd: {m:?}"
                );
                assert!(
                    close(m.sd(), sample_sd, 4.0 * f64::EPSILON * (1.0 + k * k)),
                    "n {n}, {k} sd: {m:?}"
                );
                assert!(
                    close(m.skewness(), 8.0 / 3.0, lost)
                        && close(m.excess_kurtosis(), 46.0 / 9.0, lost),
                    "n {n}, {k} sd: g1 {:?}, g2 {:?}",
                    m.skewness(),
                    m.excess_kurtosis()
                );
            }
        }
    }

    #[test]
    fn verified_even_lattice_of_1e9_values_far_from_its_shift() {
        // x = 30 + h i, i = -k..=k, n = 2k + 1: variance h^2 (n^2 - 1)/12, g2 = -6/5 (n^2 + 1)/(n^2 - 1). About a shift d
        // from the mean the sums are those of the binomial expansion: s1 = -n d, s2 = c2 + n d^2, ...
        let n: u64 = 1_000_000_001;
        let count = n as f64;
        let h = 0.02 / count;
        let variance = h * h * (count - 1.0) * (count + 1.0) / 12.0;
        let kurtosis = -1.2;
        for sds in [-5.0, -1.0, 2.5] {
            let d = sds * libm::sqrt(variance);
            let fourth = (kurtosis + 3.0) * variance * variance;
            let sums = [
                -d,
                variance + d * d,
                -3.0 * d * variance - d * d * d,
                fourth + 6.0 * d * d * variance + d * d * d * d,
            ];
            let m = Moments::from_shifted_sums(n, 30.0 + d, sums.map(|s| s * count));
            assert!(close(m.mean(), 30.0, 1e-15), "{sds} sd: {m:?}");
            let sd = libm::sqrt(variance * count / (count - 1.0));
            assert!(
                m.sd().is_some_and(|got| (got / sd - 1.0).abs() < 1e-14),
                "{sds} sd: {m:?}"
            );
            assert!(
                m.skewness().is_some_and(|got| got.abs() < 1e-12)
                    && close(m.excess_kurtosis(), kurtosis, 1e-12),
                "{sds} sd: g1 {:?}, g2 {:?}",
                m.skewness(),
                m.excess_kurtosis()
            );
        }
    }

    #[test]
    fn a_spread_whose_fourth_power_no_number_carries_has_no_shape() {
        for tiny_or_huge in [1e-100, 1e100] {
            let m = Moments::of(&[0.0, tiny_or_huge, 3.0 * tiny_or_huge]);
            assert!(m.sd().is_some_and(|sd| sd > 0.0), "{m:?}");
            assert_eq!((m.skewness(), m.excess_kurtosis()), (None, None));
        }
    }

    #[test]
    fn what_is_not_defined_is_absent() {
        assert_eq!(Moments::of(&[]).mean(), None);
        assert_eq!(Moments::of(&[1.0]).sd(), None);
        let constant = Moments::of(&[0.1; 7]);
        assert_eq!(
            (constant.mean(), constant.sd(), constant.skewness()),
            (Some(0.1), Some(0.0), None)
        );
        assert_eq!(lag1_autocorrelation(&[0.1; 7]), None);
    }

    #[test]
    fn a_constant_away_from_the_shift_has_no_spread() {
        let d: f64 = 1.1 - 1.0;
        let n = 1_000_000_u64;
        let sums = [1, 2, 3, 4].map(|k| (0..n).fold(0.0, |sum, _| sum + d.powi(k)));
        let m = Moments::from_shifted_sums(n, 1.0, sums.map(|s| s * (1.0 + 1e-15)));
        assert_eq!(m.skewness(), None, "{m:?}");
        assert_eq!(m.sd(), Some(0.0), "{m:?}");
    }
}
