//! Counted shares with their exact interval.

use capability::binomial;
use record::Share;

/// `count` out of `of`, with the two-sided exact interval.
pub fn of(count: u64, of: u64, confidence: f64) -> Share {
    let interval = binomial::interval(count, of, confidence);
    Share {
        count,
        fraction: count as f64 / of as f64,
        low: interval.low,
        high: interval.high,
    }
}
