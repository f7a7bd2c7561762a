//! The way through a file of readings: headings, rows, cells.

use std::collections::HashMap;
use std::io::Read;

use super::dialect::{Dialect, Missing, Separator, SetBy};
use super::lines::{LONGEST_LINE, LineReader};
use super::number::{NoNumber, number};
use super::rows::{Assembler, LONGEST_CELL, RawRow, place, split};
use super::sheet::{Cells, Dropped, Sheet};
use super::{Want, heading, suspect};
use crate::problem::escape::quoted;
use crate::problem::id::{self, Id};
use crate::problem::{Problem, Problems};
use crate::scenario::source::READINGS;

/// Most rows.
const MOST_ROWS: usize = 50_000_000;

/// Most columns.
pub(super) const MOST_COLUMNS: usize = 1_000;

/// Problems after which the reading ends.
pub(super) const MOST_PROBLEMS: usize = 10_000;

/// Rows split together.
const BATCH: usize = 256;

/// Lines looked at to find out what is wrong with a file as a whole.
const LOOK: usize = 50;

/// What ends the reading.
pub(super) type Refused<T> = Result<T, Box<Problem>>;

/// How a column is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Role {
    Number,
    Text,
    /// Text until the end, then what it turns out to be.
    Open,
    /// Not asked for.
    Skip,
}

/// Reads one file.
pub(super) struct Reader<'a> {
    pub(super) file: &'a str,
    pub(super) dialect: &'a Dialect,
    pub(super) separator: Separator,
    pub(super) set_by: &'a SetBy,
    pub(super) wants: Option<&'a [Want<'a>]>,
    pub(super) problems: Vec<Problem>,
    pub(super) roles: Vec<Role>,
    pub(super) sheet: Sheet,
    /// Numbers of the filled lines looked at.
    pub(super) looked_at: Vec<usize>,
    /// Where cells stand that are no numbers, in columns still open: by column and row.
    pub(super) places: HashMap<(usize, usize), (usize, usize)>,
    pub(super) serials: HashMap<String, usize>,
    pub(super) repeated: Vec<(String, usize, usize)>,
}

impl<'a> Reader<'a> {
    pub(super) fn new(
        file: &'a str,
        dialect: &'a Dialect,
        set_by: &'a SetBy,
        wants: Option<&'a [Want<'a>]>,
    ) -> Reader<'a> {
        Reader {
            file,
            dialect,
            separator: dialect.separator(),
            set_by,
            wants,
            problems: vec![],
            roles: vec![],
            sheet: Sheet {
                file: file.to_owned(),
                sha256: String::new(),
                bytes: 0,
                rows: 0,
                blank_lines: 0,
                columns: vec![],
                dropped: vec![],
                warnings: vec![],
                lines: vec![],
            },
            looked_at: vec![],
            places: HashMap::new(),
            serials: HashMap::new(),
            repeated: vec![],
        }
    }

    /// Reads everything.
    pub(super) fn read(mut self, mut lines: LineReader<impl Read>) -> Result<Sheet, Problems> {
        if let Err(problem) = self.pass(&mut lines) {
            self.problems.push(*problem);
        }
        self.close();
        if !self.problems.is_empty() {
            return Err(Problems::new(self.problems));
        }
        let (bytes, sha256) = lines.finish();
        self.sheet.bytes = bytes;
        self.sheet.sha256 = sha256;
        Ok(self.sheet)
    }

    pub(super) fn problem(&self, id: &Id, key: &str, found: &str, expected: &str) -> Problem {
        Problem::new(id, self.file, key, found, expected)
    }

    /// One pass over the file; what ends the reading comes back as an error.
    fn pass(&mut self, lines: &mut LineReader<impl Read>) -> Refused<()> {
        let beginning = lines
            .beginning()
            .map_err(|error| Box::new(self.line_error(error)))?;
        if beginning.is_empty() {
            return Err(Box::new(
                self.problem(&id::LOT_EMPTY, "", "an empty file", READINGS.words)
                    .hint(READINGS.example),
            ));
        }
        if let Some((found, hint)) = suspect::kind(beginning) {
            return Err(Box::new(
                self.problem(&id::LOT_KIND, "", found, READINGS.words)
                    .hint(hint),
            ));
        }
        let mut assembler = Assembler::new(self.separator);
        let mut batch: Vec<RawRow> = vec![];
        let mut first: Vec<String> = vec![];
        let mut headed = false;
        let mut quotes_at_head = false;
        while let Some(line) = lines
            .next_line()
            .map_err(|error| Box::new(self.line_error(error)))?
        {
            let number = lines.line();
            if number <= self.dialect.skip_rows {
                continue;
            }
            if first.is_empty() && assembler.len() == 0 && self.is_sep_line(&line)? {
                assembler = Assembler::new(self.separator);
                continue;
            }
            if assembler.len() == 0 && self.is_blank(&line) {
                self.sheet.blank_lines += 1;
                continue;
            }
            if first.len() < LOOK {
                self.looked_at.push(number);
                first.push(line.clone());
            }
            match assembler.push(number, &line) {
                Ok(Some(row)) => batch.push(row),
                Ok(None) => {
                    if assembler.len() > LONGEST_LINE {
                        return Err(Box::new(self.unclosed(&assembler, lines)));
                    }
                }
                Err(fault) => {
                    quotes_at_head |= first.len() == 1;
                    let problem = self.quote_fault(fault);
                    self.problems.push(problem);
                }
            }
            if quotes_at_head
                && first.len() == LOOK
                && let Some(problem) = self.other_dialect(&first)
            {
                self.problems.clear();
                return Err(Box::new(problem));
            }
            if !headed && first.len() == LOOK && !batch.is_empty() {
                self.head(batch.remove(0), &first)?;
                headed = true;
            }
            if headed && batch.len() >= BATCH {
                self.rows(&mut batch)?;
            }
            if self.problems.len() > MOST_PROBLEMS {
                return Ok(());
            }
        }
        if assembler.is_open() {
            return Err(Box::new(self.unclosed(&assembler, lines)));
        }
        if quotes_at_head && let Some(problem) = self.other_dialect(&first) {
            self.problems.clear();
            return Err(Box::new(problem));
        }
        if !headed {
            if batch.is_empty() {
                let found = if self.problems.is_empty() {
                    "a file without a filled line"
                } else {
                    return Ok(());
                };
                return Err(Box::new(
                    self.problem(&id::LOT_EMPTY, "", found, READINGS.words)
                        .hint(READINGS.example),
                ));
            }
            self.head(batch.remove(0), &first)?;
        }
        self.rows(&mut batch)
    }

    fn is_blank(&self, line: &str) -> bool {
        let sign = char::from(self.separator.sign());
        line.chars().all(|c| matches!(c, ' ' | '\t') || c == sign)
    }

    /// Honours a first line `sep=;` as spreadsheets write it.
    fn is_sep_line(&mut self, line: &str) -> Refused<bool> {
        let Some(sign) = line.trim_matches(['"', ' ']).strip_prefix("sep=") else {
            return Ok(false);
        };
        let Some(found) = Separator::ALL
            .into_iter()
            .find(|s| sign.as_bytes() == [s.sign()])
        else {
            return Err(Box::new(
                self.problem(
                    &id::LOT_DIALECT,
                    "",
                    &format!("a line {}", quoted(line)),
                    "sep= with a comma, a semicolon or a tabulator",
                )
                .at(Some((1, 1)))
                .hint("write the file with one of these between the cells"),
            ));
        };
        if self.dialect.separator.is_some_and(|stated| stated != found) {
            let stated = self.separator.word();
            return Err(Box::new(
                self.problem(
                    &id::LOT_DIALECT,
                    "",
                    &format!(
                        "a line {} where the separator {} is stated",
                        quoted(line),
                        quoted(stated)
                    ),
                    "a file and a setting that agree",
                )
                .at(Some((1, 1)))
                .hint(&self.set_by.set(&[("separator", found.word())])),
            ));
        }
        self.separator = found;
        Ok(true)
    }

    /// A quote that was never closed, told from where it was opened; the rest of the file counts as rows at risk.
    fn unclosed(&self, assembler: &Assembler, lines: &mut LineReader<impl Read>) -> Problem {
        while let Ok(Some(_)) = lines.next_line() {}
        let at_risk = lines.line().saturating_sub(assembler.opened.0);
        self.problem(
            &id::LOT_QUOTE,
            "",
            &format!("a quote that is opened here and never closed; {at_risk} lines behind it would be lost"),
            "a closing quote",
        )
        .at(Some(assembler.opened))
        .hint("close it, or write a quote inside a cell twice: \"\"")
    }

    /// Takes a batch of rows.
    fn rows(&mut self, batch: &mut Vec<RawRow>) -> Refused<()> {
        let split = split(batch, self.separator)
            .map_err(|reason| self.problem(&id::LOT_ROW, "", &reason, "cells"))?;
        for (row, cells) in batch.iter().zip(split) {
            self.row(row, cells);
            if self.sheet.rows > MOST_ROWS {
                return Err(Box::new(
                    self.problem(&id::TOO_LARGE, "", "more than 5e7 rows", "at most 5e7 rows")
                        .at(Some((row.line, 1))),
                ));
            }
            if self.problems.len() > MOST_PROBLEMS {
                break;
            }
        }
        batch.clear();
        Ok(())
    }

    fn row(&mut self, row: &RawRow, mut cells: Vec<String>) {
        let due = self.sheet.columns.len();
        // An extra cell may be a separator at the end of the line, or the rest of a value that a decimal comma split.
        if cells.len() == due + 1
            && cells.last().is_some_and(String::is_empty)
            && !self.may_be_split(&cells)
        {
            cells.pop();
        }
        if cells.len() != due {
            let problem = self.ragged(row, &cells, due);
            self.problems.push(problem);
            return;
        }
        self.sheet.rows += 1;
        self.sheet.lines.push(row.line);
        for (i, cell) in cells.into_iter().enumerate() {
            if cell.len() > LONGEST_CELL {
                let place = place(row, i, self.separator);
                let problem = self
                    .problem(
                        &id::TOO_LARGE,
                        &self.sheet.columns[i].name,
                        &format!("a cell of {} bytes", cell.len()),
                        "cells of at most 64 KiB",
                    )
                    .at(Some(place));
                self.problems.push(problem);
                continue;
            }
            match self.roles[i] {
                Role::Skip => {}
                Role::Number => {
                    let read = number(&cell, self.dialect.decimal);
                    let value = self.taken(row, i, &cell, read);
                    if let Cells::Numbers(numbers) = &mut self.sheet.columns[i].cells {
                        numbers.push(value);
                    }
                }
                Role::Text | Role::Open => {
                    if heading::is_serial(&self.sheet.columns[i].name) {
                        self.serial(&cell, row.line);
                    }
                    if self.roles[i] == Role::Open
                        && self.places.len() < 2 * MOST_PROBLEMS
                        && number(&cell, self.dialect.decimal).is_err()
                    {
                        let place = place(row, i, self.separator);
                        self.places.insert((i, self.sheet.rows - 1), place);
                    }
                    if let Cells::Text(text) = &mut self.sheet.columns[i].cells {
                        text.push(cell);
                    }
                }
            }
        }
    }

    /// The value of a cell, or what is wrong with it on the list.
    fn taken(
        &mut self,
        row: &RawRow,
        i: usize,
        cell: &str,
        read: Result<f64, NoNumber>,
    ) -> Option<f64> {
        match read {
            Ok(value) => Some(value),
            Err(NoNumber::Missing(word)) if self.dialect.missing == Missing::Drop => {
                let column = self.sheet.columns[i].name.clone();
                self.sheet.dropped.push(Dropped {
                    line: row.line,
                    column,
                    found: word.to_owned(),
                });
                None
            }
            Err(fault) => {
                let problem = self.cell_fault(place(row, i, self.separator), i, cell, &fault);
                self.problems.push(problem);
                None
            }
        }
    }
}
