//! How far the numbers of a fitted shape may be off: the shape gives new readings, is fitted to them, and so again.
//!
//! A parametric bootstrap (B. Efron, R. J. Tibshirani, An Introduction to the Bootstrap, recalled) with the plain percentile
//! interval: `alpha/2` and `1 - alpha/2` quantile of the repeats. The kind of shape stays the same, so the doubt about the
//! kind is not in it. The draws are a function of the file's bytes, so that the same file gives the same study.

use std::sync::Arc;

use capability::quantiles;
use distributions::Shape;
use rayon::prelude::*;
use record::Index;
use sampling::{Stream, StreamId};

use super::drawing::Drawing;
use super::shapes;

/// Repeats.
pub(super) const REPEATS: u64 = 400;

/// Most readings that a repeat draws; with more, the spread of the repeats is shrunk by `sqrt(MOST/n)`.
pub(super) const MOST: usize = 1000;

/// Fewest repeats, of [`REPEATS`], to which the shape could be fitted.
const FEWEST: usize = 360;

/// A way to fit a kind of shape to readings that rise.
pub(super) type Refit<'a> = &'a (dyn Fn(&[f64]) -> Option<Arc<dyn Shape>> + Sync);

/// Where the draws come from.
#[derive(Debug, Clone, Copy)]
pub(super) struct Draws<'a> {
    /// SHA-256 of the file, in hex.
    pub(super) sha256: &'a str,
    /// Heading of the column.
    pub(super) column: &'a str,
    /// Name of the shape.
    pub(super) shape: &'a str,
}

impl Draws<'_> {
    fn stream(&self) -> Stream {
        let head = self.sha256.get(..16).unwrap_or_default();
        let name = format!("lot {} {}", self.column, self.shape);
        Stream::new(StreamId {
            seed: u64::from_str_radix(head, 16).unwrap_or_default(),
            point: None,
            characteristic: &name,
            attempt: 0,
        })
    }
}

/// What a shape says of capability: percentile Pp, percentile Ppk, share outside.
pub(super) type Numbers = [Option<f64>; 3];

/// `Pp = (U - L)/(X(99.865 %) - X(0.135 %))`, Ppk the smaller of the distances from median to limit over those from median to
/// the quantile on that side (ISO 22514-2, formula recalled), and the share outside the limits.
pub(super) fn numbers(shape: &dyn Shape, drawing: &Drawing) -> Numbers {
    let [low, middle, high] = shapes::quantiles(shape);
    let pp = drawing.tolerance().map(|width| width / (high - low));
    let upper = drawing
        .upper
        .map(|upper| (upper - middle) / (high - middle));
    let lower = drawing.lower.map(|lower| (middle - lower) / (middle - low));
    let ppk = match (lower, upper) {
        (Some(lower), Some(upper)) => Some(lower.min(upper)),
        (one, other) => one.or(other),
    };
    let outside = drawing
        .has_limits()
        .then(|| shapes::outside(shape, drawing));
    [pp, ppk, outside].map(|number| number.filter(|value| value.is_finite()))
}

/// The numbers of a shape fitted to `n` readings, each with its interval.
///
/// # Errors
/// In one sentence, when the shape cannot be fitted to enough of its own readings.
pub(super) fn doubted(
    shape: &dyn Shape,
    refit: Refit<'_>,
    n: usize,
    drawing: &Drawing,
    draws: Draws<'_>,
    confidence: f64,
) -> Result<[Option<Index>; 3], String> {
    let (stream, drawn) = (draws.stream(), n.min(MOST));
    let repeats: Vec<Numbers> = (0..REPEATS)
        .into_par_iter()
        .filter_map(|repeat| {
            let mut readings: Vec<f64> = (0..drawn as u64)
                .map(|i| drawn_value(shape, stream.word(repeat * MOST as u64 + i)))
                .collect();
            readings.sort_by(f64::total_cmp);
            refit(&readings).map(|again| numbers(again.as_ref(), drawing))
        })
        .collect();
    if repeats.len() < FEWEST {
        return Err(format!(
            "The shape could be fitted again to {} of {REPEATS} sets of its own readings only, so its doubt is not known.",
            repeats.len()
        ));
    }
    let shrink = libm::sqrt(drawn as f64 / n as f64);
    let seen = numbers(shape, drawing);
    let mut place = 0;
    Ok(seen.map(|value| {
        let among = repeats
            .iter()
            .filter_map(|numbers| numbers[place])
            .collect();
        place += 1;
        value.and_then(|value| index(value, among, shrink, confidence))
    }))
}

/// The value of a random word: the quantile of its share.
fn drawn_value(shape: &dyn Shape, word: u64) -> f64 {
    let share = ((word >> 11) as f64 + 0.5) * (0.5 / (1u64 << 52) as f64);
    shape.quantile(share)
}

fn index(value: f64, mut repeats: Vec<f64>, shrink: f64, confidence: f64) -> Option<Index> {
    repeats.sort_by(f64::total_cmp);
    let tail = 0.5 * (1.0 - confidence);
    let end = |p: f64| {
        let end = quantiles::of_sorted(&repeats, p)?;
        Some(value + shrink * (end - value))
    };
    let (low, high) = (end(tail)?, end(1.0 - tail)?);
    Some(Index {
        value,
        low: low.min(value),
        high: high.max(value),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use capability::index::measured_cp_interval;
    use capability::moments::Moments;
    use distributions::{Normal, Weibull};

    fn draws() -> Draws<'static> {
        Draws {
            sha256: "0123456789abcdef",
            column: "d",
            shape: "normal",
        }
    }

    fn limits(lower: f64, upper: f64) -> Drawing {
        Drawing {
            lower: Some(lower),
            upper: Some(upper),
            ..Drawing::default()
        }
    }

    #[test]
    fn verified_percentile_indices_of_a_weibull() {
        // Weibull(2, 1), limits 0 and 3: Pp 1.1840016, Ppk the smaller of 1.2471057 and 1.0461859 (percentile method of
        // ISO 22514-2, formula from memory, quantiles in closed form).
        let shape = Weibull::new(2.0, 1.0, 0.0).expect("a shape");
        let [pp, ppk, outside] = numbers(&shape, &limits(0.0, 3.0));
        assert!((pp.unwrap_or(0.0) - 1.184_001_6).abs() < 1e-7);
        assert!((ppk.unwrap_or(0.0) - 1.046_185_9).abs() < 1e-7);
        assert!((outside.unwrap_or(0.0) - libm::exp(-9.0)).abs() < 1e-12);
    }

    #[test]
    fn interval_of_a_normal_is_near_the_exact_one() {
        let shape = Normal::new(0.0, 1.0).expect("a spread");
        let refit = |readings: &[f64]| {
            let moments = Moments::of(readings);
            let normal = Normal::new(moments.mean()?, moments.sd()?).ok()?;
            Some(Arc::new(normal) as Arc<dyn Shape>)
        };
        for n in [50, 4000] {
            let got = doubted(&shape, &refit, n, &limits(-4.0, 4.0), draws(), 0.95);
            let pp = got.expect("fits").first().copied().flatten().expect("Pp");
            let exact = measured_cp_interval(4.0 / 3.0, n as u64, 0.95).expect("many");
            // Ends of 400 repeats scatter by about a tenth of the width; the plain interval is not centred as the exact one is.
            let allowed = 0.25 * (exact.high - exact.low);
            assert!(
                (pp.low - exact.low).abs() < allowed,
                "{n}: {pp:?} {exact:?}"
            );
            assert!(
                (pp.high - exact.high).abs() < allowed,
                "{n}: {pp:?} {exact:?}"
            );
        }
    }

    #[test]
    fn a_shape_that_cannot_be_fitted_again_has_no_interval() {
        let shape = Normal::new(0.0, 1.0).expect("a spread");
        let never = |_: &[f64]| None;
        assert!(doubted(&shape, &never, 50, &limits(-4.0, 4.0), draws(), 0.95).is_err());
    }
}
