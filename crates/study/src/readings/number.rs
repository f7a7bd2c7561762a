//! From the text of a cell to a number, or to the reason why it is none.

use super::dialect::Decimal;
use crate::problem::escape::named;

/// Why a cell is no number.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum NoNumber {
    /// Nothing was measured; the word for what stands there.
    Missing(&'static str),
    /// A comma where a decimal point is expected, and no other fault.
    DecimalComma,
    /// A point where a decimal comma is expected, and no other fault.
    DecimalPoint,
    /// Signs between thousands.
    Thousands,
    /// A unit behind the number.
    Unit(String),
    /// A formula.
    Formula,
    /// A character that looks like part of a number and is none.
    Character(char),
    /// Not finite, or beyond what a number can carry.
    Range(&'static str),
    /// Anything else.
    Text,
}

/// Words that stand for a reading that is missing, and what they are called.
const MISSING: [(&str, &str); 12] = [
    ("", "an empty cell"),
    ("-", "a dash"),
    ("--", "a dash"),
    ("na", "n/a"),
    ("n/a", "n/a"),
    ("#n/a", "#N/A"),
    ("#div/0!", "#DIV/0!"),
    ("#ref!", "#REF!"),
    ("#value!", "#VALUE!"),
    ("#name?", "#NAME?"),
    ("#num!", "#NUM!"),
    ("#null!", "#NULL!"),
];

/// Reads a number; blanks around it do not count.
pub(super) fn number(cell: &str, decimal: Decimal) -> Result<f64, NoNumber> {
    let text = cell.trim_matches([' ', '\t']);
    if let Some((_, word)) = MISSING.iter().find(|(m, _)| text.eq_ignore_ascii_case(m)) {
        return Err(NoNumber::Missing(word));
    }
    if text.starts_with(['=', '@']) || text.starts_with("+=") {
        return Err(NoNumber::Formula);
    }
    let (sign, other) = match decimal {
        Decimal::Point => ('.', ','),
        Decimal::Comma => (',', '.'),
    };
    if is_number(text, sign) {
        return value(&text.replace(sign, "."));
    }
    Err(reason(text, sign, other))
}

/// `[+-] digits [sign digits] [e [+-] digits]`, with at least one digit before the exponent.
fn is_number(text: &str, sign: char) -> bool {
    let rest = text.strip_prefix(['+', '-']).unwrap_or(text);
    let (mantissa, exponent) = match rest.split_once(['e', 'E']) {
        Some((mantissa, exponent)) => (mantissa, Some(exponent)),
        None => (rest, None),
    };
    let digits = |s: &str| s.bytes().all(|b| b.is_ascii_digit());
    let (whole, part) = mantissa.split_once(sign).unwrap_or((mantissa, ""));
    let power = |e: &str| {
        let e = e.strip_prefix(['+', '-']).unwrap_or(e);
        !e.is_empty() && digits(e)
    };
    digits(whole)
        && digits(part)
        && !(whole.is_empty() && part.is_empty())
        && exponent.is_none_or(power)
}

fn value(text: &str) -> Result<f64, NoNumber> {
    let Ok(value) = text.parse::<f64>() else {
        return Err(NoNumber::Text);
    };
    let mantissa = text.split(['e', 'E']).next().unwrap_or("");
    if value.is_infinite() {
        return Err(NoNumber::Range("a number beyond 1.8e308"));
    }
    if value == 0.0 && mantissa.bytes().any(|b| (b'1'..=b'9').contains(&b)) {
        return Err(NoNumber::Range(
            "a number so small that it would be read as 0",
        ));
    }
    // No minus zero.
    Ok(value + 0.0)
}

fn reason(text: &str, sign: char, other: char) -> NoNumber {
    let lower = text.to_ascii_lowercase();
    let bare = lower.trim_start_matches(['+', '-']);
    if ["inf", "infinity", "nan", "1.#inf", "1.#qnan"].contains(&bare) {
        return NoNumber::Range("a value that is no finite number");
    }
    if let Some(c) = text.chars().find(|c| is_look_alike(*c)) {
        return NoNumber::Character(c);
    }
    if is_grouped(text, sign, other) {
        return NoNumber::Thousands;
    }
    if is_number(text, other) {
        return if other == ',' {
            NoNumber::DecimalComma
        } else {
            NoNumber::DecimalPoint
        };
    }
    let end = text
        .find(|c: char| !(c.is_ascii_digit() || "+-.,".contains(c)))
        .unwrap_or(text.len());
    let (head, tail) = text.split_at(end);
    if (is_number(head, sign) || is_number(head, other)) && is_unit(tail.trim()) {
        return NoNumber::Unit(tail.trim().to_owned());
    }
    NoNumber::Text
}

/// Characters that people take for blanks, digits and signs of a number.
fn is_look_alike(c: char) -> bool {
    matches!(c, '\u{a0}' | '\u{2007}' | '\u{2009}' | '\u{202f}' | '\u{3000}' | '\u{2010}'..='\u{2015}' | '\u{2212}'
        | '\u{ff10}'..='\u{ff19}' | '\u{ff0b}' | '\u{ff0e}' | '\u{ff0c}' | '\u{200b}'..='\u{200f}' | '\u{feff}')
        || (!c.is_ascii() && c.is_numeric())
}

/// Digits in groups of three behind the first, divided by a blank, an apostrophe, or the other decimal sign twice or before the
/// right one.
fn is_grouped(text: &str, sign: char, other: char) -> bool {
    let body = text.strip_prefix(['+', '-']).unwrap_or(text);
    [' ', '\'', other, sign].into_iter().any(|divider| {
        let decimals = if divider == sign { other } else { sign };
        let (whole, part) = body.split_once(decimals).unwrap_or((body, ""));
        let mut groups = whole.split(divider);
        let first = groups.next().unwrap_or("");
        let rest: Vec<&str> = groups.collect();
        let threes = rest
            .iter()
            .all(|g| g.len() == 3 && g.bytes().all(|b| b.is_ascii_digit()));
        let is_digits = |s: &str| s.bytes().all(|b| b.is_ascii_digit());
        // One group behind a comma may as well be decimals: that is said of the decimal sign.
        let sure = rest.len() > 1 || !part.is_empty() || [' ', '\''].contains(&divider);
        !rest.is_empty()
            && threes
            && sure
            && (1..=3).contains(&first.len())
            && is_digits(first)
            && is_digits(part)
    })
}

fn is_unit(text: &str) -> bool {
    const UNITS: [&str; 18] = [
        "mm", "um", "µm", "μm", "m", "cm", "nm", "in", "inch", "mil", "deg", "°", "arcmin",
        "arcsec", "rad", "N*m", "Nm", "%",
    ];
    UNITS.contains(&text)
}

impl NoNumber {
    /// What was found, in words; `cell` is quoted by the caller where it adds something.
    pub(super) fn words(&self) -> String {
        match self {
            NoNumber::Missing(word) => (*word).to_owned(),
            NoNumber::DecimalComma => "a decimal comma".to_owned(),
            NoNumber::DecimalPoint => "a decimal point".to_owned(),
            NoNumber::Thousands => "signs between thousands".to_owned(),
            NoNumber::Unit(unit) => format!("a unit ({unit}) in the cell"),
            NoNumber::Formula => "a formula".to_owned(),
            NoNumber::Character(c) => format!("the character {}", named(*c)),
            NoNumber::Range(words) => (*words).to_owned(),
            NoNumber::Text => String::new(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn point(text: &str) -> Result<f64, NoNumber> {
        number(text, Decimal::Point)
    }

    fn comma(text: &str) -> Result<f64, NoNumber> {
        number(text, Decimal::Comma)
    }

    #[test]
    fn numbers_are_read_to_the_nearest_float() {
        for (text, value) in [
            ("2.512", 2.512),
            (" 2.512\t", 2.512),
            ("-0.5", -0.5),
            ("+7", 7.0),
            (".5", 0.5),
            ("5.", 5.0),
            ("1e-3", 1e-3),
            ("2.5E+02", 250.0),
            ("0e400", 0.0),
        ] {
            assert_eq!(point(text), Ok(value), "{text}");
            assert_eq!(comma(&text.replace('.', ",")), Ok(value), "{text}");
        }
        assert_eq!(point("-0").map(f64::to_bits), Ok(0));
        assert_eq!(comma("1234"), Ok(1234.0));
    }

    #[test]
    fn what_is_no_number_is_told_apart() {
        for (text, expected) in [
            ("", NoNumber::Missing("an empty cell")),
            ("#n/a", NoNumber::Missing("#N/A")),
            ("-", NoNumber::Missing("a dash")),
            ("2,512", NoNumber::DecimalComma),
            ("1,234.5", NoNumber::Thousands),
            ("1 234.5", NoNumber::Thousands),
            ("1'234.5", NoNumber::Thousands),
            ("1,234,567", NoNumber::Thousands),
            ("2.5 mm", NoNumber::Unit("mm".to_owned())),
            ("2.5um", NoNumber::Unit("um".to_owned())),
            ("=2.5+0", NoNumber::Formula),
            ("\u{2212}2.5", NoNumber::Character('\u{2212}')),
            ("2.5\u{a0}", NoNumber::Character('\u{a0}')),
            ("\u{ff12}.5", NoNumber::Character('\u{ff12}')),
            ("nan", NoNumber::Range("a value that is no finite number")),
            ("-Inf", NoNumber::Range("a value that is no finite number")),
            ("1e400", NoNumber::Range("a number beyond 1.8e308")),
            ("abc", NoNumber::Text),
            ("1.2.3", NoNumber::Text),
            ("e5", NoNumber::Text),
            ("0x10", NoNumber::Text),
        ] {
            assert_eq!(point(text), Err(expected), "{text}");
        }
        assert!(matches!(point("1e-400"), Err(NoNumber::Range(_))));
        assert_eq!(comma("2.512"), Err(NoNumber::DecimalPoint));
        assert_eq!(comma("1.234,5"), Err(NoNumber::Thousands));
        assert_eq!(comma("1 234,5"), Err(NoNumber::Thousands));
    }
}
