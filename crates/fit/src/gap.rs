//! Gaps left: the cones balance the bolt before the spacer is pinched, and the hub stops where `F(h) = B`.
//!
//! Such lanes are picked out of the block and solved side by side. The load rises from nothing at first touch with a power
//! of the advance between one and two, so that a start at
//!
//! ```text
//! h = h_b - (h_b - t) sqrt(B / F(t)),    h_b where the flanks begin to bear
//! ```
//!
//! lies on the outer side of the answer or on it, and Newton's steps from there do not pass it. A lane that has not come to
//! rest after a few of them is left to [`crate::search`].

use crate::block::Block;
use crate::cone::FlankColumns;
use crate::input::Input;
use crate::lanes::{Column, LANES, larger};
use crate::law::ElasticLaw;
use crate::output::Output;
use crate::seat::{self, ConeSeat, GAP, HARD, OPEN};

/// Newton steps, after which a lane is searched.
const STEPS: usize = 8;

/// Newton step, as a share of the stand-off, after which the error of the next is below rounding.
const SHORT: f64 = 1e-10;

/// Lanes that a vector unit takes at a time; the places up to a multiple of it are solved and not looked at.
const WIDTH: usize = 8;

/// The lanes with a gap, side by side.
#[derive(Debug, Clone)]
pub(crate) struct Gaps {
    lanes: [u16; LANES],
    flanks: FlankColumns,
    friction: Column,
    thrust: Column,
    bolt: Column,
    stand_off: Column,
    radial: Column,
    /// 1 while the lane has not come to rest, else 0; as wide as the rest, for the vector unit.
    moves: [u64; LANES],
}

impl Gaps {
    pub fn new() -> Gaps {
        let zero = [0.0; LANES];
        Gaps {
            lanes: [0; LANES],
            flanks: FlankColumns {
                tan_f: zero,
                k: zero,
                inverse_k: zero,
                clearance: zero,
            },
            friction: zero,
            thrust: zero,
            bolt: zero,
            stand_off: zero,
            radial: zero,
            moves: [0; LANES],
        }
    }
}

/// Solves the lanes of which the solver knows that a gap is left.
#[inline(always)]
pub(crate) fn solve<L: ElasticLaw>(block: &mut Block, seat: &ConeSeat<'_, L>) {
    let count = pick(block);
    if count == 0 {
        return;
    }
    let room = count.next_multiple_of(WIDTH);
    for _ in 0..STEPS {
        if !step(&mut block.work.gaps, seat, room) {
            break;
        }
    }
    put_back(block, count);
}

/// Lists the lanes and copies what they need; returns how many there are.
#[inline(always)]
fn pick(block: &mut Block) -> usize {
    if !seat::any(&block.work.state, GAP) {
        return 0;
    }
    let (work, outputs) = (&mut block.work, &block.outputs);
    let gaps = &mut work.gaps;
    let mut count = 0;
    for i in 0..LANES {
        gaps.lanes[count] = i as u16;
        count += usize::from(work.state[i] & GAP != 0);
    }
    for place in 0..count {
        let i = usize::from(gaps.lanes[place]) % LANES;
        let bolt = outputs[Output::BoltLoad.index()][i];
        let closing = outputs[Output::ClosingLoad.index()][i];
        let (t, bears_at) = (work.thickness[i], work.bears_at[i]);
        gaps.flanks.tan_f[place] = work.flanks.tan_f[i];
        gaps.flanks.k[place] = work.flanks.k[i];
        gaps.flanks.inverse_k[place] = work.flanks.inverse_k[i];
        gaps.flanks.clearance[place] = work.flanks.clearance[i];
        gaps.friction[place] = block.inputs[Input::Friction.index()][i];
        gaps.thrust[place] = work.thrust[i];
        gaps.bolt[place] = bolt;
        gaps.stand_off[place] = (bolt / closing).sqrt().mul_add(t - bears_at, bears_at);
        gaps.moves[place] = 1;
    }
    count
}

/// One Newton step of every lane that has not come to rest; whether any moved.
#[inline(always)]
fn step<L: ElasticLaw>(gaps: &mut Gaps, seat: &ConeSeat<'_, L>, room: usize) -> bool {
    let ends = seat.cone.ends;
    let mut moving = 0;
    for i in 0..room.min(LANES) {
        let h = gaps.stand_off[i];
        let flanks = gaps.flanks.lane(i, ends);
        let (radial, rate) =
            seat.law
                .radial_load_and_rate(&flanks.at(h), &flanks.rates(h), gaps.friction[i]);
        let thrust = gaps.thrust[i];
        let excess = thrust.mul_add(radial, -gaps.bolt[i]);
        let falls = rate < 0.0;
        let step = -excess / (thrust * if falls { rate } else { -1.0 });
        let short = falls & (step.abs() <= SHORT * h.abs());
        let moves = gaps.moves[i] != 0;
        gaps.stand_off[i] = if moves { h + step } else { h };
        let radial = larger(rate.mul_add(step, radial), 0.0);
        gaps.radial[i] = if moves { radial } else { gaps.radial[i] };
        let next = if moves & !short { 1 } else { 0 };
        gaps.moves[i] = next;
        moving |= next;
    }
    moving != 0
}

/// What came to rest goes back to its lane.
#[inline(always)]
fn put_back(block: &mut Block, count: usize) {
    let (work, outputs) = (&mut block.work, &mut block.outputs);
    for place in 0..count {
        let i = usize::from(work.gaps.lanes[place]) % LANES;
        let h = work.gaps.stand_off[place];
        // Anything else than a stand-off between closing and first touch is left to the search.
        let inside = (h > work.thickness[i]) & (h < work.bears_at[i]);
        if work.gaps.moves[place] != 0 || !inside {
            continue;
        }
        work.radial[i] = work.gaps.radial[place];
        work.state[i] = work.state[i] & !HARD | OPEN;
        outputs[Output::StandOff.index()][i] = h;
        outputs[Output::SeatLoad.index()][i] = outputs[Output::BoltLoad.index()][i];
        outputs[Output::ClampLoad.index()][i] = 0.0;
    }
}
