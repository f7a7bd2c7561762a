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
use crate::lanes::{Column, LANES, larger};
use crate::output::Output;
use crate::seat::{ENTERS, TOUCHES};
use crate::tangent::{Needed, TERMS};
use crate::warmth::Growth;

/// Mismatch below which the flanks count as parallel.
const PARALLEL: f64 = 1e-15;

/// What a block has been solved for before.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pass {
    /// For something else, and it will be filled anew.
    Only,
    /// For something else; what follows may differ from it in [`Input::SIZES`] only.
    First,
    /// For the same joint, as `First` or `Again`, and only [`Input::SIZES`] have changed since.
    Again,
}

/// Fills in clearance, first touch, draw-up, bolt load and thrust of every lane.
#[inline(always)]
pub(crate) fn first_touch(block: &mut Block, cone: &Cone, joint: &Joint, pass: Pass) {
    let tangents = [cone.male_tangent, cone.female_tangent, cone.mean_tangent];
    let few = tangents.iter().all(|t| t.needed() == Needed::Five);
    let turn = &joint.sizes().bolt.turn;
    let plain = joint.sizes().growth == Growth::NONE
        && cone.half_smoothing == 0.0
        && *turn == Turn::by_nut_factor(turn.nut_factor);
    match (few, plain) {
        (true, true) => with_terms::<5, true>(block, cone, joint, pass),
        (true, false) => with_terms::<5, false>(block, cone, joint, pass),
        (false, _) => with_terms::<TERMS, false>(block, cone, joint, pass),
    }
}

/// The same with `N` terms of the tangents. A `PLAIN` joint has neither growth nor smoothing nor friction factors
/// of the bolt, and the same bits without the multiplications by 1 and 0 and the columns that only those need.
#[inline(always)]
fn with_terms<const N: usize, const PLAIN: bool>(
    block: &mut Block,
    cone: &Cone,
    joint: &Joint,
    pass: Pass,
) {
    if pass == Pass::Only {
        for i in 0..LANES {
            let angles = Angles::of::<N, PLAIN>(block, cone, joint, i);
            angles.put(block, i);
            touch::<PLAIN>(block, cone, joint, &angles, i);
        }
        return;
    }
    if pass == Pass::First {
        for i in 0..LANES {
            let angles = Angles::of::<N, PLAIN>(block, cone, joint, i);
            angles.put(block, i);
            block.work.angles.keep(&angles, i);
        }
    }
    for i in 0..LANES {
        let angles = Angles::kept(block, i);
        touch::<PLAIN>(block, cone, joint, &angles, i);
    }
}

/// What angles, frictions and torque say of one lane, whatever the sizes.
#[derive(Debug, Clone, Copy)]
struct Angles {
    tan_m: f64,
    tan_f: f64,
    k: f64,
    inverse_k: f64,
    inverse_m: f64,
    inverse_f: f64,
    thrust: f64,
    bolt: f64,
}

/// The columns of [`Angles`] that no other step needs.
#[derive(Debug, Clone)]
pub(crate) struct AngleColumns {
    tan_m: Column,
    inverse_m: Column,
    inverse_f: Column,
    thrust: Column,
}

impl AngleColumns {
    pub fn new() -> AngleColumns {
        let zero = [0.0; LANES];
        AngleColumns {
            tan_m: zero,
            inverse_m: zero,
            inverse_f: zero,
            thrust: zero,
        }
    }

    #[inline(always)]
    fn keep(&mut self, angles: &Angles, i: usize) {
        self.tan_m[i] = angles.tan_m;
        self.inverse_m[i] = angles.inverse_m;
        self.inverse_f[i] = angles.inverse_f;
        self.thrust[i] = angles.thrust;
    }
}

impl Angles {
    #[inline(always)]
    fn of<const N: usize, const PLAIN: bool>(
        block: &Block,
        cone: &Cone,
        joint: &Joint,
        i: usize,
    ) -> Angles {
        let inputs = &block.inputs;
        let male_angle = inputs[Input::MaleHalfAngle.index()][i];
        let female_angle = inputs[Input::FemaleHalfAngle.index()][i];
        let tan_m = cone.male_tangent.with::<N>(male_angle);
        let tan_f = cone.female_tangent.with::<N>(female_angle);
        let tan_mean = cone
            .mean_tangent
            .with::<N>(0.5 * (male_angle + female_angle));
        let difference = tan_m - tan_f;
        let parallel = difference.abs() < PARALLEL;
        let k = if parallel { PARALLEL } else { difference };

        // One division serves four reciprocals.
        let friction = inputs[Input::Friction.index()][i];
        let slide = (-friction).mul_add(tan_mean, 1.0);
        let bolt = &joint.sizes().bolt.turn;
        let turn = if PLAIN {
            inputs[Input::NutFactor.index()][i] * bolt.nut_factor
        } else {
            bolt::turn(inputs, bolt, i)
        };
        let (tangents, others) = (tan_m * tan_f, k * slide);
        let reciprocal = 1.0 / (tangents * others * turn);
        let inverse_tangents = reciprocal * others * turn;
        let inverse_others = reciprocal * tangents * turn;
        Angles {
            tan_m,
            tan_f,
            k,
            inverse_k: inverse_others * slide,
            inverse_m: inverse_tangents * tan_f,
            inverse_f: inverse_tangents * tan_m,
            thrust: TAU * (tan_mean + friction) * (inverse_others * k),
            bolt: inputs[Input::Torque.index()][i] * (reciprocal * (tangents * others)),
        }
    }

    /// Where other steps look for it.
    #[inline(always)]
    fn put(&self, block: &mut Block, i: usize) {
        block.work.flanks.tan_f[i] = self.tan_f;
        block.work.flanks.k[i] = self.k;
        block.work.flanks.inverse_k[i] = self.inverse_k;
        block.outputs[Output::BoltLoad.index()][i] = self.bolt;
    }

    /// What was put and kept when the block was solved before.
    #[inline(always)]
    fn kept(block: &Block, i: usize) -> Angles {
        let work = &block.work;
        Angles {
            tan_m: work.angles.tan_m[i],
            tan_f: work.flanks.tan_f[i],
            k: work.flanks.k[i],
            inverse_k: work.flanks.inverse_k[i],
            inverse_m: work.angles.inverse_m[i],
            inverse_f: work.angles.inverse_f[i],
            thrust: work.angles.thrust[i],
            bolt: block.outputs[Output::BoltLoad.index()][i],
        }
    }
}

/// Clearance and first touch of one lane.
#[inline(always)]
fn touch<const PLAIN: bool>(
    block: &mut Block,
    cone: &Cone,
    joint: &Joint,
    angles: &Angles,
    i: usize,
) {
    let Ends { x1, x2, u1, u2 } = cone.ends;
    let half_smoothing = cone.half_smoothing;
    let growth = joint.sizes().growth;
    let (inputs, work, outputs) = (&block.inputs, &mut block.work, &mut block.outputs);

    // Clearance at the origin at the temperatures of assembly.
    let grown = |input: Input, by: f64| {
        let size = inputs[input.index()][i];
        if PLAIN { size } else { size * by }
    };
    let female = grown(Input::FemaleSize, growth.hub);
    let male = grown(Input::MaleSize, growth.shaft);
    let male_plane = grown(Input::MalePlane, growth.shaft);
    let female_plane = grown(Input::FemalePlane, growth.hub);
    let male = (-male_plane).mul_add(angles.tan_m, 0.5 * (female - male));
    let clearance = female_plane.mul_add(angles.tan_f, male);

    let k = angles.k;
    let x = if k > 0.0 { x1 } else { x2 };
    let u = if k > 0.0 { u1 } else { u2 };
    let (by_hub, by_shaft) = (k * u, k * x);
    let smoothed = clearance + half_smoothing;
    let first = -larger(
        (clearance + by_hub) * angles.inverse_m,
        (clearance + by_shaft) * angles.inverse_f,
    );
    let bears_at = -larger(
        (smoothed + by_hub) * angles.inverse_m,
        (smoothed + by_shaft) * angles.inverse_f,
    );
    let bears_at = if PLAIN { first } else { bears_at };
    let enters = if first < x2 - u1 { ENTERS } else { 0 };
    let touches = if first > x1 - u2 { TOUCHES } else { 0 };

    work.flanks.clearance[i] = if PLAIN { clearance } else { smoothed };
    work.bears_at[i] = bears_at;
    // Who does not enter does not touch either, and who does not touch is not pushed.
    let state = if enters != 0 { enters | touches } else { 0 };
    work.state[i] = state;
    work.thrust[i] = if state & TOUCHES != 0 {
        angles.thrust
    } else {
        0.0
    };
    outputs[Output::FirstTouch.index()][i] = first;
    outputs[Output::DrawUp.index()][i] = first - work.thickness[i];
}
