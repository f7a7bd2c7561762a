//! A gamma process: the sum of waits, above a smallest possible value.

use std::sync::Arc;

use crate::gamma;
use crate::kind::{ByMoments, ByParameters, Kind, ORIGIN, SCALE, SHAPE_PARAMETER};
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
    fn has_closed_map(&self) -> bool {
        false
    }
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
    fit: None,
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
