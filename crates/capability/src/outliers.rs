//! Readings far from all others: pointed out, never left out.

use crate::moments::Moments;
use crate::test::Test;

/// Most readings that are pointed out.
const MOST: usize = 10;

/// Chance that one is pointed out in a lot without any.
const CHANCE: f64 = 0.05;

/// A reading far from the others.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Outlier {
    /// Its place among the readings, from 0.
    pub place: usize,
    /// The reading.
    pub value: f64,
    /// Signed distance from the mean of all readings that are not pointed out, in the unit of the readings.
    pub off: f64,
    /// The same in standard deviations of those readings; none when they have no spread.
    pub distance: Option<f64>,
}

/// One step of the search: the reading farthest from the mean of those left.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Step {
    /// Its place among the readings, from 0.
    pub place: usize,
    /// Readings left, this one among them.
    pub left: usize,
    /// Its distance from their mean in their standard deviations, `R = |x - mean|/s`.
    pub deviate: f64,
    /// Upper bound of the chance that the farthest of so many normal readings lies so far out, at most 1.
    pub p: f64,
}

/// Sets aside the farthest of the readings left, one by one, at most `min(10, n/4)`: the generalized extreme studentized deviate
/// (B. Rosner, Technometrics 25 (1983) 165-172, recalled).
///
/// With `m` readings left,
///
/// ```text
/// R = |x - mean|/s,   t^2 = m (m - 2) R^2/((m - 1)^2 - m R^2),   p = m P(|T| > t)
/// ```
///
/// with Student's `T` of `m - 2` degrees of freedom; `p < 0.05` says the same as `R > lambda` of the paper. Ends where the
/// readings left have no spread.
pub fn steps(readings: &[f64]) -> Vec<Step> {
    let most = MOST.min(readings.len() / 4);
    let largest = readings
        .iter()
        .fold(0.0, |most: f64, x| most.max(libm::fabs(*x)));
    let rounding = 4.0 * f64::EPSILON * largest;
    let mut left: Vec<(usize, f64)> = readings.iter().copied().enumerate().collect();
    let mut steps = Vec::with_capacity(most);
    while steps.len() < most {
        let Some((index, step)) = step(&left, rounding) else {
            break;
        };
        left.remove(index);
        steps.push(step);
    }
    steps
}

fn step(left: &[(usize, f64)], rounding: f64) -> Option<(usize, Step)> {
    let values: Vec<f64> = left.iter().map(|(_, x)| *x).collect();
    let moments = Moments::of(&values);
    let (mean, sd) = (moments.mean()?, moments.sd()?);
    if !(sd > rounding && sd.is_finite()) {
        return None;
    }
    let off = |x: &f64| libm::fabs(x - mean);
    let mut farthest = 0;
    for (i, x) in values.iter().enumerate() {
        if off(x) > off(&values[farthest]) {
            farthest = i;
        }
    }
    let (m, r) = (values.len() as f64, off(&values[farthest]) / sd);
    // The others have no spread where R is as large as it can be: then t has no bound.
    let rest = (m - 1.0) * (m - 1.0) - m * r * r;
    let t = r * libm::sqrt(m * (m - 2.0) / rest.max(1e-12));
    let step = Step {
        place: left[farthest].0,
        left: values.len(),
        deviate: r,
        p: (m * Test::of_t(t, m - 2.0)?.p).min(1.0),
    };
    Some((farthest, step))
}

/// The readings far from the others, in their order: all that [`steps`] set aside up to the last whose `p` is below 0.05, so
/// several far ones do not hide each other.
///
/// Supposes that the others are normal: a skewed process has far readings by nature. Good from about 25 readings on, near
/// enough from 15 (Rosner, recalled); with one step (4 to 7 readings) it is F. E. Grubbs' test, whose chance is at most the
/// stated one. Of readings without spread, or whose squares no number carries, none is far.
pub fn far(readings: &[f64]) -> Vec<Outlier> {
    let steps = steps(readings);
    let last = steps.iter().rposition(|step| step.p < CHANCE);
    let flagged = &steps[..last.map_or(0, |last| last + 1)];
    let mut places: Vec<usize> = flagged.iter().map(|step| step.place).collect();
    places.sort_unstable();
    described(readings, &places)
}

fn described(readings: &[f64], places: &[usize]) -> Vec<Outlier> {
    let others: Vec<f64> = readings
        .iter()
        .enumerate()
        .filter(|(place, _)| places.binary_search(place).is_err())
        .map(|(_, x)| *x)
        .collect();
    let moments = Moments::of(&others);
    let mean = moments.mean().unwrap_or(0.0);
    let sd = moments.sd().filter(|sd| *sd > 0.0);
    let outlier = |place: &usize| {
        let off = readings[*place] - mean;
        Outlier {
            place: *place,
            value: readings[*place],
            off,
            distance: sd.map(|sd| off / sd).filter(|d| d.is_finite()),
        }
    };
    places.iter().map(outlier).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_distance_is_that_from_the_others() {
        let mut readings: Vec<f64> = (0..20).map(|i| f64::from(i % 5)).collect();
        readings.insert(7, 30.0);
        readings.push(-25.0);
        let got = far(&readings);
        assert_eq!(
            got.iter().map(|o| (o.place, o.value)).collect::<Vec<_>>(),
            [(7, 30.0), (21, -25.0)]
        );
        // The others: 0 to 4 four times each, mean 2, variance 40/19.
        let sd = libm::sqrt(40.0 / 19.0);
        assert!((got[0].off - 28.0).abs() < 1e-13);
        assert!((got[1].distance.unwrap() + 27.0 / sd).abs() < 1e-12);
    }

    #[test]
    fn even_equal_and_few_readings_hold_none() {
        let even: Vec<f64> = (0..50).map(f64::from).collect();
        for readings in [even.as_slice(), &[1.0; 30], &[1.0, 1.0, 9.0], &[]] {
            assert!(far(readings).is_empty());
        }
        let rounded: Vec<f64> = (0..20)
            .map(|i| if i == 3 { 0.1 + 0.2 } else { 0.3 })
            .collect();
        assert!(far(&rounded).is_empty());
        let huge: Vec<f64> = (0..20).map(|i| f64::from(i % 3) * 1e300).collect();
        assert!(far(&huge).is_empty());
    }

    #[test]
    fn one_reading_beside_equal_ones_is_far_without_a_distance_in_their_spread() {
        let mut readings = [5.0; 24];
        readings[3] = 50.0;
        let got = far(&readings);
        assert_eq!(
            got,
            [Outlier {
                place: 3,
                value: 50.0,
                off: 45.0,
                distance: None
            }]
        );
    }

    #[test]
    fn two_far_readings_do_not_hide_each_other() {
        let mut readings: Vec<f64> = (0..28).map(|i| f64::from(i % 7)).collect();
        readings.extend([60.0, 61.0]);
        let places: Vec<usize> = far(&readings).iter().map(|o| o.place).collect();
        assert_eq!(places, [28, 29]);
    }
}
