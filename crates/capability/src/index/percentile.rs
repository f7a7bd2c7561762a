//! Indices by quantiles, for outputs of any shape.

use super::{Absent, Index, Indices, Limits};
use crate::interval::{Interval, tail_of};
use crate::sketch::Sketch;

/// The three quantiles that stand for minus three, zero and plus three standard deviations of a normal shape.
pub const PERCENTILES: [f64; 3] = [0.001_35, 0.5, 0.998_65];

/// A quantile and its interval.
#[derive(Clone, Copy)]
struct Enclosed {
    value: f64,
    interval: Interval,
}

/// Cp and Cpk by quantiles (form of ISO 22514-2, recalled):
///
/// ```text
/// Cp = (U - L)/(X99.865 - X0.135)
/// upper side (U - X50)/(X99.865 - X50),   lower side (X50 - L)/(X50 - X0.135),   Cpk the smaller
/// ```
///
/// Intervals: every quantile used gets its order-statistic interval at the confidence `1 - (1 - confidence)/k`, `k` being
/// how many are used (two for Cp and for a one-sided Cpk, three for a two-sided Cpk; Bonferroni), and the index takes its
/// extremes over the box of these intervals. All quantiles lie in their box together with at least the stated confidence,
/// so the interval is **conservative**: it covers more often than it says, and is the wider for it.
///
/// Measured coverage of the 95 % interval of Cp and Cpk, lower and higher of the two (`tests/coverage.rs`, 5000 samples of
/// 5000 and 10 000 values, 1000 of 100 000; heavy-tailed is `z exp(0.04 z^2)` of a normal score, g2 1.7):
///
/// ```text
/// shape                  n = 5000          n = 10 000        n = 100 000
/// normal                 99.8 .. 99.9 %    99.3 .. 99.9 %    99.2 .. 99.9 %
/// uniform                99.8 .. 99.9 %    99.8 .. 100.0 %   99.9 .. 99.9 %
/// lognormal, g1 1.8      98.9 .. 99.7 %    98.7 .. 98.8 %    98.9 .. 98.9 %
/// heavy-tailed           99.7 .. 99.9 %    99.4 .. 99.9 %    99.1 .. 99.9 %
/// ```
///
/// Absent when a quantile has too few values beyond it: at 95 % it takes 3244 values with two quantiles, 3544 with three.
pub fn percentile_formula(sketch: &Sketch, limits: Limits, confidence: f64) -> Indices {
    let Limits { min, max } = limits;
    let absent = match (min, max, sketch.total()) {
        (None, None, _) => Some(Absent::NoLimits),
        (_, _, n @ (0 | 1)) => Some(Absent::TooFewValues { n }),
        _ => None,
    };
    if let Some(absent) = absent {
        return Indices {
            cp: Err(absent),
            cpk: Err(absent),
        };
    }
    let tail = tail_of(confidence);
    let quantile = |which: usize, shares: f64| enclosed(sketch, PERCENTILES[which], tail / shares);
    let lower_side = |min: f64, shares: f64| side(min, quantile(1, shares)?, quantile(0, shares)?);
    let upper_side = |max: f64, shares: f64| side(max, quantile(1, shares)?, quantile(2, shares)?);
    let both = |min: f64, max: f64| {
        Ok(Index::smaller_of(
            lower_side(min, 3.0)?,
            upper_side(max, 3.0)?,
        ))
    };
    match (min, max) {
        (Some(min), Some(max)) => Indices {
            cp: quantile(0, 2.0).and_then(|low| width(max - min, low, quantile(2, 2.0)?)),
            cpk: both(min, max),
        },
        (Some(min), None) => Indices {
            cp: Err(Absent::OneSided),
            cpk: lower_side(min, 2.0),
        },
        (None, Some(max)) => Indices {
            cp: Err(Absent::OneSided),
            cpk: upper_side(max, 2.0),
        },
        (None, None) => Indices {
            cp: Err(Absent::NoLimits),
            cpk: Err(Absent::NoLimits),
        },
    }
}

fn enclosed(sketch: &Sketch, p: f64, tail: f64) -> Result<Enclosed, Absent> {
    let too_few = Absent::TooFewBeyond {
        p,
        n: sketch.total(),
    };
    let value = sketch.quantile(p).ok_or(too_few)?;
    let interval = sketch.quantile_interval_leaving(tail, p).ok_or(too_few)?;
    Ok(Enclosed { value, interval })
}

/// `(limit - median)/(far - median)`, both differences positive on the good side.
fn side(limit: f64, median: Enclosed, far: Enclosed) -> Result<Index, Absent> {
    if far.value == median.value {
        return Err(Absent::NoSpread);
    }
    if far.interval.low <= median.interval.high && median.interval.low <= far.interval.high {
        return Err(Absent::SpreadUnsure);
    }
    let index = |m: f64, f: f64| (limit - m) / (f - m);
    // Monotone in each quantile while the other stands still, so the extremes lie at corners of the box.
    let (m, f) = (median.interval, far.interval);
    let corners = [
        index(m.low, f.low),
        index(m.low, f.high),
        index(m.high, f.low),
        index(m.high, f.high),
    ];
    let low = corners.into_iter().fold(f64::INFINITY, f64::min);
    let high = corners.into_iter().fold(f64::NEG_INFINITY, f64::max);
    Ok(Index::within(
        index(median.value, far.value),
        Interval { low, high },
    ))
}

fn width(distance: f64, low: Enclosed, high: Enclosed) -> Result<Index, Absent> {
    if high.value == low.value {
        return Err(Absent::NoSpread);
    }
    if high.interval.low <= low.interval.high {
        return Err(Absent::SpreadUnsure);
    }
    let interval = Interval {
        low: distance / (high.interval.high - low.interval.low),
        high: distance / (high.interval.low - low.interval.high),
    };
    Ok(Index::within(distance / (high.value - low.value), interval))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sketch_of(n: u32, atom: Option<f64>, f: impl Fn(f64) -> f64) -> Sketch {
        let mut sketch = Sketch::new(-1.0, 7.0, 4000, atom).unwrap();
        (0..n).for_each(|i| sketch.add(f((f64::from(i) + 0.5) / f64::from(n))));
        sketch
    }

    /// Weibull, shape 2, scale 1: quantile `sqrt(-ln(1 - p))`.
    fn weibull(p: f64) -> f64 {
        libm::sqrt(-libm::log1p(-p))
    }

    #[test]
    fn indices_of_a_weibull_shape_match_the_closed_form() {
        let sketch = sketch_of(200_000, None, weibull);
        let got = percentile_formula(
            &sketch,
            Limits {
                min: Some(0.0),
                max: Some(3.0),
            },
            0.95,
        );
        let [low, median, high] = PERCENTILES.map(weibull);
        let cp = 3.0 / (high - low);
        let cpk = ((3.0 - median) / (high - median)).min(median / (median - low));
        for (index, expected) in [(got.cp.unwrap(), cp), (got.cpk.unwrap(), cpk)] {
            assert!(
                (index.value - expected).abs() < 2e-3 * expected,
                "got {index:?}, expected {expected}"
            );
            assert!(
                index.low < expected && expected < index.high,
                "got {index:?}, expected {expected}"
            );
            assert!(index.high - index.low < 0.1 * expected, "{index:?}");
        }
    }

    #[test]
    fn a_side_mirrors_its_other_side() {
        // A count for which no quantile falls exactly between two values, where the definition takes the lower one.
        let n = 20_011;
        let mut up = Sketch::new(-1.0, 7.0, 4000, None).unwrap();
        let mut down = Sketch::new(-7.0, 1.0, 4000, None).unwrap();
        for i in 0..n {
            let x = weibull((f64::from(i) + 0.5) / f64::from(n));
            up.add(x);
            down.add(-x);
        }
        let upper = percentile_formula(
            &up,
            Limits {
                min: None,
                max: Some(3.0),
            },
            0.95,
        )
        .cpk
        .unwrap();
        let lower = percentile_formula(
            &down,
            Limits {
                min: Some(-3.0),
                max: None,
            },
            0.95,
        )
        .cpk
        .unwrap();
        for (a, b) in [
            (upper.value, lower.value),
            (upper.low, lower.low),
            (upper.high, lower.high),
        ] {
            assert!((a - b).abs() < 2e-3, "upper {upper:?}, lower {lower:?}");
        }
    }

    #[test]
    fn what_has_no_number_says_why() {
        let two = Limits {
            min: Some(0.0),
            max: Some(3.0),
        };
        let few = percentile_formula(&sketch_of(1000, None, weibull), two, 0.95);
        assert_eq!(
            few.cp,
            Err(Absent::TooFewBeyond {
                p: 0.001_35,
                n: 1000
            })
        );
        let empty = percentile_formula(&sketch_of(0, None, weibull), two, 0.95);
        assert_eq!(empty.cpk, Err(Absent::TooFewValues { n: 0 }));
        let all_zero = percentile_formula(&sketch_of(9000, Some(0.0), |_| 0.0), two, 0.95);
        assert_eq!(
            (all_zero.cp, all_zero.cpk),
            (Err(Absent::NoSpread), Err(Absent::NoSpread))
        );
        let none = percentile_formula(&sketch_of(9000, None, weibull), Limits::default(), 0.95);
        assert_eq!(none.cpk, Err(Absent::NoLimits));
        let one = percentile_formula(
            &sketch_of(9000, None, weibull),
            Limits {
                min: None,
                max: Some(3.0),
            },
            0.95,
        );
        assert!(
            one.cp == Err(Absent::OneSided) && one.cpk.is_ok(),
            "{one:?}"
        );
    }

    #[test]
    fn half_the_values_at_an_atom_leave_one_side_without_spread() {
        // 60 % at zero: median and lower quantile agree, the upper side still has a number.
        let sketch = sketch_of(9000, Some(0.0), |p| if p < 0.6 { 0.0 } else { weibull(p) });
        let lower = percentile_formula(
            &sketch,
            Limits {
                min: Some(-1.0),
                max: None,
            },
            0.95,
        );
        assert_eq!(lower.cpk, Err(Absent::NoSpread));
        assert!(
            percentile_formula(
                &sketch,
                Limits {
                    min: None,
                    max: Some(3.0)
                },
                0.95
            )
            .cpk
            .is_ok()
        );
    }

    #[test]
    fn a_median_beyond_a_limit_makes_its_side_negative() {
        let sketch = sketch_of(50_000, None, weibull);
        // Median 0.83; limits all above it, then all below it.
        for (min, max) in [(1.0, 3.0), (-0.5, 0.5)] {
            let limits = Limits {
                min: Some(min),
                max: Some(max),
            };
            let got = percentile_formula(&sketch, limits, 0.95);
            let (cp, cpk) = (got.cp.unwrap(), got.cpk.unwrap());
            assert!(
                cpk.low < cpk.value && cpk.value < cpk.high && cpk.high < 0.0,
                "{cpk:?}"
            );
            assert!(0.0 < cp.low && cp.low < cp.value, "{cp:?}");
        }
    }

    #[test]
    fn one_value_and_one_repeated_value_have_no_index() {
        let two = Limits {
            min: Some(0.0),
            max: Some(3.0),
        };
        let one = percentile_formula(&sketch_of(1, None, weibull), two, 0.95);
        assert_eq!(one.cp, Err(Absent::TooFewValues { n: 1 }));
        assert_eq!(one.cpk, Err(Absent::TooFewValues { n: 1 }));
        // Not declared as an atom, all the same.
        let constant = percentile_formula(&sketch_of(9000, None, |_| 1.5), two, 0.95);
        assert_eq!(constant.cp, Err(Absent::NoSpread));
        assert_eq!(constant.cpk, Err(Absent::NoSpread));
        // All but one in a thousand at the atom: all three quantiles agree.
        let nearly = sketch_of(9000, Some(0.0), |p| if p < 0.999 { 0.0 } else { 2.0 });
        let nearly = percentile_formula(&nearly, two, 0.95);
        assert_eq!(nearly.cp, Err(Absent::NoSpread));
    }

    #[test]
    fn a_confidence_one_rounding_below_certainty_still_has_an_answer() {
        let two = Limits {
            min: Some(0.0),
            max: Some(3.0),
        };
        let sketch = sketch_of(200_000, None, weibull);
        let sure = percentile_formula(&sketch, two, 1.0 - 0.5 * f64::EPSILON);
        let usual = percentile_formula(&sketch, two, 0.95);
        for (sure, usual) in [(sure.cp, usual.cp), (sure.cpk, usual.cpk)] {
            let (sure, usual) = (sure.unwrap(), usual.unwrap());
            assert!(
                sure.low < usual.low && usual.high < sure.high,
                "{sure:?}, {usual:?}"
            );
        }
    }

    #[test]
    fn a_million_million_values_tighten_the_interval_to_the_bins() {
        let mut sketch = sketch_of(9000, None, weibull);
        for _ in 0..27 {
            let half = sketch.clone();
            sketch.merge(&half);
        }
        assert_eq!(sketch.total(), 9000 << 27);
        let two = Limits {
            min: Some(0.0),
            max: Some(3.0),
        };
        let got = percentile_formula(&sketch, two, 0.95);
        for index in [got.cp.unwrap(), got.cpk.unwrap()] {
            assert!(
                index.low <= index.value && index.value <= index.high,
                "{index:?}"
            );
            assert!(index.high - index.low < 1e-3, "{index:?}");
        }
    }
}
