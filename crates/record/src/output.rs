//! The distribution of one output over all pairings.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::capability::Index;

/// One output that was followed. All values carry `unit`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Output {
    /// Name, as in `[limits]`.
    pub name: String,
    /// Key in machine-readable results: name and unit.
    pub key: String,
    /// The words for a reader.
    pub words: String,
    /// Unit; empty for a plain ratio.
    pub unit: String,
    /// Pairings that have this output; the others are those for which it is not defined.
    pub present: u64,
    /// Pairings at the point mass (clamp load 0, share 1 …), when the output can have one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at_atom: Option<u64>,
    /// The value of that point mass.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub atom: Option<f64>,
    /// Mean.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mean: Option<f64>,
    /// Standard deviation (n - 1).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sd: Option<f64>,
    /// Skewness `g1`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub skewness: Option<f64>,
    /// Excess kurtosis `g2`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub excess_kurtosis: Option<f64>,
    /// Smallest value.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub min: Option<f64>,
    /// Largest value.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub max: Option<f64>,
    /// Quantiles by share below: keys `0.00135`, `0.05`, `0.5`, `0.95`, `0.99865`.
    pub quantiles: BTreeMap<String, Quantile>,
    /// The limits that make a joint good, when this output is judged.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub limits: Option<Limits>,
    /// Cp by the normal formula.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cp: Option<Index>,
    /// Cpk by the normal formula.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cpk: Option<Index>,
    /// Pp by the normal formula; equal to Cp when there are no lots.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pp: Option<Index>,
    /// Ppk by the normal formula; equal to Cpk when there are no lots.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ppk: Option<Index>,
    /// Pp by the percentile method.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pp_percentile: Option<Index>,
    /// Ppk by the percentile method.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ppk_percentile: Option<Index>,
    /// False when the shape is far from normal (a point mass, skewness, tails): the percentile form leads.
    pub shape_normal: bool,
    /// The distribution among the pairings that are not at the point mass, for the play of joints that are not right.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub among: Option<Among>,
    /// Coarse histogram for a chart, without the values at the point mass.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub histogram: Option<Histogram>,
    /// Why a key is left out.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub absent: BTreeMap<String, String>,
}

/// An output among the pairings that are not at its point mass: the gap of those with a gap left, the rock angle of those
/// that rock.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Among {
    /// How many pairings that are.
    pub count: u64,
    /// Quantiles by share below: keys `0.05`, `0.5`, `0.95`.
    pub quantiles: BTreeMap<String, f64>,
}

/// A quantile with its order-statistic interval.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Quantile {
    /// The value with this share of pairings below it.
    pub value: f64,
    /// Lower end; left out when too few pairings lie beyond the quantile.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub low: Option<f64>,
    /// Upper end; left out when too few pairings lie beyond the quantile.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub high: Option<f64>,
}

/// A minimum, a maximum, or both.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Limits {
    /// Smallest value of a good joint.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub min: Option<f64>,
    /// Largest value of a good joint.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub max: Option<f64>,
}

/// Counts in bins of equal width.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Histogram {
    /// Lower edge of the first bin.
    pub from: f64,
    /// Upper edge of the last bin.
    pub to: f64,
    /// Counts, first bin first.
    pub counts: Vec<u64>,
    /// Values below `from`.
    pub below: u64,
    /// Values above `to`.
    pub above: u64,
}
