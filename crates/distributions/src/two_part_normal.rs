//! A two-part normal process: half a normal curve below the most likely value, half of another one above it.

use std::sync::Arc;

use crate::fitting::{Readings, maximum_between};
use crate::kind::{ByParameters, FitError, Fitted, Kind, MODE, Parameter, Role, Usual};
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
    /// At the mode, where the curvature of the density jumps.
    fn bend(&self) -> Option<f64> {
        Some(normal::quantile(self.shares().0))
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

/// The two-part normal distribution of largest likelihood.
///
/// With the mode given and `A`, `B` the sums of squares of the distances below and above it, the best parts are
/// `sd_below = A^(1/3) h`, `sd_above = B^(1/3) h` with `n h^2 = A^(1/3) + B^(1/3)` (S. John 1982, recalled), and the
/// likelihood falls with `A^(1/3) + B^(1/3)`; so only the mode is searched, first over the readings and the middles
/// between them, then around the highest of these that is higher than its neighbours. A mode at an outermost reading would
/// leave one part without spread and is not taken for a maximum.
fn fit(readings: &[f64]) -> Result<Fitted, FitError> {
    let readings = Readings::new(readings, 3)?;
    let squares = Squares::new(&readings);
    let mut sorted = squares.sorted.clone();
    sorted.dedup();
    let places: Vec<f64> = sorted
        .windows(2)
        .flat_map(|pair| [pair[0], 0.5 * (pair[0] + pair[1])])
        .chain(sorted.last().copied())
        .collect();
    let heights: Vec<f64> = places.iter().map(|place| squares.height(*place)).collect();
    let best = (1..places.len() - 1)
        .filter(|&i| heights[i] > heights[i - 1] && heights[i] >= heights[i + 1])
        .max_by(|&i, &j| heights[i].total_cmp(&heights[j]))
        .ok_or(FitError::NoMaximum)?;
    let mut found = (places[best], heights[best]);
    for pair in places[best - 1..=best + 1].windows(2) {
        if pair[1] > pair[0] {
            let here = maximum_between(pair[0], pair[1], |mode| squares.height(mode));
            if here.1 > found.1 {
                found = here;
            }
        }
    }
    let (a, b) = squares.roots(found.0);
    if !(a > 0.0 && b > 0.0) {
        return Err(FitError::NoMaximum);
    }
    let h = libm::sqrt((a + b) / readings.n);
    // Counted in standard deviations from the mean.
    let (mode, sd_below, sd_above) = (
        readings.mean + readings.sd * found.0,
        readings.sd * a * h,
        readings.sd * b * h,
    );
    let shape = TwoPartNormal::new(mode, sd_below, sd_above).map_err(|_| FitError::NoMaximum)?;
    let constant = 0.5 * libm::log(std::f64::consts::FRAC_2_PI) - 0.5;
    Ok(Fitted {
        shape: Arc::new(shape),
        stated: vec![
            ("mode", Role::Place, mode),
            ("sd_below", Role::Spread, sd_below),
            ("sd_above", Role::Spread, sd_above),
        ],
        free: 3,
        log_likelihood: readings.n * (constant - libm::log(sd_below + sd_above)),
    })
}

/// Sorted readings in standard deviations from their mean, with sums of them and of their squares.
struct Squares {
    sorted: Vec<f64>,
    /// Number, sum and sum of squares of the readings before each.
    before: Vec<[f64; 3]>,
}

impl Squares {
    fn new(readings: &Readings) -> Self {
        let mut sorted: Vec<f64> = readings
            .values
            .iter()
            .map(|x| (x - readings.mean) / readings.sd)
            .collect();
        sorted.sort_by(f64::total_cmp);
        let mut before = vec![[0.0; 3]];
        let mut sum = [0.0; 3];
        for z in &sorted {
            sum = [sum[0] + 1.0, sum[1] + z, sum[2] + z * z];
            before.push(sum);
        }
        Self { sorted, before }
    }

    /// Cube roots of the sums of squares below and above a mode.
    fn roots(&self, mode: f64) -> (f64, f64) {
        let (first, last) = (self.sorted[0], self.sorted[self.sorted.len() - 1]);
        let part = self.sorted.partition_point(|z| *z < mode);
        let square = |[n, sum, squares]: [f64; 3]| {
            libm::cbrt((squares - 2.0 * mode * sum + n * mode * mode).max(0.0))
        };
        let below = self.before[part];
        let total = self.before[self.sorted.len()];
        (
            if mode > first { square(below) } else { 0.0 },
            if mode < last {
                square([0, 1, 2].map(|i| total[i] - below[i]))
            } else {
                0.0
            },
        )
    }

    /// Rises with the likelihood.
    fn height(&self, mode: f64) -> f64 {
        let (a, b) = self.roots(mode);
        -(a + b)
    }
}

/// How a scenario states it.
pub const KIND: Kind = Kind {
    name: "two_part_normal",
    words: "a most likely value with more spread on one side than on the other",
    by_moments: None,
    by_parameters: Some(ByParameters {
        parameters: &[MODE, SD_BELOW, SD_ABOVE],
        build: |p| Ok(Arc::new(TwoPartNormal::new(p[0], p[1], p[2])?)),
    }),
    fit: Some(fit),
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
