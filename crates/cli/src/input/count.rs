//! A count of pairings or a seed: a whole number, typed in full or with an exponent.

use std::str::FromStr;

/// Largest number of pairings: every count up to it is exact in JSON readers too.
pub const MOST_PAIRINGS: u64 = 1 << 53;

/// Why a word is not a count.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum CountError {
    /// Not written as a number that is read here.
    #[error("a whole number is due: 1000000, 1_000_000 or 1e6")]
    Form,
    /// A fraction.
    #[error("a whole number is due, this has a fraction")]
    NotWhole,
    /// Outside its range.
    #[error("outside the range {from} to {to}")]
    Range {
        /// Smallest value.
        from: String,
        /// Largest value.
        to: String,
    },
}

/// Number of pairings, 1 to 2^53.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Pairings(pub u64);

/// Seed of the random stream, 0 to 2^64 - 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Seed(pub u64);

impl FromStr for Pairings {
    type Err = CountError;

    fn from_str(word: &str) -> Result<Pairings, CountError> {
        within(word, 1, MOST_PAIRINGS, "1", "2^53 (9_007_199_254_740_992)").map(Pairings)
    }
}

impl FromStr for Seed {
    type Err = CountError;

    fn from_str(word: &str) -> Result<Seed, CountError> {
        within(word, 0, u64::MAX, "0", "2^64 - 1").map(Seed)
    }
}

fn within(word: &str, from: u64, to: u64, first: &str, last: &str) -> Result<u64, CountError> {
    let range = || CountError::Range {
        from: first.to_owned(),
        to: last.to_owned(),
    };
    let value = match word.strip_prefix('-') {
        Some(size) => match whole(size)? {
            Some(0) => Some(0),
            _ => None,
        },
        None => whole(word)?,
    };
    value
        .filter(|count| (from..=to).contains(count))
        .ok_or_else(range)
}

/// The exact value; `None` when it is past 64 bits.
fn whole(word: &str) -> Result<Option<u64>, CountError> {
    let (mantissa, exponent) = match word.split_once(['e', 'E']) {
        Some((mantissa, exponent)) => (mantissa, exponent_of(exponent)?),
        None => (word, 0),
    };
    let (units, decimals) = mantissa.split_once('.').unwrap_or((mantissa, ""));
    let mut digits = digits_of(units)?;
    if mantissa.contains('.') {
        digits.push_str(&digits_of(decimals)?);
    }
    let kept = digits.trim_start_matches('0');
    if kept.is_empty() {
        return Ok(Some(0));
    }
    let fraction_digits = digits.len() as i64 - digits_of(units)?.len() as i64;
    shifted(kept, exponent - fraction_digits)
}

/// `digits x 10^shift`.
fn shifted(digits: &str, shift: i64) -> Result<Option<u64>, CountError> {
    let significant = digits.trim_end_matches('0');
    let zeros = (digits.len() - significant.len()) as i64 + shift;
    if zeros < 0 {
        return Err(CountError::NotWhole);
    }
    if significant.len() as i64 + zeros > 20 {
        return Ok(None);
    }
    let text = format!("{significant}{}", "0".repeat(zeros as usize));
    Ok(text.parse().ok())
}

/// The digits without the underscores between them.
fn digits_of(text: &str) -> Result<String, CountError> {
    let separated = text
        .split('_')
        .all(|group| !group.is_empty() && group.bytes().all(|b| b.is_ascii_digit()));
    if separated {
        Ok(text.replace('_', ""))
    } else {
        Err(CountError::Form)
    }
}

fn exponent_of(text: &str) -> Result<i64, CountError> {
    let (sign, size) = match text.strip_prefix('-') {
        Some(size) => (-1, size),
        None => (1, text.strip_prefix('+').unwrap_or(text)),
    };
    if size.is_empty() || !size.bytes().all(|b| b.is_ascii_digit()) {
        return Err(CountError::Form);
    }
    // Anything longer is out of range either way.
    Ok(sign * size.parse::<i64>().unwrap_or(1_000_000).min(1_000_000))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pairings(word: &str) -> Result<u64, CountError> {
        word.parse::<Pairings>().map(|p| p.0)
    }

    #[test]
    fn counts_are_read_exactly() {
        for (word, count) in [
            ("1", 1),
            ("1e6", 1_000_000),
            ("1E6", 1_000_000),
            ("1e+6", 1_000_000),
            ("1_000_000", 1_000_000),
            ("2.5e6", 2_500_000),
            ("1e9", 1_000_000_000),
            ("007", 7),
            ("1.0", 1),
            ("1000e-3", 1),
            ("0.001e6", 1_000),
            ("9007199254740992", MOST_PAIRINGS),
            ("9_007_199_254_740_991", MOST_PAIRINGS - 1),
        ] {
            assert_eq!(pairings(word), Ok(count), "{word}");
        }
    }

    #[test]
    fn other_forms_are_refused() {
        for word in [
            "10k", "", " 1", "1 000", "1,000", "1_", "_1", "1__0", "1e", "e6", "1e6.5", "0x10",
            "+1", "inf", "nan", "1.", ".5e1", "--1", "-", "１",
        ] {
            assert_eq!(pairings(word), Err(CountError::Form), "{word}");
        }
    }

    #[test]
    fn fractions_are_refused() {
        for word in ["1.5", "1e-1", "1.00001e3", "0.5", "1e-99999999999999999999"] {
            assert_eq!(pairings(word), Err(CountError::NotWhole), "{word}");
        }
    }

    #[test]
    fn values_outside_the_range_are_refused_with_the_range() {
        for word in [
            "0",
            "-1",
            "-0",
            "1e30",
            "9007199254740993",
            "1e400",
            "1e99999999999999999999",
            "-1e30",
        ] {
            let error = pairings(word).unwrap_err();
            assert!(matches!(error, CountError::Range { .. }), "{word}: {error}");
            assert!(error.to_string().contains("2^53"), "{error}");
        }
    }

    #[test]
    fn a_seed_has_64_bits() {
        assert_eq!("0".parse::<Seed>(), Ok(Seed(0)));
        assert_eq!("18446744073709551615".parse::<Seed>(), Ok(Seed(u64::MAX)));
        assert!("18446744073709551616".parse::<Seed>().is_err());
    }
}
