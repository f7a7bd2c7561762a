//! A folded normal process: the magnitude of a normal error.

use std::sync::Arc;

use crate::fitting::{Readings, maximum_between};
use crate::kind::{ByParameters, FitError, Fitted, Kind, ORIGIN, Parameter, Role, Usual};
use crate::normal;
use crate::shape::{Shape, ShapeError, check_finite, check_moments, check_positive};
use crate::solve::rising_root;
use crate::truncated_normal::between;

/// `origin + |parent_mean + parent_sd z|` with `z` standard normal: errors of form, which have no sign.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FoldedNormal {
    /// Magnitude of the mean of the parent over its standard deviation; the sign makes no difference.
    shift: f64,
    parent_sd: f64,
    origin: f64,
}

impl FoldedNormal {
    /// A folded normal process; `parent_mean` counts from the origin.
    pub fn new(parent_mean: f64, parent_sd: f64, origin: f64) -> Result<Self, ShapeError> {
        check_finite("parent_mean", parent_mean)?;
        check_positive("parent_sd", parent_sd)?;
        check_finite("origin", origin)?;
        let made = Self {
            shift: libm::fabs(parent_mean) / parent_sd,
            parent_sd,
            origin,
        };
        check_moments(made.mean(), made.sd())?;
        Ok(made)
    }

    /// Distance from the origin in standard deviations of the parent.
    fn distance(&self, x: f64) -> f64 {
        (x - self.origin) / self.parent_sd
    }

    /// Probability of a distance at or below `d >= 0`, and its density.
    fn below_distance(&self, d: f64) -> f64 {
        between(-d - self.shift, d - self.shift, 2.0 * d)
    }

    fn above_distance(&self, d: f64) -> f64 {
        normal::below(self.shift - d) + normal::below(-self.shift - d)
    }

    fn density_of_distance(&self, d: f64) -> f64 {
        normal::density(d - self.shift) + normal::density(d + self.shift)
    }

    /// What the mean lies above the magnitude of the parent's, in standard deviations of the parent:
    /// `2 (phi(t) - t Phi(-t))`.
    fn lift(&self) -> f64 {
        2.0 * (normal::density(self.shift) - self.shift * normal::below(-self.shift))
    }

    /// The distance with these probabilities below and above it; the smaller one counts.
    ///
    /// Between those of the parent with probability `q` and `q / 2` above it, as the folded tail adds at most as much
    /// again.
    fn distance_with(&self, below: f64, above: f64) -> f64 {
        let score = |half: f64| {
            if above <= below {
                normal::upper_quantile(half * above)
            } else if half == 1.0 {
                normal::quantile(below)
            } else {
                normal::quantile(0.5 + 0.5 * below)
            }
        };
        // The density is nowhere above twice that of a standard normal at 0.
        let least = 0.999 * below * libm::sqrt(std::f64::consts::FRAC_PI_2);
        let low = (self.shift + score(1.0) - 1e-12).max(least);
        let high = self.shift + score(0.5) + 1e-12;
        // Far out on either side the parent alone is left.
        let start = if self.shift > 0.0 { low } else { high };
        rising_root(low, high.max(1.002 * least), start, 0.0, |d| {
            if below <= above {
                let value = self.below_distance(d);
                (
                    libm::log(value / below),
                    self.density_of_distance(d) / value,
                )
            } else {
                let value = self.above_distance(d);
                (
                    -libm::log(value / above),
                    self.density_of_distance(d) / value,
                )
            }
        })
    }
}

impl Shape for FoldedNormal {
    fn density(&self, x: f64) -> f64 {
        if x >= self.origin {
            self.density_of_distance(self.distance(x)) / self.parent_sd
        } else {
            0.0
        }
    }
    fn below(&self, x: f64) -> f64 {
        if x > self.origin {
            self.below_distance(self.distance(x))
        } else {
            0.0
        }
    }
    fn above(&self, x: f64) -> f64 {
        if x > self.origin {
            self.above_distance(self.distance(x))
        } else {
            1.0
        }
    }
    fn quantile(&self, p: f64) -> f64 {
        self.origin + self.parent_sd * self.distance_with(p, 1.0 - p)
    }
    fn upper_quantile(&self, q: f64) -> f64 {
        self.origin + self.parent_sd * self.distance_with(1.0 - q, q)
    }
    /// `E|z + t| = t + 2 (phi(t) - t Phi(-t))` (Leone, Nelson and Nottingham 1961, recalled).
    fn mean(&self) -> f64 {
        self.origin + self.parent_sd * (self.shift + self.lift())
    }
    /// `var |z + t| = t^2 + 1 - (E|z + t|)^2`, written without the difference of squares.
    fn sd(&self) -> f64 {
        let lift = self.lift();
        self.parent_sd * libm::sqrt(1.0 - lift * (2.0 * self.shift + lift))
    }
    fn support(&self) -> (f64, f64) {
        (self.origin, f64::INFINITY)
    }
}

/// Standard deviation before the sign is dropped.
const PARENT_SD: Parameter = Parameter {
    key: "parent_sd",
    role: Role::Spread,
    usual: Usual::None,
    words: "standard deviation before the sign is dropped",
};

/// Mean before the sign is dropped.
const PARENT_MEAN: Parameter = Parameter {
    key: "parent_mean",
    role: Role::Spread,
    usual: Usual::Value(0.0),
    words: "mean before the sign is dropped, counted from the origin",
};

/// Steps of the search for the standard deviation of the parent.
const STEPS: u32 = 24;

/// The folded normal distribution of largest likelihood with its origin at zero.
///
/// At the maximum `parent_sd^2 + parent_mean^2` is the mean of the squares of the readings (Leone, Nelson and Nottingham
/// 1961, recalled), so only the logarithm of `parent_sd` is searched, between that of the readings' own standard deviation
/// and that of their root mean square.
fn fit(readings: &[f64]) -> Result<Fitted, FitError> {
    let readings = Readings::new(readings, 2)?;
    if readings.least < 0.0 {
        return Err(FitError::Unsuited);
    }
    let root = libm::hypot(readings.mean, readings.sd);
    let split = |t: f64| {
        let sd = libm::exp(t);
        (libm::sqrt(((root - sd) * (root + sd)).max(0.0)), sd)
    };
    let height = |t: f64| {
        let (mean, sd) = split(t);
        log_likelihood(&readings, mean, sd)
    };
    let (first, last) = (libm::log(readings.sd), libm::log(root));
    let place = |i: u32| first + (last - first) / f64::from(STEPS) * f64::from(i);
    let best = (0..=STEPS)
        .map(|i| (i, height(place(i))))
        .max_by(|a, b| a.1.total_cmp(&b.1))
        .map_or(0, |best| best.0);
    let (from, to) = (best.saturating_sub(1), (best + 1).min(STEPS));
    let (found, searched) = maximum_between(place(from), place(to), height);
    let at = [place(best), found][usize::from(searched > height(place(best)))];
    let (mean, sd) = split(at);
    let shape = FoldedNormal::new(mean, sd, 0.0).map_err(|_| FitError::NoMaximum)?;
    Ok(Fitted {
        shape: Arc::new(shape),
        stated: vec![
            ("parent_sd", Role::Spread, sd),
            ("parent_mean", Role::Spread, mean),
            ("origin", Role::Place, 0.0),
        ],
        free: 2,
        log_likelihood: height(at),
    })
}

/// `sum of ln[(phi((x - mean) / sd) + phi((x + mean) / sd)) / sd]`.
fn log_likelihood(readings: &Readings, mean: f64, sd: f64) -> f64 {
    let constant = -libm::log(sd) - 0.5 * libm::log(std::f64::consts::TAU);
    readings
        .values
        .iter()
        .map(|x| {
            let z = (x - mean) / sd;
            libm::log1p(libm::exp(-2.0 * x / sd * (mean / sd))) - 0.5 * z * z
        })
        .sum::<f64>()
        + readings.n * constant
}

/// How a scenario states it.
pub const KIND: Kind = Kind {
    name: "folded_normal",
    words: "an error of form: a normal error without its sign",
    by_moments: None,
    by_parameters: Some(ByParameters {
        parameters: &[PARENT_SD, PARENT_MEAN, ORIGIN],
        build: |p| Ok(Arc::new(FoldedNormal::new(p[1], p[0], p[2])?)),
    }),
    fit: Some(fit),
};

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn without_a_parent_mean_it_is_the_half_normal_distribution() {
        let f = FoldedNormal::new(0.0, 2.0, 1.0).unwrap();
        for x in [1.0, 1.000_001, 2.0, 5.0, 17.0] {
            let z = (x - 1.0) / 2.0;
            assert!(
                (f.above(x) - 2.0 * normal::below(-z)).abs() <= 1e-15 * f.above(x),
                "{x}"
            );
            let expected = libm::erf(z / std::f64::consts::SQRT_2);
            assert!((f.below(x) - expected).abs() <= 1e-14 * expected, "{x}");
        }
        let pi = std::f64::consts::PI;
        assert!((f.mean() - 1.0 - 2.0 * libm::sqrt(2.0 / pi)).abs() < 1e-15);
        assert!((f.sd() - 2.0 * libm::sqrt(1.0 - 2.0 / pi)).abs() < 1e-15);
    }

    #[test]
    fn the_sign_of_the_parent_mean_makes_no_difference() {
        let (plus, minus) = (
            FoldedNormal::new(0.7, 0.3, 0.0).unwrap(),
            FoldedNormal::new(-0.7, 0.3, 0.0).unwrap(),
        );
        assert_eq!(plus, minus);
    }

    #[test]
    fn quantile_undoes_below_in_both_tails() {
        for shift in [0.0, 1e-3, 0.5, 1.0, 3.0, 6.9, 7.1, 12.0, 1e4] {
            let f = FoldedNormal::new(shift, 1.0, 0.0).unwrap();
            for p in [1e-17, 1e-12, 1e-6, 0.1, 0.5, 0.7] {
                let rounding = 4e-16 * shift * 40.0;
                let back = f.below(f.quantile(p)) / p;
                assert!(
                    (back - 1.0).abs() < 2e-13 + rounding,
                    "{shift}, {p}: {back}"
                );
                let back = f.above(f.upper_quantile(p)) / p;
                assert!(
                    (back - 1.0).abs() < 2e-13 + rounding,
                    "{shift}, {p}: {back}"
                );
            }
        }
    }

    #[test]
    fn impossible_parameters_are_refused() {
        assert!(matches!(
            FoldedNormal::new(0.0, 0.0, 0.0),
            Err(ShapeError::NotPositive {
                name: "parent_sd",
                ..
            })
        ));
        assert!(matches!(
            FoldedNormal::new(f64::INFINITY, 1.0, 0.0),
            Err(ShapeError::NotFinite { .. })
        ));
    }
}
