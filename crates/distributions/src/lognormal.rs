//! A lognormal process: a value whose distance from its smallest possible value has a normal logarithm.

use std::sync::Arc;

use crate::fitting::{Readings, origin_or_zero};
use crate::kind::{ByMoments, FitError, Fitted, Kind, ORIGIN, Role};
use crate::normal;
use crate::shape::{Shape, ShapeError, check_finite, check_positive_sd};

/// `origin + exp(log_mean + log_sd z)` with `z` standard normal.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lognormal {
    origin: f64,
    log_mean: f64,
    log_sd: f64,
    mean: f64,
    sd: f64,
}

impl Lognormal {
    /// A lognormal process stated by mean and standard deviation of the value itself.
    ///
    /// `origin` is the smallest possible value. With `m = mean - origin` and `v = (sd / m)^2`:
    /// `log_sd^2 = ln(1 + v)`, `log_mean = ln m - log_sd^2 / 2` (any textbook).
    pub fn with_moments(mean: f64, sd: f64, origin: f64) -> Result<Self, ShapeError> {
        check_finite("mean", mean)?;
        check_finite("origin", origin)?;
        check_positive_sd(sd)?;
        let distance = mean - origin;
        if distance <= 0.0 {
            return Err(ShapeError::MeanNotAboveOrigin { mean, origin });
        }
        let ratio = sd / distance;
        let log_variance = libm::log1p(ratio * ratio);
        let log_mean = libm::log(distance) - 0.5 * log_variance;
        if !(log_mean.is_finite() && log_variance.is_finite() && log_variance > 0.0) {
            return Err(ShapeError::TooExtreme);
        }
        Ok(Self {
            origin,
            log_mean,
            log_sd: libm::sqrt(log_variance),
            mean,
            sd,
        })
    }

    /// The score of a value above the origin.
    fn score(&self, x: f64) -> f64 {
        (libm::log(x - self.origin) - self.log_mean) / self.log_sd
    }
}

impl Shape for Lognormal {
    fn density(&self, x: f64) -> f64 {
        if x > self.origin {
            normal::density(self.score(x)) / (self.log_sd * (x - self.origin))
        } else {
            0.0
        }
    }
    fn below(&self, x: f64) -> f64 {
        if x > self.origin {
            normal::below(self.score(x))
        } else {
            0.0
        }
    }
    fn above(&self, x: f64) -> f64 {
        if x > self.origin {
            normal::below(-self.score(x))
        } else {
            1.0
        }
    }
    fn quantile(&self, p: f64) -> f64 {
        self.from_score(normal::quantile(p))
    }
    fn upper_quantile(&self, q: f64) -> f64 {
        self.from_score(normal::upper_quantile(q))
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
    fn from_score(&self, z: f64) -> f64 {
        self.origin + libm::exp(self.log_mean + self.log_sd * z)
    }
}

/// The lognormal distribution of largest likelihood, its origin by [`origin_or_zero`].
///
/// With the origin given, mean and root mean square deviation of the logarithms are best.
fn fit(readings: &[f64]) -> Result<Fitted, FitError> {
    let readings = Readings::new(readings, 2)?;
    let height = |origin: f64| {
        let (log_mean, log_sd) = log_moments(&readings, origin);
        -readings.n
            * (log_mean + libm::log(log_sd) + 0.5 * (libm::log(std::f64::consts::TAU) + 1.0))
    };
    let (origin, free) = origin_or_zero(&readings, 2, height)?;
    let (log_mean, log_sd) = log_moments(&readings, origin);
    let variance = log_sd * log_sd;
    let distance = libm::exp(log_mean + 0.5 * variance);
    let mean = origin + distance;
    let sd = distance * libm::sqrt(libm::expm1(variance));
    let shape = Lognormal::with_moments(mean, sd, origin).map_err(|_| FitError::NoMaximum)?;
    Ok(Fitted {
        shape: Arc::new(shape),
        stated: vec![
            ("mean", Role::Place, mean),
            ("sd", Role::Spread, sd),
            ("origin", Role::Place, origin),
        ],
        free,
        log_likelihood: height(origin),
    })
}

/// Mean and root mean square deviation of the logarithms of the distances from the origin.
fn log_moments(readings: &Readings, origin: f64) -> (f64, f64) {
    // Counted from the logarithm of the first, so that nothing is lost far from the origin.
    let first = libm::log(readings.values[0] - origin);
    let (mut sum, mut squares) = (0.0, 0.0);
    for x in readings.values {
        let log = libm::log(x - origin) - first;
        sum += log;
        squares += log * log;
    }
    let mean = sum / readings.n;
    let variance = (squares / readings.n - mean * mean).max(0.0);
    (first + mean, libm::sqrt(variance))
}

/// How a scenario states it.
pub const KIND: Kind = Kind {
    name: "lognormal",
    words: "many small causes multiply, above a smallest possible value",
    by_moments: Some(ByMoments {
        extra: &[ORIGIN],
        build: |mean, sd, extra| Ok(Arc::new(Lognormal::with_moments(mean, sd, extra[0])?)),
    }),
    by_parameters: None,
    fit: Some(fit),
};

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quadrature::panels;

    #[test]
    fn stated_moments_are_the_moments_of_the_density() {
        let l = Lognormal::with_moments(0.14, 0.02, 0.05).unwrap();
        let moment = |f: &dyn Fn(f64) -> f64| {
            panels(-12.0, 12.0, 24, |z| normal::density(z) * f(l.from_score(z)))
        };
        let mean = moment(&|x| x);
        let sd = libm::sqrt(moment(&|x| (x - mean) * (x - mean)));
        assert!(
            (mean - 0.14).abs() < 1e-15 && (sd - 0.02).abs() < 1e-14,
            "mean {mean}, sd {sd}"
        );
    }

    #[test]
    fn quantile_undoes_below_in_both_tails() {
        let l = Lognormal::with_moments(3.0, 1.0, 0.0).unwrap();
        for p in [1e-12, 1e-6, 0.3, 0.5] {
            assert!((l.below(l.quantile(p)) / p - 1.0).abs() < 1e-13, "p {p}");
            assert!(
                (l.above(l.upper_quantile(p)) / p - 1.0).abs() < 1e-13,
                "q {p}"
            );
        }
    }

    #[test]
    fn a_mean_at_or_below_the_origin_is_refused() {
        let refused = Lognormal::with_moments(1.0, 0.1, 1.0);
        assert_eq!(
            refused,
            Err(ShapeError::MeanNotAboveOrigin {
                mean: 1.0,
                origin: 1.0
            })
        );
        assert_eq!(
            Lognormal::with_moments(1.0, 1e-200, 0.0),
            Err(ShapeError::TooExtreme)
        );
    }
}
