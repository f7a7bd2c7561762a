//! Running sums and counts of one column of outputs: the inner loop of a simulation.
//!
//! Integers may be added in any order; sums of floats are kept in eight fixed lanes, so that they come out
//! the same whatever the width of the vector unit, and are folded in the order of the chunks by the caller.

use crate::sum::Compensated;

/// Bins of equal width in a tally.
pub const BINS: usize = 2048;

const BELOW: usize = 0;
const ABOVE: usize = BINS + 1;
/// The first of the slots of the point mass, one for each lane: many pairings in a row that count in one place wait for
/// each other.
const AT_ATOM: usize = BINS + 2;
/// The first of the slots of what is absent, likewise.
const ABSENT: usize = AT_ATOM + LANES;
const SLOTS: usize = ABSENT + LANES;
/// A power of two not below the slots, so that no look-up can miss.
const ROOM: usize = 4096;
/// Room for the counters of a column: two and a quarter times what a way of a first cache holds (4 KiB), so that the middles of
/// columns one after the other, where most values fall, do not meet in one place of the cache.
const APART: usize = ROOM + 512;
/// What a counter at work can hold.
const FULL: usize = u16::MAX as usize;
pub(crate) const LANES: usize = 8;

/// Where the bins lie, what the sums are taken about, and the value that may hold a point mass.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Frame {
    /// Lower edge of the first bin.
    pub from: f64,
    /// Upper edge of the last bin.
    pub to: f64,
    /// Value that deviations are taken from.
    pub shift: f64,
    /// Value with a point mass, counted apart.
    pub atom: Option<f64>,
}

impl Frame {
    /// A frame that holds a pilot's values with room for the tails of a far larger run.
    ///
    /// From the 0.1 % to the 99.9 % quantile of the pilot and three quarters of that span on either side:
    /// 7.7 standard deviations of a normal. What lies outside is still counted, as below or above.
    pub fn around(pilot: &mut [f64], shift: f64, atom: Option<f64>) -> Frame {
        let last = pilot.len().saturating_sub(1);
        let mut at = |share: f64| {
            let place = (share * last as f64) as usize;
            match pilot.is_empty() {
                true => shift,
                // The value that would stand there if the pilot were sorted.
                false => *pilot.select_nth_unstable_by(place, f64::total_cmp).1,
            }
        };
        let (low, high) = (at(0.001), at(0.999));
        let least = 1e-9 * (low.abs() + high.abs()) + f64::MIN_POSITIVE.sqrt();
        let span = if high - low > least {
            high - low
        } else {
            least
        };
        Frame {
            from: low - 0.75 * span,
            to: high + 0.75 * span,
            shift,
            atom,
        }
    }
}

/// Counts of one column over one chunk.
///
/// The counters at work are narrow, so that more of them stay in the first cache; they are emptied before any can be full.
/// A chunk has one pairing more than a counter holds: once a chunk the fullest is looked at, and only values that nearly
/// all fall in one place have them emptied before the end.
#[derive(Debug, Clone)]
#[repr(C, align(64))]
pub struct Counts {
    at_work: [u16; APART],
    /// No counter at work holds more.
    fullest: usize,
    /// What they were emptied into before the end of the chunk; no room is taken before there is something.
    emptied: Vec<u64>,
}

/// Sums of one column over one chunk: powers of the deviation from the frame's shift, and the extremes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sums {
    powers: [[f64; LANES]; 4],
    least: [f64; LANES],
    most: [f64; LANES],
}

impl Default for Sums {
    fn default() -> Self {
        Sums {
            powers: [[0.0; LANES]; 4],
            least: [f64::INFINITY; LANES],
            most: [f64::NEG_INFINITY; LANES],
        }
    }
}

impl Default for Counts {
    fn default() -> Self {
        Counts {
            at_work: [0; APART],
            fullest: 0,
            emptied: vec![],
        }
    }
}

impl Counts {
    /// Counts a value in each of these slots.
    #[inline(always)]
    fn add(&mut self, slots: &[u16]) {
        for slots in slots.chunks(FULL) {
            if self.fullest + slots.len() > FULL {
                self.make_room(slots.len());
            }
            self.fullest += slots.len();
            let at_work = &mut self.at_work;
            for &slot in slots {
                // The slot is below SLOTS by construction; the remainder keeps that visible and costs nothing.
                at_work[slot as usize % ROOM] += 1;
            }
        }
    }

    /// Looks at the counters: room for so many more may be left in the fullest, else they are emptied.
    #[cold]
    fn make_room(&mut self, more: usize) {
        self.fullest = self.at_work.iter().copied().max().map_or(0, usize::from);
        if self.fullest + more > FULL {
            self.emptied.resize(SLOTS, 0);
            empty(&mut self.at_work, &mut self.emptied);
            self.fullest = 0;
        }
    }

    /// Adds the counts to `total` and sets them to nothing.
    pub fn drain_into(&mut self, total: &mut Totals) {
        empty(&mut self.at_work, &mut total.slots);
        self.fullest = 0;
        for (sum, slot) in total.slots.iter_mut().zip(&mut self.emptied) {
            *sum += std::mem::take(slot);
        }
    }
}

/// Empties counters at work into others.
fn empty(at_work: &mut [u16; APART], slots: &mut [u64]) {
    for (sum, count) in slots.iter_mut().zip(at_work) {
        *sum += u64::from(std::mem::take(count));
    }
}

/// Counts of one column over any number of chunks.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Totals {
    slots: Vec<u64>,
}

impl Default for Totals {
    fn default() -> Self {
        Totals {
            slots: vec![0; SLOTS],
        }
    }
}

impl Totals {
    /// Adds another part of the run; the order does not matter.
    pub fn merge(&mut self, other: &Totals) {
        for (sum, part) in self.slots.iter_mut().zip(&other.slots) {
            *sum += part;
        }
    }

    /// Counts of the bins, first bin first.
    pub fn bins(&self) -> &[u64] {
        &self.slots[1..=BINS]
    }

    /// Values below the first bin.
    pub fn below(&self) -> u64 {
        self.slots[BELOW]
    }

    /// Values above the last bin.
    pub fn above(&self) -> u64 {
        self.slots[ABOVE]
    }

    /// Values at the point mass.
    pub fn at_atom(&self) -> u64 {
        self.slots[AT_ATOM..ABSENT].iter().sum()
    }

    /// Values in all, the point mass included and what is absent left out.
    pub fn present(&self) -> u64 {
        self.slots[..ABSENT].iter().sum()
    }
}

/// Which values of a column are not defined: bit `bit` of their lane is set.
#[derive(Debug, Clone, Copy)]
pub struct Missing<'a> {
    /// The bits, by lane.
    pub lanes: &'a [u32],
    /// The bit of this column.
    pub bit: u32,
}

/// Adds the first `values.len()` lanes of a column; `missing` says which are not defined, `None` that all are.
///
/// `slots` receives the slot of every value, for a caller that wants to count by something else too.
#[inline(always)]
pub fn add(
    values: &[f64],
    missing: Option<Missing<'_>>,
    frame: &Frame,
    sums: &mut Sums,
    counts: &mut Counts,
    slots: &mut [u16],
) {
    match (missing, frame.atom) {
        (None, None) => add_some::<false, false>(values, missing, frame, sums, slots),
        (None, Some(_)) => add_some::<false, true>(values, missing, frame, sums, slots),
        (Some(_), None) => add_some::<true, false>(values, missing, frame, sums, slots),
        (Some(_), Some(_)) => add_some::<true, true>(values, missing, frame, sums, slots),
    }
    counts.add(&slots[..values.len()]);
}

/// [`add`] without the counting, for columns that may hold what is absent (`MISSING`) or a point mass (`ATOM`).
#[inline(always)]
fn add_some<const MISSING: bool, const ATOM: bool>(
    values: &[f64],
    missing: Option<Missing<'_>>,
    frame: &Frame,
    sums: &mut Sums,
    slots: &mut [u16],
) {
    let scale = BINS as f64 / (frame.to - frame.from);
    let offset = (-frame.from).mul_add(scale, 0.5);
    let atom = frame.atom.unwrap_or(f64::NAN);
    let Missing { lanes, bit } = missing.unwrap_or(Missing { lanes: &[], bit: 0 });
    let mut local = *sums;
    let slots = &mut slots[..values.len()];
    let (groups, rest) = values.as_chunks::<LANES>();
    let (slot_groups, slot_rest) = slots.as_chunks_mut::<LANES>();
    let all = (scale, offset);
    if MISSING {
        let lane_groups = lanes.as_chunks::<LANES>().0;
        for ((group, lanes), slots) in groups.iter().zip(lane_groups).zip(slot_groups) {
            let absent = lanes.map(|lane| lane >> bit & 1 == 1);
            *slots = add_group::<true, ATOM>(group, &absent, frame, all, atom, &mut local);
        }
    } else {
        for (group, slots) in groups.iter().zip(slot_groups) {
            *slots = add_group::<false, ATOM>(group, &[false; LANES], frame, all, atom, &mut local);
        }
    }
    if !rest.is_empty() {
        let (mut group, mut absent) = ([0.0; LANES], [true; LANES]);
        group[..rest.len()].copy_from_slice(rest);
        for (j, absent) in absent[..rest.len()].iter_mut().enumerate() {
            *absent = MISSING && lanes[LANES * groups.len() + j] >> bit & 1 == 1;
        }
        let places = add_group::<true, ATOM>(&group, &absent, frame, all, atom, &mut local);
        slot_rest.copy_from_slice(&places[..rest.len()]);
    }
    *sums = local;
}

/// Adds eight values, one to each lane; returns their slots.
#[inline(always)]
fn add_group<const MISSING: bool, const ATOM: bool>(
    values: &[f64; LANES],
    absent: &[bool; LANES],
    frame: &Frame,
    (scale, offset): (f64, f64),
    atom: f64,
    sums: &mut Sums,
) -> [u16; LANES] {
    let mut slots = [0; LANES];
    for j in 0..LANES {
        let value = values[j];
        let missing = MISSING && absent[j];
        let d = value - frame.shift;
        let d = if missing { 0.0 } else { d };
        let square = d * d;
        sums.powers[0][j] += d;
        sums.powers[1][j] += square;
        sums.powers[2][j] = square.mul_add(d, sums.powers[2][j]);
        sums.powers[3][j] = square.mul_add(square, sums.powers[3][j]);
        let (least, most) = (sums.least[j], sums.most[j]);
        let low = if missing { least } else { value };
        let high = if missing { most } else { value };
        sums.least[j] = if low < least { low } else { least };
        sums.most[j] = if high > most { high } else { most };
        let place = bin_of(value.mul_add(scale, offset));
        let at_atom = ATOM && value == atom;
        let place = if at_atom { (AT_ATOM + j) as u16 } else { place };
        slots[j] = if missing { (ABSENT + j) as u16 } else { place };
    }
    slots
}

/// The bin of a slot among `bins` of equal width, end bins holding what lies outside; `bins` itself for the point mass and
/// what is absent.
#[inline(always)]
pub fn coarse_bin(slot: u16, bins: u16) -> u16 {
    let group = BINS as u16 / bins;
    let bin = slot.saturating_sub(1) / group;
    let bin = if bin < bins { bin } else { bins - 1 };
    if slot as usize > ABOVE { bins } else { bin }
}

/// Slot of a value `y - 1/2` bins above the lower edge: 0 below, 1..=BINS inside, BINS + 1 above.
#[inline(always)]
fn bin_of(y: f64) -> u16 {
    const MAGIC: f64 = 6_755_399_441_055_744.0;
    let y = if y > 0.0 { y } else { 0.0 };
    let y = if y < BINS as f64 + 1.0 {
        y
    } else {
        BINS as f64 + 1.0
    };
    // Adding 1.5 2^52 leaves the rounded number in the low bits: a cast that every vector unit has.
    (y + MAGIC).to_bits() as u16
}

impl Sums {
    /// Sum over the lanes of the `power`-th powers (1..=4) of the deviations.
    pub fn power(&self, power: usize) -> f64 {
        self.powers[power - 1].iter().sum()
    }

    /// Smallest value, infinite when there is none.
    pub fn least(&self) -> f64 {
        self.least.iter().copied().fold(f64::INFINITY, f64::min)
    }

    /// Largest value, negatively infinite when there is none.
    pub fn most(&self) -> f64 {
        self.most.iter().copied().fold(f64::NEG_INFINITY, f64::max)
    }

    /// False when a value was not a finite number.
    pub fn is_finite(&self) -> bool {
        self.power(4).is_finite()
    }
}

/// Sums of one column over chunks folded in their order.
#[derive(Debug, Clone, PartialEq)]
pub struct FoldedSums {
    powers: [Compensated; 4],
    least: f64,
    most: f64,
}

impl Default for FoldedSums {
    fn default() -> Self {
        FoldedSums {
            powers: Default::default(),
            least: f64::INFINITY,
            most: f64::NEG_INFINITY,
        }
    }
}

impl FoldedSums {
    /// Adds the next chunk.
    pub fn fold(&mut self, chunk: &Sums) {
        for (k, power) in self.powers.iter_mut().enumerate() {
            power.add(chunk.power(k + 1));
        }
        self.least = self.least.min(chunk.least());
        self.most = self.most.max(chunk.most());
    }

    /// Sums of the first to fourth powers of the deviations from the frame's shift.
    pub fn powers(&self) -> [f64; 4] {
        [0, 1, 2, 3].map(|k| self.powers[k].value())
    }

    /// Smallest value, infinite when there is none.
    pub fn least(&self) -> f64 {
        self.least
    }

    /// Largest value, negatively infinite when there is none.
    pub fn most(&self) -> f64 {
        self.most
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_fall_into_the_bins_that_hold_them() {
        let frame = Frame {
            from: 0.0,
            to: 2048.0,
            shift: 0.0,
            atom: Some(7.0),
        };
        let values = [-5.0, 0.25, 1.75, 2047.5, 5000.0, 7.0, 3.5, 99.0, 1e300];
        let absent = [0, 0, 0, 0, 0, 0, 0, 2, 0];
        let missing = Missing {
            lanes: &absent,
            bit: 1,
        };
        let (mut sums, mut counts, mut totals) =
            (Sums::default(), Counts::default(), Totals::default());
        let mut slots = [0; 9];
        add(
            &values,
            Some(missing),
            &frame,
            &mut sums,
            &mut counts,
            &mut slots,
        );
        assert_eq!(
            slots.map(|s| s as usize),
            [BELOW, 1, 2, BINS, ABOVE, AT_ATOM + 5, 4, ABSENT + 7, ABOVE]
        );
        assert_eq!(
            slots.map(|slot| coarse_bin(slot, 128)),
            [0, 0, 0, 127, 127, 128, 0, 128, 127]
        );
        counts.drain_into(&mut totals);
        assert_eq!(
            (
                totals.below(),
                totals.above(),
                totals.at_atom(),
                totals.present()
            ),
            (1, 2, 1, 8)
        );
        assert_eq!(totals.bins().iter().sum::<u64>(), 4);
        assert_eq!((sums.least(), sums.most()), (-5.0, 1e300));
        assert!(!sums.is_finite(), "1e300 to the fourth is beyond a float");
    }

    #[test]
    fn sums_are_those_of_the_powers() {
        let frame = Frame {
            from: 0.0,
            to: 1.0,
            shift: 10.0,
            atom: None,
        };
        let values: Vec<f64> = (0..100).map(|i| 9.0 + f64::from(i) / 50.0).collect();
        let (mut sums, mut counts) = (Sums::default(), Counts::default());
        add(&values, None, &frame, &mut sums, &mut counts, &mut [0; 100]);
        for power in 1..=4 {
            let expected: f64 = values.iter().map(|v| (v - 10.0_f64).powi(power)).sum();
            assert!(
                (sums.power(power as usize) - expected).abs() < 1e-12,
                "power {power}"
            );
        }
    }
}
