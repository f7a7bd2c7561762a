//! A counted share with its interval.

use serde::{Deserialize, Serialize};

/// So many out of so many, with the exact (Clopper-Pearson) two-sided interval.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Share {
    /// Counted.
    pub count: u64,
    /// `count / pairings`.
    pub fraction: f64,
    /// Lower end of the interval.
    pub low: f64,
    /// Upper end of the interval.
    pub high: f64,
}

/// Share of good joints.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Yield {
    /// Good joints.
    pub good: u64,
    /// Joints assembled.
    pub pairings: u64,
    /// `good / pairings`.
    pub fraction: f64,
    /// Lower end of the interval.
    pub low: f64,
    /// Upper end of the interval.
    pub high: f64,
    /// Two-sided confidence of the interval.
    pub confidence: f64,
}
