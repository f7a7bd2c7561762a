//! The outputs of a block once every lane has its stand-off.
//!
//! From the radial load `A = integral of r p dx`, the torque integral `M = integral of r^2 p dx`, friction
//! `mu` and the mean half-angle `a`:
//!
//! ```text
//! slip torque   = 2 pi mu M / (cos a (1 - mu tan a))
//! release load  = 2 pi tan(phi - a) A = 2 pi A (mu - tan a)/(1 + mu tan a)      > 0: self-locking
//! blue share    = min(1, film / (|k| L0)),  L0 the overlap at first touch
//! rock angle    = 2 (c_lo + c_hi)/L, full swing of a hub whose cones are free
//! runout        = rock angle * R, full axial reading at the radius R
//! capacity      = slip torque + mu_face N r_face
//! margin        = phi - a                                               > 0: self-locking
//! rho           = |k| L / (interference at the touching end)
//! ```

use std::f64::consts::{PI, TAU};

use crate::block::{Block, Outputs, Work};
use crate::cone::{Cone, Flanks};
use crate::input::Input;
use crate::joint::Joint;
use crate::lanes::{Column, LANES, larger, smaller};
use crate::law::{ElasticLaw, Overlap};
use crate::output::{OUTPUTS, Output};
use crate::seat::{ConeSeat, ENTERS, OPEN, TOUCHES};
use crate::service;

const EVERY: u32 = (1 << OUTPUTS) - 1;
const BOLT_ONLY: u32 = EVERY & !(bit(Output::BoltLoad) | bit(Output::BoltUtilisation));
const TOUCH: u32 = bit(Output::FirstTouch) | bit(Output::DrawUp) | bit(Output::BlueShare);

const fn bit(output: Output) -> u32 {
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
        slip(block, law, cone);
        capacity(block, joint);
    }
    if wanted.has(Output::ReleaseLoad) {
        release(block);
    }
    if wanted.has(Output::SelfLockingMargin) {
        mean_angle(block);
    }
    if wanted.any(&[Output::RockAngle, Output::Runout]) {
        rock(block, cone, joint);
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
fn stopped(
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

#[inline(always)]
fn slip<L: ElasticLaw>(block: &mut Block, law: &L, cone: &Cone) {
    let (work, outputs) = (&block.work, &mut block.outputs);
    for i in 0..LANES {
        let friction = block.inputs[Input::Friction.index()][i];
        let overlap = stopped(work, outputs, i, cone, cone.half_smoothing);
        let tangent = work.tan_mean[i];
        let inverse_cosine = tangent.mul_add(tangent, 1.0).sqrt();
        let slide = (-friction).mul_add(tangent, 1.0);
        let torque =
            1e-3 * TAU * friction * inverse_cosine * law.torque_integral(&overlap, friction)
                / slide;
        outputs[Output::SlipTorque.index()][i] = if work.radial[i] > 0.0 { torque } else { 0.0 };
    }
}

#[inline(always)]
fn release(block: &mut Block) {
    let (work, outputs) = (&block.work, &mut block.outputs);
    for i in 0..LANES {
        let friction = block.inputs[Input::Friction.index()][i];
        let tangent = work.tan_mean[i];
        let draw = (friction - tangent) / friction.mul_add(tangent, 1.0);
        outputs[Output::ReleaseLoad.index()][i] = TAU * draw * work.radial[i];
    }
}

/// Torque that the cone and the pinched faces transmit; the same clamp load passes both faces, so it counts once.
#[inline(always)]
fn capacity(block: &mut Block, joint: &Joint) {
    let Some(radius) = joint.sizes().face_radius else {
        return;
    };
    for i in 0..LANES {
        let friction = block.inputs[Input::FaceFriction.index()][i];
        let faces = 1e-3 * friction * radius * block.outputs[Output::ClampLoad.index()][i];
        block.outputs[Output::TorqueCapacity.index()][i] =
            block.outputs[Output::SlipTorque.index()][i] + faces;
    }
}

/// Self-locking margin of a cone: its half-angle is the mean of both.
#[inline(always)]
fn mean_angle(block: &mut Block) {
    for i in 0..LANES {
        let friction = block.inputs[Input::Friction.index()][i];
        let angles = block.inputs[Input::MaleHalfAngle.index()][i]
            + block.inputs[Input::FemaleHalfAngle.index()][i];
        block.outputs[Output::SelfLockingMargin.index()][i] =
            self_locking_margin(friction, 0.5 * angles);
    }
}

/// Angle of friction less the half-angle, both in rad, in degrees.
#[inline(always)]
pub(crate) fn self_locking_margin(friction: f64, half_angle: f64) -> f64 {
    (libm::atan(friction) - half_angle) * (180.0 / PI)
}

#[inline(always)]
fn rock(block: &mut Block, cone: &Cone, joint: &Joint) {
    let radius = joint.sizes().runout_radius.unwrap_or(0.0);
    let (work, outputs) = (&block.work, &mut block.outputs);
    for i in 0..LANES {
        let overlap = stopped(work, outputs, i, cone, 0.0);
        let length = overlap.hi - overlap.lo;
        let free = work.radial[i] <= 0.0;
        let clearances = larger(-overlap.d_lo, 0.0) + larger(-overlap.d_hi, 0.0);
        let lies_over = length > 0.0;
        let swing = 2.0 * clearances / if lies_over { length } else { 1.0 };
        let swing = if free { swing } else { 0.0 };
        outputs[Output::RockAngle.index()][i] = swing * (180.0 / PI);
        outputs[Output::Runout.index()][i] = swing * radius;
        block.absent[i] |= if free & !lies_over {
            bit(Output::RockAngle) | bit(Output::Runout)
        } else {
            0
        };
    }
}

/// An absent output is 0 in its column, so that nothing undefined can be read by mistake.
#[inline(always)]
pub(crate) fn clear_absent(block: &mut Block) {
    for (o, column) in block.outputs.iter_mut().enumerate() {
        for (value, absent) in column.iter_mut().zip(&block.absent) {
            *value = if absent >> o & 1 == 0 { *value } else { 0.0 };
        }
    }
}
