//! What every shape of a process can say of itself.

use std::fmt::{self, Debug};

use crate::normal;

/// A continuous distribution of one value.
///
/// All methods are pure and give the same bits on every platform. `p` and `q` are probabilities in
/// `(0, 1)`; the value carries whatever unit the parameters had.
pub trait Shape: Debug + Send + Sync {
    /// Probability density at `x` (per unit of `x`).
    fn density(&self, x: f64) -> f64;

    /// Probability of a value at or below `x`.
    fn below(&self, x: f64) -> f64;

    /// Probability of a value above `x`, right in the far tail.
    fn above(&self, x: f64) -> f64;

    /// The value with probability `p` below it.
    fn quantile(&self, p: f64) -> f64;

    /// The value with probability `q` above it, right for tiny `q`.
    fn upper_quantile(&self, q: f64) -> f64;

    /// Mean.
    fn mean(&self) -> f64;

    /// Standard deviation.
    fn sd(&self) -> f64;

    /// Smallest and largest possible value; infinite where there is none.
    fn support(&self) -> (f64, f64);

    /// The normal distribution that this is, if it is one.
    fn as_normal(&self) -> Option<normal::Normal> {
        None
    }

    /// The score at which [`Shape::from_score`] has a bend, in its slope or in the change of it; `None` where it is smooth.
    fn bend(&self) -> Option<f64> {
        None
    }

    /// The value of a standard-normal score: the monotone map `quantile(Phi(z))`, taken from the near tail.
    #[expect(
        clippy::wrong_self_convention,
        reason = "the value is made from the score, by the shape"
    )]
    fn from_score(&self, z: f64) -> f64 {
        if z <= 0.0 {
            self.quantile(normal::below(z))
        } else {
            self.upper_quantile(normal::below(-z))
        }
    }
}

/// Why parameters do not make a shape.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ShapeError {
    /// A parameter is not a finite number.
    NotFinite {
        /// Name of the parameter.
        name: &'static str,
        /// Its value.
        value: f64,
    },
    /// The standard deviation is not above zero.
    NotPositiveSd {
        /// The standard deviation.
        sd: f64,
    },
    /// The range is empty or turned round.
    EmptyRange {
        /// Lower end.
        low: f64,
        /// Upper end.
        high: f64,
    },
    /// The mode lies outside the range.
    ModeOutside {
        /// Most likely value.
        mode: f64,
        /// Lower end.
        low: f64,
        /// Upper end.
        high: f64,
    },
    /// Truncation leaves no probability that numbers can carry.
    NothingLeft {
        /// Lower end.
        low: f64,
        /// Upper end.
        high: f64,
        /// Share of the untruncated distribution inside.
        share: f64,
    },
    /// The mean does not lie above the smallest possible value.
    MeanNotAboveOrigin {
        /// Mean.
        mean: f64,
        /// Smallest possible value.
        origin: f64,
    },
    /// There are no readings.
    NoReadings,
    /// Readings that are drawn again hold their lots and their wear already.
    SlowReadings,
    /// The same slow part stands twice.
    SlowTwice,
    /// A parameter that must be above zero is not.
    NotPositive {
        /// Name of the parameter.
        name: &'static str,
        /// Its value.
        value: f64,
    },
    /// The mean does not lie inside the range.
    MeanOutside {
        /// Mean.
        mean: f64,
        /// Lower end.
        low: f64,
        /// Upper end.
        high: f64,
    },
    /// No shape of the kind on this range with this mean spreads so much.
    SdTooLarge {
        /// Standard deviation.
        sd: f64,
        /// The standard deviation that cannot be reached.
        largest: f64,
    },
    /// The kind cannot be so skew.
    SkewnessTooLarge {
        /// Skewness.
        skewness: f64,
        /// Its magnitude must lie below this.
        limit: f64,
    },
    /// A parameter lies outside the range in which it is computed to full precision.
    ParameterOutside {
        /// Name of the parameter.
        name: &'static str,
        /// Its value.
        value: f64,
        /// Smallest value taken.
        low: f64,
        /// Largest value taken.
        high: f64,
    },
    /// A mixture has too few or too many components.
    ComponentCount {
        /// Number of components.
        found: usize,
        /// Fewest.
        fewest: usize,
        /// Most.
        most: usize,
    },
    /// The shares of a mixture do not add up to one.
    SharesNotOne {
        /// Their sum.
        sum: f64,
    },
    /// Two movements of the same kind are stated where one is possible.
    StatedTwice {
        /// Name of the movement.
        name: &'static str,
    },
    /// The numbers are finite, but a quantity computed from them is not, or two of them cannot be told apart.
    TooExtreme,
}

impl fmt::Display for ShapeError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotFinite { name, value } => {
                write!(f, "{name} must be a finite number, found {value}")
            }
            Self::NotPositiveSd { sd } => {
                write!(f, "the standard deviation must be above zero, found {sd}")
            }
            Self::EmptyRange { low, high } => write!(f, "the range from {low} to {high} is empty"),
            Self::ModeOutside { mode, low, high } => {
                write!(
                    f,
                    "the mode {mode} lies outside the range from {low} to {high}"
                )
            }
            Self::NothingLeft { low, high, share } => {
                write!(
                    f,
                    "the range from {low} to {high} holds only {share:e} of the normal distribution"
                )
            }
            Self::MeanNotAboveOrigin { mean, origin } => {
                write!(
                    f,
                    "the mean {mean} must lie above the smallest possible value {origin}"
                )
            }
            Self::NoReadings => write!(f, "there are no readings"),
            Self::SlowReadings => {
                write!(
                    f,
                    "readings drawn again hold their lots and their wear already"
                )
            }
            Self::SlowTwice => write!(f, "lots and wear may each stand once"),
            Self::NotPositive { name, value } => {
                write!(f, "{name} must be above zero, found {value}")
            }
            Self::MeanOutside { mean, low, high } => {
                write!(f, "the mean {mean} must lie between {low} and {high}")
            }
            Self::SdTooLarge { sd, largest } => {
                write!(
                    f,
                    "the standard deviation {sd} must be below {largest}, the most that is possible on this range with this mean"
                )
            }
            Self::SkewnessTooLarge { skewness, limit } => {
                write!(
                    f,
                    "the skewness {skewness} must lie between -{limit} and {limit}"
                )
            }
            Self::ParameterOutside {
                name,
                value,
                low,
                high,
            } => write!(f, "{name} must lie between {low} and {high}, found {value}"),
            Self::ComponentCount {
                found,
                fewest,
                most,
            } => write!(
                f,
                "a mixture has {fewest} to {most} components, found {found}"
            ),
            Self::SharesNotOne { sum } => {
                write!(f, "the shares must add up to 1, their sum is {sum}")
            }
            Self::StatedTwice { name } => write!(f, "{name} is stated twice"),
            Self::TooExtreme => write!(f, "the numbers are too extreme for double precision"),
        }
    }
}

impl std::error::Error for ShapeError {}

/// Refuses NaN and infinities.
pub(crate) fn check_finite(name: &'static str, value: f64) -> Result<(), ShapeError> {
    if value.is_finite() {
        Ok(())
    } else {
        Err(ShapeError::NotFinite { name, value })
    }
}

/// Refuses a standard deviation that is not a finite number above zero.
pub(crate) fn check_positive_sd(sd: f64) -> Result<(), ShapeError> {
    check_finite("standard deviation", sd)?;
    if sd > 0.0 {
        Ok(())
    } else {
        Err(ShapeError::NotPositiveSd { sd })
    }
}

/// Refuses a range that is not finite, empty, or wider than a number can carry.
pub(crate) fn check_range(low: f64, high: f64) -> Result<(), ShapeError> {
    check_finite("lower end", low)?;
    check_finite("upper end", high)?;
    match high - low {
        width if width <= 0.0 => Err(ShapeError::EmptyRange { low, high }),
        width if width.is_infinite() => Err(ShapeError::TooExtreme),
        _ => Ok(()),
    }
}

/// Refuses a parameter that is not a finite number above zero.
pub(crate) fn check_positive(name: &'static str, value: f64) -> Result<(), ShapeError> {
    check_finite(name, value)?;
    if value > 0.0 {
        Ok(())
    } else {
        Err(ShapeError::NotPositive { name, value })
    }
}

/// Refuses a parameter outside the range in which it is computed to full precision.
pub(crate) fn check_between(
    name: &'static str,
    value: f64,
    low: f64,
    high: f64,
) -> Result<(), ShapeError> {
    check_finite(name, value)?;
    if (low..=high).contains(&value) {
        Ok(())
    } else {
        Err(ShapeError::ParameterOutside {
            name,
            value,
            low,
            high,
        })
    }
}

/// Refuses mean and standard deviation that numbers cannot carry or tell apart from no spread.
pub(crate) fn check_moments(mean: f64, sd: f64) -> Result<(), ShapeError> {
    if mean.is_finite() && sd.is_normal() && sd > 0.0 {
        Ok(())
    } else {
        Err(ShapeError::TooExtreme)
    }
}
