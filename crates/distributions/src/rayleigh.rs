//! A Rayleigh process: the distance from the centre of two equal normal errors square to each other.

use std::sync::Arc;

use crate::fitting::Readings;
use crate::kind::{ByParameters, FitError, Fitted, Kind, ORIGIN, Role, SCALE};
use crate::shape::{Shape, ShapeError, check_finite, check_moments, check_positive};

/// `origin + scale sqrt(-2 ln u)` with `u` evenly spread over `(0, 1)`: the eccentricity of two normal components, each
/// with standard deviation `scale`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rayleigh {
    scale: f64,
    origin: f64,
}

impl Rayleigh {
    /// A Rayleigh process by its scale (the standard deviation of one component) and its smallest possible value.
    pub fn new(scale: f64, origin: f64) -> Result<Self, ShapeError> {
        check_positive("scale", scale)?;
        check_finite("origin", origin)?;
        let made = Self { scale, origin };
        check_moments(made.mean(), made.sd())?;
        Ok(made)
    }

    /// Distance from the origin in scales.
    fn distance(&self, x: f64) -> f64 {
        ((x - self.origin) / self.scale).max(0.0)
    }
}

impl Shape for Rayleigh {
    fn density(&self, x: f64) -> f64 {
        let u = self.distance(x);
        u * libm::exp(-0.5 * u * u) / self.scale
    }
    fn below(&self, x: f64) -> f64 {
        let u = self.distance(x);
        -libm::expm1(-0.5 * u * u)
    }
    fn above(&self, x: f64) -> f64 {
        let u = self.distance(x);
        libm::exp(-0.5 * u * u)
    }
    fn quantile(&self, p: f64) -> f64 {
        self.origin + self.scale * libm::sqrt(-2.0 * libm::log1p(-p))
    }
    fn upper_quantile(&self, q: f64) -> f64 {
        self.origin + self.scale * libm::sqrt(-2.0 * libm::log(q))
    }
    /// `origin + scale sqrt(pi / 2)`.
    fn mean(&self) -> f64 {
        self.origin + self.scale * libm::sqrt(std::f64::consts::FRAC_PI_2)
    }
    /// `scale sqrt(2 - pi / 2)`.
    fn sd(&self) -> f64 {
        self.scale * libm::sqrt(2.0 - std::f64::consts::FRAC_PI_2)
    }
    fn support(&self) -> (f64, f64) {
        (self.origin, f64::INFINITY)
    }
}

/// The Rayleigh distribution of largest likelihood with its origin at zero: `2 scale^2` is the mean of the squares.
fn fit(readings: &[f64]) -> Result<Fitted, FitError> {
    let readings = Readings::new(readings, 1)?;
    if readings.least <= 0.0 {
        return Err(FitError::Unsuited);
    }
    let squares: f64 = readings.values.iter().map(|x| x * x).sum();
    let scale = libm::sqrt(0.5 * squares / readings.n);
    let shape = Rayleigh::new(scale, 0.0).map_err(|_| FitError::Unsuited)?;
    let logs: f64 = readings.values.iter().map(|x| libm::log(x / scale)).sum();
    Ok(Fitted {
        shape: Arc::new(shape),
        stated: vec![("scale", Role::Spread, scale), ("origin", Role::Place, 0.0)],
        free: 1,
        log_likelihood: logs - readings.n * (libm::log(scale) + 1.0),
    })
}

/// How a scenario states it.
pub const KIND: Kind = Kind {
    name: "rayleigh",
    words: "an eccentricity: the distance from the centre where both directions err alike",
    by_moments: None,
    by_parameters: Some(ByParameters {
        parameters: &[SCALE, ORIGIN],
        build: |p| Ok(Arc::new(Rayleigh::new(p[0], p[1])?)),
    }),
    fit: Some(fit),
};

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Weibull;

    #[test]
    fn is_a_weibull_distribution_of_shape_two() {
        let r = Rayleigh::new(3.0, 1.0).unwrap();
        let w = Weibull::new(2.0, 3.0 * std::f64::consts::SQRT_2, 1.0).unwrap();
        for x in [0.5, 1.0, 1.001, 3.0, 9.0, 30.0] {
            for (ours, theirs) in [
                (r.density(x), w.density(x)),
                (r.below(x), w.below(x)),
                (r.above(x), w.above(x)),
                (r.mean(), w.mean()),
                (r.sd(), w.sd()),
            ] {
                assert!(
                    (ours - theirs).abs() <= 1e-13 * theirs,
                    "{x}: {ours}, {theirs}"
                );
            }
        }
    }

    #[test]
    fn impossible_parameters_are_refused() {
        assert!(matches!(
            Rayleigh::new(-1.0, 0.0),
            Err(ShapeError::NotPositive { name: "scale", .. })
        ));
        assert!(matches!(
            Rayleigh::new(1.0, f64::NAN),
            Err(ShapeError::NotFinite { name: "origin", .. })
        ));
        assert_eq!(Rayleigh::new(1e-320, 0.0), Err(ShapeError::TooExtreme));
    }
}
