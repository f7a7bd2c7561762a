//! Equilibrium: where the hub stops under the bolt, and how the load is shared.
//!
//! The final stand-off `h` is where the axial load of the cones and the clamp load balance the bolt:
//!
//! ```text
//! F(h) + N(h) = B,    F(h) = 2 pi tan(alpha + phi) A(h),    N(h) = k_c max(0, t - h)
//! ```
//!
//! A rigid spacer is the limit `k_c -> infinity`: `h = max(t, h_F)` with `F(h_F) = B`, and `N = B - F(t)`.
//! Lanes whose spacer is pinched are solved together: the load at `h = t`, and for a spacer that gives one Newton step of
//! length `s` from there. What is then left of the balance, `r`, comes from the bend of the load over that step: the rate
//! has changed by `2 r/s`. A second step with the first step's rate, a chord, leaves `2 r/s` times its own length, which
//! must be a share of 1e-10 of the bolt load; so it is for spacers as stiff as most. Softer ones take Newton steps on. The
//! load after the last step is that of the tangent. The others (a gap is left, the draw-up is beyond the overlap, Newton
//! did not settle) are picked out: see [`crate::gap`] and [`crate::search`].

use crate::approach;
use crate::block::{Block, Outputs};
use crate::cone::{Cone, Ends, FlankColumns};
use crate::gap;
use crate::input::Input;
use crate::joint::{Joint, Spacer};
use crate::lanes::{Column, LANES, larger, reciprocal, smaller};
use crate::law::{ElasticLaw, Overlaps};
use crate::loads;
use crate::output::Output;
use crate::search;

/// The hub can be pushed onto the seat at all.
pub(crate) const ENTERS: u32 = 1;
/// The seat meets somewhere.
pub(crate) const TOUCHES: u32 = 2;

/// The lane must be searched with a bracket.
pub(crate) const HARD: u32 = 4;
/// The spacer is not pinched.
pub(crate) const OPEN: u32 = 8;

/// Newton has not come to rest yet.
pub(crate) const MOVES: u32 = 16;

/// The cones carry the bolt load with the faces just met, and more the further the hub is drawn: a gap is left.
pub(crate) const GAP: u32 = 32;

/// Residual of the balance, as a share of the bolt load, below which Newton has settled.
const SETTLED: f64 = 1e-10;

/// Newton steps of a block, after which the lanes that still move are searched.
const STEPS: usize = 4;

/// A kind of seat over a whole block. The inputs are at 20 °C; `work.thickness` and `work.spring` are set before.
pub(crate) trait Seating {
    /// First touch, draw-up, bolt load, axial load per radial load, and what the hub can reach.
    fn approach(&self, block: &mut Block, joint: &Joint);

    /// The balance of bolt load, seat and spacer: closing load, stand-off, seat load, clamp load, and [`OPEN`].
    /// Without `search` a gap that is left is not followed to its stand-off.
    fn equilibrium(&self, block: &mut Block, search: bool);

    /// The outputs in `wanted` that belong to this kind of seat.
    fn outputs(&self, block: &mut Block, joint: &Joint, wanted: Outputs);
}

/// A cone under its elastic law.
#[derive(Debug, Clone, Copy)]
pub(crate) struct ConeSeat<'a, L> {
    pub cone: &'a Cone,
    pub law: &'a L,
}

impl<L> ConeSeat<'_, L> {
    /// The overlaps of a block at these stand-offs.
    #[inline(always)]
    pub fn overlaps<'a>(
        &self,
        flanks: &'a FlankColumns,
        stand_off: &'a Column,
        friction: &'a Column,
    ) -> Overlaps<'a> {
        Overlaps {
            flanks,
            ends: self.cone.ends,
            stand_off,
            friction,
        }
    }
}

impl<L: ElasticLaw> Seating for ConeSeat<'_, L> {
    #[inline(always)]
    fn approach(&self, block: &mut Block, joint: &Joint) {
        approach::first_touch(block, self.cone, joint);
    }

    #[inline(always)]
    fn equilibrium(&self, block: &mut Block, search: bool) {
        if block.work.spring[0].is_finite() {
            close::<true, L>(block, self);
            squeeze(block, self);
        } else {
            close::<false, L>(block, self);
        }
        if search {
            gap::solve(block, self);
            search_hard(block, self);
        }
    }

    #[inline(always)]
    fn outputs(&self, block: &mut Block, joint: &Joint, wanted: Outputs) {
        loads::of_cone(block, self, joint, wanted);
    }
}

/// Thickness and axial stiffness of every lane's spacer at the temperature of assembly.
#[inline(always)]
pub(crate) fn spacers(block: &mut Block, joint: &Joint) {
    let growth = joint.sizes().growth.spacer;
    for i in 0..LANES {
        block.work.thickness[i] = block.inputs[Input::Thickness.index()][i] * growth;
    }
    springs(block, joint);
}

/// Axial stiffness of every lane's spacer at the thickness it has.
#[inline(always)]
pub(crate) fn springs(block: &mut Block, joint: &Joint) {
    let (sizes, growth) = (joint.sizes(), joint.sizes().growth.spacer);
    match sizes.spacer {
        Spacer::Rigid => block.work.spring = [f64::INFINITY; LANES],
        Spacer::Stiffness(k) => block.work.spring = [k; LANES],
        Spacer::Ring(ea) => {
            let ea = ea * growth * growth;
            for i in 0..LANES {
                block.work.spring[i] = ea * reciprocal(block.work.thickness[i]);
            }
        }
    }
}

/// Lanes whose balance needs a bracket, one by one.
#[inline(always)]
fn search_hard<L: ElasticLaw>(block: &mut Block, seat: &ConeSeat<'_, L>) {
    if !any(&block.work.state, HARD) {
        return;
    }
    let mut hard = [0_u16; LANES];
    let mut count = 0;
    for i in 0..LANES {
        hard[count] = i as u16;
        count += usize::from(block.work.state[i] & HARD != 0);
    }
    for &lane in &hard[..count] {
        search::lane(block, seat, usize::from(lane));
    }
}

/// Whether any lane's state has this bit.
#[inline(always)]
pub(crate) fn any(states: &[u32; LANES], bit: u32) -> bool {
    states.iter().fold(0, |all, state| all | state) & bit != 0
}

/// The balance with the faces just met, `h = t`: the answer of a rigid spacer that is pinched, and the first Newton step
/// of one that gives.
#[inline(always)]
fn close<const GIVES: bool, L: ElasticLaw>(block: &mut Block, seat: &ConeSeat<'_, L>) {
    let (work, outputs) = (&mut block.work, &mut block.outputs);
    let friction = &block.inputs[Input::Friction.index()];
    let overlaps = seat.overlaps(&work.flanks, &work.thickness, friction);
    seat.law
        .radial_loads_and_rates(&overlaps, &mut work.radial, &mut work.rate);
    for i in 0..LANES {
        let (t, thrust) = (work.thickness[i], work.thrust[i]);
        let bolt = outputs[Output::BoltLoad.index()][i];
        let (radial, rate) = (work.radial[i], work.rate[i]);
        let load = thrust * radial;
        let pressed = (thrust > 0.0) & (work.bears_at[i] > t);
        let hard = pressed & ((load > bolt) | (rate >= 0.0));
        let load = if pressed { load } else { 0.0 };
        let rate = if pressed { rate } else { 0.0 };
        let gap = pressed & (load > bolt) & (rate < 0.0);
        let state = if hard { HARD } else { MOVES };
        work.state[i] |= if gap { HARD | GAP } else { state };
        work.radial[i] = if pressed { radial } else { 0.0 };
        work.rate[i] = rate;
        outputs[Output::ClosingLoad.index()][i] = load;
        if GIVES {
            let give = reciprocal(thrust.mul_add(-rate, work.spring[i]));
            work.give[i] = give;
            outputs[Output::StandOff.index()][i] = (load - bolt).mul_add(give, t);
        } else {
            outputs[Output::StandOff.index()][i] = t;
            outputs[Output::SeatLoad.index()][i] = load;
            outputs[Output::ClampLoad.index()][i] = larger(bolt - load, 0.0);
        }
    }
}

/// The balance of a spacer that gives, from where the first Newton step led; a lane that does not settle is left to the
/// search.
#[inline(always)]
fn squeeze<L: ElasticLaw>(block: &mut Block, seat: &ConeSeat<'_, L>) {
    let mut moving = chord(block, seat);
    if moving {
        block.work.before = block.work.thickness;
    }
    for _ in 0..STEPS {
        if !moving {
            return;
        }
        moving = step(block, seat);
    }
    for state in &mut block.work.state {
        *state |= if *state & MOVES != 0 { HARD } else { 0 };
    }
}

/// The step with the rate at `h = t`, of every lane for which it is the last; whether any is left.
#[inline(always)]
fn chord<L: ElasticLaw>(block: &mut Block, seat: &ConeSeat<'_, L>) -> bool {
    let ends = seat.cone.ends;
    let (work, outputs) = (&mut block.work, &mut block.outputs);
    let friction = &block.inputs[Input::Friction.index()];
    let overlaps = seat.overlaps(&work.flanks, &outputs[Output::StandOff.index()], friction);
    let [radials, _] = &mut work.passing;
    seat.law.radial_loads(&overlaps, radials);
    let mut all = 0;
    for i in 0..LANES {
        let (t, thrust) = (work.thickness[i], work.thrust[i]);
        let bolt = outputs[Output::BoltLoad.index()][i];
        let h = outputs[Output::StandOff.index()][i];
        let excess = thrust.mul_add(radials[i], work.spring[i].mul_add(t - h, -bolt));
        let step = excess * work.give[i];
        // Flanks that begin to bear on the way bend the load from there on only.
        let bears_at = work.bears_at[i];
        let start = if bears_at > h {
            smaller(bears_at, t)
        } else {
            t
        };
        let settled = 2.0 * excess * step <= SETTLED * bolt * (start - h);
        let state = work.state[i];
        let state = if settled { state & !MOVES } else { state };
        let beyond = is_beyond(ends, h, work.bears_at[i], thrust);
        let state = if beyond {
            (state | HARD) & !MOVES
        } else {
            state
        };
        all |= state;
        work.state[i] = state;
        let radial = larger(work.rate[i].mul_add(step, radials[i]), 0.0);
        work.radial[i] = radial;
        let load = thrust * radial;
        outputs[Output::StandOff.index()][i] = if settled { h + step } else { h };
        outputs[Output::SeatLoad.index()][i] = load;
        outputs[Output::ClampLoad.index()][i] = larger(bolt - load, 0.0);
    }
    all & MOVES != 0
}

/// One Newton step of every lane that has not come to rest; whether any still moves.
#[inline(always)]
fn step<L: ElasticLaw>(block: &mut Block, seat: &ConeSeat<'_, L>) -> bool {
    let ends = seat.cone.ends;
    let (work, outputs) = (&mut block.work, &mut block.outputs);
    let friction = &block.inputs[Input::Friction.index()];
    let overlaps = seat.overlaps(&work.flanks, &outputs[Output::StandOff.index()], friction);
    let [radials, rates] = &mut work.passing;
    seat.law.radial_loads_and_rates(&overlaps, radials, rates);
    let mut all = 0;
    for i in 0..LANES {
        let (t, spring, thrust) = (work.thickness[i], work.spring[i], work.thrust[i]);
        let bolt = outputs[Output::BoltLoad.index()][i];
        let h = outputs[Output::StandOff.index()][i];
        let (before, radial, rate) = (work.before[i], radials[i], rates[i]);
        let excess = thrust.mul_add(radial, spring.mul_add(t - h, -bolt));
        let step = excess * reciprocal(thrust.mul_add(-rate, spring));
        let bend = thrust * (rate - work.rate[i]).abs();
        let settled = bend * step * step <= SETTLED * bolt * (h - before).abs();
        let radial = larger(rate.mul_add(step, radial), 0.0);
        let load = thrust * radial;

        let state = work.state[i];
        let moves = state & MOVES != 0;
        let next = if settled { state & !MOVES } else { state };
        let beyond = is_beyond(ends, h, work.bears_at[i], thrust);
        let next = if beyond { (next | HARD) & !MOVES } else { next };
        let next = if moves { next } else { state };
        all |= next;
        work.state[i] = next;
        work.radial[i] = if moves { radial } else { work.radial[i] };
        work.rate[i] = if moves { rate } else { work.rate[i] };
        work.before[i] = if moves { h } else { before };
        let (stand_off, seat_load, clamp) = (
            Output::StandOff.index(),
            Output::SeatLoad.index(),
            Output::ClampLoad.index(),
        );
        outputs[stand_off][i] = if moves { h + step } else { h };
        outputs[seat_load][i] = if moves { load } else { outputs[seat_load][i] };
        let clamped = larger(bolt - load, 0.0);
        outputs[clamp][i] = if moves { clamped } else { outputs[clamp][i] };
    }
    all & MOVES != 0
}

/// Whether the hub is drawn up beyond the overlap, where the load falls: an equilibrium further out may come first.
#[inline(always)]
fn is_beyond(ends: Ends, h: f64, bears_at: f64, thrust: f64) -> bool {
    let (lo, hi) = (larger(ends.x1, h + ends.u1), smaller(ends.x2, h + ends.u2));
    (thrust > 0.0) & (bears_at - h > larger(hi - lo, 0.0))
}
