//! Settling: rough faces and threads flatten after tightening, and the bolt loses load.
//!
//! With settling `f_s` at the spacer's two faces, `f_b` at head and thread, and the bolt's stiffness `k_b`:
//!
//! ```text
//! B' = B - k_b (f_s + f_b)
//! rigid spacer    h' = t - f_s,  N' = max(0, B' - F(h'))
//! spacer gives    the balance of bolt, seat and spacer again, with t - f_s and B'
//! ```
//!
//! `F` stays on its sliding-on branch, so that `N'` is a lower bound: friction would let the seat carry less. A joint with
//! a gap left has no faces that settle (`B' = B - k_b f_b`) and keeps its gap. A bolt load never falls below 0.
//! Usual amounts: VDI 2230 table 5, recalled: 3 um in the thread, 2.5 to 4 um under the head, 1.5 to 3 um for each inner
//! face, by roughness.

use crate::block::{Block, Outputs};
use crate::input::Input;
use crate::joint::Joint;
use crate::lanes::{Column, LANES, larger};
use crate::output::Output;
use crate::seat::{self, GAP, HARD, MOVES, OPEN};

/// Share of the bolt load that is kept where nothing would be left, so that the balance stays defined.
const NOTHING: f64 = 1e-9;

/// What the settled state borrows from the block.
#[derive(Debug, Clone)]
pub(crate) struct Kept {
    bolt: Column,
    thickness: Column,
}

/// Whether the settled state is to be solved.
#[inline(always)]
pub(crate) fn asked(joint: &Joint, wanted: Outputs) -> bool {
    let sizes = joint.sizes();
    sizes.settles
        && sizes.bolt.stiffness.is_some()
        && wanted.any(&[Output::SettledBoltLoad, Output::SettledClampLoad])
}

/// Puts the settled bolt load and thickness into the block.
#[inline(always)]
pub(crate) fn before(block: &mut Block, joint: &Joint) -> Kept {
    let stiffness = joint.sizes().bolt.stiffness.unwrap_or(0.0);
    let kept = Kept {
        bolt: block.outputs[Output::BoltLoad.index()],
        thickness: block.work.thickness,
    };
    for i in 0..LANES {
        let faces = block.inputs[Input::FaceSettling.index()][i];
        let others = block.inputs[Input::BoltSettling.index()][i];
        let load = (faces + others).mul_add(-stiffness, kept.bolt[i]);
        block.outputs[Output::BoltLoad.index()][i] = larger(load, NOTHING * kept.bolt[i]);
        block.work.thickness[i] = kept.thickness[i] - faces;
    }
    seat::springs(block, joint);
    kept
}

/// Keeps the settled loads and gives the block back.
#[inline(always)]
pub(crate) fn after(block: &mut Block, joint: &Joint, kept: &Kept) {
    for i in 0..LANES {
        let open = block.work.state[i] & OPEN != 0;
        let clamp = block.outputs[Output::ClampLoad.index()][i];
        let bolt = block.outputs[Output::BoltLoad.index()][i];
        let nothing = bolt <= NOTHING * kept.bolt[i];
        block.outputs[Output::SettledClampLoad.index()][i] =
            if open | nothing { 0.0 } else { clamp };
        block.outputs[Output::SettledBoltLoad.index()][i] = if nothing { 0.0 } else { bolt };
        block.work.state[i] &= !(OPEN | HARD | MOVES | GAP);
    }
    block.outputs[Output::BoltLoad.index()] = kept.bolt;
    block.work.thickness = kept.thickness;
    seat::springs(block, joint);
}

/// Lanes with a gap left: nothing is pinched, and the faces do not settle.
#[inline(always)]
pub(crate) fn gap_left(block: &mut Block, joint: &Joint) {
    let stiffness = joint.sizes().bolt.stiffness.unwrap_or(0.0);
    for i in 0..LANES {
        let open = block.work.state[i] & OPEN != 0;
        let others = block.inputs[Input::BoltSettling.index()][i];
        let alone = others.mul_add(-stiffness, block.outputs[Output::BoltLoad.index()][i]);
        let (clamp, bolt) = (
            Output::SettledClampLoad.index(),
            Output::SettledBoltLoad.index(),
        );
        block.outputs[clamp][i] = if open { 0.0 } else { block.outputs[clamp][i] };
        block.outputs[bolt][i] = if open {
            larger(alone, 0.0)
        } else {
            block.outputs[bolt][i]
        };
    }
}
