//! Correlated scores: independent ones mixed by a lower triangle (Gaussian copula).

use crate::score::{BLOCK, Column};

/// Scores that are correlated with each other: score `i` is `sum over j <= i of factor[i][j] z_j`.
///
/// `factor` is the Cholesky factor of the matrix of score correlations, so every mixed score is standard normal again.
#[derive(Debug, Clone, PartialEq)]
pub struct Mixing {
    /// Places of the members among the characteristics of their part.
    pub members: Vec<usize>,
    /// Lower triangle, one row for each member.
    pub factor: Vec<Vec<f64>>,
}

impl Mixing {
    /// Mixes the columns of the members in place, last first, so that the ones still needed are untouched.
    #[inline(always)]
    pub(crate) fn mix(&self, scores: &mut [Column]) {
        for i in (0..self.members.len()).rev() {
            let row = &self.factor[i];
            let mut mixed = [0.0; BLOCK];
            for (j, weight) in row.iter().enumerate().take(i + 1) {
                let column = &scores[self.members[j]];
                for (sum, z) in mixed.iter_mut().zip(column) {
                    *sum = weight.mul_add(*z, *sum);
                }
            }
            scores[self.members[i]] = mixed;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Stream, StreamId, fill_scores};

    #[test]
    fn mixed_scores_have_the_stated_correlation() {
        let r: f64 = -0.6;
        let mixing = Mixing {
            members: vec![0, 1],
            factor: vec![vec![1.0], vec![r, (1.0 - r * r).sqrt()]],
        };
        let stream = |characteristic| {
            Stream::new(StreamId {
                seed: 3,
                point: None,
                characteristic,
                attempt: 0,
            })
        };
        let (mut sum, mut squares) = (0.0, 0.0);
        let blocks = 400;
        for block in 0..blocks {
            let mut scores = [[0.0; BLOCK]; 2];
            fill_scores(&stream("a"), block, &mut scores[0]);
            fill_scores(&stream("b"), block, &mut scores[1]);
            mixing.mix(&mut scores);
            for (a, b) in scores[0].iter().zip(&scores[1]) {
                sum += a * b;
                squares += b * b;
            }
        }
        let n = (blocks * BLOCK as u64) as f64;
        // Standard error sqrt(1 + r^2) / sqrt n = 0.0036; five of them, odds 6e-7.
        assert!((sum / n - r).abs() < 0.018, "{}", sum / n);
        assert!((squares / n - 1.0).abs() < 0.022, "{}", squares / n);
    }
}
