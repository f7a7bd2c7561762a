//! Capability indices against limits, each with its interval.

use crate::interval::{Interval, tail_of};
use crate::moments::Moments;
use crate::sketch::Sketch;
use distributions::normal;
use statrs::distribution::{ChiSquared, ContinuousCDF};

/// A minimum, a maximum, or both.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Limits {
    /// Smallest good value.
    pub min: Option<f64>,
    /// Largest good value.
    pub max: Option<f64>,
}

/// A capability index with its two-sided interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Index {
    /// The index.
    pub value: f64,
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

/// Why an index is not stated.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Absent {
    /// No limit is set.
    NoLimits,
    /// Only one limit is set: there is no tolerance width to compare the spread with.
    OneSided,
    /// All values are the same.
    NoSpread,
    /// Fewer than two values.
    TooFew,
    /// Too few values lie beyond the outer quantiles for an interval.
    TooFewBeyond,
}

impl Absent {
    /// The reason in one sentence.
    pub const fn reason(self) -> &'static str {
        match self {
            Absent::NoLimits => "no limit is set on this output",
            Absent::OneSided => "only one limit is set, so there is no tolerance width",
            Absent::NoSpread => "every value is the same, so there is no spread to compare with",
            Absent::TooFew => "fewer than two values",
            Absent::TooFewBeyond => "too few values lie beyond the outer quantiles for an interval",
        }
    }
}

/// Cp and Cpk, or why they are not stated. Without lots they are Pp and Ppk as well.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Indices {
    /// Tolerance width over spread.
    pub cp: Result<Index, Absent>,
    /// Distance to the nearer limit over half the spread.
    pub cpk: Result<Index, Absent>,
}

impl Indices {
    fn neither(reason: Absent) -> Indices {
        Indices {
            cp: Err(reason),
            cpk: Err(reason),
        }
    }
}

/// Indices by the normal formula, with an interval that holds for outputs that are not normal.
///
/// ```text
/// Cp = (U - L)/(6 s)    C_U = (U - m)/(3 s)    C_L = (m - L)/(3 s)    Cpk = min(C_U, C_L)
/// Var(Cp)  = Cp^2 (g2 + 2)/(4n)
/// Var(C_U) = 1/(9n) + C_U^2 (g2 + 2)/(4n) + C_U g1/(3n)      C_L: -g1
/// ```
///
/// `m` mean, `s` standard deviation, `g1` skewness, `g2` excess kurtosis, `n` values. The variance follows from the
/// joint large-sample distribution of mean and standard deviation (delta method, any textbook of mathematical
/// statistics); the interval is `C` plus and minus the normal quantile times its root. It needs finite fourth moments.
pub fn normal_formula(moments: &Moments, limits: Limits, confidence: f64) -> Indices {
    if limits.min.is_none() && limits.max.is_none() {
        return Indices::neither(Absent::NoLimits);
    }
    let (Some(mean), Some(sd)) = (moments.mean(), moments.sd()) else {
        return Indices::neither(Absent::TooFew);
    };
    let (Some(g1), Some(g2)) = (moments.skewness(), moments.excess_kurtosis()) else {
        return Indices::neither(Absent::NoSpread);
    };
    let n = moments.n() as f64;
    let z = normal::upper_quantile(tail_of(confidence));
    let index = |value: f64, variance: f64| {
        let half = z * variance.max(0.0).sqrt();
        Index {
            value,
            low: value - half,
            high: value + half,
        }
    };
    let one_side = |c: f64, skew: f64| {
        index(
            c,
            1.0 / (9.0 * n) + c * c * (g2 + 2.0) / (4.0 * n) + c * skew / (3.0 * n),
        )
    };
    let upper = limits
        .max
        .map(|max| one_side((max - mean) / (3.0 * sd), g1));
    let lower = limits
        .min
        .map(|min| one_side((mean - min) / (3.0 * sd), -g1));
    let cp = limits.min.zip(limits.max).map(|(min, max)| {
        let cp = (max - min) / (6.0 * sd);
        index(cp, cp * cp * (g2 + 2.0) / (4.0 * n))
    });
    Indices {
        cp: cp.ok_or(Absent::OneSided),
        cpk: nearer(upper, lower).ok_or(Absent::NoLimits),
    }
}

/// Indices by the percentile method: ISO 22514-2 (formula recalled).
///
/// ```text
/// Pp = (U - L)/(X99.865 - X0.135)
/// PpkU = (U - X50)/(X99.865 - X50)    PpkL = (X50 - L)/(X50 - X0.135)    Ppk = min
/// ```
///
/// The interval takes each quantile at the less and at the more favourable end of its own order-statistic interval, all
/// at once: it covers more often than stated (conservative), by little, since the outer quantile dominates.
pub fn percentile_formula(sketch: &Sketch, limits: Limits, confidence: f64) -> Indices {
    if limits.min.is_none() && limits.max.is_none() {
        return Indices::neither(Absent::NoLimits);
    }
    let at = |p: f64| Some((sketch.quantile(p)?, sketch.quantile_interval(p, confidence)));
    let (Some(low), Some(middle), Some(high)) = (at(0.001_35), at(0.5), at(0.998_65)) else {
        return Indices::neither(Absent::TooFew);
    };
    let upper = limits.max.map(|max| ratio(max, middle, high));
    let lower = limits
        .min
        .map(|min| ratio(-min, mirrored(middle), mirrored(low)));
    let cp = limits
        .min
        .zip(limits.max)
        .map(|(min, max)| width(max - min, low, high));
    let cpk = match (upper, lower) {
        (Some(upper), Some(lower)) => {
            upper.and_then(|u| lower.map(|l| if u.value <= l.value { u } else { l }))
        }
        (one, other) => one.or(other).unwrap_or(Err(Absent::NoLimits)),
    };
    Indices {
        cp: cp.unwrap_or(Err(Absent::OneSided)),
        cpk,
    }
}

/// A quantile and its interval.
type Stated = (f64, Option<Interval>);

fn mirrored((value, interval): Stated) -> Stated {
    (
        -value,
        interval.map(|i| Interval {
            low: -i.high,
            high: -i.low,
        }),
    )
}

/// `(limit - middle)/(outer - middle)`.
fn ratio(
    limit: f64,
    (middle, middle_in): Stated,
    (outer, outer_in): Stated,
) -> Result<Index, Absent> {
    if outer <= middle {
        return Err(Absent::NoSpread);
    }
    let (Some(middle_in), Some(outer_in)) = (middle_in, outer_in) else {
        return Err(Absent::TooFewBeyond);
    };
    let index = |m: f64, x: f64| (limit - m) / (x - m);
    let corners = [
        index(middle_in.low, outer_in.low),
        index(middle_in.low, outer_in.high),
        index(middle_in.high, outer_in.low),
        index(middle_in.high, outer_in.high),
    ];
    if outer_in.low <= middle_in.high {
        return Err(Absent::NoSpread);
    }
    Ok(Index {
        value: index(middle, outer),
        low: corners.into_iter().fold(f64::INFINITY, f64::min),
        high: corners.into_iter().fold(f64::NEG_INFINITY, f64::max),
    })
}

/// `width/(high - low)`.
fn width(width: f64, (low, low_in): Stated, (high, high_in): Stated) -> Result<Index, Absent> {
    if high <= low {
        return Err(Absent::NoSpread);
    }
    let (Some(low_in), Some(high_in)) = (low_in, high_in) else {
        return Err(Absent::TooFewBeyond);
    };
    let least = high_in.low - low_in.high;
    if least <= 0.0 {
        return Err(Absent::NoSpread);
    }
    Ok(Index {
        value: width / (high - low),
        low: width / (high_in.high - low_in.low),
        high: width / least,
    })
}

fn nearer(one: Option<Index>, other: Option<Index>) -> Option<Index> {
    match (one, other) {
        (Some(a), Some(b)) => Some(if a.value <= b.value { a } else { b }),
        (a, b) => a.or(b),
    }
}

/// Largest share of values at a point mass with which a shape still counts as normal.
pub const NORMAL_ATOM: f64 = 1e-4;
/// Largest skewness (either sign) with which a shape still counts as normal.
pub const NORMAL_SKEWNESS: f64 = 0.2;
/// Largest excess kurtosis (either sign) with which a shape still counts as normal.
pub const NORMAL_KURTOSIS: f64 = 0.5;

/// Whether the normal formula may lead: no point mass to speak of, `|g1| <= 0.2`, `|g2| <= 0.5`.
///
/// A convention: at these bounds the share beyond three standard deviations differs from the normal's by about a
/// factor of two, which is what an index is read for.
pub fn shape_is_normal(moments: &Moments, atom_share: f64) -> bool {
    let within = |value: Option<f64>, bound: f64| value.is_some_and(|v| v.abs() <= bound);
    atom_share <= NORMAL_ATOM
        && within(moments.skewness(), NORMAL_SKEWNESS)
        && within(moments.excess_kurtosis(), NORMAL_KURTOSIS)
}

/// Interval of Cp from `n` readings of a normal process: `Cp sqrt(chi2(alpha/2, n-1)/(n-1))` and the upper counterpart.
///
/// `None` for fewer than two readings.
pub fn measured_cp_interval(cp: f64, n: u64, confidence: f64) -> Option<Interval> {
    let degrees = n.checked_sub(1).filter(|&d| d > 0)? as f64;
    let chi_square = ChiSquared::new(degrees).ok()?;
    let tail = tail_of(confidence);
    let end = |p: f64| cp * (chi_square.inverse_cdf(p) / degrees).sqrt();
    Some(Interval {
        low: end(tail),
        high: end(1.0 - tail),
    })
}

/// Interval of Cpk from `n` readings of a normal process (Bissell 1990, recalled):
/// `Cpk -+ z sqrt(1/(9n) + Cpk^2/(2(n-1)))`.
///
/// `None` for fewer than two readings.
pub fn measured_cpk_interval(cpk: f64, n: u64, confidence: f64) -> Option<Interval> {
    let degrees = n.checked_sub(1).filter(|&d| d > 0)? as f64;
    let z = normal::upper_quantile(tail_of(confidence));
    let half = z * (1.0 / (9.0 * n as f64) + cpk * cpk / (2.0 * degrees)).sqrt();
    Some(Interval {
        low: cpk - half,
        high: cpk + half,
    })
}
