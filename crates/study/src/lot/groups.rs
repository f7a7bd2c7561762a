//! Subgroups of readings made close together: scatter within them, and whether their means and spreads differ.

use capability::moments::Moments;
use capability::quantiles;
use record::{Subgroup, Subgroups, Test};

use super::chance::{chi_square_test, f_test};

/// Subgroups that a record lists.
const LISTED: usize = 400;

/// Puts readings into subgroups by their labels, in the order in which these first appear.
///
/// `None` where no subgroup holds two readings: then nothing is known of the scatter within them.
pub(super) fn studied(values: &[f64], labels: &[String], stated: &str) -> Option<Subgroups> {
    let groups = gathered(values, labels);
    let of: Vec<Moments> = groups
        .iter()
        .map(|(_, readings)| Moments::of(readings))
        .collect();
    let sizes = groups.iter().map(|(_, readings)| readings.len() as u64);
    let freedom = values
        .len()
        .checked_sub(groups.len())
        .filter(|left| *left > 0)?;
    let (within, between) = squares(&of);
    let mean_square = within / freedom as f64;
    let count = groups.len();
    let readings: Vec<&[f64]> = groups
        .iter()
        .map(|(_, readings)| readings.as_slice())
        .collect();
    Some(Subgroups {
        stated: stated.to_owned(),
        count: count as u64,
        size: (sizes.clone().min()?, sizes.max()?),
        sd_within: libm::sqrt(mean_square),
        freedom: freedom as u64,
        means_equal: analysis(within, between, count, values.len()),
        spreads_equal_bartlett: bartlett(&of, mean_square, freedom),
        spreads_equal_levene: levene(&readings),
        sd_between: sd_between(&of, mean_square, between, values.len()),
        each: groups
            .iter()
            .zip(&of)
            .take(LISTED)
            .map(|((name, readings), of)| each(name, readings, of))
            .collect(),
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

fn each(name: &str, readings: &[f64], of: &Moments) -> Subgroup {
    Subgroup {
        name: name.to_owned(),
        n: of.n(),
        mean: of.mean().unwrap_or_default(),
        min: readings.iter().copied().fold(f64::INFINITY, f64::min),
        max: readings.iter().copied().fold(f64::NEG_INFINITY, f64::max),
    }
}

/// Sums of squares within subgroups and between their means.
fn squares(of: &[Moments]) -> (f64, f64) {
    let total: f64 = of.iter().map(|group| group.n() as f64).sum();
    let mean = of
        .iter()
        .map(|group| group.n() as f64 * group.mean().unwrap_or_default())
        .sum::<f64>()
        / total;
    let within = of.iter().map(|group| {
        let sd = group.sd().unwrap_or_default();
        (group.n().saturating_sub(1)) as f64 * sd * sd
    });
    let between = of.iter().map(|group| {
        let off = group.mean().unwrap_or_default() - mean;
        group.n() as f64 * off * off
    });
    (within.sum(), between.sum())
}

/// One-way analysis of variance: `F = (between/(k - 1)) / (within/(N - k))`.
fn analysis(within: f64, between: f64, groups: usize, n: usize) -> Option<Test> {
    let over = groups.checked_sub(1).filter(|over| *over > 0)? as f64;
    let under = n.checked_sub(groups).filter(|under| *under > 0)? as f64;
    (within > 0.0).then(|| f_test((between / over) / (within / under), over, under))?
}

/// Standard deviation of the means beyond chance: `sqrt((MS between - MS within)/n0)`, with
/// `n0 = (N - sum n_i^2 / N)/(k - 1)`; 0 when the mean square between is the smaller.
fn sd_between(of: &[Moments], within: f64, between: f64, n: usize) -> f64 {
    if of.len() < 2 {
        return 0.0;
    }
    let (n, over) = (n as f64, (of.len() - 1) as f64);
    let squared: f64 = of.iter().map(|group| (group.n() * group.n()) as f64).sum();
    let size = (n - squared / n) / over;
    libm::sqrt(((between / over - within) / size).max(0.0))
}

/// Bartlett's test (Proc. R. Soc. A 160 (1937) 268-282, recalled):
///
/// ```text
/// T = ((N - k) ln s^2 - sum (n_i - 1) ln s_i^2) / (1 + (sum 1/(n_i - 1) - 1/(N - k))/(3 (k - 1)))
/// ```
fn bartlett(of: &[Moments], mean_square: f64, freedom: usize) -> Option<Test> {
    let over = of.len().checked_sub(1).filter(|over| *over > 0)? as f64;
    let (mut logs, mut inverse) = (0.0, 0.0);
    for group in of {
        let sd = group.sd().filter(|sd| *sd > 0.0)?;
        let own = (group.n() - 1) as f64;
        logs += own * libm::log(sd * sd);
        inverse += 1.0 / own;
    }
    let freedom = freedom as f64;
    let statistic = (freedom * libm::log(mean_square) - logs)
        / (1.0 + (inverse - 1.0 / freedom) / (3.0 * over));
    chi_square_test(statistic, over)
}

/// Levene's test with medians (M. B. Brown, A. B. Forsythe, J. Am. Stat. Assoc. 69 (1974) 364-367, recalled): the analysis of
/// variance of the distances from the median of each subgroup.
fn levene(groups: &[&[f64]]) -> Option<Test> {
    let distances: Vec<Moments> = groups
        .iter()
        .map(|readings| {
            let mut sorted = readings.to_vec();
            sorted.sort_by(f64::total_cmp);
            let median = quantiles::of_sorted(&sorted, 0.5).unwrap_or_default();
            let away: Vec<f64> = readings.iter().map(|x| libm::fabs(x - median)).collect();
            Moments::of(&away)
        })
        .collect();
    let (within, between) = squares(&distances);
    let n = groups.iter().map(|readings| readings.len()).sum();
    analysis(within, between, groups.len(), n)
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
