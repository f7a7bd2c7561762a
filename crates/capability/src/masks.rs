//! Counts of the sets of limits that pairings break.

use std::collections::BTreeMap;

/// Limits up to which every set has a counter of its own.
const DENSE_BITS: usize = 14;

/// How often each set of broken limits was seen; a set is a mask with one bit for each limit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MaskCounts {
    dense: Vec<u64>,
    sparse: BTreeMap<u32, u64>,
}

impl MaskCounts {
    /// No pairing yet, for `limits` limits.
    pub fn new(limits: usize) -> MaskCounts {
        let dense = if limits <= DENSE_BITS {
            vec![0; 1 << limits]
        } else {
            Vec::new()
        };
        MaskCounts {
            dense,
            sparse: BTreeMap::new(),
        }
    }

    /// Counts the masks of a block.
    #[inline(always)]
    pub fn add(&mut self, masks: &[u32]) {
        if self.dense.is_empty() {
            for &mask in masks {
                *self.sparse.entry(mask).or_default() += 1;
            }
            return;
        }
        let last = self.dense.len() - 1;
        for &mask in masks {
            self.dense[mask as usize & last] += 1;
        }
    }

    /// Adds another part of the run; the order does not matter.
    pub fn merge(&mut self, other: &MaskCounts) {
        for (sum, part) in self.dense.iter_mut().zip(&other.dense) {
            *sum += part;
        }
        for (&mask, &count) in &other.sparse {
            *self.sparse.entry(mask).or_default() += count;
        }
    }

    /// The sets that were seen, with their counts, by rising mask.
    pub fn seen(&self) -> impl Iterator<Item = (u32, u64)> + '_ {
        let dense = self
            .dense
            .iter()
            .zip(0_u32..)
            .map(|(&count, mask)| (mask, count));
        dense
            .filter(|&(_, count)| count > 0)
            .chain(self.sparse.iter().map(|(&mask, &count)| (mask, count)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn few_and_many_limits_count_the_same() {
        let masks = [0, 1, 5, 5, 0, 4];
        let mut counts = [MaskCounts::new(3), MaskCounts::new(20)];
        for count in &mut counts {
            count.add(&masks);
            let part = count.clone();
            count.merge(&part);
        }
        let seen = counts.map(|count| count.seen().collect::<Vec<_>>());
        assert_eq!(seen[0], vec![(0, 4), (1, 2), (4, 2), (5, 4)]);
        assert_eq!(seen[0], seen[1]);
    }
}
