//! Equilibrium: where the hub stops under the bolt, and how the load is shared.
//!
//! The final stand-off `h` is where the axial load of the cones and the clamp load balance the bolt:
//!
//! ```text
//! F(h) + N(h) = B,    F(h) = 2 pi tan(alpha + phi) A(h),    N(h) = k_c max(0, t - h)
//! ```
//!
//! A rigid spacer is the limit `k_c -> infinity`: `h = max(t, h_F)` with `F(h_F) = B`, and `N = B - F(t)`.
//! Lanes whose spacer is pinched are solved together: the load at `h = t`, and for a spacer that gives two
//! Newton steps from there. The others (a gap is left, the draw-up is beyond the overlap, Newton did not
//! settle) are listed and searched one by one with a bracket, see [`crate::search`].

use crate::approach;
use crate::block::{Block, Outputs, Work};
use crate::cone::{Cone, Flanks};
use crate::input::Input;
use crate::joint::{Joint, Spacer};
use crate::lanes::LANES;
use crate::law::ElasticLaw;
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

/// Residual of the balance, as a share of the bolt load, above which Newton has not settled.
const SETTLED: f64 = 1e-10;

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

impl<L: ElasticLaw> Seating for ConeSeat<'_, L> {
    #[inline(always)]
    fn approach(&self, block: &mut Block, joint: &Joint) {
        approach::first_touch(block, self.cone, joint);
    }

    #[inline(always)]
    fn equilibrium(&self, block: &mut Block, search: bool) {
        close(block, self);
        if block.work.spring[0].is_finite() {
            squeeze(block, self);
        }
        if search {
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
    for i in 0..LANES {
        block.work.spring[i] = match sizes.spacer {
            Spacer::Rigid => f64::INFINITY,
            Spacer::Stiffness(k) => k,
            Spacer::Ring(ea) => ea * growth * growth / block.work.thickness[i],
        };
    }
}

/// Lanes whose balance needs a bracket, one by one.
#[inline(always)]
fn search_hard<L: ElasticLaw>(block: &mut Block, seat: &ConeSeat<'_, L>) {
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

/// The balance with the faces just met, `h = t`: the answer of a rigid spacer that is pinched.
#[inline(always)]
fn close<L: ElasticLaw>(block: &mut Block, seat: &ConeSeat<'_, L>) {
    let (law, ends) = (seat.law, seat.cone.ends);
    let half_smoothing = seat.cone.half_smoothing;
    let work = &mut block.work;
    let outputs = &mut block.outputs;
    for i in 0..LANES {
        let t = work.thickness[i];
        let friction = block.inputs[Input::Friction.index()][i];
        let bolt = outputs[Output::BoltLoad.index()][i];
        let flanks = Flanks::of(work, i, ends, half_smoothing);
        let (radial, rate) = law.radial_load_and_rate(&flanks.at(t), &flanks.rates(t), friction);
        let load = work.thrust[i] * radial;
        let seats = work.state[i] & (ENTERS | TOUCHES) == ENTERS | TOUCHES;
        let pressed = seats & (work.bears_at[i] > t);
        let hard = pressed & ((load > bolt) | (rate >= 0.0));
        work.state[i] |= if hard { HARD } else { 0 };
        work.radial[i] = if pressed { radial } else { 0.0 };
        work.rate[i] = if pressed { rate } else { 0.0 };
        let load = if pressed { load } else { 0.0 };
        outputs[Output::ClosingLoad.index()][i] = load;
        outputs[Output::StandOff.index()][i] = t;
        outputs[Output::SeatLoad.index()][i] = load;
        outputs[Output::ClampLoad.index()][i] = bolt - load;
    }
}

/// Two Newton steps from `h = t` for a spacer that gives, and the balance that they reach.
#[inline(always)]
fn squeeze<L: ElasticLaw>(block: &mut Block, seat: &ConeSeat<'_, L>) {
    first_step(block);
    second_step(block, seat);
    settle(block, seat);
}

/// A hub that never meets the cone is held by the spacer alone.
#[inline(always)]
fn thrust_of(work: &Work, i: usize) -> f64 {
    let seats = work.state[i] & (ENTERS | TOUCHES) == ENTERS | TOUCHES;
    if seats { work.thrust[i] } else { 0.0 }
}

/// From `h = t`, where [`close`] left the load and its rate.
#[inline(always)]
fn first_step(block: &mut Block) {
    let (work, outputs) = (&block.work, &mut block.outputs);
    for i in 0..LANES {
        let t = work.thickness[i];
        let bolt = outputs[Output::BoltLoad.index()][i];
        let spring = work.spring[i];
        let excess = outputs[Output::SeatLoad.index()][i] - bolt;
        outputs[Output::StandOff.index()][i] =
            t + excess / thrust_of(work, i).mul_add(-work.rate[i], spring);
    }
}

#[inline(always)]
fn second_step<L: ElasticLaw>(block: &mut Block, seat: &ConeSeat<'_, L>) {
    let (law, ends) = (seat.law, seat.cone.ends);
    let half_smoothing = seat.cone.half_smoothing;
    let (work, outputs) = (&block.work, &mut block.outputs);
    for i in 0..LANES {
        let t = work.thickness[i];
        let friction = block.inputs[Input::Friction.index()][i];
        let bolt = outputs[Output::BoltLoad.index()][i];
        let h = outputs[Output::StandOff.index()][i];
        let flanks = Flanks::of(work, i, ends, half_smoothing);
        let (spring, thrust) = (work.spring[i], thrust_of(work, i));
        let (radial, rate) = law.radial_load_and_rate(&flanks.at(h), &flanks.rates(h), friction);
        let excess = thrust.mul_add(radial, spring.mul_add(t - h, -bolt));
        outputs[Output::StandOff.index()][i] = h + excess / thrust.mul_add(-rate, spring);
    }
}

/// Loads at the stand-off that Newton reached; a lane that has not settled is listed for the search.
#[inline(always)]
fn settle<L: ElasticLaw>(block: &mut Block, seat: &ConeSeat<'_, L>) {
    let (law, ends) = (seat.law, seat.cone.ends);
    let half_smoothing = seat.cone.half_smoothing;
    let (work, outputs) = (&mut block.work, &mut block.outputs);
    for i in 0..LANES {
        let t = work.thickness[i];
        let friction = block.inputs[Input::Friction.index()][i];
        let bolt = outputs[Output::BoltLoad.index()][i];
        let h = outputs[Output::StandOff.index()][i];
        let flanks = Flanks::of(work, i, ends, half_smoothing);
        let seats = work.state[i] & (ENTERS | TOUCHES) == ENTERS | TOUCHES;
        let overlap = flanks.at(h);
        let pressed = law.radial_load(&overlap, friction);
        let radial = if seats { pressed } else { 0.0 };
        let load = work.thrust[i] * radial;
        let residual = load + work.spring[i].mul_add(t - h, -bolt);
        let settled = residual.abs() <= SETTLED * bolt;
        // Drawn up beyond the overlap the load falls: an equilibrium further out may come first.
        let beyond = seats & (work.bears_at[i] - h > overlap.hi - overlap.lo);
        work.state[i] |= if settled & !beyond { 0 } else { HARD };
        work.radial[i] = radial;
        outputs[Output::SeatLoad.index()][i] = load;
        outputs[Output::ClampLoad.index()][i] = bolt - load;
    }
}
