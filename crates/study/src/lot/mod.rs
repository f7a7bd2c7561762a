//! The capability study of a file of readings: what `lot` does between the file and the page.
//!
//! [`read`] reads the file and holds it against what was asked for; [`Measured::study`] computes. The way through a column
//! stands in `characteristic`: normality, order, subgroups, shapes, indices, and the lines to paste into a scenario.

mod beside;
mod characteristic;
mod classes;
mod columns;
mod drawing;
mod gauge;
mod groups;
mod indices;
mod normality;
mod options;
mod order;
mod outliers;
mod paste;
mod repeats;
mod resolution;
mod shapes;
mod slip;
mod words;

use std::path::Path;

use record::{LotCharacteristic, LotStudy, ReadingsFile};

use crate::problem::Problems;
use crate::readings::{self, Dialect, SetBy, Sheet};
use characteristic::{File, Readings};
pub use options::{ForColumn, GaugeColumns, Grouping, LotOptions};

/// Below this chance a difference is more than chance.
const CHANCE: f64 = 0.05;

/// A test as a record states it.
fn recorded(test: Option<capability::Test>) -> Option<record::Test> {
    test.map(|test| record::Test {
        statistic: test.statistic,
        p: test.p,
    })
}

/// Why a file is not studied.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NotStudied {
    /// The file or its readings.
    Readings(Problems),
    /// What was asked for does not fit the file; each message ends with what is expected.
    Options(Vec<String>),
}

impl From<Problems> for NotStudied {
    fn from(problems: Problems) -> NotStudied {
        NotStudied::Readings(problems)
    }
}

/// A file of readings with what is to be studied.
#[derive(Debug, Clone)]
pub struct Measured {
    name: String,
    sheet: Sheet,
    columns: Vec<(String, String, String)>,
    readings: Vec<Readings>,
    options: LotOptions,
}

/// Reads a file and holds it against what is asked for.
///
/// # Errors
/// [`NotStudied`], with everything that is wrong at once.
pub fn read(path: &Path, options: &LotOptions) -> Result<Measured, NotStudied> {
    let dialect = Dialect {
        // In a gauge study every part stands in many rows.
        repeated_names: options.dialect.repeated_names || options.gauge.is_some(),
        ..options.dialect
    };
    let sheet = readings::read_all(path, &dialect, &SetBy::Options)?;
    let picked = columns::pick(&sheet, options)?;
    let name = path.file_name().unwrap_or_default();
    Ok(Measured {
        name: name.to_string_lossy().into_owned(),
        columns: picked.done,
        readings: picked.readings,
        sheet,
        options: options.clone(),
    })
}

impl Measured {
    /// SHA-256 of the file, in hex.
    pub fn sha256(&self) -> &str {
        &self.sheet.sha256
    }

    /// Studies every column that is asked for.
    pub fn study(&self) -> LotStudy {
        let file = File {
            name: &self.name,
            sha256: &self.sheet.sha256,
            dialect: &self.options.dialect,
            confidence: self.options.confidence,
            about: &self.options.about,
        };
        let characteristics: Vec<LotCharacteristic> = self
            .readings
            .iter()
            .map(|readings| characteristic::study(readings, &file))
            .collect();
        LotStudy {
            schema_version: record::SCHEMA_VERSION,
            stream_version: sampling::STREAM_VERSION,
            program_version: env!("CARGO_PKG_VERSION").to_owned(),
            title: self.title(),
            file: self.file(),
            confidence: self.options.confidence,
            warnings: warnings(&characteristics, self.sheet.dropped.len()),
            characteristics,
            about: self.options.about.clone(),
        }
    }

    /// The title that was stated, or the name of the file.
    fn title(&self) -> String {
        let stated = self.options.about.iter().find(|(what, _)| what == "title");
        stated.map_or_else(|| self.name.clone(), |(_, title)| title.clone())
    }

    fn file(&self) -> ReadingsFile {
        let dropped = self.sheet.dropped.iter();
        ReadingsFile {
            name: self.name.clone(),
            sha256: self.sheet.sha256.clone(),
            rows: self.sheet.rows as u64,
            blank_lines: self.sheet.blank_lines as u64,
            columns: self.columns.clone(),
            written: written(&self.options.dialect),
            dropped: dropped
                .map(|d| (d.line as u64, d.column.clone(), d.found.clone()))
                .collect(),
        }
    }
}

/// How the file is written, in words.
fn written(dialect: &Dialect) -> String {
    match dialect.skip_rows {
        0 => dialect.words(),
        rows => format!("{}, headings below {rows} other lines", dialect.words()),
    }
}

/// What the reader must know before trusting the numbers.
fn warnings(characteristics: &[LotCharacteristic], dropped: usize) -> Vec<String> {
    let mut warnings = Vec::new();
    for of in characteristics {
        if of.n < indices::FEWEST {
            warnings.push(format!(
                "{}: with {} {} the doubt about the spread cannot be estimated. No index is stated; measure more parts before deciding anything.",
                of.name,
                of.n,
                if of.n == 1 { "reading" } else { "readings" }
            ));
        }
        let outside = of.outside.0 + of.outside.1;
        if outside > 0 {
            warnings.push(format!(
                "{}: {outside} of {} readings lie outside the drawing limits.",
                of.name, of.n
            ));
        }
    }
    if dropped > 0 {
        warnings.push(format!(
            "{dropped} missing readings were left out. If they are missing because of their size, every number here is wrong."
        ));
    }
    warnings
}
