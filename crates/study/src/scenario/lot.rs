//! Measured lots that a scenario names, and the use that a characteristic makes of one.

use std::sync::Arc;

/// A file of readings that a scenario names under `[lots.NAME]`.
#[derive(Debug, Clone, PartialEq)]
pub struct Lot {
    /// Its name in the scenario.
    pub name: String,
    /// The file as the scenario names it.
    pub file: String,
    /// SHA-256 of the file, in hexadecimal.
    pub sha256: String,
    /// Filled rows.
    pub rows: usize,
    /// Readings that were missing and dropped.
    pub dropped: usize,
    /// The columns that are used, in the unit of the file, in the order of the file.
    pub columns: Vec<LotColumn>,
}

/// One column of a lot.
#[derive(Debug, Clone, PartialEq)]
pub struct LotColumn {
    /// Its heading.
    pub name: String,
    /// Its unit; empty for a plain ratio.
    pub unit: String,
    /// The readings of the rows that hold one in every used column.
    pub values: Arc<[f64]>,
}

/// What a characteristic takes from a lot.
#[derive(Debug, Clone)]
pub struct FromLot {
    /// Name of the lot.
    pub lot: String,
    /// Heading of the column.
    pub column: String,
    /// What is done with the readings.
    pub how: UseOfReadings,
    /// The readings in the unit of the inside; all columns of a lot have them row by row.
    pub readings: Arc<[f64]>,
}

/// What is done with readings.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum UseOfReadings {
    /// They are drawn again, each as likely as any other; a part keeps its row.
    Resample,
    /// This kind of shape is fitted to them.
    Fit(&'static str),
}
