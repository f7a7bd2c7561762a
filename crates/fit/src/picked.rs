//! Lanes that need more steps than their block: a gap is left, or a spacer gives more than a chord can follow.
//!
//! They are picked out of the block and solved side by side, by Newton's method for
//!
//! ```text
//! F(h) + k_c (t - h) = B,    k_c = 0 where a gap is left
//! ```
//!
//! The load of a lane with a gap rises from nothing at first touch with a power of the advance between one and two, so that
//! a start at
//!
//! ```text
//! h = h_b - (h_b - t) sqrt(B / F(t)),    h_b where the flanks begin to bear
//! ```
//!
//! lies on the inner side of the answer or on it, and Newton's steps from there do not pass it. The others start from where
//! the step from `h = t` has led. A lane that has not come to rest after a few steps is left to [`crate::search`].

use crate::block::Block;
use crate::cone::{Ends, FlankColumns};
use crate::input::Input;
use crate::lanes::{Column, LANES, larger, smaller};
use crate::law::ElasticLaw;
use crate::output::Output;
use crate::seat::{self, ConeSeat, GAP, HARD, MOVES, OPEN};

/// Newton steps, after which a lane is searched.
const STEPS: usize = 8;

/// Newton step, as a share of the stand-off, after which the error of the next is below rounding.
const SHORT: f64 = 1e-10;

/// Lanes that a vector unit takes at a time; the places up to a multiple of it are solved and not looked at.
const WIDTH: usize = 8;

/// The lanes picked out, side by side.
#[derive(Debug, Clone)]
pub(crate) struct Picked {
    lanes: [u16; LANES],
    flanks: FlankColumns,
    friction: Column,
    thrust: Column,
    bolt: Column,
    thickness: Column,
    bears_at: Column,
    /// Stiffness of the spacer, 0 where a gap is left (N/mm).
    spring: Column,
    stand_off: Column,
    radial: Column,
    /// 1 while the lane has not come to rest, else 0; as wide as the rest, for the vector unit.
    moves: [u64; LANES],
    /// 1 once a squeezed lane was met beyond the overlap, where the load falls again.
    beyond: [u64; LANES],
}

impl Picked {
    pub fn new() -> Picked {
        let zero = [0.0; LANES];
        Picked {
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
            thickness: zero,
            bears_at: zero,
            spring: zero,
            stand_off: zero,
            radial: zero,
            moves: [0; LANES],
            beyond: [0; LANES],
        }
    }
}

/// Solves the lanes that still move and those of which the solver knows that a gap is left. What does not come to rest is
/// marked [`HARD`].
#[inline(always)]
pub(crate) fn solve<L: ElasticLaw>(block: &mut Block, seat: &ConeSeat<'_, L>) {
    if !seat::any(&block.work.state, GAP | MOVES) {
        return;
    }
    let count = pick(block);
    let room = count.next_multiple_of(WIDTH);
    for _ in 0..STEPS {
        if !step(&mut block.work.picked, seat, room) {
            break;
        }
    }
    put_back(block, count);
}

/// Lists the lanes and copies what they need; returns how many there are.
#[inline(always)]
fn pick(block: &mut Block) -> usize {
    let (work, outputs) = (&mut block.work, &block.outputs);
    let picked = &mut work.picked;
    let mut count = 0;
    for i in 0..LANES {
        picked.lanes[count] = i as u16;
        count += usize::from(work.state[i] & (GAP | MOVES) != 0);
    }
    picked.moves = [0; LANES];
    for place in 0..count {
        let i = usize::from(picked.lanes[place]) % LANES;
        let bolt = outputs[Output::BoltLoad.index()][i];
        let closing = outputs[Output::ClosingLoad.index()][i];
        let stand_off = outputs[Output::StandOff.index()][i];
        let (t, bears_at) = (work.thickness[i], work.bears_at[i]);
        let gap = work.state[i] & GAP != 0;
        picked.flanks.tan_f[place] = work.flanks.tan_f[i];
        picked.flanks.k[place] = work.flanks.k[i];
        picked.flanks.inverse_k[place] = work.flanks.inverse_k[i];
        picked.flanks.clearance[place] = work.flanks.clearance[i];
        picked.friction[place] = block.inputs[Input::Friction.index()][i];
        picked.thrust[place] = work.thrust[i];
        picked.bolt[place] = bolt;
        picked.thickness[place] = t;
        picked.bears_at[place] = bears_at;
        picked.spring[place] = if gap { 0.0 } else { work.spring[i] };
        picked.stand_off[place] = if gap {
            (bolt / closing).sqrt().mul_add(t - bears_at, bears_at)
        } else {
            stand_off
        };
        picked.moves[place] = 1;
        picked.beyond[place] = 0;
    }
    count
}

/// One Newton step of every lane that has not come to rest; whether any moved.
#[inline(always)]
fn step<L: ElasticLaw>(picked: &mut Picked, seat: &ConeSeat<'_, L>, room: usize) -> bool {
    let ends = seat.cone.ends;
    let mut moving = 0;
    for i in 0..room.min(LANES) {
        let h = picked.stand_off[i];
        let flanks = picked.flanks.lane(i, ends);
        let (radial, rate) =
            seat.law
                .radial_load_and_rate(&flanks.at(h), &flanks.rates(h), picked.friction[i]);
        let (thrust, spring) = (picked.thrust[i], picked.spring[i]);
        let squeezed = spring.mul_add(picked.thickness[i] - h, -picked.bolt[i]);
        let excess = thrust.mul_add(radial, squeezed);
        let slope = thrust.mul_add(rate, -spring);
        let falls = slope < 0.0;
        let step = -excess / if falls { slope } else { -1.0 };
        let short = falls & (step.abs() <= SHORT * h.abs());
        let moves = picked.moves[i] != 0;
        let beyond = (spring > 0.0) & is_beyond(ends, h, picked.bears_at[i], thrust);
        picked.beyond[i] |= if moves & beyond { 1 } else { 0 };
        picked.stand_off[i] = if moves { h + step } else { h };
        let radial = larger(rate.mul_add(step, radial), 0.0);
        picked.radial[i] = if moves { radial } else { picked.radial[i] };
        let next = if moves & !short { 1 } else { 0 };
        picked.moves[i] = next;
        moving |= next;
    }
    moving != 0
}

/// What came to rest goes back to its lane; anything else than a stand-off between closing and first touch for a gap, or
/// below closing for a squeezed spacer, is left to the search.
#[inline(always)]
fn put_back(block: &mut Block, count: usize) {
    let (work, outputs) = (&mut block.work, &mut block.outputs);
    for place in 0..count {
        let i = usize::from(work.picked.lanes[place]) % LANES;
        let (h, t) = (work.picked.stand_off[place], work.thickness[i]);
        let gap = work.state[i] & GAP != 0;
        let inside = if gap {
            (h > t) & (h < work.bears_at[i])
        } else {
            (h <= t) & (work.picked.beyond[place] == 0)
        };
        let state = work.state[i] & !MOVES;
        if work.picked.moves[place] != 0 || !inside {
            work.state[i] = state | HARD;
            continue;
        }
        let bolt = outputs[Output::BoltLoad.index()][i];
        let load = work.thrust[i] * work.picked.radial[place];
        work.radial[i] = work.picked.radial[place];
        work.state[i] = if gap { state & !HARD | OPEN } else { state };
        outputs[Output::StandOff.index()][i] = h;
        outputs[Output::SeatLoad.index()][i] = if gap { bolt } else { load };
        outputs[Output::ClampLoad.index()][i] = if gap { 0.0 } else { larger(bolt - load, 0.0) };
    }
}

/// Whether the hub is drawn up beyond the overlap, where the load falls: an equilibrium further out may come first.
#[inline(always)]
pub(crate) fn is_beyond(ends: Ends, h: f64, bears_at: f64, thrust: f64) -> bool {
    let (lo, hi) = (larger(ends.x1, h + ends.u1), smaller(ends.x2, h + ends.u2));
    (thrust > 0.0) & (bears_at - h > larger(hi - lo, 0.0))
}
