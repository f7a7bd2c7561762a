//! A thousand joints that stand for all: largest remainder.

use record::{Record, Reject};

/// How many joints the field shows.
pub const JOINTS: u32 = 1000;

/// A thousand joints, apportioned.
#[derive(Debug, Clone, PartialEq)]
pub struct Field<'a> {
    /// Good joints.
    pub good: u32,
    /// Causes of at least half a joint in a thousand, most frequent first, with their joints.
    pub causes: Vec<(&'a Reject, u32)>,
    /// Causes seen, but under half a joint in a thousand: words, never a mark of their own.
    pub rare: Vec<&'a Reject>,
    /// Joints of all rare causes together, when they come to a whole joint.
    pub pooled: u32,
}

impl<'a> Field<'a> {
    /// Apportions the joints of a record.
    pub fn of(record: &'a Record) -> Field<'a> {
        let total = record.yield_.pairings.max(1);
        let seen = || record.rejects.iter().filter(|r| r.count > 0);
        let is_rare = |r: &Reject| u128::from(r.count) * 2 * u128::from(JOINTS) < u128::from(total);
        let rare: Vec<&Reject> = seen().filter(|r| is_rare(r)).collect();
        let causes: Vec<&Reject> = seen().filter(|r| !is_rare(r)).collect();
        let mut counts = vec![record.yield_.good];
        counts.extend(causes.iter().map(|r| r.count));
        let together: u64 = rare.iter().map(|r| r.count).sum();
        let is_a_joint = u128::from(together) * u128::from(JOINTS) >= u128::from(total);
        counts.push(if is_a_joint { together } else { 0 });
        let seats = largest_remainder(&counts, JOINTS);
        Field {
            good: seats[0],
            causes: causes.into_iter().zip(seats[1..].iter().copied()).collect(),
            rare,
            pooled: seats[seats.len() - 1],
        }
    }

    /// Bad joints of the field.
    pub fn bad(&self) -> u32 {
        self.causes.iter().map(|(_, seats)| seats).sum::<u32>() + self.pooled
    }
}

/// Divides `seats` in proportion to `counts`: whole quotas first, the rest to the largest remainders, ties
/// to the earlier. All zero when there is nothing to divide by.
pub fn largest_remainder(counts: &[u64], seats: u32) -> Vec<u32> {
    let total: u128 = counts.iter().map(|&c| u128::from(c)).sum();
    if total == 0 {
        return vec![0; counts.len()];
    }
    let quota = |c: u64| u128::from(c) * u128::from(seats);
    let mut given: Vec<u32> = counts.iter().map(|&c| (quota(c) / total) as u32).collect();
    let mut order: Vec<usize> = (0..counts.len()).collect();
    order.sort_by_key(|&i| std::cmp::Reverse(quota(counts[i]) % total));
    let left = seats - given.iter().sum::<u32>();
    for &i in order.iter().take(left as usize) {
        given[i] += 1;
    }
    given
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_seats_are_given_and_remainders_decide() {
        assert_eq!(
            largest_remainder(&[981_300, 12_600, 6_100], 1000),
            [981, 13, 6]
        );
        assert_eq!(largest_remainder(&[1, 1, 1], 1000), [334, 333, 333]);
        assert_eq!(largest_remainder(&[u64::MAX, u64::MAX], 1000), [500, 500]);
        assert_eq!(largest_remainder(&[0, 0], 1000), [0, 0]);
    }

    #[test]
    fn a_cause_under_half_a_joint_gets_words_not_a_mark() {
        let mut record = crate::fixture::impeller();
        record.yield_.pairings = 1_000_000;
        record.yield_.good = 999_501;
        record.rejects.truncate(2);
        record.rejects[0].count = 400;
        record.rejects[1].count = 99;
        let field = Field::of(&record);
        assert_eq!(
            (
                field.good,
                field.causes.len(),
                field.rare.len(),
                field.pooled
            ),
            (1000, 0, 2, 0)
        );
    }
}
