//! Quantities as people write them: a number and a unit in one text, `"30 mm"`.

use crate::problem::escape::named;
use crate::scenario::unit::{UNITS, Unit};

pub(crate) use crate::scenario::unit::Measure;

/// Smallest magnitude of a value that is not 0, in the unit of the inside.
pub(crate) const SMALLEST: f64 = 1.0e-12;

/// Largest magnitude of a value, in the unit of the inside; a thousand times that for a stiffness.
pub(crate) const LARGEST: f64 = 1.0e9;

/// What is wrong with a quantity.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub(crate) enum QuantityError {
    /// The text is empty.
    #[error("nothing between the quotes")]
    Empty,
    /// The text does not begin with a number.
    #[error("no number at the beginning")]
    NoNumber,
    /// A comma where a decimal point is due.
    #[error("a comma in the number")]
    Comma,
    /// A character that only looks like an ordinary one.
    #[error("the character {}", named(*.0))]
    Character(char),
    /// The number cannot be carried: too large, or so small that it would become 0.
    #[error("a number that cannot be carried")]
    OutOfRange,
    /// The unit is not known.
    #[error("the unit \"{unit}\"")]
    UnknownUnit {
        /// The unit as typed.
        unit: String,
        /// A unit that is close, or one that is meant by it.
        nearest: Option<&'static str>,
    },
}

/// A number with its unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Quantity {
    /// In the unit of the inside.
    pub(crate) value: f64,
    /// The number as typed.
    pub(crate) number: f64,
    /// The unit's main name; empty for a plain number or a rate.
    pub(crate) unit: &'static str,
    /// What the unit measures.
    pub(crate) measure: Measure,
}

impl Quantity {
    /// A plain number.
    pub(crate) const fn plain(number: f64) -> Quantity {
        Quantity {
            value: number,
            number,
            unit: "",
            measure: Measure::Plain,
        }
    }

    /// Reads a quantity.
    ///
    /// # Errors
    /// [`QuantityError`]
    pub(crate) fn parse(text: &str) -> Result<Quantity, QuantityError> {
        let text = text.trim_matches(|c| c == ' ' || c == '\t');
        if text.is_empty() {
            return Err(QuantityError::Empty);
        }
        if let Some((one, many)) = text.split_once(':') {
            let (one, many) = (whole_number(one)?, whole_number(many)?);
            let rate = one / many;
            if !rate.is_finite() || (rate == 0.0 && one != 0.0) {
                return Err(QuantityError::OutOfRange);
            }
            return Ok(Quantity {
                value: rate,
                number: rate,
                unit: "",
                measure: Measure::Rate,
            });
        }
        let (number, rest) = text.split_at(number_length(text));
        if number.is_empty() {
            return Err(text
                .chars()
                .next()
                .filter(|c| !c.is_ascii())
                .map_or(QuantityError::NoNumber, QuantityError::Character));
        }
        let number = finite(number)?;
        let name = rest.trim_start_matches([' ', '\t']);
        if name.is_empty() {
            return Ok(Quantity::plain(number));
        }
        if name.starts_with(',') {
            return Err(QuantityError::Comma);
        }
        let unit = find(name)?;
        let value = number * unit.times / unit.over;
        if !value.is_finite() || (value == 0.0 && number != 0.0) {
            return Err(QuantityError::OutOfRange);
        }
        Ok(Quantity {
            value,
            number,
            unit: unit.name,
            measure: unit.measure,
        })
    }

    /// Whether a real part or process can have the value: 0, or [`SMALLEST`] to [`LARGEST`] in the unit of the
    /// inside. Inside these bounds every product of the joint's equations stays finite.
    pub(crate) fn is_real(&self) -> bool {
        let size = libm::fabs(self.value);
        let largest = match self.measure {
            Measure::Stiffness => LARGEST * 1000.0,
            _ => LARGEST,
        };
        size == 0.0 || (SMALLEST..=largest).contains(&size)
    }

    /// The quantity as it is written best: the shortest number and the unit's main name.
    pub(crate) fn canonical(&self) -> String {
        match self.unit {
            "" => format!("{}", self.number),
            unit => format!("{} {unit}", self.number),
        }
    }
}

/// Finds a unit by any of its names.
fn find(name: &str) -> Result<&'static Unit, QuantityError> {
    let known = UNITS
        .iter()
        .find(|u| u.name == name || u.also.contains(&name));
    known.ok_or_else(|| {
        match name.chars().find(|c| {
            matches!(
                c,
                '\u{a0}' | '\u{202f}' | '\u{2009}' | '\u{2007}' | '\u{2212}'
            )
        }) {
            Some(c) => QuantityError::Character(c),
            None => QuantityError::UnknownUnit {
                unit: name.to_owned(),
                nearest: nearest_unit(name),
            },
        }
    })
}

/// The unit meant by a name that is not read, as far as that can be told.
fn nearest_unit(name: &str) -> Option<&'static str> {
    let folded = name.to_lowercase();
    let meant = match folded.as_str() {
        "micron" | "microns" | "my" | "mu" | "mue" => Some("um"),
        "inch" | "inches" | "\"" | "''" => Some("in"),
        "degree" | "degrees" => Some("deg"),
        "min" | "'" | "\u{2032}" | "minutes" => Some("arcmin"),
        "sec" | "\u{2033}" | "seconds" => Some("arcsec"),
        "percent" | "pct" => Some("%"),
        "newton" => Some("N"),
        "kg" | "kgf" | "kp" | "lb" | "lbf" => Some("N"),
        "n/m2" | "pa" | "kpa" | "bar" | "psi" => Some("MPa"),
        "knm" | "nmm" | "n*mm" | "lbf ft" | "ft lbf" | "lbf*ft" => Some("N*m"),
        _ => None,
    };
    meant.or_else(|| {
        let close = UNITS.iter().map(|u| {
            (
                strsim::damerau_levenshtein(&u.name.to_lowercase(), &folded),
                u.name,
            )
        });
        close
            .filter(|&(distance, _)| distance <= 1)
            .min_by_key(|&(distance, _)| distance)
            .map(|(_, name)| name)
    })
}

/// Bytes of the number at the beginning: sign, digits, point, exponent.
fn number_length(text: &str) -> usize {
    let bytes = text.as_bytes();
    let digits = |mut i: usize| {
        while bytes.get(i).is_some_and(u8::is_ascii_digit) {
            i += 1;
        }
        i
    };
    let start = usize::from(matches!(bytes.first(), Some(b'+' | b'-')));
    let mut end = digits(start);
    if bytes.get(end) == Some(&b'.') {
        end = digits(end + 1);
    }
    if !bytes[start..end].iter().any(u8::is_ascii_digit) {
        return 0;
    }
    if matches!(bytes.get(end), Some(b'e' | b'E')) {
        let sign = usize::from(matches!(bytes.get(end + 1), Some(b'+' | b'-')));
        let exponent = digits(end + 1 + sign);
        if exponent > end + 1 + sign {
            end = exponent;
        }
    }
    end
}

/// One side of a rate.
fn whole_number(text: &str) -> Result<f64, QuantityError> {
    let text = text.trim_matches(' ');
    match text.split_at(number_length(text)) {
        ("", _) => Err(QuantityError::NoNumber),
        (number, "") => finite(number),
        (_, rest) if rest.starts_with(',') => Err(QuantityError::Comma),
        (_, rest) => Err(QuantityError::UnknownUnit {
            unit: rest.trim().to_owned(),
            nearest: None,
        }),
    }
}

/// A decimal number that is finite and does not become 0 unless it is 0; -0 is 0.
pub(crate) fn finite(text: &str) -> Result<f64, QuantityError> {
    let value: f64 = text.parse().map_err(|_| QuantityError::NoNumber)?;
    let mantissa = text.split(['e', 'E']).next().unwrap_or(text);
    let vanished = value == 0.0 && mantissa.bytes().any(|b| (b'1'..=b'9').contains(&b));
    if value.is_finite() && !vanished {
        Ok(value + 0.0)
    } else {
        Err(QuantityError::OutOfRange)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::unit::PI;

    fn value(text: &str) -> f64 {
        Quantity::parse(text)
            .unwrap_or_else(|e| panic!("{text}: {e}"))
            .value
    }

    #[test]
    fn decimal_units_are_exact() {
        assert_eq!(value("8 um"), 0.008);
        assert_eq!(value("-13\u{b5}m"), -0.013);
        assert_eq!(value("13 \u{3bc}m"), 0.013);
        assert_eq!(value("0.5 in"), 12.7);
        assert_eq!(value("6 kN"), 6000.0);
        assert_eq!(value("60 N*m"), 60_000.0);
        assert_eq!(value("60 N m"), value("60Nm"));
        assert_eq!(value("60 N\u{b7}m"), value("60 Nm"));
        assert_eq!(value("5 %"), 0.05);
        assert_eq!(value("1.5e3 N/mm2"), 1500.0);
        assert_eq!(value("1:20"), 0.05);
        assert_eq!(value("180 deg"), PI);
        assert_eq!(value("60 arcmin"), value("1 deg"));
    }

    #[test]
    fn every_unit_is_found_by_each_of_its_names() {
        for unit in UNITS {
            for name in unit.also.iter().chain([&unit.name]) {
                let read = Quantity::parse(&format!("2 {name}"));
                assert_eq!(read.map(|q| q.unit), Ok(unit.name), "{name}");
            }
        }
    }

    #[test]
    fn what_is_not_a_quantity_says_why() {
        let error = |text: &str| Quantity::parse(text).err();
        assert_eq!(error(""), Some(QuantityError::Empty));
        assert_eq!(error("thirty mm"), Some(QuantityError::NoNumber));
        assert_eq!(error("2,5 mm"), Some(QuantityError::Comma));
        assert_eq!(
            error("\u{2212}5 um"),
            Some(QuantityError::Character('\u{2212}'))
        );
        assert_eq!(error("5\u{a0}um"), Some(QuantityError::Character('\u{a0}')));
        assert_eq!(error("1e999 mm"), Some(QuantityError::OutOfRange));
        assert_eq!(error("1e-400 mm"), Some(QuantityError::OutOfRange));
        assert_eq!(error("1:0"), Some(QuantityError::OutOfRange));
        assert_eq!(error("inf mm"), Some(QuantityError::NoNumber));
        let unknown = QuantityError::UnknownUnit {
            unit: "micron".into(),
            nearest: Some("um"),
        };
        assert_eq!(error("5 micron"), Some(unknown));
    }

    #[test]
    fn sizes_of_real_parts_are_told_from_slips_of_the_exponent() {
        let real = |text| Quantity::parse(text).unwrap().is_real();
        for text in [
            "0 mm",
            "-0.5 um",
            "1e-12",
            "1e9 mm",
            "-1e9 mm",
            "1e12 N/mm",
            "2000 GPa",
        ] {
            assert!(real(text), "{text}");
        }
        for text in [
            "1e10 mm",
            "-2e9 mm",
            "1e-13 mm",
            "1e7 N*m",
            "2e12 N/mm",
            "1:1e13",
        ] {
            assert!(!real(text), "{text}");
        }
    }

    #[test]
    fn minus_zero_is_zero() {
        assert!(value("-0 mm").is_sign_positive());
    }

    #[test]
    fn canonical_form_reads_as_itself() {
        for text in ["30 mm", "-0.013 mm", "8 um", "0.1 arcmin", "1:20", "4 %"] {
            let once = Quantity::parse(text).unwrap();
            let twice = Quantity::parse(&once.canonical()).unwrap();
            assert_eq!(once.value.to_bits(), twice.value.to_bits(), "{text}");
        }
    }
}
