//! First touch: how far the hub comes before the cones meet, without force.
//!
//! With `k = tan a_m - tan a_f` the radial clearance at `x` is `c = c0 + h tan a_f + k x`, where
//! `c0 = (D_f - D_m)/2 + a_f tan a_f - a_m tan a_m`. It is smallest at the large end of the overlap when
//! `k > 0`, at the small end when `k < 0`. That end belongs to the shaft (`x` fixed) or to the hub
//! (`x = h + u`); the clearance at either place rises with `h`, and the overlap ends at the nearer one, so
//! the touch is the smaller of the two stand-offs:
//!
//! ```text
//! h0 = min( -(c0 + k u)/tan a_m , -(c0 + k x)/tan a_f )
//! ```
//!
//! For equal angles this is `h0 = (D_m - D_f)/(2 tan a) + a_m - a_f`.

use std::f64::consts::TAU;

use crate::block::Block;
use crate::bolt;
use crate::cone::{Cone, Ends};
use crate::input::Input;
use crate::joint::Joint;
use crate::lanes::{LANES, smaller};
use crate::output::Output;
use crate::seat::{ENTERS, TOUCHES};

/// Mismatch below which the flanks count as parallel.
const PARALLEL: f64 = 1e-15;

/// Fills in tangents, clearance, first touch, draw-up, bolt load and thrust of every lane.
#[inline(always)]
pub(crate) fn first_touch(block: &mut Block, cone: &Cone, joint: &Joint) {
    tangents(block, cone);
    clearance(block, joint);
    touch(block, cone, joint);
}

/// Tangents of the three half-angles.
#[inline(always)]
fn tangents(block: &mut Block, cone: &Cone) {
    let (male, female, mean) = (cone.male_tangent, cone.female_tangent, cone.mean_tangent);
    let (inputs, work) = (&block.inputs, &mut block.work);
    for i in 0..LANES {
        work.tan_m[i] = male.of(inputs[Input::MaleHalfAngle.index()][i]);
    }
    for i in 0..LANES {
        work.tan_f[i] = female.of(inputs[Input::FemaleHalfAngle.index()][i]);
    }
    for i in 0..LANES {
        let sum =
            inputs[Input::MaleHalfAngle.index()][i] + inputs[Input::FemaleHalfAngle.index()][i];
        work.tan_mean[i] = mean.of(0.5 * sum);
    }
}

/// Mismatch, and clearance at the origin at the temperatures of assembly.
#[inline(always)]
fn clearance(block: &mut Block, joint: &Joint) {
    let growth = joint.sizes().growth;
    let (inputs, work) = (&block.inputs, &mut block.work);
    for i in 0..LANES {
        let (tan_m, tan_f) = (work.tan_m[i], work.tan_f[i]);
        let difference = tan_m - tan_f;
        let parallel = difference.abs() < PARALLEL;
        work.k[i] = if parallel { PARALLEL } else { difference };
        let female = inputs[Input::FemaleSize.index()][i] * growth.hub;
        let male = inputs[Input::MaleSize.index()][i] * growth.shaft;
        let male_plane = inputs[Input::MalePlane.index()][i] * growth.shaft;
        let female_plane = inputs[Input::FemalePlane.index()][i] * growth.hub;
        let male = (-male_plane).mul_add(tan_m, 0.5 * (female - male));
        work.clearance[i] = female_plane.mul_add(tan_f, male);
    }
}

/// First touch of the bare and of the smoothed flanks, draw-up, bolt load and thrust.
#[inline(always)]
fn touch(block: &mut Block, cone: &Cone, joint: &Joint) {
    let Ends { x1, x2, u1, u2 } = cone.ends;
    let half_smoothing = cone.half_smoothing;
    let bolt = joint.sizes().bolt.turn;
    let (inputs, work, outputs) = (&block.inputs, &mut block.work, &mut block.outputs);
    for i in 0..LANES {
        let (tan_m, tan_f, tan_mean) = (work.tan_m[i], work.tan_f[i], work.tan_mean[i]);
        let (k, clearance) = (work.k[i], work.clearance[i]);
        let friction = inputs[Input::Friction.index()][i];
        let x = if k > 0.0 { x1 } else { x2 };
        let u = if k > 0.0 { u1 } else { u2 };
        // One division serves four reciprocals.
        let slide = (-friction).mul_add(tan_mean, 1.0);
        let turn = bolt::turn(inputs, &bolt, i);
        let (tangents, others) = (tan_m * tan_f, k * slide);
        let reciprocal = 1.0 / (tangents * others * turn);
        let inverse_tangents = reciprocal * others * turn;
        let inverse_others = reciprocal * tangents * turn;
        let (inverse_m, inverse_f) = (inverse_tangents * tan_f, inverse_tangents * tan_m);
        let (by_hub, by_shaft) = (k * u, k * x);
        let smoothed = clearance + half_smoothing;
        let first = smaller(
            -(clearance + by_hub) * inverse_m,
            -(clearance + by_shaft) * inverse_f,
        );
        let bears_at = smaller(
            -(smoothed + by_hub) * inverse_m,
            -(smoothed + by_shaft) * inverse_f,
        );
        let enters = if first < x2 - u1 { ENTERS } else { 0 };
        let touches = if first > x1 - u2 { TOUCHES } else { 0 };

        work.inverse_k[i] = inverse_others * slide;
        work.bears_at[i] = bears_at;
        work.thrust[i] = TAU * (tan_mean + friction) * (inverse_others * k);
        // Who does not enter does not touch either.
        work.state[i] = if enters != 0 { enters | touches } else { 0 };
        outputs[Output::FirstTouch.index()][i] = first;
        outputs[Output::DrawUp.index()][i] = first - work.thickness[i];
        outputs[Output::BoltLoad.index()][i] =
            inputs[Input::Torque.index()][i] * (reciprocal * (tangents * others));
    }
}
