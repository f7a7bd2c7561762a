//! Intervals of the indices of a measured lot that is judged normal.

use distributions::{gamma, noncentral_t, normal};

use super::Absent;
use crate::interval::{Interval, tail_of};

/// Interval of Cp from `n` readings of a normal process, exact:
///
/// ```text
/// Cp sqrt(chi2(alpha/2; n - 1)/(n - 1))  to  Cp sqrt(chi2(1 - alpha/2; n - 1)/(n - 1))
/// ```
///
/// (D. C. Montgomery, Introduction to Statistical Quality Control, recalled). Not for simulated outputs, whose shape is not
/// normal: see [`super::normal_formula`].
pub fn measured_cp_interval(cp: f64, n: u64, confidence: f64) -> Result<Interval, Absent> {
    let tail = tail_of(confidence);
    if n < 2 {
        return Err(Absent::TooFewValues { n });
    }
    let freedom = (n - 1) as f64;
    let end = |chi_square: f64| cp * libm::sqrt(chi_square / freedom);
    Ok(Interval {
        low: end(2.0 * gamma::quantile(tail, 0.5 * freedom)),
        high: end(2.0 * gamma::upper_quantile(tail, 0.5 * freedom)),
    })
}

/// Interval of Cpk from `n` readings of a normal process, `Cpk -+ z sqrt(1/(9 n) + Cpk^2/(2 (n - 1)))`.
///
/// A. F. Bissell's approximation (Applied Statistics 39 (1990) 331-340, recalled). Against the exact one-sided bound it is
/// 0.003 too high at 50 readings of a Cpk of 1.33, 0.006 at 20.
pub fn measured_cpk_interval(cpk: f64, n: u64, confidence: f64) -> Result<Interval, Absent> {
    bissell(cpk, n, n.saturating_sub(1), confidence)
}

/// Bissell's interval where the standard deviation has its own degrees of freedom: `Cpk -+ z sqrt(1/(9 n) + Cpk^2/(2 freedom))`.
pub(super) fn bissell(cpk: f64, n: u64, freedom: u64, confidence: f64) -> Result<Interval, Absent> {
    let z = normal::upper_quantile(tail_of(confidence));
    if n < 2 || freedom < 1 {
        return Err(Absent::TooFewValues { n });
    }
    let reach = z * libm::sqrt(1.0 / (9.0 * n as f64) + cpk * cpk / (2.0 * freedom as f64));
    Ok(Interval {
        low: cpk - reach,
        high: cpk + reach,
    })
}

/// Exact one-sided lower bound, at the stated confidence, of a one-sided index estimated from `n` readings of a normal process.
///
/// `3 sqrt(n) C` of a sample is non-central t with `n - 1` degrees of freedom and non-centrality `3 sqrt(n)` times the true
/// index (any text on one-sided tolerance limits); the bound is the true index at which an estimate this large or larger
/// has probability `1 - confidence`. For a two-sided Cpk it is the bound of its nearer side.
pub fn measured_lower_bound(index: f64, n: u64, confidence: f64) -> Result<f64, Absent> {
    measured_lower_bound_within(index, n, n.saturating_sub(1), confidence)
}

/// Index from which on, either sign, the scatter of the mean no longer counts beside that of the standard deviation: it moves
/// a bound by less than 1e-4 of itself, 2e-5 from 30 readings on. (Below, the integral behind the chance is good to 1e-5 of the bound, to 1e-11 up to 10.)
const FAR: f64 = 50.0;

/// [`measured_lower_bound`] of an index whose standard deviation has its own degrees of freedom, as that within subgroups does;
/// `n` counts the readings behind the mean.
pub fn measured_lower_bound_within(
    index: f64,
    n: u64,
    freedom: u64,
    confidence: f64,
) -> Result<f64, Absent> {
    let chance = Chance::of(n, freedom, confidence)?;
    if libm::fabs(index) > FAR {
        return Ok(index * chance.spread(index > 0.0));
    }
    // The chance of so large an estimate rises with the true index.
    Ok(chance.cross(index, |truth| chance.of_more(index, truth) - chance.allowed))
}

/// Index that `n` readings of a normal process must show so that their exact lower bound ([`measured_lower_bound`]) comes to the
/// target.
pub fn needed_to_demonstrate(target: f64, n: u64, confidence: f64) -> Result<f64, Absent> {
    let chance = Chance::of(n, n.saturating_sub(1), confidence)?;
    if libm::fabs(target) > FAR {
        return Ok(target / chance.spread(target > 0.0));
    }
    // The chance of a larger estimate falls with the estimate.
    Ok(chance.cross(target, |seen| chance.allowed - chance.of_more(seen, target)))
}

/// How an estimated one-sided index scatters about the true one.
struct Chance {
    /// `3 sqrt(n)`.
    scale: f64,
    freedom: f64,
    allowed: f64,
}

impl Chance {
    fn of(n: u64, freedom: u64, confidence: f64) -> Result<Self, Absent> {
        let allowed = 2.0 * tail_of(confidence);
        if n < 2 || freedom < 1 {
            return Err(Absent::TooFewValues { n });
        }
        Ok(Self {
            scale: 3.0 * libm::sqrt(n as f64),
            freedom: freedom as f64,
            allowed,
        })
    }

    /// Chance of an estimate above `seen`.
    fn of_more(&self, seen: f64, truth: f64) -> f64 {
        noncentral_t::above(self.scale * seen, self.freedom, self.scale * truth)
    }

    /// Where a rising function crosses 0: widened from `start` until enclosed, then halved.
    fn cross(&self, start: f64, rising: impl Fn(f64) -> f64) -> f64 {
        let (mut low, mut high) = (start, start);
        let mut reach = 1.0 / self.scale;
        while rising(low) > 0.0 && reach < 1e6 {
            low -= reach;
            reach *= 2.0;
        }
        reach = 1.0 / self.scale;
        while rising(high) < 0.0 && reach < 1e6 {
            high += reach;
            reach *= 2.0;
        }
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if rising(middle) <= 0.0 {
                low = middle
            } else {
                high = middle
            }
        }
        0.5 * (low + high)
    }

    /// Estimated over true standard deviation, `sqrt(chi2/freedom)`, with the allowed chance below, or above.
    fn spread(&self, below: bool) -> f64 {
        let quantile = if below {
            gamma::quantile(self.allowed, 0.5 * self.freedom)
        } else {
            gamma::upper_quantile(self.allowed, 0.5 * self.freedom)
        };
        libm::sqrt(2.0 * quantile / self.freedom)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cp_interval_of_three_readings_has_a_closed_form() {
        // Two degrees of freedom: chi-square is exponential, chi2(p; 2) = -2 ln(1 - p).
        let got = measured_cp_interval(1.0, 3, 0.95).unwrap();
        assert!(
            (got.low - libm::sqrt(-libm::log(0.975))).abs() < 1e-14,
            "{got:?}"
        );
        assert!(
            (got.high - libm::sqrt(-libm::log(0.025))).abs() < 1e-14,
            "{got:?}"
        );
    }

    #[test]
    fn one_reading_has_no_interval() {
        assert_eq!(
            measured_cp_interval(1.0, 1, 0.95),
            Err(Absent::TooFewValues { n: 1 })
        );
        assert_eq!(
            measured_cpk_interval(1.0, 0, 0.95),
            Err(Absent::TooFewValues { n: 0 })
        );
    }

    #[test]
    fn verified_bounds_agree_with_an_independent_library_and_turn_back() {
        // 30-digit integration of the chi-square law over the normal (mpmath); the last two from scipy's non-central t.
        for (index, n, expected) in [
            (1.33, 30, 1.021_557_253_896_52),
            (1.33, 8, 0.705_206_930_034_009),
            (5.0, 30, 3.902_285_494_144_27),
            (10.0, 125, 8.946_818_990_988_34),
            (10.0, 2, 0.626_956_676_071_324),
            (0.0, 20, -0.122_600_150_763_360_5),
            (-0.5, 20, -0.676_063_201_721_449_5),
        ] {
            let bound = measured_lower_bound(index, n, 0.95).unwrap();
            assert!((bound - expected).abs() < 1e-11, "{index}, {n}: {bound}");
            let back = needed_to_demonstrate(bound, n, 0.95).unwrap();
            assert!((back - index).abs() < 1e-9, "{index}, {n}: back {back}");
        }
    }

    #[test]
    fn a_bound_far_out_is_that_of_the_spread_alone() {
        // mpmath as above, with 30 and 5 readings; the limit is sqrt(chi2/29) with the 5 % point 17.708366 of the tables (recalled).
        for (index, n, expected) in [
            (30.0, 30, 23.442_096_132_138),
            (49.0, 30, 38.289_587_061_358),
            (51.0, 30, 39.852_467_182_918),
            (51.0, 5, 21.496_436_307_174),
            (100.0, 30, 78.142_786_292_921),
        ] {
            let bound = measured_lower_bound(index, n, 0.95).unwrap();
            assert!(
                (bound / expected - 1.0).abs() < if n < 30 { 1e-4 } else { 2e-5 },
                "{index}, {n}: {bound}"
            );
        }
        let limit = measured_lower_bound(1e9, 30, 0.95).unwrap();
        assert!((limit / 1e9 - libm::sqrt(17.708_366 / 29.0)).abs() < 1e-7);
        let back = needed_to_demonstrate(limit, 30, 0.95).unwrap();
        assert!((back / 1e9 - 1.0).abs() < 1e-12);
        let below = measured_lower_bound(-1e9, 30, 0.95).unwrap();
        assert!(below < -1.2e9 && below > -1.3e9, "{below}");
    }

    #[test]
    fn one_reading_demonstrates_nothing() {
        let few = Err(Absent::TooFewValues { n: 1 });
        assert_eq!(measured_lower_bound(1.0, 1, 0.95), few);
        assert_eq!(needed_to_demonstrate(1.0, 1, 0.95), few);
    }
}
