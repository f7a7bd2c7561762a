//! The rule by which a run ended before the most pairings it was allowed.

use serde::{Deserialize, Serialize};

/// Until when a run went on, and what it came to. The reject rate is all rejects over all pairings; the half-width is
/// `(high - low) / 2` of its exact (Clopper-Pearson) interval at the confidence of the run.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Until {
    /// The rule as it is written in a scenario, for example `half-width 50 ppm`.
    pub stated: String,
    /// How narrow the interval was to become.
    pub half_width: HalfWidth,
    /// Half-width of the interval over the pairings done, as a share of the pairings.
    pub reached: f64,
    /// Whether that is narrow enough.
    pub met: bool,
    /// Most pairings that would have been run.
    pub most_pairings: u64,
    /// Pairings at the first look at the interval.
    pub first_look: u64,
    /// Pairings from one look to the next.
    pub look_every: u64,
}

/// How narrow the interval of the reject rate is to become.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum HalfWidth {
    /// Half-width at most this share of the pairings.
    Absolute(f64),
    /// Half-width at most this share of the reject rate itself.
    OfRejectRate(f64),
}
