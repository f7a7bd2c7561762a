//! Lengths and torques on the command line.

use std::str::FromStr;

use study::typed::{NotTyped, length_mm, torque_nm};

/// Why a word is not a length or a torque.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum QuantityError {
    /// Not a number with its unit.
    #[error("{0}")]
    Form(#[from] NotTyped),
    /// 0 or less.
    #[error("a value above 0 is due")]
    NotPositive,
    /// Less than 0.
    #[error("0 or more is due")]
    Negative,
    /// Two torques that do not rise.
    #[error("the second torque must be above the first, for example 10..80")]
    NotRising,
}

/// A length above 0 (mm).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Length {
    /// In mm.
    pub mm: f64,
}

impl FromStr for Length {
    type Err = QuantityError;

    fn from_str(word: &str) -> Result<Length, QuantityError> {
        match length_mm(word)? {
            mm if mm > 0.0 => Ok(Length { mm }),
            _ => Err(QuantityError::NotPositive),
        }
    }
}

/// One torque, or a span of torques to climb (N·m).
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Torques {
    /// One, above 0.
    One(f64),
    /// From 0 or more up to a higher one.
    Span {
        /// Lowest.
        from_nm: f64,
        /// Highest.
        to_nm: f64,
    },
}

impl FromStr for Torques {
    type Err = QuantityError;

    fn from_str(word: &str) -> Result<Torques, QuantityError> {
        let Some((from, to)) = word.split_once("..") else {
            return match torque_nm(word)? {
                nm if nm > 0.0 => Ok(Torques::One(nm)),
                _ => Err(QuantityError::NotPositive),
            };
        };
        let (from_nm, to_nm) = (torque_nm(from)?, torque_nm(to)?);
        if from_nm < 0.0 {
            return Err(QuantityError::Negative);
        }
        // A narrower span has no round steps that tell its rungs apart.
        if to_nm - from_nm < 1e-6 * to_nm.max(1e-3) {
            return Err(QuantityError::NotRising);
        }
        Ok(Torques::Span { from_nm, to_nm })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_torque_or_a_span_with_or_without_unit() {
        let span = Ok(Torques::Span {
            from_nm: 10.0,
            to_nm: 80.0,
        });
        for word in ["10..80", "10 N*m..80 N*m", "10..80 N*m", " 10 .. 80Nm "] {
            assert_eq!(word.parse::<Torques>(), span, "{word}");
        }
        assert_eq!("70".parse(), Ok(Torques::One(70.0)));
        assert_eq!("70.5 N*m".parse(), Ok(Torques::One(70.5)));
    }

    #[test]
    fn what_is_no_rising_torque_is_refused() {
        for word in [
            "",
            "..",
            "10..",
            "..80",
            "80..10",
            "10..10",
            "-5..10",
            "0",
            "-3",
            "10...80",
            "10..80..90",
            "10 mm..80 mm",
            "nan..1",
            "1..inf",
            "10-80",
        ] {
            assert!(word.parse::<Torques>().is_err(), "{word}");
        }
    }

    #[test]
    fn a_length_is_above_0_and_has_its_unit() {
        assert_eq!("50 um".parse(), Ok(Length { mm: 0.05 }));
        for word in ["0 mm", "-0.1 mm", "0.05", "0.05 deg", "", "0,05 mm"] {
            assert!(word.parse::<Length>().is_err(), "{word}");
        }
    }
}
