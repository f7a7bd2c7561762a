//! The outputs of a block once every lane has its stand-off.
//!
//! ```text
//! gap           = max(0, h - t)
//! closing torque = T_set F(t)/B: a pairing keeps its own relative torque error and frictions
//! blue share    = min(1, film / (|k| L0)),  L0 the overlap at first touch
//! contact share = bearing length / overlap length
//! rho           = |k| L / (interference at the touching end)
//! ```
//!
//! `k = tan a_m - tan a_f`. The blue share is what a shop reads at hand force; the contact share is what bears under the
//! bolt. Pressures and the stress at the bore come from the elastic law: see [`crate::rings`]. The other outputs have
//! pages of their own: [`crate::capacity`], [`crate::play`], [`crate::settling`], [`crate::service`], [`crate::bolt`].

use crate::block::{Block, Outputs, Work};
use crate::cone::{Cone, Flanks};
use crate::input::Input;
use crate::joint::Joint;
use crate::lanes::{Column, LANES, larger, smaller};
use crate::law::{ElasticLaw, Overlap};
use crate::output::{OUTPUTS, Output};
use crate::seat::{ConeSeat, ENTERS, OPEN, TOUCHES};
use crate::{capacity, play, service};

const EVERY: u32 = (1 << OUTPUTS) - 1;
const BOLT_ONLY: u32 = EVERY & !(bit(Output::BoltLoad) | bit(Output::BoltUtilisation));
const TOUCH: u32 = bit(Output::FirstTouch) | bit(Output::DrawUp) | bit(Output::BlueShare);

pub(crate) const fn bit(output: Output) -> u32 {
    1 << output.index()
}

/// Fills in the outputs in `wanted` that belong to a cone.
#[inline(always)]
pub(crate) fn of_cone<L: ElasticLaw>(
    block: &mut Block,
    seat: &ConeSeat<'_, L>,
    joint: &Joint,
    wanted: Outputs,
) {
    let (law, cone) = (seat.law, seat.cone);
    if wanted.any(&[Output::ContactShare, Output::MismatchRatio]) {
        contact(block, law, cone);
    }
    if wanted.has(Output::BlueShare) {
        blue(block, cone);
    }
    if wanted.any(&[Output::PressureMean, Output::PressureMax]) {
        pressure(block, law, cone);
    }
    if wanted.has(Output::BoreStress) {
        stress(block, law, cone);
    }
    if wanted.any(&[Output::SlipTorque, Output::TorqueCapacity]) {
        capacity::slip(block, law, cone);
        capacity::capacity(block, joint);
    }
    if wanted.has(Output::ReleaseLoad) {
        capacity::release(block);
    }
    if wanted.has(Output::SelfLockingMargin) {
        capacity::margin(block);
    }
    if wanted.any(&[Output::RockAngle, Output::Runout]) {
        play::rock(block, cone, joint);
    }
    if wanted.any(&service::OUTPUTS) {
        service::service(block, seat, joint);
    }
}

/// Gap, clamp load and closing torque, which every kind of seat has, and what is not defined for a lane.
#[inline(always)]
pub(crate) fn positions(block: &mut Block, joint: &Joint) {
    let set_torque = joint.sizes().nominal[Input::Torque.index()] * 1e-3;
    let (work, outputs) = (&block.work, &mut block.outputs);
    for i in 0..LANES {
        let t = work.thickness[i];
        let bolt = outputs[Output::BoltLoad.index()][i];
        let open = work.state[i] & OPEN != 0;
        let gap = outputs[Output::StandOff.index()][i] - t;
        outputs[Output::Gap.index()][i] = if open { larger(gap, 0.0) } else { 0.0 };
        let clamp = larger(outputs[Output::ClampLoad.index()][i], 0.0);
        outputs[Output::ClampLoad.index()][i] = if open { 0.0 } else { clamp };
        outputs[Output::ClosingTorque.index()][i] =
            set_torque * (outputs[Output::ClosingLoad.index()][i] / bolt);
        let enters = work.state[i] & ENTERS != 0;
        let touches = work.state[i] & TOUCHES != 0;
        let absent = if enters { 0 } else { BOLT_ONLY };
        block.absent[i] = joint.missing_mask() | absent | if touches { 0 } else { TOUCH };
    }
}

/// The overlap of lane `i` where the hub stops.
#[inline(always)]
pub(crate) fn stopped(
    work: &Work,
    outputs: &[Column; OUTPUTS],
    i: usize,
    cone: &Cone,
    half_smoothing: f64,
) -> Overlap {
    Flanks::of(work, i, cone.ends, half_smoothing).at(outputs[Output::StandOff.index()][i])
}

#[inline(always)]
fn contact<L: ElasticLaw>(block: &mut Block, law: &L, cone: &Cone) {
    let (work, outputs) = (&block.work, &mut block.outputs);
    for i in 0..LANES {
        let friction = block.inputs[Input::Friction.index()][i];
        let overlap = stopped(work, outputs, i, cone, cone.half_smoothing);
        let bears = (work.state[i] & TOUCHES != 0) & (work.radial[i] > 0.0);
        let (start, end) = law.bearing(&overlap, friction);
        let length = overlap.hi - overlap.lo;
        let deepest = larger(overlap.d_lo, overlap.d_hi);
        let share = (end - start) / if bears { length } else { 1.0 };
        let ratio = overlap.k.abs() * length / if bears { deepest } else { 1.0 };
        outputs[Output::ContactShare.index()][i] = if bears { smaller(share, 1.0) } else { 0.0 };
        outputs[Output::MismatchRatio.index()][i] = ratio;
        block.absent[i] |= if bears { 0 } else { bit(Output::MismatchRatio) };
    }
}

#[inline(always)]
fn blue(block: &mut Block, cone: &Cone) {
    let film = cone.blue_film;
    let (work, outputs) = (&block.work, &mut block.outputs);
    for i in 0..LANES {
        let flanks = Flanks::of(work, i, cone.ends, 0.0);
        let overlap = flanks.at(outputs[Output::FirstTouch.index()][i]);
        let length = overlap.hi - overlap.lo;
        let reach = film * overlap.inverse_k.abs();
        let share = if length > 0.0 { reach / length } else { 1.0 };
        outputs[Output::BlueShare.index()][i] = smaller(share, 1.0);
    }
}

#[inline(always)]
fn pressure<L: ElasticLaw>(block: &mut Block, law: &L, cone: &Cone) {
    let (work, outputs) = (&block.work, &mut block.outputs);
    for i in 0..LANES {
        let friction = block.inputs[Input::Friction.index()][i];
        let overlap = stopped(work, outputs, i, cone, cone.half_smoothing);
        let bears = work.radial[i] > 0.0;
        let (mean, largest) = law.pressure(&overlap, friction);
        outputs[Output::PressureMean.index()][i] = if bears { mean } else { 0.0 };
        outputs[Output::PressureMax.index()][i] = if bears { largest } else { 0.0 };
    }
}

#[inline(always)]
fn stress<L: ElasticLaw>(block: &mut Block, law: &L, cone: &Cone) {
    let (work, outputs) = (&block.work, &mut block.outputs);
    for i in 0..LANES {
        let friction = block.inputs[Input::Friction.index()][i];
        let overlap = stopped(work, outputs, i, cone, cone.half_smoothing);
        let stress = law.bore_stress(&overlap, friction);
        outputs[Output::BoreStress.index()][i] = if work.radial[i] > 0.0 { stress } else { 0.0 };
    }
}

/// An absent output is 0 in its column, so that nothing undefined can be read by mistake.
#[inline(always)]
pub(crate) fn clear_absent(block: &mut Block, wanted: Outputs) {
    for output in Output::ALL {
        if !wanted.has(output) {
            continue;
        }
        let o = output.index();
        for (value, absent) in block.outputs[o].iter_mut().zip(&block.absent) {
            *value = if absent >> o & 1 == 0 { *value } else { 0.0 };
        }
    }
}
