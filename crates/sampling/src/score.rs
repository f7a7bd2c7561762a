//! Scores: independent standard-normal numbers, the base of everything random.

use std::f64::consts::{LN_2, SQRT_2};

use crate::stream::Stream;

/// Pairings in one block: a column of scores, sizes or outputs has this length.
pub const BLOCK: usize = 128;

/// One column of a block.
pub type Column = [f64; BLOCK];

/// Words that the scores of one block take: one for every two.
pub const WORDS: usize = BLOCK / 2;

/// The upper 40 of a float's 52 bits.
const UPPER: u64 = 0x000F_FFFF_FFFF_F000;

/// The upper 22 of a float's 52 bits, and half a step of the last of them.
const LOWER: u64 = 0x000F_FFFF_C000_0000;
const MIDDLE: u64 = 0x0000_0000_2000_0000;

/// A float's sign, and the bit of a word that swaps sine and cosine.
const SIGN: u64 = 1 << 63;
const SWAP: u64 = 1 << 22;

/// `ln(1 + f) / f` on `[sqrt(1/2) - 1, sqrt(2) - 1]`, constant first; Chebyshev fit, error 8.6e-10.
const LOG: [f64; 11] = [
    1.0000000006010195,
    -0.49999999414017127,
    0.3333330266101698,
    -0.2500006237443588,
    0.20002535640193383,
    -0.16666555575670008,
    0.1421229125042129,
    -0.12420821262732773,
    0.11945878227356821,
    -0.11620648400270368,
    0.06572327158522023,
];

/// `-2 ln(1 + f) / f`: doubling changes no digit.
const MINUS_TWICE_LOG: [f64; 11] = {
    let mut terms = LOG;
    let mut k = 0;
    while k < terms.len() {
        terms[k] *= -2.0;
        k += 1;
    }
    terms
};

/// `sin(f pi/2) / f` in powers of `f^2` on `|f| <= 1/2`; Chebyshev fit, error 6.8e-12.
const SIN: [f64; 5] = [
    1.5707963267881,
    -0.6459640961467954,
    0.07969258272563062,
    -0.004681266256726245,
    0.00015820630355647733,
];

/// `cos(f pi/2)` in powers of `f^2` on `|f| <= 1/2`; Chebyshev fit, error 4.7e-11.
const COS: [f64; 5] = [
    0.9999999999524894,
    -1.2337005406331623,
    0.2536692036551135,
    -0.02086006950026408,
    0.0009036280663802505,
];

/// Fills a column with the scores of one characteristic for block `block`.
///
/// Box and Muller (1958): one word gives two scores, `sqrt(-2 ln u)` times the cosine for pairing `o` and times the sine for
/// pairing `o + 64` of the block. `u` takes 2^40 steps in `(0, 1]` from the upper bits of the word, so `|z| < 7.5` (beyond
/// it lies one of 1e13 scores); the angle takes the lower 24 bits. Only `+ - * / sqrt` and fused multiply-add: the bits are
/// the same on every machine. The polynomials are short: they leave a score right to 1e-9, a hundredth of what 1e14
/// pairings could tell from the truth.
#[inline(always)]
pub fn fill_scores(stream: &Stream, block: u64, scores: &mut Column) {
    fill_scaled(stream, block, 0.0, 1.0, scores);
}

/// [`fill_scores`], each score times `sd` and added to `mean`.
#[inline(always)]
pub fn fill_scaled(stream: &Stream, block: u64, mean: f64, sd: f64, values: &mut Column) {
    // The words wait where every second score will stand: a buffer of their own would take room in the first cache, and
    // where a stack puts it against the column is chance.
    let (low, high) = values.split_at_mut(WORDS);
    for (place, word) in high
        .iter_mut()
        .zip(stream.walk(block.wrapping_mul(WORDS as u64)))
    {
        *place = f64::from_bits(word);
    }
    for o in 0..WORDS {
        let word = high[o].to_bits();
        let radius = radius(word);
        let (sine, cosine) = turn(word);
        low[o] = sd.mul_add(radius * cosine, mean);
        high[o] = sd.mul_add(radius * sine, mean);
    }
}

/// The score of one index: the same that [`fill_scores`] gives its pairing.
pub fn score_of(stream: &Stream, index: u64) -> f64 {
    let (block, offset) = (index / BLOCK as u64, index as usize % BLOCK);
    let word = stream.word(block * WORDS as u64 + (offset % WORDS) as u64);
    let (sine, cosine) = turn(word);
    let score = radius(word) * if offset < WORDS { cosine } else { sine };
    1.0_f64.mul_add(score, 0.0)
}

/// `sqrt(-2 ln u)` for the `u` in `(0, 1]` that the upper 40 bits of the word stand for.
#[inline(always)]
fn radius(word: u64) -> f64 {
    let unit = 2.0 - f64::from_bits((word >> 12) & UPPER | 0x3FF0_0000_0000_0000);
    // u = 2^e (1 + f) with 1 + f in [sqrt(1/2), sqrt(2)).
    let shifted = unit.to_bits().wrapping_sub((SQRT_2 / 2.0).to_bits());
    let exponent = (shifted as i64) >> 52;
    let mantissa =
        f64::from_bits((shifted & 0x000F_FFFF_FFFF_FFFF).wrapping_add((SQRT_2 / 2.0).to_bits()));
    let f = mantissa - 1.0;
    // Pairs of terms, then pairs of pairs (Estrin): a chain of products is as slow as it is long.
    const L: [f64; 11] = MINUS_TWICE_LOG;
    let (square, pair) = (f * f, |k: usize| L[k + 1].mul_add(f, L[k]));
    let low = pair(2).mul_add(square, pair(0));
    let middle = pair(6).mul_add(square, pair(4));
    let high = L[10].mul_add(square, pair(8));
    let fourth = square * square;
    let sum = high.mul_add(fourth, middle).mul_add(fourth, low);
    let minus_twice_log = integer(exponent).mul_add(-2.0 * LN_2, f * sum);
    minus_twice_log.sqrt()
}

/// A small integer as a float, by the bits of 1.5 2^52: a vector unit has no other cheap way.
#[inline(always)]
fn integer(value: i64) -> f64 {
    const MAGIC: f64 = 6_755_399_441_055_744.0;
    f64::from_bits(MAGIC.to_bits().wrapping_add(value as u64)) - MAGIC
}

/// Sine and cosine of a uniformly random angle from the lower 24 bits: bit 23 mirrors the cosine, bit 22 swaps the two, the
/// rest are an eighth of a turn to either side. The lowest bits of a word, its weakest, are the last digits of the angle.
#[inline(always)]
fn turn(word: u64) -> (f64, f64) {
    // The middle of each of the 2^22 steps, so that no direction is met twice.
    let f = f64::from_bits((word << 30) & LOWER | MIDDLE | 0x3FF0_0000_0000_0000) - 1.5;
    let square = f * f;
    let mut sine = SIN[4];
    let mut cosine = COS[4];
    for k in (0..4).rev() {
        sine = sine.mul_add(square, SIN[k]);
        cosine = cosine.mul_add(square, COS[k]);
    }
    let sine = f * sine;
    let cosine = f64::from_bits(cosine.to_bits() ^ (word << 40) & SIGN);
    if word & SWAP == 0 {
        (sine, cosine)
    } else {
        (cosine, sine)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stream::StreamId;

    fn stream(name: &str) -> Stream {
        Stream::new(StreamId {
            seed: 1,
            point: None,
            characteristic: name,
            attempt: 0,
        })
    }

    #[test]
    fn radius_agrees_with_libm_over_its_range() {
        for i in 0..100_000_u64 {
            let word = i.wrapping_mul(0x9E37_79B9_7F4A_7C15);
            let unit = 2.0 - f64::from_bits((word >> 12) & UPPER | 0x3FF0_0000_0000_0000);
            let (got, expected) = (radius(word), (-2.0 * libm::log(unit)).sqrt());
            assert!(
                (got - expected).abs() <= 1e-9,
                "u = {unit}: {got} for {expected}"
            );
        }
        assert_eq!(radius(0), 0.0);
        let largest = radius(u64::MAX);
        assert!((largest - (80.0 * LN_2).sqrt()).abs() < 1e-9, "{largest}");
    }

    #[test]
    fn turn_agrees_with_libm_in_all_four_quarters() {
        let mut quarters = [0_u32; 4];
        for i in 0..100_000_u64 {
            let (sine, cosine) = turn(crate::stream::mix(i));
            assert!((sine.mul_add(sine, cosine * cosine) - 1.0).abs() < 2e-10);
            quarters[usize::from(sine < 0.0) * 2 + usize::from(cosine < 0.0)] += 1;
        }
        // 25,000 +- 137 each; six sigma, odds of a false alarm 1e-8.
        assert!(
            quarters.iter().all(|&q| (24_178..=25_822).contains(&q)),
            "{quarters:?}"
        );
    }

    #[test]
    fn moments_of_scores_are_those_of_a_standard_normal() {
        let stream = stream("moments");
        let mut column = [0.0; BLOCK];
        let blocks = 20_000_u64;
        let (mut sums, mut beyond_three) = ([0.0; 4], 0_u32);
        for block in 0..blocks {
            fill_scores(&stream, block, &mut column);
            for &z in &column {
                let square = z * z;
                sums[0] += z;
                sums[1] += square;
                sums[2] += square * z;
                sums[3] += square * square;
                beyond_three += u32::from(z.abs() > 3.0);
            }
        }
        let n = (blocks as f64) * BLOCK as f64;
        // Standard errors of the raw moments: 1, sqrt 2, sqrt 15, sqrt 96 over sqrt n. Five sigma each: odds 2e-6.
        let expected = [0.0, 1.0, 0.0, 3.0];
        let error = [1.0, 2.0_f64.sqrt(), 15.0_f64.sqrt(), 96.0_f64.sqrt()];
        for k in 0..4 {
            let z = (sums[k] / n - expected[k]) * n.sqrt() / error[k];
            assert!(z.abs() < 5.0, "moment {}: {z} sigma", k + 1);
        }
        let p = 2.699_796_063_260_188_5e-3;
        let z = (f64::from(beyond_three) - n * p) / (n * p).sqrt();
        assert!(z.abs() < 5.0, "beyond three sigma: {z} sigma");
    }

    #[test]
    fn two_scores_of_one_pair_are_uncorrelated() {
        let stream = stream("pairs");
        let mut column = [0.0; BLOCK];
        let (mut product, mut squares) = (0.0, 0.0);
        let blocks = 5_000_u64;
        for block in 0..blocks {
            fill_scores(&stream, block, &mut column);
            for o in 0..WORDS {
                product += column[o] * column[o + WORDS];
                squares += (column[o].powi(2) - 1.0) * (column[o + WORDS].powi(2) - 1.0);
            }
        }
        let n = (blocks as usize * WORDS) as f64;
        // Standard errors sqrt n and 2 sqrt n; five sigma each, odds 1e-6.
        assert!((product / n.sqrt()).abs() < 5.0);
        assert!((squares / n.sqrt() / 2.0).abs() < 5.0);
    }

    #[test]
    fn the_score_of_an_index_is_the_one_of_its_block() {
        let (stream, mut column) = (stream("one"), [0.0; BLOCK]);
        for block in [0, 1, 1 << 40] {
            fill_scores(&stream, block, &mut column);
            for (lane, z) in column.iter().enumerate() {
                assert_eq!(score_of(&stream, block * BLOCK as u64 + lane as u64), *z);
            }
        }
    }

    #[test]
    fn pinned_scores_of_a_block() {
        let mut column = [0.0; BLOCK];
        fill_scores(&stream("pinned"), 3, &mut column);
        let bits = [0, 1, 63, 64, 65, 127].map(|i: usize| column[i].to_bits());
        assert_eq!(bits, PINNED, "{bits:#x?}");
    }

    const PINNED: [u64; 6] = [
        0x3fec_cd01_8333_5e49,
        0xbff2_0ce6_e95c_a697,
        0x3fec_9268_f097_e43f,
        0x3fd9_809b_1db6_e7b8,
        0xbfbc_8112_c00e_b055,
        0x3fe6_d4b5_f903_cae3,
    ];
}
