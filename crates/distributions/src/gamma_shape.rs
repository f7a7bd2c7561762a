//! A gamma process: the sum of waits, above a smallest possible value.

use std::sync::Arc;

use crate::digamma::{digamma, trigamma};
use crate::fitting::{Readings, origin_or_zero};
use crate::gamma;
use crate::kind::{
    ByMoments, ByParameters, FitError, Fitted, Kind, ORIGIN, Role, SCALE, SHAPE_PARAMETER,
};
use crate::quadrature::{log1p_minus, stirling_error};
use crate::shape::{
    Shape, ShapeError, check_between, check_finite, check_moments, check_positive,
    check_positive_sd,
};

/// Smallest and largest shape parameter taken.
const SHAPES: (f64, f64) = (0.01, 1e12);

/// `origin + scale g`, with `g` of density `g^(a - 1) exp(-g) / Gamma(a)`; `a` is the shape parameter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gamma {
    a: f64,
    scale: f64,
    origin: f64,
    mean: f64,
    sd: f64,
}

impl Gamma {
    /// A gamma process by shape parameter (a plain number), scale (unit of the value) and smallest possible value.
    ///
    /// `mean = origin + a scale`, `sd = scale sqrt(a)` (any textbook).
    pub fn new(shape_parameter: f64, scale: f64, origin: f64) -> Result<Self, ShapeError> {
        check_between("shape parameter", shape_parameter, SHAPES.0, SHAPES.1)?;
        check_positive("scale", scale)?;
        check_finite("origin", origin)?;
        let mean = origin + shape_parameter * scale;
        let sd = scale * libm::sqrt(shape_parameter);
        check_moments(mean, sd)?;
        Ok(Self {
            a: shape_parameter,
            scale,
            origin,
            mean,
            sd,
        })
    }

    /// A gamma process by mean and standard deviation of the value and its smallest possible value.
    pub fn with_moments(mean: f64, sd: f64, origin: f64) -> Result<Self, ShapeError> {
        check_finite("mean", mean)?;
        check_finite("origin", origin)?;
        check_positive_sd(sd)?;
        let distance = mean - origin;
        if distance <= 0.0 {
            return Err(ShapeError::MeanNotAboveOrigin { mean, origin });
        }
        let a = distance / sd * (distance / sd);
        let scale = sd / distance * sd;
        if !((SHAPES.0..=SHAPES.1).contains(&a) && scale.is_normal()) {
            return Err(ShapeError::TooExtreme);
        }
        Ok(Self {
            a,
            scale,
            origin,
            mean,
            sd,
        })
    }

    /// Distance from the origin in scales.
    fn distance(&self, x: f64) -> f64 {
        (x - self.origin) / self.scale
    }
}

impl Shape for Gamma {
    fn density(&self, x: f64) -> f64 {
        if x > self.origin {
            libm::exp(gamma::log_density(self.distance(x), self.a)) / (x - self.origin)
        } else if x == self.origin && self.a <= 1.0 {
            if self.a == 1.0 {
                1.0 / self.scale
            } else {
                f64::INFINITY
            }
        } else {
            0.0
        }
    }
    fn below(&self, x: f64) -> f64 {
        gamma::below(self.distance(x).max(0.0), self.a)
    }
    fn above(&self, x: f64) -> f64 {
        gamma::above(self.distance(x).max(0.0), self.a)
    }
    fn quantile(&self, p: f64) -> f64 {
        self.origin + self.scale * gamma::quantile(p, self.a)
    }
    fn upper_quantile(&self, q: f64) -> f64 {
        self.origin + self.scale * gamma::upper_quantile(q, self.a)
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
}

/// The gamma distribution of largest likelihood, its origin by [`origin_or_zero`].
fn fit(readings: &[f64]) -> Result<Fitted, FitError> {
    let readings = Readings::new(readings, 2)?;
    let (origin, free) = origin_or_zero(&readings, 2, |origin| best_at(&readings, origin).1)?;
    let (a, log_likelihood) = best_at(&readings, origin);
    let scale = (readings.mean - origin) / a;
    let shape = Gamma::new(a, scale, origin).map_err(|_| FitError::NoMaximum)?;
    Ok(Fitted {
        shape: Arc::new(shape),
        stated: vec![
            ("shape_parameter", Role::Plain, a),
            ("scale", Role::Spread, scale),
            ("origin", Role::Place, origin),
        ],
        free,
        log_likelihood,
    })
}

/// The best shape parameter with the origin given, and the logarithm of the likelihood with it.
///
/// With `d` the distances and `m` their mean, the scale is `m / a`, and `a` solves `ln a - psi(a) = s` with
/// `s = ln m - mean ln d`; the logarithm of the likelihood is then `n (-a s - mean ln d + a ln a - a - ln Gamma(a))`.
fn best_at(readings: &Readings, origin: f64) -> (f64, f64) {
    let m = readings.mean - origin;
    // s without the difference of logarithms: the mean of u - ln(1 + u), u the distances from m in m.
    let s = readings
        .values
        .iter()
        .map(|x| -log1p_minus((x - readings.mean) / m))
        .sum::<f64>()
        / readings.n;
    // Within 1.5 % (T. P. Minka 2002, recalled), then Newton's method in 1 / a.
    let mut a = (3.0 - s + libm::sqrt((s - 3.0) * (s - 3.0) + 24.0 * s)) / (12.0 * s);
    for _ in 0..20 {
        let change = log_minus_digamma(a) - s;
        let slope = a * a * (1.0 / a - trigamma(a));
        let inverse = 1.0 / a + change / slope;
        let next = 1.0 / inverse;
        let settled = next.is_nan() || libm::fabs(next - a) <= 1e-9 * a;
        if next > 0.0 {
            a = next;
        }
        if settled {
            break;
        }
    }
    let stirling = 0.5 * libm::log(a / std::f64::consts::TAU) - stirling_error(a);
    (a, readings.n * (-a * s - libm::log(m) + s + stirling))
}

/// `ln a - psi(a)`, by the asymptotic series where the difference would cancel.
fn log_minus_digamma(a: f64) -> f64 {
    if a < 100.0 {
        return libm::log(a) - digamma(a);
    }
    let r = 1.0 / (a * a);
    0.5 / a + r * (1.0 / 12.0 - r * (1.0 / 120.0 - r / 252.0))
}

/// How a scenario states it.
pub const KIND: Kind = Kind {
    name: "gamma",
    words: "many small steps of chance add up, above a smallest possible value",
    by_moments: Some(ByMoments {
        extra: &[ORIGIN],
        build: |mean, sd, extra| Ok(Arc::new(Gamma::with_moments(mean, sd, extra[0])?)),
    }),
    by_parameters: Some(ByParameters {
        parameters: &[SHAPE_PARAMETER, SCALE, ORIGIN],
        build: |p| Ok(Arc::new(Gamma::new(p[0], p[1], p[2])?)),
    }),
    fit: Some(fit),
};

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shape_one_is_the_exponential_distribution() {
        let g = Gamma::new(1.0, 2.0, 3.0).unwrap();
        for x in [3.0, 3.001, 4.0, 9.0, 80.0] {
            let expected = libm::exp(-(x - 3.0) / 2.0);
            assert!((g.above(x) / expected - 1.0).abs() < 1e-13, "{x}");
            assert!((g.density(x) / (0.5 * expected) - 1.0).abs() < 1e-13, "{x}");
        }
        assert_eq!(
            (g.below(2.0), g.above(2.0), g.density(2.0)),
            (0.0, 1.0, 0.0)
        );
        assert_eq!((g.mean(), g.sd()), (5.0, 2.0));
    }

    #[test]
    fn moments_lead_back_to_the_parameters() {
        let g = Gamma::with_moments(0.14, 0.02, 0.05).unwrap();
        assert!(
            (g.a - 20.25).abs() < 1e-12 && (g.scale * g.a - 0.09).abs() < 1e-15,
            "{g:?}"
        );
    }

    #[test]
    fn impossible_parameters_are_refused() {
        assert!(matches!(
            Gamma::with_moments(1.0, 0.1, 1.0),
            Err(ShapeError::MeanNotAboveOrigin { .. })
        ));
        assert!(matches!(
            Gamma::new(2.0, f64::INFINITY, 0.0),
            Err(ShapeError::NotFinite { .. })
        ));
        assert!(matches!(
            Gamma::new(0.0, 1.0, 0.0),
            Err(ShapeError::ParameterOutside { .. })
        ));
        assert_eq!(
            Gamma::with_moments(1.0, 1e-9, 0.0),
            Err(ShapeError::TooExtreme)
        );
    }
}
