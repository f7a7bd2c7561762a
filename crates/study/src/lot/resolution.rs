//! The step in which a gauge shows its readings, against the tolerance.

use capability::resolution;
use record::Resolution;

/// A step is coarse when it is more than this share of the tolerance (common practice, no source).
const COARSE: f64 = 0.1;

/// The step of the readings, and its share of the tolerance.
pub(super) fn studied(values: &[f64], tolerance: Option<f64>) -> Resolution {
    let found = resolution::of(values);
    let of_tolerance = found
        .step
        .zip(tolerance)
        .map(|(step, tolerance)| step / tolerance)
        .filter(|share| share.is_finite());
    Resolution {
        step: found.step,
        distinct: found.distinct,
        of_tolerance,
        coarse: of_tolerance.is_some_and(|share| share > COARSE * (1.0 + 1e-9)),
    }
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
