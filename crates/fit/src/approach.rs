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
use crate::bolt::{self, Turn};
use crate::cone::{Cone, Ends};
use crate::input::Input;
use crate::joint::Joint;
use crate::lanes::{LANES, larger};
use crate::output::Output;
use crate::seat::{ENTERS, TOUCHES};
use crate::tangent::{Needed, TERMS};
use crate::warmth::Growth;

/// Mismatch below which the flanks count as parallel.
const PARALLEL: f64 = 1e-15;

/// Fills in clearance, first touch, draw-up, bolt load and thrust of every lane.
#[inline(always)]
pub(crate) fn first_touch(block: &mut Block, cone: &Cone, joint: &Joint) {
    let tangents = [cone.male_tangent, cone.female_tangent, cone.mean_tangent];
    let few = tangents.iter().all(|t| t.needed() == Needed::Five);
    let turn = &joint.sizes().bolt.turn;
    let plain = joint.sizes().growth == Growth::NONE
        && cone.half_smoothing == 0.0
        && *turn == Turn::by_nut_factor(turn.nut_factor);
    match (few, plain) {
        (true, true) => with_terms::<5, true>(block, cone, joint),
        (true, false) => with_terms::<5, false>(block, cone, joint),
        (false, _) => with_terms::<TERMS, false>(block, cone, joint),
    }
}

/// The same with `N` terms of the tangents. A `PLAIN` joint has neither growth nor smoothing nor friction factors
/// of the bolt, and the same bits without the multiplications by 1 and 0 and the columns that only those need.
#[inline(always)]
fn with_terms<const N: usize, const PLAIN: bool>(block: &mut Block, cone: &Cone, joint: &Joint) {
    let Ends { x1, x2, u1, u2 } = cone.ends;
    let half_smoothing = cone.half_smoothing;
    let growth = joint.sizes().growth;
    let bolt = joint.sizes().bolt.turn;
    let (inputs, work, outputs) = (&block.inputs, &mut block.work, &mut block.outputs);
    for i in 0..LANES {
        let male_angle = inputs[Input::MaleHalfAngle.index()][i];
        let female_angle = inputs[Input::FemaleHalfAngle.index()][i];
        let tan_m = cone.male_tangent.with::<N>(male_angle);
        let tan_f = cone.female_tangent.with::<N>(female_angle);
        let tan_mean = cone
            .mean_tangent
            .with::<N>(0.5 * (male_angle + female_angle));

        // Mismatch, and clearance at the origin at the temperatures of assembly.
        let difference = tan_m - tan_f;
        let parallel = difference.abs() < PARALLEL;
        let k = if parallel { PARALLEL } else { difference };
        let grown = |input: Input, by: f64| {
            let size = inputs[input.index()][i];
            if PLAIN { size } else { size * by }
        };
        let female = grown(Input::FemaleSize, growth.hub);
        let male = grown(Input::MaleSize, growth.shaft);
        let male_plane = grown(Input::MalePlane, growth.shaft);
        let female_plane = grown(Input::FemalePlane, growth.hub);
        let male = (-male_plane).mul_add(tan_m, 0.5 * (female - male));
        let clearance = female_plane.mul_add(tan_f, male);

        // One division serves four reciprocals.
        let friction = inputs[Input::Friction.index()][i];
        let slide = (-friction).mul_add(tan_mean, 1.0);
        let turn = if PLAIN {
            inputs[Input::NutFactor.index()][i] * bolt.nut_factor
        } else {
            bolt::turn(inputs, &bolt, i)
        };
        let (tangents, others) = (tan_m * tan_f, k * slide);
        let reciprocal = 1.0 / (tangents * others * turn);
        let inverse_tangents = reciprocal * others * turn;
        let inverse_others = reciprocal * tangents * turn;
        let (inverse_m, inverse_f) = (inverse_tangents * tan_f, inverse_tangents * tan_m);

        let x = if k > 0.0 { x1 } else { x2 };
        let u = if k > 0.0 { u1 } else { u2 };
        let (by_hub, by_shaft) = (k * u, k * x);
        let smoothed = clearance + half_smoothing;
        let first = -larger(
            (clearance + by_hub) * inverse_m,
            (clearance + by_shaft) * inverse_f,
        );
        let bears_at = -larger(
            (smoothed + by_hub) * inverse_m,
            (smoothed + by_shaft) * inverse_f,
        );
        let bears_at = if PLAIN { first } else { bears_at };
        let enters = if first < x2 - u1 { ENTERS } else { 0 };
        let touches = if first > x1 - u2 { TOUCHES } else { 0 };

        work.flanks.tan_f[i] = tan_f;
        work.flanks.k[i] = k;
        work.flanks.inverse_k[i] = inverse_others * slide;
        work.flanks.clearance[i] = if PLAIN { clearance } else { smoothed };
        work.bears_at[i] = bears_at;
        // Who does not enter does not touch either, and who does not touch is not pushed.
        let state = if enters != 0 { enters | touches } else { 0 };
        let thrust = TAU * (tan_mean + friction) * (inverse_others * k);
        work.state[i] = state;
        work.thrust[i] = if state & TOUCHES != 0 { thrust } else { 0.0 };
        outputs[Output::FirstTouch.index()][i] = first;
        outputs[Output::DrawUp.index()][i] = first - work.thickness[i];
        outputs[Output::BoltLoad.index()][i] =
            inputs[Input::Torque.index()][i] * (reciprocal * (tangents * others));
    }
}
