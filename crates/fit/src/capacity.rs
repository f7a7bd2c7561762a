//! Grip: what torque the joint transmits before it slips, and what it takes to get the hub off again.
//!
//! ```text
//! slip torque of the cone  M_s = 2 pi mu M / (cos a (1 - mu tan a))             M = integral of r^2 p dx
//! torque capacity          M_s + mu_face N r_face
//! release load of the cone 2 pi tan(phi - a) A = 2 pi A (mu - tan a)/(1 + mu tan a),   A = integral of r p dx
//! self-locking margin      phi - a,   phi = atan mu
//! ```
//!
//! `mu` friction on the cone, `a` mean half-angle, `p` radial pressure (MPa), `r` radius (mm), `mu_face` friction and
//! `r_face` mean radius of the pinched faces (mm), `N` clamp load (N). The same `N` passes through both faces of the spacer,
//! one behind the other, so that it counts once. A positive release load, and a positive margin, mean a self-locking
//! seat: it stays when the bolt lets go. The release load is what statics gives at the sliding limit; stick, edges and
//! time in service may ask for more. Release and margin of teeth: [`crate::spline`].
//!
//! Source: statics of the wedge (any handbook of machine elements); the pressure is the radial one of
//! [`crate::rings`], and `p / (1 - mu tan a)` acts normal to the cone.

use std::f64::consts::{PI, TAU};

use crate::block::Block;
use crate::cone::Cone;
use crate::input::Input;
use crate::joint::Joint;
use crate::lanes::{LANES, reciprocal};
use crate::law::ElasticLaw;
use crate::output::Output;
use crate::seat::ConeSeat;

/// Slip torque of the cone.
#[inline(always)]
pub(crate) fn slip<L: ElasticLaw>(block: &mut Block, seat: &ConeSeat<'_, L>) {
    let (work, outputs) = (&mut block.work, &mut block.outputs);
    let friction = &block.inputs[Input::Friction.index()];
    let overlaps = seat.overlaps(&work.flanks, &outputs[Output::StandOff.index()], friction);
    seat.law.torque_integrals(&overlaps, &mut work.passing);
    for i in 0..LANES {
        let friction = friction[i];
        let tangent = seat.cone.mean_tangent(&block.inputs, i);
        let inverse_cosine = tangent.mul_add(tangent, 1.0).sqrt();
        let slide = (-friction).mul_add(tangent, 1.0);
        let torque = 1e-3 * TAU * friction * inverse_cosine * work.passing[i] * reciprocal(slide);
        outputs[Output::SlipTorque.index()][i] = if work.radial[i] > 0.0 { torque } else { 0.0 };
    }
}

/// Release load of the cone.
#[inline(always)]
pub(crate) fn release(block: &mut Block, cone: &Cone) {
    let (work, outputs) = (&block.work, &mut block.outputs);
    for i in 0..LANES {
        let friction = block.inputs[Input::Friction.index()][i];
        let tangent = cone.mean_tangent(&block.inputs, i);
        let draw = (friction - tangent) / friction.mul_add(tangent, 1.0);
        outputs[Output::ReleaseLoad.index()][i] = TAU * draw * work.radial[i];
    }
}

/// Torque that the cone and the pinched faces transmit; the same clamp load passes both faces, so it counts once.
#[inline(always)]
pub(crate) fn capacity(block: &mut Block, joint: &Joint) {
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
pub(crate) fn margin(block: &mut Block) {
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
