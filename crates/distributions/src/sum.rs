//! The overall distribution of a process whose mean moves: what one lot holds, plus what changes between lots and along
//! the life of a tool.

use std::sync::Arc;

use crate::blur::Blur;
use crate::nodes::Nodes;
use crate::normal::{self, Normal};
use crate::quadrature::halving_panels;
use crate::shape::{Shape, ShapeError, check_moments, check_positive};
use crate::solve::rising_root_near;

/// Below this share of the standard deviation within a lot, a normal movement is added up over the movement instead of
/// over the values.
const NARROW: f64 = 0.01;

/// Scores beyond which a movement that is added up over itself is left out.
const FAR_SCORE: f64 = 13.0;

/// Error of a normal score below which a quantile is found.
const SETTLED: f64 = 1e-14;

/// A slow movement of the mean, centred on zero.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Slow {
    /// Normal: from lot to lot.
    Normal {
        /// Standard deviation.
        sd: f64,
    },
    /// Evenly spread: a ramp along the life of a tool.
    Uniform {
        /// From the beginning of the ramp to its end.
        width: f64,
    },
}

/// A value of `within` plus independent slow movements.
#[derive(Debug, Clone)]
pub struct Sum {
    within: Arc<dyn Shape>,
    law: Law,
    mean: f64,
    sd: f64,
}

/// How the probabilities come about.
#[derive(Debug, Clone)]
enum Law {
    /// Nothing moves.
    Still,
    /// A blur around the mean: the value within a lot is normal itself.
    Closed(Blur),
    /// A blur around values of known weight.
    Nodes(Blur, Nodes),
    /// Added up over the blur.
    Over(Blur),
}

impl Sum {
    /// The sum; at most one movement of each kind.
    ///
    /// Means and variances add up. The distribution is closed where `within` is normal; otherwise it is added up over the
    /// values of `within` (a normal movement) or over the movement.
    pub fn new(within: Arc<dyn Shape>, slow: Vec<Slow>) -> Result<Self, ShapeError> {
        let blur = blur_of(&slow)?;
        let (mean, sd) = (
            within.mean(),
            libm::hypot(within.sd(), blur.map_or(0.0, Blur::sd)),
        );
        check_moments(mean, sd)?;
        let law = match (blur, within.as_normal()) {
            (None, _) => Law::Still,
            (Some(blur), Some(normal)) => Law::Closed(widened(blur, normal.sd())),
            (Some(Blur::Uniform(width)), None) => Law::Over(Blur::Uniform(width)),
            (Some(blur @ (Blur::Normal(sd) | Blur::Both { sd, .. })), None) => {
                if sd < NARROW * within.sd() {
                    Law::Over(blur)
                } else {
                    Law::Nodes(blur, Nodes::of(&*within, sd)?)
                }
            }
        };
        Ok(Self {
            within,
            law,
            mean,
            sd,
        })
    }

    /// Probability below `x` (`side` 1) or above it (`side` -1).
    fn tail(&self, x: f64, side: f64) -> f64 {
        let within = |x: f64| {
            if side > 0.0 {
                self.within.below(x)
            } else {
                self.within.above(x)
            }
        };
        match &self.law {
            Law::Still => within(x),
            Law::Closed(blur) => blur.below(side * (x - self.mean)),
            Law::Nodes(blur, nodes) => nodes.tail(x, side, *blur),
            Law::Over(blur) => self.over(*blur, x, within).min(1.0),
        }
    }

    /// Mean of `f(x - u)` over the movement `u`, added up over `v = x - u`.
    fn over(&self, blur: Blur, x: f64, f: impl Fn(f64) -> f64) -> f64 {
        let reach = match blur {
            Blur::Uniform(_) => blur.half_width(),
            Blur::Normal(sd) | Blur::Both { sd, .. } => blur.half_width() + FAR_SCORE * sd,
        };
        let density = |v: f64| match blur {
            Blur::Uniform(width) => 1.0 / width,
            _ => blur.density(x - v),
        };
        let (from, to) = (x - reach, x + reach);
        let (low, high) = self.within.support();
        // Ends of the range within a lot are corners of the integrand.
        let mut cuts = [from, low, x, high, to].map(|v| v.clamp(from, to));
        cuts.sort_by(f64::total_cmp);
        cuts.windows(2)
            .filter(|cut| cut[1] > cut[0])
            .map(|cut| halving_panels(cut[0], cut[1], |v| f(v) * density(v)))
            .sum()
    }

    /// The value with probability `p <= 1/2` on this side of it, which has the normal score `z <= 0`.
    ///
    /// Solved in normal scores, where sums are nearly straight lines.
    fn solve(&self, z: f64, side: f64) -> f64 {
        if z == f64::NEG_INFINITY {
            return -side * f64::INFINITY;
        }
        let start = side * self.mean + self.sd * z;
        // `t` grows with the probability.
        side * rising_root_near(start, 2.0 * self.sd, SETTLED, |t| {
            let x = side * t;
            let score = normal::quantile(self.tail(x, side));
            (score - z, self.density(x) / normal::density(score))
        })
    }
}

/// The movements as one blur, or none.
fn blur_of(slow: &[Slow]) -> Result<Option<Blur>, ShapeError> {
    let (mut normal, mut uniform) = (None, None);
    for movement in slow {
        let (name, place, size) = match *movement {
            Slow::Normal { sd } => ("normal movement", &mut normal, sd),
            Slow::Uniform { width } => ("uniform movement", &mut uniform, width),
        };
        check_positive(name, size)?;
        if place.replace(size).is_some() {
            return Err(ShapeError::StatedTwice { name });
        }
    }
    Ok(match (normal, uniform) {
        (None, None) => None,
        (Some(sd), None) => Some(Blur::Normal(sd)),
        (None, Some(width)) => Some(Blur::Uniform(width)),
        (Some(sd), Some(width)) => Some(Blur::Both { sd, width }),
    })
}

/// The blur with another normal part added.
fn widened(blur: Blur, more: f64) -> Blur {
    match blur {
        Blur::Normal(sd) => Blur::Normal(libm::hypot(sd, more)),
        Blur::Uniform(width) => Blur::Both { sd: more, width },
        Blur::Both { sd, width } => Blur::Both {
            sd: libm::hypot(sd, more),
            width,
        },
    }
}

impl Shape for Sum {
    fn density(&self, x: f64) -> f64 {
        match &self.law {
            Law::Still => self.within.density(x),
            Law::Closed(blur) => blur.density(x - self.mean),
            Law::Nodes(blur, nodes) => nodes.density(x, *blur),
            Law::Over(Blur::Uniform(width)) => {
                let (from, to) = (x - 0.5 * width, x + 0.5 * width);
                let change = if x < self.mean {
                    self.within.below(to) - self.within.below(from)
                } else {
                    self.within.above(from) - self.within.above(to)
                };
                change / width
            }
            Law::Over(blur) => self.over(*blur, x, |x| self.within.density(x)),
        }
    }
    fn below(&self, x: f64) -> f64 {
        self.tail(x, 1.0)
    }
    fn above(&self, x: f64) -> f64 {
        self.tail(x, -1.0)
    }
    fn quantile(&self, p: f64) -> f64 {
        if let Law::Still = self.law {
            self.within.quantile(p)
        } else if p <= 0.5 {
            self.solve(normal::quantile(p), 1.0)
        } else {
            self.solve(normal::quantile(1.0 - p), -1.0)
        }
    }
    fn upper_quantile(&self, q: f64) -> f64 {
        if let Law::Still = self.law {
            self.within.upper_quantile(q)
        } else if q <= 0.5 {
            self.solve(normal::quantile(q), -1.0)
        } else {
            self.solve(normal::quantile(1.0 - q), 1.0)
        }
    }
    fn mean(&self) -> f64 {
        self.mean
    }
    fn sd(&self) -> f64 {
        self.sd
    }
    fn support(&self) -> (f64, f64) {
        let (low, high) = self.within.support();
        match self.law {
            Law::Still => (low, high),
            Law::Over(blur @ Blur::Uniform(_)) => {
                (low - blur.half_width(), high + blur.half_width())
            }
            _ => (f64::NEG_INFINITY, f64::INFINITY),
        }
    }
    fn as_normal(&self) -> Option<Normal> {
        match self.law {
            Law::Still => self.within.as_normal(),
            Law::Closed(Blur::Normal(sd)) => Normal::new(self.mean, sd).ok(),
            _ => None,
        }
    }
    fn bend(&self) -> Option<f64> {
        match self.law {
            Law::Still => self.within.bend(),
            _ => None,
        }
    }
    fn from_score(&self, z: f64) -> f64 {
        match self.law {
            Law::Still => self.within.from_score(z),
            Law::Closed(Blur::Normal(sd)) => self.mean + sd * z,
            _ if z <= 0.0 => self.solve(z, 1.0),
            _ => self.solve(-z, -1.0),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Gamma, Lognormal, Normal, Triangular, Uniform};

    const NORMAL: Slow = Slow::Normal { sd: 0.5 };
    const RAMP: Slow = Slow::Uniform { width: 2.0 };

    fn close(got: f64, expected: f64, what: &str) {
        assert!(
            (got / expected - 1.0).abs() < 1e-10,
            "{what}: got {got:e}, expected {expected:e}"
        );
    }

    #[test]
    fn two_normals_are_a_normal() {
        let s = Sum::new(Arc::new(Normal::new(3.0, 1.2).unwrap()), vec![NORMAL]).unwrap();
        assert_eq!(s.as_normal(), Normal::new(3.0, 1.3).ok());
        assert!((s.quantile(1e-12) - 3.0 - 1.3 * normal::quantile(1e-12)).abs() < 1e-14);
    }

    #[test]
    fn two_even_spreads_of_one_width_are_a_triangle() {
        let s = Sum::new(Arc::new(Uniform::new(0.0, 2.0).unwrap()), vec![RAMP]).unwrap();
        let triangle = Triangular::new(-1.0, 1.0, 3.0).unwrap();
        for p in [1e-12, 1e-3, 0.4] {
            for (got, expected) in [
                (s.quantile(p), triangle.quantile(p)),
                (s.upper_quantile(p), triangle.upper_quantile(p)),
            ] {
                // A few roundings of a value near the end.
                assert!((got - expected).abs() < 2e-15, "{p}: {got}, {expected}");
            }
        }
        close(s.sd(), triangle.sd(), "sd");
        assert_eq!(s.support(), (-1.0, 3.0));
    }

    #[test]
    fn the_ways_to_add_up_agree_with_the_closed_form() {
        // A normal ramp is the same whether the ramp or the normal part is the movement.
        let closed = Sum::new(Arc::new(Normal::new(1.0, 0.5).unwrap()), vec![RAMP]).unwrap();
        let nodes = Sum::new(Arc::new(Uniform::new(0.0, 2.0).unwrap()), vec![NORMAL]).unwrap();
        for x in [-3.0, -2.0, 0.1, 0.9, 1.5, 4.0, 5.0] {
            close(nodes.below(x), closed.below(x), "below");
            close(nodes.above(x), closed.above(x), "above");
            close(nodes.density(x), closed.density(x), "density");
        }
        let over = Sum {
            law: Law::Over(Blur::Normal(0.5)),
            ..nodes
        };
        for x in [-3.0, -2.0, 0.1, 0.9, 1.5, 4.0, 5.0] {
            close(over.below(x), closed.below(x), "below");
            close(over.above(x), closed.above(x), "above");
        }
    }

    #[test]
    fn a_gamma_plus_a_normal_is_the_exponentially_modified_normal() {
        // F(x) = Phi(v) - exp(1/2 s^2 - x) Phi(v - s), v = x / s, for an exponential of mean 1 and a normal of sd s.
        let s = 0.5;
        let sum = Sum::new(Arc::new(Gamma::new(1.0, 1.0, 0.0).unwrap()), vec![NORMAL]).unwrap();
        for x in [0.3_f64, 1.0, 3.0, 20.0] {
            let v = x / s;
            let above = normal::below(-v) + libm::exp(0.5 * s * s - x) * normal::below(v - s);
            close(sum.above(x), above, "above");
        }
    }

    #[test]
    fn quantile_undoes_below_for_every_way() {
        let lognormal: Arc<dyn Shape> = Arc::new(Lognormal::with_moments(3.0, 1.0, 0.0).unwrap());
        for slow in [
            vec![NORMAL],
            vec![RAMP],
            vec![NORMAL, RAMP],
            vec![Slow::Normal { sd: 0.005 }],
            vec![Slow::Normal { sd: 0.005 }, RAMP],
            vec![],
        ] {
            let s = Sum::new(lognormal.clone(), slow).unwrap();
            for p in [1e-17, 1e-12, 1e-6, 0.05, 0.5] {
                close(s.below(s.quantile(p)), p, "below");
                close(s.above(s.upper_quantile(p)), p, "above");
            }
        }
    }

    #[test]
    fn a_movement_stated_twice_or_without_size_is_refused() {
        let within: Arc<dyn Shape> = Arc::new(Normal::new(3.0, 1.2).unwrap());
        assert!(matches!(
            Sum::new(within.clone(), vec![NORMAL, RAMP, NORMAL]),
            Err(ShapeError::StatedTwice {
                name: "normal movement"
            })
        ));
        assert!(matches!(
            Sum::new(within, vec![Slow::Uniform { width: 0.0 }]),
            Err(ShapeError::NotPositive { .. })
        ));
    }
}
