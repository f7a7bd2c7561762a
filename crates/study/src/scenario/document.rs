//! A scenario as a tree of keys and values, each with the place it came from: the file, or an override.

use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// Where something was typed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Spot {
    /// Byte offset in the file, behind a byte order mark.
    File(usize),
    /// Number of the override.
    Override(usize),
    /// The file as a whole.
    Nowhere,
}

/// One key with its value.
#[derive(Debug, Clone)]
pub(crate) struct Entry {
    /// The key.
    pub(crate) key: String,
    /// Where the key stands.
    pub(crate) key_spot: Spot,
    /// The value.
    pub(crate) node: Node,
}

/// A value with its place.
#[derive(Debug, Clone)]
pub(crate) struct Node {
    /// Where the value begins.
    pub(crate) spot: Spot,
    /// The value.
    pub(crate) value: Value,
}

/// A table; its entries are sorted by key.
#[derive(Debug, Clone, Default)]
pub(crate) struct Table {
    /// The entries.
    pub(crate) entries: Vec<Entry>,
}

/// A value as typed.
#[derive(Debug, Clone)]
pub(crate) enum Value {
    /// Text.
    Text(String),
    /// A whole number: digits without underscores, and the radix.
    Whole(String, u32),
    /// A number with a point, an exponent, or `nan` and `inf`.
    Float(String),
    /// `true` or `false`.
    Flag(bool),
    /// A date or time.
    Date(String),
    /// A list.
    List(Vec<Node>),
    /// A table.
    Table(Table),
}

impl Node {
    /// Where to look when the value is wrong as a whole: at the override inside it, if there is one.
    pub(crate) fn blamed(&self) -> Spot {
        let inside = match &self.value {
            Value::Table(table) => table.entries.iter().map(|e| e.node.blamed()).max(),
            Value::List(items) => items.iter().map(Node::blamed).max(),
            _ => None,
        };
        match inside {
            Some(spot @ Spot::Override(_)) => spot,
            _ => self.spot,
        }
    }
}

impl Value {
    /// The type in plain words.
    pub(crate) const fn kind(&self) -> &'static str {
        match self {
            Value::Text(_) => "text",
            Value::Whole(..) => "a whole number",
            Value::Float(_) => "a number",
            Value::Flag(_) => "true or false",
            Value::Date(_) => "a date or time",
            Value::List(_) => "a list",
            Value::Table(_) => "a table",
        }
    }
}

impl Table {
    /// The entry of a key.
    pub(crate) fn get(&self, key: &str) -> Option<&Entry> {
        let at = self
            .entries
            .binary_search_by(|e| e.key.as_str().cmp(key))
            .ok()?;
        self.entries.get(at)
    }

    /// Sets the value at a path, making tables on the way.
    ///
    /// # Errors
    /// How many parts of the path lead to something that is not a table.
    pub(crate) fn set(&mut self, path: &[String], node: Node) -> Result<(), usize> {
        let Some((first, rest)) = path.split_first() else {
            return Err(0);
        };
        let at = match self.entries.binary_search_by(|e| e.key.as_str().cmp(first)) {
            Ok(at) => at,
            Err(at) => {
                let table = Node {
                    spot: node.spot,
                    value: Value::Table(Table::default()),
                };
                let entry = Entry {
                    key: first.clone(),
                    key_spot: node.spot,
                    node: table,
                };
                self.entries.insert(at, entry);
                at
            }
        };
        let entry = &mut self.entries[at];
        if rest.is_empty() {
            *entry = Entry {
                key: first.clone(),
                key_spot: node.spot,
                node,
            };
            return Ok(());
        }
        match &mut entry.node.value {
            Value::Table(table) => table.set(rest, node).map_err(|n| n + 1),
            _ => Err(1),
        }
    }
}

/// Takes over a parsed table; `spot` turns a byte offset into a place.
pub(crate) fn table(parsed: &DeTable<'_>, spot: &dyn Fn(usize) -> Spot) -> Table {
    let entries = parsed.iter().map(|(key, value)| Entry {
        key: key.get_ref().to_string(),
        key_spot: spot(key.span().start),
        node: node(value, spot),
    });
    let mut entries: Vec<_> = entries.collect();
    entries.sort_by(|a, b| a.key.cmp(&b.key));
    Table { entries }
}

/// Takes over a parsed value.
pub(crate) fn node(parsed: &Spanned<DeValue<'_>>, spot: &dyn Fn(usize) -> Spot) -> Node {
    let value = match parsed.get_ref() {
        DeValue::String(text) => Value::Text(text.to_string()),
        DeValue::Integer(number) => Value::Whole(number.as_str().to_owned(), number.radix()),
        DeValue::Float(number) => Value::Float(number.as_str().to_owned()),
        DeValue::Boolean(flag) => Value::Flag(*flag),
        DeValue::Datetime(date) => Value::Date(date.to_string()),
        DeValue::Array(items) => Value::List(items.iter().map(|i| node(i, spot)).collect()),
        DeValue::Table(inner) => Value::Table(table(inner, spot)),
    };
    Node {
        spot: spot(parsed.span().start),
        value,
    }
}
