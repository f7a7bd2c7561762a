//! Solved pairings for scripts: an array with one object for each.

use serde::ser::{Serialize, SerializeMap, Serializer};
use study::Pair;

/// Why there is no JSON: a value that JSON cannot hold, a defect of the solver.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("the pairing of row {row} gave a value of {key} that is not a number")]
pub struct NotFinite {
    /// Row of the pairing.
    pub row: usize,
    /// The output or characteristic.
    pub key: String,
}

/// The array, ending in a newline. A value that is not defined has no key; `absent` has the reason.
///
/// # Errors
/// [`NotFinite`] instead of a `null` that nobody asked for.
pub fn pairs_json(pairs: &[Pair]) -> Result<String, NotFinite> {
    for pair in pairs {
        finite(pair)?;
    }
    let objects: Vec<Object<'_>> = pairs.iter().map(Object).collect();
    let mut text = serde_json::to_string_pretty(&objects).unwrap_or_default();
    text.push('\n');
    Ok(text)
}

/// Refuses a value that is not a number.
///
/// # Errors
/// [`NotFinite`] names it.
pub fn finite(pair: &Pair) -> Result<(), NotFinite> {
    let outputs = pair.outputs.iter().map(|(key, value)| (*key, *value));
    let inputs = pair
        .inputs
        .iter()
        .map(|(path, value, _)| (path.as_str(), *value));
    match outputs.chain(inputs).find(|(_, value)| !value.is_finite()) {
        Some((key, _)) => Err(NotFinite {
            row: pair.row,
            key: key.to_owned(),
        }),
        None => Ok(()),
    }
}

struct Object<'a>(&'a Pair);

impl Serialize for Object<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let pair = self.0;
        let mut map = serializer.serialize_map(None)?;
        map.serialize_entry("row", &pair.row)?;
        if let Some(name) = &pair.name {
            map.serialize_entry("name", name)?;
        }
        entries(&mut map, pair)?;
        map.end()
    }
}

/// What every pairing has: what went in, what came out, the verdict, what is not defined and why.
///
/// # Errors
/// Those of the map.
pub fn entries<M: SerializeMap>(map: &mut M, pair: &Pair) -> Result<(), M::Error> {
    let inputs: Vec<Input<'_>> = pair
        .inputs
        .iter()
        .map(|(path, value, unit)| Input {
            path,
            value: *value,
            unit,
        })
        .collect();
    map.serialize_entry("inputs", &inputs)?;
    for (key, value) in &pair.outputs {
        map.serialize_entry(key, value)?;
    }
    map.serialize_entry("verdict", pair.verdict)?;
    map.serialize_entry("broken_limits", &pair.broken)?;
    map.serialize_entry("absent", &pair.absent)?;
    map.serialize_entry("cautions", &pair.cautions)
}

#[derive(serde::Serialize)]
struct Input<'a> {
    path: &'a str,
    value: f64,
    #[serde(skip_serializing_if = "str::is_empty")]
    unit: &'a str,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::output::pairs::tests::with_gap;

    #[test]
    fn an_object_has_the_keys_that_are_defined_and_reasons_for_the_others() {
        let text = pairs_json(&[with_gap()]).unwrap();
        let value: serde_json::Value = serde_json::from_str(&text).unwrap();
        let object = &value[0];
        assert_eq!(object["row"], 3);
        assert_eq!(object["name"], "tray 1\u{7}");
        assert_eq!(object["draw_up_mm"], 0.1523);
        assert_eq!(object["verdict"], "gap_left");
        assert_eq!(object["broken_limits"][1], "clamp_load.min");
        assert_eq!(object["absent"]["mismatch_ratio"], "no interference");
        assert!(object.get("mismatch_ratio").is_none());
        assert!(!text.contains("null"));
    }

    #[test]
    fn a_value_that_is_not_a_number_is_refused() {
        let mut pair = with_gap();
        pair.outputs[0].1 = f64::NAN;
        assert_eq!(
            pairs_json(&[pair]),
            Err(NotFinite {
                row: 3,
                key: "draw_up_mm".to_owned()
            })
        );
    }
}
