//! Short polynomials in plain arithmetic.

use std::f64::consts::PI;

/// A cubic in the distance from a middle place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cubic {
    middle: f64,
    coefficients: [f64; 4],
}

impl Cubic {
    /// The cubic through `f` at the four Chebyshev points of an interval.
    pub fn through(f: impl Fn(f64) -> f64, (from, to): (f64, f64)) -> Cubic {
        let (middle, half) = (0.5 * (from + to), 0.5 * (to - from));
        let mut a = [0.0; 4];
        for j in 0..4 {
            let angle = PI * (f64::from(j) + 0.5) / 4.0;
            let value = f(middle + half * libm::cos(angle));
            for (k, a) in (0..).zip(&mut a) {
                *a += 0.5 * value * libm::cos(f64::from(k) * angle);
            }
        }
        // From T0 (of which half counts), T1, T2, T3 to powers of the distance over the half-length.
        let powers = [0.5 * a[0] - a[2], a[1] - 3.0 * a[3], 2.0 * a[2], 4.0 * a[3]];
        let mut scale = 1.0;
        let coefficients = powers.map(|power| {
            let coefficient = power * scale;
            scale /= half;
            coefficient
        });
        Cubic {
            middle,
            coefficients,
        }
    }

    /// Value at `x`.
    #[inline]
    pub fn at(&self, x: f64) -> f64 {
        let y = x - self.middle;
        let [a, b, c, d] = self.coefficients;
        a + y * (b + y * (c + y * d))
    }

    /// Value, first and second derivative at `x`.
    #[inline]
    pub fn with_derivatives(&self, x: f64) -> (f64, f64, f64) {
        let y = x - self.middle;
        let [a, b, c, d] = self.coefficients;
        (
            a + y * (b + y * (c + y * d)),
            b + y * (2.0 * c + y * 3.0 * d),
            2.0 * c + y * 6.0 * d,
        )
    }
}

/// The tangent near an angle, to fourth order: off by less than 1e-12 within 0.002 rad of a half-angle below 0.2 rad.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tangent {
    centre: f64,
    coefficients: [f64; 5],
}

impl Tangent {
    /// About `centre` (rad).
    pub fn about(centre: f64) -> Tangent {
        let t = libm::tan(centre);
        let s = 1.0 + t * t;
        Tangent {
            centre,
            coefficients: [
                t,
                s,
                t * s,
                s * (1.0 + 3.0 * t * t) / 3.0,
                t * s * (2.0 + 3.0 * t * t) / 3.0,
            ],
        }
    }

    /// `tan(angle)`.
    #[inline]
    pub fn of(&self, angle: f64) -> f64 {
        let e = angle - self.centre;
        let [a, b, c, d, f] = self.coefficients;
        a + e * (b + e * (c + e * (d + e * f)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cubic_comes_back_as_it_is() {
        let f = |x: f64| 2.0 - x + 0.5 * x * x - 0.01 * x * x * x;
        let cubic = Cubic::through(f, (3.0, 38.0));
        for x in [3.0, 10.0, 20.5, 38.0] {
            assert!((cubic.at(x) - f(x)).abs() < 1e-11, "{x}");
            let (value, first, second) = cubic.with_derivatives(x);
            assert!((value - f(x)).abs() < 1e-11);
            assert!((first - (-1.0 + x - 0.03 * x * x)).abs() < 1e-11);
            assert!((second - (1.0 - 0.06 * x)).abs() < 1e-11);
        }
    }

    #[test]
    fn verified_tangent_agrees_with_libm_near_its_centre() {
        for centre in [0.025, 0.14, 0.2] {
            let tangent = Tangent::about(centre);
            for step in -10..=10 {
                let angle = centre + 2e-4 * f64::from(step);
                let (got, want) = (tangent.of(angle), libm::tan(angle));
                assert!((got - want).abs() < 1e-12, "{angle}: {got} for {want}");
            }
        }
    }
}
