//! The walk through a document: typed getters that note which keys they read, and report what does not fit.

use std::cell::RefCell;
use std::collections::BTreeSet;

use crate::problem::Problem;
use crate::problem::escape::{named, quoted};
use crate::problem::id::{self, Id};
use crate::scenario::document::{Entry, Node, Spot, Table, Value};
use crate::scenario::lines::Lines;
use crate::scenario::quantity::{self, Measure, Quantity, QuantityError};

/// Largest whole number that a float carries without gaps.
const EXACT: f64 = 9_007_199_254_740_992.0;

/// Collects the problems of one scenario.
#[derive(Debug)]
pub(crate) struct Walk<'t> {
    file: &'t str,
    lines: &'t Lines<'t>,
    problems: RefCell<Vec<Problem>>,
}

impl<'t> Walk<'t> {
    /// A walk without problems yet.
    pub(crate) fn new(file: &'t str, lines: &'t Lines<'t>) -> Walk<'t> {
        Walk {
            file,
            lines,
            problems: RefCell::default(),
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
            Value::Table(table) => Some(Section {
                walk: self.walk,
                path,
                spot: entry.key_spot,
                table,
                asked: RefCell::default(),
                later: RefCell::default(),
            }),
            other => {
                self.walk.report(
                    &id::WRONG_TYPE,
                    entry.node.spot,
                    &path,
                    &shown(other),
                    &format!("a table [{path}]"),
                    "",
                );
                None
            }
        }
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
        let expected =
            format!("a whole number from {low} to {high}, for example 1000000, 1_000_000 or 1e6");
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
        let spot = self.table.get(key).map_or(self.spot, |e| e.node.spot);
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

    /// Where the value of a key stands.
    pub(crate) fn spot_of(&self, key: &str) -> Spot {
        self.table.get(key).map_or(self.spot, |e| e.node.spot)
    }

    /// Reports every key that was not read.
    pub(crate) fn finish(self) {
        let (asked, later) = (self.asked.borrow(), self.later.borrow());
        for entry in &self.table.entries {
            let key = entry.key.as_str();
            if !asked.contains(key) && !later.contains(key) {
                self.unknown(entry, &asked);
            }
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

/// The table in which a key belongs, for keys that stand in one table only.
fn home(key: &str) -> Option<&'static str> {
    const HOMES: [(&str, &[&str]); 6] = [
        (
            "run",
            &["pairings", "seed", "confidence", "target_yield", "outputs"],
        ),
        ("joint", &["seat", "elastic_law"]),
        ("shaft", &["bore_diameter"]),
        ("spacer", &["thickness", "stiffness", "inside_diameter"]),
        ("contact", &["friction", "smoothing", "blue_film"]),
        ("bolt", &["size", "torque", "nut_factor"]),
    ];
    HOMES
        .iter()
        .find(|(_, keys)| keys.contains(&key))
        .map(|(table, _)| *table)
}

/// The dotted path of a key in a table.
pub(crate) fn join(path: &str, key: &str) -> String {
    if path.is_empty() {
        key.to_owned()
    } else {
        format!("{path}.{key}")
    }
}

/// The word closest to another, if any is close.
pub(crate) fn nearest<'a>(word: &str, known: &[&'a str]) -> Option<&'a str> {
    if word.len() > 64 {
        return None;
    }
    let folded = word.to_lowercase().replace('-', "_");
    let scored = known
        .iter()
        .map(|&k| (strsim::damerau_levenshtein(k, &folded), k));
    let allowed = (word.chars().count() / 3).clamp(1, 3);
    let close = scored.filter(|&(distance, k)| distance <= allowed && distance < k.len());
    close
        .min_by_key(|&(distance, k)| (distance, k))
        .map(|(_, k)| k)
}

/// A value as found, for a message.
pub(crate) fn shown(value: &Value) -> String {
    match value {
        Value::Text(text) => format!("text {}", quoted(text)),
        Value::Whole(digits, _) => {
            format!("the number {}", crate::problem::escape::cut(digits, 60))
        }
        Value::Float(text) => format!("the number {}", crate::problem::escape::cut(text, 60)),
        Value::Flag(flag) => format!("{flag}"),
        Value::Date(date) => format!("the date or time {date}"),
        Value::List(items) => format!("a list of {}", items.len()),
        Value::Table(_) => value.kind().to_owned(),
    }
}

/// Reads a quantity and checks what it measures.
pub(crate) fn read_quantity(
    walk: &Walk<'_>,
    node: &Node,
    path: &str,
    allowed: &[Measure],
) -> Option<Quantity> {
    let expected = expected(allowed);
    match &node.value {
        Value::Text(text) => {
            let quantity = match Quantity::parse(text) {
                Ok(quantity) => quantity,
                Err(error) => {
                    let (id, hint) = explain(&error, allowed);
                    let detail = if error == QuantityError::Empty {
                        "\"\"".to_owned()
                    } else {
                        format!("{}: {error}", quoted(text))
                    };
                    walk.report(id, node.spot, path, &detail, &expected, &hint);
                    return None;
                }
            };
            fits(quantity, allowed).or_else(|| {
                let hint = unit_hint(&quantity, allowed);
                let found = if quantity.measure == Measure::Plain {
                    format!("{} without a unit", quoted(text))
                } else {
                    format!("{}, which is {}", quoted(text), quantity.measure.words())
                };
                walk.report(&id::UNIT, node.spot, path, &found, &expected, &hint);
                None
            })
        }
        Value::Whole(..) | Value::Float(_) => {
            let number = read_number(walk, node, path)?;
            let quantity = Quantity::plain(number);
            fits(quantity, allowed).or_else(|| {
                let found = format!("{} without a unit", shown(&node.value));
                walk.report(
                    &id::UNIT,
                    node.spot,
                    path,
                    &found,
                    &expected,
                    &unit_hint(&quantity, allowed),
                );
                None
            })
        }
        other => {
            walk.report(
                &id::WRONG_TYPE,
                node.spot,
                path,
                &shown(other),
                &expected,
                "",
            );
            None
        }
    }
}

/// A finite plain number.
pub(crate) fn read_number(walk: &Walk<'_>, node: &Node, path: &str) -> Option<f64> {
    let read = match &node.value {
        Value::Whole(digits, 10) => quantity::finite(digits).ok(),
        Value::Whole(digits, radix) => whole(digits, *radix).map(|n| n as f64),
        Value::Float(text) => quantity::finite(text).ok(),
        other => {
            walk.report(
                &id::WRONG_TYPE,
                node.spot,
                path,
                &shown(other),
                "a number",
                "",
            );
            return None;
        }
    };
    if read.is_none() {
        walk.report(
            &id::NUMBER,
            node.spot,
            path,
            &shown(&node.value),
            "a finite number; sizes from 1e-300 to 1e300 can be carried",
            "",
        );
    }
    read
}

fn fits(quantity: Quantity, allowed: &[Measure]) -> Option<Quantity> {
    allowed.contains(&quantity.measure).then_some(quantity)
}

/// What is expected where these measures are allowed.
fn expected(allowed: &[Measure]) -> String {
    let one = |m: &Measure| match m {
        Measure::Plain => "a plain number".to_owned(),
        Measure::Rate => "a rate such as \"1:20\"".to_owned(),
        Measure::Percent => "a percentage such as \"5 %\"".to_owned(),
        m => format!("{} with its unit ({}) in quotes", m.words(), m.units()),
    };
    allowed.iter().map(one).collect::<Vec<_>>().join(", or ")
}

fn unit_hint(quantity: &Quantity, allowed: &[Measure]) -> String {
    let usual = allowed.iter().map(|m| m.usual()).find(|u| !u.is_empty());
    match usual {
        Some(unit) if quantity.measure == Measure::Plain => {
            format!("write \"{} {unit}\" if {unit} is meant", quantity.number)
        }
        None if allowed.contains(&Measure::Plain) => format!(
            "write {} without unit and quotes if a plain number is meant",
            quantity.number
        ),
        _ => String::new(),
    }
}

fn explain(error: &QuantityError, allowed: &[Measure]) -> (&'static Id, String) {
    match error {
        QuantityError::Comma => (&id::NUMBER, "use a decimal point: 2.5, not 2,5".to_owned()),
        QuantityError::OutOfRange => (
            &id::NUMBER,
            "numbers from 1e-300 to 1e300 can be carried".to_owned(),
        ),
        QuantityError::Character(c) => {
            let plain = match c {
                '\u{2212}' | '\u{2012}'..='\u{2014}' | '\u{2010}' | '\u{2011}' => {
                    "a hyphen-minus (-)"
                }
                c if c.is_whitespace() => "an ordinary space",
                _ => "the plain character",
            };
            (&id::CHARACTER, format!("replace {} by {plain}", named(*c)))
        }
        QuantityError::UnknownUnit {
            nearest: Some(unit),
            ..
        } => (
            &id::UNIT,
            format!("did you mean {unit}? the value must fit it"),
        ),
        QuantityError::UnknownUnit { .. } => (&id::UNIT, String::new()),
        QuantityError::Empty | QuantityError::NoNumber => {
            let unit = allowed
                .iter()
                .map(|m| m.usual())
                .find(|u| !u.is_empty())
                .unwrap_or("");
            (
                &id::WRONG_TYPE,
                if unit.is_empty() {
                    String::new()
                } else {
                    format!("a number, a space and a unit, for example \"1.5 {unit}\"")
                },
            )
        }
    }
}

fn whole(digits: &str, radix: u32) -> Option<u64> {
    let digits = digits.strip_prefix('+').unwrap_or(digits);
    let digits = if digits == "-0" { "0" } else { digits };
    u64::from_str_radix(digits, radix).ok()
}

/// A whole number written as a float; or else what is wrong with it.
fn whole_float(text: &str) -> Result<u64, &'static Id> {
    let number = quantity::finite(text).map_err(|_| &id::NUMBER)?;
    if number.fract() != 0.0 {
        return Err(&id::WRONG_TYPE);
    }
    if (0.0..=EXACT).contains(&number) {
        Ok(number as u64)
    } else {
        Err(&id::RANGE)
    }
}

fn count_hint(value: &Value) -> &'static str {
    match value {
        Value::Text(text) if text.trim().parse::<f64>().is_ok() => {
            "write the number without quotes"
        }
        Value::Text(text) if text.trim().ends_with(['k', 'K', 'M']) => {
            "write the thousands out: 10_000 or 1e4"
        }
        _ => "",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nearest_word_is_found_and_far_ones_are_not() {
        assert_eq!(
            nearest("tolerence", &["tolerance", "thickness"]),
            Some("tolerance")
        );
        assert_eq!(
            nearest("gauge-plane", &["gauge_plane"]),
            Some("gauge_plane")
        );
        assert_eq!(nearest("colour", &["sd", "mean"]), None);
        assert_eq!(nearest("x", &["sd"]), None);
    }

    #[test]
    fn whole_floats_are_counts_and_others_are_not() {
        let read = |text| whole_float(text).map_err(|id| id.name);
        assert_eq!(read("1e6"), Ok(1_000_000));
        assert_eq!(read("1.5"), Err(id::WRONG_TYPE.name));
        assert_eq!(read("1e30"), Err(id::RANGE.name));
        assert_eq!(read("-1.0"), Err(id::RANGE.name));
        assert_eq!(read("nan"), Err(id::NUMBER.name));
        assert_eq!(whole("ff", 16), Some(255));
    }
}
