//! Student's t with a non-centrality: exact bounds of one-sided capability indices and tolerance factors.
//!
//! `T = (Z + delta) / S`, `Z` standard normal, `nu S^2` chi-square with `nu` degrees of freedom, independent of `Z`.

use crate::gamma;
use crate::normal;
use crate::quadrature::{expm1_minus, panels};

/// Exponent beyond which the density of `S` no longer counts.
const FAR: f64 = 42.0;

/// Probability of a value at or below `t`; `nu >= 1` degrees of freedom. NaN for parameters that are not finite.
///
/// `P = E[Phi(t S - delta)]`, integrated over `u = ln S`, whose density is
///
/// ```text
/// f(u) = f(0) exp(-(nu/2) (exp(2u) - 1 - 2u)),   f(0) = 2 (nu/2)^(nu/2) exp(-nu/2) / Gamma(nu/2)
/// ```
///
/// Good to 1e-12 absolute where `|t| <= 20 sqrt(nu)` (there a panel is no wider than what `Phi` needs); tails far below
/// that are not resolved.
pub fn below(t: f64, nu: f64, delta: f64) -> f64 {
    expectation(nu, |s| normal::below(t * s - delta))
}

/// Probability of a value above `t`, as good as [`below`].
pub fn above(t: f64, nu: f64, delta: f64) -> f64 {
    expectation(nu, |s| normal::below(delta - t * s))
}

/// Mean of `f(S)`.
fn expectation(nu: f64, f: impl Fn(f64) -> f64) -> f64 {
    if !(nu.is_finite() && nu >= 1.0) {
        return f64::NAN;
    }
    let exponent = |u: f64| 0.5 * nu * expm1_minus(2.0 * u);
    let reach = |sign: f64| {
        let mut reach = libm::sqrt(FAR / nu);
        while exponent(sign * reach) < FAR {
            reach *= 1.1;
        }
        reach
    };
    let integrand = |u: f64| libm::exp(-exponent(u)) * f(libm::exp(u));
    let integral =
        panels(-reach(-1.0), 0.0, 32, integrand) + panels(0.0, reach(1.0), 32, integrand);
    2.0 * gamma::peak_density(0.5 * nu) * integral
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn central_case_with_one_degree_of_freedom_is_the_cauchy() {
        for t in [-5.0, -1.0, 0.0, 0.3, 10.0] {
            let expected = 0.5 + libm::atan(t) / std::f64::consts::PI;
            let got = below(t, 1.0, 0.0);
            assert!(
                (got - expected).abs() < 1e-12,
                "t {t}: got {got}, expected {expected}"
            );
        }
    }

    #[test]
    fn at_zero_only_the_normal_part_decides() {
        for (nu, delta) in [(1.0, 0.5), (9.0, 3.0), (500.0, -2.0)] {
            assert!(
                (below(0.0, nu, delta) - normal::below(-delta)).abs() < 1e-13,
                "nu {nu}, delta {delta}"
            );
        }
    }

    #[test]
    fn below_and_above_add_to_one() {
        for (t, nu, delta) in [(28.0, 49.0, 25.0), (-3.0, 4.0, 1.0), (60.0, 299.0, 70.0)] {
            let total = below(t, nu, delta) + above(t, nu, delta);
            assert!(
                (total - 1.0).abs() < 1e-12,
                "t {t}, nu {nu}, delta {delta}: {total}"
            );
        }
    }
}
