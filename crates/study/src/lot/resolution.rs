//! The step in which a gauge shows its readings.

use record::Resolution;

/// How far a reading may lie off a step, in steps, and still count as on it.
const OFF: f64 = 1e-3;

/// A step is coarse when it is more than this share of the tolerance (common practice, no source).
const COARSE: f64 = 0.1;

/// The largest of the steps 1, 2 and 5 times a power of ten on which all readings lie, counted from the first.
pub(super) fn studied(values: &[f64], tolerance: Option<f64>) -> Resolution {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    sorted.dedup();
    let step = step(&sorted);
    let of_tolerance = step
        .zip(tolerance)
        .map(|(step, tolerance)| step / tolerance)
        .filter(|share| share.is_finite());
    Resolution {
        step,
        distinct: sorted.len() as u64,
        of_tolerance,
        coarse: of_tolerance.is_some_and(|share| share > COARSE * (1.0 + 1e-9)),
    }
}

fn step(distinct: &[f64]) -> Option<f64> {
    let first = *distinct.first()?;
    let smallest = distinct
        .windows(2)
        .map(|pair| pair[1] - pair[0])
        .fold(f64::INFINITY, f64::min);
    let largest = distinct
        .iter()
        .fold(0.0, |size: f64, x| size.max(libm::fabs(*x)));
    if !smallest.is_finite() || smallest < 1e-12 * largest {
        return None;
    }
    let top = libm::floor(libm::log10(smallest)) as i32 + 1;
    // Three powers of ten below the smallest difference a step can no longer be told from none.
    let steps = (top - 4..=top)
        .rev()
        .flat_map(|power| [5.0, 2.0, 1.0].map(|digit| scaled(digit, power)));
    let on = |step: f64| {
        distinct.iter().all(|x| {
            let steps = (x - first) / step;
            libm::fabs(steps - libm::round(steps)) < OFF
        })
    };
    let mut steps = steps.filter(|step| *step <= smallest * (1.0 + OFF));
    steps.find(|step| on(*step))
}

/// `digit * 10^power` without a rounding error of its own where that can be had.
fn scaled(digit: f64, power: i32) -> f64 {
    let ten = libm::pow(10.0, f64::from(power.abs()));
    if power < 0 { digit / ten } else { digit * ten }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_step_is_the_one_that_all_readings_share() {
        for (values, expected) in [
            (&[30.001, 30.003, 30.004][..], Some(0.001)),
            (&[0.5, 1.0, 2.5], Some(0.5)),
            (&[1.006, 0.996, 0.998], Some(0.002)),
            (&[10.0, 20.0, 50.0], Some(10.0)),
            (&[1.0, 1.0], None),
            (&[0.0, 1.0, std::f64::consts::PI * 1e5], None),
        ] {
            assert_eq!(studied(values, None).step, expected, "{values:?}");
        }
    }

    #[test]
    fn a_step_above_a_tenth_of_the_tolerance_is_coarse() {
        let values = [0.001, 0.002, 0.004];
        assert!(!studied(&values, Some(0.010)).coarse);
        assert!(studied(&values, Some(0.009)).coarse);
    }
}
