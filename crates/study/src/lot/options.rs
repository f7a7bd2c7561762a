//! What is asked of a study of readings, as it was typed.

use crate::readings::Dialect;

/// A value for one column, or for the only one that is studied.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ForColumn {
    /// Heading of the column; `None` when one column is studied.
    pub column: Option<String>,
    /// The value as typed.
    pub value: String,
}

/// How readings are put into subgroups.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Grouping {
    /// Rows with the same text in this column.
    Column(String),
    /// So many rows in a row.
    Size(usize),
}

/// Columns that say who measured which part, in a study of the gauge.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GaugeColumns {
    /// Which part.
    pub part: String,
    /// Who measured it.
    pub appraiser: String,
    /// Which time.
    pub trial: Option<String>,
}

/// What is asked of a study of readings.
#[derive(Debug, Clone, PartialEq)]
pub struct LotOptions {
    /// How the file is written.
    pub dialect: Dialect,
    /// Columns to study; empty for every column of numbers without another role.
    pub columns: Vec<String>,
    /// Units of columns whose heading states none.
    pub units: Vec<ForColumn>,
    /// Nominal sizes, such as `30 mm`.
    pub nominals: Vec<ForColumn>,
    /// Classes of ISO 286, such as `H7`.
    pub classes: Vec<ForColumn>,
    /// Deviations from the nominal, such as `-13 um..0 um`.
    pub deviations: Vec<ForColumn>,
    /// Lower drawing limits.
    pub mins: Vec<ForColumn>,
    /// Upper drawing limits.
    pub maxs: Vec<ForColumn>,
    /// Subgroups.
    pub grouping: Option<Grouping>,
    /// A study of the gauge.
    pub gauge: Option<GaugeColumns>,
    /// Column of serial numbers.
    pub serial: Option<String>,
    /// What is stated beside the readings: key and text, in order.
    pub about: Vec<(String, String)>,
    /// Two-sided confidence of the intervals.
    pub confidence: f64,
}
