//! Counts of the sets of limits that pairings break, and of nothing beside: what a study of many points has room for.

/// How often each set of broken limits was seen; a set is a mask with one bit for each limit.
///
/// A block is looked through set by set, which a vector unit does many pairings at a time: mostly few sets are seen, and those
/// seen first are the frequent ones. With hundreds of sets the table of [`crate::masks::MaskCounts`] would be quicker, which
/// also counts by a second property.
#[derive(Debug, Clone, Default)]
pub struct SetCounts {
    /// In the order in which they were first seen.
    seen: Vec<(u32, u64)>,
}

impl PartialEq for SetCounts {
    /// The order in which sets were first seen says nothing.
    fn eq(&self, other: &SetCounts) -> bool {
        self.totals().eq(other.totals())
    }
}

impl Eq for SetCounts {}

impl SetCounts {
    /// Counts the masks of a block.
    #[inline(always)]
    pub fn add(&mut self, masks: &[u32]) {
        let mut left = masks.len() as u64;
        for (mask, count) in &mut self.seen {
            if left == 0 {
                return;
            }
            let equal: u32 = masks.iter().map(|other| u32::from(other == mask)).sum();
            *count += u64::from(equal);
            left -= u64::from(equal);
        }
        if left > 0 {
            self.add_unseen(masks);
        }
    }

    /// Counts the masks of a block that have no count yet.
    #[cold]
    fn add_unseen(&mut self, masks: &[u32]) {
        let known = self.seen.len();
        for &mask in masks {
            match self.seen.iter_mut().position(|(seen, _)| *seen == mask) {
                Some(place) if place < known => (),
                Some(place) => self.seen[place].1 += 1,
                None => self.seen.push((mask, 1)),
            }
        }
    }

    /// Adds another part of the run; the order does not matter.
    pub fn merge(&mut self, other: &SetCounts) {
        for &(mask, count) in &other.seen {
            match self.seen.iter_mut().find(|(seen, _)| *seen == mask) {
                Some((_, sum)) => *sum += count,
                None => self.seen.push((mask, count)),
            }
        }
    }

    /// The sets that were seen with their counts, by rising mask.
    pub fn totals(&self) -> impl Iterator<Item = (u32, u64)> + use<> {
        let mut sorted = self.seen.clone();
        sorted.sort_unstable();
        sorted.into_iter()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_pairing_counts_once_whether_its_set_is_new_or_not() {
        let blocks: [&[u32]; 4] = [&[0, 0, 4, 0], &[4, 4, 4], &[7, 0, 1 << 31, 7, 0], &[]];
        let mut counts = SetCounts::default();
        for block in blocks {
            counts.add(block);
        }
        let totals: Vec<_> = counts.totals().collect();
        assert_eq!(totals, [(0, 5), (4, 4), (7, 2), (1 << 31, 1)]);
    }

    #[test]
    fn order_of_merging_does_not_matter() {
        let part = |masks: &[u32]| {
            let mut counts = SetCounts::default();
            counts.add(masks);
            counts
        };
        let merged = |parts: [&SetCounts; 2]| {
            let mut sum = parts[0].clone();
            sum.merge(parts[1]);
            sum
        };
        let (a, b) = (part(&[9, 3, 3]), part(&[1, 9]));
        assert_eq!(merged([&a, &b]), merged([&b, &a]));
        let totals: Vec<_> = merged([&a, &b]).totals().collect();
        assert_eq!(totals, [(1, 1), (3, 2), (9, 2)]);
        assert_ne!(a, b);
    }
}
