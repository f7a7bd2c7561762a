//! One kind of part: its characteristics drawn together, and inspected before assembly.

use crate::gate::{Check, Gate};
use crate::mixing::Mixing;
use crate::process::Process;
use crate::score::{BLOCK, Column, fill_scaled, fill_scores, score_of};
use crate::stream::{Stream, StreamId};

/// One characteristic of a part.
#[derive(Debug, Clone)]
pub struct Characteristic {
    /// Its own name, from which the streams of its slow parts and of its inspection are named.
    pub name: String,
    /// Column of the block that it fills.
    pub column: usize,
    /// What comes off the machine.
    pub process: Process,
    /// Name of its stream of scores. Resampled readings of one lot share a name, so that a part keeps its row.
    pub stream: String,
    /// Inspection before assembly.
    pub gate: Option<Gate>,
}

/// Whose part a pairing takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Order {
    /// From stock, in which all lots and all states of a tool are mixed: every pairing has a lot of its own.
    Stock,
    /// In the order of production: part after part of one lot, from a fresh tool to a worn one.
    Production,
    /// Two by two: pairings `2 i` and `2 i + 1` take parts of one lot and one state of the tool.
    Pairs,
}

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
}

/// Room to draw in.
#[derive(Debug, Clone, Default)]
pub struct Scratch {
    scores: Vec<Column>,
    shifts: Vec<Column>,
    again: Vec<Column>,
}

/// One kind of part.
#[derive(Debug, Clone)]
pub struct Part {
    seed: u64,
    characteristics: Vec<Characteristic>,
    streams: Vec<Stream>,
    slow: Vec<Vec<Stream>>,
    mixing: Vec<Mixing>,
    is_plain: bool,
}

impl Part {
    /// A part with these characteristics; constants may be among them, they are not drawn.
    pub fn new(seed: u64, characteristics: Vec<Characteristic>, mixing: Vec<Mixing>) -> Part {
        let stream = |name: &str| named(seed, name, 0);
        let slow = |c: &Characteristic| -> Vec<Stream> {
            let parts = c.process.slow().iter();
            parts
                .map(|part| stream(&format!("{}.{}", c.name, part.word())))
                .collect()
        };
        let is_plain = mixing.is_empty()
            && characteristics
                .iter()
                .all(|c| c.gate.is_none() && c.process.slow().is_empty());
        Part {
            seed,
            streams: characteristics.iter().map(|c| stream(&c.stream)).collect(),
            slow: characteristics.iter().map(slow).collect(),
            characteristics,
            mixing,
            is_plain,
        }
    }

    /// The characteristics.
    pub fn characteristics(&self) -> &[Characteristic] {
        &self.characteristics
    }

    /// Seed of its streams.
    pub fn seed(&self) -> u64 {
        self.seed
    }

    /// Whether every characteristic is drawn by itself: none is inspected, hangs together with another or moves slowly.
    pub fn is_plain(&self) -> bool {
        self.is_plain
    }

    /// The scores from which characteristic `place` of a plain part is made in block `number`.
    #[inline(always)]
    pub fn scores(&self, place: usize, number: u64, scores: &mut Column) {
        fill_scores(&self.streams[place], number, scores);
    }

    /// Whether any characteristic is inspected.
    pub fn is_inspected(&self) -> bool {
        self.characteristics.iter().any(|c| c.gate.is_some())
    }

    /// Whether anything stays the same for many parts in a row.
    pub fn has_slow(&self) -> bool {
        self.slow.iter().any(|streams| !streams.is_empty())
    }

    /// Draws the parts of block `number` that pass inspection; the first `len` are counted.
    #[inline(always)]
    pub fn fill(
        &self,
        number: u64,
        len: usize,
        order: Order,
        columns: &mut [Column],
        scratch: &mut Scratch,
        counts: &mut GateCounts,
    ) {
        if self.is_plain {
            let mut scores = [0.0; BLOCK];
            for (c, stream) in self.characteristics.iter().zip(&self.streams) {
                let values = &mut columns[c.column];
                if let Some((mean, sd)) = c.process.normal_within() {
                    fill_scaled(stream, number, mean, sd, values);
                } else if !c.process.is_constant() {
                    fill_scores(stream, number, &mut scores);
                    c.process.fill(&scores, values);
                }
            }
            return;
        }
        self.shift(number, order, scratch);
        self.draw(number, 0, columns, scratch);
        if self.is_inspected() {
            self.inspect(number, len, order, columns, scratch, counts);
        }
    }

    /// Draws everything for one attempt, on top of the shifts at hand.
    #[inline(always)]
    fn draw(&self, number: u64, attempt: u32, columns: &mut [Column], scratch: &mut Scratch) {
        let n = self.characteristics.len();
        scratch.scores.resize(n, [0.0; BLOCK]);
        for i in 0..n {
            if self.characteristics[i].process.is_constant() {
                continue;
            }
            let stream = match attempt {
                0 => self.streams[i],
                _ => named(self.seed, &self.characteristics[i].stream, attempt),
            };
            fill_scores(&stream, number, &mut scratch.scores[i]);
        }
        for mixing in &self.mixing {
            mixing.mix(&mut scratch.scores);
        }
        for (i, c) in self.characteristics.iter().enumerate() {
            if c.process.is_constant() {
                continue;
            }
            let values = &mut columns[c.column];
            c.process.fill(&scratch.scores[i], values);
            if !self.slow[i].is_empty() {
                for (value, shift) in values.iter_mut().zip(&scratch.shifts[i]) {
                    *value += shift;
                }
            }
        }
    }

    /// The shifts of the slow parts, by characteristic.
    #[inline(always)]
    fn shift(&self, number: u64, order: Order, scratch: &mut Scratch) {
        scratch
            .shifts
            .resize(self.characteristics.len(), [0.0; BLOCK]);
        let mut scores = [0.0; BLOCK];
        for (i, c) in self.characteristics.iter().enumerate() {
            let shifts = &mut scratch.shifts[i];
            *shifts = [0.0; BLOCK];
            for (place, stream) in self.slow[i].iter().enumerate() {
                if order == Order::Stock {
                    fill_scores(stream, number, &mut scores);
                    c.process.add_slow(place, &scores, shifts);
                } else {
                    let slow = &c.process.slow()[place];
                    let first = number * BLOCK as u64;
                    let mut last = (u64::MAX, 0.0);
                    for (lane, shift) in shifts.iter_mut().enumerate() {
                        let (group, life) = slow.group(first + lane as u64, order);
                        *shift += match life {
                            Some(life) => slow.shift_at(life),
                            None => {
                                if last.0 != group {
                                    last = (group, slow.shift(score_of(stream, group)));
                                }
                                last.1
                            }
                        };
                    }
                }
            }
        }
    }

    /// Scraps what the gates refuse and draws those parts again, until all pass.
    #[inline(always)]
    fn inspect(
        &self,
        number: u64,
        len: usize,
        order: Order,
        columns: &mut [Column],
        scratch: &mut Scratch,
        counts: &mut GateCounts,
    ) {
        let mut verdict = self.verdict(number, 0, order, columns, scratch);
        let mut pending: Vec<usize> = (0..BLOCK).filter(|&lane| verdict[lane].refused).collect();
        for seen in &verdict[..len] {
            counts.count(seen);
        }
        // A process of which the gates refuse nearly everything is not accepted, so this ends early.
        let mut attempt = 1;
        while !pending.is_empty() && attempt < MOST_ATTEMPTS {
            let mut again = std::mem::take(&mut scratch.again);
            again.resize(columns.len(), [0.0; BLOCK]);
            self.draw(number, attempt, &mut again, scratch);
            verdict = self.verdict(number, attempt, order, &again, scratch);
            for &lane in &pending {
                for c in self
                    .characteristics
                    .iter()
                    .filter(|c| !c.process.is_constant())
                {
                    columns[c.column][lane] = again[c.column][lane];
                }
                if lane < len {
                    counts.count(&verdict[lane]);
                }
            }
            scratch.again = again;
            pending.retain(|&lane| verdict[lane].refused);
            attempt += 1;
        }
    }

    /// What the gates make of every part of a block.
    fn verdict(
        &self,
        number: u64,
        attempt: u32,
        order: Order,
        columns: &[Column],
        scratch: &Scratch,
    ) -> [Seen; BLOCK] {
        let mut seen = [Seen {
            refused: false,
            good: true,
        }; BLOCK];
        let mut errors = [0.0; BLOCK];
        for (i, c) in self.characteristics.iter().enumerate() {
            let Some(gate) = &c.gate else { continue };
            let constant = [c.process.mean(); BLOCK];
            let values = if c.process.is_constant() {
                &constant
            } else {
                &columns[c.column]
            };
            fill_scores(
                &named(self.seed, &format!("{}.gauge", c.name), attempt),
                number,
                &mut errors,
            );
            let picks = Picks::new(self.seed, c, attempt, order);
            for lane in 0..BLOCK {
                let index = number * BLOCK as u64 + lane as u64;
                let reading = gate.gauge_sd.mul_add(errors[lane], values[lane]);
                seen[lane].good &= gate.is_good(values[lane]);
                if !gate.accepts(reading) && picks.measured(index, scratch.shifts[i][lane]) {
                    seen[lane].refused = true;
                }
            }
        }
        seen
    }
}

/// Attempts after which a part is taken as it is. At least a fifth of the parts pass, so the odds of getting here are below 1e-38.
const MOST_ATTEMPTS: u32 = 400;

/// What the gates saw of one part.
#[derive(Debug, Clone, Copy)]
struct Seen {
    refused: bool,
    good: bool,
}

impl GateCounts {
    fn count(&mut self, seen: &Seen) {
        self.made += 1;
        self.scrapped += u64::from(seen.refused);
        self.wrongly_scrapped += u64::from(seen.refused && seen.good);
        self.wrongly_passed += u64::from(!seen.refused && !seen.good);
    }
}

/// Which parts are measured at a gate.
struct Picks<'g> {
    check: &'g Check,
    order: Order,
    part: Stream,
    lot: Stream,
}

impl<'g> Picks<'g> {
    fn new(seed: u64, c: &'g Characteristic, attempt: u32, order: Order) -> Picks<'g> {
        let check = c.gate.as_ref().map_or(&Check::Every, |gate| &gate.check);
        Picks {
            check,
            order,
            part: named(seed, &format!("{}.picked", c.name), attempt),
            lot: named(seed, &format!("{}.lot_passes", c.name), 0),
        }
    }

    /// Whether the part of pairing `index`, from a lot with this shift, is measured.
    fn measured(&self, index: u64, shift: f64) -> bool {
        match self.check {
            Check::Every => true,
            Check::Share(share) => unit(self.part.word(index)) < *share,
            Check::Lot(plan) => {
                let (lot, in_sample) = if self.order == Order::Production {
                    (index / plan.size, index % plan.size < plan.sample)
                } else {
                    let share = plan.sample as f64 / plan.size as f64;
                    (index, unit(self.part.word(index)) < share)
                };
                in_sample || unit(self.lot.word(lot)) >= plan.passes(shift)
            }
        }
    }
}

/// A number from 0 up to, not including, 1.
fn unit(word: u64) -> f64 {
    (word >> 11) as f64 * (1.0 / 9_007_199_254_740_992.0)
}

fn named(seed: u64, characteristic: &str, attempt: u32) -> Stream {
    Stream::new(StreamId {
        seed,
        point: None,
        characteristic,
        attempt,
    })
}

#[cfg(test)]
mod tests;
