//! Readings drawn again: a distribution of as many equally likely values as there are readings.

use std::sync::Arc;

use distributions::{Shape, ShapeError};

use crate::evenly::evenly;
use crate::score::{BLOCK, Column};

/// Readings of a measured lot, each as likely as any other.
///
/// The distribution function is a staircase, and nothing lies beyond the smallest and the largest reading: what the lot did not
/// show, it will not give.
#[derive(Debug, Clone)]
pub struct Rows {
    /// In the order of the file.
    readings: Arc<[f64]>,
    sorted: Arc<[f64]>,
    mean: f64,
    sd: f64,
}

impl Rows {
    /// The readings in the order of their file.
    ///
    /// # Errors
    /// No reading, one that is not finite.
    pub fn new(readings: Arc<[f64]>) -> Result<Rows, ShapeError> {
        let Some(&first) = readings.first() else {
            return Err(ShapeError::NoReadings);
        };
        if let Some(&value) = readings.iter().find(|x| !x.is_finite()) {
            return Err(ShapeError::NotFinite {
                name: "reading",
                value,
            });
        }
        let mut sorted = readings.to_vec();
        sorted.sort_by(f64::total_cmp);
        let n = readings.len() as f64;
        // From the first reading, so that nothing cancels in a diameter that varies by micrometres.
        let mean = first + readings.iter().map(|x| x - first).sum::<f64>() / n;
        let squares: f64 = readings.iter().map(|x| (x - mean) * (x - mean)).sum();
        Ok(Rows {
            readings,
            sorted: sorted.into(),
            mean,
            sd: libm::sqrt(squares / n),
        })
    }

    /// The readings in the order of their file.
    pub fn readings(&self) -> &Arc<[f64]> {
        &self.readings
    }

    /// The reading in the row at a share of the file between 0 and 1.
    #[inline(always)]
    pub fn at(&self, share: f64) -> f64 {
        let row = (share * self.readings.len() as f64) as usize;
        self.readings[row.min(self.readings.len() - 1)]
    }

    /// The readings in the rows of a column of scores: row `floor(n Phi(z))` of `n`.
    #[inline(always)]
    pub(crate) fn fill(&self, scores: &Column, values: &mut Column) {
        let mut shares = [0.0; BLOCK];
        evenly().fill(scores, &mut shares);
        for (value, share) in values.iter_mut().zip(&shares) {
            *value = self.at(*share);
        }
    }
}

impl Shape for Rows {
    /// Where readings lie, as bars of one width; for a picture only.
    fn density(&self, x: f64) -> f64 {
        let (low, high) = self.support();
        let width = (high - low).max(f64::MIN_POSITIVE) / BARS;
        let from = low + libm::floor((x - low) / width).clamp(0.0, BARS - 1.0) * width;
        if !(low..=high).contains(&x) {
            return 0.0;
        }
        let last = from + width >= high;
        let inside = |r: &&f64| **r >= from && (**r < from + width || last);
        self.sorted.iter().filter(inside).count() as f64 / (self.sorted.len() as f64 * width)
    }
    fn below(&self, x: f64) -> f64 {
        self.sorted.partition_point(|r| *r <= x) as f64 / self.sorted.len() as f64
    }
    fn above(&self, x: f64) -> f64 {
        let n = self.sorted.len();
        (n - self.sorted.partition_point(|r| *r <= x)) as f64 / n as f64
    }
    fn quantile(&self, p: f64) -> f64 {
        let n = self.sorted.len();
        let rank = libm::ceil(p * n as f64) as usize;
        self.sorted[rank.clamp(1, n) - 1]
    }
    fn upper_quantile(&self, q: f64) -> f64 {
        let n = self.sorted.len();
        let beyond = libm::floor(q * n as f64) as usize;
        self.sorted[n - 1 - beyond.min(n - 1)]
    }
    fn mean(&self) -> f64 {
        self.mean
    }
    fn sd(&self) -> f64 {
        self.sd
    }
    fn support(&self) -> (f64, f64) {
        (self.sorted[0], self.sorted[self.sorted.len() - 1])
    }
}

/// Bars in the picture of the readings.
const BARS: f64 = 24.0;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_reading_stands_for_an_equal_share() {
        let rows = Rows::new([3.0, 1.0, 2.0, 4.0].into()).unwrap();
        assert_eq!((rows.mean(), rows.sd()), (2.5, libm::sqrt(1.25)));
        assert_eq!(
            [0.1, 0.25, 0.26, 1.0].map(|p| rows.quantile(p)),
            [1.0, 1.0, 2.0, 4.0]
        );
        assert_eq!(
            [0.1, 0.25, 0.5, 0.9].map(|q| rows.upper_quantile(q)),
            [4.0, 3.0, 2.0, 1.0]
        );
        assert_eq!((rows.below(2.0), rows.above(2.0)), (0.5, 0.5));
        // In the order of the file, not of size.
        assert_eq!(
            [0.0, 0.3, 0.99, 1.0].map(|s| rows.at(s)),
            [3.0, 1.0, 4.0, 4.0]
        );
    }

    #[test]
    fn no_reading_and_no_number_are_refused() {
        assert_eq!(Rows::new([].into()).unwrap_err(), ShapeError::NoReadings);
        assert!(Rows::new([1.0, f64::NAN].into()).is_err());
    }
}
