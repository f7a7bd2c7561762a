//! A truncated normal process: a normal distribution of which only the values inside a range are left.

use std::sync::Arc;

use crate::kind::{ByMoments, HIGH, Kind, LOW};
use crate::normal;
use crate::quadrature::{panel, panels};
use crate::shape::{Shape, ShapeError, check_finite, check_positive_sd, check_range};

/// Below this share the tail probabilities of what is left can no longer be carried.
const SMALLEST_SHARE: f64 = 1e-280;

/// Scores beyond which a normal density adds nothing to a window that holds the mean.
const FAR_SCORE: f64 = 12.0;

/// A normal distribution cut at both ends and scaled up to probability 1.
///
/// Probabilities are added up from the nearer tail, so a range far out in the upper tail is as good as its mirror
/// image in the lower one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TruncatedNormal {
    parent_mean: f64,
    parent_sd: f64,
    low: f64,
    high: f64,
    /// Share of the parent inside the range.
    share: f64,
    /// Shares of the parent below and above the range.
    share_below: f64,
    share_above: f64,
    mean: f64,
    sd: f64,
}

impl TruncatedNormal {
    /// A truncated normal process; `mean` and `sd` are those of the parent before the cut.
    pub fn new(mean: f64, sd: f64, low: f64, high: f64) -> Result<Self, ShapeError> {
        check_finite("mean", mean)?;
        check_positive_sd(sd)?;
        check_range(low, high)?;
        let (from, to) = ((low - mean) / sd, (high - mean) / sd);
        let width = (high - low) / sd;
        if !(from.is_finite() && to.is_finite() && width.is_finite() && width > 0.0) {
            return Err(ShapeError::TooExtreme);
        }
        let share = between(from, to, width);
        if share < SMALLEST_SHARE {
            return Err(ShapeError::NothingLeft { low, high, share });
        }
        // Moments of the distance from the end that is nearer to the parent's mean, so that nothing cancels.
        let (near, direction, end) = if from + to >= 0.0 {
            (from, 1.0, low)
        } else {
            (-to, -1.0, high)
        };
        let (distance, spread) = moments(near, width);
        Ok(Self {
            parent_mean: mean,
            parent_sd: sd,
            low,
            high,
            share,
            share_below: normal::below(from),
            share_above: normal::below(-to),
            mean: end + direction * sd * distance,
            sd: sd * spread,
        })
    }

    fn score(&self, x: f64) -> f64 {
        (x - self.parent_mean) / self.parent_sd
    }

    /// The value with these parent probabilities below and above it; the smaller one counts.
    fn value(&self, below: f64, above: f64) -> f64 {
        let score = if below <= above {
            normal::quantile(below)
        } else {
            normal::upper_quantile(above)
        };
        (self.parent_mean + self.parent_sd * score).clamp(self.low, self.high)
    }
}

/// Standard-normal probability between two scores `width` apart.
pub(crate) fn between(from: f64, to: f64, width: f64) -> f64 {
    if from > 0.0 {
        return between(-to, -from, width);
    }
    if width * (1.0 - from) < 4.0 {
        // A narrow window: the difference of two tails would cancel.
        return width * panel(0.0, 1.0, |u| normal::density(from + u * width));
    }
    if to <= 0.0 {
        normal::below(to) - normal::below(from)
    } else {
        0.5 * (libm::erf(to / std::f64::consts::SQRT_2)
            - libm::erf(from / std::f64::consts::SQRT_2))
    }
}

/// Mean distance from `near` and standard deviation of a standard normal between `near` and `near + width`.
///
/// By quadrature of `exp(-near u - u^2 / 2)` over the distance `u`; the closed forms lose their digits far out.
fn moments(near: f64, width: f64) -> (f64, f64) {
    let start = (-FAR_SCORE - near).max(0.0);
    let reach = if near > 0.0 {
        90.0 / (near + libm::sqrt(near * near + 90.0))
    } else {
        FAR_SCORE - near
    };
    let end = width.min(reach);
    let reference = near.max(0.0);
    let weight = |u: f64| {
        let z = near + u;
        libm::exp(-0.5 * (z - reference) * (z + reference))
    };
    let total = panels(start, end, 16, weight);
    let mean = panels(start, end, 16, |u| u * weight(u)) / total;
    let variance = panels(start, end, 16, |u| (u - mean) * (u - mean) * weight(u)) / total;
    (mean, libm::sqrt(variance))
}

impl Shape for TruncatedNormal {
    fn density(&self, x: f64) -> f64 {
        if (self.low..=self.high).contains(&x) {
            normal::density(self.score(x)) / self.share / self.parent_sd
        } else {
            0.0
        }
    }
    fn below(&self, x: f64) -> f64 {
        if x <= self.low {
            0.0
        } else if x >= self.high {
            1.0
        } else {
            (between(
                self.score(self.low),
                self.score(x),
                (x - self.low) / self.parent_sd,
            ) / self.share)
                .min(1.0)
        }
    }
    fn above(&self, x: f64) -> f64 {
        if x <= self.low {
            1.0
        } else if x >= self.high {
            0.0
        } else {
            (between(
                self.score(x),
                self.score(self.high),
                (self.high - x) / self.parent_sd,
            ) / self.share)
                .min(1.0)
        }
    }
    fn quantile(&self, p: f64) -> f64 {
        self.value(
            self.share_below + p * self.share,
            self.share_above + (1.0 - p) * self.share,
        )
    }
    fn upper_quantile(&self, q: f64) -> f64 {
        self.value(
            self.share_below + (1.0 - q) * self.share,
            self.share_above + q * self.share,
        )
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

/// How a scenario states it: mean and standard deviation are those before the cut.
pub const KIND: Kind = Kind {
    name: "truncated_normal",
    words: "a normal of which what lies outside a range never leaves the shop",
    by_moments: Some(ByMoments {
        extra: &[LOW, HIGH],
        build: |mean, sd, ends| Ok(Arc::new(TruncatedNormal::new(mean, sd, ends[0], ends[1])?)),
    }),
    by_parameters: None,
    fit: None,
};

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn moments_match_the_closed_form_near_the_mean() {
        // var = 1 - 2 c phi(c) / (2 Phi(c) - 1) for a symmetric cut at +-c.
        for c in [0.5, 1.0, 2.0, 3.0, 6.0] {
            let t = TruncatedNormal::new(0.0, 1.0, -c, c).unwrap();
            let inside = libm::erf(c / std::f64::consts::SQRT_2);
            let expected = 1.0 - 2.0 * c * normal::density(c) / inside;
            let got = t.sd() * t.sd();
            assert!(
                (got - expected).abs() < 1e-14,
                "c {c}: got {got}, expected {expected}"
            );
            assert!(t.mean().abs() < 1e-14, "c {c}: mean {}", t.mean());
        }
    }

    #[test]
    fn a_range_far_above_mirrors_the_one_far_below() {
        let above = TruncatedNormal::new(0.0, 1.0, 20.0, 21.0).unwrap();
        let below = TruncatedNormal::new(0.0, 1.0, -21.0, -20.0).unwrap();
        for p in [1e-12, 1e-3, 0.5, 0.999] {
            assert_eq!(above.upper_quantile(p), -below.quantile(p), "p {p}");
            assert_eq!(above.quantile(p), -below.upper_quantile(p), "p {p}");
        }
        assert_eq!((above.mean(), above.sd()), (-below.mean(), below.sd()));
        // Far out the distance from the near end is exponential with mean about 1 / 20.05.
        assert!(
            (above.mean() - 20.049_75).abs() < 1e-4,
            "mean {}",
            above.mean()
        );
    }

    #[test]
    fn values_never_leave_the_range() {
        let t = TruncatedNormal::new(30.0, 0.01, 29.99, 30.02).unwrap();
        for i in -400..=400 {
            let x = t.from_score(f64::from(i) * 0.1);
            assert!((29.99..=30.02).contains(&x), "{x}");
        }
    }

    #[test]
    fn a_range_that_holds_nothing_is_refused() {
        let refused = TruncatedNormal::new(0.0, 1.0, 40.0, 41.0);
        assert!(
            matches!(refused, Err(ShapeError::NothingLeft { share, .. }) if share < 1e-280),
            "{refused:?}"
        );
    }
}
