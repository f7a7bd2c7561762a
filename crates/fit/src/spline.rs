//! The tapered spline: `n` equal wedge teeth instead of a cone.
//!
//! Tooth thickness `S_m` and space width `S_f` are given at the gauge planes, `b` is the half-angle of the flanks. With
//! perfect teeth the flanks meet at the stand-off
//!
//! ```text
//! h_p = (S_m - S_f)/(2 tan b) + a_m - a_f
//! ```
//!
//! Each tooth has two flanks. Their errors `e+` and `e-` are normal to the flank (mm), positive where it touches later.
//! Pulled by `s = h_p - h` past the perfect position, with the hub turned by an angle that shifts one side by `f` and
//! the other by `-f`, the flanks carry
//!
//! ```text
//! w_i+ = k L max(0, s sin b - e_i+ - f),    w_i- = k L max(0, s sin b - e_i- + f)
//! ```
//!
//! `k` stiffness of a tooth pair per length (N/mm per mm), `L` engaged length (mm). The hub turns until both sides carry
//! the same, `K W` each with `K = k L`; then the axial load is `F = 2 K W (sin b + mu cos b)`. How far each side must be
//! pressed for a given `W` is in [`flanks`]. Both sides together give the advance:
//!
//! ```text
//! 2 s sin b = A+(W) + A-(W)
//! ```
//!
//! First touch (both sides, no force) is `2 s sin b = min e+ + min e-`: an extreme of the teeth, not their average. The
//! axial load that draws the hub off again is `2 K W (mu cos b - sin b)`.
//!
//! It holds for equal flank angles of shaft and hub (an error of angle counts as error of profile) and elastic teeth.
//! Usual stiffness of a steel tooth pair: 14 N/(mm um), ISO 6336-1, recalled; it includes the bending of the tooth,
//! which a wedged tooth hardly sees, so it is a low value here.

pub mod flanks;
mod teeth;

use crate::approach::Pass;
use crate::block::{Block, Outputs};
use crate::bolt;
use crate::capacity;
use crate::input::Input;
use crate::joint::{Joint, JointError};
use crate::lanes::{LANES, larger};
use crate::output::Output;
use crate::seat::{ENTERS, OPEN, Seating, TOUCHES};
use crate::tangent::{TANGENT_REACH_RAD, Tangent};
use flanks::{STRIP, Strip};

pub use teeth::{Teeth, ToothErrors};

/// Fewest and most teeth.
pub const TEETH: std::ops::RangeInclusive<usize> = 4..=120;

/// The sizes of a spline that do not differ from pairing to pairing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SplineSizes {
    /// Number of teeth.
    pub teeth: usize,
    /// Stiffness of a tooth pair per mm of engaged length (N/mm per mm).
    pub stiffness: f64,
    /// Engaged length (mm).
    pub length: f64,
}

/// A spline made ready for the solver.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Spline {
    /// Stiffness of one flank over the engaged length, `K` (N/mm).
    flank: f64,
    tangent: Tangent,
    /// `1/j` for `j` flanks in contact, `j` from 1 to the number of teeth.
    inverse: Vec<f64>,
}

impl Spline {
    pub fn new(sizes: &SplineSizes, nominal: &[f64]) -> Result<Spline, JointError> {
        if !TEETH.contains(&sizes.teeth) {
            return Err(JointError::Teeth { teeth: sizes.teeth });
        }
        JointError::positive("the teeth's stiffness", sizes.stiffness)?;
        JointError::positive("the engaged length", sizes.length)?;
        let angle = nominal[Input::MaleHalfAngle.index()];
        JointError::slides(angle, nominal[Input::Friction.index()])?;
        Ok(Spline {
            flank: sizes.stiffness * sizes.length,
            tangent: Tangent::about(angle, TANGENT_REACH_RAD),
            inverse: (1..=sizes.teeth).map(|j| 1.0 / j as f64).collect(),
        })
    }

    pub fn teeth(&self) -> usize {
        self.inverse.len()
    }

    pub fn about_angle(self, angle: f64) -> Spline {
        Spline {
            tangent: Tangent::about(angle, TANGENT_REACH_RAD),
            ..self
        }
    }
}

impl Seating for Spline {
    #[inline(always)]
    fn approach(&self, block: &mut Block, joint: &Joint, _pass: Pass) {
        self.perfect_position(block, joint);
        block.teeth.sort(&self.inverse);
        for i in 0..LANES {
            let lag = block.teeth.first(i);
            let first = block.work.perfect[i] - lag / (2.0 * block.work.sine[i]);
            block.outputs[Output::FirstTouch.index()][i] = first;
            block.outputs[Output::DrawUp.index()][i] = first - block.work.thickness[i];
        }
    }

    #[inline(always)]
    fn equilibrium(&self, block: &mut Block, _search: bool) {
        for start in (0..LANES).step_by(STRIP) {
            self.balance(block, start);
        }
    }

    #[inline(always)]
    fn outputs(&self, block: &mut Block, _joint: &Joint, wanted: Outputs) {
        let contact = [
            Output::TeethInContact,
            Output::ToothLoadShare,
            Output::ContactShare,
        ];
        if wanted.any(&contact) {
            self.contact(block);
        }
        if wanted.has(Output::ReleaseLoad) {
            self.release(block);
        }
        if wanted.has(Output::SelfLockingMargin) {
            margin(block);
        }
    }
}

impl Spline {
    /// Angle, perfect position, bolt load and axial load per `W` of every lane.
    #[inline(always)]
    fn perfect_position(&self, block: &mut Block, joint: &Joint) {
        let (growth, turn) = (joint.sizes().growth, joint.sizes().bolt.turn);
        for i in 0..LANES {
            let tangent = self
                .tangent
                .of(block.inputs[Input::MaleHalfAngle.index()][i]);
            let cosine = 1.0 / tangent.mul_add(tangent, 1.0).sqrt();
            let sine = tangent * cosine;
            let male = block.inputs[Input::MaleSize.index()][i] * growth.shaft;
            let female = block.inputs[Input::FemaleSize.index()][i] * growth.hub;
            let male_plane = block.inputs[Input::MalePlane.index()][i] * growth.shaft;
            let female_plane = block.inputs[Input::FemalePlane.index()][i] * growth.hub;
            let friction = block.inputs[Input::Friction.index()][i];
            let load = block.inputs[Input::Torque.index()][i] / bolt::turn(&block.inputs, &turn, i);
            block.work.sine[i] = sine;
            block.work.cosine[i] = cosine;
            block.work.perfect[i] = (male - female) / (2.0 * tangent) + (male_plane - female_plane);
            block.work.thrust[i] = 2.0 * self.flank * friction.mul_add(cosine, sine);
            block.work.state[i] = ENTERS | TOUCHES;
            block.outputs[Output::BoltLoad.index()][i] = load;
        }
    }

    /// The balance of bolt, teeth and spacer in the strip from `start`.
    #[inline(always)]
    fn balance(&self, block: &mut Block, start: usize) {
        let mut way = Strip::default();
        for j in 0..STRIP {
            let advance = block.work.perfect[start + j] - block.work.thickness[start + j];
            way.target[j] = 2.0 * block.work.sine[start + j] * advance;
        }
        block.teeth.share(&mut way, &self.inverse, start);
        let closing = way.share;
        for j in 0..STRIP {
            let i = start + j;
            let (thrust, spring) = (block.work.thrust[i], block.work.spring[i]);
            let twice_sine = 2.0 * block.work.sine[i];
            let bolt = block.outputs[Output::BoltLoad.index()][i];
            way.target[j] = twice_sine.mul_add(bolt / spring, way.target[j]);
            way.give[j] = twice_sine * (thrust / spring);
        }
        if block.work.spring[start].is_finite() {
            block.teeth.share(&mut way, &self.inverse, start);
        }
        for j in 0..STRIP {
            let i = start + j;
            let bolt = block.outputs[Output::BoltLoad.index()][i];
            let open = block.work.thrust[i] * closing[j] > bolt;
            way.share[j] = if open {
                bolt / block.work.thrust[i]
            } else {
                way.share[j]
            };
            block.work.state[i] |= if open { OPEN } else { 0 };
        }
        let pressed = block.teeth.pressed(&way.share, &self.inverse, start);
        for j in 0..STRIP {
            let i = start + j;
            let (thrust, spring) = (block.work.thrust[i], block.work.spring[i]);
            let bolt = block.outputs[Output::BoltLoad.index()][i];
            let open = block.work.state[i] & OPEN != 0;
            let load = if open { bolt } else { thrust * way.share[j] };
            let squeezed = block.work.thickness[i] - (bolt - load) / spring;
            let held = block.work.perfect[i] - pressed[j] / (2.0 * block.work.sine[i]);
            block.work.radial[i] = way.share[j];
            block.outputs[Output::ClosingLoad.index()][i] = thrust * closing[j];
            block.outputs[Output::StandOff.index()][i] = if open { held } else { squeezed };
            block.outputs[Output::SeatLoad.index()][i] = load;
            block.outputs[Output::ClampLoad.index()][i] = larger(bolt - load, 0.0);
        }
    }

    /// Teeth with a flank in contact, and the share of the most loaded one.
    #[inline(always)]
    fn contact(&self, block: &mut Block) {
        let absent = 1 << Output::ToothLoadShare.index();
        for start in (0..LANES).step_by(STRIP) {
            let mut share = [0.0; STRIP];
            share.copy_from_slice(&block.work.radial[start..start + STRIP]);
            let (count, most) = block.teeth.contact(&share, &self.inverse, start);
            for j in 0..STRIP {
                let i = start + j;
                let bears = share[j] > 0.0;
                let count = if bears { count[j] } else { 0.0 };
                let all = if bears { 2.0 * share[j] } else { 1.0 };
                block.outputs[Output::TeethInContact.index()][i] = count;
                block.outputs[Output::ContactShare.index()][i] =
                    count * self.inverse[self.inverse.len() - 1];
                block.outputs[Output::ToothLoadShare.index()][i] = larger(most[j], 0.0) / all;
                block.absent[i] |= if bears { 0 } else { absent };
            }
        }
    }

    #[inline(always)]
    fn release(&self, block: &mut Block) {
        for i in 0..LANES {
            let friction = block.inputs[Input::Friction.index()][i];
            let draw = friction.mul_add(block.work.cosine[i], -block.work.sine[i]);
            block.outputs[Output::ReleaseLoad.index()][i] =
                2.0 * self.flank * draw * block.work.radial[i];
        }
    }
}

/// Self-locking margin: angle of friction less the half-angle of the flanks.
#[inline(always)]
fn margin(block: &mut Block) {
    for i in 0..LANES {
        let friction = block.inputs[Input::Friction.index()][i];
        let angle = block.inputs[Input::MaleHalfAngle.index()][i];
        block.outputs[Output::SelfLockingMargin.index()][i] =
            capacity::self_locking_margin(friction, angle);
    }
}
