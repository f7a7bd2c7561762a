//! What the fits of all kinds share: checks of the readings, a search for a maximum, and a search for an origin.

use crate::kind::FitError;

/// Readings at hand.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Readings<'a> {
    /// The readings themselves.
    pub(crate) values: &'a [f64],
    /// Their number, as a number.
    pub(crate) n: f64,
    /// Smallest and largest.
    pub(crate) least: f64,
    pub(crate) most: f64,
    /// Mean.
    pub(crate) mean: f64,
    /// Standard deviation with divisor `n`.
    pub(crate) sd: f64,
}

impl<'a> Readings<'a> {
    /// Readings for this many parameters: at least one more, finite, not all equal.
    pub(crate) fn new(values: &'a [f64], parameters: usize) -> Result<Self, FitError> {
        let needs = parameters + 1;
        if values.len() < needs {
            return Err(FitError::TooFew {
                n: values.len(),
                needs,
            });
        }
        if values.iter().any(|x| !x.is_finite()) {
            return Err(FitError::Unsuited);
        }
        let n = values.len() as f64;
        let least = values.iter().copied().fold(f64::INFINITY, f64::min);
        let most = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let mean = least + values.iter().map(|x| x - least).sum::<f64>() / n;
        let sd = libm::sqrt(values.iter().map(|x| (x - mean) * (x - mean)).sum::<f64>() / n);
        if !(most > least && sd > 0.0) {
            return Err(FitError::NoSpread);
        }
        if !sd.is_finite() {
            return Err(FitError::Unsuited);
        }
        Ok(Self {
            values,
            n,
            least,
            most,
            mean,
            sd,
        })
    }
}

/// Place and value of a maximum of `f` between `from` and `to`, by golden sections down to a ten-millionth of the stretch.
pub(crate) fn maximum_between(
    mut from: f64,
    mut to: f64,
    mut f: impl FnMut(f64) -> f64,
) -> (f64, f64) {
    const GOLDEN: f64 = 0.618_033_988_749_894_8;
    let least = 1e-7 * (to - from);
    let (mut left, mut right) = (to - GOLDEN * (to - from), from + GOLDEN * (to - from));
    let (mut at_left, mut at_right) = (f(left), f(right));
    while to - from > least {
        if at_left >= at_right {
            to = right;
            (right, at_right) = (left, at_left);
            left = to - GOLDEN * (to - from);
            at_left = f(left);
        } else {
            from = left;
            (left, at_left) = (right, at_right);
            right = from + GOLDEN * (to - from);
            at_right = f(right);
        }
    }
    if at_left >= at_right {
        (left, at_left)
    } else {
        (right, at_right)
    }
}

/// Nearest and farthest origin looked at, as logarithms of its distance below the smallest reading over the range of the
/// readings: one 10,000th and 300.
const NEAREST: f64 = -9.2;
const FARTHEST: f64 = 5.7;

/// Steps of the search.
const STEPS: u32 = 36;

/// The origin where the likelihood, with all other parameters at their best, has its highest local maximum; none where it
/// has no local maximum.
///
/// Close to the smallest reading the likelihood of a shape with an origin may grow without bound, and far from it the shape
/// becomes one without an origin; neither is taken for a maximum.
pub(crate) fn best_origin(
    readings: &Readings,
    mut log_likelihood: impl FnMut(f64) -> f64,
) -> Option<f64> {
    let range = readings.most - readings.least;
    let step = (FARTHEST - NEAREST) / f64::from(STEPS);
    let origin = |t: f64| readings.least - range * libm::exp(t);
    let place = |i: usize| FARTHEST - step * i as f64;
    let heights: Vec<f64> = (0..=STEPS as usize)
        .map(|i| log_likelihood(origin(place(i))))
        .collect();
    let best = (1..STEPS as usize)
        .filter(|&i| heights[i] > heights[i - 1] && heights[i] >= heights[i + 1])
        .max_by(|&i, &j| heights[i].total_cmp(&heights[j]))?;
    let (t, _) = maximum_between(place(best + 1), place(best - 1), |t| {
        log_likelihood(origin(t))
    });
    Some(origin(t))
}

/// The origin of a shape that has one, and the number of parameters fitted if `others` were fitted beside it: the best
/// origin where the likelihood has a local maximum in it, otherwise zero, held fixed, where all readings lie above zero.
pub(crate) fn origin_or_zero(
    readings: &Readings,
    others: usize,
    log_likelihood: impl FnMut(f64) -> f64,
) -> Result<(f64, usize), FitError> {
    if readings.values.len() > others + 1
        && let Some(origin) = best_origin(readings, log_likelihood)
    {
        return Ok((origin, others + 1));
    }
    if readings.least > 0.0 {
        Ok((0.0, others))
    } else {
        Err(FitError::NoMaximum)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn readings_without_spread_or_number_are_refused() {
        let refused = |values: &[f64]| Readings::new(values, 2).err();
        assert_eq!(
            refused(&[1.0, 2.0]),
            Some(FitError::TooFew { n: 2, needs: 3 })
        );
        assert_eq!(refused(&[1.0, 1.0, 1.0]), Some(FitError::NoSpread));
        assert_eq!(refused(&[1.0, f64::NAN, 2.0]), Some(FitError::Unsuited));
        assert_eq!(
            refused(&[1.0, 2.0, f64::INFINITY]),
            Some(FitError::Unsuited)
        );
    }

    #[test]
    fn a_maximum_is_found_to_a_ten_millionth() {
        let (x, height) = maximum_between(-3.0, 7.0, |x| 2.0 - (x - 1.5) * (x - 1.5));
        assert!((x - 1.5).abs() < 1e-6 && (height - 2.0).abs() < 1e-12);
    }

    #[test]
    fn a_likelihood_that_only_grows_has_no_best_origin() {
        let values = [1.0, 2.0, 4.0];
        let readings = Readings::new(&values, 2).unwrap();
        assert_eq!(best_origin(&readings, |origin| origin), None);
        assert_eq!(best_origin(&readings, |origin| -origin), None);
        let found = best_origin(&readings, |origin| -(origin + 2.0) * (origin + 2.0)).unwrap();
        assert!((found + 2.0).abs() < 1e-5, "{found}");
    }
}
