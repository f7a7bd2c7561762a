//! Reads single values: quantities with their unit, plain numbers, counts; says what does not fit.

use crate::problem::escape::{cut, named, quoted};
use crate::problem::id::{self, Id};
use crate::scenario::document::{Node, Value};
use crate::scenario::quantity::{self, Measure, Quantity, QuantityError};
use crate::scenario::scale::short;
use crate::scenario::walk::Walk;

/// Largest whole number that a float carries without gaps.
const EXACT: f64 = 9_007_199_254_740_992.0;

/// A value as found, for a message.
pub(crate) fn shown(value: &Value) -> String {
    match value {
        Value::Text(text) => format!("text {}", quoted(text)),
        Value::Whole(digits, _) => {
            format!("the number {}", cut(digits, 60))
        }
        Value::Float(text) => format!("the number {}", cut(text, 60)),
        Value::Flag(flag) => format!("{flag}"),
        Value::Date(date) => format!("the date or time {date}"),
        Value::List(items) => format!("a list of {}", items.len()),
        Value::Table(_) => value.kind().to_owned(),
    }
}

/// Reads a quantity; checks what it measures, and that a real part can have it.
pub(crate) fn read_quantity(
    walk: &Walk<'_>,
    node: &Node,
    path: &str,
    allowed: &[Measure],
) -> Option<Quantity> {
    let quantity = read_any_size(walk, node, path, allowed)?;
    if !quantity.is_real() {
        walk.report(
            &id::RANGE,
            node.spot,
            path,
            &shown(&node.value),
            REAL,
            "check the unit and the exponent",
        );
        return None;
    }
    Some(quantity)
}

/// What is expected of every size.
pub(crate) const REAL: &str =
    "0, or a value from 1e-12 to 1e9 in mm, N, N*mm, MPa, rad (stiffness: to 1e12 N/mm)";

fn read_any_size(
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

/// What to write instead of a quantity of the wrong kind.
fn unit_hint(found: &Quantity, allowed: &[Measure]) -> String {
    let number = found.number;
    match (found.measure, allowed) {
        (Measure::Angle, [Measure::Rate, ..]) => {
            "state an angle as cone_angle (included angle) or half_angle".to_owned()
        }
        (Measure::Percent, [Measure::Rate, ..]) => {
            format!("write the rate as a plain number: {}", short(found.value))
        }
        (Measure::Rate, [Measure::Angle, ..]) => "state a rate as taper".to_owned(),
        (Measure::Plain, [Measure::Expansion]) if number.abs() < 1.0e-3 => {
            format!("write \"{number:e} 1/K\" if 1/K is meant")
        }
        (Measure::Plain, _) => match allowed.iter().map(|m| m.usual()).find(|u| !u.is_empty()) {
            Some(unit) => format!("write \"{number} {unit}\" if {unit} is meant"),
            None => String::new(),
        },
        (_, [Measure::Plain, ..]) => {
            format!("write {number} without unit and quotes if a plain number is meant")
        }
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
        QuantityError::UnknownUnit { unit, .. } if allowed.contains(&Measure::Temperature) => {
            (&id::UNIT, temperature_hint(unit).to_owned())
        }
        QuantityError::UnknownUnit {
            nearest: Some(unit),
            ..
        } => (
            &id::UNIT,
            format!("did you mean {unit}? the value must fit it"),
        ),
        QuantityError::UnknownUnit { unit, .. }
            if unit.starts_with('/') && allowed.contains(&Measure::Rate) =>
        {
            (&id::UNIT, "a rate is written with a colon: 1:20".to_owned())
        }
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

/// What to write instead of a temperature in another unit.
fn temperature_hint(unit: &str) -> &'static str {
    match unit.to_lowercase().trim_start_matches(['\u{b0}', ' ']) {
        "k" | "kelvin" | "degk" => "in degC it is the kelvins less 273.15",
        "f" | "fahrenheit" | "degf" => "in degC it is the fahrenheits less 32, over 1.8",
        _ => "write degC",
    }
}

pub(crate) fn whole(digits: &str, radix: u32) -> Option<u64> {
    let digits = digits.strip_prefix('+').unwrap_or(digits);
    let digits = if digits == "-0" { "0" } else { digits };
    u64::from_str_radix(digits, radix).ok()
}

/// A whole number written as a float; or else what is wrong with it.
pub(crate) fn whole_float(text: &str) -> Result<u64, &'static Id> {
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

pub(crate) fn count_hint(value: &Value) -> &'static str {
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
