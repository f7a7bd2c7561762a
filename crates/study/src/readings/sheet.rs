//! What was read from a file.

/// A file of readings.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    /// The file as the user named it.
    pub file: String,
    /// SHA-256 of its bytes, in hexadecimal.
    pub sha256: String,
    /// Its size.
    pub bytes: u64,
    /// Filled rows below the headings.
    pub rows: usize,
    /// Blank lines that were skipped.
    pub blank_lines: usize,
    /// Every column of the file, in its order.
    pub columns: Vec<Column>,
    /// Readings that were missing and left out.
    pub dropped: Vec<Dropped>,
    /// What the reader should know, one sentence each.
    pub warnings: Vec<String>,
    pub(super) lines: Vec<usize>,
}

/// One column.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    /// Its heading without a unit in brackets.
    pub name: String,
    /// Its unit, where the heading states one.
    pub unit: Option<String>,
    /// Line and column of the heading.
    pub place: (usize, usize),
    /// Its cells, row by row.
    pub cells: Cells,
}

/// The cells of a column.
#[derive(Debug, Clone, PartialEq)]
pub enum Cells {
    /// Readings; `None` where one is missing and was left out.
    Numbers(Vec<Option<f64>>),
    /// Text without outer blanks.
    Text(Vec<String>),
    /// A column that was not asked for.
    NotRead,
}

/// A reading that was left out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Dropped {
    /// Line of the file.
    pub line: usize,
    /// Name of the column.
    pub column: String,
    /// What stood there: `an empty cell`, `#N/A` …
    pub found: String,
}

impl Sheet {
    /// The column with this name, with or without its unit.
    pub fn column(&self, name: &str) -> Option<&Column> {
        self.columns.iter().find(|column| column.is(name))
    }

    /// The first line of each row.
    pub fn lines(&self) -> &[usize] {
        &self.lines
    }
}

impl Column {
    /// Whether the column goes by this name.
    pub(super) fn is(&self, name: &str) -> bool {
        let asked = super::heading::read(name.trim());
        self.name == name.trim() || (self.name == asked.name && asked.unit == self.unit)
    }

    /// The readings, where they were read as numbers.
    pub fn numbers(&self) -> Option<&[Option<f64>]> {
        match &self.cells {
            Cells::Numbers(numbers) => Some(numbers),
            _ => None,
        }
    }

    /// The text, where it was read as such.
    pub fn text(&self) -> Option<&[String]> {
        match &self.cells {
            Cells::Text(text) => Some(text),
            _ => None,
        }
    }
}
