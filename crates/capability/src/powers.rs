//! Sums of powers of one column, without bins: what a study of many points has room for.

use crate::tally::{LANES, Missing};

/// Number of values of one column, and sums of the first to fourth powers of their deviations from a shift.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Powers {
    /// Values.
    pub count: u64,
    /// Sums of the powers.
    pub sums: [f64; 4],
}

impl Powers {
    /// Adds the next part.
    pub fn fold(&mut self, part: &Powers) {
        self.count += part.count;
        for (sum, part) in self.sums.iter_mut().zip(part.sums) {
            *sum += part;
        }
    }
}

/// Powers at work: eight lanes are summed by themselves, so that the bits do not hang on the vector unit.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct PowersAtWork {
    count: u64,
    sums: [[f64; LANES]; 4],
    absent: [u32; LANES],
}

impl PowersAtWork {
    /// Adds a column.
    #[inline(always)]
    pub fn add(&mut self, values: &[f64], missing: Option<Missing<'_>>, shift: f64) {
        match missing {
            None => self.add_some::<false>(values, Missing { lanes: &[], bit: 0 }, shift),
            Some(missing) => self.add_some::<true>(values, missing, shift),
        }
    }

    #[inline(always)]
    fn add_some<const MISSING: bool>(&mut self, values: &[f64], missing: Missing<'_>, shift: f64) {
        let (groups, rest) = values.as_chunks::<LANES>();
        let mut local = *self;
        if MISSING {
            for (group, absent) in groups.iter().zip(missing.lanes.as_chunks::<LANES>().0) {
                local.add_group(group, &absent.map(|lane| lane >> missing.bit & 1), shift);
            }
        } else {
            for group in groups {
                local.add_group(group, &[0; LANES], shift);
            }
        }
        if !rest.is_empty() {
            // Lanes that are not there lie at the shift and so add nothing.
            let (mut group, mut gone) = ([shift; LANES], [0; LANES]);
            group[..rest.len()].copy_from_slice(rest);
            if MISSING {
                for (j, gone) in gone[..rest.len()].iter_mut().enumerate() {
                    *gone = missing.lanes[LANES * groups.len() + j] >> missing.bit & 1;
                }
            }
            local.add_group(&group, &gone, shift);
        }
        local.count += values.len() as u64;
        *self = local;
    }

    /// Adds eight values; `gone` is 1 for those that are missing.
    #[inline(always)]
    fn add_group(&mut self, group: &[f64; LANES], gone: &[u32; LANES], shift: f64) {
        // Power by power: in one loop the compiler pairs the sums of two powers of a lane, and not the lanes.
        let (mut d, mut square) = ([0.0; LANES], [0.0; LANES]);
        for j in 0..LANES {
            d[j] = if gone[j] == 1 { 0.0 } else { group[j] - shift };
            square[j] = d[j] * d[j];
            self.absent[j] += gone[j];
        }
        let [first, second, third, fourth] = &mut self.sums;
        for j in 0..LANES {
            first[j] += d[j];
        }
        for j in 0..LANES {
            second[j] += square[j];
        }
        for j in 0..LANES {
            third[j] = square[j].mul_add(d[j], third[j]);
        }
        for j in 0..LANES {
            fourth[j] = square[j].mul_add(square[j], fourth[j]);
        }
    }

    /// Adds the powers to `total` and sets them to nothing. To be called before any lane has lacked 2^32 values.
    pub fn drain_into(&mut self, total: &mut Powers) {
        let absent: u64 = self.absent.iter().map(|&lane| u64::from(lane)).sum();
        total.count += self.count - absent;
        for (sum, lanes) in total.sums.iter_mut().zip(&self.sums) {
            *sum += lanes.iter().sum::<f64>();
        }
        *self = PowersAtWork::default();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sums_and_counts_leave_out_what_is_missing() {
        let values: Vec<f64> = (0..21).map(|i| 10.0 + 0.1 * f64::from(i)).collect();
        let mut lanes = vec![0; 21];
        for lane in [0, 7, 8, 20] {
            lanes[lane] = 0b100;
        }
        let missing = Missing {
            lanes: &lanes,
            bit: 2,
        };
        for (missing, left_out) in [(None, &[][..]), (Some(missing), &[0, 7, 8, 20][..])] {
            let (mut powers, mut at_work) = (Powers::default(), PowersAtWork::default());
            at_work.add(&values, missing, 11.0);
            at_work.drain_into(&mut powers);
            assert_eq!(at_work, PowersAtWork::default());
            let kept = || (0..21).filter(|lane| !left_out.contains(lane));
            assert_eq!(powers.count, kept().count() as u64);
            for (power, sum) in (1..).zip(powers.sums) {
                let expected: f64 = kept().map(|lane| (values[lane] - 11.0).powi(power)).sum();
                assert!((sum - expected).abs() < 1e-12, "power {power}: {sum}");
            }
        }
    }
}
