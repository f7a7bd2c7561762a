//! Capability indices: how the spread and place of an output fit between its limits, each with an interval.
//!
//! `Cp = (U - L) / (6 s)`, `Cpk = min(U - m, m - L) / (3 s)` by the normal formula; the percentile form replaces `m` by the
//! median and `3 s` by the distance from the median to the 0.135 % or 99.865 % quantile. Signs: a limit is passed when its
//! side of the index is negative.

mod lot;
mod measured;
mod normal;
mod percentile;

pub use lot::{LotIndices, lot_indices};
pub use measured::{
    measured_cp_interval, measured_cpk_interval, measured_lower_bound, measured_lower_bound_within,
    needed_to_demonstrate,
};
pub use normal::{
    NORMAL_ATOM, NORMAL_KURTOSIS, NORMAL_SKEWNESS, Within, normal_formula, shape_is_normal,
    within_formula,
};
pub use percentile::{PERCENTILES, percentile_formula};

use crate::interval::Interval;

/// Limits of an output, in its unit; a side without a limit is `None`.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Limits {
    /// Smallest allowed value.
    pub min: Option<f64>,
    /// Largest allowed value.
    pub max: Option<f64>,
}

/// A capability index and its two-sided interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Index {
    /// The index.
    pub value: f64,
    /// Lower end of the interval.
    pub low: f64,
    /// Upper end of the interval.
    pub high: f64,
}

impl Index {
    fn within(value: f64, interval: Interval) -> Self {
        Self {
            value,
            low: interval.low,
            high: interval.high,
        }
    }

    /// The smaller of two one-sided indices; each end of the interval is the smaller of the two ends.
    fn smaller_of(a: Self, b: Self) -> Self {
        Self {
            value: a.value.min(b.value),
            low: a.low.min(b.low),
            high: a.high.min(b.high),
        }
    }
}

/// Both indices of one output, each with a number or with the reason why it has none.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Indices {
    /// Width between the limits over the width of the spread.
    pub cp: Result<Index, Absent>,
    /// Distance to the nearer limit over half the width of the spread.
    pub cpk: Result<Index, Absent>,
}

impl Indices {
    /// Neither has a number, for one reason.
    pub fn absent(reason: Absent) -> Self {
        Self {
            cp: Err(reason),
            cpk: Err(reason),
        }
    }
}

/// Why an index has no number.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Absent {
    /// The output has no limit.
    NoLimits,
    /// Only one side has a limit.
    OneSided,
    /// Fewer values than a spread needs.
    TooFewValues {
        /// Number of values.
        n: u64,
    },
    /// All values agree, or the two quantiles that stand for the spread do.
    NoSpread,
    /// No value lies far enough beyond a quantile to enclose it.
    TooFewBeyond {
        /// The quantile.
        p: f64,
        /// Number of values.
        n: u64,
    },
    /// The intervals of the two quantiles that stand for the spread overlap.
    SpreadUnsure,
    /// The readings are not in subgroups.
    NoSubgroups,
}

impl Absent {
    /// The reason in one sentence, for a report.
    pub fn reason(&self) -> String {
        match self {
            Self::NoLimits => "The output has no limits, so there is nothing to hold its spread against.".into(),
            Self::OneSided => "Cp compares the spread with the distance of two limits, and the output has only one.".into(),
            Self::TooFewValues { n } => format!("A spread needs at least two values, and there are {n}."),
            Self::NoSpread => "The spread that the index divides by is zero: the values, or the quantiles that stand for them, coincide.".into(),
            Self::TooFewBeyond { p, n } => {
                format!("{n} values are too few to enclose the {} % quantile.", round_percent(*p))
            }
            Self::SpreadUnsure => {
                "The quantiles that stand for the spread cannot be told apart with this many values.".into()
            }
            Self::NoSubgroups => {
                "The readings are in no subgroups of two or more, so the scatter within subgroups is not known.".into()
            }
        }
    }
}

/// A probability in percent without the noise of its binary form.
fn round_percent(p: f64) -> f64 {
    libm::round(p * 1e7) / 1e5
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_reason_is_one_sentence() {
        let all = [
            Absent::NoLimits,
            Absent::OneSided,
            Absent::TooFewValues { n: 1 },
            Absent::NoSpread,
            Absent::TooFewBeyond {
                p: 0.001_35,
                n: 500,
            },
            Absent::SpreadUnsure,
            Absent::NoSubgroups,
        ];
        for absent in all {
            let reason = absent.reason();
            assert!(
                reason.ends_with('.') && !reason.trim_end_matches('.').contains(". "),
                "{reason}"
            );
        }
        assert_eq!(
            all[4].reason(),
            "500 values are too few to enclose the 0.135 % quantile."
        );
    }
}
