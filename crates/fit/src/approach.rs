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
use crate::input::Input;
use crate::joint::Joint;
use crate::lanes::{LANES, smaller};
use crate::output::Output;

/// The hub can be pushed onto the cone at all.
pub(crate) const ENTERS: u32 = 1;
/// The cones meet somewhere.
pub(crate) const TOUCHES: u32 = 2;

/// Mismatch below which the flanks count as parallel.
const PARALLEL: f64 = 1e-15;

/// Fills in tangents, clearance, first touch, draw-up, bolt load and thrust of every lane.
#[inline(always)]
pub(crate) fn first_touch(block: &mut Block, joint: &Joint) {
    let sizes = joint.sizes();
    let ((x1, x2), (u1, u2)) = (sizes.male_flank, sizes.female_flank);
    let half_smoothing = 0.5 * sizes.smoothing;
    let (male, female, mean) = (joint.male_tangent, joint.female_tangent, joint.mean_tangent);
    let bolt_diameter = sizes.bolt_diameter;
    let inputs = &block.inputs;
    let work = &mut block.work;
    let outputs = &mut block.outputs;
    for i in 0..LANES {
        let angle_m = inputs[Input::MaleHalfAngle.index()][i];
        let angle_f = inputs[Input::FemaleHalfAngle.index()][i];
        let friction = inputs[Input::Friction.index()][i];
        let (tan_m, tan_f) = (male.of(angle_m), female.of(angle_f));
        let tan_mean = mean.of(0.5 * (angle_m + angle_f));
        let difference = tan_m - tan_f;
        let k = if difference.abs() < PARALLEL {
            PARALLEL
        } else {
            difference
        };
        let radial = 0.5
            * (inputs[Input::FemaleDiameter.index()][i] - inputs[Input::MaleDiameter.index()][i]);
        let clearance = inputs[Input::FemalePlane.index()][i].mul_add(
            tan_f,
            (-inputs[Input::MalePlane.index()][i]).mul_add(tan_m, radial),
        );

        let (x, u) = if k > 0.0 { (x1, u1) } else { (x2, u2) };
        // One division serves four reciprocals.
        let slide = (-friction).mul_add(tan_mean, 1.0);
        let turn = inputs[Input::NutFactor.index()][i] * bolt_diameter;
        let (tangents, others) = (tan_m * tan_f, k * slide);
        let reciprocal = 1.0 / (tangents * others * turn);
        let inverse_tangents = reciprocal * others * turn;
        let inverse_others = reciprocal * tangents * turn;
        let (inverse_m, inverse_f) = (inverse_tangents * tan_f, inverse_tangents * tan_m);
        let touch = |c: f64| smaller(-k.mul_add(u, c) * inverse_m, -k.mul_add(x, c) * inverse_f);
        let first = touch(clearance);
        let enters = first < x2 - u1;
        let touches = enters & (first > x1 - u2);

        work.tan_f[i] = tan_f;
        work.tan_mean[i] = tan_mean;
        work.k[i] = k;
        work.inverse_k[i] = inverse_others * slide;
        work.clearance[i] = clearance;
        work.bears_at[i] = touch(clearance + half_smoothing);
        work.thrust[i] = TAU * (tan_mean + friction) * (inverse_others * k);
        work.state[i] = if enters { ENTERS } else { 0 } | if touches { TOUCHES } else { 0 };
        outputs[Output::FirstTouch.index()][i] = first;
        outputs[Output::DrawUp.index()][i] = first - inputs[Input::Thickness.index()][i];
        outputs[Output::BoltLoad.index()][i] =
            inputs[Input::Torque.index()][i] * (reciprocal * (tangents * others));
    }
}
