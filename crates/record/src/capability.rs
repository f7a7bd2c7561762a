//! A capability index with its interval.

use serde::{Deserialize, Serialize};

/// A capability index.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Index {
    /// The index.
    pub value: f64,
    /// Lower end of the two-sided interval.
    pub low: f64,
    /// Upper end of the two-sided interval.
    pub high: f64,
}
