//! Reads the measured lots of a scenario: which files they are, how they are written, and the columns that processes use.

use std::collections::{BTreeMap, BTreeSet};
use std::path::PathBuf;
use std::sync::Arc;

use crate::problem::escape::{escaped, quoted};
use crate::problem::id;
use crate::problem::{Problem, Problems};
use crate::readings::{self, Decimal, Dialect, Encoding, Missing, Separator, SetBy, Sheet, Want};
use crate::scenario::document::{Node, Table, Value};
use crate::scenario::process::word;
use crate::scenario::walk::Section;
use crate::scenario::{Lot, LotColumn};

/// Most rows of a lot that a scenario uses: they all stand in the record.
const MOST_ROWS: usize = 100_000;

/// Longest name of a lot.
const LONGEST_NAME: usize = 200;

/// A lot that a scenario names, before its file is read.
#[derive(Debug, Clone)]
pub struct WantedLot {
    /// Its name.
    pub name: String,
    /// The file as the scenario names it.
    pub file: String,
    /// How the file is written.
    pub dialect: Dialect,
    /// Where that is stated.
    pub set_by: SetBy,
    /// Headings of the columns that processes use.
    pub columns: Vec<String>,
}

/// Where the readings of a scenario come from.
#[derive(Debug, Clone)]
pub enum LotSource<'a> {
    /// Files below this folder, which is that of the scenario.
    Folder(PathBuf),
    /// The readings that a record carries.
    Record(&'a [record::Readings]),
    /// There are none: the scenario is a text without a place.
    Nowhere,
}

impl LotSource<'_> {
    /// The readings of a lot.
    ///
    /// # Errors
    /// All [`Problems`] of its file.
    pub fn read(&self, wanted: &WantedLot) -> Result<Lot, Problems> {
        match self {
            LotSource::Folder(folder) => {
                from_file(folder.join(&wanted.file), wanted).map_err(|found| named(found, wanted))
            }
            LotSource::Record(all) => {
                let found = all.iter().find(|readings| readings.lot == wanted.name);
                found
                    .map(embedded)
                    .ok_or_else(|| absent(wanted, "no readings of this lot in the record"))
            }
            LotSource::Nowhere => Err(absent(wanted, "a scenario without a folder to look in")),
        }
    }
}

/// A missing file is said with both its paths: as it was looked for, and as the scenario names it.
fn named(mut found: Problems, wanted: &WantedLot) -> Problems {
    for problem in &mut found.list {
        if problem.id == id::LOT_MISSING.name {
            let typed = escaped(&quoted(&wanted.file));
            problem.key = format!("lots.{}.file = {typed}", escaped(&wanted.name));
        }
    }
    found
}

fn absent(wanted: &WantedLot, found: &str) -> Problems {
    Problem::new(
        &id::LOT_MISSING,
        &wanted.file,
        &wanted.name,
        found,
        "a CSV file of readings",
    )
    .into()
}

fn embedded(readings: &record::Readings) -> Lot {
    let column = |column: &record::ReadingsColumn| LotColumn {
        name: column.name.clone(),
        unit: column.unit.clone(),
        values: column.values.clone().into(),
    };
    Lot {
        name: readings.lot.clone(),
        file: readings.file.clone(),
        sha256: readings.sha256.clone(),
        rows: readings.rows as usize,
        dropped: readings.dropped as usize,
        columns: readings.columns.iter().map(column).collect(),
    }
}

fn from_file(path: PathBuf, wanted: &WantedLot) -> Result<Lot, Problems> {
    let wants: Vec<Want<'_>> = wanted
        .columns
        .iter()
        .map(|name| Want::Number(name))
        .collect();
    let sheet = readings::read(&path, &wanted.dialect, &wanted.set_by, &wants)?;
    if sheet.rows > MOST_ROWS {
        let found = format!("{} rows", sheet.rows);
        let expected = format!("at most {MOST_ROWS} rows in a lot of a scenario");
        return Err(
            Problem::new(&id::TOO_LARGE, &sheet.file, "", &found, &expected)
                .hint("its readings stand in the record; take a part of them")
                .into(),
        );
    }
    let lot = aligned(wanted, &sheet);
    if lot.columns.iter().any(|column| column.values.is_empty()) {
        let found = "no row with a reading in every column that is used";
        return Err(Problem::new(&id::LOT_EMPTY, &sheet.file, "", found, "at least one").into());
    }
    Ok(lot)
}

/// The used columns, without the rows that lack a reading in any of them.
fn aligned(wanted: &WantedLot, sheet: &Sheet) -> Lot {
    let used: Vec<_> = wanted
        .columns
        .iter()
        .filter_map(|name| sheet.column(name))
        .filter_map(|column| Some((column, column.numbers()?)))
        .collect();
    let whole: Vec<usize> = (0..sheet.rows)
        .filter(|&row| used.iter().all(|(_, numbers)| numbers[row].is_some()))
        .collect();
    let columns = used.iter().map(|(column, numbers)| LotColumn {
        name: column.name.clone(),
        unit: column.unit.clone().unwrap_or_default(),
        values: whole
            .iter()
            .filter_map(|&row| numbers[row])
            .collect::<Arc<[f64]>>(),
    });
    Lot {
        name: wanted.name.clone(),
        file: wanted.file.clone(),
        sha256: sheet.sha256.clone(),
        rows: sheet.rows,
        dropped: sheet.rows - whole.len(),
        columns: columns.collect(),
    }
}

/// Reads `[lots.NAME]`, then the files of the lots that processes use; the walk keeps what was found.
pub(crate) fn read(head: &Section<'_, '_>, document: &Table, source: &LotSource<'_>) {
    let mut used = BTreeMap::new();
    uses(document, &mut used);
    let mut lots = BTreeMap::new();
    for (name, table) in head.tables("lots") {
        let columns = used
            .get(name)
            .map(|columns| columns.iter().cloned().collect());
        let wanted = wanted(&table, name, columns.unwrap_or_default());
        table.finish();
        let lot = wanted.and_then(|wanted| {
            if wanted.columns.is_empty() {
                return None;
            }
            source
                .read(&wanted)
                .map_err(|problems| head.walk.extend(problems))
                .ok()
        });
        lots.insert(name.to_owned(), lot);
    }
    head.walk.set_lots(lots);
}

/// The columns that processes take from lots, by lot: every table with a `lot` and a `column`.
fn uses(table: &Table, used: &mut BTreeMap<String, BTreeSet<String>>) {
    let text = |key: &str| match table.get(key).map(|entry| &entry.node.value) {
        Some(Value::Text(text)) => Some(text.clone()),
        _ => None,
    };
    if let (Some(lot), Some(column)) = (text("lot"), text("column")) {
        used.entry(lot).or_default().insert(column);
    }
    for entry in &table.entries {
        inside(&entry.node, used);
    }
}

fn inside(node: &Node, used: &mut BTreeMap<String, BTreeSet<String>>) {
    match &node.value {
        Value::Table(table) => uses(table, used),
        Value::List(items) => items.iter().for_each(|item| inside(item, used)),
        _ => {}
    }
}

fn wanted(table: &Section<'_, '_>, name: &str, columns: Vec<String>) -> Option<WantedLot> {
    let before = table.walk.count();
    if name.trim().is_empty() || name.chars().count() > LONGEST_NAME {
        let expected = format!("a name of 1 to {LONGEST_NAME} characters");
        table.walk.report(
            &id::TEXT,
            table.spot,
            &table.path,
            &format!("a lot called {}", quoted(name)),
            &expected,
            "",
        );
    }
    let file = table.text("file").map(str::to_owned);
    if file.is_none() && !table.has("file") {
        table.missing(
            "file",
            "the CSV file with the readings, as seen from the scenario",
            "file = \"lots/hubs.csv\"",
        );
    }
    if file.as_ref().is_some_and(|file| file.trim().is_empty()) {
        table.bad(
            &id::TEXT,
            "file",
            "an empty text",
            "the name of a CSV file",
            "",
        );
    }
    let separators = Separator::ALL.map(Separator::word);
    let separator = word(table, "separator", &separators).and_then(Separator::named);
    let decimal = word(table, "decimal", &[".", ","]);
    let encoding = word(table, "encoding", &["utf-8", "windows-1252"]);
    let missing = word(table, "missing", &["refuse", "drop"]);
    let skip_rows = table.count("skip_rows", 0, 10_000);
    let repeated_names = table.flag("repeated_names").unwrap_or(false);
    let wanted = WantedLot {
        name: name.to_owned(),
        file: file?,
        dialect: Dialect {
            separator,
            decimal: match decimal {
                Some(",") => Decimal::Comma,
                _ => Decimal::Point,
            },
            encoding: match encoding {
                Some("windows-1252") => Encoding::Windows1252,
                _ => Encoding::Utf8,
            },
            missing: match missing {
                Some("drop") => Missing::Drop,
                _ => Missing::Refuse,
            },
            skip_rows: skip_rows.unwrap_or(0) as usize,
            repeated_names,
        },
        set_by: SetBy::Scenario {
            file: table.walk.file().to_owned(),
            lot: name.to_owned(),
            line: table.walk.line(table.spot),
        },
        columns,
    };
    (table.walk.count() == before).then_some(wanted)
}
