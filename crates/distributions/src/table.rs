//! A table of the map from scores to values, for shapes whose map is slow: drawing a part is then a handful of
//! multiplications.

use crate::normal;
use crate::shape::Shape;

/// Scores from minus to plus this are in the table; scores drawn lie within 8.5.
const LAST_SCORE: f64 = 8.6;

/// Fewest and most pieces.
const PIECES: (usize, usize) = (128, 65_536);

/// Largest error, in standard deviations.
const LARGEST_ERROR: f64 = 1e-9;

/// A monotone table of [`Shape::from_score`]: equal steps in the score, a cubic over each with the values and the exact
/// slopes `phi(z) / density` at both ends.
///
/// The error was measured at the quarter points of every piece and is at most `1e-9` standard deviations there.
#[derive(Debug, Clone)]
pub struct QuantileTable {
    /// Coefficients of each piece, from the constant upwards, over the part `0..1` of its step.
    pieces: Box<[[f64; 4]]>,
    per_score: f64,
    last: f64,
}

impl QuantileTable {
    /// The table of a shape; none where 65,536 pieces do not follow it closely enough (a step between two far sources).
    pub fn new(shape: &dyn Shape) -> Option<Self> {
        let mut count = PIECES.0;
        // Values at the nodes and at the quarter points of all pieces.
        let mut values: Vec<f64> = (0..=4 * count)
            .map(|i| exact(shape, i, 4 * count))
            .collect();
        loop {
            if values.iter().any(|value| !value.is_finite()) {
                return None;
            }
            if let Some(table) = Self::of_values(shape, &values, count) {
                return Some(table);
            }
            count *= 2;
            if count > PIECES.1 {
                return None;
            }
            values = (0..=4 * count)
                .map(|i| {
                    if i % 2 == 0 {
                        values[i / 2]
                    } else {
                        exact(shape, i, 4 * count)
                    }
                })
                .collect();
        }
    }

    /// The table over these values, if its error is small enough everywhere.
    fn of_values(shape: &dyn Shape, values: &[f64], count: usize) -> Option<Self> {
        let step = 2.0 * LAST_SCORE / as_float(count);
        let slopes: Vec<f64> = (0..=count)
            .map(|i| step * slope(shape, values, i, count))
            .collect();
        let allowed = LARGEST_ERROR * shape.sd();
        let pieces: Option<Box<[[f64; 4]]>> = (0..count)
            .map(|i| {
                let five: &[f64; 5] = values[4 * i..].first_chunk()?;
                let (piece, error) = cubic(five, slopes[i], slopes[i + 1]);
                (error <= allowed).then_some(piece)
            })
            .collect();
        Some(Self {
            pieces: pieces?,
            per_score: 1.0 / step,
            last: as_float(count),
        })
    }

    /// The value of a standard-normal score; scores outside the table give the value at its end.
    #[inline(always)]
    pub fn value(&self, z: f64) -> f64 {
        let at = ((z + LAST_SCORE) * self.per_score).max(0.0).min(self.last);
        let piece = (at as usize).min(self.pieces.len() - 1);
        let part = at - piece as f64;
        let [a, b, c, d] = self.pieces[piece];
        part.mul_add(part.mul_add(part.mul_add(d, c), b), a)
    }

    /// Number of pieces.
    pub fn pieces(&self) -> usize {
        self.pieces.len()
    }
}

/// A count as a number.
fn as_float(count: usize) -> f64 {
    count as f64
}

/// Score of point `i` of `count` equal steps.
fn score(i: usize, count: usize) -> f64 {
    LAST_SCORE * (2.0 * as_float(i) / as_float(count) - 1.0)
}

fn exact(shape: &dyn Shape, i: usize, count: usize) -> f64 {
    shape.from_score(score(i, count))
}

/// Slope of the map at node `i`: `phi(z) / density`; from the neighbouring quarter points where the density is zero or
/// infinite (an end of the range).
fn slope(shape: &dyn Shape, values: &[f64], i: usize, count: usize) -> f64 {
    let exact = normal::density(score(i, count)) / shape.density(values[4 * i]);
    let (from, to) = ((4 * i).saturating_sub(1), (4 * i + 1).min(4 * count));
    let quarter = 2.0 * LAST_SCORE / as_float(4 * count);
    let chord = (values[to] - values[from]) / (quarter * as_float(to - from));
    if exact.is_finite() && exact <= 4.0 * chord {
        exact
    } else {
        chord
    }
}

/// Coefficients of the cubic through the ends of five values a quarter apart with these slopes, and its largest error at
/// the three points between.
///
/// Slopes up to three times the chord's keep a cubic rising (Fritsch and Carlson 1980, recalled); steeper ones are cut to
/// that, which only roundings need: where a cut matters the error shows it.
fn cubic(values: &[f64; 5], left: f64, right: f64) -> ([f64; 4], f64) {
    let rise = (values[4] - values[0]).max(0.0);
    let (left, right) = (left.min(3.0 * rise), right.min(3.0 * rise));
    let piece = [
        values[0],
        left,
        3.0 * rise - 2.0 * left - right,
        left + right - 2.0 * rise,
    ];
    let error = [0.25, 0.5, 0.75, 1.0]
        .iter()
        .zip(&values[1..])
        .map(|(&part, value)| {
            let [a, b, c, d] = piece;
            libm::fabs(a + part * (b + part * (c + part * d)) - value)
        })
        .fold(0.0, f64::max);
    (piece, error)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        Beta, FoldedNormal, Gamma, Lognormal, Mixture, Normal, Rayleigh, SkewNormal, Uniform,
        Weibull,
    };
    use std::sync::Arc;

    fn shapes() -> Vec<Arc<dyn Shape>> {
        vec![
            Arc::new(Weibull::new(2.0, 0.01, 30.0).unwrap()),
            Arc::new(Weibull::with_moments(30.0, 0.004, 0.0).unwrap()),
            Arc::new(Gamma::new(3.0, 1.0, 0.0).unwrap()),
            Arc::new(Beta::new(2.0, 5.0, 29.9, 30.1).unwrap()),
            Arc::new(FoldedNormal::new(0.0, 0.002, 0.0).unwrap()),
            Arc::new(Rayleigh::new(0.003, 0.0).unwrap()),
            Arc::new(SkewNormal::with_moments(30.0, 0.004, -0.8).unwrap()),
            Arc::new(Lognormal::with_moments(0.14, 0.02, 0.0).unwrap()),
            Arc::new(Uniform::new(0.0, 1.0).unwrap()),
        ]
    }

    #[test]
    fn the_error_is_below_a_billionth_of_the_sd_between_the_points_measured() {
        for shape in shapes() {
            let table = QuantileTable::new(&*shape).unwrap();
            for i in 0..4000 {
                let z = -8.5 + 17.0 * f64::from(i) / 3999.0;
                let (got, expected) = (table.value(z), shape.from_score(z));
                assert!(
                    (got - expected).abs() <= 1.1e-9 * shape.sd(),
                    "{shape:?}, {z}: {got}, {expected}"
                );
            }
        }
    }

    #[test]
    fn values_do_not_fall_and_scores_outside_give_the_ends() {
        for shape in shapes() {
            let table = QuantileTable::new(&*shape).unwrap();
            let mut before = table.value(-100.0);
            assert!((before - shape.from_score(-8.6)).abs() <= 1e-9 * shape.sd());
            for i in 0..200_000 {
                let value = table.value(-8.7 + 17.4 * f64::from(i) / 199_999.0);
                assert!(value >= before - 4e-16 * value.abs(), "{shape:?}, {i}");
                before = value;
            }
            assert!((table.value(100.0) - shape.from_score(8.6)).abs() <= 1e-9 * shape.sd());
        }
    }

    #[test]
    fn a_step_between_two_far_sources_has_no_table() {
        let far = Mixture::new(vec![
            (0.5, Arc::new(Normal::new(0.0, 1.0).unwrap())),
            (0.5, Arc::new(Normal::new(1e4, 1.0).unwrap())),
        ])
        .unwrap();
        assert!(QuantileTable::new(&far).is_none());
    }
}
