//! The headings of a file of readings: what the columns are called, and how each is read.

use super::dialect::Decimal;
use super::number::number;
use super::reader::{MOST_COLUMNS, Reader, Refused, Role};
use super::rows::{RawRow, place, split};
use super::sheet::{Cells, Column};
use super::{Want, heading, suspect};
use crate::problem::escape::quoted;
use crate::problem::id;

impl Reader<'_> {
    /// Takes the headings, after a look at whether the file is what it should be.
    pub(super) fn head(&mut self, row: RawRow, first: &[String]) -> Refused<()> {
        let cells = split(std::slice::from_ref(&row), self.separator)
            .map_err(|reason| self.problem(&id::LOT_ROW, "", &reason, "cells"))?
            .remove(0);
        self.whole(&row, &cells, first)?;
        let mut cells = cells;
        if cells.len() > 1 && cells.last().is_some_and(String::is_empty) {
            cells.pop();
        }
        if cells.len() > MOST_COLUMNS {
            return Err(Box::new(
                self.problem(
                    &id::TOO_LARGE,
                    "",
                    &format!("{} columns", cells.len()),
                    &format!("at most {MOST_COLUMNS} columns"),
                )
                .at(Some((row.line, 1))),
            ));
        }
        for (i, cell) in cells.iter().enumerate() {
            let place = place(&row, i, self.separator);
            let heading = heading::read(cell);
            if cell.is_empty() {
                self.problems.push(
                    self.problem(
                        &id::LOT_COLUMN,
                        "",
                        "a column without a heading",
                        "a name for every column",
                    )
                    .at(Some(place)),
                );
            }
            let column = Column {
                name: heading.name,
                unit: heading.unit,
                place,
                cells: Cells::NotRead,
            };
            if let Some(twin) = self
                .sheet
                .columns
                .iter()
                .find(|c| c.name == column.name && !cell.is_empty())
            {
                let found = format!(
                    "a second column {}, the first is column {} of the line",
                    quoted(&column.name),
                    twin.place.1
                );
                self.problems.push(
                    self.problem(&id::LOT_COLUMN, &column.name, &found, "every heading once")
                        .at(Some(place)),
                );
            }
            self.sheet.columns.push(column);
        }
        self.assign();
        Ok(())
    }

    /// Refuses a file that as a whole is written otherwise.
    pub(super) fn whole(&self, row: &RawRow, cells: &[String], first: &[String]) -> Refused<()> {
        let numbers = |decimal| {
            cells
                .iter()
                .filter(|cell| number(cell, decimal).is_ok())
                .count()
        };
        if cells.len() == 1
            && let Some(problem) = self.other_dialect(first)
        {
            return Err(Box::new(problem));
        }
        if let Some(line) = suspect::header_below(first, self.dialect) {
            let skip = self.looked_at.get(line - 1).copied().unwrap_or(line) - 1;
            return Err(Box::new(
                self.problem(
                    &id::LOT_HEADER,
                    "",
                    &format!(
                        "{} cell(s) in the first line: {}",
                        cells.len(),
                        quoted(&row.text)
                    ),
                    "the headings in the first filled line",
                )
                .at(Some((row.line, 1)))
                .hint(&format!(
                    "line {} looks like the headings; {}",
                    skip + 1,
                    self.set_by.set(&[("skip_rows", &skip.to_string())])
                )),
            ));
        }
        let most = numbers(Decimal::Point).max(numbers(Decimal::Comma));
        if 2 * most > cells.len() {
            return Err(Box::new(self
                .problem(&id::LOT_HEADER, "", &format!("numbers in the first line: {}", quoted(&row.text)), "headings in the first line")
                .at(Some((row.line, 1)))
                .hint("add a line with the names of the columns, each with its unit: gauge_diameter [mm]")));
        }
        Ok(())
    }

    /// Decides how each column is read.
    pub(super) fn assign(&mut self) {
        self.roles = match self.wants {
            None => {
                let role = |column: &Column| {
                    if heading::is_serial(&column.name) {
                        Role::Text
                    } else {
                        Role::Open
                    }
                };
                self.sheet.columns.iter().map(role).collect()
            }
            Some(wants) => {
                let role = |column: &Column| {
                    let want = wants.iter().find(|want| column.is(want.name()));
                    match want {
                        Some(Want::Number(_)) => Role::Number,
                        Some(Want::Text(_)) => Role::Text,
                        None if heading::is_serial(&column.name) => Role::Text,
                        None => Role::Skip,
                    }
                };
                let roles = self.sheet.columns.iter().map(role).collect();
                for want in wants {
                    if self.sheet.column(want.name()).is_none() {
                        let problem = self.no_column(want.name());
                        self.problems.push(problem);
                    }
                }
                roles
            }
        };
        for (role, column) in self.roles.iter().zip(&mut self.sheet.columns) {
            column.cells = match role {
                Role::Number => Cells::Numbers(vec![]),
                Role::Text | Role::Open => Cells::Text(vec![]),
                Role::Skip => Cells::NotRead,
            };
        }
    }
}
