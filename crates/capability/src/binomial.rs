//! Exact interval of a share that was counted.

use distributions::beta;

use crate::interval::{Interval, tail_of};

/// Clopper-Pearson two-sided interval of the chance behind `count` hits out of `of` trials.
///
/// The lower end is the chance at which `count` or more hits have probability `alpha / 2`, the upper end the chance at
/// which `count` or fewer have it, `alpha = 1 - confidence` (C. J. Clopper, E. S. Pearson, Biometrika 26 (1934) 404-413,
/// recalled). With `B` the quantile of the beta distribution:
///
/// ```text
/// low = B(alpha/2; count, of - count + 1)      0 at no hits;   (alpha/2)^(1/of) at `of` hits
/// high = B(1 - alpha/2; count + 1, of - count)   1 at `of` hits; 1 - (alpha/2)^(1/of) at no hits
/// ```
///
/// Always two-sided, also at no hits and at `of` hits. Covers with at least the stated confidence for every chance. The
/// ends are good to 1e-12 relative for up to `2^53` trials and take well under a millisecond. No trials: `0..1`.
///
/// # Panics
///
/// When more hits than trials are given, or the confidence is not strictly between 0 and 1.
///
/// ```
/// let rejects = capability::binomial::interval(0, 1000, 0.95);
/// assert_eq!(rejects.low, 0.0);
/// assert!((rejects.high - 0.003682).abs() < 1e-6);
/// ```
pub fn interval(count: u64, of: u64, confidence: f64) -> Interval {
    assert!(count <= of, "{count} hits out of {of} trials");
    let tail = tail_of(confidence);
    if of == 0 {
        return Interval {
            low: 0.0,
            high: 1.0,
        };
    }
    let (hits, misses) = (count as f64, (of - count) as f64);
    let low = match count {
        0 => 0.0,
        _ if count == of => libm::exp(libm::log(tail) / hits),
        _ => beta::quantile(tail, hits, misses + 1.0),
    };
    let high = match count {
        _ if count == of => 1.0,
        0 => -libm::expm1(libm::log(tail) / misses),
        _ => beta::upper_quantile(tail, hits + 1.0, misses),
    };
    Interval { low, high }
}

/// Probability of `least` or more hits in `of` trials of chance `chance`.
pub(crate) fn at_least(least: u64, of: u64, chance: f64) -> f64 {
    match least {
        0 => 1.0,
        _ if least > of => 0.0,
        _ => beta::below(chance, least as f64, (of - least) as f64 + 1.0),
    }
}

/// Probability of fewer than `bound` hits in `of` trials of chance `chance`.
pub(crate) fn fewer_than(bound: u64, of: u64, chance: f64) -> f64 {
    match bound {
        0 => 0.0,
        _ if bound > of => 1.0,
        _ => beta::above(chance, bound as f64, (of - bound) as f64 + 1.0),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ends_at_no_hits_and_at_all_hits_have_closed_forms() {
        for of in [1, 20, 1000, 1_000_000_000_000] {
            let none = interval(0, of, 0.95);
            let all = interval(of, of, 0.95);
            assert_eq!((none.low, all.high), (0.0, 1.0));
            // (1 - high)^of = alpha / 2
            let back = libm::exp(of as f64 * libm::log1p(-none.high));
            assert!((back / 0.025 - 1.0).abs() < 1e-13, "of {of}: {back}");
            assert!((all.low + none.high - 1.0).abs() < 1e-15, "of {of}");
        }
    }

    #[test]
    fn one_hit_is_left_out_with_half_of_alpha() {
        // P(at least 1 | low) = 1 - (1 - low)^of, P(at most 1 | high) in full.
        let of = 1_000_000_u64;
        let i = interval(1, of, 0.95);
        let n = of as f64;
        let at_least_one = -libm::expm1(n * libm::log1p(-i.low));
        let at_most_one = libm::exp(n * libm::log1p(-i.high))
            + n * i.high * libm::exp((n - 1.0) * libm::log1p(-i.high));
        assert!((at_least_one / 0.025 - 1.0).abs() < 1e-12, "{at_least_one}");
        assert!((at_most_one / 0.025 - 1.0).abs() < 1e-9, "{at_most_one}");
    }

    #[test]
    fn hits_and_misses_mirror_each_other() {
        for (count, of) in [(1, 10), (3, 100), (40, 100), (17, 12_345)] {
            let (hits, misses) = (interval(count, of, 0.9), interval(of - count, of, 0.9));
            assert!(
                (hits.low + misses.high - 1.0).abs() < 1e-15,
                "{count} of {of}"
            );
            assert!(
                (hits.high + misses.low - 1.0).abs() < 1e-15,
                "{count} of {of}"
            );
        }
    }

    #[test]
    fn nothing_tried_says_nothing() {
        assert_eq!(
            interval(0, 0, 0.95),
            Interval {
                low: 0.0,
                high: 1.0
            }
        );
    }

    #[test]
    fn tails_of_the_binomial_match_their_sums() {
        // 5 trials of chance 0.3: P(B >= 2) = 1 - 0.7^5 - 5 0.3 0.7^4 = 0.47178.
        assert!((at_least(2, 5, 0.3) - 0.471_78).abs() < 1e-14);
        assert!((fewer_than(2, 5, 0.3) - 0.528_22).abs() < 1e-14);
        assert_eq!((at_least(0, 5, 0.3), at_least(6, 5, 0.3)), (1.0, 0.0));
        assert_eq!((fewer_than(0, 5, 0.3), fewer_than(6, 5, 0.3)), (0.0, 1.0));
    }
}
