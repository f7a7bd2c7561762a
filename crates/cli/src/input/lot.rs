//! The options of `lot`.

use std::path::PathBuf;
use std::str::FromStr;

use clap::{Args, ValueEnum};
use study::lot::ForColumn;

use super::arguments::Destination;

/// `lot`.
#[derive(Debug, Args)]
pub struct Lot {
    /// CSV file of readings, a heading above each column
    pub readings: PathBuf,
    /// What is studied.
    #[command(flatten)]
    pub columns: Columns,
    /// What the drawing says.
    #[command(flatten)]
    pub drawing: Drawing,
    /// How the file is written.
    #[command(flatten)]
    pub written: Written,
    /// Something to state beside the readings, for example "machine=lathe 3"; supplier, drawing issue, dates, gauge and
    /// the like answer the list beside the indices; title names the study; may be given several times
    #[arg(long, value_name = "WHAT=TEXT")]
    pub about: Vec<About>,
    /// Two-sided confidence of the intervals
    #[arg(
        long,
        value_name = "PERCENT",
        default_value = "95%",
        allow_negative_numbers = true
    )]
    pub confidence: Confidence,
    /// Print the study on stdout, and nothing else there
    #[arg(long)]
    pub json: bool,
    /// Where the report goes.
    #[command(flatten)]
    pub to: Destination,
    /// No notes on stderr
    #[arg(long)]
    pub quiet: bool,
}

/// What is studied, and which columns say something about it.
#[derive(Debug, Args)]
pub struct Columns {
    /// Column to study; may be given several times [default: every column of numbers]
    #[arg(long, value_name = "NAME")]
    pub column: Vec<String>,
    /// Unit of a column whose heading states none: NAME=UNIT, or UNIT when one column is studied
    #[arg(long, value_name = "[NAME=]UNIT")]
    pub unit: Vec<Valued>,
    /// Column that says which readings were made close together
    #[arg(long, value_name = "NAME", conflicts_with = "subgroup_size")]
    pub subgroup: Option<String>,
    /// Readings made close together: so many rows in a row, 2 or more
    #[arg(long, value_name = "N", allow_negative_numbers = true, value_parser = clap::value_parser!(u32).range(2..=1_000_000))]
    pub subgroup_size: Option<u32>,
    /// Column that says which part was measured, for a study of the gauge
    #[arg(long, value_name = "NAME", requires = "appraiser", conflicts_with_all = ["subgroup", "subgroup_size"])]
    pub part: Option<String>,
    /// Column that says who measured it
    #[arg(long, value_name = "NAME", requires = "part")]
    pub appraiser: Option<String>,
    /// Column that says which time it was measured
    #[arg(long, value_name = "NAME", requires = "part")]
    pub trial: Option<String>,
    /// Column of serial numbers
    #[arg(long, value_name = "NAME")]
    pub serial: Option<String>,
}

/// What the drawing says. Each is a value, or NAME=VALUE when several columns are studied.
#[derive(Debug, Args)]
pub struct Drawing {
    /// Nominal, for example "30 mm", or NAME="30 mm" when several columns are studied; likewise below
    #[arg(long, value_name = "VALUE", allow_hyphen_values = true)]
    pub nominal: Vec<Valued>,
    /// Class of ISO 286, for example H7
    #[arg(long, value_name = "CLASS")]
    pub class: Vec<Valued>,
    /// Deviations from the nominal, for example "-13 um..0 um"
    #[arg(long, value_name = "FROM..TO", allow_hyphen_values = true)]
    pub deviations: Vec<Valued>,
    /// Lower limit, for example "0.98 in"
    #[arg(long, value_name = "VALUE", allow_hyphen_values = true)]
    pub min: Vec<Valued>,
    /// Upper limit
    #[arg(long, value_name = "VALUE", allow_hyphen_values = true)]
    pub max: Vec<Valued>,
}

/// How the file is written.
#[derive(Debug, Args)]
pub struct Written {
    /// Sign before the decimals: . or ,
    #[arg(long, value_enum, value_name = "SIGN", default_value_t = Decimal::Point)]
    pub decimal: Decimal,
    /// What stands between two cells; a comma, or what a first line sep=; says
    #[arg(long, value_enum)]
    pub separator: Option<Separator>,
    /// How the letters are written
    #[arg(long, value_enum, default_value_t = Encoding::Utf8)]
    pub encoding: Encoding,
    /// What is done with a row that lacks a reading
    #[arg(long, value_enum, default_value_t = Missing::Refuse)]
    pub missing: Missing,
    /// Lines above the headings
    #[arg(long, value_name = "N", default_value_t = 0)]
    pub skip_rows: usize,
    /// Serial numbers may repeat
    #[arg(long)]
    pub repeated_names: bool,
}

/// The sign before the decimals.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Decimal {
    /// 1.5
    #[value(name = ".")]
    Point,
    /// 1,5
    #[value(name = ",")]
    Comma,
}

/// What stands between two cells.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Separator {
    /// ,
    Comma,
    /// ;
    Semicolon,
    /// A tabulator
    Tab,
}

/// How the letters are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Encoding {
    /// Unicode, the usual one
    #[value(name = "utf-8")]
    Utf8,
    /// Western European of older office programs
    #[value(name = "windows-1252")]
    Windows1252,
}

/// What is done with a row that lacks a reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Missing {
    /// The file is refused
    Refuse,
    /// The reading is left out and listed
    Drop,
}

/// A value, or NAME=VALUE for one of several columns.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Valued(pub ForColumn);

/// Why a word is not what an option of `lot` takes.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum LotOptionError {
    /// Nothing before or after the equals sign.
    #[error("a value is due, or NAME=VALUE for one of several columns")]
    Value,
    /// No equals sign, or nothing before or after it.
    #[error("WHAT=TEXT is due, for example \"machine=lathe 3\"")]
    About,
    /// Not a confidence.
    #[error("a percentage from 50% to 99.99% is due, for example 95%")]
    Confidence,
}

impl FromStr for Valued {
    type Err = LotOptionError;

    fn from_str(word: &str) -> Result<Valued, LotOptionError> {
        // No value holds an equals sign; a heading may.
        let (column, value) = match word.rsplit_once('=') {
            Some((column, value)) => (Some(column.trim()), value.trim()),
            None => (None, word.trim()),
        };
        if value.is_empty() || column.is_some_and(str::is_empty) {
            return Err(LotOptionError::Value);
        }
        Ok(Valued(ForColumn {
            column: column.map(str::to_owned),
            value: value.to_owned(),
        }))
    }
}

/// What is stated beside the readings.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct About {
    /// What it is about.
    pub what: String,
    /// What is stated.
    pub text: String,
}

impl FromStr for About {
    type Err = LotOptionError;

    fn from_str(word: &str) -> Result<About, LotOptionError> {
        let (what, text) = word.split_once('=').ok_or(LotOptionError::About)?;
        let (what, text) = (what.trim(), text.trim());
        if what.is_empty() || text.is_empty() {
            return Err(LotOptionError::About);
        }
        Ok(About {
            what: what.to_owned(),
            text: text.to_owned(),
        })
    }
}

/// A two-sided confidence as a fraction.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Confidence(pub f64);

impl FromStr for Confidence {
    type Err = LotOptionError;

    fn from_str(word: &str) -> Result<Confidence, LotOptionError> {
        let number = word
            .trim()
            .strip_suffix('%')
            .ok_or(LotOptionError::Confidence)?;
        let percent: f64 = number
            .trim()
            .parse()
            .map_err(|_| LotOptionError::Confidence)?;
        if (50.0..=99.99).contains(&percent) {
            Ok(Confidence(percent / 100.0))
        } else {
            Err(LotOptionError::Confidence)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_value_may_name_its_column() {
        let valued = |word: &str| word.parse::<Valued>().map(|v| (v.0.column, v.0.value));
        assert_eq!(valued("30 mm"), Ok((None, "30 mm".to_owned())));
        assert_eq!(
            valued("bore=30 mm"),
            Ok((Some("bore".to_owned()), "30 mm".to_owned()))
        );
        assert_eq!(
            valued("a=b=-13 um..0 um"),
            Ok((Some("a=b".to_owned()), "-13 um..0 um".to_owned()))
        );
        for word in ["", "=", "bore=", "=30 mm"] {
            assert_eq!(valued(word), Err(LotOptionError::Value), "{word}");
        }
    }

    #[test]
    fn a_confidence_is_a_percentage() {
        assert_eq!("95%".parse(), Ok(Confidence(0.95)));
        assert_eq!("99 %".parse(), Ok(Confidence(0.99)));
        for word in ["", "95", "0.95", "0%", "100%", "nan%", "x%"] {
            assert!(word.parse::<Confidence>().is_err(), "{word}");
        }
    }

    #[test]
    fn what_is_stated_has_a_name_and_a_text() {
        let about: About = "machine=lathe 3".parse().unwrap();
        assert_eq!(
            (about.what.as_str(), about.text.as_str()),
            ("machine", "lathe 3")
        );
        for word in ["", "machine", "=x", "machine="] {
            assert!(word.parse::<About>().is_err(), "{word}");
        }
    }
}
