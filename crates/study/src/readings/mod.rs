//! A strict reader of measured readings: CSV files, one part a row, one characteristic or mark a column.
//!
//! Nothing is guessed. Separator, decimal sign, encoding and what is done with missing readings are stated; a file that is
//! written otherwise is refused with the setting that it needs. Lines are physical lines, as an editor shows them, and a quote
//! that is not closed swallows nothing. The csv library splits the cells once the quotes are known to be whole.

mod dialect;
mod ending;
mod faults;
mod heading;
mod headings;
mod lines;
mod number;
mod reader;
mod rows;
mod sheet;
mod slip;
mod suspect;

use std::fs::File;
use std::path::Path;

pub use dialect::{Decimal, Dialect, Encoding, Missing, Separator, SetBy};
pub use sheet::{Cells, Column, Dropped, Sheet};
pub use slip::{Slip, slip};

use crate::problem::{Problem, Problems, id};
use crate::scenario::source::{self, READINGS};
use lines::LineReader;
use reader::Reader;

/// A column that is asked for, by its heading with or without the unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Want<'a> {
    /// Readings.
    Number(&'a str),
    /// Marks: serial numbers, machines, appraisers.
    Text(&'a str),
}

impl Want<'_> {
    fn name(&self) -> &str {
        match self {
            Want::Number(name) | Want::Text(name) => name,
        }
    }
}

/// Reads a file once, in little memory; only the wanted columns are kept.
///
/// # Errors
/// All [`Problems`] at once.
pub fn read(
    path: &Path,
    dialect: &Dialect,
    set_by: &SetBy,
    wants: &[Want<'_>],
) -> Result<Sheet, Problems> {
    open(path, dialect, set_by, Some(wants))
}

/// Reads a file, taking every column that is mostly numbers for readings and every other for text.
///
/// A column of whole numbers with leading zeros, and one whose heading is that of a serial number, is text.
///
/// # Errors
/// All [`Problems`] at once.
pub fn read_all(path: &Path, dialect: &Dialect, set_by: &SetBy) -> Result<Sheet, Problems> {
    open(path, dialect, set_by, None)
}

/// Reads the bytes of a file; `file` is the name to show in messages.
///
/// # Errors
/// All [`Problems`] at once.
pub fn read_text(
    file: &str,
    bytes: &[u8],
    dialect: &Dialect,
    set_by: &SetBy,
    wants: Option<&[Want<'_>]>,
) -> Result<Sheet, Problems> {
    let lines = LineReader::new(bytes, dialect.encoding);
    Reader::new(file, dialect, set_by, wants).read(lines)
}

fn open(
    path: &Path,
    dialect: &Dialect,
    set_by: &SetBy,
    wants: Option<&[Want<'_>]>,
) -> Result<Sheet, Problems> {
    let name = path.to_string_lossy();
    source::inspect(path, &READINGS)?;
    let file = File::open(path).map_err(|error| match error.kind() {
        std::io::ErrorKind::PermissionDenied => source::no_permission(path, &name),
        _ => Problem::new(&id::READ, &name, "", &error.to_string(), READINGS.words),
    })?;
    let lines = LineReader::new(file, dialect.encoding);
    Reader::new(&name, dialect, set_by, wants).read(lines)
}
