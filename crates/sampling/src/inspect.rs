//! Inspection of parts before assembly: what the gates refuse is scrapped and drawn again, a whole block at a time.

use crate::gate::{Check, Gate};
use crate::part::{Attempts, Characteristic, Order, Part, Scratch, named};
use crate::score::{BLOCK, Column, fill_scores};
use crate::stream::Stream;

/// What inspection did to parts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct GateCounts {
    /// Parts made.
    pub made: u64,
    /// Parts scrapped.
    pub scrapped: u64,
    /// Parts scrapped although the drawing allows every inspected characteristic.
    pub wrongly_scrapped: u64,
    /// Parts passed although the drawing forbids an inspected characteristic.
    pub wrongly_passed: u64,
}

impl GateCounts {
    /// Adds other counts.
    pub fn merge(&mut self, other: &GateCounts) {
        self.made += other.made;
        self.scrapped += other.scrapped;
        self.wrongly_scrapped += other.wrongly_scrapped;
        self.wrongly_passed += other.wrongly_passed;
    }

    /// Adds the first `len` parts of a block of which `due` says that they were made.
    #[inline(always)]
    fn count(&mut self, len: usize, due: &Flags, seen: &Seen) {
        let lanes = due.iter().zip(&seen.refused).zip(&seen.bad);
        for ((due, refused), bad) in lanes.take(len) {
            self.made += due;
            self.scrapped += due & refused;
            self.wrongly_scrapped += due & refused & !bad;
            self.wrongly_passed += due & !refused & bad;
        }
    }
}

/// Attempts after which a part is taken as it is. At least a fifth of the parts pass, so the odds of getting here are below 1e-38.
const MOST_ATTEMPTS: u32 = 400;

/// One or zero for every part of a block: numbers of the width of a size, so that a vector unit compares sizes into them.
type Flags = [u64; BLOCK];

/// What the gates saw of the parts of a block.
struct Seen {
    refused: Flags,
    bad: Flags,
}

/// The gauge at one gate, with its streams.
#[derive(Debug, Clone)]
pub(crate) struct Gauge {
    /// Place of the characteristic in its part.
    place: usize,
    gate: Gate,
    errors: Attempts,
    picked: Attempts,
    lot: Stream,
}

impl Gauge {
    /// The gauges of these characteristics.
    pub(crate) fn of(seed: u64, characteristics: &[Characteristic]) -> Vec<Gauge> {
        let gauge = |(place, c): (usize, &Characteristic)| {
            let stream = |word: &str| Attempts::new(seed, format!("{}.{word}", c.name));
            c.gate.as_ref().map(|gate| Gauge {
                place,
                gate: gate.clone(),
                errors: stream("gauge"),
                picked: stream("picked"),
                lot: named(seed, &format!("{}.lot_passes", c.name), 0),
            })
        };
        let all = characteristics.iter().enumerate();
        all.filter_map(gauge).collect()
    }

    /// What the gauge reads of these values: an exact gauge reads the values themselves.
    #[inline(always)]
    fn read(&self, number: u64, attempt: u32, values: &Column) -> Column {
        let mut readings = *values;
        if self.gate.gauge_sd > 0.0 {
            let mut errors = [0.0; BLOCK];
            fill_scores(&self.errors.at(attempt), number, &mut errors);
            for (reading, error) in readings.iter_mut().zip(&errors) {
                *reading = self.gate.gauge_sd.mul_add(*error, *reading);
            }
        }
        readings
    }

    /// Of the parts whose readings are not accepted, only those are refused that are measured at all. They are few, so they
    /// are looked at one by one.
    fn measured(
        &self,
        number: u64,
        attempt: u32,
        order: Order,
        shifts: &Column,
        outside: &mut Flags,
    ) {
        let picked = self.picked.at(attempt);
        for (lane, (outside, shift)) in outside.iter_mut().zip(shifts).enumerate() {
            if *outside == 0 {
                continue;
            }
            let index = number * BLOCK as u64 + lane as u64;
            *outside = u64::from(match &self.gate.check {
                Check::Every => true,
                Check::Share(share) => unit(picked.word(index)) < *share,
                Check::Lot(plan) => {
                    let (lot, in_sample) = if order == Order::Production {
                        (index / plan.size, index % plan.size < plan.sample)
                    } else {
                        let share = plan.sample as f64 / plan.size as f64;
                        (index, unit(picked.word(index)) < share)
                    };
                    in_sample || unit(self.lot.word(lot)) >= plan.passes(*shift)
                }
            });
        }
    }
}

impl Part {
    /// Scraps what the gates refuse and draws those parts again, until all pass.
    #[inline(always)]
    pub(crate) fn inspect(
        &self,
        number: u64,
        len: usize,
        order: Order,
        columns: &mut [Column],
        scratch: &mut Scratch,
        counts: &mut GateCounts,
    ) {
        let mut again = std::mem::take(&mut scratch.again);
        let mut due = [1; BLOCK];
        let mut seen = self.seen((number, 0), order, &due, columns, scratch);
        counts.count(len, &due, &seen);
        // A process of which the gates refuse nearly everything is not accepted, so this ends early.
        for attempt in 1..MOST_ATTEMPTS {
            let mut left = 0;
            for (due, refused) in due.iter_mut().zip(&seen.refused) {
                *due &= refused;
                left |= *due;
            }
            if left == 0 {
                break;
            }
            again.resize(columns.len(), [0.0; BLOCK]);
            self.draw(number, attempt, &mut again, scratch);
            seen = self.seen((number, attempt), order, &due, &again, scratch);
            counts.count(len, &due, &seen);
            for c in &self.characteristics {
                if !c.process.is_constant() {
                    replace(&due, &again[c.column], &mut columns[c.column]);
                }
            }
        }
        scratch.again = again;
    }

    /// What the gates make of the parts of a block that are due, at one attempt.
    #[inline(always)]
    fn seen(
        &self,
        (number, attempt): (u64, u32),
        order: Order,
        due: &Flags,
        columns: &[Column],
        scratch: &Scratch,
    ) -> Seen {
        let mut seen = Seen {
            refused: [0; BLOCK],
            bad: [0; BLOCK],
        };
        for gauge in &self.gauges {
            let c = &self.characteristics[gauge.place];
            let constant = [c.process.mean(); BLOCK];
            let values = if c.process.is_constant() {
                &constant
            } else {
                &columns[c.column]
            };
            let readings = gauge.read(number, attempt, values);
            let mut outside = [0; BLOCK];
            for lane in 0..BLOCK {
                outside[lane] = due[lane] & u64::from(!gauge.gate.accepts(readings[lane]));
                seen.bad[lane] |= u64::from(!gauge.gate.is_good(values[lane]));
            }
            if gauge.gate.check != Check::Every {
                let shifts = &scratch.shifts[gauge.place];
                gauge.measured(number, attempt, order, shifts, &mut outside);
            }
            for (refused, outside) in seen.refused.iter_mut().zip(&outside) {
                *refused |= outside;
            }
        }
        seen
    }
}

/// Takes the parts that are due from another attempt.
#[inline(always)]
fn replace(due: &Flags, again: &Column, values: &mut Column) {
    for ((value, again), due) in values.iter_mut().zip(again).zip(due) {
        *value = if *due == 0 { *value } else { *again };
    }
}

/// A number from 0 up to, not including, 1.
fn unit(word: u64) -> f64 {
    (word >> 11) as f64 * (1.0 / 9_007_199_254_740_992.0)
}
