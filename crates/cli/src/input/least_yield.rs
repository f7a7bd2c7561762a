//! The yield that is asked for, as typed: `99.5%`, or the fraction `0.995`.

use std::str::FromStr;

/// Why a word is not a yield to ask for.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum LeastYieldError {
    /// Neither a percentage nor a fraction.
    #[error("a percentage such as 99.5% is due, or a fraction below 1 such as 0.995")]
    Form,
    /// Not between 0 and 100 %.
    #[error(
        "a yield above 0 % and below 100 % is due: no number of pairings can show that every joint is good"
    )]
    Range,
}

/// A yield to ask for.
#[derive(Debug, Clone, PartialEq)]
pub struct LeastYield {
    /// As a fraction, above 0 and below 1.
    pub fraction: f64,
    /// As it would stand in a scenario.
    pub stated: String,
}

impl FromStr for LeastYield {
    type Err = LeastYieldError;

    fn from_str(word: &str) -> Result<LeastYield, LeastYieldError> {
        let (number, hundred) = match word.strip_suffix('%') {
            Some(number) => (number.trim_end(), true),
            None => (word, false),
        };
        let value = decimal(number)?;
        let fraction = if hundred { value / 100.0 } else { value };
        match (fraction > 0.0 && fraction < 1.0, hundred) {
            (true, true) => Ok(LeastYield {
                fraction,
                stated: format!("{number} %"),
            }),
            (true, false) => Ok(LeastYield {
                fraction,
                stated: number.to_owned(),
            }),
            (false, true) => Err(LeastYieldError::Range),
            // 99.5 without a sign could mean anything.
            (false, false) => Err(LeastYieldError::Form),
        }
    }
}

/// A plain decimal number: digits with at most one point, no sign, no exponent.
fn decimal(text: &str) -> Result<f64, LeastYieldError> {
    let (units, decimals) = text.split_once('.').unwrap_or((text, "0"));
    let digits = |part: &str| !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit());
    if digits(units) && digits(decimals) {
        text.parse().map_err(|_| LeastYieldError::Form)
    } else {
        Err(LeastYieldError::Form)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_percentage_and_a_fraction_mean_the_same() {
        let percent: LeastYield = "99.5%".parse().unwrap();
        let spaced: LeastYield = "99.5 %".parse().unwrap();
        let fraction: LeastYield = "0.995".parse().unwrap();
        assert_eq!(percent.fraction, 0.995);
        assert_eq!(spaced, percent);
        assert_eq!(fraction.fraction, percent.fraction);
        assert_eq!(percent.stated, "99.5 %");
    }

    #[test]
    fn what_cannot_be_a_yield_is_refused() {
        for word in [
            "99.5", "1", "", "%", "x%", "-1%", "1e1%", "nan", "0.9.9", ".5",
        ] {
            assert_eq!(
                word.parse::<LeastYield>(),
                Err(LeastYieldError::Form),
                "{word}"
            );
        }
        for word in ["100%", "0%", "100.1%"] {
            assert_eq!(
                word.parse::<LeastYield>(),
                Err(LeastYieldError::Range),
                "{word}"
            );
        }
    }
}
