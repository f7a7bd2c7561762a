//! Values that the command line sets: the same dotted paths as in the file.

use record::Override;
use toml::de::DeValue;

use crate::problem::escape::{forbidden_in_xml, named, quoted};
use crate::problem::id;
use crate::problem::{Problem, Problems};
use crate::scenario::document::{self, Node, Spot, Table, Value};
use crate::scenario::guard;

/// Longest value on a command line, in bytes.
const LONGEST: usize = 64 << 10;

/// Applies the overrides in their order; a later one wins.
pub(crate) fn apply(document: &mut Table, overrides: &[Override]) -> Vec<Problem> {
    let mut problems = Vec::new();
    for (number, set) in overrides.iter().enumerate() {
        if let Err(wrong) = apply_one(document, number, set) {
            problems.extend(wrong.list);
        }
    }
    problems
}

fn apply_one(document: &mut Table, number: usize, set: &Override) -> Result<(), Problems> {
    let problem = |found: &str, expected: &str| {
        Problem::new(&id::OVERRIDE, "--set", &set.path, found, expected)
    };
    let path = parts(&set.path).ok_or_else(|| {
        problem(
            &format!("the path {}", quoted(&set.path)),
            "a dotted path as in the scenario, for example bolt.torque.nominal",
        )
    })?;
    if set.value.len() > LONGEST {
        return Err(problem(
            &format!("a value of {} bytes", set.value.len()),
            "a value of at most 64 KiB",
        )
        .into());
    }
    if let Some(c) = set.value.chars().find(|&c| forbidden_in_xml(c)) {
        return Err(problem(
            &format!("the character {}", named(c)),
            "text without control characters",
        )
        .into());
    }
    let node = Node {
        spot: Spot::Override(number),
        value: value(&set.value, number).map_err(|found| {
            problem(
                &found,
                "a value as it would stand in the file, or a bare text",
            )
        })?,
    };
    document.set(&path, node).map_err(|depth| {
        let parent = path[..depth.min(path.len())].join(".");
        problem(
            &format!(
                "a path below {}, which is a plain value in the scenario",
                quoted(&parent)
            ),
            "a path that leads through tables",
        )
        .hint(&format!(
            "set {parent} itself, or make it a table in the file"
        ))
    })?;
    Ok(())
}

/// The parts of a dotted path of bare keys.
fn parts(path: &str) -> Option<Vec<String>> {
    let bare = |part: &str| {
        !part.is_empty()
            && part
                .bytes()
                .all(|b| b.is_ascii_alphanumeric() || b == b'_' || b == b'-')
    };
    let parts: Vec<_> = path.split('.').map(str::to_owned).collect();
    (parts.len() <= guard::DEPTH && parts.iter().all(|p| bare(p))).then_some(parts)
}

/// A TOML value, or else a bare text.
fn value(text: &str, number: usize) -> Result<Value, String> {
    let bare = || Value::Text(text.trim().to_owned());
    if !guard::scan(text).fatal.is_empty() {
        return Err("a value nested too deep, or with a carriage return".to_owned());
    }
    match DeValue::parse(text) {
        Ok(parsed) if matches!(parsed.get_ref(), DeValue::Datetime(_)) => Ok(bare()),
        Ok(parsed) => Ok(document::node(&parsed, &|_| Spot::Override(number)).value),
        Err(error) if text.trim_start().starts_with(['[', '{', '"', '\'']) => Err(format!(
            "{}, which is no TOML value: {}",
            quoted(text),
            error.message()
        )),
        Err(_) => Ok(bare()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn set(path: &str, value: &str) -> Override {
        Override {
            path: path.to_owned(),
            value: value.to_owned(),
        }
    }

    #[test]
    fn bare_texts_and_toml_values_are_told_apart() {
        let kind = |text| value(text, 0).map(|v| v.kind());
        assert_eq!(kind("30 mm"), Ok("text"));
        assert_eq!(kind("1:20"), Ok("text"));
        assert_eq!(kind("07:32:00"), Ok("text"));
        assert_eq!(kind("1e6"), Ok("a number"));
        assert_eq!(kind("1_000"), Ok("a whole number"));
        assert_eq!(kind("[\"3 mm\", \"38 mm\"]"), Ok("a list"));
        assert!(kind("[\"3 mm\"").is_err());
    }

    #[test]
    fn tables_are_made_on_the_way_and_plain_values_are_not_entered() {
        let mut document = Table::default();
        let sets = [
            set("bolt.torque.nominal", "70 N*m"),
            set("title", "x"),
            set("title.a", "1"),
            set("a..b", "1"),
        ];
        let problems = apply(&mut document, &sets);
        assert_eq!(problems.len(), 2, "{problems:?}");
        assert!(problems[0].found.contains("\"title\""), "{}", problems[0]);
        assert!(document.get("bolt").is_some());
    }
}
