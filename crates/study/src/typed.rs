//! Quantities that are typed on a command line, read as a scenario reads them.

use crate::scenario::quantity::{Measure, Quantity};
use crate::scenario::until;

/// Why a word is not the quantity that is due.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{found}: {expected}")]
pub struct NotTyped {
    found: String,
    expected: String,
}

/// A length such as `0.3 mm`, in mm.
///
/// # Errors
/// [`NotTyped`] for anything else; a unit is needed, also with 0.
pub fn length_mm(text: &str) -> Result<f64, NotTyped> {
    let expected = format!(
        "a length with its unit is due ({}), for example \"0.3 mm\"",
        Measure::Length.units()
    );
    read(text, &[Measure::Length], &expected)
}

/// A torque such as `60 N*m`, or `60` for the same, in N·m.
///
/// # Errors
/// [`NotTyped`] for anything else.
pub fn torque_nm(text: &str) -> Result<f64, NotTyped> {
    let expected = "a torque in N*m is due, for example 60 or \"60 N*m\"";
    let plain = Quantity::parse(text).is_ok_and(|q| q.measure == Measure::Plain);
    let value = read(text, &[Measure::Torque, Measure::Plain], expected)?;
    Ok(if plain { value } else { value / 1000.0 })
}

/// The rule that ends a run, such as `half-width 50 ppm`; returned as it is written best.
///
/// # Errors
/// [`NotTyped`] for anything else.
pub fn until(text: &str) -> Result<String, NotTyped> {
    let (_, stated) = until::parse(text).map_err(|no| NotTyped {
        found: no.found,
        expected: format!("{} is due; {}", no.expected, no.hint),
    })?;
    Ok(stated)
}

fn read(text: &str, measures: &[Measure], expected: &str) -> Result<f64, NotTyped> {
    let wrong = |found: String| NotTyped {
        found,
        expected: expected.to_owned(),
    };
    let quantity = Quantity::parse(text).map_err(|error| wrong(error.to_string()))?;
    if !measures.contains(&quantity.measure) {
        return Err(wrong(quantity.measure.words().to_owned()));
    }
    if !quantity.is_real() {
        return Err(wrong("a size that no part has".to_owned()));
    }
    Ok(quantity.value)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_rule_comes_back_as_it_is_written_best() {
        let stated = until("half-width 0.050%").expect("a rule");
        assert_eq!(stated, "half-width 0.05 %");
        let refused = until("half-width 50").expect_err("no unit").to_string();
        assert!(refused.contains("ppm or %"), "{refused}");
    }

    #[test]
    fn a_length_needs_its_unit_and_a_torque_may_do_without() {
        assert_eq!(length_mm("0.3 mm"), Ok(0.3));
        assert_eq!(length_mm("50 um"), Ok(0.05));
        assert_eq!(torque_nm("60"), Ok(60.0));
        assert_eq!(torque_nm("60.5 N*m"), Ok(60.5));
        for text in ["0", "0.3", "", "0,3 mm", "3 deg", "1e300 mm", "x"] {
            assert!(length_mm(text).is_err(), "{text}");
        }
        for text in ["60 mm", "60 Nmm", "", "a", "1:10", "1e30"] {
            assert!(torque_nm(text).is_err(), "{text}");
        }
    }
}
