//! A shape as values with weights, for adding up a smooth blur over it.

use crate::blur::Blur;
use crate::normal;
use crate::quadrature::for_each_node;
use crate::shape::{Shape, ShapeError};

/// Scores beyond which values are left out; their probability is below `1e-36`.
const LAST_SCORE: f64 = 12.75;

/// Widest panel in scores.
const WIDEST: f64 = 0.85;

/// Relative error of a panel, as a share of the probability beyond it.
const TOLERANCE: f64 = 3e-14;

/// Scores of the blur beyond which a value counts wholly or not at all.
const WHOLLY: f64 = 9.0;
const NOT_AT_ALL: f64 = 38.0;

/// Values of a shape, rising, with their weights and the sums of these from either end.
#[derive(Debug, Clone)]
pub(crate) struct Nodes {
    values: Vec<f64>,
    weights: Vec<f64>,
    /// Sum of the weights before each value, and of those from it on.
    before: Vec<f64>,
    from: Vec<f64>,
    /// Standard deviation of the normal part of the blur.
    sd: f64,
}

impl Nodes {
    /// The nodes of a shape for a blur whose normal part has this standard deviation.
    ///
    /// Gauss-Legendre panels over the score, halved until the values move by at most twice `sd` in each and its sums
    /// agree with those of its halves, which narrows down kinks and steps of the shape.
    pub(crate) fn of(shape: &dyn Shape, sd: f64) -> Result<Self, ShapeError> {
        let mut nodes: Vec<(f64, f64)> = Vec::new();
        let count = (2.0 * LAST_SCORE / WIDEST) as u32;
        let width = 2.0 * LAST_SCORE / f64::from(count);
        for i in 0..count {
            let from = -LAST_SCORE + width * f64::from(i);
            let first = panel_of(shape, from, from + width);
            let mut open = vec![first];
            while let Some(panel) = open.pop() {
                let middle = 0.5 * (panel.from + panel.to);
                let left = panel_of(shape, panel.from, middle);
                let right = panel_of(shape, middle, panel.to);
                if panel.is_settled(&left, &right, sd) || open.len() > 60 {
                    nodes.extend(&panel.nodes);
                } else {
                    open.push(right);
                    open.push(left);
                }
            }
        }
        if nodes.iter().any(|node| !node.0.is_finite()) {
            return Err(ShapeError::TooExtreme);
        }
        nodes.sort_by(|a, b| a.0.total_cmp(&b.0));
        Ok(Self::summed(nodes, sd))
    }

    fn summed(nodes: Vec<(f64, f64)>, sd: f64) -> Self {
        let (values, weights): (Vec<f64>, Vec<f64>) = nodes.into_iter().unzip();
        let mut before = Vec::with_capacity(weights.len() + 1);
        let mut sum = 0.0;
        for weight in &weights {
            before.push(sum);
            sum += weight;
        }
        before.push(sum);
        let mut from = vec![0.0; weights.len() + 1];
        for i in (0..weights.len()).rev() {
            from[i] = from[i + 1] + weights[i];
        }
        Self {
            values,
            weights,
            before,
            from,
            sd,
        }
    }

    /// Probability below `x` (`side` 1) or above it (`side` -1) of a value plus the blur.
    ///
    /// Every value that counts in part is asked, however little it counts: far out the most unlikely values make the tail.
    pub(crate) fn tail(&self, x: f64, side: f64, blur: Blur) -> f64 {
        let half = blur.half_width();
        let wholly = x - side * (half + WHOLLY * self.sd);
        let not = x + side * (half + NOT_AT_ALL * self.sd);
        let (a, b) = if side > 0.0 {
            (wholly, not)
        } else {
            (not, wholly)
        };
        let start = self.values.partition_point(|v| *v < a);
        let end = self.values.partition_point(|v| *v <= b);
        let partly: f64 = (start..end)
            .map(|i| self.weights[i] * blur.below(side * (x - self.values[i])))
            .sum();
        let whole = if side > 0.0 {
            self.before[start]
        } else {
            self.from[end]
        };
        (whole + partly).min(1.0)
    }

    /// Density at `x` of a value plus the blur.
    pub(crate) fn density(&self, x: f64, blur: Blur) -> f64 {
        let reach = blur.half_width() + NOT_AT_ALL * self.sd;
        let start = self.values.partition_point(|v| *v < x - reach);
        let end = self.values.partition_point(|v| *v <= x + reach);
        (start..end)
            .map(|i| self.weights[i] * blur.density(x - self.values[i]))
            .sum()
    }
}

/// Values and weights over a stretch of scores.
struct Panel {
    from: f64,
    to: f64,
    nodes: Vec<(f64, f64)>,
}

fn panel_of(shape: &dyn Shape, from: f64, to: f64) -> Panel {
    let mut nodes = Vec::with_capacity(16);
    for_each_node(from, to, |z, weight| {
        nodes.push((shape.from_score(z), weight * normal::density(z)));
    });
    Panel { from, to, nodes }
}

impl Panel {
    fn sum(&self, f: impl Fn(f64) -> f64) -> f64 {
        self.nodes.iter().map(|(v, weight)| weight * f(*v)).sum()
    }

    /// Whether the panel is as good as its halves, in the mean of the value and of its exponential, measured in `sd`.
    fn is_settled(&self, left: &Self, right: &Self, sd: f64) -> bool {
        let nearer = libm::fabs(self.from).min(libm::fabs(self.to));
        let tail = normal::below(-nearer);
        let mass = self.sum(|_| 1.0);
        if mass <= TOLERANCE * tail {
            return true;
        }
        let (first, last) = (
            left.nodes.iter().map(|n| n.0).fold(f64::INFINITY, f64::min),
            right
                .nodes
                .iter()
                .map(|n| n.0)
                .fold(f64::NEG_INFINITY, f64::max),
        );
        if last - first > 2.0 * sd {
            return false;
        }
        let middle = 0.5 * (first + last);
        let agree = |f: &dyn Fn(f64) -> f64| {
            libm::fabs(left.sum(f) + right.sum(f) - self.sum(f)) <= TOLERANCE * tail
        };
        agree(&|v| (v - middle) / sd) && agree(&|v| libm::exp((v - middle) / sd))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Triangular, TwoPartNormal};

    #[test]
    fn weights_add_up_to_one_and_values_to_the_mean() {
        let shapes: [Box<dyn Shape>; 2] = [
            Box::new(Triangular::new(0.0, 0.2, 1.0).unwrap()),
            Box::new(TwoPartNormal::new(0.0, 1.0, 3.0).unwrap()),
        ];
        for shape in shapes {
            let nodes = Nodes::of(&*shape, 0.1 * shape.sd()).unwrap();
            let total: f64 = nodes.weights.iter().sum();
            assert!((total - 1.0).abs() < 1e-13, "{total}");
            let mean: f64 = nodes
                .weights
                .iter()
                .zip(&nodes.values)
                .map(|(weight, value)| weight * value)
                .sum();
            assert!((mean - shape.mean()).abs() < 1e-12, "{mean}");
        }
    }
}
