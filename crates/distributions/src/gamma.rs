//! The gamma distribution with unit scale, and with it chi-square: probabilities and quantiles for shapes up to `1e12`.
//!
//! The limit of [`crate::beta`] for a rare event, by the same integral: with `w` the distance walked in `ln x`,
//!
//! ```text
//! P(a, x) = x^a exp(-x) / Gamma(a) * integral over w >= 0 of exp(-g(w)),   g(w) = a w - x (1 - exp(-w))
//! ```
//!
//! and its mirror image for the upper tail. Chi-square with `k` degrees of freedom is twice a gamma of shape `k / 2`.

use crate::normal;
use crate::quadrature::{
    SMALLEST_LOG, deviance, expm1_minus, solve_rising_concave, stirling_error, tail,
};

/// Probability of a value at or below `x`; NaN unless the shape is above zero and finite and `x >= 0`.
pub fn below(x: f64, shape: f64) -> f64 {
    probabilities(x, shape).0
}

/// Probability of a value above `x`, right when it is tiny.
pub fn above(x: f64, shape: f64) -> f64 {
    probabilities(x, shape).1
}

/// The value with probability `p` below it.
pub fn quantile(p: f64, shape: f64) -> f64 {
    if !is_valid(shape) || !(0.0..=1.0).contains(&p) {
        return f64::NAN;
    }
    if p <= 0.5 {
        lower_quantile(p, shape)
    } else {
        upper_quantile_of_small(1.0 - p, shape)
    }
}

/// The value with probability `q` above it, right for tiny `q`.
pub fn upper_quantile(q: f64, shape: f64) -> f64 {
    if !is_valid(shape) || !(0.0..=1.0).contains(&q) {
        return f64::NAN;
    }
    if q <= 0.5 {
        upper_quantile_of_small(q, shape)
    } else {
        lower_quantile(1.0 - q, shape)
    }
}

/// The chi-square value with `freedom` degrees of freedom and probability `p` below it.
pub fn chi_square_quantile(p: f64, freedom: f64) -> f64 {
    2.0 * quantile(p, 0.5 * freedom)
}

fn is_valid(shape: f64) -> bool {
    shape > 0.0 && shape.is_finite()
}

/// `a^a exp(-a) / Gamma(a)`, the density in `ln x` at its peak.
pub(crate) fn peak_density(a: f64) -> f64 {
    libm::exp(log_density(a, a))
}

/// `ln [x^a exp(-x) / Gamma(a)]`, the density in `ln x`.
pub(crate) fn log_density(x: f64, a: f64) -> f64 {
    0.5 * libm::log(a / std::f64::consts::TAU) - stirling_error(a) - deviance(a, x, a - x)
}

fn lower_integral(x: f64, a: f64) -> f64 {
    tail(a - x, x, |w| (a - x) * w + x * expm1_minus(-w))
}

fn upper_integral(x: f64, a: f64) -> f64 {
    tail(x - a, x, |w| (x - a) * w + x * expm1_minus(w))
}

/// Probabilities below and above.
fn probabilities(x: f64, a: f64) -> (f64, f64) {
    if !is_valid(a) || x.is_nan() || x < 0.0 {
        return (f64::NAN, f64::NAN);
    }
    let density = if x > 0.0 {
        libm::exp(log_density(x, a))
    } else {
        0.0
    };
    if density == 0.0 || x.is_infinite() {
        return if x < a { (0.0, 1.0) } else { (1.0, 0.0) };
    }
    if x <= a {
        let below = density * lower_integral(x, a);
        (below, 1.0 - below)
    } else {
        let above = density * upper_integral(x, a);
        (1.0 - above, above)
    }
}

fn lower_quantile(p: f64, a: f64) -> f64 {
    if p <= 0.0 {
        return 0.0;
    }
    let scale = 1.0 / libm::sqrt(a);
    let start = libm::log(a) + scale * normal::quantile(p);
    let t = solve_rising_concave(start, scale, libm::log(p), |t| {
        let x = libm::exp(t.max(SMALLEST_LOG));
        if x <= a {
            let integral = lower_integral(x, a);
            let beyond = (t - SMALLEST_LOG).min(0.0) / integral;
            (
                log_density(x, a) + libm::log(integral) + beyond,
                1.0 / integral,
            )
        } else {
            let density = libm::exp(log_density(x, a));
            let above = density * upper_integral(x, a);
            (libm::log1p(-above), density / (1.0 - above))
        }
    });
    libm::exp(t)
}

fn upper_quantile_of_small(q: f64, a: f64) -> f64 {
    if q <= 0.0 {
        return f64::INFINITY;
    }
    let scale = 1.0 / libm::sqrt(a);
    // Rising in -ln x.
    let start = -libm::log(a) - scale * normal::upper_quantile(q);
    let t = solve_rising_concave(start, scale, libm::log(q), |t| {
        let x = libm::exp(-t);
        if x > a {
            let integral = upper_integral(x, a);
            (log_density(x, a) + libm::log(integral), 1.0 / integral)
        } else {
            let density = libm::exp(log_density(x, a));
            let below = density * lower_integral(x, a);
            (libm::log1p(-below), density / (1.0 - below))
        }
    });
    libm::exp(-t)
}

#[cfg(test)]
mod tests {
    use super::*;
    use statrs::distribution::{ChiSquared, ContinuousCDF};

    #[test]
    fn shape_one_is_the_exponential() {
        for x in [1e-6, 0.3, 1.0, 5.0, 300.0] {
            assert!((above(x, 1.0) / libm::exp(-x) - 1.0).abs() < 1e-13, "x {x}");
            assert!(
                (below(x, 1.0) / -libm::expm1(-x) - 1.0).abs() < 1e-13,
                "x {x}"
            );
        }
        for q in [1e-300, 1e-12, 0.3, 0.8] {
            assert!(
                (upper_quantile(q, 1.0) / -libm::log(q) - 1.0).abs() < 1e-14,
                "q {q}"
            );
        }
    }

    #[test]
    fn chi_square_quantiles_agree_with_an_independent_library() {
        for freedom in [1.0, 2.0, 5.0, 19.0, 99.0, 1e4, 1e6] {
            let peer = ChiSquared::new(freedom).unwrap();
            for p in [0.025, 0.5, 0.975, 0.9999] {
                let (ours, theirs) = (chi_square_quantile(p, freedom), peer.inverse_cdf(p));
                // The peer is off by up to 1e-10 here (4e-4 at 1 degree of freedom and p = 1e-4); tests/golden.rs is tighter.
                assert!(
                    (ours / theirs - 1.0).abs() < 5e-10,
                    "df {freedom}, p {p}: ours {ours}, peer {theirs}"
                );
            }
        }
    }

    #[test]
    fn quantile_undoes_below_for_large_shapes() {
        for shape in [1e3, 1e9, 1e12] {
            for p in [1e-9, 0.025, 0.5] {
                let tolerance = 1e-12 + 1e-14 * libm::sqrt(shape);
                assert!(
                    (below(quantile(p, shape), shape) / p - 1.0).abs() < tolerance,
                    "shape {shape}, p {p}"
                );
                let x = upper_quantile(p, shape);
                assert!(
                    (above(x, shape) / p - 1.0).abs() < tolerance,
                    "shape {shape}, q {p}"
                );
            }
        }
    }
}
