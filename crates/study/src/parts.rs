//! Measured parts for `pair`: a CSV file, one pairing a row, one characteristic a column.
//!
//! The header names each characteristic by its dotted path with the unit in brackets, `shaft.gauge_diameter [mm]`.
//! Lines and cells are split here rather than by a library, so that every message has the line and column an editor
//! shows, and a quote that is not closed cannot swallow rows.

mod cells;
mod columns;
mod known;
pub mod separate;
mod tooth;

use std::path::Path;

use fit::Input;

use crate::problem::escape::{cut, forbidden_in_xml, named, quoted};
use crate::problem::id::{self, Id};
use crate::problem::{Problem, Problems};
use crate::scenario::lines::Lines;
use crate::scenario::source::{self, PARTS};
use cells::{Cell, CellError, split};
use columns::{Column, Role};
pub(crate) use known::Known;
pub(crate) use tooth::ToothError;

/// Most rows.
const MOST_ROWS: usize = 1_000_000;

/// Problems after which the reading ends.
const MOST_PROBLEMS: usize = 10_000;

/// One row: what was measured of one pairing.
#[derive(Debug, Clone, PartialEq)]
pub struct PartRow {
    /// Row below the header, counted from 1; blank lines do not count.
    pub row: usize,
    /// Line of the file, counted from 1.
    pub line: usize,
    /// Name, when the file has a column `name`.
    pub name: Option<String>,
    /// Values in the units of the inside.
    pub values: Vec<(Input, f64)>,
    /// Errors of single teeth (mm).
    pub(crate) errors: Vec<(ToothError, f64)>,
}

impl PartRow {
    fn put(&mut self, role: Role, value: f64) {
        match role {
            Role::Name => {}
            Role::Value(input) => self.values.push((input, value)),
            Role::Tooth(tooth) => self.errors.push((tooth, value)),
        }
    }
}

/// Dotted path of every column, with line and column of its heading.
type Headings = Vec<(String, (usize, usize))>;

/// What a file of parts holds.
#[derive(Debug)]
struct Sheet {
    headings: Headings,
    rows: Vec<PartRow>,
}

/// Reads a file of measured parts; `known` is what its columns may state.
///
/// # Errors
/// All [`Problems`] at once.
pub(crate) fn read_parts(path: &Path, known: &Known) -> Result<Vec<PartRow>, Problems> {
    let text = source::read(path, &PARTS)?;
    Ok(read_text(&path.to_string_lossy(), &text, known)?.rows)
}

/// Reads measured parts from a text; `file` is the name to show in messages.
///
/// # Errors
/// All [`Problems`] at once.
fn read_text(file: &str, text: &str, known: &Known) -> Result<Sheet, Problems> {
    source::check_text(file, text, &PARTS)?;
    let text = source::without_bom(text);
    let lines = Lines::new(text);
    whole_file(file, text, &lines)?;
    let mut reader = Reader {
        file,
        known,
        problems: Vec::new(),
    };
    let mut numbered = text.lines().enumerate().map(|(i, line)| (i + 1, line));
    let mut filled = numbered
        .by_ref()
        .filter(|(_, line)| !line.trim().is_empty());
    let header = filled.next();
    let read = header.and_then(|(number, line)| reader.header(number, line));
    let Some((columns, headings)) = read else {
        return Err(Problems::new(reader.problems));
    };
    let mut rows = Vec::new();
    for (number, line) in filled {
        if rows.len() == MOST_ROWS {
            reader.report(
                &id::TOO_LARGE,
                (number, 1),
                "",
                &format!("more than {MOST_ROWS} rows"),
                &format!("at most {MOST_ROWS} rows"),
                "split the file",
            );
        }
        if rows.len() == MOST_ROWS || reader.problems.len() > MOST_PROBLEMS {
            break;
        }
        let row = reader.row(rows.len() + 1, number, line, &columns);
        rows.push(row);
    }
    if rows.is_empty() {
        reader.report(
            &id::PARTS_EMPTY,
            (header.map_or(1, |(n, _)| n), 1),
            "",
            "a header without rows",
            "one row for each pairing",
            "",
        );
    }
    if reader.problems.is_empty() {
        Ok(Sheet { headings, rows })
    } else {
        Err(Problems::new(reader.problems))
    }
}

/// What ends the reading at once: lone carriage returns and control characters.
fn whole_file(file: &str, text: &str, lines: &Lines<'_>) -> Result<(), Problems> {
    let bytes = text.as_bytes();
    let lone = (0..bytes.len()).find(|&i| bytes[i] == b'\r' && bytes.get(i + 1) != Some(&b'\n'));
    if let Some(at) = lone {
        let problem = Problem::new(
            &id::PARTS_LONE_CR,
            file,
            "",
            "a carriage return without line feed (U+000D)",
            "lines that end with LF or CRLF",
        );
        return Err(problem
            .at(Some(lines.place(at)))
            .hint("save the file again with Unix or Windows line ends")
            .into());
    }
    match text.char_indices().find(|&(_, c)| forbidden_in_xml(c)) {
        Some((at, c)) => Err(Problem::new(
            &id::PARTS_CHARACTER,
            file,
            "",
            &format!("the character {}", named(c)),
            "text without control characters",
        )
        .at(Some(lines.place(at)))
        .into()),
        None => Ok(()),
    }
}

struct Reader<'f> {
    file: &'f str,
    known: &'f Known,
    problems: Vec<Problem>,
}

impl Reader<'_> {
    fn report(
        &mut self,
        id: &Id,
        place: (usize, usize),
        key: &str,
        found: &str,
        expected: &str,
        hint: &str,
    ) {
        self.problems.push(
            Problem::new(id, self.file, key, found, expected)
                .at(Some(place))
                .hint(hint),
        );
    }

    fn cells(&mut self, number: usize, line: &str) -> Option<Vec<Cell>> {
        match split(line) {
            Ok(cells) => Some(cells),
            Err(error) => {
                let (column, expected, hint) = match error {
                    CellError::Open { column } => (
                        column,
                        "a closing quote in the same line",
                        "quotes around numbers are not needed",
                    ),
                    CellError::TextAfter { column } => (
                        column,
                        "a comma or the end of the line after a closing quote",
                        "a quote inside a text is written twice",
                    ),
                };
                self.report(
                    &id::PARTS_QUOTE,
                    (number, column),
                    "",
                    &error.to_string(),
                    expected,
                    hint,
                );
                None
            }
        }
    }

    /// The columns that the header names, and where; `None` when something was reported.
    fn header(&mut self, number: usize, line: &str) -> Option<(Vec<Column>, Headings)> {
        let before = self.problems.len();
        let cells = self.cells(number, line)?;
        if let [only] = cells.as_slice()
            && let Some(sign) = [';', '\t'].into_iter().find(|&c| only.text.contains(c))
        {
            let name = if sign == ';' { "semicolons" } else { "tabs" };
            self.report(
                &id::PARTS_COLUMN,
                (number, 1),
                "",
                &format!("columns separated by {name}"),
                "columns separated by commas, numbers with a decimal point",
                "export the file again as CSV with commas, or replace the separators",
            );
            return None;
        }
        let mut columns: Vec<Column> = Vec::new();
        let mut headings = Vec::new();
        for cell in &cells {
            let place = (number, cell.column);
            match columns::read(&cell.text, self.known) {
                Ok(column) => {
                    if let Some(first) = columns.iter().find(|c| c.role == column.role) {
                        let found = format!(
                            "{} and {}, which state the same",
                            quoted(&first.name),
                            quoted(&column.name)
                        );
                        self.report(
                            &id::PARTS_COLUMN,
                            place,
                            &column.name,
                            &found,
                            "every characteristic in one column",
                            "",
                        );
                    }
                    headings.push((column.name.clone(), place));
                    columns.push(column);
                }
                Err(error) => self.report(
                    error.id,
                    place,
                    &cell.text,
                    &error.found,
                    &error.expected,
                    &error.hint,
                ),
            }
        }
        (self.problems.len() == before).then_some((columns, headings))
    }

    fn row(&mut self, row: usize, number: usize, line: &str, columns: &[Column]) -> PartRow {
        let mut part = PartRow {
            row,
            line: number,
            name: None,
            values: Vec::with_capacity(columns.len()),
            errors: Vec::new(),
        };
        let Some(cells) = self.cells(number, line) else {
            return part;
        };
        if cells.len() != columns.len() {
            let hint = if cells.len() > columns.len() && !line.contains('"') {
                "a decimal comma splits a value into two cells: use a decimal point"
            } else {
                ""
            };
            let found = format!("{} cells", cells.len());
            self.report(
                &id::PARTS_ROW,
                (number, 1),
                "",
                &found,
                &format!("{} cells, as in the header", columns.len()),
                hint,
            );
            return part;
        }
        for (cell, column) in cells.iter().zip(columns) {
            let place = (number, cell.column);
            if column.role == Role::Name {
                part.name = self.name(place, &cell.text);
                continue;
            }
            match column.value(&cell.text) {
                Ok(value) => part.put(column.role, value),
                Err(error) => self.report(
                    error.id,
                    place,
                    &column.name,
                    &error.found,
                    &error.expected,
                    &error.hint,
                ),
            }
        }
        part
    }

    fn name(&mut self, place: (usize, usize), text: &str) -> Option<String> {
        if text.is_empty() {
            return None;
        }
        if text.chars().count() > 200 || text.chars().any(char::is_control) {
            self.report(
                &id::PARTS_CELL,
                place,
                "name",
                &quoted(&cut(text, 40)),
                "a name of at most 200 characters without control characters",
                "",
            );
        }
        Some(text.to_owned())
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use crate::loaded::Loaded;

    fn known(text: &str) -> Known {
        let loaded = Loaded::from_text("a.toml", "a", text, &[]).expect("a good scenario");
        Known::of(&loaded.scenario)
    }

    /// What a cone with a nut factor has.
    pub(crate) fn cone() -> Known {
        known(include_str!("../../../scenarios/pump-impeller.toml"))
    }

    /// What a tapered spline has.
    pub(crate) fn spline() -> Known {
        known(include_str!("../../../scenarios/winch-drum-spline.toml"))
    }

    /// What a cone has whose bolt is tightened by frictions.
    pub(crate) fn by_friction() -> Known {
        known(include_str!("../../../scenarios/pinion-bolt.toml"))
    }

    fn read_text(file: &str, text: &str) -> Result<Sheet, Problems> {
        super::read_text(file, text, &cone())
    }

    #[test]
    fn values_come_in_the_units_of_the_inside() {
        let text = "\u{feff}name,shaft.gauge_diameter [mm],hub.gauge_plane [um],shaft.cone_angle [deg],hub.taper,bolt.torque [N*m],contact.friction\r\n\"A \"\"1\"\"\",29.998,3990,2.864,1:20,60,0.14\r\n\r\nB, 30.001 ,4010,2.865,0.05,61,0.13\r\n";
        let sheet = read_text("parts.csv", text).unwrap_or_else(|p| panic!("{p}"));
        let rows = sheet.rows;
        assert_eq!(rows.len(), 2);
        assert_eq!(rows[0].name.as_deref(), Some("A \"1\""));
        assert_eq!(rows[0].values[0], (Input::MaleSize, 29.998));
        assert_eq!(rows[0].values[1], (Input::FemalePlane, 3.99));
        let (input, angle) = rows[0].values[2];
        assert_eq!(input, Input::MaleHalfAngle);
        assert!((angle - 1.432f64.to_radians()).abs() < 1e-15);
        assert_eq!(
            rows[0].values[3],
            (Input::FemaleHalfAngle, libm::atan(0.025))
        );
        assert_eq!(rows[0].values[4], (Input::Torque, 60_000.0));
        assert_eq!(rows[1].row, 2);
        assert_eq!(rows[1].values[0].1, 30.001);
        assert_eq!(rows[0].values[3], rows[1].values[3]);
    }

    #[test]
    fn line_numbers_are_those_of_the_editor_for_every_line_end() {
        for end in ["\n", "\r\n"] {
            for bom in ["", "\u{feff}"] {
                let text = bom.to_owned() + &["spacer.thickness [mm]", "6", "", "x", "5"].join(end);
                let problems = read_text("p.csv", &text).unwrap_err();
                assert_eq!(problems.list[0].place, Some((4, 1)), "{problems}");
                assert_eq!(problems.list.len(), 1);
            }
        }
    }

    #[test]
    fn all_problems_of_a_file_are_listed() {
        let text =
            "spacer.thickness [mm],contact.friction\n6,\n\"6\"1,0.14\n6,0.14,1\nNaN,0.1\n-6,0,1\n";
        let problems = read_text("p.csv", text).unwrap_err();
        let places: Vec<_> = problems.list.iter().filter_map(|p| p.place).collect();
        assert_eq!(
            places,
            [(2, 3), (3, 4), (4, 1), (5, 1), (6, 1)],
            "{problems}"
        );
        assert_eq!(problems.exit_code, 4);
    }
}
