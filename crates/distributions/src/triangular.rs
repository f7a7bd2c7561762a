//! A triangular process: density rising in a straight line to a mode and falling in a straight line from it.

use std::sync::Arc;

use crate::kind::{ByParameters, HIGH, Kind, LOW, MODE};
use crate::normal;
use crate::shape::{Shape, ShapeError, check_finite, check_range};

/// Triangular density over `[low, high]` with its peak at `mode`; the mode may lie at an end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Triangular {
    low: f64,
    mode: f64,
    high: f64,
}

impl Triangular {
    /// A triangular process.
    pub fn new(low: f64, mode: f64, high: f64) -> Result<Self, ShapeError> {
        check_range(low, high)?;
        check_finite("mode", mode)?;
        if !(low..=high).contains(&mode) {
            return Err(ShapeError::ModeOutside { mode, low, high });
        }
        Ok(Self { low, mode, high })
    }

    fn width(&self) -> f64 {
        self.high - self.low
    }

    fn rise(&self) -> f64 {
        self.mode - self.low
    }

    fn fall(&self) -> f64 {
        self.high - self.mode
    }
}

impl Shape for Triangular {
    fn density(&self, x: f64) -> f64 {
        if !(self.low..=self.high).contains(&x) {
            0.0
        } else if x < self.mode {
            2.0 * (x - self.low) / self.rise() / self.width()
        } else if x > self.mode {
            2.0 * (self.high - x) / self.fall() / self.width()
        } else {
            2.0 / self.width()
        }
    }
    /// `(x - low)^2 / (width rise)` up to the mode.
    fn below(&self, x: f64) -> f64 {
        if x <= self.low {
            0.0
        } else if x <= self.mode {
            (x - self.low) / self.width() * ((x - self.low) / self.rise())
        } else {
            1.0 - self.above(x)
        }
    }
    /// `(high - x)^2 / (width fall)` from the mode on.
    fn above(&self, x: f64) -> f64 {
        if x >= self.high {
            0.0
        } else if x > self.mode {
            (self.high - x) / self.width() * ((self.high - x) / self.fall())
        } else {
            1.0 - self.below(x)
        }
    }
    fn quantile(&self, p: f64) -> f64 {
        if p * self.width() <= self.rise() {
            self.low + libm::sqrt(p * self.width() * self.rise())
        } else {
            self.high - libm::sqrt((1.0 - p) * self.width() * self.fall())
        }
    }
    fn upper_quantile(&self, q: f64) -> f64 {
        if q * self.width() <= self.fall() {
            self.high - libm::sqrt(q * self.width() * self.fall())
        } else {
            self.low + libm::sqrt((1.0 - q) * self.width() * self.rise())
        }
    }
    /// `(low + mode + high) / 3`.
    fn mean(&self) -> f64 {
        self.mode + (self.fall() - self.rise()) / 3.0
    }
    /// `sqrt((rise^2 + rise fall + fall^2) / 18)`.
    fn sd(&self) -> f64 {
        let (rise, fall) = (self.rise(), self.fall());
        libm::sqrt((rise * rise + rise * fall + fall * fall) / 18.0)
    }
    fn support(&self) -> (f64, f64) {
        (self.low, self.high)
    }
    /// At the mode, where the density has its corner.
    fn bend(&self) -> Option<f64> {
        let inside = self.low < self.mode && self.mode < self.high;
        inside.then(|| normal::quantile(self.rise() / self.width()))
    }
}

/// How a scenario states it.
///
/// It is not fitted by likelihood: this has corners in the ends of the range, so that its curvature says nothing about how
/// well they are known.
pub const KIND: Kind = Kind {
    name: "triangular",
    words: "a range with a most likely value, where no more is known",
    by_moments: None,
    by_parameters: Some(ByParameters {
        parameters: &[LOW, HIGH, MODE],
        build: |p| Ok(Arc::new(Triangular::new(p[0], p[2], p[1])?)),
    }),
    fit: None,
};

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn variance_of_the_symmetric_unit_triangle_is_one_24th() {
        let t = Triangular::new(0.0, 0.5, 1.0).unwrap();
        assert!((t.sd() * t.sd() - 1.0 / 24.0).abs() < 1e-16);
        assert_eq!(t.mean(), 0.5);
    }

    #[test]
    fn quantile_undoes_below_with_the_mode_inside_and_at_either_end() {
        for mode in [1.0, 1.7, 4.0] {
            let t = Triangular::new(1.0, mode, 4.0).unwrap();
            for p in [1e-12, 1e-3, 0.2, 0.5, 0.9] {
                let back = t.below(t.quantile(p));
                // One rounding of the value moves the probability by density times that rounding.
                let rounding = 4.0 * 4.0 * f64::EPSILON * t.density(t.quantile(p));
                assert!(
                    (back - p).abs() <= 1e-15 * p + rounding,
                    "mode {mode}, p {p}: back {back}"
                );
                let back = t.above(t.upper_quantile(p));
                let rounding = 4.0 * 4.0 * f64::EPSILON * t.density(t.upper_quantile(p));
                assert!(
                    (back - p).abs() <= 1e-15 * p + rounding,
                    "mode {mode}, q {p}: back {back}"
                );
            }
        }
    }

    #[test]
    fn a_mode_outside_the_range_is_refused() {
        let refused = Triangular::new(0.0, 2.0, 1.0);
        assert_eq!(
            refused,
            Err(ShapeError::ModeOutside {
                mode: 2.0,
                low: 0.0,
                high: 1.0
            })
        );
    }
}
