//! Random streams: 64-bit words that are a function of a key and a place, with no state.

use std::convert::Infallible;

use rand::rand_core::TryRng;

/// Version of the streams: raised whenever the same seed would give other draws.
pub const STREAM_VERSION: u32 = 2;

/// The odd constant nearest to `2^64` over the golden ratio: the step of a Weyl walk.
const STEP: u64 = 0x9E37_79B9_7F4A_7C15;

/// The finaliser of SplitMix64: a bijection of 64-bit words (Steele, Lea, Flood 2014).
#[inline(always)]
pub(crate) const fn mix(word: u64) -> u64 {
    keyed_mix(word, 0)
}

/// The same finaliser with a key between its two rounds; a bijection for every key.
#[inline(always)]
const fn keyed_mix(word: u64, key: u64) -> u64 {
    let word = (word ^ (word >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9) ^ key;
    let word = (word ^ (word >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    word ^ (word >> 31)
}

/// Which draws a stream holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct StreamId<'a> {
    /// Seed of the scenario.
    pub seed: u64,
    /// Point of a study, or `None` for draws that all points share.
    pub point: Option<u64>,
    /// The characteristic's own name: adding another one shifts nothing.
    pub characteristic: &'a str,
    /// How often the part was drawn again because inspection refused it.
    pub attempt: u32,
}

/// A stream of 64-bit words: word `i` is the finaliser of `before + (i + 1) STEP`, with `between` between its two rounds.
///
/// The key stands twice, before and between the rounds: streams with different keys are not shifted copies of one walk,
/// not even where their walks happen to overlap. Within one stream the map from `i` to the word is a bijection.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stream {
    before: u64,
    between: u64,
}

impl Stream {
    /// The stream of these draws.
    pub fn new(id: StreamId<'_>) -> Stream {
        let mut state = mix(id.seed.wrapping_add(STEP));
        let mut absorb = |word: u64| {
            state = mix((state ^ mix(word.wrapping_add(STEP))).wrapping_add(STEP));
        };
        match id.point {
            None => absorb(0),
            Some(point) => {
                absorb(1);
                absorb(point);
            }
        }
        absorb(id.characteristic.len() as u64);
        for bytes in id.characteristic.as_bytes().chunks(8) {
            let mut word = [0; 8];
            word[..bytes.len()].copy_from_slice(bytes);
            absorb(u64::from_le_bytes(word));
        }
        absorb(u64::from(id.attempt));
        Stream {
            before: mix(state ^ 0x5851_F42D_4C95_7F2D),
            between: mix(state ^ 0x1405_7B7E_F767_814F),
        }
    }

    /// Word `index` of the stream.
    #[inline(always)]
    pub fn word(&self, index: u64) -> u64 {
        let walk = self
            .before
            .wrapping_add(index.wrapping_add(1).wrapping_mul(STEP));
        keyed_mix(walk, self.between)
    }

    /// Fills in the words from `first` on. The walk goes step by step: a vector unit adds sooner than it multiplies.
    #[inline(always)]
    pub fn fill(&self, first: u64, words: &mut [u64]) {
        let mut walk = self.before.wrapping_add(first.wrapping_mul(STEP));
        for word in words {
            walk = walk.wrapping_add(STEP);
            *word = keyed_mix(walk, self.between);
        }
    }

    /// A generator for `rand`'s world that walks through the words from `index` on.
    pub fn words_from(self, index: u64) -> Words {
        Words {
            stream: self,
            index,
        }
    }
}

/// The words of a stream one after the other, as a generator of the `rand` family.
#[derive(Debug, Clone)]
pub struct Words {
    stream: Stream,
    index: u64,
}

impl TryRng for Words {
    type Error = Infallible;

    fn try_next_u32(&mut self) -> Result<u32, Infallible> {
        self.try_next_u64().map(|word| (word >> 32) as u32)
    }

    fn try_next_u64(&mut self) -> Result<u64, Infallible> {
        let word = self.stream.word(self.index);
        self.index = self.index.wrapping_add(1);
        Ok(word)
    }

    fn try_fill_bytes(&mut self, bytes: &mut [u8]) -> Result<(), Infallible> {
        for part in bytes.chunks_mut(8) {
            let word = self.try_next_u64()?.to_le_bytes();
            part.copy_from_slice(&word[..part.len()]);
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn id(seed: u64, characteristic: &str) -> StreamId<'_> {
        StreamId {
            seed,
            point: None,
            characteristic,
            attempt: 0,
        }
    }

    #[test]
    fn verified_finaliser_gives_the_published_words_of_splitmix64() {
        // SplitMix64, seed 0, first three words: reference code of its authors, recalled.
        let walk = |i: u64| mix(STEP.wrapping_mul(i));
        assert_eq!(walk(1), 0xE220_A839_7B1D_CDAF);
        assert_eq!(walk(2), 0x6E78_9E6A_A1B9_65F4);
        assert_eq!(walk(3), 0x06C4_5D18_8009_454F);
    }

    #[test]
    fn pinned_words_of_a_stream() {
        let stream = Stream::new(id(7, "shaft.gauge_diameter"));
        let words: Vec<u64> = [0, 1, 255, 256, u64::MAX].map(|i| stream.word(i)).to_vec();
        assert_eq!(words, PINNED, "{words:#x?}");
    }

    const PINNED: [u64; 5] = [
        0x800a_b46b_352c_a7c6,
        0x0c1b_195d_52a7_d092,
        0x8539_84fb_43c3_be46,
        0x9103_b1b8_50f9_07c6,
        0xeba3_c664_c08e_546b,
    ];

    #[test]
    fn small_change_of_the_id_gives_an_unrelated_stream() {
        let a = Stream::new(id(7, "shaft.gauge_diameter"));
        let others = [
            Stream::new(id(8, "shaft.gauge_diameter")),
            Stream::new(id(7, "shaft.gauge_plane")),
            Stream::new(StreamId {
                point: Some(0),
                ..id(7, "shaft.gauge_diameter")
            }),
            Stream::new(StreamId {
                attempt: 1,
                ..id(7, "shaft.gauge_diameter")
            }),
        ];
        for b in others {
            let differing: u32 = (0..64).map(|i| (a.word(i) ^ b.word(i)).count_ones()).sum();
            // 4096 fair bits: 2048 +- 32; six sigma either way, odds of a false alarm 2e-9.
            assert!(
                (1856..=2240).contains(&differing),
                "{differing} bits differ"
            );
        }
    }

    #[test]
    fn streams_on_one_walk_are_unrelated_through_the_key_between_the_rounds() {
        let a = Stream::new(id(7, "hub.gauge_diameter"));
        for other in ["hub.gauge_plane", "spacer.thickness", "contact.friction"] {
            let b = Stream {
                before: a.before,
                ..Stream::new(id(7, other))
            };
            let n = 200_000_u64;
            let (mut ones, mut product) = ([0_u32; 64], 0.0);
            for i in 0..n {
                let (x, y) = (a.word(i), b.word(i));
                for (bit, ones) in ones.iter_mut().enumerate() {
                    *ones += u32::from((x ^ y) >> bit & 1 == 1);
                }
                let centred = |word: u64| (word >> 11) as f64 / 9_007_199_254_740_992.0 - 0.5;
                product += centred(x) * centred(y);
            }
            // Of each difference bit 100,000 +- 224 ones; a sum of products of +- sqrt(n)/12. Six sigma: odds 4e-7 in all.
            for (bit, &ones) in ones.iter().enumerate() {
                assert!(
                    (98_656..=101_344).contains(&ones),
                    "{other}, bit {bit}: {ones}"
                );
            }
            let sigma = product * 12.0 / (n as f64).sqrt();
            assert!(sigma.abs() < 6.0, "{other}: {sigma}");
        }
    }

    #[test]
    fn filled_words_are_those_of_their_places() {
        let stream = Stream::new(id(7, "shaft.gauge_diameter"));
        for first in [0, 256, u64::MAX - 3] {
            let mut words = [0; 8];
            stream.fill(first, &mut words);
            for (i, word) in (0..).zip(words) {
                assert_eq!(word, stream.word(first.wrapping_add(i)));
            }
        }
    }

    #[test]
    fn no_word_repeats_within_or_between_small_streams() {
        let mut seen = std::collections::HashSet::new();
        for name in ["a", "b", "c", "d"] {
            for seed in 0..4 {
                let stream = Stream::new(id(seed, name));
                for i in 0..4096 {
                    // A chance repeat among 65,536 words has odds 1e-10.
                    assert!(seen.insert(stream.word(i)), "{name} {seed} {i}");
                }
            }
        }
    }
}
