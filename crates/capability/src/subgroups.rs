//! Readings in subgroups made close together: the scatter within them, and whether their means and spreads differ.

use distributions::normal;

use crate::moments::Moments;
use crate::quantiles;
use crate::sum::Compensated;
use crate::test::Test;

/// What subgroups tell of a process: the scatter within them, that between their means, and whether chance explains it.
#[derive(Debug, Clone, PartialEq)]
pub struct Subgroups {
    /// Readings in all subgroups.
    pub n: u64,
    /// Subgroups that hold a reading.
    pub count: u64,
    /// Readings in the smallest and in the largest subgroup.
    pub size: (u64, u64),
    /// Pooled standard deviation within subgroups: `s^2 = sum (n_i - 1) s_i^2 / (N - k)`.
    pub sd_within: f64,
    /// Its degrees of freedom `N - k`.
    pub freedom: u64,
    /// Standard deviation of the subgroup means beyond what the scatter within gives: `sqrt((MS between - s^2)/n0)` with
    /// `n0 = (N - sum n_i^2/N)/(k - 1)`; 0 where the mean square between is the smaller, and of one subgroup.
    pub sd_between: f64,
    /// One-way analysis of variance: are the means equal? `F = MS between / s^2` with `k - 1` and `N - k` degrees of freedom,
    /// where the subgroups are normal with one spread. None of one subgroup or without scatter within.
    pub means_equal: Option<Test>,
    /// Bartlett's test: are the spreads equal, where the subgroups are normal? None below two subgroups of two readings, or
    /// when one of them has no spread.
    pub spreads_equal_bartlett: Option<Test>,
    /// Levene's test with medians: are the spreads equal, whatever the shape? None of one subgroup, or when all distances from
    /// the medians agree within each subgroup.
    pub spreads_equal_levene: Option<Test>,
}

impl Subgroups {
    /// Studies subgroups. An empty one counts for nothing; one of a single reading has a mean but no spread.
    ///
    /// None where no subgroup holds two readings (then nothing is known of the scatter within), or where the squares of the
    /// readings are beyond what a number carries.
    pub fn of(groups: &[&[f64]]) -> Option<Self> {
        let groups: Vec<&[f64]> = groups.iter().copied().filter(|g| !g.is_empty()).collect();
        let n: usize = groups.iter().map(|group| group.len()).sum();
        let freedom = n.checked_sub(groups.len()).filter(|left| *left > 0)?;
        let origin = *groups.first()?.first()?;
        // From a common origin among the readings, so that means of readings far from 0 keep the digits of their difference.
        let each: Vec<Vec<f64>> = groups
            .iter()
            .map(|group| group.iter().map(|x| x - origin).collect())
            .collect();
        let of: Vec<Moments> = each.iter().map(|group| Moments::of(group)).collect();
        let squares = Squares::of(&of);
        let noise = noise(&groups);
        let sizes = of.iter().map(Moments::n);
        let made = Self {
            n: n as u64,
            count: of.len() as u64,
            size: (sizes.clone().min()?, sizes.max()?),
            sd_within: libm::sqrt(squares.within / freedom as f64),
            freedom: freedom as u64,
            sd_between: sd_between(&of, &squares),
            means_equal: squares.analysis(noise),
            spreads_equal_bartlett: bartlett(&of),
            spreads_equal_levene: levene(&each, noise),
        };
        (made.sd_within.is_finite() && made.sd_between.is_finite()).then_some(made)
    }
}

/// A sum of squares within subgroups at or below this is the rounding of the readings, not scatter.
fn noise(groups: &[&[f64]]) -> f64 {
    let readings = || groups.iter().flat_map(|group| group.iter());
    let largest = readings().fold(0.0, |most: f64, x| most.max(libm::fabs(*x)));
    let rounding = 4.0 * f64::EPSILON * largest;
    rounding * rounding * readings().count() as f64
}

/// Sums of squares of a one-way layout.
struct Squares {
    n: f64,
    groups: f64,
    within: f64,
    between: f64,
}

impl Squares {
    /// `within = sum (n_i - 1) s_i^2`, `between = sum n_i (mean_i - mean)^2`.
    fn of(of: &[Moments]) -> Self {
        let mean = |group: &Moments| group.mean().unwrap_or(0.0);
        let size = |group: &Moments| group.n() as f64;
        let n: f64 = of.iter().map(size).sum();
        let all = Compensated::of(of.iter().map(|group| size(group) * mean(group))) / n;
        let within = of.iter().filter_map(|group| {
            let sd = group.sd()?;
            Some((size(group) - 1.0) * sd * sd)
        });
        let between = of.iter().map(|group| {
            let off = mean(group) - all;
            size(group) * off * off
        });
        Self {
            n,
            groups: of.len() as f64,
            within: Compensated::of(within),
            between: Compensated::of(between),
        }
    }

    /// `F = (between/(k - 1)) / (within/(N - k))`.
    fn analysis(&self, noise: f64) -> Option<Test> {
        let (over, under) = (self.groups - 1.0, self.n - self.groups);
        if !(over >= 1.0 && under >= 1.0 && self.within > noise) {
            return None;
        }
        Test::of_f((self.between / over) / (self.within / under), over, under)
    }
}

fn sd_between(of: &[Moments], squares: &Squares) -> f64 {
    let over = squares.groups - 1.0;
    if over < 1.0 {
        return 0.0;
    }
    let own = squares.within / (squares.n - squares.groups);
    let squared: f64 = of.iter().map(|group| group.n() as f64).map(|n| n * n).sum();
    let size = (squares.n - squared / squares.n) / over;
    libm::sqrt(((squares.between / over - own) / size).max(0.0))
}

/// Bartlett's test (Proc. R. Soc. A 160 (1937) 268-282, recalled), over the subgroups of two readings and more:
///
/// ```text
/// T = ((N - k) ln s^2 - sum (n_i - 1) ln s_i^2) / (1 + (sum 1/(n_i - 1) - 1/(N - k))/(3 (k - 1)))
/// ```
///
/// nearly chi-square with `k - 1` degrees of freedom.
fn bartlett(of: &[Moments]) -> Option<Test> {
    let spreads: Vec<(f64, f64)> = of
        .iter()
        .filter_map(|group| Some(((group.n() - 1) as f64, group.sd()?)))
        .collect();
    let over = spreads.len() as f64 - 1.0;
    if over < 1.0 || spreads.iter().any(|(_, sd)| *sd <= 0.0) {
        return None;
    }
    let freedom: f64 = spreads.iter().map(|(own, _)| own).sum();
    let pooled = libm::sqrt(spreads.iter().map(|(own, sd)| own * sd * sd).sum::<f64>() / freedom);
    // ln s^2 - ln s_i^2 as one logarithm, so that nearly equal spreads keep their digits.
    let logs = spreads
        .iter()
        .map(|(own, sd)| 2.0 * own * libm::log(pooled / sd));
    let inverse: f64 = spreads.iter().map(|(own, _)| 1.0 / own).sum();
    let statistic = Compensated::of(logs) / (1.0 + (inverse - 1.0 / freedom) / (3.0 * over));
    Test::of_chi_square(statistic.max(0.0), over)
}

/// Levene's test with medians (M. B. Brown and A. B. Forsythe, J. Am. Stat. Assoc. 69 (1974) 364-367, recalled): the analysis of
/// variance of the distances of the readings from the median of their subgroup.
fn levene(groups: &[Vec<f64>], noise: f64) -> Option<Test> {
    let distances: Vec<Moments> = groups
        .iter()
        .map(|readings| {
            let mut sorted = readings.clone();
            sorted.sort_by(f64::total_cmp);
            let median = quantiles::of_sorted(&sorted, 0.5).unwrap_or(0.0);
            let away: Vec<f64> = readings.iter().map(|x| libm::fabs(x - median)).collect();
            Moments::of(&away)
        })
        .collect();
    Squares::of(&distances).analysis(noise)
}

/// Readings in a subgroup for which the constants of control charts are given.
const SIZES: std::ops::RangeInclusive<u64> = 2..=100;

/// Mean range of `n` readings of a normal process over its standard deviation, 2 to 100 readings:
///
/// ```text
/// d2 = integral of 1 - Phi(z)^n - Phi(-z)^n over all z
/// ```
///
/// (L. H. C. Tippett, Biometrika 17 (1925) 364-387, recalled). By the trapezoidal rule, whose error on a function that fades
/// like this one is below the rounding.
pub fn d2(n: u64) -> Option<f64> {
    if !SIZES.contains(&n) {
        return None;
    }
    let n = n as f64;
    let outside = |z: f64| {
        let tail = normal::below(-z);
        -libm::expm1(n * libm::log1p(-tail)) - libm::pow(tail, n)
    };
    let steps = 10.0;
    let half: f64 = (1..90).map(|i| outside(f64::from(i) / steps)).sum();
    Some((outside(0.0) + 2.0 * half) / steps)
}

/// Mean standard deviation of `n` readings of a normal process over its standard deviation, 2 to 100 readings:
///
/// ```text
/// c4 = sqrt(2/(n - 1)) G(n),   G(n) = Gamma(n/2)/Gamma((n - 1)/2),   G(2) = 1/sqrt(pi),   G(n + 1) = (n - 1)/(2 G(n))
/// ```
///
/// (standard constant of control charts, recalled; the recurrence is that of the gamma function).
pub fn c4(n: u64) -> Option<f64> {
    if !SIZES.contains(&n) {
        return None;
    }
    let first = 1.0 / libm::sqrt(std::f64::consts::PI);
    let ratio = (2..n).fold(first, |ratio, i| 0.5 * (i - 1) as f64 / ratio);
    Some(ratio * libm::sqrt(2.0 / (n - 1) as f64))
}

/// Standard deviation from the mean distance of neighbours in the order of production, `mean |x_(i+1) - x_i| / d2(2)` with
/// `d2(2) = 2/sqrt(pi)`: the scatter from one part to the next, which a slow drift hardly touches.
///
/// For single readings of a normal process without autocorrelation. None below two readings.
pub fn moving_range_sd(readings: &[f64]) -> Option<f64> {
    let pairs = readings.len().checked_sub(1).filter(|pairs| *pairs > 0)?;
    let ranges = readings
        .windows(2)
        .map(|pair| libm::fabs(pair[1] - pair[0]));
    let sd = Compensated::of(ranges) / pairs as f64 * 0.5 * libm::sqrt(std::f64::consts::PI);
    sd.is_finite().then_some(sd)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(got: f64, expected: f64, tolerance: f64) -> bool {
        (got - expected).abs() <= tolerance * expected.abs()
    }

    #[test]
    fn verified_two_subgroups_by_hand() {
        // Means 2 and 5, squares within 2 + 2, between 3 * 1.5^2 * 2 = 13.5: F = 13.5/(4/4), and n0 = 3.
        let got = Subgroups::of(&[&[1.0, 2.0, 3.0], &[], &[4.0, 5.0, 6.0]]).unwrap();
        assert_eq!((got.n, got.count, got.size, got.freedom), (6, 2, (3, 3), 4));
        assert_eq!(got.sd_within, 1.0);
        assert!(close(got.means_equal.unwrap().statistic, 13.5, 1e-15));
        assert!(close(got.sd_between, libm::sqrt(12.5 / 3.0), 1e-15));
        // Equal spreads: both statistics are 0, but for rounding.
        for test in [got.spreads_equal_bartlett, got.spreads_equal_levene] {
            assert!(
                test.is_some_and(|test| test.statistic < 1e-15 && test.p > 1.0 - 1e-7),
                "{test:?}"
            );
        }
    }

    #[test]
    fn verified_unequal_sizes_by_hand() {
        // 0, 2 | 3 | 4, 6, 8: means 1, 3, 6, of all 23/6. Within 2 + 8 = 10 on 3; between 2 + 9 + 108 - 6 (23/6)^2 on 2.
        let got = Subgroups::of(&[&[0.0, 2.0], &[3.0], &[4.0, 6.0, 8.0]]).unwrap();
        let between = 119.0 - 23.0 * 23.0 / 6.0;
        assert_eq!((got.size, got.freedom), ((1, 3), 3));
        let f = got.means_equal.unwrap();
        assert!(close(f.statistic, between / 2.0 / (10.0 / 3.0), 1e-14));
        // n0 = (6 - (4 + 1 + 9)/6)/2 = 11/6.
        let variance = (between / 2.0 - 10.0 / 3.0) / (11.0 / 6.0);
        assert!(close(got.sd_between, libm::sqrt(variance), 1e-14));
        // Bartlett over the first and third: s^2 2 on 1 and 4 on 2, pooled 10/3 on 3.
        let logs = 3.0 * libm::log(10.0 / 3.0) - libm::log(2.0) - 2.0 * libm::log(4.0);
        let divisor = 1.0 + (1.0 + 0.5 - 1.0 / 3.0) / 3.0;
        let bartlett = got.spreads_equal_bartlett.unwrap();
        assert!(close(bartlett.statistic, logs / divisor, 1e-13));
    }

    #[test]
    fn readings_far_from_zero_keep_the_digits_of_their_differences() {
        let near: [&[f64]; 3] = [&[1.0, 2.0, 4.0], &[2.0, 2.0, 7.0], &[0.0, 3.0, 5.0]];
        let far: Vec<Vec<f64>> = near
            .iter()
            .map(|group| group.iter().map(|x| x + 1e12).collect())
            .collect();
        let far: Vec<&[f64]> = far.iter().map(Vec::as_slice).collect();
        assert_eq!(Subgroups::of(&near), Subgroups::of(&far));
    }

    #[test]
    fn subgroups_of_one_say_nothing_of_the_scatter_within() {
        assert_eq!(Subgroups::of(&[&[1.0], &[2.0]]), None);
        assert_eq!(Subgroups::of(&[]), None);
        assert_eq!(Subgroups::of(&[&[], &[]]), None);
        let one = Subgroups::of(&[&[1.0, 2.0, 4.0]]).unwrap();
        assert_eq!((one.count, one.means_equal, one.sd_between), (1, None, 0.0));
    }

    #[test]
    fn subgroups_without_spread_have_no_test() {
        let flat = Subgroups::of(&[&[0.1; 3], &[0.2; 3]]).unwrap();
        assert_eq!((flat.sd_within, flat.means_equal), (0.0, None));
        assert_eq!(flat.spreads_equal_bartlett, None);
        assert_eq!(flat.spreads_equal_levene, None);
        assert!(close(
            flat.sd_between,
            0.1 * std::f64::consts::FRAC_1_SQRT_2,
            1e-12
        ));
        // The two readings of a pair lie equally far from its median: rounding must not become a statistic.
        let pairs = Subgroups::of(&[&[0.996, 0.998], &[1.001, 1.008], &[0.3, 0.7]]).unwrap();
        assert_eq!(pairs.spreads_equal_levene, None);
        assert!(pairs.spreads_equal_bartlett.is_some());
    }

    #[test]
    fn squares_that_no_number_carries_are_not_studied() {
        assert_eq!(Subgroups::of(&[&[0.0, 1e200], &[1.0, -1e308]]), None);
    }

    #[test]
    fn verified_constants_with_closed_forms() {
        // d2 of 2 to 5 and c4 of 2 to 4 (H. A. David, Order Statistics, recalled; gamma function).
        let root = libm::sqrt(std::f64::consts::PI);
        let third = libm::asin(1.0 / 3.0) / std::f64::consts::PI;
        for (n, d) in [
            (2, 2.0 / root),
            (3, 3.0 / root),
            (4, 3.0 / root * (1.0 + 2.0 * third)),
            (5, 5.0 / root * (0.5 + 3.0 * third)),
        ] {
            assert!(close(d2(n).unwrap(), d, 2e-15), "{n}: {:?}, {d}", d2(n));
        }
        let two_over_pi = 2.0 / std::f64::consts::PI;
        for (n, c) in [
            (2, libm::sqrt(two_over_pi)),
            (3, 0.5 * root),
            (4, 2.0 * libm::sqrt(two_over_pi / 3.0)),
        ] {
            assert!(close(c4(n).unwrap(), c, 1e-15), "{n}: {:?}, {c}", c4(n));
        }
        // 30-digit integration and gamma function (mpmath).
        for (n, d, c) in [
            (10, 3.077_505_461_670_346, 0.972_659_274_121_588_2),
            (25, 3.930_629_219_507_113, 0.989_640_375_585_703_1),
            (100, 5.015_187_272_883_369, 0.997_477_976_071_263_5),
        ] {
            assert!(close(d2(n).unwrap(), d, 2e-15), "{n}: {:?}, {d}", d2(n));
            assert!(close(c4(n).unwrap(), c, 4e-15), "{n}: {:?}, {c}", c4(n));
        }
        for n in [0, 1, 101, u64::MAX] {
            assert_eq!((d2(n), c4(n)), (None, None));
        }
    }

    #[test]
    fn verified_neighbours_by_hand() {
        // Distances 1, 3, 2: mean 2, over 2/sqrt(pi).
        let got = moving_range_sd(&[1.0, 2.0, 5.0, 3.0]).unwrap();
        assert!(close(got, libm::sqrt(std::f64::consts::PI), 1e-15));
        assert_eq!(moving_range_sd(&[1.0]), None);
        assert_eq!(moving_range_sd(&[]), None);
        assert_eq!(moving_range_sd(&[-1.7e308, 1.7e308]), None);
    }
}
