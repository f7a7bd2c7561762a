//! Subgroups of readings made close together: scatter within them, and whether their means and spreads differ.

use capability::moments::Moments;
use record::{Subgroup, Subgroups};

use super::recorded;

/// Subgroups that a record lists.
const LISTED: usize = 400;

/// Puts readings into subgroups by their labels, in the order in which these first appear.
///
/// `None` where no subgroup holds two readings: then nothing is known of the scatter within them.
pub(super) fn studied(values: &[f64], labels: &[String], stated: &str) -> Option<Subgroups> {
    let groups = gathered(values, labels);
    let readings: Vec<&[f64]> = groups
        .iter()
        .map(|(_, readings)| readings.as_slice())
        .collect();
    let found = capability::subgroups::Subgroups::of(&readings)?;
    Some(Subgroups {
        stated: stated.to_owned(),
        count: found.count,
        size: found.size,
        sd_within: found.sd_within,
        freedom: found.freedom,
        means_equal: recorded(found.means_equal),
        spreads_equal_bartlett: recorded(found.spreads_equal_bartlett),
        spreads_equal_levene: recorded(found.spreads_equal_levene),
        sd_between: found.sd_between,
        each: groups.iter().take(LISTED).map(each).collect(),
    })
}

fn gathered(values: &[f64], labels: &[String]) -> Vec<(String, Vec<f64>)> {
    let mut places = std::collections::BTreeMap::new();
    let mut groups: Vec<(String, Vec<f64>)> = Vec::new();
    for (value, label) in values.iter().zip(labels) {
        let place = *places.entry(label.as_str()).or_insert_with(|| {
            groups.push((label.clone(), Vec::new()));
            groups.len() - 1
        });
        groups[place].1.push(*value);
    }
    groups
}

fn each((name, readings): &(String, Vec<f64>)) -> Subgroup {
    Subgroup {
        name: name.clone(),
        n: readings.len() as u64,
        mean: Moments::of(readings).mean().unwrap_or_default(),
        min: readings.iter().copied().fold(f64::INFINITY, f64::min),
        max: readings.iter().copied().fold(f64::NEG_INFINITY, f64::max),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn labels(text: &str) -> Vec<String> {
        text.split(' ').map(str::to_owned).collect()
    }

    #[test]
    fn verified_two_subgroups_by_hand() {
        // Means 2 and 5, squares within 2 + 2, between 3 * 1.5^2 * 2 = 13.5: F = 13.5/(4/4), and n0 = 3.
        let values = [1.0, 4.0, 2.0, 5.0, 3.0, 6.0];
        let got = studied(&values, &labels("a b a b a b"), "by x").expect("subgroups");
        assert_eq!((got.count, got.size, got.freedom), (2, (3, 3), 4));
        assert!((got.sd_within - 1.0).abs() < 1e-15);
        assert!((got.means_equal.expect("a test").statistic - 13.5).abs() < 1e-12);
        assert!((got.sd_between - libm::sqrt(12.5 / 3.0)).abs() < 1e-12);
        assert_eq!(got.each[1].name, "b");
    }

    #[test]
    fn subgroups_of_one_say_nothing_of_the_scatter_within() {
        assert!(studied(&[1.0, 2.0], &labels("a b"), "").is_none());
        let one = studied(&[1.0, 2.0, 4.0], &labels("a a a"), "").expect("one subgroup");
        assert_eq!((one.count, one.means_equal, one.sd_between), (1, None, 0.0));
    }

    #[test]
    fn subgroups_without_spread_have_no_test() {
        let got = studied(&[1.0, 1.0, 2.0, 2.0], &labels("a a b b"), "").expect("subgroups");
        assert_eq!(
            (
                got.means_equal,
                got.spreads_equal_bartlett,
                got.spreads_equal_levene
            ),
            (None, None, None)
        );
    }
}
