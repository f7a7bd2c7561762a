//! A Weibull process: the smallest of many, above a smallest possible value.

use std::sync::Arc;

use crate::digamma::digamma;
use crate::kind::{ByMoments, ByParameters, Kind, ORIGIN, SCALE, SHAPE_PARAMETER};
use crate::shape::{
    Shape, ShapeError, check_between, check_finite, check_moments, check_positive,
    check_positive_sd,
};
use crate::solve::rising_root;

/// Smallest and largest shape parameter taken.
const SHAPES: (f64, f64) = (0.05, 1e7);

/// `origin + scale (-ln u)^(1 / k)` with `u` evenly spread over `(0, 1)`; `k` is the shape parameter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weibull {
    k: f64,
    scale: f64,
    origin: f64,
    mean: f64,
    sd: f64,
}

impl Weibull {
    /// A Weibull process by shape parameter (a plain number), scale (unit of the value) and smallest possible value.
    ///
    /// `mean = origin + scale Gamma(1 + 1/k)`, `sd = scale sqrt(Gamma(1 + 2/k) - Gamma(1 + 1/k)^2)` (any textbook).
    pub fn new(shape_parameter: f64, scale: f64, origin: f64) -> Result<Self, ShapeError> {
        check_between("shape parameter", shape_parameter, SHAPES.0, SHAPES.1)?;
        check_positive("scale", scale)?;
        check_finite("origin", origin)?;
        let distance = scale * libm::tgamma(1.0 + 1.0 / shape_parameter);
        let (mean, sd) = (origin + distance, distance * variation(shape_parameter));
        check_moments(mean, sd)?;
        Ok(Self {
            k: shape_parameter,
            scale,
            origin,
            mean,
            sd,
        })
    }

    /// A Weibull process by mean and standard deviation of the value and its smallest possible value.
    ///
    /// The coefficient of variation `sd / (mean - origin)` decides the shape parameter alone.
    pub fn with_moments(mean: f64, sd: f64, origin: f64) -> Result<Self, ShapeError> {
        check_finite("mean", mean)?;
        check_finite("origin", origin)?;
        check_positive_sd(sd)?;
        let distance = mean - origin;
        if distance <= 0.0 {
            return Err(ShapeError::MeanNotAboveOrigin { mean, origin });
        }
        let ratio = sd / distance;
        if !(ratio < variation(SHAPES.0) && ratio > variation(SHAPES.1)) {
            return Err(ShapeError::TooExtreme);
        }
        let (low, high) = (libm::log(SHAPES.0), libm::log(SHAPES.1));
        let guess = -1.086 * libm::log(ratio);
        let log_k = rising_root(low, high, guess, 1e-15, |t| {
            let e = libm::exp(-t);
            let log_square = log_square_ratio(e);
            let slope = e * (digamma(1.0 + 2.0 * e) - digamma(1.0 + e));
            (
                libm::log(ratio) - 0.5 * libm::log(libm::expm1(log_square)),
                slope / -libm::expm1(-log_square),
            )
        });
        let k = libm::exp(log_k);
        let scale = distance / libm::tgamma(1.0 + 1.0 / k);
        check_moments(mean, sd)?;
        check_positive("scale", scale)?;
        Ok(Self {
            k,
            scale,
            origin,
            mean,
            sd,
        })
    }

    /// `((x - origin) / scale)^k` for a value above the origin.
    fn exponent(&self, x: f64) -> f64 {
        libm::pow((x - self.origin) / self.scale, self.k)
    }

    /// The value with this exponent.
    fn value(&self, exponent: f64) -> f64 {
        self.origin + self.scale * libm::pow(exponent, 1.0 / self.k)
    }
}

/// `ln [Gamma(1 + 2 e) / Gamma(1 + e)^2]`: by the Taylor series `sum of (-1)^n zeta(n) / n (2^n - 2) e^n` where the
/// difference of the log-gammas would cancel (Abramowitz and Stegun 6.1.33, recalled).
fn log_square_ratio(e: f64) -> f64 {
    if e > 0.1 {
        return libm::lgamma(1.0 + 2.0 * e) - 2.0 * libm::lgamma(1.0 + e);
    }
    let (mut sum, mut power, mut double, mut sign) = (0.0, e, 2.0 * e, 1.0);
    for n in 2..30 {
        power *= e;
        double *= 2.0 * e;
        sum += sign * zeta(n) / f64::from(n) * (double - 2.0 * power);
        sign = -sign;
    }
    sum
}

/// Riemann's zeta function at a whole number above 1, by its first terms and the rest as an integral with corrections
/// (Euler and Maclaurin).
fn zeta(n: i32) -> f64 {
    let s = f64::from(n);
    let term = |k: f64| libm::pow(k, -s);
    let last = 12.0;
    let head: f64 = (1..12).map(|k| term(f64::from(k))).sum();
    head + term(last)
        * (last / (s - 1.0) + 0.5 + s / (12.0 * last)
            - s * (s + 1.0) * (s + 2.0) / (720.0 * last * last * last)
            + s * (s + 1.0) * (s + 2.0) * (s + 3.0) * (s + 4.0)
                / (30_240.0 * last * last * last * last * last))
}

/// Standard deviation over the mean distance from the origin.
fn variation(k: f64) -> f64 {
    libm::sqrt(libm::expm1(log_square_ratio(1.0 / k)))
}

impl Shape for Weibull {
    fn density(&self, x: f64) -> f64 {
        if x < self.origin {
            return 0.0;
        }
        let u = (x - self.origin) / self.scale;
        self.k / self.scale * libm::pow(u, self.k - 1.0) * libm::exp(-self.exponent(x))
    }
    fn below(&self, x: f64) -> f64 {
        if x > self.origin {
            -libm::expm1(-self.exponent(x))
        } else {
            0.0
        }
    }
    fn above(&self, x: f64) -> f64 {
        if x > self.origin {
            libm::exp(-self.exponent(x))
        } else {
            1.0
        }
    }
    fn quantile(&self, p: f64) -> f64 {
        self.value(-libm::log1p(-p))
    }
    fn upper_quantile(&self, q: f64) -> f64 {
        self.value(-libm::log(q))
    }
    fn mean(&self) -> f64 {
        self.mean
    }
    fn sd(&self) -> f64 {
        self.sd
    }
    fn support(&self) -> (f64, f64) {
        (self.origin, f64::INFINITY)
    }
    fn has_closed_map(&self) -> bool {
        false
    }
}

/// How a scenario states it.
pub const KIND: Kind = Kind {
    name: "weibull",
    words: "the weakest of many decides, above a smallest possible value",
    by_moments: Some(ByMoments {
        extra: &[ORIGIN],
        build: |mean, sd, extra| Ok(Arc::new(Weibull::with_moments(mean, sd, extra[0])?)),
    }),
    by_parameters: Some(ByParameters {
        parameters: &[SHAPE_PARAMETER, SCALE, ORIGIN],
        build: |p| Ok(Arc::new(Weibull::new(p[0], p[1], p[2])?)),
    }),
    fit: None,
};

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shape_two_is_the_rayleigh_distribution_in_its_moments() {
        let w = Weibull::new(2.0, 1.0, 0.0).unwrap();
        let pi = std::f64::consts::PI;
        assert!((w.mean() - 0.5 * libm::sqrt(pi)).abs() < 1e-15);
        assert!((w.sd() - libm::sqrt(1.0 - pi / 4.0)).abs() < 1e-15);
    }

    #[test]
    fn moments_lead_back_to_the_parameters() {
        for k in [0.06, 0.5, 1.0, 2.0, 3.6, 9.9, 10.1, 300.0, 1e6] {
            let w = Weibull::new(k, 2.0, 1.0).unwrap();
            let back = Weibull::with_moments(w.mean(), w.sd(), 1.0).unwrap();
            assert!((back.k / k - 1.0).abs() < 1e-13, "{k}: {back:?}");
            assert!((back.scale / 2.0 - 1.0).abs() < 1e-12, "{k}: {back:?}");
        }
    }

    #[test]
    fn impossible_parameters_are_refused() {
        assert_eq!(
            Weibull::new(2.0, 0.0, 0.0),
            Err(ShapeError::NotPositive {
                name: "scale",
                value: 0.0
            })
        );
        assert!(matches!(
            Weibull::new(f64::NAN, 1.0, 0.0),
            Err(ShapeError::NotFinite { .. })
        ));
        assert!(matches!(
            Weibull::new(-1.0, 1.0, 0.0),
            Err(ShapeError::ParameterOutside { .. })
        ));
        assert!(matches!(
            Weibull::with_moments(1.0, 0.1, 1.0),
            Err(ShapeError::MeanNotAboveOrigin { .. })
        ));
        assert_eq!(
            Weibull::with_moments(1.0, 1e-12, 0.0),
            Err(ShapeError::TooExtreme)
        );
    }
}
