//! What a study of measured readings leaves behind.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::capability::Index;
use crate::output::Histogram;

/// Everything that a capability study of one file of readings leaves behind.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LotStudy {
    /// [`crate::SCHEMA_VERSION`] of the program that wrote it.
    pub schema_version: u32,
    /// Version of the program that wrote it.
    pub program_version: String,
    /// Version of the random streams behind every doubt without a closed form; 0 in studies older than this field.
    #[serde(default)]
    pub stream_version: u32,
    /// What the reader calls the study; the name of the file when nothing is stated.
    pub title: String,
    /// What the file holds.
    pub file: ReadingsFile,
    /// Two-sided confidence of every interval.
    pub confidence: f64,
    /// The characteristics, in the order of the columns.
    pub characteristics: Vec<LotCharacteristic>,
    /// What was stated about the study beside the readings: supplier, machine, drawing issue, dates …, in order.
    pub about: Vec<(String, String)>,
    /// What the reader must know before trusting the numbers, one sentence each.
    pub warnings: Vec<String>,
}

/// What a file of readings holds.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ReadingsFile {
    /// Name without folder.
    pub name: String,
    /// SHA-256 in hex.
    pub sha256: String,
    /// Filled rows.
    pub rows: u64,
    /// Blank lines skipped.
    pub blank_lines: u64,
    /// Every column: heading, unit, and what was done with it in words (`studied`, `subgroup`, `appraiser`, `text, not studied` …).
    pub columns: Vec<(String, String, String)>,
    /// How it is written, in words: separator, decimal sign, encoding.
    pub written: String,
    /// Missing readings that were dropped, as line, column and what stood there.
    pub dropped: Vec<(u64, String, String)>,
}

/// The study of one measured characteristic. All values carry `unit`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LotCharacteristic {
    /// Heading of the column.
    pub name: String,
    /// Unit; empty for a plain ratio.
    pub unit: String,
    /// Nominal, when one is stated.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub nominal: Option<f64>,
    /// Lower drawing limit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lower: Option<f64>,
    /// Upper drawing limit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub upper: Option<f64>,
    /// How the limits were stated: `30 H7`, `-13 to 0 um`, `0.98 to 1.02` …; empty without limits.
    pub limits_stated: String,
    /// Readings.
    pub n: u64,
    /// Mean.
    pub mean: f64,
    /// Standard deviation of all readings (n - 1).
    pub sd: f64,
    /// Smallest reading.
    pub min: f64,
    /// Largest reading.
    pub max: f64,
    /// Skewness `g1`; left out without spread.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub skewness: Option<f64>,
    /// Excess kurtosis `g2`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub excess_kurtosis: Option<f64>,
    /// Readings outside the drawing limits: below, above.
    pub outside: (u64, u64),
    /// Step of the readings against the tolerance.
    pub resolution: Resolution,
    /// Subgroups, when there are any.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub subgroups: Option<Subgroups>,
    /// In the order of production.
    pub order: ProductionOrder,
    /// Whether the readings agree with a normal distribution.
    pub normality: Normality,
    /// Shapes fitted to the readings, best first.
    pub fits: Vec<FittedShape>,
    /// Place in `fits` of the shape behind the percentile form.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub chosen: Option<usize>,
    /// Capability against the drawing limits; left out without limits.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub capability: Option<LotCapability>,
    /// Readings far from the others: flagged, kept in every number.
    pub outliers: Vec<Outlier>,
    /// Histogram of the readings.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub histogram: Option<Histogram>,
    /// Readings in order of size against the quantiles of the chosen shape (of the normal where none is chosen), at most 400
    /// points `[quantile of the shape, reading]`.
    pub departure: Vec<[f64; 2]>,
    /// Classes whose limits hold every reading, when a nominal is stated: ISO 286 for a length.
    pub classes: Vec<String>,
    /// Classes that do not hold them, of those usual beside them.
    pub not_classes: Vec<String>,
    /// Repeatability and reproducibility, when appraisers and trials are there.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gauge: Option<Gauge>,
    /// Lines to paste into a scenario.
    pub scenario: String,
    /// What must stand beside an index: what it is about, and what is known; `not stated` where nothing is.
    pub beside: Vec<(String, String)>,
    /// What the reader must know about this characteristic, one sentence each.
    pub notes: Vec<String>,
}

/// The step of the readings.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Resolution {
    /// Step that all readings share; left out when there is none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub step: Option<f64>,
    /// Different readings.
    pub distinct: u64,
    /// Step over tolerance; left out without two limits.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub of_tolerance: Option<f64>,
    /// Whether the step is coarser than a tenth of the tolerance.
    pub coarse: bool,
}

/// A test: its statistic and how often chance alone gives one as extreme.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Test {
    /// The statistic.
    pub statistic: f64,
    /// Probability of a statistic at least as extreme by chance.
    pub p: f64,
}

/// Subgroups of readings made close together.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Subgroups {
    /// How they were formed, in words.
    pub stated: String,
    /// How many.
    pub count: u64,
    /// Smallest and largest number of readings in one.
    pub size: (u64, u64),
    /// Pooled standard deviation within subgroups.
    pub sd_within: f64,
    /// Its degrees of freedom.
    pub freedom: u64,
    /// Analysis of variance: are the means equal?
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub means_equal: Option<Test>,
    /// Bartlett: are the spreads equal?
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub spreads_equal_bartlett: Option<Test>,
    /// Levene with medians: are the spreads equal, also where the shape is not normal?
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub spreads_equal_levene: Option<Test>,
    /// Standard deviation of the subgroup means beyond what chance gives; 0 when there is none.
    pub sd_between: f64,
    /// Each subgroup, in the order of production; at most 400.
    pub each: Vec<Subgroup>,
}

/// One subgroup.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Subgroup {
    /// Its name or number.
    pub name: String,
    /// Readings.
    pub n: u64,
    /// Mean.
    pub mean: f64,
    /// Smallest reading.
    pub min: f64,
    /// Largest reading.
    pub max: f64,
}

/// The readings in the order of production.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ProductionOrder {
    /// Points for the run chart, in order: first and last reading (from 1), mean, smallest, largest of them. One reading a
    /// point up to 400 readings.
    pub points: Vec<OrderPoint>,
    /// Runs about the median.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub runs: Option<Test>,
    /// Linear trend: change over all readings, and its test.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub trend: Option<Trend>,
    /// Correlation of each reading with the one before.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lag1: Option<f64>,
    /// `steady`, `drift`, `shifts` or `too_few`.
    pub verdict: String,
    /// The verdict in a sentence.
    pub words: String,
}

/// A linear trend.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Trend {
    /// Change from the first to the last reading along the fitted line.
    pub change: f64,
    /// Probability of as steep a line by chance.
    pub p: f64,
}

/// A point of the run chart.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct OrderPoint {
    /// First reading, from 1.
    pub first: u64,
    /// Last reading.
    pub last: u64,
    /// Mean of them.
    pub mean: f64,
    /// Smallest.
    pub min: f64,
    /// Largest.
    pub max: f64,
}

/// Agreement with a normal distribution.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Normality {
    /// Anderson and Darling.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub anderson_darling: Option<Test>,
    /// Shapiro and Wilk.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shapiro_wilk: Option<Test>,
    /// Whether the readings are judged normal.
    pub normal: bool,
    /// The judgement in a sentence, with what a test on so few readings can and cannot see.
    pub words: String,
}

/// A shape fitted to the readings.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FittedShape {
    /// Name in a scenario.
    pub shape: String,
    /// Parameters as stated in a scenario: key and text with unit.
    pub parameters: Vec<(String, String)>,
    /// Parameters fitted.
    pub free: u64,
    /// Natural logarithm of the likelihood.
    pub log_likelihood: f64,
    /// Akaike's criterion, corrected for few readings, above that of the best.
    pub above_best: f64,
    /// 0.135 %, 50 % and 99.865 % quantile.
    pub quantiles: [f64; 3],
    /// Share outside the drawing limits by this shape; left out without limits.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub outside: Option<f64>,
    /// Largest difference between the fitted and the seen distribution function (Kolmogorov's distance).
    pub distance: f64,
    /// How the tails agree: seen over expected readings beyond the fitted 2.5 % and 97.5 % quantiles.
    pub tails: [f64; 2],
    /// Points `[value, density]` of the density.
    pub density: Vec<[f64; 2]>,
}

/// Capability of a measured characteristic.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LotCapability {
    /// Cp with the standard deviation within subgroups.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cp: Option<Index>,
    /// Cpk with the standard deviation within subgroups.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cpk: Option<Index>,
    /// Pp with the standard deviation of all readings.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pp: Option<Index>,
    /// Ppk with the standard deviation of all readings.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ppk: Option<Index>,
    /// Pp by the percentile form with the chosen shape.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pp_percentile: Option<Index>,
    /// Ppk by the percentile form with the chosen shape.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ppk_percentile: Option<Index>,
    /// What the leading index demonstrates: exact one-sided lower bound at 95 % for readings judged normal.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub demonstrated: Option<f64>,
    /// `Cpk`, `Ppk` or `Ppk (percentile)`: the index that leads, and why in a sentence.
    pub leads: (String, String),
    /// Share of parts outside the limits by the leading shape, with the interval when there is one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub outside: Option<Index>,
    /// Why a key is left out.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub absent: BTreeMap<String, String>,
}

/// A reading far from the others.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Outlier {
    /// Line of the file.
    pub line: u64,
    /// Place in the order of readings, from 1.
    pub reading: u64,
    /// Serial number or name, when the file has one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// The reading.
    pub value: f64,
    /// Distance from the mean of the others in their standard deviations.
    pub distance: f64,
}

/// A gauge study: standard deviations by source.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Gauge {
    /// Parts, appraisers, trials.
    pub counts: (u64, u64, u64),
    /// Sources of the analysis of variance: name, sum of squares, degrees of freedom, mean square.
    pub table: Vec<(String, f64, u64, f64)>,
    /// F test of the interaction of parts and appraisers.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub interaction: Option<Test>,
    /// Whether the interaction was taken for chance and added to the equipment.
    pub pooled: bool,
    /// Repeatability (equipment).
    pub repeatability: f64,
    /// Reproducibility (appraisers and their interaction with parts).
    pub reproducibility: f64,
    /// Both together.
    pub gauge: f64,
    /// Part to part.
    pub parts: f64,
    /// Total.
    pub total: f64,
    /// Gauge over total.
    pub of_total: f64,
    /// Six gauge standard deviations over the tolerance.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub of_tolerance: Option<f64>,
    /// Number of distinct categories.
    pub categories: u64,
    /// The same by average and range: repeatability, reproducibility, gauge, parts, total; left out where the constants end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub by_range: Option<[f64; 5]>,
    /// Why there is no study although columns were named; otherwise empty.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub reason: String,
}

impl LotStudy {
    /// The study as JSON text, ending in a newline.
    ///
    /// # Panics
    /// Never for a study that the program made: all keys are strings and all numbers finite.
    pub fn to_json(&self) -> String {
        let mut text = serde_json::to_string_pretty(self).expect("plain data becomes JSON");
        text.push('\n');
        text
    }
}
