//! Correlated characteristics as mixed normal scores (Gaussian copula): from the stated correlation to that of the scores, and
//! from the matrix of those to the mixing of independent scores.

use std::f64::consts::PI;

use distributions::{Shape, normal};

use crate::scenario::{Correlation, Scenario};

/// Characteristics of one part that are correlated, ready to be mixed.
#[derive(Debug, Clone, PartialEq)]
pub struct Group {
    /// Dotted paths.
    pub members: Vec<&'static str>,
    /// Cholesky factor of their score correlations: a lower triangle.
    pub factor: Vec<Vec<f64>>,
}

/// The groups of a checked scenario.
pub fn mixing(scenario: &Scenario) -> Vec<Group> {
    matrices(&scenario.correlations)
        .into_iter()
        .filter_map(|matrix| {
            let factor = cholesky(&matrix.scores)?;
            Some(Group {
                members: matrix.members,
                factor,
            })
        })
        .collect()
}

/// The score correlation of a rank correlation: `r = 2 sin(pi rho / 6)` (K. Pearson 1907, recalled; exact for a Gaussian copula).
pub(crate) fn of_rank(rho: f64) -> f64 {
    2.0 * libm::sin(PI * rho / 6.0)
}

/// A linear correlation that two shapes cannot have.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Unreachable {
    /// The least that they can have.
    pub(crate) least: f64,
    /// The most.
    pub(crate) most: f64,
}

/// Terms of the expansion.
const TERMS: usize = 40;

/// Steps of the quadrature over scores from -8 to 8.
const STEPS: usize = 2_000;

/// The score correlation under which the values of two shapes have a linear correlation.
///
/// With `h_k` the coefficients of a map in Hermite polynomials normed to 1, the correlation of the values is
/// `sum_k a_k b_k r^k / (s_a s_b)` (Mehler's formula); it rises with `r`, so that it is solved by halving.
pub(crate) fn of_linear(stated: f64, a: &dyn Shape, b: &dyn Shape) -> Result<f64, Unreachable> {
    let (a, b) = (hermite(a), hermite(b));
    let at = |r: f64| {
        let mut power = 1.0;
        let mut sum = 0.0;
        for (x, y) in a.iter().zip(&b) {
            power *= r;
            sum += x * y * power;
        }
        sum
    };
    let (least, most) = (at(-1.0), at(1.0));
    if !(least..=most).contains(&stated) {
        return Err(Unreachable { least, most });
    }
    let (mut low, mut high) = (-1.0, 1.0);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if at(middle) < stated {
            low = middle;
        } else {
            high = middle;
        }
    }
    Ok(0.5 * (low + high))
}

/// Coefficients 1, 2, … of the map from scores to values over the standard deviation, in Hermite polynomials normed to 1.
fn hermite(shape: &dyn Shape) -> [f64; TERMS] {
    if shape.as_normal().is_some() {
        let mut only = [0.0; TERMS];
        only[0] = 1.0;
        return only;
    }
    let mut sums = [0.0; TERMS];
    let mut variance = 0.0;
    let step = 16.0 / STEPS as f64;
    for i in 0..=STEPS {
        let z = -8.0 + step * i as f64;
        let weight = step * normal::density(z);
        let x = shape.from_score(z) - shape.mean();
        variance += weight * x * x;
        // h_(k+1) = (z h_k - sqrt k h_(k-1)) / sqrt(k + 1), normed to 1.
        let (mut before, mut here) = (1.0, z);
        for (k, sum) in sums.iter_mut().enumerate() {
            *sum += weight * x * here;
            let k = (k + 1) as f64;
            let next = (z * here - libm::sqrt(k) * before) / libm::sqrt(k + 1.0);
            before = here;
            here = next;
        }
    }
    sums.map(|sum| sum / libm::sqrt(variance))
}

/// The score correlations of characteristics that hang together.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Matrix {
    /// Dotted paths.
    pub(crate) members: Vec<&'static str>,
    scores: Vec<Vec<f64>>,
}

/// Why a matrix cannot be.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Fault {
    /// The pair that is furthest out.
    pub(crate) pair: [&'static str; 2],
    /// The smallest eigenvalue.
    pub(crate) eigenvalue: f64,
    /// Score correlations that this pair could have, given the others, when there are any.
    pub(crate) range: Option<(f64, f64)>,
}

/// Matrices of the characteristics that hang together by correlations, in the order in which they are named.
pub(crate) fn matrices(correlations: &[Correlation]) -> Vec<Matrix> {
    let mut groups: Vec<Vec<&'static str>> = vec![];
    for correlation in correlations {
        let (mut with, without): (Vec<_>, Vec<_>) =
            groups.into_iter().partition(|group: &Vec<&'static str>| {
                correlation.between.iter().any(|path| group.contains(path))
            });
        let mut joined: Vec<&'static str> = with.drain(..).flatten().collect();
        for path in correlation.between {
            if !joined.contains(&path) {
                joined.push(path);
            }
        }
        groups = without;
        groups.push(joined);
    }
    groups
        .into_iter()
        .map(|members| matrix(members, correlations))
        .collect()
}

fn matrix(members: Vec<&'static str>, correlations: &[Correlation]) -> Matrix {
    let score = |a: &&'static str, b: &&'static str| {
        if a == b {
            return 1.0;
        }
        let stated = correlations
            .iter()
            .find(|c| c.between.contains(a) && c.between.contains(b));
        stated.map_or(0.0, |c| c.score)
    };
    let scores = members
        .iter()
        .map(|a| members.iter().map(|b| score(a, b)).collect())
        .collect();
    Matrix { members, scores }
}

impl Matrix {
    /// What is wrong with it; `None` when one part can have all these correlations.
    pub(crate) fn fault(&self) -> Option<Fault> {
        if cholesky(&self.scores).is_some() {
            return None;
        }
        let (eigenvalue, vector) = smallest(&self.scores);
        let n = self.members.len();
        let pairs = (0..n).flat_map(|i| (i + 1..n).map(move |j| (i, j)));
        let pull = |&(i, j): &(usize, usize)| vector[i] * vector[j] * self.scores[i][j];
        let (i, j) = pairs.min_by(|a, b| pull(a).total_cmp(&pull(b)))?;
        Some(Fault {
            pair: [self.members[i], self.members[j]],
            eigenvalue,
            range: self.range(i, j),
        })
    }

    /// The score correlations that one pair could have.
    fn range(&self, i: usize, j: usize) -> Option<(f64, f64)> {
        const GRID: i32 = 1000;
        let possible = |step: &i32| {
            let mut scores = self.scores.clone();
            let r = f64::from(*step) / f64::from(GRID);
            scores[i][j] = r;
            scores[j][i] = r;
            cholesky(&scores).is_some()
        };
        let mut all = (-GRID..=GRID).filter(possible);
        let low = all.next()?;
        let high = all.next_back().unwrap_or(low);
        Some((
            f64::from(low) / f64::from(GRID),
            f64::from(high) / f64::from(GRID),
        ))
    }
}

/// The lower triangle whose product with its transpose is the matrix; `None` unless the matrix is positive definite.
fn cholesky(matrix: &[Vec<f64>]) -> Option<Vec<Vec<f64>>> {
    let n = matrix.len();
    let mut factor = vec![vec![0.0; n]; n];
    for i in 0..n {
        for j in 0..=i {
            let dot: f64 = (0..j).map(|k| factor[i][k] * factor[j][k]).sum();
            let rest = matrix[i][j] - dot;
            if i == j {
                if rest < 1e-9 {
                    return None;
                }
                factor[i][i] = libm::sqrt(rest);
            } else {
                factor[i][j] = rest / factor[j][j];
            }
        }
    }
    Some(factor)
}

/// Smallest eigenvalue of a symmetric matrix with its vector, by Jacobi's rotations.
fn smallest(matrix: &[Vec<f64>]) -> (f64, Vec<f64>) {
    let n = matrix.len();
    let mut a = matrix.to_vec();
    let mut vectors: Vec<Vec<f64>> = (0..n)
        .map(|i| (0..n).map(|j| f64::from(u8::from(i == j))).collect())
        .collect();
    for _ in 0..60 {
        for p in 0..n {
            for q in p + 1..n {
                if a[p][q] == 0.0 {
                    continue;
                }
                let theta = 0.5 * libm::atan2(2.0 * a[p][q], a[q][q] - a[p][p]);
                let (c, s) = (libm::cos(theta), libm::sin(theta));
                for row in &mut a {
                    (row[p], row[q]) = (c * row[p] - s * row[q], s * row[p] + c * row[q]);
                }
                let (above, below) = a.split_at_mut(q);
                for (x, y) in above[p].iter_mut().zip(&mut below[0]) {
                    (*x, *y) = (c * *x - s * *y, s * *x + c * *y);
                }
                for row in &mut vectors {
                    (row[p], row[q]) = (c * row[p] - s * row[q], s * row[p] + c * row[q]);
                }
            }
        }
    }
    let place = (0..n)
        .min_by(|&i, &j| a[i][i].total_cmp(&a[j][j]))
        .unwrap_or(0);
    (
        a[place][place],
        vectors.iter().map(|row| row[place]).collect(),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use distributions::{Lognormal, Normal, Uniform};

    #[test]
    fn verified_score_correlations_against_closed_forms() {
        let normal = Normal::new(30.0, 0.01).unwrap();
        assert!((of_linear(0.37, &normal, &normal).unwrap() - 0.37).abs() < 1e-12);
        // Uniform: the linear correlation is that of the ranks, 6/pi asin(r/2).
        let uniform = Uniform::new(2.0, 3.0).unwrap();
        for rho in [-0.8, 0.1, 0.6] {
            assert!(
                (of_linear(rho, &uniform, &uniform).unwrap() - of_rank(rho)).abs() < 1e-6,
                "{rho}"
            );
        }
        // Lognormal: rho = (exp(r s^2) - 1)/(exp(s^2) - 1).
        let lognormal = Lognormal::with_moments(1.0, 0.3, 0.0).unwrap();
        let square = libm::log1p(0.09);
        for r in [-0.7, 0.2, 0.9] {
            let rho = libm::expm1(r * square) / libm::expm1(square);
            assert!(
                (of_linear(rho, &lognormal, &lognormal).unwrap() - r).abs() < 1e-6,
                "{r}"
            );
        }
        let most = of_linear(-0.99, &lognormal, &lognormal).unwrap_err();
        assert!((most.least - libm::expm1(-square) / libm::expm1(square)).abs() < 1e-6);
    }

    fn pair(between: [&'static str; 2], score: f64) -> Correlation {
        Correlation {
            between,
            kind: crate::scenario::CorrelationKind::Rank,
            stated: score,
            score,
        }
    }

    #[test]
    fn an_impossible_triangle_is_found_and_its_way_out_named() {
        let impossible = [
            pair(["a", "b"], 0.9),
            pair(["b", "c"], 0.9),
            pair(["a", "c"], -0.2),
        ];
        let matrices = matrices(&impossible);
        let fault = matrices[0].fault().expect("impossible");
        assert!(fault.eigenvalue < -0.2, "{fault:?}");
        assert_eq!(fault.pair, ["b", "c"]);
        // Of three: r_bc from r_ab r_ac - w to r_ab r_ac + w, w^2 = (1 - r_ab^2)(1 - r_ac^2).
        let reach = libm::sqrt((1.0 - 0.81) * (1.0 - 0.04));
        let (low, high) = fault.range.expect("there is a way out");
        assert!(
            (low + 0.18 + reach).abs() < 2e-3 && (high + 0.18 - reach).abs() < 2e-3,
            "{low} {high}"
        );
    }

    #[test]
    fn groups_that_hang_together_are_joined_and_factored() {
        let all = [
            pair(["a", "b"], 0.5),
            pair(["c", "d"], 0.1),
            pair(["b", "c"], 0.2),
        ];
        let matrices = matrices(&all);
        assert_eq!(matrices.len(), 1);
        assert_eq!(matrices[0].members.len(), 4);
        let factor = cholesky(&matrices[0].scores).expect("possible");
        for i in 0..4 {
            for j in 0..4 {
                let product: f64 = (0..4).map(|k| factor[i][k] * factor[j][k]).sum();
                assert!((product - matrices[0].scores[i][j]).abs() < 1e-15);
            }
        }
    }
}
