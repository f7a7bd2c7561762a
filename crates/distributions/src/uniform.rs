//! A uniform process: every value of a range equally likely.

use std::sync::Arc;

use crate::kind::{ByParameters, HIGH, Kind, LOW};
use crate::shape::{Shape, ShapeError, check_range};

/// Equal density between two ends, none outside.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Uniform {
    low: f64,
    high: f64,
}

impl Uniform {
    /// A uniform process over `[low, high]`.
    pub fn new(low: f64, high: f64) -> Result<Self, ShapeError> {
        check_range(low, high)?;
        Ok(Self { low, high })
    }

    fn width(&self) -> f64 {
        self.high - self.low
    }
}

impl Shape for Uniform {
    fn density(&self, x: f64) -> f64 {
        if (self.low..=self.high).contains(&x) {
            1.0 / self.width()
        } else {
            0.0
        }
    }
    fn below(&self, x: f64) -> f64 {
        ((x - self.low) / self.width()).clamp(0.0, 1.0)
    }
    fn above(&self, x: f64) -> f64 {
        ((self.high - x) / self.width()).clamp(0.0, 1.0)
    }
    fn quantile(&self, p: f64) -> f64 {
        (self.low + self.width() * p).min(self.high)
    }
    fn upper_quantile(&self, q: f64) -> f64 {
        (self.high - self.width() * q).max(self.low)
    }
    fn mean(&self) -> f64 {
        self.low + 0.5 * self.width()
    }
    /// `(high - low) / sqrt 12`.
    fn sd(&self) -> f64 {
        self.width() / libm::sqrt(12.0)
    }
    fn support(&self) -> (f64, f64) {
        (self.low, self.high)
    }
}

/// How a scenario states it.
///
/// It is not fitted by likelihood: the best range ends at the outermost readings, where the likelihood jumps, so that neither
/// its curvature nor a bootstrap says how well the ends are known.
pub const KIND: Kind = Kind {
    name: "uniform",
    words: "any value of a range equally often",
    by_moments: None,
    by_parameters: Some(ByParameters {
        parameters: &[LOW, HIGH],
        build: |ends| Ok(Arc::new(Uniform::new(ends[0], ends[1])?)),
    }),
    fit: None,
};

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn variance_is_a_twelfth_of_the_square_of_the_width() {
        let unit = Uniform::new(0.0, 1.0).unwrap();
        assert!((unit.sd() * unit.sd() - 1.0 / 12.0).abs() < 1e-16);
    }

    #[test]
    fn scores_fill_the_range_and_never_leave_it() {
        let u = Uniform::new(2.0, 3.0).unwrap();
        assert_eq!(u.from_score(0.0), 2.5);
        assert_eq!((u.from_score(-40.0), u.from_score(40.0)), (2.0, 3.0));
        // Phi(-1), Phi(1).
        assert!((u.from_score(-1.0) - 2.158_655_253_931_457).abs() < 1e-15);
        assert!((u.from_score(1.0) - 2.841_344_746_068_543).abs() < 1e-15);
    }

    #[test]
    fn an_empty_range_is_refused() {
        assert_eq!(
            Uniform::new(1.0, 1.0),
            Err(ShapeError::EmptyRange {
                low: 1.0,
                high: 1.0
            })
        );
        assert_eq!(
            Uniform::new(2.0, 1.0),
            Err(ShapeError::EmptyRange {
                low: 2.0,
                high: 1.0
            })
        );
        assert_eq!(
            Uniform::new(-f64::MAX, f64::MAX),
            Err(ShapeError::TooExtreme)
        );
    }
}
