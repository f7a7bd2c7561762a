//! A table of the map from scores to values: drawing a part is then a handful of multiplications, on a vector unit for
//! many parts at once, whatever the shape.

use crate::shape::Shape;

/// Scores from minus to plus this are in the table; scores drawn lie within 7.5, mixed ones hardly ever beyond.
const LAST_SCORE: f64 = 8.6;

/// Largest error, in standard deviations.
const LARGEST_ERROR: f64 = 1e-10;

/// Places of the four points within a piece through which its cubic goes, as parts of half the piece: its ends and
/// `sqrt 2 - 1` to either side of the middle. Of all cubics that meet at the ends, these stray least in between.
const INNER: f64 = std::f64::consts::SQRT_2 - 1.0;

/// Where such a cubic strays most from a smooth map, besides the middle: `sqrt((1 + INNER^2) / 2)`.
const STRAYS: f64 = 0.765_366_864_730_179_5;

/// Coefficients of a piece, from the constant upwards, over the part `-1/2..1/2` of its step.
type Piece = [f64; 4];

/// A table of [`Shape::from_score`] that does not fall: equal steps in the score, a cubic over each that goes through four
/// values of the map, of which those at the ends are shared with its neighbours.
///
/// The error was measured in the middle of every piece and at the two other places where it is largest for a smooth map; it
/// is there at most `1e-10` standard deviations, or the last digit of the value. Where the map bends ([`Shape::bend`]), two
/// pieces meet.
#[derive(Debug, Clone)]
pub struct QuantileTable {
    pieces: Pieces,
    per_score: f64,
    /// What is added to a score in steps, so that a whole number is the middle of a piece.
    offset: f64,
}

/// The pieces, in arrays of which the compiler knows the length: a place masked to it needs no check.
#[derive(Debug, Clone)]
enum Pieces {
    Few(Box<[Piece; 1 << 10]>),
    Many(Box<[Piece; 1 << 13]>),
    Most(Box<[Piece; 1 << 16]>),
}

impl QuantileTable {
    /// The table of a shape; none where 65,536 pieces do not follow it closely enough (a step between two far sources).
    pub fn new(shape: &dyn Shape) -> Option<Self> {
        let few = Grid::new(shape, 1 << 10);
        if let Some(pieces) = few.pieces(shape) {
            return Some(few.table(Pieces::Few(pieces)));
        }
        let many = Grid::new(shape, 1 << 13);
        if let Some(pieces) = many.pieces(shape) {
            return Some(many.table(Pieces::Many(pieces)));
        }
        let most = Grid::new(shape, 1 << 16);
        Some(most.table(Pieces::Most(most.pieces(shape)?)))
    }

    /// The value of a standard-normal score; scores outside the table give the value at its end.
    pub fn value(&self, z: f64) -> f64 {
        let [value] = self.values(&[z]);
        value
    }

    /// The values of scores, each the same as [`QuantileTable::value`] gives.
    #[inline(always)]
    pub fn fill<const N: usize>(&self, scores: &[f64; N], values: &mut [f64; N]) {
        match &self.pieces {
            Pieces::Few(pieces) => self.fill_from(pieces, scores, values),
            Pieces::Many(pieces) => self.fill_from(pieces, scores, values),
            Pieces::Most(pieces) => self.fill_from(pieces, scores, values),
        }
    }

    /// As [`QuantileTable::fill`].
    #[inline(always)]
    fn values<const N: usize>(&self, scores: &[f64; N]) -> [f64; N] {
        let mut values = [0.0; N];
        self.fill(scores, &mut values);
        values
    }

    /// `((d t + c) t + b) t + a` with `t` the distance in steps from the middle of the nearest piece. `SIZE` is a power of two.
    #[inline(always)]
    fn fill_from<const SIZE: usize, const N: usize>(
        &self,
        pieces: &[Piece; SIZE],
        scores: &[f64; N],
        values: &mut [f64; N],
    ) {
        /// Added to a small number it leaves the nearest whole one in the last bits.
        const MAGIC: f64 = 6_755_399_441_055_744.0;
        for (value, z) in values.iter_mut().zip(scores) {
            let z = if *z > -LAST_SCORE { *z } else { -LAST_SCORE };
            let z = if z < LAST_SCORE { z } else { LAST_SCORE };
            let at = z.mul_add(self.per_score, self.offset);
            let whole = at + MAGIC;
            let t = at - (whole - MAGIC);
            let [a, b, c, d] = pieces[whole.to_bits() as usize & (SIZE - 1)];
            *value = d.mul_add(t, c).mul_add(t, b).mul_add(t, a);
        }
    }

    /// Number of pieces.
    pub fn pieces(&self) -> usize {
        match self.pieces {
            Pieces::Few(_) => 1 << 10,
            Pieces::Many(_) => 1 << 13,
            Pieces::Most(_) => 1 << 16,
        }
    }
}

/// Where the pieces of a table lie: from `first` on, each `step` wide.
struct Grid {
    first: f64,
    step: f64,
    count: usize,
}

impl Grid {
    /// A grid of pieces that reaches half a step to a step and a half beyond the last score at either end; where the map of
    /// this shape bends, two pieces meet.
    fn new(shape: &dyn Shape, count: usize) -> Grid {
        let step = 2.0 * LAST_SCORE / (count - 2) as f64;
        let bend = shape.bend().filter(|z| libm::fabs(*z) < LAST_SCORE);
        let beyond = bend.map_or(1.0, |bend| {
            let steps = (bend + LAST_SCORE) / step;
            let part = libm::ceil(steps) - steps;
            if part < 0.5 { part + 1.0 } else { part }
        });
        Grid {
            first: -LAST_SCORE - beyond * step,
            step,
            count,
        }
    }

    fn table(&self, pieces: Pieces) -> QuantileTable {
        QuantileTable {
            pieces,
            per_score: 1.0 / self.step,
            offset: -self.first / self.step - 0.5,
        }
    }

    /// The pieces, if the error is small enough in every one.
    fn pieces<const SIZE: usize>(&self, shape: &dyn Shape) -> Option<Box<[Piece; SIZE]>> {
        let allowed = LARGEST_ERROR * shape.sd();
        let mut left = shape.from_score(self.first);
        let pieces: Option<Box<[Piece]>> = (0..self.count)
            .map(|i| {
                let at = |part: f64| {
                    shape.from_score(self.first + self.step * (i as f64 + 0.5 + 0.5 * part))
                };
                let right = at(1.0).max(left);
                let piece = piece([left, at(-INNER), at(INNER), right]);
                // False as well where a value is not a number.
                let follows = [-STRAYS, 0.0, STRAYS].iter().all(|&part| {
                    let exact = at(part);
                    let rounding = 2.0 * f64::EPSILON * libm::fabs(exact);
                    libm::fabs(value(&piece, 0.5 * part) - exact) <= allowed + rounding
                });
                left = right;
                follows.then_some(piece)
            })
            .collect();
        pieces?.try_into().ok()
    }
}

fn value(piece: &Piece, t: f64) -> f64 {
    let [a, b, c, d] = *piece;
    d.mul_add(t, c).mul_add(t, b).mul_add(t, a)
}

/// The cubic through four values, at `-1/2`, `-INNER / 2`, `INNER / 2` and `1/2`; where roundings would make it fall (far out
/// in a flat tail), the straight line between the outer two.
fn piece(values: [f64; 4]) -> Piece {
    let place = 0.5 * INNER;
    // From the first value, so that nothing cancels.
    let [_, inner_left, inner_right, rise] = values.map(|value| value - values[0]);
    // Even and odd part: `a + c t^2` and `b + d t^2` at the outer and the inner places.
    let (outer_even, inner_even) = (0.5 * rise, 0.5 * (inner_left + inner_right));
    let (outer_odd, inner_odd) = (rise, (inner_right - inner_left) / (2.0 * place));
    let gap = 0.25 - place * place;
    let c = (outer_even - inner_even) / gap;
    let d = (outer_odd - inner_odd) / gap;
    let b = outer_odd - 0.25 * d;
    if lowest_slope(b, c, d) < 0.0 {
        return [values[0] + 0.5 * rise, rise, 0.0, 0.0];
    }
    [values[0] + (outer_even - 0.25 * c), b, c, d]
}

/// The lowest of `b + 2 c t + 3 d t^2` for `t` from `-1/2` to `1/2`.
fn lowest_slope(b: f64, c: f64, d: f64) -> f64 {
    let ends = b - libm::fabs(c) + 0.75 * d;
    if d > 0.0 && libm::fabs(c) < 1.5 * d {
        b - c * c / (3.0 * d)
    } else {
        ends
    }
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
