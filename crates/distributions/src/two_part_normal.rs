//! A two-part normal process: half a normal curve below the most likely value, half of another one above it.

use std::sync::Arc;

use crate::kind::{ByParameters, Kind, MODE, Parameter, Role, Usual};
use crate::normal;
use crate::shape::{Shape, ShapeError, check_finite, check_moments, check_positive};

/// Density `2 / (s + t) phi((x - mode) / s)` below the mode and the same with `t` above it, with `s = sd_below`,
/// `t = sd_above` and `phi` the standard-normal density (G. T. Fechner 1897, recalled).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TwoPartNormal {
    mode: f64,
    sd_below: f64,
    sd_above: f64,
}

impl TwoPartNormal {
    /// A two-part normal process by its mode and the standard deviations its two halves would have if they were whole.
    pub fn new(mode: f64, sd_below: f64, sd_above: f64) -> Result<Self, ShapeError> {
        check_finite("mode", mode)?;
        check_positive("sd_below", sd_below)?;
        check_positive("sd_above", sd_above)?;
        let made = Self {
            mode,
            sd_below,
            sd_above,
        };
        check_moments(made.mean(), made.sd())?;
        let (below, above) = made.shares();
        if below > 0.0 && above > 0.0 {
            Ok(made)
        } else {
            Err(ShapeError::TooExtreme)
        }
    }

    /// Shares of the values below and above the mode.
    fn shares(&self) -> (f64, f64) {
        let sum = self.sd_below + self.sd_above;
        (self.sd_below / sum, self.sd_above / sum)
    }

    /// The value with these probabilities below and above it.
    fn value(&self, p: f64, q: f64) -> f64 {
        let (below, above) = self.shares();
        if p <= below {
            self.mode + self.sd_below * normal::quantile(0.5 * p / below)
        } else {
            self.mode + self.sd_above * normal::upper_quantile((0.5 * q / above).min(0.5))
        }
    }
}

impl Shape for TwoPartNormal {
    fn density(&self, x: f64) -> f64 {
        let sd = if x < self.mode {
            self.sd_below
        } else {
            self.sd_above
        };
        2.0 * normal::density((x - self.mode) / sd) / (self.sd_below + self.sd_above)
    }
    fn below(&self, x: f64) -> f64 {
        if x <= self.mode {
            2.0 * self.shares().0 * normal::below((x - self.mode) / self.sd_below)
        } else {
            1.0 - self.above(x)
        }
    }
    fn above(&self, x: f64) -> f64 {
        if x > self.mode {
            2.0 * self.shares().1 * normal::below((self.mode - x) / self.sd_above)
        } else {
            1.0 - self.below(x)
        }
    }
    fn quantile(&self, p: f64) -> f64 {
        self.value(p, 1.0 - p)
    }
    fn upper_quantile(&self, q: f64) -> f64 {
        self.value(1.0 - q, q)
    }
    /// `mode + sqrt(2 / pi) (sd_above - sd_below)`.
    fn mean(&self) -> f64 {
        self.mode + libm::sqrt(std::f64::consts::FRAC_2_PI) * (self.sd_above - self.sd_below)
    }
    /// `sqrt((1 - 2 / pi) (sd_above - sd_below)^2 + sd_above sd_below)`.
    fn sd(&self) -> f64 {
        let gap = self.sd_above - self.sd_below;
        libm::sqrt((1.0 - std::f64::consts::FRAC_2_PI) * gap * gap + self.sd_above * self.sd_below)
    }
    fn support(&self) -> (f64, f64) {
        (f64::NEG_INFINITY, f64::INFINITY)
    }
}

/// Standard deviation of the lower half.
const SD_BELOW: Parameter = Parameter {
    key: "sd_below",
    role: Role::Spread,
    usual: Usual::None,
    words: "standard deviation of the half below the most likely value",
};

/// Standard deviation of the upper half.
const SD_ABOVE: Parameter = Parameter {
    key: "sd_above",
    role: Role::Spread,
    usual: Usual::None,
    words: "standard deviation of the half above the most likely value",
};

/// How a scenario states it.
pub const KIND: Kind = Kind {
    name: "two_part_normal",
    words: "a most likely value with more spread on one side than on the other",
    by_moments: None,
    by_parameters: Some(ByParameters {
        parameters: &[MODE, SD_BELOW, SD_ABOVE],
        build: |p| Ok(Arc::new(TwoPartNormal::new(p[0], p[1], p[2])?)),
    }),
    fit: None,
};

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn equal_halves_are_a_normal_distribution() {
        let t = TwoPartNormal::new(3.0, 0.5, 0.5).unwrap();
        for z in [-7.0, -1.0, 0.0, 0.3, 7.0] {
            let x = 3.0 + 0.5 * z;
            assert!((t.below(x) - normal::below(z)).abs() <= 1e-15, "{z}");
            assert!((t.from_score(z) - x).abs() <= 1e-14, "{z}");
            assert!(
                (t.density(x) - 2.0 * normal::density(z)).abs() < 1e-15,
                "{z}"
            );
        }
        assert_eq!((t.mean(), t.sd()), (3.0, 0.5));
    }

    #[test]
    fn scores_rise_through_the_mode() {
        let t = TwoPartNormal::new(0.0, 1.0, 3.0).unwrap();
        let mut before = f64::NEG_INFINITY;
        for i in -2000..2000 {
            let x = t.from_score(f64::from(i) * 0.004);
            assert!(x > before, "{i}");
            before = x;
        }
    }

    #[test]
    fn impossible_parameters_are_refused() {
        assert!(matches!(
            TwoPartNormal::new(0.0, 1.0, 0.0),
            Err(ShapeError::NotPositive {
                name: "sd_above",
                ..
            })
        ));
        assert!(matches!(
            TwoPartNormal::new(f64::NAN, 1.0, 1.0),
            Err(ShapeError::NotFinite { name: "mode", .. })
        ));
        assert_eq!(
            TwoPartNormal::new(0.0, 1e-300, 1e300),
            Err(ShapeError::TooExtreme)
        );
    }
}
