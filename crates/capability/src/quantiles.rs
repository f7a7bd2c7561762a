//! Quantiles of sorted readings, and which order statistics enclose a quantile.

use distributions::normal;

use crate::binomial::{at_least, fewer_than};
use crate::interval::{Interval, tail_of};

/// Quantile `p` of readings sorted upwards.
///
/// Definition 7 of R. J. Hyndman and Y. Fan (The American Statistician 50 (1996) 361-365, recalled), the one most
/// spreadsheets use: on the straight line between the readings of rank `floor(r)` and `floor(r) + 1`, ranks from 1,
/// `r = 1 + (n - 1) p`. None without readings or with `p` outside `[0, 1]`.
pub fn of_sorted(sorted: &[f64], p: f64) -> Option<f64> {
    if !(0.0..=1.0).contains(&p) {
        return None;
    }
    let last = sorted.len().checked_sub(1)?;
    let position = last as f64 * p;
    let rank = (position as usize).min(last);
    let (here, next) = (sorted[rank], sorted[(rank + 1).min(last)]);
    Some(here + (position - rank as f64) * (next - here))
}

/// Ranks of the two order statistics that enclose quantile `p` of the population with at least the stated confidence.
///
/// Ranks count from 1. The lower rank `r` is the largest, the upper rank `s` the smallest with
///
/// ```text
/// P(X_(r) > quantile) = P(Binomial(n, p) < r) <= alpha / 2,   P(X_(s) < quantile) <= P(Binomial(n, p) >= s) <= alpha / 2
/// ```
///
/// (distribution-free; H. A. David, Order Statistics, recalled). The binomial tails are exact for every `n`, so the
/// interval never covers less than it says. None when there are too few values: no order statistic lies far enough out.
pub fn enclosing_ranks(n: u64, p: f64, confidence: f64) -> Option<(u64, u64)> {
    ranks_leaving(tail_of(confidence), n, p)
}

/// [`enclosing_ranks`] by `tail = alpha / 2` itself, which keeps its digits when a confidence would round to 1.
pub(crate) fn ranks_leaving(tail: f64, n: u64, p: f64) -> Option<(u64, u64)> {
    if n == 0 || !(p > 0.0 && p < 1.0) {
        return None;
    }
    let centre = n as f64 * p;
    let spread = libm::sqrt(centre * (1.0 - p));
    let reach = normal::upper_quantile(tail) * spread;
    // First rank whose lower tail is too heavy; the one before it is r.
    let r = first_rank(n, centre - reach, spread, |rank| {
        fewer_than(rank, n, p) > tail
    }) - 1;
    let s = first_rank(n, centre + reach, spread, |rank| {
        at_least(rank, n, p) <= tail
    });
    (r >= 1 && s <= n).then_some((r, s))
}

/// Interval of quantile `p` of the population from readings sorted upwards: see [`enclosing_ranks`].
pub fn interval_of_sorted(sorted: &[f64], p: f64, confidence: f64) -> Option<Interval> {
    let (r, s) = enclosing_ranks(sorted.len() as u64, p, confidence)?;
    Some(Interval {
        low: sorted[r as usize - 1],
        high: sorted[s as usize - 1],
    })
}

/// Smallest rank in `1..=n + 1` from which `holds` is true (taken as true at `n + 1`), by bisection round a guess.
fn first_rank(n: u64, guess: f64, spread: f64, holds: impl Fn(u64) -> bool) -> u64 {
    let margin = 2.0 + 0.25 * spread;
    // Casts saturate, so a guess outside the range lands on an end.
    let mut from = ((guess - margin) as u64).min(n);
    let mut to = ((guess + margin) as u64).clamp(1, n + 1);
    if from > 0 && holds(from) {
        from = 0;
    }
    if to <= n && !holds(to) {
        to = n + 1;
    }
    while to - from > 1 {
        let middle = from + (to - from) / 2;
        if holds(middle) {
            to = middle;
        } else {
            from = middle;
        }
    }
    to
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantile_lies_on_the_line_between_neighbours() {
        let sorted = [1.0, 2.0, 4.0, 8.0, 16.0];
        let expected = [
            (0.0, 1.0),
            (0.25, 2.0),
            (0.375, 3.0),
            (0.5, 4.0),
            (0.9, 12.8),
            (1.0, 16.0),
        ];
        for (p, value) in expected {
            let got = of_sorted(&sorted, p).unwrap();
            assert!(
                (got - value).abs() < 1e-12,
                "p {p}: got {got}, expected {value}"
            );
        }
        assert_eq!(of_sorted(&[], 0.5), None);
        assert_eq!(of_sorted(&sorted, 1.5), None);
    }

    #[test]
    fn ranks_of_the_median_match_the_sign_test_table() {
        // Two-sided 95 %: the sign test's limits are 2 of 10 and 6 of 20 (any table of the binomial with chance 1/2).
        assert_eq!(enclosing_ranks(10, 0.5, 0.95), Some((2, 9)));
        assert_eq!(enclosing_ranks(20, 0.5, 0.95), Some((6, 15)));
        assert_eq!(enclosing_ranks(5, 0.5, 0.95), None);
        assert_eq!(enclosing_ranks(6, 0.5, 0.95), Some((1, 6)));
    }

    #[test]
    fn ranks_are_the_tightest_that_keep_the_confidence() {
        for n in [3000, 10_000, 1_000_000, 1_000_000_000] {
            for p in [0.001_35, 0.5, 0.998_65] {
                let (r, s) = enclosing_ranks(n, p, 0.95).unwrap();
                assert!(
                    fewer_than(r, n, p) <= 0.025 && fewer_than(r + 1, n, p) > 0.025,
                    "n {n}, p {p}: r {r}"
                );
                assert!(
                    at_least(s, n, p) <= 0.025 && at_least(s - 1, n, p) > 0.025,
                    "n {n}, p {p}: s {s}"
                );
            }
        }
    }

    #[test]
    fn a_far_quantile_needs_enough_values() {
        // (1 - 0.00135)^n <= 0.025 from n = 2731 on.
        assert_eq!(enclosing_ranks(2730, 0.001_35, 0.95), None);
        assert!(enclosing_ranks(2731, 0.001_35, 0.95).is_some_and(|(r, _)| r == 1));
    }
}
