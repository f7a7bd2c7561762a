//! The canonical form of a scenario and its hash: comments, order, blanks and ways of writing do not count.

use sha2::{Digest, Sha256};

use crate::problem::escape::escaped;
use crate::scenario::Lot;
use crate::scenario::document::{Node, Table, Value};
use crate::scenario::quantity::{self, Quantity};

/// Keys at the head of the file that hold free text, in which every character counts.
const FREE_TEXT: [&str; 5] = ["title", "drawings", "supplier", "lot", "notes"];

/// SHA-256 in hexadecimal of the canonical form and of the lots' files.
pub(crate) fn hash(document: &Table, lots: &[Lot]) -> String {
    let mut form = form(document);
    for lot in lots {
        form += &format!("{} is {}\n", key(&lot.name), lot.sha256);
    }
    let digest = Sha256::digest(form.as_bytes());
    digest.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// The canonical form: one line per value, sorted by dotted path.
pub(crate) fn form(document: &Table) -> String {
    let mut out = String::from("seatyield scenario, canonical form 1\n");
    for entry in &document.entries {
        let free = FREE_TEXT.contains(&entry.key.as_str());
        write(&mut out, &key(&entry.key), &entry.node, free);
    }
    out
}

/// A key that cannot be mistaken for a dotted path.
fn key(text: &str) -> String {
    let bare = text
        .bytes()
        .all(|b| b.is_ascii_alphanumeric() || b == b'_' || b == b'-');
    if bare && !text.is_empty() {
        text.to_owned()
    } else {
        format!("{text:?}")
    }
}

fn write(out: &mut String, path: &str, node: &Node, free: bool) {
    match &node.value {
        Value::Table(table) => {
            out.push_str(&format!("{path} {{}}\n"));
            for entry in &table.entries {
                write(
                    out,
                    &format!("{path}.{}", key(&entry.key)),
                    &entry.node,
                    free,
                );
            }
        }
        Value::List(items) => {
            out.push_str(&format!("{path} [{}]\n", items.len()));
            for (i, item) in items.iter().enumerate() {
                write(out, &format!("{path}[{i}]"), item, free);
            }
        }
        value => out.push_str(&format!("{path} = {}\n", plain(value, free))),
    }
}

fn plain(value: &Value, free: bool) -> String {
    match value {
        Value::Text(text) => match Quantity::parse(text) {
            Ok(quantity) if !free => format!("\"{}\"", quantity.canonical()),
            _ => format!(
                "\"{}\"",
                escaped(&text.replace('\\', "\\\\").replace('"', "\\\""))
            ),
        },
        Value::Whole(digits, radix) => match i128::from_str_radix(digits, *radix) {
            Ok(n) if n.unsigned_abs() > 1 << 53 => n.to_string(),
            Ok(n) => format!("{}", n as f64),
            Err(_) => digits.clone(),
        },
        Value::Float(text) => {
            quantity::finite(text).map_or_else(|_| text.clone(), |n| n.to_string())
        }
        Value::Flag(flag) => flag.to_string(),
        Value::Date(date) => format!("date {date}"),
        Value::List(_) | Value::Table(_) => String::new(),
    }
}

#[cfg(test)]
mod tests {
    use toml::de::DeTable;

    use super::*;
    use crate::scenario::document::{self, Spot};

    fn hash_of(text: &str) -> String {
        hash(
            &document::table(DeTable::parse(text).unwrap().get_ref(), &Spot::File),
            &[],
        )
    }

    #[test]
    fn comments_order_blanks_and_ways_of_writing_do_not_count() {
        let one = "[run]\npairings = 1e6\nseed = 7\n[bolt.torque]\nnominal = \"60 N*m\"\n";
        let other = "# a comment\r\nbolt = { torque.nominal = '60.0 Nm' }\r\n\r\n[run]\r\nseed=0x7\r\npairings = 1_000_000 # b\r\n";
        assert_eq!(hash_of(one), hash_of(other));
    }

    #[test]
    fn every_value_every_key_and_every_character_of_a_title_counts() {
        let base = hash_of("title = \"30 mm\"\na = [\"1 mm\", 2]\n");
        for other in [
            "title = \"30.0 mm\"\na = [\"1 mm\", 2]\n",
            "title = \"30 mm\"\na = [\"1 um\", 2]\n",
            "title = \"30 mm\"\na = [\"1 mm\", 3]\n",
            "title = \"30 mm\"\nb = [\"1 mm\", 2]\n",
            "title = \"30 mm\"\na = [\"1 mm\", \"2\"]\n",
            "title = \"30 mm\"\na = [\"1 mm\"]\n",
            "title = \"30 mm\"\na = [\"1 mm\", 2]\n[run]\n",
        ] {
            assert_ne!(base, hash_of(other), "{other}");
        }
    }

    #[test]
    fn quotes_and_line_ends_in_texts_cannot_forge_a_line() {
        assert_eq!(form("a = \"x\\\"\\nb = 1\"\n").lines().count(), 2);
    }

    #[test]
    fn pinned_hash_of_a_small_document() {
        assert_eq!(
            form("b = 2\na = \"30.0 mm\"\n"),
            "seatyield scenario, canonical form 1\na = \"30 mm\"\nb = 2\n"
        );
    }

    fn form(text: &str) -> String {
        super::form(&document::table(
            DeTable::parse(text).unwrap().get_ref(),
            &Spot::File,
        ))
    }
}
