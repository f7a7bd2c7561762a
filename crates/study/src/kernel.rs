//! The kernel: one block of pairings from scores to sums. Everything in it is inlined into the entry
//! points of [`crate::dispatch`], so that the compiler can use the vector unit of the machine.

use capability::masks::MaskCounts;
use capability::tally::{self, Counts, Frame, Missing, Sums, Totals};
use fit::{Block, Output, Outputs, Pass};
use sampling::{BLOCK, GateCounts, Order};

use crate::plan::Plan;
use crate::supply::Supply;

/// Blocks in a chunk: the unit of work, of merging and of restart.
pub const CHUNK_BLOCKS: u64 = 512;

/// Pairings in a chunk.
pub const CHUNK: u64 = CHUNK_BLOCKS * BLOCK as u64;

/// Bins of draw-up in the table by verdict.
pub const DRAW_UP_BINS: usize = 128;

const _: () = assert!(
    tally::BINS.is_multiple_of(DRAW_UP_BINS),
    "bins of draw-up are groups of bins"
);

/// Everything that a thread counts over all its chunks: integers, which may be added in any order.
#[derive(Debug, Clone)]
pub struct Counted {
    /// By output followed.
    pub totals: Vec<Totals>,
    /// By set of broken limits, and within by bin of draw-up; end bins hold what lies outside, one bin more what has none.
    pub masks: MaskCounts,
    /// Inspection, by part of the plan.
    pub gates: Vec<GateCounts>,
}

impl Counted {
    /// Nothing counted.
    pub fn new(plan: &Plan) -> Counted {
        Counted {
            totals: vec![Totals::default(); plan.outputs.len()],
            masks: MaskCounts::new(DRAW_UP_BINS + 1),
            gates: vec![GateCounts::default(); plan.parts.len()],
        }
    }

    /// Pairings that break a limit.
    pub fn rejects(&self) -> u64 {
        let broken = self.masks.totals().filter(|&(mask, _)| mask != 0);
        broken.map(|(_, count)| count).sum()
    }

    /// Adds another thread's counts.
    pub fn merge(&mut self, other: &Counted) {
        for (sum, part) in self.totals.iter_mut().zip(&other.totals) {
            sum.merge(part);
        }
        self.masks.merge(&other.masks);
        for (sum, part) in self.gates.iter_mut().zip(&other.gates) {
            sum.merge(part);
        }
    }
}

/// What a thread works with. The columns that every run needs lie on the heap: how they meet in the first cache must not be
/// left to where a stack happens to stand.
#[derive(Debug)]
pub struct Workspace {
    /// The block at hand.
    pub block: Box<Block>,
    places: Box<Places>,
    counts: Vec<Counts>,
    /// Where its parts come from.
    pub supply: Supply,
    /// What this thread has counted so far.
    pub counted: Counted,
}

/// Where a block counts.
#[derive(Debug)]
#[repr(align(64))]
struct Places {
    /// Slots of the output at hand, by lane.
    slots: [u16; BLOCK],
    /// Bins of draw-up, by lane.
    bins: [u16; BLOCK],
}

impl Workspace {
    /// A fresh workspace.
    pub fn new(plan: &Plan) -> Workspace {
        Workspace {
            block: plan.block(),
            places: Box::new(Places {
                slots: [0; BLOCK],
                bins: [0; BLOCK],
            }),
            counts: vec![Counts::default(); plan.outputs.len()],
            supply: Supply::new(plan, Order::Stock),
            counted: Counted::new(plan),
        }
    }

    /// Adds the counts of the chunk at hand to those of the thread.
    pub fn end_chunk(&mut self) {
        for (counts, total) in self.counts.iter_mut().zip(&mut self.counted.totals) {
            counts.drain_into(total);
        }
        for (counts, total) in self.supply.counts.iter_mut().zip(&mut self.counted.gates) {
            total.merge(&std::mem::take(counts));
        }
    }
}

/// Draws the parts of block `number`, of which `len` count.
#[inline(always)]
pub fn draw(plan: &Plan, number: u64, len: usize, supply: &mut Supply, block: &mut Block) {
    plan.draw(number, len, supply, block);
}

/// Solves a block for the outputs in `wanted`.
#[inline(always)]
pub fn solve_pass(plan: &Plan, wanted: Outputs, pass: Pass, block: &mut Block) {
    block.solve_pass(&plan.joint, &plan.criteria, wanted, pass);
}

/// Counts the first `len` lanes of a solved block.
#[inline(always)]
pub fn count(plan: &Plan, frames: &[Frame], len: usize, work: &mut Workspace, sums: &mut [Sums]) {
    let block = &work.block;
    let Places { slots, bins } = &mut *work.places;
    // Without draw-up, sets are counted by lane: equal ones in a row would wait for each other.
    *bins = std::array::from_fn(|lane| (lane % DRAW_UP_BINS) as u16);
    for (i, output) in plan.outputs.iter().enumerate() {
        let bit = output.index() as u32;
        let lanes = &block.absent[..len];
        let missing = (block.any_absent >> bit & 1 == 1).then_some(Missing { lanes, bit });
        tally::add(
            &block.outputs[output.index()][..len],
            missing,
            &frames[i],
            &mut sums[i],
            &mut work.counts[i],
            slots,
        );
        if *output == Output::DrawUp {
            for (bin, slot) in bins.iter_mut().zip(&*slots) {
                *bin = tally::coarse_bin(*slot, DRAW_UP_BINS as u16);
            }
        }
    }
    work.counted.masks.add(&block.broken[..len], &bins[..len]);
}
