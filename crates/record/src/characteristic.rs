//! One characteristic of a part: drawing limits and what really comes off the machine.

use serde::{Deserialize, Serialize};

/// Where the numbers of a process come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Basis {
    /// Stated in the scenario without readings behind it.
    Assumed,
    /// From readings of real parts.
    Measured,
}

/// One characteristic. All values carry `unit`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Characteristic {
    /// Dotted path in the scenario, for example `shaft.gauge_diameter`.
    pub path: String,
    /// The words for a reader, for example `shaft gauge diameter`.
    pub words: String,
    /// Unit of every value here; empty for a plain ratio.
    pub unit: String,
    /// Nominal.
    pub nominal: f64,
    /// Lower drawing limit, absolute.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lower: Option<f64>,
    /// Upper drawing limit, absolute.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub upper: Option<f64>,
    /// The class or grade that gave the limits, for example `H7`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub class: Option<String>,
    /// What comes off the machine.
    pub process: Process,
}

/// What really comes off the machine.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Process {
    /// Shape: `constant`, `normal`, `uniform` …
    pub shape: String,
    /// How it was stated, in words: `mean and sd`, `Cp 1.33, Cpk 1.10 toward upper` …
    pub stated: String,
    /// Assumed or measured.
    pub basis: Basis,
    /// Mean.
    pub mean: f64,
    /// Standard deviation.
    pub sd: f64,
    /// 0.135 % quantile.
    pub p0_135: f64,
    /// Median.
    pub p50: f64,
    /// 99.865 % quantile.
    pub p99_865: f64,
    /// Share below the lower drawing limit, when there is one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub share_below: Option<f64>,
    /// Share above the upper drawing limit, when there is one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub share_above: Option<f64>,
    /// Cp against the drawing limits: exact for the stated process, so without interval; within lots and at one state of
    /// the tool where the mean moves.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cp: Option<f64>,
    /// Cpk against the drawing limits, likewise.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cpk: Option<f64>,
    /// Pp over all lots and the whole life of a tool; only where the mean moves.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pp: Option<f64>,
    /// Ppk, likewise.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ppk: Option<f64>,
    /// Standard deviation from part to part, without what moves the mean; only where the mean moves.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sd_within: Option<f64>,
    /// What moves the mean, in words; only where it moves.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub slow: Vec<String>,
    /// Readings behind the process, when it is measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub readings: Option<u64>,
    /// Points `[value, density]` of the density, for the small picture; empty for a constant.
    pub density: Vec<[f64; 2]>,
}
