//! Reads a file of readings: one column a characteristic or a role, one row a measurement.
//!
//! Nothing is guessed: separator, decimal sign and encoding are stated, and what does not fit is refused with the option to set.

use std::path::Path;

use sha2::{Digest, Sha256};

use super::drawing::ColumnUnit;
use crate::problem::escape::{forbidden_in_xml, named, quoted};
use crate::problem::id::{self, Id};
use crate::problem::{Problem, Problems};
use crate::scenario::source::{self, PARTS};

/// Most rows and columns.
const MOST: (usize, usize) = (1_000_000, 500);

/// Problems after which the reading ends.
const MOST_PROBLEMS: usize = 1000;

/// Cells that stand for a reading that is missing.
const MISSING: [&str; 7] = ["", "-", "na", "n/a", "nan", "null", "?"];

/// What stands between two cells.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Separator {
    /// `,`
    Comma,
    /// `;`
    Semicolon,
    /// A tabulator.
    Tab,
}

impl Separator {
    fn sign(self) -> char {
        match self {
            Separator::Comma => ',',
            Separator::Semicolon => ';',
            Separator::Tab => '\t',
        }
    }

    fn word(self) -> &'static str {
        match self {
            Separator::Comma => "comma",
            Separator::Semicolon => "semicolon",
            Separator::Tab => "tab",
        }
    }
}

/// The sign before the decimals.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Decimal {
    /// `1.5`
    Point,
    /// `1,5`
    Comma,
}

/// How the letters are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Encoding {
    /// UTF-8.
    Utf8,
    /// Windows-1252.
    Windows1252,
}

/// What is done with a row that lacks a reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Missing {
    /// The file is refused.
    Refuse,
    /// The reading is left out and listed.
    Drop,
}

/// How a file of readings is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Dialect {
    /// What stands between two cells.
    pub separator: Separator,
    /// The sign before the decimals.
    pub decimal: Decimal,
    /// How the letters are written.
    pub encoding: Encoding,
    /// What is done with a row that lacks a reading.
    pub missing: Missing,
    /// Lines above the headings.
    pub skip_rows: usize,
    /// Serial numbers may repeat.
    pub repeated_names: bool,
}

/// The cells of a column below its heading, row by row.
#[derive(Debug, Clone)]
pub(super) enum Cells {
    /// Readings; `None` where one is missing.
    Numbers(Vec<Option<f64>>),
    /// Anything else.
    Text(Vec<String>),
}

/// One column.
#[derive(Debug, Clone)]
pub(super) struct Column {
    /// Heading without its unit in brackets.
    pub(super) name: String,
    /// Unit; empty where the heading states none.
    pub(super) unit: String,
    pub(super) cells: Cells,
}

/// A reading that was missing and left out.
#[derive(Debug, Clone)]
pub(super) struct Dropped {
    pub(super) line: usize,
    pub(super) column: String,
    pub(super) found: String,
}

/// A file of readings.
#[derive(Debug, Clone)]
pub(super) struct Sheet {
    /// Name to show in messages.
    pub(super) file: String,
    /// SHA-256 of the bytes, in hex.
    pub(super) sha256: String,
    pub(super) columns: Vec<Column>,
    /// Line of the file of each row.
    pub(super) lines: Vec<usize>,
    pub(super) blank_lines: usize,
    pub(super) dropped: Vec<Dropped>,
}

/// Reads a file.
///
/// # Errors
/// All [`Problems`] at once.
pub(super) fn read(path: &Path, dialect: &Dialect) -> Result<Sheet, Problems> {
    let file = path.to_string_lossy().into_owned();
    let bytes = source::bytes(path, &PARTS)?;
    let sha256 = Sha256::digest(&bytes)
        .iter()
        .map(|byte| format!("{byte:02x}"))
        .collect();
    let text = match dialect.encoding {
        Encoding::Utf8 => source::decode(&file, bytes, &PARTS)?,
        Encoding::Windows1252 => windows_1252(&bytes),
    };
    source::check_text(&file, &text, &PARTS)?;
    let mut reader = Reader {
        file: &file,
        dialect,
        problems: Vec::new(),
    };
    let sheet = reader.sheet(source::without_bom(&text), sha256);
    match (sheet, reader.problems.is_empty()) {
        (Some(sheet), true) => Ok(sheet),
        _ => Err(Problems::new(reader.problems)),
    }
}

/// The characters of Windows-1252 from 0x80 to 0x9F; places without one become the replacement character.
const UPPER: [char; 32] = [
    '\u{20ac}', '\u{fffd}', '\u{201a}', '\u{192}', '\u{201e}', '\u{2026}', '\u{2020}', '\u{2021}',
    '\u{2c6}', '\u{2030}', '\u{160}', '\u{2039}', '\u{152}', '\u{fffd}', '\u{17d}', '\u{fffd}',
    '\u{fffd}', '\u{2018}', '\u{2019}', '\u{201c}', '\u{201d}', '\u{2022}', '\u{2013}', '\u{2014}',
    '\u{2dc}', '\u{2122}', '\u{161}', '\u{203a}', '\u{153}', '\u{fffd}', '\u{17e}', '\u{178}',
];

fn windows_1252(bytes: &[u8]) -> String {
    let letter = |byte: &u8| match byte {
        0x80..=0x9f => UPPER[usize::from(byte - 0x80)],
        byte => char::from(*byte),
    };
    bytes.iter().map(letter).collect()
}

struct Reader<'a> {
    file: &'a str,
    dialect: &'a Dialect,
    problems: Vec<Problem>,
}

/// A cell with the column in characters where it begins.
type Cell = (usize, String);

impl Reader<'_> {
    fn bad(
        &mut self,
        id: &Id,
        place: (usize, usize),
        key: &str,
        found: &str,
        expected: &str,
        hint: &str,
    ) {
        if self.problems.len() < MOST_PROBLEMS {
            let problem = Problem::new(id, self.file, key, found, expected).at(Some(place));
            self.problems.push(if hint.is_empty() {
                problem
            } else {
                problem.hint(hint)
            });
        }
    }

    fn sheet(&mut self, text: &str, sha256: String) -> Option<Sheet> {
        let (mut blank_lines, mut rows) = (0, Vec::new());
        for (i, line) in text.lines().enumerate().skip(self.dialect.skip_rows) {
            if line.trim().is_empty() {
                blank_lines += 1;
            } else if let Some(cells) = self.split(i + 1, line) {
                rows.push((i + 1, cells));
            }
            if rows.len() > MOST.0 + 1 {
                self.bad(
                    &id::TOO_LARGE,
                    (i + 1, 1),
                    "",
                    &format!("more than {} rows", MOST.0),
                    "fewer rows",
                    "split the file",
                );
                return None;
            }
        }
        let mut rows = rows.into_iter();
        let Some((number, head)) = rows.next() else {
            self.bad(
                &id::PARTS_EMPTY,
                (1, 1),
                "",
                "no line with headings",
                "headings, and a row for each measurement",
                "",
            );
            return None;
        };
        let names = self.headings(number, &head)?;
        let rows: Vec<(usize, Vec<Cell>)> = rows
            .filter(|(line, cells)| self.is_full(*line, cells, names.len()))
            .collect();
        if rows.is_empty() && self.problems.is_empty() {
            self.bad(
                &id::PARTS_EMPTY,
                (number, 1),
                "",
                "headings without rows",
                "a row for each measurement",
                "",
            );
        }
        let mut dropped = Vec::new();
        let columns = names.into_iter().enumerate().map(|(place, (name, unit))| {
            let cells = self.cells(place, &name, &rows, &mut dropped);
            Column { name, unit, cells }
        });
        let columns = columns.collect();
        dropped.sort_by_key(|one: &Dropped| one.line);
        Some(Sheet {
            file: self.file.to_owned(),
            sha256,
            columns,
            lines: rows.iter().map(|(line, _)| *line).collect(),
            blank_lines,
            dropped,
        })
    }

    /// Splits a line; a cell may stand in double quotes, with a quote inside written twice.
    fn split(&mut self, line: usize, text: &str) -> Option<Vec<Cell>> {
        if let Some((at, c)) = text.chars().enumerate().find(|(_, c)| forbidden_in_xml(*c)) {
            self.bad(
                &id::PARTS_CHARACTER,
                (line, at + 1),
                "",
                &format!("the character {}", named(c)),
                "readable text",
                "",
            );
            return None;
        }
        let sign = self.dialect.separator.sign();
        let (mut cells, mut cell, mut start) = (Vec::new(), String::new(), 1);
        let (mut inside, mut closed) = (false, false);
        let mut chars = text.chars().enumerate().peekable();
        while let Some((at, c)) = chars.next() {
            match c {
                '"' if inside && chars.peek().is_some_and(|(_, next)| *next == '"') => {
                    cell.push('"');
                    chars.next();
                }
                '"' if inside => (inside, closed) = (false, true),
                '"' if cell.trim().is_empty() && !closed => {
                    cell.clear();
                    inside = true;
                }
                c if c == sign && !inside => {
                    cells.push((start, cell.trim().to_owned()));
                    (cell, start, closed) = (String::new(), at + 2, false);
                }
                c if closed && !c.is_whitespace() => {
                    self.bad(
                        &id::PARTS_QUOTE,
                        (line, at + 1),
                        "",
                        "text after a closing quote",
                        "a separator, or the end of the line",
                        "",
                    );
                    return None;
                }
                c => cell.push(c),
            }
        }
        if inside {
            self.bad(
                &id::PARTS_QUOTE,
                (line, start),
                "",
                "a quote that is not closed in this line",
                "a closing quote",
                "",
            );
            return None;
        }
        cells.push((start, cell.trim().to_owned()));
        Some(cells)
    }

    /// Name and unit of every column.
    fn headings(&mut self, line: usize, cells: &[Cell]) -> Option<Vec<(String, String)>> {
        let separator = self.dialect.separator;
        let other = [Separator::Semicolon, Separator::Tab, Separator::Comma]
            .into_iter()
            .find(|other| {
                *other != separator && cells.len() == 1 && cells[0].1.contains(other.sign())
            });
        if let Some(other) = other {
            let hint = format!("--separator {}", other.word());
            let found = format!("one heading, {}", quoted(&cells[0].1));
            let expected = format!("headings with a {} between them", separator.word());
            self.bad(&id::PARTS_COLUMN, (line, 1), "", &found, &expected, &hint);
            return None;
        }
        if cells.len() > MOST.1 {
            self.bad(
                &id::TOO_LARGE,
                (line, 1),
                "",
                &format!("{} columns", cells.len()),
                &format!("at most {} columns", MOST.1),
                "",
            );
            return None;
        }
        let mut names: Vec<(String, String)> = Vec::new();
        for (column, heading) in cells {
            let place = (line, *column);
            let (name, unit) = name_and_unit(heading);
            if name.is_empty() {
                self.bad(
                    &id::PARTS_COLUMN,
                    place,
                    "",
                    "a column without a heading",
                    "a name for each column",
                    "",
                );
            } else if ColumnUnit::named(&unit).is_none() {
                let found = format!("the unit {}", quoted(&unit));
                self.bad(
                    &id::PARTS_COLUMN,
                    place,
                    &name,
                    &found,
                    "a unit, for example mm, um, in, deg, N or N*m",
                    "",
                );
            } else if names.iter().any(|(other, _)| *other == name) {
                self.bad(
                    &id::PARTS_COLUMN,
                    place,
                    &name,
                    "a second column of this name",
                    "each name once",
                    "",
                );
            }
            names.push((name, unit));
        }
        self.problems.is_empty().then_some(names)
    }

    fn is_full(&mut self, line: usize, cells: &[Cell], columns: usize) -> bool {
        if cells.len() == columns {
            return true;
        }
        let hint = match self.dialect.decimal == Decimal::Point
            && self.dialect.separator == Separator::Comma
        {
            true => {
                "if a comma stands before the decimals, the separator must be another: --decimal , --separator semicolon"
            }
            false => "",
        };
        let expected = format!("{columns} cells, as there are headings");
        self.bad(
            &id::PARTS_ROW,
            (line, 1),
            "",
            &format!("{} cells", cells.len()),
            &expected,
            hint,
        );
        false
    }

    /// The cells of one column: readings when most of them are, or would be with another decimal sign.
    fn cells(
        &mut self,
        place: usize,
        name: &str,
        rows: &[(usize, Vec<Cell>)],
        dropped: &mut Vec<Dropped>,
    ) -> Cells {
        let texts = || rows.iter().map(move |(line, cells)| (*line, &cells[place]));
        let is_missing = |text: &str| MISSING.contains(&text.to_lowercase().as_str());
        let filled = texts().filter(|(_, (_, text))| !is_missing(text)).count();
        let numbers = texts()
            .filter(|(_, (_, text))| {
                number(text, Decimal::Point).is_some() || number(text, Decimal::Comma).is_some()
            })
            .count();
        if numbers == 0 || 2 * numbers < filled {
            return Cells::Text(texts().map(|(_, (_, text))| text.clone()).collect());
        }
        let mut values = Vec::with_capacity(rows.len());
        for (line, (column, text)) in texts() {
            let value = number(text, self.dialect.decimal);
            if value.is_none() && is_missing(text) {
                if self.dialect.missing == Missing::Drop {
                    dropped.push(Dropped {
                        line,
                        column: name.to_owned(),
                        found: text.clone(),
                    });
                } else {
                    let found = if text.is_empty() {
                        "no reading".to_owned()
                    } else {
                        quoted(text)
                    };
                    self.bad(
                        &id::PARTS_CELL,
                        (line, *column),
                        name,
                        &found,
                        "a reading in every row",
                        "--missing drop leaves the reading out, and lists it",
                    );
                }
            } else if value.is_none() {
                self.not_a_number((line, *column), name, text);
            }
            values.push(value);
        }
        Cells::Numbers(values)
    }

    fn not_a_number(&mut self, place: (usize, usize), name: &str, text: &str) {
        let (expected, hint) = match self.dialect.decimal {
            Decimal::Point if number(text, Decimal::Comma).is_some() => {
                ("a number with a decimal point", "--decimal ,")
            }
            Decimal::Comma if number(text, Decimal::Point).is_some() => {
                ("a number with a decimal comma", "--decimal .")
            }
            _ => (
                "a number without a unit",
                "the unit stands in the heading, for example diameter [mm]",
            ),
        };
        self.bad(&id::PARTS_CELL, place, name, &quoted(text), expected, hint);
    }
}

/// `diameter [mm]`, or `diameter_mm`, whose name keeps its ending.
fn name_and_unit(heading: &str) -> (String, String) {
    let bracket = heading
        .strip_suffix(']')
        .and_then(|rest| rest.rsplit_once('['));
    if let Some((name, unit)) = bracket {
        return (name.trim().to_owned(), unit.trim().to_owned());
    }
    let unit = heading.rsplit_once('_').map(|(_, unit)| unit);
    let unit = unit.filter(|unit| !unit.is_empty() && ColumnUnit::named(unit).is_some());
    (heading.to_owned(), unit.unwrap_or_default().to_owned())
}

/// A plain decimal number: sign, digits with at most one decimal sign, exponent.
fn number(text: &str, decimal: Decimal) -> Option<f64> {
    let plain = match decimal {
        Decimal::Point => text.to_owned(),
        Decimal::Comma if text.contains('.') => return None,
        Decimal::Comma => text.replace(',', "."),
    };
    let sound = plain
        .bytes()
        .all(|b| b.is_ascii_digit() || matches!(b, b'+' | b'-' | b'.' | b'e' | b'E'));
    let begins = plain.bytes().any(|b| b.is_ascii_digit());
    let value: f64 = (sound && begins).then(|| plain.parse().ok())??;
    (value.is_finite() && libm::fabs(value) < 1e15).then_some(value)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sheet(text: &str, dialect: Dialect) -> Result<Sheet, Problems> {
        let folder = std::env::temp_dir().join(format!(
            "sheet-{}-{:?}",
            std::process::id(),
            std::thread::current().id()
        ));
        std::fs::write(&folder, text).expect("written");
        let read = read(&folder, &dialect);
        std::fs::remove_file(&folder).expect("removed");
        read
    }

    const USUAL: Dialect = Dialect {
        separator: Separator::Comma,
        decimal: Decimal::Point,
        encoding: Encoding::Utf8,
        missing: Missing::Refuse,
        skip_rows: 0,
        repeated_names: false,
    };

    #[test]
    fn units_come_from_brackets_and_endings() {
        assert_eq!(
            name_and_unit("bore [mm]"),
            ("bore".to_owned(), "mm".to_owned())
        );
        assert_eq!(
            name_and_unit("cone_angle_deg"),
            ("cone_angle_deg".to_owned(), "deg".to_owned())
        );
        assert_eq!(
            name_and_unit("face_runout"),
            ("face_runout".to_owned(), String::new())
        );
    }

    #[test]
    fn numbers_and_text_are_told_apart_and_lines_kept() {
        let got = sheet("serial,\"d, outside [mm]\"\n\nA1,1.5\nA2,-2e-1\n", USUAL).expect("read");
        assert_eq!((got.lines.as_slice(), got.blank_lines), (&[3, 4][..], 1));
        assert!(matches!(&got.columns[0].cells, Cells::Text(cells) if cells == &["A1", "A2"]));
        assert!(
            matches!(&got.columns[1].cells, Cells::Numbers(cells) if cells == &[Some(1.5), Some(-0.2)])
        );
        assert_eq!(got.columns[1].name, "d, outside");
    }

    #[test]
    fn missing_readings_are_refused_or_dropped_and_listed() {
        let text = "d\n1\n-\n3\nn/a\n5\n";
        assert_eq!(sheet(text, USUAL).expect_err("missing").list.len(), 2);
        let drop = Dialect {
            missing: Missing::Drop,
            ..USUAL
        };
        let got = sheet(text, drop).expect("read");
        assert_eq!((got.dropped.len(), got.dropped[0].line), (2, 3));
    }

    #[test]
    fn what_does_not_fit_is_refused_with_its_place() {
        for (text, line) in [
            ("a,b\n1\n", 2),
            ("a,a\n1,2\n", 1),
            ("a\n1\nx\n2\n", 3),
            ("a [furlong]\n1\n", 1),
            ("a,\n1,2\n", 1),
            ("a\n\"1\n", 2),
            ("a;b\n1;2\n", 1),
            ("a\n1e400\n2\n3\n", 2),
        ] {
            let problems = sheet(text, USUAL).expect_err(text);
            assert_eq!(problems.exit_code, 4, "{text}");
            assert_eq!(
                problems.list[0].place.map(|place| place.0),
                Some(line),
                "{text}"
            );
        }
    }

    #[test]
    fn western_letters_of_older_programs_are_read() {
        assert_eq!(windows_1252(b"\xb5m \x80"), "\u{b5}m \u{20ac}");
    }
}
