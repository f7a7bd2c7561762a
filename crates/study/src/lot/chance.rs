//! How often chance alone gives a statistic at least as extreme.

use distributions::{beta, gamma, normal};
use record::Test;

/// F with `over` and `under` degrees of freedom: `P(F > f) = I(under/(under + over f); under/2, over/2)`.
pub(super) fn f_test(f: f64, over: f64, under: f64) -> Option<Test> {
    let p = beta::below(under / (under + over * f), 0.5 * under, 0.5 * over);
    test(f, p)
}

/// Student's t with `freedom` degrees of freedom, two-sided.
pub(super) fn t_test(t: f64, freedom: f64) -> Option<Test> {
    let p = beta::below(freedom / (freedom + t * t), 0.5 * freedom, 0.5);
    test(t, p)
}

/// Chi-square with `freedom` degrees of freedom, upper tail.
pub(super) fn chi_square_test(x: f64, freedom: f64) -> Option<Test> {
    test(x, gamma::above(0.5 * x, 0.5 * freedom))
}

/// Standard normal, two-sided.
pub(super) fn z_test(z: f64) -> Option<Test> {
    test(z, 2.0 * normal::below(-libm::fabs(z)))
}

/// Both numbers, when they are numbers.
pub(super) fn test(statistic: f64, p: f64) -> Option<Test> {
    (statistic.is_finite() && p.is_finite()).then_some(Test {
        statistic,
        p: p.clamp(0.0, 1.0),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verified_tails_of_the_tables() {
        // Upper 5 % points of the tables: t(10) 2.228139, F(2, 10) 4.102821, chi-square(9) 16.918978, normal 1.959964.
        for test in [
            t_test(2.228_139, 10.0),
            f_test(4.102_821, 2.0, 10.0),
            chi_square_test(16.918_978, 9.0),
            z_test(1.959_964),
        ] {
            assert!((test.expect("a test").p - 0.05).abs() < 1e-6, "{test:?}");
        }
        assert_eq!(f_test(f64::NAN, 2.0, 10.0), None);
    }
}
