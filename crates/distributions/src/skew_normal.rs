//! A skew normal process: a normal curve leaning to one side.

use std::sync::Arc;

use crate::kind::{ByMoments, ByParameters, Kind, Parameter, Role, SCALE, Usual};
use crate::normal;
use crate::owens_t::owens_rest;
use crate::quadrature::solve_rising_concave;
use crate::shape::{
    Shape, ShapeError, check_between, check_finite, check_moments, check_positive,
    check_positive_sd,
};

/// Magnitude of the skewness that is not taken any more; a skew normal approaches 0.99527 as its slant grows.
const SKEWNESS_LIMIT: f64 = 0.995;

/// Largest magnitude of the slant taken.
const LARGEST_SLANT: f64 = 1e3;

/// Density `2 / scale phi(u) Phi(slant u)`, `u = (x - location) / scale` (A. Azzalini 1985, recalled).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SkewNormal {
    location: f64,
    scale: f64,
    slant: f64,
    mean: f64,
    sd: f64,
}

impl SkewNormal {
    /// A skew normal process by location and scale (unit of the value) and slant (a plain number, positive where the
    /// upper tail is the longer one).
    ///
    /// With `d = slant / sqrt(1 + slant^2)`: `mean = location + scale d sqrt(2 / pi)`, `sd = scale sqrt(1 - 2 d^2 / pi)`.
    pub fn new(location: f64, scale: f64, slant: f64) -> Result<Self, ShapeError> {
        check_finite("location", location)?;
        check_positive("scale", scale)?;
        check_between("slant", slant, -LARGEST_SLANT, LARGEST_SLANT)?;
        let (shift, spread) = moments(lean(slant));
        let (mean, sd) = (location + scale * shift, scale * spread);
        check_moments(mean, sd)?;
        Ok(Self {
            location,
            scale,
            slant,
            mean,
            sd,
        })
    }

    /// A skew normal process by mean, standard deviation and skewness (third central moment over the third power of the
    /// standard deviation).
    ///
    /// With `r = (2 |skewness| / (4 - pi))^(1/3)`, the mean shift over the standard deviation is `r`, so
    /// `d sqrt(2 / pi) = r / sqrt(1 + r^2)`.
    pub fn with_moments(mean: f64, sd: f64, skewness: f64) -> Result<Self, ShapeError> {
        check_finite("mean", mean)?;
        check_positive_sd(sd)?;
        check_finite("skewness", skewness)?;
        if libm::fabs(skewness) >= SKEWNESS_LIMIT {
            return Err(ShapeError::SkewnessTooLarge {
                skewness,
                limit: SKEWNESS_LIMIT,
            });
        }
        let r = libm::cbrt(2.0 * skewness / (4.0 - std::f64::consts::PI));
        // d^2 = (pi / 2) r^2 / (1 + r^2), so slant = d / sqrt(1 - d^2).
        let half_pi = std::f64::consts::FRAC_PI_2;
        let slant = libm::sqrt(half_pi) * r / libm::sqrt(1.0 - (half_pi - 1.0) * r * r);
        let scale = sd * libm::sqrt(1.0 + r * r);
        let location = mean - sd * r;
        check_moments(location, scale)?;
        Ok(Self {
            location,
            scale,
            slant,
            mean,
            sd,
        })
    }

    /// Skewness.
    pub fn skewness(&self) -> f64 {
        let (shift, spread) = moments(lean(self.slant));
        let r = shift / spread;
        0.5 * (4.0 - std::f64::consts::PI) * r * r * r
    }

    fn score(&self, x: f64) -> f64 {
        (x - self.location) / self.scale
    }

    /// The value with these probabilities below and above it; the smaller one counts.
    fn value(&self, below: f64, above: f64) -> f64 {
        let (sign, slant) = (1.0_f64.copysign(self.slant), libm::fabs(self.slant));
        let (short, long) = if sign > 0.0 {
            (below, above)
        } else {
            (above, below)
        };
        let u = if short <= long {
            short_quantile(short, slant)
        } else {
            long_quantile(long, slant)
        };
        self.location + self.scale * sign * u
    }
}

/// `slant / sqrt(1 + slant^2)`.
fn lean(slant: f64) -> f64 {
    slant / libm::sqrt(1.0 + slant * slant)
}

/// Mean and standard deviation of the standard skew normal with this lean.
fn moments(lean: f64) -> (f64, f64) {
    let shift = libm::sqrt(std::f64::consts::FRAC_2_PI) * lean;
    (shift, libm::sqrt(1.0 - shift * shift))
}

/// Density of the standard skew normal.
fn standard_density(u: f64, slant: f64) -> f64 {
    2.0 * normal::density(u) * normal::below(slant * u)
}

/// Probabilities below and above `u` for a slant at or above zero: `2 R(-u)` below zero and `2 Phi(-u) - 2 R(u)` above,
/// `R` the rest of Owen's function; nothing cancels on either side.
fn probabilities(u: f64, slant: f64) -> (f64, f64) {
    let twice = 2.0 * owens_rest(libm::fabs(u), slant);
    if u <= 0.0 {
        (twice, 1.0 - twice)
    } else {
        let above = 2.0 * normal::below(-u) - twice;
        (1.0 - above, above)
    }
}

/// The standard value with probability `p <= 1/2` below it, for a slant at or above zero.
///
/// The density is log-concave (Azzalini 1985), so the logarithm of the probability is a rising concave function, and
/// Newton's method from below it never overshoots.
fn short_quantile(p: f64, slant: f64) -> f64 {
    if p <= 0.0 {
        return f64::NEG_INFINITY;
    }
    let square = 1.0 + slant * slant;
    let at_zero = libm::atan2(1.0, slant) / std::f64::consts::PI;
    // The probability below -h is at most at_zero exp(-h^2 (1 + slant^2) / 2).
    let start = if p < at_zero {
        -libm::sqrt(2.0 * libm::log(at_zero / p) / square)
    } else {
        0.0
    };
    let scale = 1.0 / libm::sqrt(square);
    solve_rising_concave(start, scale, libm::log(p), |u| {
        let below = probabilities(u, slant).0;
        (libm::log(below), standard_density(u, slant) / below)
    })
}

/// The standard value with probability `q <= 1/2` above it, for a slant at or above zero.
fn long_quantile(q: f64, slant: f64) -> f64 {
    if q <= 0.0 {
        return f64::INFINITY;
    }
    // The probability above is at most twice the normal one; rising in -u.
    let start = -normal::upper_quantile(0.5 * q);
    -solve_rising_concave(start, 1.0, libm::log(q), |minus| {
        let above = probabilities(-minus, slant).1;
        (libm::log(above), standard_density(-minus, slant) / above)
    })
}

impl Shape for SkewNormal {
    fn density(&self, x: f64) -> f64 {
        standard_density(self.score(x), self.slant) / self.scale
    }
    fn below(&self, x: f64) -> f64 {
        let u = self.score(x);
        if self.slant >= 0.0 {
            probabilities(u, self.slant).0
        } else {
            probabilities(-u, -self.slant).1
        }
    }
    fn above(&self, x: f64) -> f64 {
        let u = self.score(x);
        if self.slant >= 0.0 {
            probabilities(u, self.slant).1
        } else {
            probabilities(-u, -self.slant).0
        }
    }
    fn quantile(&self, p: f64) -> f64 {
        self.value(p, 1.0 - p)
    }
    fn upper_quantile(&self, q: f64) -> f64 {
        self.value(1.0 - q, q)
    }
    fn mean(&self) -> f64 {
        self.mean
    }
    fn sd(&self) -> f64 {
        self.sd
    }
    fn support(&self) -> (f64, f64) {
        (f64::NEG_INFINITY, f64::INFINITY)
    }
}

/// How much longer one tail is than the other.
const SKEWNESS: Parameter = Parameter {
    key: "skewness",
    role: Role::Plain,
    usual: Usual::None,
    words: "skewness, positive where the upper tail is the longer one",
};

/// Where the normal curve stands before it leans.
const LOCATION: Parameter = Parameter {
    key: "location",
    role: Role::Place,
    usual: Usual::None,
    words: "location",
};

/// How far it leans.
const SLANT: Parameter = Parameter {
    key: "slant",
    role: Role::Plain,
    usual: Usual::None,
    words: "slant, positive where the upper tail is the longer one",
};

/// How a scenario states it.
pub const KIND: Kind = Kind {
    name: "skew_normal",
    words: "a normal curve leaning to one side, with ends that fall like a normal one's",
    by_moments: Some(ByMoments {
        extra: &[SKEWNESS],
        build: |mean, sd, extra| Ok(Arc::new(SkewNormal::with_moments(mean, sd, extra[0])?)),
    }),
    by_parameters: Some(ByParameters {
        parameters: &[LOCATION, SCALE, SLANT],
        build: |p| Ok(Arc::new(SkewNormal::new(p[0], p[1], p[2])?)),
    }),
    fit: Some(crate::skew_fit::fit),
};

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slant_one_is_the_larger_of_two_normal_values() {
        let s = SkewNormal::new(0.0, 1.0, 1.0).unwrap();
        for u in [-9.0, -3.0, -0.2, 0.0, 0.2, 3.0, 8.0] {
            let below = normal::below(u);
            let got = s.below(u);
            assert!((got / (below * below) - 1.0).abs() < 1e-13, "{u}: {got}");
            let above = normal::below(-u) * (1.0 + below);
            let got = s.above(u);
            assert!((got / above - 1.0).abs() < 1e-13, "{u}: {got}");
        }
    }

    #[test]
    fn quantile_undoes_below_in_both_tails() {
        for slant in [0.0, 1e-3, 0.3, 1.0, -4.0, 30.0, -1000.0] {
            let s = SkewNormal::new(0.0, 1.0, slant).unwrap();
            for p in [1e-17, 1e-12, 1e-6, 0.01, 0.3, 0.5, 0.7] {
                let x = s.quantile(p);
                let rounding = 8e-16 * x.abs() * s.density(x) / p;
                let back = s.below(x) / p;
                assert!(
                    (back - 1.0).abs() < 3e-13 + rounding,
                    "{slant}, {p}: {back}"
                );
                let x = s.upper_quantile(p);
                let rounding = 8e-16 * x.abs() * s.density(x) / p;
                let back = s.above(x) / p;
                assert!(
                    (back - 1.0).abs() < 3e-13 + rounding,
                    "{slant}, {p}: {back}"
                );
            }
        }
    }

    #[test]
    fn moments_lead_back_to_the_parameters() {
        for skewness in [0.0, 0.001, -0.5, 0.9, -0.994] {
            let s = SkewNormal::with_moments(3.0, 0.2, skewness).unwrap();
            let back = SkewNormal::new(s.location, s.scale, s.slant).unwrap();
            assert!((back.mean() - 3.0).abs() < 1e-14, "{back:?}");
            assert!((back.sd() - 0.2).abs() < 1e-14, "{back:?}");
            assert!((back.skewness() - skewness).abs() < 1e-13, "{back:?}");
        }
    }

    #[test]
    fn more_skewness_than_the_kind_can_have_is_refused() {
        assert_eq!(
            SkewNormal::with_moments(0.0, 1.0, -0.995),
            Err(ShapeError::SkewnessTooLarge {
                skewness: -0.995,
                limit: 0.995
            })
        );
        assert!(matches!(
            SkewNormal::new(0.0, 1.0, 1e9),
            Err(ShapeError::ParameterOutside { name: "slant", .. })
        ));
        assert!(matches!(
            SkewNormal::with_moments(0.0, 1.0, f64::NAN),
            Err(ShapeError::NotFinite { .. })
        ));
    }
}
