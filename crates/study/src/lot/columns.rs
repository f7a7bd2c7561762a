//! Which columns of a file are studied, what the others say, and what the drawing says of each.

use super::NotStudied;
use super::characteristic::Readings;
use super::drawing::{self, ColumnUnit, Typed};
use super::gauge::Measured;
use super::options::{ForColumn, Grouping, LotOptions};
use super::slip;
use crate::problem::escape::{cut, escaped, quoted};
use crate::problem::{Problem, Problems, id};
use crate::readings::{Cells, Column, Sheet};

/// Headings that a message lists.
const LISTED: usize = 12;

/// The columns of a file that are studied, and what was done with each column, in words.
pub(super) struct Picked {
    pub(super) readings: Vec<Readings>,
    pub(super) done: Vec<(String, String, String)>,
}

/// Picks the columns.
///
/// # Errors
/// Every option that does not fit the file.
pub(super) fn pick(sheet: &Sheet, options: &LotOptions) -> Result<Picked, NotStudied> {
    let mut picker = Picker {
        sheet,
        options,
        wrong: Vec::new(),
        problems: Vec::new(),
    };
    let picked = picker.pick();
    let slips = picked
        .readings
        .iter()
        .filter_map(|of| slip::found(&sheet.file, of));
    picker.problems.extend(slips);
    match (picker.wrong.is_empty(), picker.problems.is_empty()) {
        (true, true) => Ok(picked),
        (false, _) => Err(NotStudied::Options(picker.wrong)),
        (true, false) => Err(Problems::new(picker.problems).into()),
    }
}

struct Picker<'a> {
    sheet: &'a Sheet,
    options: &'a LotOptions,
    wrong: Vec<String>,
    problems: Vec<Problem>,
}

/// Columns that say something about the readings, with the word for it.
struct Roles<'a> {
    all: Vec<(&'a Column, &'static str)>,
    groups: Option<(Vec<String>, String)>,
    measured: Option<Vec<Measured>>,
    serials: Option<Vec<String>>,
}

impl<'a> Picker<'a> {
    fn pick(&mut self) -> Picked {
        let roles = self.roles();
        let studied = self.studied(&roles);
        if studied.is_empty() && self.wrong.is_empty() {
            let found = format!("no column of numbers to study among {}", self.headings());
            let due = "a column of readings without another role";
            let file = &self.sheet.file;
            self.problems
                .push(Problem::new(&id::PARTS_COLUMN, file, "", &found, due));
        }
        self.for_unknown(&studied);
        let readings = studied
            .iter()
            .filter_map(|column| self.readings(column, &studied, &roles))
            .collect();
        let done = self.sheet.columns.iter().map(|column| {
            let role = roles
                .all
                .iter()
                .find(|(other, _)| std::ptr::eq(*other, column));
            let done = match role {
                Some((_, word)) => *word,
                None if studied.iter().any(|other| std::ptr::eq(*other, column)) => "studied",
                None => match column.cells {
                    Cells::Text(_) | Cells::NotRead => "text, not studied",
                    Cells::Numbers(_) => "numbers, not studied",
                },
            };
            let unit = column.unit.clone().unwrap_or_default();
            (column.name.clone(), unit, done.to_owned())
        });
        Picked {
            readings,
            done: done.collect(),
        }
    }

    /// The columns with a role, as the options name them.
    fn roles(&mut self) -> Roles<'a> {
        let mut all = Vec::new();
        let options = self.options;
        let mut labels = |picker: &mut Self, option: &str, name: &str, word: &'static str| {
            let column = picker.column(option, name)?;
            all.push((column, word));
            Some(labels(column))
        };
        let groups = match &options.grouping {
            Some(Grouping::Column(name)) => labels(self, "--subgroup", name, "subgroup")
                .map(|labels| (labels, format!("by the column {name}"))),
            Some(Grouping::Size(size)) => {
                let labels = (0..self.sheet.rows).map(|row| (row / size + 1).to_string());
                Some((
                    labels.collect(),
                    format!("every {size} readings in the order of the rows"),
                ))
            }
            None => None,
        };
        let measured = options.gauge.as_ref().and_then(|gauge| {
            let parts = labels(self, "--part", &gauge.part, "part");
            let appraisers = labels(self, "--appraiser", &gauge.appraiser, "appraiser");
            let trials = gauge
                .trial
                .as_ref()
                .map(|trial| labels(self, "--trial", trial, "trial"));
            let (parts, appraisers) = (parts?, appraisers?);
            let measured = parts.into_iter().zip(appraisers);
            let trials = trials.flatten();
            Some(
                measured
                    .enumerate()
                    .map(|(row, (part, appraiser))| Measured {
                        part,
                        appraiser,
                        trial: trials.as_ref().map(|trials| trials[row].clone()),
                    })
                    .collect(),
            )
        });
        let serials = options.serial.as_ref();
        let serials = serials.and_then(|name| labels(self, "--serial", name, "serial number"));
        if let (Some(serials), Some(name)) = (&serials, &options.serial) {
            self.repeated(serials, name);
        }
        Roles {
            all,
            groups,
            measured,
            serials,
        }
    }

    /// Refuses serial numbers that stand twice, unless they may; in a gauge study every part is measured again.
    fn repeated(&mut self, serials: &[String], name: &str) {
        if self.options.dialect.repeated_names || self.options.gauge.is_some() {
            return;
        }
        let mut lines = std::collections::BTreeMap::new();
        for (serial, line) in serials.iter().zip(self.sheet.lines()) {
            if let Some(before) = lines.insert(serial, line) {
                let found = format!("{} again, as in line {before}", quoted(serial));
                let problem = Problem::new(
                    &id::PARTS_SAME_NAME,
                    &self.sheet.file,
                    name,
                    &found,
                    "each serial number once",
                );
                let hint = "--repeated-names when they may repeat";
                self.problems.push(problem.at(Some((*line, 1))).hint(hint));
            }
        }
    }

    /// The columns to study.
    fn studied(&mut self, roles: &Roles<'a>) -> Vec<&'a Column> {
        let has_role = |column: &Column| {
            roles
                .all
                .iter()
                .any(|(other, _)| std::ptr::eq(*other, column))
        };
        let options = self.options;
        if options.columns.is_empty() {
            let numbers = self
                .sheet
                .columns
                .iter()
                .filter(|column| matches!(column.cells, Cells::Numbers(_)));
            return numbers.filter(|column| !has_role(column)).collect();
        }
        let mut studied: Vec<&Column> = Vec::new();
        for name in &options.columns {
            let Some(column) = self.column("--column", name) else {
                continue;
            };
            if matches!(column.cells, Cells::Text(_)) {
                self.wrong("--column", name, "a column of numbers");
            } else if has_role(column) {
                self.wrong("--column", name, "a column without another role");
            } else if !studied.iter().any(|other| std::ptr::eq(*other, column)) {
                studied.push(column);
            }
        }
        studied
    }

    /// The column of this heading, with or without its unit.
    fn column(&mut self, option: &str, name: &str) -> Option<&'a Column> {
        let found = self
            .sheet
            .columns
            .iter()
            .find(|column| is_named(column, name));
        if found.is_none() {
            let due = format!("a heading of the file: {}", self.headings());
            self.wrong(option, name, &due);
        }
        found
    }

    fn headings(&self) -> String {
        let all = &self.sheet.columns;
        let names: Vec<&str> = all
            .iter()
            .take(LISTED)
            .map(|column| column.name.as_str())
            .collect();
        let more = if all.len() > LISTED { " …" } else { "" };
        names.join(", ") + more
    }

    /// One studied column with everything that is known of it.
    fn readings(
        &mut self,
        column: &'a Column,
        studied: &[&Column],
        roles: &Roles<'_>,
    ) -> Option<Readings> {
        let Cells::Numbers(cells) = &column.cells else {
            return None;
        };
        let several = studied.len() > 1;
        let said = self.value("--unit", &self.options.units, column, several);
        let unit = self.unit(column, said)?;
        let options = self.options;
        let typed = Typed {
            nominal: self.value("--nominal", &options.nominals, column, several),
            class: self.value("--class", &options.classes, column, several),
            deviations: self.value("--deviations", &options.deviations, column, several),
            min: self.value("--min", &options.mins, column, several),
            max: self.value("--max", &options.maxs, column, several),
        };
        let drawing = match drawing::read(&typed, &column.name, unit) {
            Ok(drawing) => drawing,
            Err(wrong) => {
                self.wrong.extend(wrong);
                return None;
            }
        };
        let rows: Vec<usize> = (0..cells.len())
            .filter(|&row| cells[row].is_some())
            .collect();
        let of_rows = |all: &[String]| rows.iter().map(|&row| all[row].clone()).collect::<Vec<_>>();
        Some(Readings {
            name: column.name.clone(),
            unit,
            unit_said: said.is_some(),
            drawing,
            values: cells.iter().flatten().copied().collect(),
            lines: rows
                .iter()
                .map(|&row| self.sheet.lines()[row] as u64)
                .collect(),
            serials: roles.serials.as_deref().map(of_rows),
            groups: roles
                .groups
                .as_ref()
                .map(|(labels, stated)| (of_rows(labels), stated.clone())),
            measured: roles
                .measured
                .as_ref()
                .map(|all| rows.iter().map(|&row| all[row].clone()).collect()),
        })
    }

    /// The unit of a column, from its heading or as it was said.
    fn unit(&mut self, column: &Column, said: Option<&str>) -> Option<ColumnUnit> {
        let stated = match (said, column.unit.as_deref().unwrap_or("")) {
            (Some(said), "") => said,
            (Some(said), stated) => {
                let found = format!(
                    "{said}, while the heading of {} states {stated}",
                    column.name
                );
                self.wrong(
                    "--unit",
                    &found,
                    "a unit only where the heading states none",
                );
                return None;
            }
            (None, stated) => stated,
        };
        let unit = ColumnUnit::named(stated);
        if unit.is_none() {
            self.wrong(
                "--unit",
                stated,
                "a unit, for example mm, um, in, deg, N or N*m",
            );
        }
        unit
    }

    /// What an option says of a column.
    fn value<'v>(
        &mut self,
        option: &str,
        values: &'v [ForColumn],
        column: &Column,
        several: bool,
    ) -> Option<&'v str> {
        let mut for_it = values.iter().filter(|value| match &value.column {
            Some(name) => is_named(column, name),
            None => true,
        });
        let first = for_it.next()?;
        if for_it.next().is_some() {
            self.wrong(
                option,
                &format!("two values for column {}", column.name),
                "one for each column",
            );
        }
        if first.column.is_none() && several {
            let due = format!(
                "NAME={} with the column that is meant, as several are studied: {}",
                first.value,
                self.headings()
            );
            self.wrong(option, &first.value, &due);
            return None;
        }
        Some(&first.value)
    }

    /// Refuses values for columns that are not studied.
    fn for_unknown(&mut self, studied: &[&Column]) {
        let options = self.options;
        let all = [
            ("--unit", &options.units),
            ("--nominal", &options.nominals),
            ("--class", &options.classes),
            ("--deviations", &options.deviations),
            ("--min", &options.mins),
            ("--max", &options.maxs),
        ];
        for (option, values) in all {
            for name in values.iter().filter_map(|value| value.column.as_deref()) {
                if !studied.iter().any(|column| is_named(column, name)) {
                    let names: Vec<&str> =
                        studied.iter().map(|column| column.name.as_str()).collect();
                    self.wrong(
                        option,
                        name,
                        &format!("a column that is studied: {}", names.join(", ")),
                    );
                }
            }
        }
    }

    fn wrong(&mut self, option: &str, found: &str, due: &str) {
        let line = format!(
            "{option}: found {}\n  expected: {}",
            cut(&escaped(found), 200),
            cut(&escaped(due), 300)
        );
        if !self.wrong.contains(&line) {
            self.wrong.push(line);
        }
    }
}

/// Whether a name is that of a column, with or without its unit.
fn is_named(column: &Column, name: &str) -> bool {
    column.name == name
        || column
            .unit
            .as_ref()
            .is_some_and(|unit| format!("{} [{unit}]", column.name) == name)
}

/// The cells as labels.
fn labels(column: &Column) -> Vec<String> {
    match &column.cells {
        Cells::Text(cells) => cells.clone(),
        Cells::Numbers(cells) => cells
            .iter()
            .map(|cell| cell.map_or_else(String::new, |number| number.to_string()))
            .collect(),
        Cells::NotRead => vec![],
    }
}
