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

use crate::approach::{ENTERS, TOUCHES};
use crate::block::{Block, Work};
use crate::input::Input;
use crate::joint::{Joint, Spacer};
use crate::lanes::{LANES, larger, smaller};
use crate::law::{ElasticLaw, Overlap, Rates};
use crate::output::Output;
use crate::search;

/// The lane must be searched with a bracket.
pub(crate) const HARD: u32 = 4;
/// The spacer is not pinched.
pub(crate) const OPEN: u32 = 8;

/// Residual of the balance, as a share of the bolt load, above which Newton has not settled.
const SETTLED: f64 = 1e-10;

/// The four places that limit the overlap.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Ends {
    pub x1: f64,
    pub x2: f64,
    pub u1: f64,
    pub u2: f64,
}

impl Ends {
    pub fn of(joint: &Joint) -> Ends {
        let ((x1, x2), (u1, u2)) = (joint.sizes().male_flank, joint.sizes().female_flank);
        Ends { x1, x2, u1, u2 }
    }
}

/// One lane's flanks: everything that the overlap at a stand-off depends on.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Flanks {
    pub ends: Ends,
    pub tan_f: f64,
    pub k: f64,
    pub inverse_k: f64,
    /// Clearance as in [`Work::clearance`], with or without half the smoothing allowance (mm).
    pub clearance: f64,
}

impl Flanks {
    #[inline(always)]
    pub fn of(work: &Work, i: usize, ends: Ends, half_smoothing: f64) -> Flanks {
        Flanks {
            ends,
            tan_f: work.tan_f[i],
            k: work.k[i],
            inverse_k: work.inverse_k[i],
            clearance: work.clearance[i] + half_smoothing,
        }
    }

    /// The overlap at stand-off `h`.
    #[inline(always)]
    pub fn at(&self, h: f64) -> Overlap {
        let lo = larger(self.ends.x1, h + self.ends.u1);
        let hi = larger(smaller(self.ends.x2, h + self.ends.u2), lo);
        let at_origin = h.mul_add(self.tan_f, self.clearance);
        Overlap {
            stand_off: h,
            lo,
            hi,
            d_lo: -self.k.mul_add(lo, at_origin),
            d_hi: -self.k.mul_add(hi, at_origin),
            k: self.k,
            inverse_k: self.inverse_k,
        }
    }

    /// Rates of the overlap at stand-off `h`.
    #[inline(always)]
    pub fn rates(&self, h: f64) -> Rates {
        Rates {
            interference: -self.tan_f,
            lo: if h + self.ends.u1 > self.ends.x1 {
                1.0
            } else {
                0.0
            },
            hi: if h + self.ends.u2 < self.ends.x2 {
                1.0
            } else {
                0.0
            },
        }
    }
}

/// Axial stiffness of a spacer of thickness `t` (N/mm); infinite when rigid.
#[inline(always)]
pub(crate) fn stiffness(spacer: Spacer, t: f64) -> f64 {
    match spacer {
        Spacer::Rigid => f64::INFINITY,
        Spacer::Stiffness(k) => k,
        Spacer::Ring(ea) => ea / t,
    }
}

/// Fills in closing load, stand-off, radial load and clamp load of every lane.
#[inline(always)]
pub(crate) fn equilibrium<L: ElasticLaw>(block: &mut Block, law: &L, joint: &Joint) {
    close(block, law, joint);
    match joint.sizes().spacer {
        Spacer::Rigid => {}
        spacer => squeeze(block, law, joint, spacer),
    }
    let mut hard = [0_u16; LANES];
    let mut count = 0;
    for i in 0..LANES {
        hard[count] = i as u16;
        count += usize::from(block.work.state[i] & HARD != 0);
    }
    for &lane in &hard[..count] {
        search::lane(block, law, joint, usize::from(lane));
    }
}

/// The balance with the faces just met, `h = t`: the answer of a rigid spacer that is pinched.
#[inline(always)]
fn close<L: ElasticLaw>(block: &mut Block, law: &L, joint: &Joint) {
    let ends = Ends::of(joint);
    let half_smoothing = 0.5 * joint.sizes().smoothing;
    let work = &mut block.work;
    let outputs = &mut block.outputs;
    for i in 0..LANES {
        let t = block.inputs[Input::Thickness.index()][i];
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
fn squeeze<L: ElasticLaw>(block: &mut Block, law: &L, joint: &Joint, spacer: Spacer) {
    let ends = Ends::of(joint);
    let half_smoothing = 0.5 * joint.sizes().smoothing;
    first_step(block, spacer);
    second_step(block, law, spacer, ends, half_smoothing);
    settle(block, law, spacer, ends, half_smoothing);
}

/// A hub that never meets the cone is held by the spacer alone.
#[inline(always)]
fn thrust_of(work: &Work, i: usize) -> f64 {
    let seats = work.state[i] & (ENTERS | TOUCHES) == ENTERS | TOUCHES;
    if seats { work.thrust[i] } else { 0.0 }
}

/// From `h = t`, where [`close`] left the load and its rate.
#[inline(always)]
fn first_step(block: &mut Block, spacer: Spacer) {
    let (work, outputs) = (&block.work, &mut block.outputs);
    for i in 0..LANES {
        let t = block.inputs[Input::Thickness.index()][i];
        let bolt = outputs[Output::BoltLoad.index()][i];
        let spring = stiffness(spacer, t);
        let excess = outputs[Output::SeatLoad.index()][i] - bolt;
        outputs[Output::StandOff.index()][i] =
            t + excess / thrust_of(work, i).mul_add(-work.rate[i], spring);
    }
}

#[inline(always)]
fn second_step<L: ElasticLaw>(
    block: &mut Block,
    law: &L,
    spacer: Spacer,
    ends: Ends,
    half_smoothing: f64,
) {
    let (work, outputs) = (&block.work, &mut block.outputs);
    for i in 0..LANES {
        let t = block.inputs[Input::Thickness.index()][i];
        let friction = block.inputs[Input::Friction.index()][i];
        let bolt = outputs[Output::BoltLoad.index()][i];
        let h = outputs[Output::StandOff.index()][i];
        let flanks = Flanks::of(work, i, ends, half_smoothing);
        let (spring, thrust) = (stiffness(spacer, t), thrust_of(work, i));
        let (radial, rate) = law.radial_load_and_rate(&flanks.at(h), &flanks.rates(h), friction);
        let excess = thrust.mul_add(radial, spring.mul_add(t - h, -bolt));
        outputs[Output::StandOff.index()][i] = h + excess / thrust.mul_add(-rate, spring);
    }
}

/// Loads at the stand-off that Newton reached; a lane that has not settled is listed for the search.
#[inline(always)]
fn settle<L: ElasticLaw>(
    block: &mut Block,
    law: &L,
    spacer: Spacer,
    ends: Ends,
    half_smoothing: f64,
) {
    let (work, outputs) = (&mut block.work, &mut block.outputs);
    for i in 0..LANES {
        let t = block.inputs[Input::Thickness.index()][i];
        let friction = block.inputs[Input::Friction.index()][i];
        let bolt = outputs[Output::BoltLoad.index()][i];
        let h = outputs[Output::StandOff.index()][i];
        let flanks = Flanks::of(work, i, ends, half_smoothing);
        let seats = work.state[i] & (ENTERS | TOUCHES) == ENTERS | TOUCHES;
        let pressed = law.radial_load(&flanks.at(h), friction);
        let radial = if seats { pressed } else { 0.0 };
        let load = work.thrust[i] * radial;
        let residual = load + stiffness(spacer, t).mul_add(t - h, -bolt);
        let settled = residual.abs() <= SETTLED * bolt;
        work.state[i] |= if settled { 0 } else { HARD };
        work.radial[i] = radial;
        outputs[Output::SeatLoad.index()][i] = load;
        outputs[Output::ClampLoad.index()][i] = bolt - load;
    }
}
