//! The four indices of a measured lot that is judged normal.

use super::measured::bissell;
use super::{Absent, Index, Limits, measured_cp_interval};
use crate::moments::Moments;
use crate::subgroups::Subgroups;

/// Indices of a measured lot: with the scatter within subgroups, and with that of all readings; each with its interval or the
/// reason why it has none.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LotIndices {
    /// `(U - L)/(6 s)` with the standard deviation within subgroups: what the process would be without its shifts.
    pub cp: Result<Index, Absent>,
    /// `min(U - mean, mean - L)/(3 s)` with the standard deviation within subgroups.
    pub cpk: Result<Index, Absent>,
    /// `(U - L)/(6 s)` with the standard deviation of all readings: what the lot is.
    pub pp: Result<Index, Absent>,
    /// `min(U - mean, mean - L)/(3 s)` with the standard deviation of all readings.
    pub ppk: Result<Index, Absent>,
}

/// Indices of a measured lot with two-sided intervals at the stated confidence.
///
/// `subgroups` hold the same readings as `moments`. Cp and Pp have the exact interval by chi-square with the degrees of freedom
/// of their standard deviation ([`measured_cp_interval`]), Cpk and Ppk Bissell's approximation:
///
/// ```text
/// C -+ z sqrt(1/(9 n) + C^2/(2 freedom))
/// ```
///
/// with `n - 1` degrees of freedom of all readings and `N - k` within subgroups. All suppose a normal process; the interval of Cpk
/// also that the means of the subgroups agree, for it counts every reading towards the mean. With one limit Cp and Pp are
/// absent. The bound that is exact is [`super::measured_lower_bound`].
///
/// # Panics
///
/// Unless `confidence` lies strictly between 0 and 1.
pub fn lot_indices(
    moments: &Moments,
    subgroups: Option<&Subgroups>,
    limits: Limits,
    confidence: f64,
) -> LotIndices {
    let n = moments.n();
    let overall = match moments.sd() {
        Some(sd) => Ok((sd, n - 1)),
        None => Err(Absent::TooFewValues { n }),
    };
    let within = subgroups
        .map(|groups| (groups.sd_within, groups.freedom))
        .ok_or(Absent::NoSubgroups);
    let (cp, cpk) = pair(moments, within, limits, confidence);
    let (pp, ppk) = pair(moments, overall, limits, confidence);
    LotIndices { cp, cpk, pp, ppk }
}

/// A standard deviation and its degrees of freedom.
type Spread = (f64, u64);

/// Index of the width and index of the nearer limit.
fn pair(
    moments: &Moments,
    spread: Result<Spread, Absent>,
    limits: Limits,
    confidence: f64,
) -> (Result<Index, Absent>, Result<Index, Absent>) {
    let (width, nearer) = distances(moments, limits);
    let n = moments.n();
    let over = |distance: Result<f64, Absent>, sds: f64| {
        let distance = distance?;
        let (sd, freedom) = spread?;
        let value = distance / (sds * sd);
        if !(sd > 0.0 && value.is_finite()) {
            return Err(Absent::NoSpread);
        }
        Ok((value, freedom))
    };
    let cp = over(width, 6.0).and_then(|(value, freedom)| {
        let interval = measured_cp_interval(value, freedom.saturating_add(1), confidence)?;
        Ok(Index::within(value, interval))
    });
    let cpk = over(nearer, 3.0).and_then(|(value, freedom)| {
        Ok(Index::within(
            value,
            bissell(value, n, freedom, confidence)?,
        ))
    });
    (cp, cpk)
}

/// Distance between the limits, and that of the mean from the nearer one.
fn distances(moments: &Moments, limits: Limits) -> (Result<f64, Absent>, Result<f64, Absent>) {
    let Some(mean) = moments.mean() else {
        let few = Err(Absent::TooFewValues { n: 0 });
        return (few, few);
    };
    match (limits.min, limits.max) {
        (Some(min), Some(max)) => (Ok(max - min), Ok((max - mean).min(mean - min))),
        (Some(min), None) => (Err(Absent::OneSided), Ok(mean - min)),
        (None, Some(max)) => (Err(Absent::OneSided), Ok(max - mean)),
        (None, None) => (Err(Absent::NoLimits), Err(Absent::NoLimits)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::index::measured_cpk_interval;

    const BOTH: Limits = Limits {
        min: Some(-4.0),
        max: Some(8.0),
    };

    fn lot() -> (Moments, Subgroups) {
        let groups: [&[f64]; 2] = [&[0.0, 1.0, 2.0], &[2.0, 3.0, 4.0]];
        (
            Moments::of(&groups.concat()),
            Subgroups::of(&groups).unwrap(),
        )
    }

    #[test]
    fn verified_two_subgroups_by_hand() {
        // Mean 2; within 1 with 4 degrees of freedom; all readings sqrt(10/5) with 5.
        let (moments, groups) = lot();
        let got = lot_indices(&moments, Some(&groups), BOTH, 0.95);
        let root = libm::sqrt(2.0);
        for (index, expected) in [
            (got.cp, 2.0),
            (got.cpk, 2.0),
            (got.pp, 2.0 / root),
            (got.ppk, 2.0 / root),
        ] {
            let index = index.unwrap();
            assert!((index.value - expected).abs() < 1e-15, "{index:?}");
            assert!(index.low < index.value && index.value < index.high);
        }
        // Chi-square with 4 degrees of freedom: 2.5 % and 97.5 % points 0.484419 and 11.143287 (standard tables, recalled).
        let cp = got.cp.unwrap();
        assert!((cp.low - 2.0 * libm::sqrt(0.484_419 / 4.0)).abs() < 1e-6);
        assert!((cp.high - 2.0 * libm::sqrt(11.143_287 / 4.0)).abs() < 1e-6);
        // z 1.959964: 2 -+ z sqrt(1/54 + 4/8).
        let cpk = got.cpk.unwrap();
        let reach = 1.959_964 * libm::sqrt(1.0 / 54.0 + 0.5);
        assert!((cpk.low - 2.0 + reach).abs() < 1e-6 && (cpk.high - 2.0 - reach).abs() < 1e-6);
        let ppk = got.ppk.unwrap();
        let expected = measured_cpk_interval(ppk.value, 6, 0.95).unwrap();
        assert_eq!((ppk.low, ppk.high), (expected.low, expected.high));
    }

    #[test]
    fn one_limit_has_no_index_of_the_width() {
        let (moments, groups) = lot();
        let upper = Limits {
            max: Some(8.0),
            min: None,
        };
        let got = lot_indices(&moments, Some(&groups), upper, 0.95);
        assert_eq!(
            (got.cp, got.pp),
            (Err(Absent::OneSided), Err(Absent::OneSided))
        );
        assert_eq!(got.cpk.unwrap().value, 2.0);
        let lower = Limits {
            min: Some(5.0),
            max: None,
        };
        let got = lot_indices(&moments, Some(&groups), lower, 0.95);
        assert_eq!(got.cpk.unwrap().value, -1.0);
        let none = lot_indices(&moments, Some(&groups), Limits::default(), 0.95);
        assert_eq!(
            (none.cp, none.ppk),
            (Err(Absent::NoLimits), Err(Absent::NoLimits))
        );
    }

    #[test]
    fn what_is_not_known_has_a_reason() {
        let (moments, groups) = lot();
        let got = lot_indices(&moments, None, BOTH, 0.95);
        assert_eq!(
            (got.cp, got.cpk),
            (Err(Absent::NoSubgroups), Err(Absent::NoSubgroups))
        );
        assert!(got.pp.is_ok());
        for (readings, reason) in [
            (&[][..], Absent::TooFewValues { n: 0 }),
            (&[1.0], Absent::TooFewValues { n: 1 }),
            (&[1.0; 9], Absent::NoSpread),
        ] {
            let got = lot_indices(&Moments::of(readings), None, BOTH, 0.95);
            assert_eq!((got.pp, got.ppk), (Err(reason), Err(reason)));
        }
        let flat = Subgroups {
            sd_within: 0.0,
            ..groups
        };
        let got = lot_indices(&moments, Some(&flat), BOTH, 0.95);
        assert_eq!(
            (got.cp, got.cpk),
            (Err(Absent::NoSpread), Err(Absent::NoSpread))
        );
    }
}
