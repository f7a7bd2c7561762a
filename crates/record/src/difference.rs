//! Where two records differ.

use serde_json::Value;

use crate::Record;

/// One value that differs between two records.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Difference {
    /// Where in the record, for example `outputs[3].mean`.
    pub path: String,
    /// Value in the first record; `nothing` when the key is missing there.
    pub first: String,
    /// Value in the second record.
    pub second: String,
}

impl Record {
    /// All values that differ from those of another record, in the order of the fields.
    ///
    /// # Errors
    /// When a record holds what JSON cannot carry; a record that a study made never does.
    pub fn differences(&self, other: &Record) -> Result<Vec<Difference>, serde_json::Error> {
        let mut found = Vec::new();
        walk(
            "",
            Some(&serde_json::to_value(self)?),
            Some(&serde_json::to_value(other)?),
            &mut found,
        );
        Ok(found)
    }
}

fn walk(path: &str, first: Option<&Value>, second: Option<&Value>, found: &mut Vec<Difference>) {
    match (first, second) {
        (Some(Value::Object(a)), Some(Value::Object(b))) => {
            let missing = b.keys().filter(|key| !a.contains_key(*key));
            for key in a.keys().chain(missing) {
                let at = if path.is_empty() {
                    key.clone()
                } else {
                    format!("{path}.{key}")
                };
                walk(&at, a.get(key), b.get(key), found);
            }
        }
        (Some(Value::Array(a)), Some(Value::Array(b))) => {
            for i in 0..a.len().max(b.len()) {
                walk(&format!("{path}[{i}]"), a.get(i), b.get(i), found);
            }
        }
        _ if first == second => {}
        _ => found.push(Difference {
            path: path.to_owned(),
            first: shown(first),
            second: shown(second),
        }),
    }
}

fn shown(value: Option<&Value>) -> String {
    value.map_or_else(|| "nothing".to_owned(), Value::to_string)
}
