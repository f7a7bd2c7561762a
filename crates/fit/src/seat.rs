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
//! has changed by `2 r/s`. A second step with the first step's rate, a chord, leaves `2 r/s` times its own length; it is
//! the last where that is a share of 1e-9 of the bolt load. The load after it is that of the tangent. Where the load has a
//! corner, `r` says too little of the rate; so the chord serves only joints whose spacer is a hundred times as stiff as the
//! cones can be, where a wrong rate hardly matters. The other lanes (a gap is left, the spacer is soft, the draw-up is
//! beyond the overlap) are picked out: see [`crate::picked`] and [`crate::search`].

use crate::approach::{self, Pass};
use crate::block::{Block, Outputs};
use crate::cone::{Cone, FlankColumns};
use crate::input::Input;
use crate::joint::{Joint, JointSizes, Spacer};
use crate::lanes::{Column, LANES, larger, reciprocal};
use crate::law::{ElasticLaw, Overlaps};
use crate::loads;
use crate::output::Output;
use crate::picked;
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

/// Residual of the balance, as a share of the bolt load, below which a lane has come to rest.
const SETTLED: f64 = 1e-9;

/// Stiffness of the cones over that of the spacer up to which a chord is trusted.
const FIRM: f64 = 0.01;

/// A kind of seat over a whole block. The inputs are at 20 °C; `work.thickness` and `work.spring` are set before.
pub(crate) trait Seating {
    /// First touch, draw-up, bolt load, axial load per radial load, and what the hub can reach.
    fn approach(&self, block: &mut Block, joint: &Joint, pass: Pass);

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
    /// Whether a chord is trusted: see [`is_firm`].
    pub firm: bool,
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
    fn approach(&self, block: &mut Block, joint: &Joint, pass: Pass) {
        approach::first_touch(block, self.cone, joint, pass);
    }

    #[inline(always)]
    fn equilibrium(&self, block: &mut Block, search: bool) {
        if block.work.spring[0].is_finite() {
            close::<true, L>(block, self);
            chord(block, self);
        } else {
            close::<false, L>(block, self);
        }
        if search {
            picked::solve(block, self);
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
    let gives = &mut work.passing;
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
        let moves = if GIVES { MOVES } else { 0 };
        let state = if hard { HARD } else { moves };
        work.state[i] |= if gap { HARD | GAP } else { state };
        work.radial[i] = if pressed { radial } else { 0.0 };
        work.rate[i] = rate;
        outputs[Output::ClosingLoad.index()][i] = load;
        if GIVES {
            let give = reciprocal(thrust.mul_add(-rate, work.spring[i]));
            gives[i] = give;
            outputs[Output::StandOff.index()][i] = (load - bolt).mul_add(give, t);
        } else {
            outputs[Output::StandOff.index()][i] = t;
            outputs[Output::SeatLoad.index()][i] = load;
            outputs[Output::ClampLoad.index()][i] = larger(bolt - load, 0.0);
        }
    }
}

/// The chord after the first Newton step, for every lane of which it is the last; the others are left where they are.
/// [`close`] has left the stand-off per load out of balance in `passing`.
#[inline(always)]
fn chord<L: ElasticLaw>(block: &mut Block, seat: &ConeSeat<'_, L>) {
    if !seat.firm {
        return;
    }
    let ends = seat.cone.ends;
    let (work, outputs) = (&mut block.work, &mut block.outputs);
    let friction = &block.inputs[Input::Friction.index()];
    let overlaps = seat.overlaps(&work.flanks, &outputs[Output::StandOff.index()], friction);
    let gives = &work.passing;
    seat.law.radial_loads(&overlaps, &mut work.radial);
    for i in 0..LANES {
        let (t, thrust) = (work.thickness[i], work.thrust[i]);
        let bolt = outputs[Output::BoltLoad.index()][i];
        let h = outputs[Output::StandOff.index()][i];
        let excess = thrust.mul_add(work.radial[i], work.spring[i].mul_add(t - h, -bolt));
        let step = excess * gives[i];
        let settled = 2.0 * excess * step <= SETTLED * bolt * (t - h);
        let beyond = picked::is_beyond(ends, h, work.bears_at[i], thrust);
        let state = work.state[i];
        work.state[i] = if settled & !beyond {
            state & !MOVES
        } else {
            state
        };
        let radial = larger(work.rate[i].mul_add(step, work.radial[i]), 0.0);
        let load = thrust * radial;
        work.radial[i] = radial;
        outputs[Output::StandOff.index()][i] = if settled { h + step } else { h };
        outputs[Output::SeatLoad.index()][i] = load;
        outputs[Output::ClampLoad.index()][i] = larger(bolt - load, 0.0);
    }
}

/// Whether the spacer is so much stiffer than the cones can be that a chord is trusted.
pub(crate) fn is_firm(sizes: &JointSizes, cone: &Cone) -> bool {
    let spring = match sizes.spacer {
        Spacer::Rigid => f64::INFINITY,
        Spacer::Stiffness(k) => k,
        Spacer::Ring(ea) => ea / sizes.nominal[Input::Thickness.index()],
    };
    cone.steepest_load(sizes.nominal[Input::Friction.index()]) <= FIRM * spring
}
