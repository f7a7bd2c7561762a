//! What can only be said at the end of a file: serial numbers that repeat, and which columns hold numbers.

use super::dialect::Missing;
use super::number::{NoNumber, number};
use super::reader::{MOST_PROBLEMS, Reader, Role};
use super::sheet::{Cells, Dropped};
use crate::problem::id;

impl Reader<'_> {
    /// What can only be said at the end of the file.
    pub(super) fn close(&mut self) {
        if !self.repeated.is_empty() {
            let problem = self.repeats();
            self.problems.push(problem);
        }
        let fatal = !self.problems.is_empty();
        if !fatal && self.sheet.rows == 0 {
            self.problems.push(self.problem(
                &id::LOT_EMPTY,
                "",
                "headings and no row",
                "at least one row of readings",
            ));
            return;
        }
        for i in 0..self.sheet.columns.len() {
            if self.roles.get(i) == Some(&Role::Open) {
                self.settle(i);
            }
        }
    }

    /// Makes an open column numbers when most of its filled cells are, or its heading has a unit.
    pub(super) fn settle(&mut self, i: usize) {
        let column = &mut self.sheet.columns[i];
        let Cells::Text(text) = std::mem::replace(&mut column.cells, Cells::NotRead) else {
            return;
        };
        let decimal = self.dialect.decimal;
        let read: Vec<Result<f64, NoNumber>> =
            text.iter().map(|cell| number(cell, decimal)).collect();
        let good = read.iter().filter(|r| r.is_ok()).count();
        let missing = read
            .iter()
            .filter(|r| matches!(r, Err(NoNumber::Missing(_))))
            .count();
        let almost = read
            .iter()
            .filter(|r| {
                matches!(
                    r,
                    Err(NoNumber::DecimalComma
                        | NoNumber::DecimalPoint
                        | NoNumber::Unit(_)
                        | NoNumber::Thousands)
                )
            })
            .count();
        let leading = text.iter().any(|cell| {
            cell.len() > 1 && cell.starts_with('0') && cell.bytes().all(|b| b.is_ascii_digit())
        });
        let filled = text.len() - missing;
        let is_numbers = column.unit.is_some() || (2 * (good + almost) > filled && !leading);
        if !is_numbers {
            column.cells = Cells::Text(text);
            return;
        }
        let name = column.name.clone();
        let mut numbers = Vec::with_capacity(text.len());
        for (row, read) in read.into_iter().enumerate() {
            let line = self.sheet.lines[row];
            numbers.push(match read {
                Ok(value) => Some(value),
                Err(NoNumber::Missing(word)) if self.dialect.missing == Missing::Drop => {
                    self.sheet.dropped.push(Dropped {
                        line,
                        column: name.clone(),
                        found: word.to_owned(),
                    });
                    None
                }
                Err(fault) => {
                    if self.problems.len() <= MOST_PROBLEMS {
                        let place = self.places.get(&(i, row)).copied().unwrap_or((line, 1));
                        let problem = self.cell_fault(place, i, &text[row], &fault);
                        self.problems.push(problem);
                    }
                    None
                }
            });
        }
        self.sheet.columns[i].cells = Cells::Numbers(numbers);
    }

    pub(super) fn serial(&mut self, cell: &str, line: usize) {
        if self.dialect.repeated_names || cell.is_empty() {
            return;
        }
        if let Some(first) = self.serials.get(cell) {
            self.repeated.push((cell.to_owned(), *first, line));
        } else {
            self.serials.insert(cell.to_owned(), line);
        }
    }
}
