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

/// Adds a column to sums of powers, without bins: what a study of many points has room for. Eight lanes are summed by
/// themselves and folded in their order, so that the bits do not hang on the vector unit.
#[inline(always)]
pub fn add_powers(values: &[f64], missing: Option<Missing<'_>>, shift: f64, powers: &mut Powers) {
    match missing {
        None => add_some_powers::<false>(values, Missing { lanes: &[], bit: 0 }, shift, powers),
        Some(missing) => add_some_powers::<true>(values, missing, shift, powers),
    }
}

#[inline(always)]
fn add_some_powers<const MISSING: bool>(
    values: &[f64],
    missing: Missing<'_>,
    shift: f64,
    powers: &mut Powers,
) {
    let (groups, rest) = values.as_chunks::<LANES>();
    let mut lanes = Lanes::default();
    if MISSING {
        for (group, absent) in groups.iter().zip(missing.lanes.as_chunks::<LANES>().0) {
            lanes.add(group, &absent.map(|lane| lane >> missing.bit & 1), shift);
        }
    } else {
        for group in groups {
            lanes.add(group, &[0; LANES], shift);
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
        lanes.add(&group, &gone, shift);
    }
    powers.count += values.len() as u64 - u64::from(lanes.absent.iter().sum::<u32>());
    for (sum, lanes) in powers.sums.iter_mut().zip(&lanes.sums) {
        *sum += lanes.iter().sum::<f64>();
    }
}

/// Sums of powers, and how many values were missing, by lane.
#[derive(Default)]
struct Lanes {
    sums: [[f64; LANES]; 4],
    absent: [u32; LANES],
}

impl Lanes {
    /// Adds eight values; `gone` is 1 for those that are missing.
    #[inline(always)]
    fn add(&mut self, group: &[f64; LANES], gone: &[u32; LANES], shift: f64) {
        for j in 0..LANES {
            let d = if gone[j] == 1 { 0.0 } else { group[j] - shift };
            let square = d * d;
            self.absent[j] += gone[j];
            self.sums[0][j] += d;
            self.sums[1][j] += square;
            self.sums[2][j] = square.mul_add(d, self.sums[2][j]);
            self.sums[3][j] = square.mul_add(square, self.sums[3][j]);
        }
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
            let mut powers = Powers::default();
            add_powers(&values, missing, 11.0, &mut powers);
            let kept = || (0..21).filter(|lane| !left_out.contains(lane));
            assert_eq!(powers.count, kept().count() as u64);
            for (power, sum) in (1..).zip(powers.sums) {
                let expected: f64 = kept().map(|lane| (values[lane] - 11.0).powi(power)).sum();
                assert!((sum - expected).abs() < 1e-12, "power {power}: {sum}");
            }
        }
    }
}
