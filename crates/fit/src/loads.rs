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
use crate::cone::{Cone, Ends};
use crate::input::Input;
use crate::joint::Joint;
use crate::lanes::{Column, LANES, larger, reciprocal, smaller};
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
    match (
        wanted.has(Output::ContactShare),
        wanted.has(Output::BoreStress),
    ) {
        (true, true) => contact::<true, true, L>(block, seat),
        (true, false) => contact::<true, false, L>(block, seat),
        (false, true) => contact::<false, true, L>(block, seat),
        (false, false) => (),
    }
    if wanted.has(Output::MismatchRatio) {
        mismatch(block, seat.cone);
    }
    if wanted.has(Output::BlueShare) {
        blue(block, seat.cone);
    }
    if wanted.any(&[Output::PressureMean, Output::PressureMax]) {
        pressure(block, seat);
    }
    if wanted.any(&[Output::SlipTorque, Output::TorqueCapacity]) {
        capacity::slip(block, seat);
        capacity::capacity(block, joint);
    }
    if wanted.has(Output::ReleaseLoad) {
        capacity::release(block, seat.cone);
    }
    if wanted.has(Output::SelfLockingMargin) {
        capacity::margin(block);
    }
    if wanted.any(&[Output::RockAngle, Output::Runout]) {
        play::rock(block, seat.cone, joint);
    }
    if wanted.any(&service::OUTPUTS) {
        service::service(block, seat, joint);
    }
}

/// Gap and closing torque, which every kind of seat has, and what is not defined for a lane.
#[inline(always)]
pub(crate) fn positions(block: &mut Block, joint: &Joint, wanted: Outputs) {
    for i in 0..LANES {
        let state = block.work.state[i];
        let absent = if state & ENTERS != 0 { 0 } else { BOLT_ONLY };
        let apart = if state & TOUCHES != 0 { 0 } else { TOUCH };
        block.absent[i] = joint.missing_mask() | absent | apart;
    }
    if wanted.has(Output::Gap) {
        gap(block);
    }
    if wanted.has(Output::ClosingTorque) {
        closing_torque(block, joint);
    }
}

#[inline(always)]
fn gap(block: &mut Block) {
    let (work, outputs) = (&block.work, &mut block.outputs);
    for i in 0..LANES {
        let gap = larger(
            outputs[Output::StandOff.index()][i] - work.thickness[i],
            0.0,
        );
        let open = work.state[i] & OPEN != 0;
        outputs[Output::Gap.index()][i] = if open { gap } else { 0.0 };
    }
}

#[inline(always)]
fn closing_torque(block: &mut Block, joint: &Joint) {
    let set_torque = joint.sizes().nominal[Input::Torque.index()] * 1e-3;
    let outputs = &mut block.outputs;
    for i in 0..LANES {
        let (closing, bolt) = (
            outputs[Output::ClosingLoad.index()][i],
            outputs[Output::BoltLoad.index()][i],
        );
        outputs[Output::ClosingTorque.index()][i] = set_torque * (closing * reciprocal(bolt));
    }
}

/// The overlap of lane `i` where the hub stops.
#[inline(always)]
pub(crate) fn stopped(work: &Work, outputs: &[Column; OUTPUTS], i: usize, ends: Ends) -> Overlap {
    let flanks = work.flanks.lane(i, ends);
    flanks.at(outputs[Output::StandOff.index()][i])
}

/// The columns of these outputs, to read and to write side by side.
#[inline(always)]
fn columns<const N: usize>(
    outputs: &mut [Column; OUTPUTS],
    asked: [Output; N],
) -> [&mut Column; N] {
    outputs
        .get_disjoint_mut(asked.map(Output::index))
        .expect("different outputs")
}

/// What bears under the bolt, and the stress there.
#[inline(always)]
fn contact<const SHARE: bool, const STRESS: bool, L: ElasticLaw>(
    block: &mut Block,
    seat: &ConeSeat<'_, L>,
) {
    let Ends { x1, x2, u1, u2 } = seat.cone.ends;
    let work = &block.work;
    let friction = &block.inputs[Input::Friction.index()];
    let asked = [Output::StandOff, Output::ContactShare, Output::BoreStress];
    let [stand_off, share, stress] = columns(&mut block.outputs, asked);
    let overlaps = seat.overlaps(&work.flanks, stand_off, friction);
    match (SHARE, STRESS) {
        (true, false) => seat.law.bearings(&overlaps, share),
        (false, true) => seat.law.bore_stresses(&overlaps, stress),
        _ => seat
            .law
            .bearings_and_bore_stresses(&overlaps, share, stress),
    }
    for i in 0..LANES {
        let bears = work.radial[i] > 0.0;
        if SHARE {
            let (h, bearing) = (stand_off[i], share[i]);
            let length = smaller(x2, h + u2) - larger(x1, h + u1);
            let overlaps = bears & (length > 0.0);
            // All of the overlap is 1 to the last digit, which a product with a reciprocal is not.
            let part = bearing * reciprocal(if overlaps { length } else { 1.0 });
            let part = if bearing < length { part } else { 1.0 };
            share[i] = if overlaps { part } else { 0.0 };
        }
        if STRESS {
            stress[i] = if bears { stress[i] } else { 0.0 };
        }
    }
}

#[inline(always)]
fn mismatch(block: &mut Block, cone: &Cone) {
    let (work, outputs) = (&block.work, &mut block.outputs);
    for i in 0..LANES {
        let overlap = stopped(work, outputs, i, cone.ends);
        let length = overlap.hi - overlap.lo;
        let bears = (work.radial[i] > 0.0) & (length > 0.0);
        let deepest = larger(overlap.d_lo, overlap.d_hi);
        let ratio = overlap.k.abs() * length / if bears { deepest } else { 1.0 };
        outputs[Output::MismatchRatio.index()][i] = ratio;
        block.absent[i] |= if bears { 0 } else { bit(Output::MismatchRatio) };
    }
}

#[inline(always)]
fn blue(block: &mut Block, cone: &Cone) {
    let film = cone.blue_film;
    let (work, outputs) = (&block.work, &mut block.outputs);
    for i in 0..LANES {
        let flanks = work.flanks.lane(i, cone.ends);
        let overlap = flanks.at(outputs[Output::FirstTouch.index()][i]);
        let length = overlap.hi - overlap.lo;
        let reach = film * overlap.inverse_k.abs();
        let share = if length > 0.0 { reach / length } else { 1.0 };
        outputs[Output::BlueShare.index()][i] = smaller(share, 1.0);
    }
}

#[inline(always)]
fn pressure<L: ElasticLaw>(block: &mut Block, seat: &ConeSeat<'_, L>) {
    let work = &block.work;
    let friction = &block.inputs[Input::Friction.index()];
    let asked = [Output::StandOff, Output::PressureMean, Output::PressureMax];
    let [stand_off, means, largest] = columns(&mut block.outputs, asked);
    let overlaps = seat.overlaps(&work.flanks, stand_off, friction);
    seat.law.pressures(&overlaps, means, largest);
    for i in 0..LANES {
        let bears = work.radial[i] > 0.0;
        means[i] = if bears { means[i] } else { 0.0 };
        largest[i] = if bears { largest[i] } else { 0.0 };
    }
}

/// An absent output is 0 in its column, so that nothing undefined can be read by mistake.
#[inline(always)]
pub(crate) fn clear_absent(block: &mut Block, wanted: Outputs) {
    let mut all = [0; 16];
    for absent in block.absent.as_chunks::<16>().0 {
        for (all, absent) in all.iter_mut().zip(absent) {
            *all |= absent;
        }
    }
    let any = all.into_iter().fold(0, |any, absent| any | absent);
    block.any_absent = any;
    for output in Output::ALL {
        if !wanted.has(output) || any >> output.index() & 1 == 0 {
            continue;
        }
        let o = output.index();
        for (value, absent) in block.outputs[o].iter_mut().zip(&block.absent) {
            *value = if absent >> o & 1 == 0 { *value } else { 0.0 };
        }
    }
}
