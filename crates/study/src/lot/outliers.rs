//! Readings far from all others: flagged, never left out.

use capability::moments::Moments;
use record::Outlier;

use super::CHANCE;
use super::chance::t_test;

/// Fewest readings among which one can be far from the others.
const FEWEST: usize = 6;

/// Flags the readings whose distance from the mean of the others is larger than chance gives, with Student's t of `n - 2` degrees
/// of freedom and the chance shared among all readings (Bonferroni):
///
/// ```text
/// t = (x - mean of the others) / (sd of the others * sqrt(1 + 1/(n - 1)))
/// ```
pub(super) fn flagged(values: &[f64], lines: &[u64], serials: Option<&[String]>) -> Vec<Outlier> {
    let n = values.len() as f64;
    if values.len() < FEWEST {
        return Vec::new();
    }
    let all = Moments::of(values);
    let (Some(mean), Some(sd)) = (all.mean(), all.sd()) else {
        return Vec::new();
    };
    let far = values.iter().enumerate().filter_map(|(i, &value)| {
        let off = value - mean;
        // Taking one reading out moves the mean by off/(n - 1), and the sum of squares by off^2 n/(n - 1).
        let others_mean = mean - off / (n - 1.0);
        let others = ((n - 1.0) * sd * sd - off * off * n / (n - 1.0)) / (n - 2.0);
        if !(others > 1e-12 * sd * sd) {
            return None;
        }
        let distance = (value - others_mean) / libm::sqrt(others);
        let test = t_test(distance / libm::sqrt(1.0 + 1.0 / (n - 1.0)), n - 2.0)?;
        (test.p * n < CHANCE).then(|| Outlier {
            line: lines.get(i).copied().unwrap_or_default(),
            reading: i as u64 + 1,
            name: serials.and_then(|serials| serials.get(i).cloned()),
            value,
            distance,
        })
    });
    far.collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verified_distance_is_that_from_the_others() {
        let mut values: Vec<f64> = (0..20).map(|i| f64::from(i % 5)).collect();
        values.push(30.0);
        let lines: Vec<u64> = (2..23).collect();
        let got = flagged(&values, &lines, None);
        assert_eq!(got.len(), 1);
        assert_eq!((got[0].line, got[0].reading, got[0].value), (22, 21, 30.0));
        let others = Moments::of(&values[..20]);
        let expected = (30.0 - others.mean().expect("many")) / others.sd().expect("many");
        assert!((got[0].distance - expected).abs() < 1e-9 * expected);
    }

    #[test]
    fn even_equal_and_few_readings_hold_no_outlier() {
        let even: Vec<f64> = (0..50).map(f64::from).collect();
        for values in [even.as_slice(), &[1.0; 30], &[1.0, 1.0, 9.0]] {
            assert!(flagged(values, &[0; 50], None).is_empty());
        }
    }
}
