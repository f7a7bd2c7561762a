//! A beta process: a value between two ends, heaped up anywhere between them.

use std::sync::Arc;

use crate::beta;
use crate::kind::{ByMoments, ByParameters, HIGH, Kind, LOW, Parameter, Role, Usual};
use crate::shape::{
    Shape, ShapeError, check_between, check_finite, check_moments, check_positive_sd, check_range,
};

/// Smallest and largest shape parameter taken.
const SHAPES: (f64, f64) = (0.05, 1e12);

/// `low + (high - low) u`, with `u` of density `u^(a - 1) (1 - u)^(b - 1) / B(a, b)`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Beta {
    a: f64,
    b: f64,
    low: f64,
    high: f64,
    mean: f64,
    sd: f64,
}

impl Beta {
    /// A beta process by its two shape parameters (plain numbers) and the ends of its range.
    ///
    /// With `n = a + b`: `mean = low + (high - low) a / n`, `sd = (high - low) sqrt(a b / (n + 1)) / n` (any textbook).
    pub fn new(alpha: f64, beta: f64, low: f64, high: f64) -> Result<Self, ShapeError> {
        check_between("alpha", alpha, SHAPES.0, SHAPES.1)?;
        check_between("beta", beta, SHAPES.0, SHAPES.1)?;
        check_range(low, high)?;
        let (n, width) = (alpha + beta, high - low);
        let mean = if alpha <= beta {
            low + width * (alpha / n)
        } else {
            high - width * (beta / n)
        };
        let sd = width / n * libm::sqrt(alpha * (beta / (n + 1.0)));
        check_moments(mean, sd)?;
        Ok(Self {
            a: alpha,
            b: beta,
            low,
            high,
            mean,
            sd,
        })
    }

    /// A beta process by mean and standard deviation of the value and the ends of its range.
    ///
    /// With `m` the share of the range below the mean and `v` the variance in ranges: `n = m (1 - m) / v - 1`, `a = m n`,
    /// `b = (1 - m) n`. The standard deviation must lie below `sqrt((mean - low) (high - mean))`, where all values would
    /// be at the ends.
    pub fn with_moments(mean: f64, sd: f64, low: f64, high: f64) -> Result<Self, ShapeError> {
        check_finite("mean", mean)?;
        check_positive_sd(sd)?;
        check_range(low, high)?;
        if !(mean > low && mean < high) {
            return Err(ShapeError::MeanOutside { mean, low, high });
        }
        let (rise, fall, width) = (mean - low, high - mean, high - low);
        let largest = libm::sqrt(rise) * libm::sqrt(fall);
        if sd >= largest {
            return Err(ShapeError::SdTooLarge { sd, largest });
        }
        // (largest^2 - sd^2) / sd^2 without cancellation near the largest.
        let n = (largest - sd) / sd * ((largest + sd) / sd);
        let (a, b) = (rise / width * n, fall / width * n);
        if !((SHAPES.0..=SHAPES.1).contains(&a) && (SHAPES.0..=SHAPES.1).contains(&b)) {
            return Err(ShapeError::TooExtreme);
        }
        Ok(Self {
            a,
            b,
            low,
            high,
            mean,
            sd,
        })
    }

    /// Distances from both ends in ranges.
    fn shares(&self, x: f64) -> (f64, f64) {
        let width = self.high - self.low;
        let x = x.clamp(self.low, self.high);
        ((x - self.low) / width, (self.high - x) / width)
    }

    /// The value with probability `p` below it, measured from the nearer end.
    fn value(&self, below: f64, above: f64) -> f64 {
        let width = self.high - self.low;
        let from_low = if below <= above {
            beta::quantile(below, self.a, self.b)
        } else {
            beta::upper_quantile(above, self.a, self.b)
        };
        if from_low <= 0.5 {
            return self.low + width * from_low;
        }
        let from_high = if above <= below {
            beta::quantile(above, self.b, self.a)
        } else {
            beta::upper_quantile(below, self.b, self.a)
        };
        self.high - width * from_high
    }
}

impl Shape for Beta {
    fn density(&self, x: f64) -> f64 {
        if !(self.low..=self.high).contains(&x) {
            return 0.0;
        }
        let (u, v) = self.shares(x);
        beta::density(u, v, self.a, self.b) / (self.high - self.low)
    }
    fn below(&self, x: f64) -> f64 {
        let (u, v) = self.shares(x);
        if u <= v {
            beta::below(u, self.a, self.b)
        } else {
            beta::above(v, self.b, self.a)
        }
    }
    fn above(&self, x: f64) -> f64 {
        let (u, v) = self.shares(x);
        if u <= v {
            beta::above(u, self.a, self.b)
        } else {
            beta::below(v, self.b, self.a)
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
        (self.low, self.high)
    }
}

/// Power of the distance from the lower end.
const ALPHA: Parameter = Parameter {
    key: "alpha",
    role: Role::Plain,
    usual: Usual::None,
    words: "shape parameter of the lower end",
};

/// Power of the distance from the upper end.
const BETA: Parameter = Parameter {
    key: "beta",
    role: Role::Plain,
    usual: Usual::None,
    words: "shape parameter of the upper end",
};

/// How a scenario states it.
///
/// It is not fitted: with free ends the likelihood grows without bound as an end nears the outermost reading.
pub const KIND: Kind = Kind {
    name: "beta",
    words: "a range that no value leaves, heaped up anywhere inside it",
    by_moments: Some(ByMoments {
        extra: &[LOW, HIGH],
        build: |mean, sd, ends| Ok(Arc::new(Beta::with_moments(mean, sd, ends[0], ends[1])?)),
    }),
    by_parameters: Some(ByParameters {
        parameters: &[ALPHA, BETA, LOW, HIGH],
        build: |p| Ok(Arc::new(Beta::new(p[0], p[1], p[2], p[3])?)),
    }),
    fit: None,
};

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_and_one_is_the_uniform_distribution() {
        let b = Beta::new(1.0, 1.0, 2.0, 4.0).unwrap();
        for x in [2.0, 2.5, 3.0, 3.9, 4.0] {
            assert!((b.below(x) - 0.5 * (x - 2.0)).abs() < 1e-15, "{x}");
            assert!((b.density(x) - 0.5).abs() < 1e-14, "{x}");
        }
        assert_eq!((b.density(1.9), b.density(4.1)), (0.0, 0.0));
    }

    #[test]
    fn moments_lead_back_to_the_parameters() {
        for (alpha, beta) in [(0.3, 0.2), (2.0, 5.0), (40.0, 1.5)] {
            let b = Beta::new(alpha, beta, -1.0, 3.0).unwrap();
            let back = Beta::with_moments(b.mean(), b.sd(), -1.0, 3.0).unwrap();
            assert!(
                (back.a / alpha - 1.0).abs() < 1e-12 && (back.b / beta - 1.0).abs() < 1e-12,
                "{back:?}"
            );
        }
    }

    #[test]
    fn more_spread_than_both_ends_give_is_refused_and_the_most_is_named() {
        assert_eq!(
            Beta::with_moments(1.0, 2.5, 0.0, 5.0),
            Err(ShapeError::SdTooLarge {
                sd: 2.5,
                largest: 2.0
            })
        );
        assert!(matches!(
            Beta::with_moments(5.0, 0.1, 0.0, 5.0),
            Err(ShapeError::MeanOutside { .. })
        ));
        assert!(matches!(
            Beta::new(1.0, 0.0, 0.0, 5.0),
            Err(ShapeError::ParameterOutside { name: "beta", .. })
        ));
        assert!(matches!(
            Beta::new(1.0, 1.0, 5.0, 5.0),
            Err(ShapeError::EmptyRange { .. })
        ));
    }
}
