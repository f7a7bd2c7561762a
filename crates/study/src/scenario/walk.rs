//! The walk through a document: typed getters that note which keys they read, and report what does not fit.

use std::cell::{OnceCell, RefCell};
use std::collections::{BTreeMap, BTreeSet};

use crate::problem::escape::quoted;
use crate::problem::id::{self, Id};
use crate::problem::{Problem, Problems};
use crate::scenario::Lot;
use crate::scenario::document::{Entry, Node, Spot, Table, Value};
use crate::scenario::homes::home;
use crate::scenario::lines::Lines;
pub(crate) use crate::scenario::nearest::nearest;
use crate::scenario::quantity::{Measure, Quantity};
use crate::scenario::value::{count_hint, read_quantity, shown, whole, whole_float};

/// Unknown keys of one table that are reported one by one.
const MOST_UNKNOWN: usize = 200;

/// Collects the problems of one scenario.
#[derive(Debug)]
pub(crate) struct Walk<'t> {
    file: &'t str,
    lines: &'t Lines<'t>,
    problems: RefCell<Vec<Problem>>,
    lots: OnceCell<BTreeMap<String, Option<Lot>>>,
}

impl<'t> Walk<'t> {
    /// A walk without problems yet.
    pub(crate) fn new(file: &'t str, lines: &'t Lines<'t>) -> Walk<'t> {
        Walk {
            file,
            lines,
            problems: RefCell::default(),
            lots: OnceCell::new(),
        }
    }

    /// The name of the file.
    pub(crate) fn file(&self) -> &'t str {
        self.file
    }

    /// Gives the walk the lots of the scenario; `None` for one that could not be read.
    pub(crate) fn set_lots(&self, lots: BTreeMap<String, Option<Lot>>) {
        let _ = self.lots.set(lots);
    }

    /// The lots of the scenario by name.
    pub(crate) fn lots(&self) -> &BTreeMap<String, Option<Lot>> {
        static NONE: BTreeMap<String, Option<Lot>> = BTreeMap::new();
        self.lots.get().unwrap_or(&NONE)
    }

    /// Notes the problems of another file.
    pub(crate) fn extend(&self, problems: Problems) {
        self.problems.borrow_mut().extend(problems.list);
    }

    /// Line of a spot, where it has one.
    pub(crate) fn line(&self, spot: Spot) -> usize {
        match spot {
            Spot::File(offset) => self.lines.place(offset).0,
            _ => 1,
        }
    }

    /// Notes a problem.
    pub(crate) fn report(
        &self,
        id: &Id,
        spot: Spot,
        key: &str,
        found: &str,
        expected: &str,
        hint: &str,
    ) {
        let (file, place) = match spot {
            Spot::File(offset) => (self.file, Some(self.lines.place(offset))),
            Spot::Override(_) => ("--set", None),
            Spot::Nowhere => (self.file, None),
        };
        let problem = Problem::new(id, file, key, found, expected)
            .at(place)
            .hint(hint);
        self.problems.borrow_mut().push(problem);
    }

    /// `line 12`, or where else something was typed.
    pub(crate) fn where_is(&self, spot: Spot) -> String {
        match spot {
            Spot::File(offset) => format!("line {}", self.lines.place(offset).0),
            Spot::Override(_) => "--set".to_owned(),
            Spot::Nowhere => "the file".to_owned(),
        }
    }

    /// Number of problems so far.
    pub(crate) fn count(&self) -> usize {
        self.problems.borrow().len()
    }

    /// The problems.
    pub(crate) fn into_problems(self) -> Vec<Problem> {
        self.problems.into_inner()
    }
}

/// One table of the document while it is read.
#[derive(Debug)]
pub(crate) struct Section<'w, 't> {
    /// The walk.
    pub(crate) walk: &'w Walk<'t>,
    /// Dotted path; empty at the head of the file.
    pub(crate) path: String,
    /// Where the table was opened.
    pub(crate) spot: Spot,
    table: &'w Table,
    asked: RefCell<BTreeSet<&'static str>>,
    later: RefCell<BTreeSet<&'static str>>,
}

impl<'w, 't> Section<'w, 't> {
    /// The head of the file.
    pub(crate) fn head(walk: &'w Walk<'t>, table: &'w Table) -> Section<'w, 't> {
        Section {
            walk,
            path: String::new(),
            spot: Spot::Nowhere,
            table,
            asked: RefCell::default(),
            later: RefCell::default(),
        }
    }

    /// The dotted path of a key of this table.
    pub(crate) fn path_of(&self, key: &str) -> String {
        join(&self.path, key)
    }

    /// The entry of a key; the key counts as read.
    pub(crate) fn get(&self, key: &'static str) -> Option<&'w Entry> {
        self.asked.borrow_mut().insert(key);
        self.table.get(key)
    }

    /// Whether a key is there; it counts as read.
    pub(crate) fn has(&self, key: &'static str) -> bool {
        self.get(key).is_some()
    }

    /// Reports that a key is missing.
    pub(crate) fn missing(&self, key: &str, what: &str, example: &str) {
        let found = match self.path.as_str() {
            "" => format!("no {key}"),
            path => format!("no {key} in [{path}]"),
        };
        self.walk.report(
            &id::MISSING_KEY,
            self.spot,
            &self.path_of(key),
            &found,
            what,
            &format!("for example  {example}"),
        );
    }

    /// A table below this one.
    pub(crate) fn section(&self, key: &'static str) -> Option<Section<'w, 't>> {
        let entry = self.get(key)?;
        let path = self.path_of(key);
        match &entry.node.value {
            Value::Table(table) => Some(self.below(path, entry.key_spot, table)),
            other => {
                self.wrong_type(entry, other, &format!("a table [{path}]"));
                None
            }
        }
    }

    /// A table that is item number `place`, counted from 1, of the list under a key.
    pub(crate) fn item(&self, key: &str, place: usize, item: &'w Node) -> Option<Section<'w, 't>> {
        let path = format!("{}.{place}", self.path_of(key));
        let Value::Table(table) = &item.value else {
            let (found, expected) = (shown(&item.value), "a table { … }");
            let wrong = &id::WRONG_TYPE;
            self.walk
                .report(wrong, item.spot, &path, &found, expected, "");
            return None;
        };
        Some(self.below(path, item.spot, table))
    }

    /// The tables below a key, whatever their names, each with its own.
    pub(crate) fn tables(&self, key: &'static str) -> Vec<(&'w str, Section<'w, 't>)> {
        let Some(entry) = self.get(key) else {
            return vec![];
        };
        let Value::Table(table) = &entry.node.value else {
            self.wrong_type(entry, &entry.node.value, "a table of tables");
            return vec![];
        };
        let below = |inner: &'w Entry| match &inner.node.value {
            Value::Table(table) => {
                let path = join(&self.path_of(key), &inner.key);
                Some((inner.key.as_str(), self.below(path, inner.key_spot, table)))
            }
            value => {
                self.walk.report(
                    &id::WRONG_TYPE,
                    inner.node.spot,
                    &join(&self.path_of(key), &inner.key),
                    &shown(value),
                    "a table",
                    "",
                );
                None
            }
        };
        table.entries.iter().filter_map(below).collect()
    }

    fn below(&self, path: String, spot: Spot, table: &'w Table) -> Section<'w, 't> {
        Section {
            walk: self.walk,
            path,
            spot,
            table,
            asked: RefCell::default(),
            later: RefCell::default(),
        }
    }

    /// Whether a key is there.
    pub(crate) fn has_key(&self, key: &str) -> bool {
        self.table.get(key).is_some()
    }

    /// Whether a key is there that this table does not read; the caller says why, and it is not called unknown then.
    pub(crate) fn has_foreign(&self, key: &'static str) -> bool {
        self.later.borrow_mut().insert(key);
        self.table.get(key).is_some()
    }

    /// A table that must be there.
    pub(crate) fn required_section(
        &self,
        key: &'static str,
        keys: &str,
    ) -> Option<Section<'w, 't>> {
        if self.table.get(key).is_none() {
            self.asked.borrow_mut().insert(key);
            let path = self.path_of(key);
            self.walk.report(
                &id::MISSING_KEY,
                Spot::Nowhere,
                &path,
                &format!("no [{path}]"),
                &format!("a table [{path}] with {keys}"),
                "scenarios/README.md lists every key",
            );
        }
        self.section(key)
    }

    /// Text under a key.
    pub(crate) fn text(&self, key: &'static str) -> Option<&'w str> {
        let entry = self.get(key)?;
        match &entry.node.value {
            Value::Text(text) => Some(text),
            other => {
                self.wrong_type(entry, other, "text in quotes");
                None
            }
        }
    }

    /// Text under a key, without a word when it is something else.
    pub(crate) fn peek_text(&self, key: &'static str) -> Option<&'w str> {
        match &self.get(key)?.node.value {
            Value::Text(text) => Some(text),
            _ => None,
        }
    }

    /// A quantity of a measure under a key.
    pub(crate) fn quantity(&self, key: &'static str, allowed: &[Measure]) -> Option<Quantity> {
        let entry = self.get(key)?;
        read_quantity(self.walk, &entry.node, &self.path_of(key), allowed)
    }

    /// A whole number from a range under a key; whole floats are accepted.
    pub(crate) fn count(&self, key: &'static str, low: u64, high: u64) -> Option<u64> {
        let entry = self.get(key)?;
        let example = if high < 1_000_000 {
            ""
        } else {
            ", for example 1000000, 1_000_000 or 1e6"
        };
        let expected = format!("a whole number from {low} to {high}{example}");
        let value = &entry.node.value;
        let read = match value {
            Value::Whole(digits, radix) => whole(digits, *radix).ok_or(&id::RANGE),
            Value::Float(text) => whole_float(text),
            _ => Err(&id::WRONG_TYPE),
        };
        let wrong = match read {
            Ok(n) if (low..=high).contains(&n) => return Some(n),
            Ok(_) => &id::RANGE,
            Err(wrong) => wrong,
        };
        self.walk.report(
            wrong,
            entry.node.spot,
            &self.path_of(key),
            &shown(value),
            &expected,
            count_hint(value),
        );
        None
    }

    /// The value of a key that is true or false.
    pub(crate) fn flag(&self, key: &'static str) -> Option<bool> {
        let entry = self.get(key)?;
        match &entry.node.value {
            Value::Flag(flag) => Some(*flag),
            value => {
                self.wrong_type(entry, value, "true or false");
                None
            }
        }
    }

    /// Reports a value of the wrong type.
    pub(crate) fn wrong_type(&self, entry: &Entry, value: &Value, expected: &str) {
        self.walk.report(
            &id::WRONG_TYPE,
            entry.node.spot,
            &self.path_of(&entry.key),
            &shown(value),
            expected,
            "",
        );
    }

    /// Reports a problem with the value of a key of this table.
    pub(crate) fn bad(&self, id: &Id, key: &str, found: &str, expected: &str, hint: &str) {
        let spot = self.table.get(key).map_or(self.spot, |e| e.node.blamed());
        self.walk
            .report(id, spot, &self.path_of(key), found, expected, hint);
    }

    /// Refuses a key of a later version.
    pub(crate) fn not_yet(&self, key: &'static str, hint: &str) {
        self.later.borrow_mut().insert(key);
        if let Some(entry) = self.table.get(key) {
            let found = format!("{key}, which this version does not read");
            self.walk.report(
                &id::NOT_YET,
                entry.key_spot,
                &self.path_of(key),
                &found,
                "a scenario without it",
                hint,
            );
        }
    }

    /// Refuses a key that belongs to another kind of scenario, and says why.
    pub(crate) fn stray(&self, key: &'static str, kind: &str, why: &str) {
        self.later.borrow_mut().insert(key);
        if let Some(entry) = self.table.get(key) {
            self.walk.report(
                &id::UNKNOWN_KEY,
                entry.key_spot,
                &self.path_of(key),
                &format!("{key} in [{}]", self.path),
                &format!("{kind} without it"),
                why,
            );
        }
    }

    /// Refuses a pair of keys of which only one may stand.
    pub(crate) fn exclude(&self, first: &'static str, second: &'static str, why: &str) -> bool {
        match (self.get(first), self.get(second)) {
            (Some(a), Some(b)) => {
                let found = format!(
                    "{first} ({}) and {second} ({})",
                    self.walk.where_is(a.key_spot),
                    self.walk.where_is(b.key_spot)
                );
                self.walk.report(
                    &id::CONTRADICTION,
                    b.key_spot.max(a.key_spot),
                    &self.path_of(second),
                    &found,
                    &format!("one of the two: {why}"),
                    "",
                );
                true
            }
            _ => false,
        }
    }

    /// Where a key stands.
    pub(crate) fn key_spot_of(&self, key: &str) -> Spot {
        self.table.get(key).map_or(self.spot, |e| e.key_spot)
    }

    /// Where the value of a key stands.
    pub(crate) fn spot_of(&self, key: &str) -> Spot {
        self.table.get(key).map_or(self.spot, |e| e.node.spot)
    }

    /// Reports every key that was not read.
    pub(crate) fn finish(self) {
        let (asked, later) = (self.asked.borrow(), self.later.borrow());
        let unread = |entry: &&Entry| {
            !asked.contains(entry.key.as_str()) && !later.contains(entry.key.as_str())
        };
        for entry in self.table.entries.iter().filter(unread).take(MOST_UNKNOWN) {
            self.unknown(entry, &asked);
        }
        if let Some(next) = self.table.entries.iter().filter(unread).nth(MOST_UNKNOWN) {
            let more = self.table.entries.iter().filter(unread).count() - MOST_UNKNOWN;
            let found = format!("{more} further unknown keys in the same table");
            self.walk.report(
                &id::UNKNOWN_KEY,
                next.key_spot,
                &self.path,
                &found,
                "a scenario as described in scenarios/README.md",
                "",
            );
        }
    }

    fn unknown(&self, entry: &Entry, asked: &BTreeSet<&'static str>) {
        let known: Vec<_> = asked.iter().copied().collect();
        let (key, here) = (quoted(&entry.key), self.walk.where_is(entry.key_spot));
        let near = nearest(&entry.key, &known);
        let hint = match near.map(|near| (near, self.table.get(near))) {
            Some((near, Some(there))) => format!(
                "{key} stands in {here}, and {} already in {}",
                quoted(near),
                self.walk.where_is(there.key_spot)
            ),
            Some((near, None)) => format!("did you mean {near}?"),
            None => home(&entry.key).map_or_else(String::new, |table| {
                format!("{} belongs in [{table}]", entry.key)
            }),
        };
        let place = if self.path.is_empty() {
            "at the head of the file".to_owned()
        } else {
            format!("in [{}]", self.path)
        };
        let found = format!("an unknown key {key} {place}");
        self.walk.report(
            &id::UNKNOWN_KEY,
            entry.key_spot,
            &self.path_of(&entry.key),
            &found,
            &format!("one of {}", known.join(", ")),
            &hint,
        );
    }
}

/// The dotted path of a key in a table.
pub(crate) fn join(path: &str, key: &str) -> String {
    if path.is_empty() {
        key.to_owned()
    } else {
        format!("{path}.{key}")
    }
}
