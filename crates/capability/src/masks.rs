//! Counts of the sets of limits that pairings break, each by a second property with a few values.

use std::collections::BTreeMap;

/// Masks below this have their row's start looked up in a table, which grows as far as it is needed.
const DENSE: u32 = 1 << 14;

/// Start of the row of a set that was not seen yet.
const UNSEEN: u32 = u32::MAX;

/// How often each set of broken limits was seen, by column; a set is a mask with one bit for each limit.
///
/// Only sets that were seen have a row: of many limits few are ever broken together.
#[derive(Debug, Clone)]
pub struct MaskCounts {
    columns: usize,
    starts: Vec<u32>,
    sparse: BTreeMap<u32, u32>,
    masks: Vec<u32>,
    counts: Vec<u64>,
}

impl PartialEq for MaskCounts {
    /// The rows stand in the order in which their sets were first seen, which says nothing.
    fn eq(&self, other: &MaskCounts) -> bool {
        self.columns == other.columns && self.seen().eq(other.seen())
    }
}

impl Eq for MaskCounts {}

impl MaskCounts {
    /// No pairing yet, for this many columns.
    pub fn new(columns: usize) -> MaskCounts {
        MaskCounts {
            columns: columns.max(1),
            starts: vec![],
            sparse: BTreeMap::new(),
            masks: vec![],
            counts: vec![],
        }
    }

    /// Counts the masks of a block, each in the column of its place.
    ///
    /// A column must be below the number of columns.
    #[inline(always)]
    pub fn add(&mut self, masks: &[u32], columns: &[u16]) {
        let mut done = 0;
        while done < masks.len() {
            done += self.add_seen(&masks[done..], &columns[done..]);
            if let Some(&mask) = masks.get(done) {
                let start = self.start(mask);
                self.counts[start as usize + columns[done] as usize] += 1;
                done += 1;
            }
        }
    }

    /// Counts masks up to the first whose row must be looked for; returns how many.
    #[inline(always)]
    fn add_seen(&mut self, masks: &[u32], columns: &[u16]) -> usize {
        let (starts, counts) = (&self.starts[..], &mut self.counts[..]);
        let mut done = 0;
        for (&mask, &column) in masks.iter().zip(columns) {
            match starts.get(mask as usize) {
                Some(&start) if start != UNSEEN => counts[start as usize + column as usize] += 1,
                _ => break,
            }
            done += 1;
        }
        done
    }

    /// Where the row of a mask starts, made when it is new.
    #[cold]
    fn start(&mut self, mask: u32) -> u32 {
        let new = self.counts.len() as u32;
        let start = if mask < DENSE {
            let place = mask as usize;
            if self.starts.len() <= place {
                self.starts.resize(place + 1, UNSEEN);
            }
            &mut self.starts[place]
        } else {
            self.sparse.entry(mask).or_insert(UNSEEN)
        };
        if *start == UNSEEN {
            *start = new;
            self.masks.push(mask);
            self.counts.resize(self.counts.len() + self.columns, 0);
        }
        *start
    }

    /// Adds another part of the run; the order does not matter.
    pub fn merge(&mut self, other: &MaskCounts) {
        for (mask, counts) in other.seen() {
            let start = self.start(mask) as usize;
            for (sum, count) in self.counts[start..].iter_mut().zip(counts) {
                *sum += count;
            }
        }
    }

    /// The sets that were seen, with their counts by column, by rising mask.
    pub fn seen(&self) -> impl Iterator<Item = (u32, &[u64])> + '_ {
        let rows: BTreeMap<u32, &[u64]> = self
            .masks
            .iter()
            .copied()
            .zip(self.counts.chunks_exact(self.columns))
            .collect();
        rows.into_iter()
    }

    /// The sets that were seen, with their counts over all columns, by rising mask.
    pub fn totals(&self) -> impl Iterator<Item = (u32, u64)> + '_ {
        self.seen()
            .map(|(mask, counts)| (mask, counts.iter().sum()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn masks_of_few_and_of_many_limits_count_the_same() {
        let columns = [0, 1, 2, 2, 1, 0];
        for high in [1, DENSE, 1 << 30] {
            let masks = [0, 1, 4 + high, 4 + high, 0, 4];
            let mut count = MaskCounts::new(3);
            count.add(&masks, &columns);
            let part = count.clone();
            count.merge(&part);
            let totals: Vec<_> = count.totals().collect();
            assert_eq!(totals, [(0, 4), (1, 2), (4, 2), (4 + high, 4)]);
            let seen: Vec<_> = count.seen().map(|(_, c)| c.to_vec()).collect();
            assert_eq!(seen, [[2, 2, 0], [0, 2, 0], [2, 0, 0], [0, 0, 4]]);
        }
    }

    #[test]
    fn order_of_merging_does_not_matter() {
        let part = |masks: &[u32]| {
            let mut counts = MaskCounts::new(1);
            counts.add(masks, &vec![0; masks.len()]);
            counts
        };
        let (a, b) = (part(&[9, 3, 3]), part(&[1, 9]));
        let merged = |first: &MaskCounts, second: &MaskCounts| {
            let mut sum = first.clone();
            sum.merge(second);
            sum.totals().collect::<Vec<_>>()
        };
        assert_eq!(merged(&a, &b), merged(&b, &a));
        assert_eq!(part(&[9, 3]), part(&[3, 9]));
        assert_eq!(merged(&a, &b), [(1, 1), (3, 2), (9, 2)]);
    }
}
