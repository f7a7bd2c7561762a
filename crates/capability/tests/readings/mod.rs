//! Readings that any language makes alike: whole numbers from the SplitMix64 generator; and normal ones.

#![allow(
    dead_code,
    reason = "each test that shares this file uses a part of it"
)]

use distributions::normal;

/// SplitMix64 (S. Vigna's reference code, recalled): one addition and two multiply-xor rounds a number.
pub struct SplitMix64(pub u64);

impl SplitMix64 {
    pub fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Uniform in the open interval (0, 1).
    pub fn uniform(&mut self) -> f64 {
        ((self.next() >> 11) as f64 + 0.5) / 9_007_199_254_740_992.0
    }

    /// Standard normal.
    pub fn score(&mut self) -> f64 {
        normal::quantile(self.uniform())
    }
}

/// `n` readings of a shape, each a whole number divided by `step` and cut:
/// `sum` is the sum of the four 16-bit parts of a number (nearly normal), `square` the upper 16 bits of the square of its
/// upper half (skewed).
pub fn readings(shape: &str, seed: u64, n: usize, step: u64) -> Vec<f64> {
    let mut generator = SplitMix64(seed);
    let mut one = || {
        let number = generator.next();
        let whole = match shape {
            "sum" => (0..4).map(|part| number >> (16 * part) & 0xffff).sum(),
            "square" => ((number >> 32) * (number >> 32)) >> 48,
            _ => panic!("no shape is called {shape:?}"),
        };
        (whole / step) as f64
    };
    (0..n).map(|_| one()).collect()
}
