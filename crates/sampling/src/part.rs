//! One kind of part: its characteristics drawn together, and inspected before assembly.

use crate::gate::Gate;
use crate::inspect::{GateCounts, Gauge};
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

/// Room to draw in.
#[derive(Debug, Clone, Default)]
pub struct Scratch {
    scores: Vec<Column>,
    pub(crate) shifts: Vec<Column>,
    pub(crate) again: Vec<Column>,
}

/// One kind of part.
#[derive(Debug, Clone)]
pub struct Part {
    seed: u64,
    pub(crate) characteristics: Vec<Characteristic>,
    streams: Vec<Attempts>,
    slow: Vec<Vec<Stream>>,
    pub(crate) gauges: Vec<Gauge>,
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
            streams: characteristics
                .iter()
                .map(|c| Attempts::new(seed, c.stream.clone()))
                .collect(),
            slow: characteristics.iter().map(slow).collect(),
            gauges: Gauge::of(seed, &characteristics),
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
        fill_scores(&self.streams[place].first(), number, scores);
    }

    /// Whether any characteristic is inspected.
    pub fn is_inspected(&self) -> bool {
        !self.gauges.is_empty()
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
            for (c, streams) in self.characteristics.iter().zip(&self.streams) {
                let stream = &streams.first();
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
    pub(crate) fn draw(
        &self,
        number: u64,
        attempt: u32,
        columns: &mut [Column],
        scratch: &mut Scratch,
    ) {
        let n = self.characteristics.len();
        scratch.scores.resize(n, [0.0; BLOCK]);
        for i in 0..n {
            if self.characteristics[i].process.is_constant() {
                continue;
            }
            let stream = self.streams[i].at(attempt);
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
}

/// The streams of one name, by attempt; those of the first attempts are at hand.
#[derive(Debug, Clone)]
pub(crate) struct Attempts {
    seed: u64,
    name: String,
    first: [Stream; 6],
}

impl Attempts {
    pub(crate) fn new(seed: u64, name: String) -> Attempts {
        let first = [0, 1, 2, 3, 4, 5].map(|attempt| named(seed, &name, attempt));
        Attempts { seed, name, first }
    }

    /// The stream of the parts as first made.
    #[inline(always)]
    pub(crate) fn first(&self) -> Stream {
        self.first[0]
    }

    #[inline(always)]
    pub(crate) fn at(&self, attempt: u32) -> Stream {
        match self.first.get(attempt as usize) {
            Some(stream) => *stream,
            None => named(self.seed, &self.name, attempt),
        }
    }
}

/// The stream of draws that all points share.
pub(crate) fn named(seed: u64, characteristic: &str, attempt: u32) -> Stream {
    Stream::new(StreamId {
        seed,
        point: None,
        characteristic,
        attempt,
    })
}

#[cfg(test)]
mod tests;
