//! The rest of Owen's function: the probability of a skew-normal short tail.
//!
//! Owen's `T(h, a) = 1 / (2 pi) * integral over t from 0 to a of exp(-h^2 (1 + t^2) / 2) / (1 + t^2)` (D. B. Owen 1956,
//! recalled) is what a skew normal needs in its body; its short tail is the same integral from `a` on, which the
//! difference `Phi(-h) - 2 T(h, a)` would lose. So the rest is computed, and `T` from it.

use crate::normal;
use crate::quadrature::panel;

/// `1 / (2 pi) * integral over t from a on of exp(-h^2 (1 + t^2) / 2) / (1 + t^2)`, that is `Phi(-h) / 2 - T(h, a)`, for
/// `h >= 0` and `a >= 0`; right to about 15 digits however small it is.
pub(crate) fn owens_rest(h: f64, a: f64) -> f64 {
    let square = 1.0 + a * a;
    if h * h * square <= 0.25 {
        return 0.5 * normal::below(-h) - small(h, a);
    }
    let front = libm::exp(-0.5 * h * h * square) / std::f64::consts::TAU;
    if front == 0.0 {
        return 0.0;
    }
    front * h * rest_integral(h, a)
}

/// Owen's `T` for `h^2 (1 + a^2) <= 1/4`, by the series in `h^2`:
/// `2 pi T = atan a + sum over k >= 1 of (-h^2 / 2)^k / k! J(k)`, `J(k) = integral of (1 + t^2)^(k - 1)` from 0 to `a`,
/// `J(k + 1) = (a (1 + a^2)^k + 2 k J(k)) / (2 k + 1)`.
fn small(h: f64, a: f64) -> f64 {
    let square = 1.0 + a * a;
    let x = -0.5 * h * h;
    let (mut sum, mut integral, mut factor, mut power) = (libm::atan(a), a, 1.0, 1.0);
    for k in 1..20 {
        let k = f64::from(k);
        factor *= x / k;
        let term = factor * integral;
        sum += term;
        if libm::fabs(term) <= 1e-17 * libm::fabs(sum) {
            break;
        }
        power *= square;
        integral = (a * power + 2.0 * k * integral) / (2.0 * k + 1.0);
    }
    sum / std::f64::consts::TAU
}

/// `integral over v >= 0 of exp(-a h v - v^2 / 2) / (h^2 + (a h + v)^2)`, with `v = h (t - a)`.
///
/// By panels no wider than their distance to the poles of the fraction, over each of which the exponent falls by at most
/// twelve; beyond 42 nothing is left.
fn rest_integral(h: f64, a: f64) -> f64 {
    let slope = a * h;
    let reach = 84.0 / (slope + libm::sqrt(slope * slope + 84.0));
    let (mut from, mut sum) = (0.0, 0.0);
    while from < reach {
        let pole = libm::sqrt((slope + from) * (slope + from) + h * h);
        let fall = slope + from;
        let to = (from + pole.min(24.0 / (fall + libm::sqrt(fall * fall + 24.0)))).min(reach);
        sum += panel(from, to, |v| {
            let along = slope + v;
            libm::exp(-v * (slope + 0.5 * v)) / (h * h + along * along)
        });
        from = to;
    }
    sum
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn at_slope_one_it_is_half_the_square_of_the_tail() {
        // T(h, 1) = Phi(h) Phi(-h) / 2 (Owen 1956), so the rest is Phi(-h)^2 / 2.
        for h in [0.0, 1e-9, 0.1, 0.35, 0.36, 1.0, 3.0, 8.0, 20.0] {
            let tail = normal::below(-h);
            let got = owens_rest(h, 1.0);
            let expected = 0.5 * tail * tail;
            assert!(
                (got / expected - 1.0).abs() < 1e-13,
                "h {h}: got {got}, expected {expected}"
            );
        }
    }

    #[test]
    fn series_and_panels_meet() {
        for a in [0.0, 0.1, 1.0, 10.0, 300.0] {
            let h = 0.5 / libm::sqrt(1.0 + a * a);
            let series = 0.5 * normal::below(-h) - small(h, a);
            let square = 1.0 + a * a;
            let panels =
                libm::exp(-0.5 * h * h * square) / std::f64::consts::TAU * h * rest_integral(h, a);
            assert!((series / panels - 1.0).abs() < 1e-13 * (1.0 + a), "a {a}");
        }
    }
}
