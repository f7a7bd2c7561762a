//! Reads the rule that ends a run: `half-width 50 ppm`, `half-width 0.02 %`, `half-width 5 % of the reject rate`.

use record::HalfWidth;

use crate::problem::escape::quoted;
use crate::problem::id::{self, Id};
use crate::scenario::document::Value;
use crate::scenario::quantity::{Measure, Quantity, QuantityError};
use crate::scenario::value::shown;
use crate::scenario::walk::Section;

/// What is expected, as it would be typed.
const EXPECTED: &str =
    "\"half-width 50 ppm\", \"half-width 0.02 %\", or \"half-width 5 % of the reject rate\"";

/// What a relative half-width is a part of.
const OF_WHAT: &str = "of the reject rate";

/// Widest half-width: that of an interval that says nothing at all.
const WIDEST: f64 = 0.5;

/// Narrowest half-widths, of the pairings and relative to the reject rate: less than 2^53 pairings can give.
const NARROWEST: [f64; 2] = [1e-15, 1e-8];

/// Why a text is no rule.
#[derive(Debug)]
pub(crate) struct Refused {
    id: &'static Id,
    /// What was found.
    pub(crate) found: String,
    /// What was expected.
    pub(crate) expected: String,
    /// What to do; may be empty.
    pub(crate) hint: String,
}

/// The rule under a key, and how it is written best.
pub(crate) fn until(section: &Section<'_, '_>, key: &'static str) -> Option<(HalfWidth, String)> {
    let text = match &section.get(key)?.node.value {
        Value::Text(text) => text,
        other => {
            let hint = "write a rule in quotes";
            section.bad(&id::WRONG_TYPE, key, &shown(other), EXPECTED, hint);
            return None;
        }
    };
    let refuse = |no: Refused| section.bad(no.id, key, &no.found, &no.expected, &no.hint);
    parse(text).map_err(refuse).ok()
}

/// Reads a rule; returns it with the way it is written best.
pub(crate) fn parse(text: &str) -> Result<(HalfWidth, String), Refused> {
    let blank = [' ', '\t'];
    let refused = |id, hint: &str| refused(id, text, hint);
    let rest = match text.trim_matches(blank).strip_prefix("half-width") {
        Some(rest) if rest.starts_with(blank) => rest.trim_start_matches(blank),
        _ => {
            return Err(refused(
                &id::WORD,
                "begin with half-width: half the width of the interval of the reject rate",
            ));
        }
    };
    let (size, relative) = match rest.find(" of ") {
        None => (rest, false),
        Some(at) if rest[at + 1..] == *OF_WHAT => (&rest[..at], true),
        Some(_) => {
            let hint = format!("a relative half-width ends with \"{OF_WHAT}\"");
            return Err(refused(&id::WORD, &hint));
        }
    };
    let size = size.trim_end_matches(blank);
    let (number, unit, over) = match (size.strip_suffix("ppm"), size.strip_suffix('%')) {
        (Some(number), _) if !relative => (number, "ppm", 1e6),
        (_, Some(number)) => (number, "%", 100.0),
        (Some(_), _) => {
            return Err(refused(
                &id::UNIT,
                "state a half-width relative to the reject rate in per cent",
            ));
        }
        (None, None) => return Err(without_unit(text, size)),
    };
    let number = plain_number(text, number)?;
    let share = number / over;
    if !(share >= NARROWEST[usize::from(relative)] && share <= WIDEST) {
        return Err(out_of_range(
            &format!("{} {unit}", short(number)),
            relative,
            share,
        ));
    }
    Ok(match relative {
        true => (
            HalfWidth::OfRejectRate(share),
            format!("half-width {number} {unit} {OF_WHAT}"),
        ),
        false => (
            HalfWidth::Absolute(share),
            format!("half-width {number} {unit}"),
        ),
    })
}

fn refused(id: &'static Id, text: &str, hint: &str) -> Refused {
    Refused {
        id,
        found: quoted(text),
        expected: EXPECTED.to_owned(),
        hint: hint.to_owned(),
    }
}

/// A size that does not end in a unit of shares.
fn without_unit(text: &str, size: &str) -> Refused {
    match Quantity::parse(size) {
        Ok(quantity) if quantity.measure == Measure::Plain => {
            let mut no = refused(&id::UNIT, text, "add the unit: ppm or %");
            no.found.push_str(" without a unit");
            no
        }
        Ok(_) | Err(QuantityError::UnknownUnit { .. }) => refused(
            &id::UNIT,
            text,
            "a half-width is a share of the pairings: its unit is ppm or %",
        ),
        Err(_) => refused(&id::WORD, text, "a number and its unit follow half-width"),
    }
}

/// The number before the unit.
fn plain_number(text: &str, number: &str) -> Result<f64, Refused> {
    let hint = match Quantity::parse(number) {
        Ok(quantity) if quantity.measure == Measure::Plain => return Ok(quantity.number),
        Ok(_) | Err(QuantityError::UnknownUnit { .. }) => "one number with one unit is due",
        Err(QuantityError::Comma) => "use a decimal point: 2.5, not 2,5",
        Err(_) => "a finite decimal number is due, for example 50 or 0.02",
    };
    Err(refused(&id::NUMBER, text, hint))
}

/// A number without rows of zeros.
fn short(number: f64) -> String {
    if number != 0.0 && number.abs() < 1e-6 {
        format!("{number:e}")
    } else {
        number.to_string()
    }
}

fn out_of_range(stated: &str, relative: bool, share: f64) -> Refused {
    let hint = match (share > WIDEST, relative) {
        (true, false) => "no interval of a share is wider than 50 % to either side",
        (true, true) => "a reject rate known no better than that is hardly known",
        (false, _) if share > 0.0 => {
            "2^53 pairings, the most that can be asked for, leave more than that"
        }
        (false, _) => "no number of pairings leaves an interval without width",
    };
    Refused {
        id: &id::RANGE,
        found: format!("a half-width of {stated}"),
        expected: match relative {
            true => "a half-width from 1e-6 to 50 % of the reject rate".to_owned(),
            false => "a half-width from 1e-9 ppm to 50 %".to_owned(),
        },
        hint: hint.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn three_ways_to_say_it() {
        for (text, rule, stated) in [
            (
                "half-width 50 ppm",
                HalfWidth::Absolute(5e-5),
                "half-width 50 ppm",
            ),
            (
                " half-width  0.020%\t",
                HalfWidth::Absolute(2e-4),
                "half-width 0.02 %",
            ),
            (
                "half-width 50 %",
                HalfWidth::Absolute(0.5),
                "half-width 50 %",
            ),
            (
                "half-width 5e1ppm",
                HalfWidth::Absolute(5e-5),
                "half-width 50 ppm",
            ),
            (
                "half-width 5 % of the reject rate",
                HalfWidth::OfRejectRate(0.05),
                "half-width 5 % of the reject rate",
            ),
        ] {
            let (read, best) = parse(text).unwrap_or_else(|no| panic!("{text}: {}", no.found));
            assert_eq!((read, best.as_str()), (rule, stated), "{text}");
            assert_eq!(parse(&best).ok(), Some((rule, best.clone())), "{text}");
        }
    }

    #[test]
    fn what_is_no_rule_is_refused_by_its_kind() {
        for (text, id) in [
            ("", &id::WORD),
            ("50 ppm", &id::WORD),
            ("half-width", &id::WORD),
            ("half-width ", &id::WORD),
            ("half-width50 ppm", &id::WORD),
            ("Half-width 50 ppm", &id::WORD),
            ("half-width narrow", &id::WORD),
            ("half-width 5 % of rejects", &id::WORD),
            ("half-width 5 % of the reject rate or so", &id::WORD),
            ("half-width of the reject rate", &id::WORD),
            ("half-width 50", &id::UNIT),
            ("half-width 50 mm", &id::UNIT),
            ("half-width 50 ppb", &id::UNIT),
            ("half-width 50 ppm of the reject rate", &id::UNIT),
            ("half-width ppm", &id::NUMBER),
            ("half-width nan ppm", &id::NUMBER),
            ("half-width inf %", &id::NUMBER),
            ("half-width 1e999 %", &id::NUMBER),
            ("half-width 0,02 %", &id::NUMBER),
            ("half-width 5 % %", &id::NUMBER),
            ("half-width 1:20 %", &id::NUMBER),
            ("half-width 0 ppm", &id::RANGE),
            ("half-width -50 ppm", &id::RANGE),
            ("half-width 500001 ppm", &id::RANGE),
            ("half-width 50.1 %", &id::RANGE),
            ("half-width 60 % of the reject rate", &id::RANGE),
            ("half-width 0 % of the reject rate", &id::RANGE),
            ("half-width 1e-10 ppm", &id::RANGE),
            ("half-width 1e-300 %", &id::RANGE),
            ("half-width 1e-7 % of the reject rate", &id::RANGE),
        ] {
            let no = parse(text).expect_err(text);
            assert_eq!(no.id.name, id.name, "{text}");
            assert!(!no.hint.is_empty(), "{text}");
        }
    }
}
