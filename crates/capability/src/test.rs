//! A statistic, and how often chance alone gives one at least as extreme.

use distributions::{beta, gamma, normal};

/// A statistic and its probability under the assumption that is tested.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Test {
    /// The statistic.
    pub statistic: f64,
    /// Probability of a statistic at least as extreme by chance, 0 to 1.
    pub p: f64,
}

impl Test {
    /// Both numbers, when they are numbers; a probability that rounding took past 0 or 1 is put back.
    pub fn of(statistic: f64, p: f64) -> Option<Self> {
        (statistic.is_finite() && p.is_finite()).then_some(Self {
            statistic,
            p: p.clamp(0.0, 1.0),
        })
    }

    /// Upper tail of Fisher's F with `over` and `under` degrees of freedom, both above 0, at `f >= 0`.
    ///
    /// ```text
    /// P(F > f) = I(under/(under + over f); under/2, over/2)
    /// ```
    ///
    /// with the regularized incomplete beta function `I` (any text, recalled).
    pub fn of_f(f: f64, over: f64, under: f64) -> Option<Self> {
        Self::of(f, beyond(over * f, over, under))
    }

    /// Both tails of Student's t with `freedom` degrees of freedom, above 0.
    ///
    /// ```text
    /// P(|T| > |t|) = I(freedom/(freedom + t^2); freedom/2, 1/2)
    /// ```
    ///
    /// (any text, recalled).
    pub fn of_t(t: f64, freedom: f64) -> Option<Self> {
        Self::of(t, beyond(t * t, 1.0, freedom))
    }

    /// Upper tail of chi-square with `freedom` degrees of freedom, above 0, at `x >= 0`: `P = Q(freedom/2, x/2)`.
    pub fn of_chi_square(x: f64, freedom: f64) -> Option<Self> {
        Self::of(x, gamma::above(0.5 * x, 0.5 * freedom))
    }

    /// Both tails of the standard normal: `P = 2 Phi(-|z|)`.
    pub fn of_z(z: f64) -> Option<Self> {
        Self::of(z, 2.0 * normal::below(-libm::fabs(z)))
    }
}

/// `I(under/(under + square); under/2, over/2)`, from the smaller of the two parts of the whole so that none loses digits.
fn beyond(square: f64, over: f64, under: f64) -> f64 {
    let whole = under + square;
    if square < under {
        beta::above(square / whole, 0.5 * over, 0.5 * under)
    } else {
        beta::below(under / whole, 0.5 * under, 0.5 * over)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verified_tails_at_the_upper_5_percent_points_of_the_tables() {
        // t(10) 2.228139, F(2, 10) 4.102821, chi-square(9) 16.918978, normal 1.959964 (standard tables, recalled).
        for test in [
            Test::of_t(2.228_139, 10.0),
            Test::of_t(-2.228_139, 10.0),
            Test::of_f(4.102_821, 2.0, 10.0),
            Test::of_chi_square(16.918_978, 9.0),
            Test::of_z(-1.959_964),
        ] {
            assert!(
                test.is_some_and(|test| (test.p - 0.05).abs() < 1e-7),
                "{test:?}"
            );
        }
    }

    #[test]
    fn verified_tails_with_closed_forms_keep_their_digits_far_out() {
        // F with 2 over m: (1 + 2 f/m)^(-m/2). Chi-square with 2: exp(-x/2). t with 1: 1 - 2 atan(|t|)/pi; with 2:
        // 1 - |t|/sqrt(2 + t^2) = 2/(sqrt(2 + t^2) (sqrt(2 + t^2) + |t|)).
        let near = |got: Option<Test>, expected: f64| {
            let off = got.map(|got| got.p / expected - 1.0);
            assert!(
                off.is_some_and(|off| off.abs() < 1e-12),
                "{got:?}, expected {expected:e}"
            );
        };
        for f in [0.0, 1e-9, 0.3, 1.0, 7.0, 1e3, 1e9] {
            near(Test::of_f(f, 2.0, 6.0), libm::pow(1.0 + f / 3.0, -3.0));
            let root = libm::sqrt(2.0 + f * f);
            near(Test::of_t(f, 2.0), 2.0 / (root * (root + f)));
            let exact = 2.0 / std::f64::consts::PI * libm::atan2(1.0, f);
            near(Test::of_t(f, 1.0), exact);
        }
        for x in [0.0, 1e-9, 0.3, 1.0, 7.0, 100.0, 1000.0] {
            near(Test::of_chi_square(x, 2.0), libm::exp(-0.5 * x));
        }
    }

    #[test]
    fn what_is_no_number_is_no_test() {
        for bad in [f64::NAN, f64::INFINITY] {
            assert_eq!(Test::of_f(bad, 2.0, 10.0), None);
            assert_eq!(Test::of_t(bad, 10.0), None);
            assert_eq!(Test::of_chi_square(bad, 9.0), None);
            assert_eq!(Test::of_z(bad), None);
        }
        assert_eq!(Test::of_f(1.0, 0.0, 10.0), None);
        assert_eq!(Test::of_f(-1.0, 2.0, 10.0), None);
    }
}
