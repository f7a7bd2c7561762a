//! The step in which a gauge shows its readings.

/// Steps of the largest reading up to which a step can be told from the rounding of the readings.
const MOST: f64 = 1e12;

/// What the readings themselves tell of the gauge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Resolution {
    /// The step, in the unit of the readings: see [`of`].
    pub step: Option<f64>,
    /// Number of different readings.
    pub distinct: u64,
}

/// The largest of the steps 1, 2 and 5 times a power of ten of which all readings are multiples, counted from 0.
///
/// A reading counts as a multiple when it is one within the rounding of its binary form. The gauge may be finer than the step
/// (few readings may all be even by chance) but, for readings as they were shown, not coarser. No step below two different
/// readings, nor where the readings have more than twelve digits, as computed values do.
pub fn of(readings: &[f64]) -> Resolution {
    let mut different = readings.to_vec();
    different.sort_by(f64::total_cmp);
    different.dedup();
    Resolution {
        step: step(&different),
        distinct: different.len() as u64,
    }
}

fn step(different: &[f64]) -> Option<f64> {
    let largest = different
        .iter()
        .fold(0.0, |most: f64, x| most.max(libm::fabs(*x)));
    if different.len() < 2 || !largest.is_normal() {
        return None;
    }
    let top = libm::floor(libm::log10(largest)) as i32;
    let steps = (top - 13..=top)
        .rev()
        .flat_map(|power| [5.0, 2.0, 1.0].map(|digit| scaled(digit, power)));
    steps
        .filter(|step| step.is_normal() && largest / step <= MOST)
        .find(|step| different.iter().all(|x| is_multiple(*x, *step)))
}

/// Whether the reading is a multiple of the step but for some roundings of either.
fn is_multiple(reading: f64, step: f64) -> bool {
    let steps = reading / step;
    libm::fabs(steps - libm::round(steps)) <= 16.0 * f64::EPSILON * libm::fabs(steps)
}

/// `digit * 10^power`, rounded once for powers of -22 to 22.
fn scaled(digit: f64, power: i32) -> f64 {
    let ten = (0..power.abs()).fold(1.0, |product, _| product * 10.0);
    if power < 0 { digit / ten } else { digit * ten }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_step_is_the_largest_that_all_readings_share() {
        for (readings, expected) in [
            (&[30.001, 30.003, 30.004][..], Some(0.001)),
            (&[30.001, 30.003, 30.005], Some(0.001)),
            (&[0.5, 1.0, 2.5], Some(0.5)),
            (&[1.006, 0.996, 0.998], Some(0.002)),
            (&[10.0, 20.0, 50.0], Some(10.0)),
            (&[-0.35, 0.0, 0.2], Some(0.05)),
            (&[123_456_789.012, 0.001], Some(0.001)),
            (&[4e-7, 6e-7], Some(2e-7)),
            (&[3e200, 5e200], Some(1e200)),
            (&[1.0, 1.0], None),
            (&[0.0, 0.0], None),
            (&[], None),
            (&[0.0, 1.0, std::f64::consts::PI], None),
            (&[0.0, 1e-310], None),
        ] {
            let got = of(readings).step;
            let same = match (got, expected) {
                (Some(got), Some(expected)) => (got / expected - 1.0).abs() < 1e-13,
                (got, expected) => got == expected,
            };
            assert!(same, "{readings:?}: {got:?}, expected {expected:?}");
        }
    }

    #[test]
    fn every_step_is_found_again_wherever_the_readings_lie() {
        for power in -9..4 {
            for digit in [1.0, 2.0, 5.0] {
                let text = |steps: u64| format!("{}e{power}", steps * digit as u64);
                for from in [0, 1_234_567, 99_999_999] {
                    let readings: Vec<f64> = (from..from + 12)
                        .map(|steps| text(steps).parse().unwrap())
                        .collect();
                    let (got, expected) = (of(&readings).step.unwrap(), scaled(digit, power));
                    assert_eq!(got, expected, "from {from}");
                }
            }
        }
    }

    #[test]
    fn equal_readings_count_once() {
        assert_eq!(of(&[2.0, 1.0, 2.0, 1.5]).distinct, 3);
        assert_eq!(of(&[]).distinct, 0);
    }
}
