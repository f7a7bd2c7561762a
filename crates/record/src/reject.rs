//! Why joints are rejected.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

/// Pairings that were rejected for one first cause.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Reject {
    /// The first broken limit, for example `gap_left`.
    pub mode: String,
    /// Pairings.
    pub count: u64,
    /// `count / pairings`.
    pub fraction: f64,
    /// Lower end of the interval.
    pub low: f64,
    /// Upper end of the interval.
    pub high: f64,
    /// How many of them break another limit too.
    pub also_broken: u64,
    /// Which: counts by the name of the other broken limit (names as in `broken_limits`).
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub also: BTreeMap<String, u64>,
}

/// One limit, counted wherever it is broken.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct BrokenLimit {
    /// `gap_left`, `cones_free`, `never_seats`, or the output and side: `clamp_load.min`.
    pub name: String,
    /// The verdict it gives when it is the first.
    pub mode: String,
    /// Value of the limit in `unit`; left out for the three that need none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub limit: Option<f64>,
    /// Unit of the limit.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub unit: String,
    /// Pairings that break it.
    pub count: u64,
    /// `count / pairings`.
    pub fraction: f64,
    /// Lower end of the interval.
    pub low: f64,
    /// Upper end of the interval.
    pub high: f64,
}

/// Draw-up to close, counted by verdict in bins of equal width.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DrawUp {
    /// Lower edge of the first bin (mm).
    pub from_mm: f64,
    /// Upper edge of the last bin (mm).
    pub to_mm: f64,
    /// Counts by verdict (`good`, `gap_left` …), first bin first. Values outside stand in the end bins.
    pub counts: BTreeMap<String, Vec<u64>>,
    /// The window of draw-up in which a joint is good, when there is one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub window: Option<Window>,
}

/// The span of draw-up in which more than half of the joints are good.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Window {
    /// Lower edge (mm); left out when nothing is rejected below.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub low_mm: Option<f64>,
    /// What most joints below that edge are rejected for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub low_mode: Option<String>,
    /// Upper edge (mm); left out when nothing is rejected above.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub high_mm: Option<f64>,
    /// What most joints above that edge are rejected for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub high_mode: Option<String>,
}
