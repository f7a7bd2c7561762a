//! What every shape of a process can say of itself.

use std::fmt::Debug;

use crate::normal;

/// A continuous distribution of one value.
///
/// All methods are pure and give the same bits on every platform. `p` and `q` are probabilities in
/// `(0, 1)`; the value carries whatever unit the parameters had.
pub trait Shape: Debug + Send + Sync {
    /// Probability density at `x` (per unit of `x`).
    fn density(&self, x: f64) -> f64;

    /// Probability of a value at or below `x`.
    fn below(&self, x: f64) -> f64;

    /// Probability of a value above `x`, right in the far tail.
    fn above(&self, x: f64) -> f64;

    /// The value with probability `p` below it.
    fn quantile(&self, p: f64) -> f64;

    /// The value with probability `q` above it, right for tiny `q`.
    fn upper_quantile(&self, q: f64) -> f64;

    /// Mean.
    fn mean(&self) -> f64;

    /// Standard deviation.
    fn sd(&self) -> f64;

    /// Smallest and largest possible value; infinite where there is none.
    fn support(&self) -> (f64, f64);

    /// The value of a standard-normal score: the monotone map `quantile(Phi(z))`, taken from the near tail.
    fn from_score(&self, z: f64) -> f64 {
        if z <= 0.0 {
            self.quantile(normal::below(z))
        } else {
            self.upper_quantile(normal::below(-z))
        }
    }
}
