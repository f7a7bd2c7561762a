//! Shapes fitted to readings, compared with each other and held against the readings.

use distributions::{Fitted, KINDS, Kind, Shape, beta};
use record::FittedShape;

use super::drawing::Drawing;
use super::words::{decimals_for_spread, number, quantity};

/// Below this difference of the criterion two shapes cannot be told apart (K. P. Burnham, D. R. Anderson, Model Selection
/// and Multimodel Inference, recalled).
pub(super) const TELLS_APART: f64 = 2.0;

/// Share of a tail that is counted.
const TAIL: f64 = 0.025;

/// Chance, on either side, below which a count of a tail disagrees with the shape.
const DISAGREES: f64 = 0.025;

/// Shares below the quantiles that stand for the spread: mean -+ 3 standard deviations of a normal.
const SHARES: [f64; 2] = [0.001_35, 0.5];

/// Points of the drawn density.
const POINTS: usize = 121;

/// A shape fitted to readings.
#[derive(Debug, Clone)]
pub(super) struct Candidate {
    pub(super) kind: &'static Kind,
    pub(super) fitted: Fitted,
    /// Akaike's criterion, corrected for few readings.
    criterion: f64,
    /// Readings beyond the lower and the upper quantile of [`TAIL`].
    beyond: [u64; 2],
    n: u64,
}

/// Every shape that can be fitted, best first; `sorted` rises.
pub(super) fn candidates(sorted: &[f64]) -> Vec<Candidate> {
    let fits = KINDS.iter().filter_map(|kind| candidate(kind, sorted));
    let mut all: Vec<Candidate> = fits.collect();
    all.sort_by(|a, b| a.criterion.total_cmp(&b.criterion));
    all
}

fn candidate(kind: &'static Kind, sorted: &[f64]) -> Option<Candidate> {
    let fitted = (kind.fit?)(sorted).ok()?;
    let criterion = corrected(fitted.log_likelihood, fitted.free, sorted.len())?;
    let tails = [
        fitted.shape.quantile(TAIL),
        fitted.shape.upper_quantile(TAIL),
    ];
    let beyond = [
        sorted.iter().filter(|x| **x < tails[0]).count() as u64,
        sorted.iter().filter(|x| **x > tails[1]).count() as u64,
    ];
    Some(Candidate {
        kind,
        fitted,
        criterion,
        beyond,
        n: sorted.len() as u64,
    })
}

/// `2 k - 2 ln L + 2 k (k + 1)/(n - k - 1)` (C. M. Hurvich, C.-L. Tsai, Biometrika 76 (1989) 297-307, recalled), `k`
/// parameters fitted to `n` readings; `None` where there are too few readings for it.
fn corrected(log_likelihood: f64, free: usize, n: usize) -> Option<f64> {
    let (k, left) = (free as f64, n as f64 - free as f64 - 1.0);
    let criterion = 2.0 * k - 2.0 * log_likelihood + 2.0 * k * (k + 1.0) / left;
    (left > 0.0 && criterion.is_finite()).then_some(criterion)
}

impl Candidate {
    pub(super) fn shape(&self) -> &dyn Shape {
        self.fitted.shape.as_ref()
    }

    /// Whether neither tail holds far more or far fewer readings than the shape expects.
    pub(super) fn tails_agree(&self) -> bool {
        self.beyond.iter().all(|&seen| {
            at_least(seen, self.n) >= DISAGREES && 1.0 - at_least(seen + 1, self.n) >= DISAGREES
        })
    }

    /// How far the criterion lies above that of `best`.
    fn above(&self, best: &Candidate) -> f64 {
        self.criterion - best.criterion
    }

    fn record(
        &self,
        best: &Candidate,
        sorted: &[f64],
        drawing: &Drawing,
        unit: &str,
    ) -> FittedShape {
        let expected = TAIL * self.n as f64;
        FittedShape {
            shape: self.kind.name.to_owned(),
            parameters: self.parameters(unit),
            free: self.fitted.free as u64,
            log_likelihood: self.fitted.log_likelihood,
            above_best: self.above(best),
            quantiles: quantiles(self.shape()),
            outside: drawing.has_limits().then(|| outside(self.shape(), drawing)),
            distance: distance(self.shape(), sorted),
            tails: self.beyond.map(|seen| seen as f64 / expected),
            density: density(self.shape()),
        }
    }

    /// Key and value as a scenario states them.
    pub(super) fn parameters(&self, unit: &str) -> Vec<(String, String)> {
        let decimals = decimals_for_spread(self.shape().sd());
        let stated = self.fitted.stated.iter();
        stated
            .map(|&(key, role, value)| {
                let text = match role {
                    distributions::kind::Role::Place => quantity(value, decimals, unit),
                    distributions::kind::Role::Spread => quantity(value, decimals, unit),
                    distributions::kind::Role::Plain => number(value, 6),
                };
                (key.to_owned(), text)
            })
            .collect()
    }
}

/// The records of all candidates, best first.
pub(super) fn records(
    all: &[Candidate],
    sorted: &[f64],
    drawing: &Drawing,
    unit: &str,
) -> Vec<FittedShape> {
    let Some(best) = all.first() else {
        return Vec::new();
    };
    all.iter()
        .map(|candidate| candidate.record(best, sorted, drawing, unit))
        .collect()
}

/// Place of the best shape whose tails agree with the readings.
pub(super) fn chosen(all: &[Candidate]) -> Option<usize> {
    all.iter().position(Candidate::tails_agree)
}

/// What the comparison of the shapes can and cannot tell, in one sentence; empty without shapes.
pub(super) fn comparison(all: &[Candidate]) -> String {
    let Some(best) = all.first() else {
        return String::new();
    };
    let close: Vec<&str> = all
        .iter()
        .filter(|other| other.above(best) < TELLS_APART)
        .map(|other| other.kind.name)
        .collect();
    match close.as_slice() {
        [only] => {
            format!("Of the shapes fitted, {only} describes the readings best by a clear margin.")
        }
        _ => format!(
            "These readings cannot tell {} apart: their criteria differ by less than {TELLS_APART}.",
            list(&close)
        ),
    }
}

/// `a, b and c`.
fn list(words: &[&str]) -> String {
    match words {
        [] => String::new(),
        [only] => (*only).to_owned(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// Chance of `least` or more readings in a tail of share [`TAIL`].
fn at_least(least: u64, n: u64) -> f64 {
    match least {
        0 => 1.0,
        _ if least > n => 0.0,
        _ => beta::below(TAIL, least as f64, (n - least) as f64 + 1.0),
    }
}

/// The 0.135 %, 50 % and 99.865 % quantile.
pub(super) fn quantiles(shape: &dyn Shape) -> [f64; 3] {
    [
        shape.quantile(SHARES[0]),
        shape.quantile(SHARES[1]),
        shape.upper_quantile(SHARES[0]),
    ]
}

/// Share outside the drawing limits.
pub(super) fn outside(shape: &dyn Shape, drawing: &Drawing) -> f64 {
    drawing.lower.map_or(0.0, |lower| shape.below(lower))
        + drawing.upper.map_or(0.0, |upper| shape.above(upper))
}

/// Kolmogorov's distance: the largest difference between the share of readings at or below a value and the shape's.
pub(super) fn distance(shape: &dyn Shape, sorted: &[f64]) -> f64 {
    let n = sorted.len() as f64;
    let steps = sorted.iter().enumerate().map(|(i, &x)| {
        let below = shape.below(x);
        let (before, after) = (i as f64 / n, (i + 1) as f64 / n);
        libm::fabs(below - before).max(libm::fabs(after - below))
    });
    steps.fold(0.0, f64::max)
}

/// Points of the density between its outermost quantiles.
fn density(shape: &dyn Shape) -> Vec<[f64; 2]> {
    let (low, high) = (shape.quantile(5e-4), shape.upper_quantile(5e-4));
    let at = |i: usize| low + (high - low) * i as f64 / (POINTS - 1) as f64;
    (0..POINTS)
        .map(|i| [at(i), shape.density(at(i))])
        .filter(|point| point.iter().all(|x| x.is_finite()))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use distributions::{Normal, Uniform};

    #[test]
    fn verified_corrected_criterion_is_that_of_its_formula() {
        // k 2, n 10, ln L -5: 4 + 10 + 12/7.
        assert!((corrected(-5.0, 2, 10).unwrap_or(0.0) - (14.0 + 12.0 / 7.0)).abs() < 1e-12);
        assert_eq!(corrected(-5.0, 2, 3), None);
    }

    #[test]
    fn verified_distance_of_even_readings_from_a_uniform_is_half_a_step() {
        let sorted: Vec<f64> = (0..10).map(|i| 0.05 + 0.1 * f64::from(i)).collect();
        let uniform = Uniform::new(0.0, 1.0).expect("a range");
        assert!((distance(&uniform, &sorted) - 0.05).abs() < 1e-12);
    }

    #[test]
    fn share_outside_adds_both_sides() {
        let normal = Normal::new(0.0, 1.0).expect("a spread");
        let drawing = Drawing {
            lower: Some(-3.0),
            upper: Some(3.0),
            ..Drawing::default()
        };
        assert!((outside(&normal, &drawing) - 0.002_699_796).abs() < 1e-9);
    }

    #[test]
    fn lists_read_as_a_person_says_them() {
        assert_eq!(list(&["a"]), "a");
        assert_eq!(list(&["a", "b", "c"]), "a, b and c");
    }
}
