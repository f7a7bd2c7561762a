//! Readings far from all others: flagged, never left out.

use capability::outliers;
use record::Outlier;

/// The readings far from the others, with their lines and serial numbers.
pub(super) fn flagged(values: &[f64], lines: &[u64], serials: Option<&[String]>) -> Vec<Outlier> {
    let far = outliers::far(values).into_iter();
    far.map(|far| Outlier {
        line: lines.get(far.place).copied().unwrap_or_default(),
        reading: far.place as u64 + 1,
        name: serials.and_then(|serials| serials.get(far.place).cloned()),
        value: far.value,
        // Others without spread have no measure of distance.
        distance: far.distance.unwrap_or_default(),
    })
    .collect()
}

#[cfg(test)]
mod tests {
    use capability::moments::Moments;

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
