//! Random streams: 64-bit words that are a function of a key and a place, with no state.

use std::convert::Infallible;

use rand::rand_core::TryRng;

/// Version of the streams: raised whenever the same seed would give other draws.
pub const STREAM_VERSION: u32 = 1;

/// The odd constant nearest to `2^64` over the golden ratio: the step of a Weyl walk.
const STEP: u64 = 0x9E37_79B9_7F4A_7C15;

/// The finaliser of SplitMix64: a bijection of 64-bit words (Steele, Lea, Flood 2014).
#[inline(always)]
pub(crate) const fn mix(word: u64) -> u64 {
    let word = (word ^ (word >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
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

/// A stream of 64-bit words: word `i` is `mix(mix(before + (i + 1) STEP) ^ between)`.
///
/// The key stands twice, before and between two rounds of the finaliser: streams with different keys are
/// not shifted copies of one walk. Within one stream the map from `i` to the word is a bijection.
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
        mix(mix(walk) ^ self.between)
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
        0x00d7_f064_6512_cb78,
        0x001f_845f_2c0f_e99e,
        0x07fa_bcf1_348c_59a8,
        0x0667_3bfb_be79_742a,
        0x1df6_0648_a699_560b,
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
