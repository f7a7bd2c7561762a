//! The standard normal distribution: density, tails and quantile.

/// `sqrt(2)`.
const SQRT_2: f64 = std::f64::consts::SQRT_2;

/// Probability of a standard-normal value at or below `z`, right in the far lower tail.
///
/// `Phi(z) = erfc(-z / sqrt 2) / 2` (any textbook; `libm::erfc` is good to 1.5e-16 relative).
pub fn below(z: f64) -> f64 {
    0.5 * libm::erfc(-z / SQRT_2)
}
