//! A mixture: values from several sources (machines, suppliers, cavities of a tool) in one box.

use std::sync::Arc;

use crate::normal;
use crate::shape::{Shape, ShapeError, check_moments, check_positive};
use crate::solve::rising_root;

/// Fewest and most components.
const COMPONENTS: (usize, usize) = (2, 64);

/// What the stated shares may miss one by.
const SHARE_TOLERANCE: f64 = 1e-9;

/// Relative error of a probability below which a quantile is found: a few roundings.
const SETTLED: f64 = 4e-15;

/// Several shapes, each with its share of the values: `F = sum of share F_i`.
#[derive(Debug, Clone)]
pub struct Mixture {
    components: Vec<(f64, Arc<dyn Shape>)>,
    mean: f64,
    sd: f64,
}

impl Mixture {
    /// A mixture of 2 to 64 shapes; the shares are above zero and add up to one.
    ///
    /// `mean = sum of share mean_i`, `sd^2 = sum of share (sd_i^2 + (mean_i - mean)^2)`.
    pub fn new(components: Vec<(f64, Arc<dyn Shape>)>) -> Result<Self, ShapeError> {
        let (fewest, most) = COMPONENTS;
        let found = components.len();
        if !(fewest..=most).contains(&found) {
            return Err(ShapeError::ComponentCount {
                found,
                fewest,
                most,
            });
        }
        for (share, _) in &components {
            check_positive("share", *share)?;
        }
        let sum: f64 = components.iter().map(|(share, _)| share).sum();
        if libm::fabs(sum - 1.0) > SHARE_TOLERANCE {
            return Err(ShapeError::SharesNotOne { sum });
        }
        let components: Vec<_> = components
            .into_iter()
            .map(|(share, shape)| (share / sum, shape))
            .collect();
        let average = |f: &dyn Fn(&dyn Shape) -> f64| -> f64 {
            components.iter().map(|(share, s)| share * f(&**s)).sum()
        };
        let centre = components[0].1.mean();
        let mean = centre + average(&|s| s.mean() - centre);
        let variance = average(&|s| s.sd() * s.sd() + (s.mean() - mean) * (s.mean() - mean));
        let sd = libm::sqrt(variance);
        check_moments(mean, sd)?;
        Ok(Self {
            components,
            mean,
            sd,
        })
    }

    fn sum(&self, f: impl Fn(&dyn Shape) -> f64) -> f64 {
        self.components
            .iter()
            .map(|(share, shape)| share * f(&**shape))
            .sum()
    }

    /// Smallest value of `f`, which takes the share as well.
    fn least(&self, f: impl Fn(f64, &dyn Shape) -> f64) -> f64 {
        self.components
            .iter()
            .map(|(share, shape)| f(*share, &**shape))
            .fold(f64::INFINITY, f64::min)
    }

    /// The value with probability `p <= 1/2` below it.
    ///
    /// It lies at or above the smallest of the components' own quantiles, and at or below the smallest value under which
    /// one component alone has this probability.
    fn lower(&self, p: f64) -> f64 {
        let low = self.least(|_, shape| shape.quantile(p));
        let high = self
            .least(|share, shape| {
                if p < share {
                    shape.quantile(p / share)
                } else {
                    f64::INFINITY
                }
            })
            .min(-self.least(|_, shape| -shape.quantile(p)));
        rising_root(low, high, high, 0.0, |x| {
            let below = self.below(x);
            let value = libm::log(below / p);
            if libm::fabs(value) <= SETTLED {
                return (0.0, 1.0);
            }
            (value, self.density(x) / below)
        })
    }

    /// The value with probability `q <= 1/2` above it, the mirror image.
    fn upper(&self, q: f64) -> f64 {
        let high = -self.least(|_, shape| -shape.upper_quantile(q));
        let low = -self.least(|share, shape| {
            if q < share {
                -shape.upper_quantile(q / share)
            } else {
                f64::INFINITY
            }
        });
        let low = low.max(self.least(|_, shape| shape.upper_quantile(q)));
        rising_root(low, high, low, 0.0, |x| {
            let above = self.above(x);
            let value = -libm::log(above / q);
            if libm::fabs(value) <= SETTLED {
                return (0.0, 1.0);
            }
            (value, self.density(x) / above)
        })
    }
}

impl Shape for Mixture {
    fn density(&self, x: f64) -> f64 {
        self.sum(|shape| shape.density(x))
    }
    fn below(&self, x: f64) -> f64 {
        self.sum(|shape| shape.below(x)).min(1.0)
    }
    fn above(&self, x: f64) -> f64 {
        self.sum(|shape| shape.above(x)).min(1.0)
    }
    fn quantile(&self, p: f64) -> f64 {
        if p <= 0.5 {
            self.lower(p)
        } else {
            self.upper(1.0 - p)
        }
    }
    fn upper_quantile(&self, q: f64) -> f64 {
        if q <= 0.5 {
            self.upper(q)
        } else {
            self.lower(1.0 - q)
        }
    }
    fn mean(&self) -> f64 {
        self.mean
    }
    fn sd(&self) -> f64 {
        self.sd
    }
    fn support(&self) -> (f64, f64) {
        let low = self.least(|_, shape| shape.support().0);
        let high = -self.least(|_, shape| -shape.support().1);
        (low, high)
    }
    fn from_score(&self, z: f64) -> f64 {
        if z <= 0.0 {
            self.lower(normal::below(z))
        } else {
            self.upper(normal::below(-z))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Normal, Uniform};

    fn two(share: f64, gap: f64) -> Mixture {
        Mixture::new(vec![
            (share, Arc::new(Normal::new(0.0, 1.0).unwrap())),
            (1.0 - share, Arc::new(Normal::new(gap, 0.5).unwrap())),
        ])
        .unwrap()
    }

    #[test]
    fn equal_components_are_the_component() {
        let part: Arc<dyn Shape> = Arc::new(Normal::new(3.0, 0.2).unwrap());
        let m = Mixture::new(vec![(0.3, part.clone()), (0.7, part.clone())]).unwrap();
        assert!((m.mean() - 3.0).abs() < 1e-15 && (m.sd() - 0.2).abs() < 1e-15);
        for i in -85..=85 {
            let z = 0.1 * f64::from(i);
            assert!(
                (m.from_score(z) - part.from_score(z)).abs() < 1e-14,
                "{z}: {}",
                m.from_score(z)
            );
        }
    }

    #[test]
    fn quantile_undoes_below_and_scores_rise() {
        for m in [two(0.5, 1.0), two(0.1, 4.0), two(0.9, 30.0), two(1e-6, 9.0)] {
            let mut before = f64::NEG_INFINITY;
            for i in -850..=850 {
                let z = 0.01 * f64::from(i);
                let x = m.from_score(z);
                assert!(x > before, "{m:?}, {z}");
                before = x;
                let (got, expected) = if z <= 0.0 {
                    (m.below(x), normal::below(z))
                } else {
                    (m.above(x), normal::below(-z))
                };
                let rounding = 1e-15 * x.abs() * m.density(x);
                assert!(
                    (got - expected).abs() <= 1e-14 * expected + rounding,
                    "{m:?}, {z}: {got}, {expected}"
                );
            }
        }
    }

    #[test]
    fn an_empty_valley_is_crossed_where_the_share_says() {
        let m = Mixture::new(vec![
            (0.25, Arc::new(Uniform::new(0.0, 1.0).unwrap())),
            (0.75, Arc::new(Uniform::new(1000.0, 1001.0).unwrap())),
        ])
        .unwrap();
        assert!((m.quantile(0.2499) - 0.9996).abs() < 1e-12);
        assert!((m.quantile(0.2501) - (1000.0 + 0.0001 / 0.75)).abs() < 1e-10);
        assert!((0.9..1000.1).contains(&m.quantile(0.25)));
        assert_eq!(m.support(), (0.0, 1001.0));
    }

    #[test]
    fn impossible_shares_are_refused() {
        let part: Arc<dyn Shape> = Arc::new(Normal::new(3.0, 0.2).unwrap());
        let made = |shares: &[f64]| {
            Mixture::new(shares.iter().map(|s| (*s, part.clone())).collect()).map(|_| ())
        };
        assert_eq!(
            made(&[1.0]),
            Err(ShapeError::ComponentCount {
                found: 1,
                fewest: 2,
                most: 64
            })
        );
        assert_eq!(
            made(&[0.5, 0.4]),
            Err(ShapeError::SharesNotOne { sum: 0.9 })
        );
        assert_eq!(
            made(&[1.5, -0.5]),
            Err(ShapeError::NotPositive {
                name: "share",
                value: -0.5
            })
        );
        assert!(made(&[0.3, 0.7 + 5e-10]).is_ok());
    }
}
