//! Service temperature: what becomes of a cone joint that was assembled at other temperatures.
//!
//! The hub is locked to the shaft by friction at the middle `x_c` of its overlap, as assembled, and the parts take the
//! strains `e = a dT` (shaft `s`, hub `h`, spacer `t`, bolt `b`):
//!
//! ```text
//! h' = h + x_c e_s - (x_c - h) e_h          t' = t (1 + e_t)
//! d gains r (e_s - e_h)                     N' = k_c max(0, t' - h')
//! B' = B + k_b [ (h' - h) + L_h e_h - x_b e_s - l_b e_b ],    l_b = h + L_h - x_b
//! ```
//!
//! `L_h` from the clamping face to the bolt's head, `x_b` the first loaded thread from the shoulder (mm, at 20 °C), `k_b`
//! and `k_c` the stiffness of bolt and spacer, `d` the radial interference, `r` the nominal radius of the male cone. What
//! the seat must carry, `R = B' - N'`, has to lie between minus the release load and the push-on load of the new
//! pressure. Outside, the hub slides until it meets that bound. A slack bolt carries 0, not less.
//!
//! The way starts from the joint as assembled, not as settled: a loss by settling comes on top, so that the clamp load in
//! service of a joint that also settles is lower than stated here.
//!
//! A position of the hub is called by `y`: the stand-off it would have with the parts as assembled, so that the stand-off in
//! service is `h' + (y - h)` and the interference is that of `y` plus the gain.

use std::f64::consts::TAU;

use crate::block::Block;
use crate::cone::Flanks;
use crate::input::Input;
use crate::joint::Joint;
use crate::lanes::{LANES, larger, smaller};
use crate::law::ElasticLaw;
use crate::output::Output;
use crate::seat::{ConeSeat, ENTERS, TOUCHES};
use crate::warmth;

/// The outputs of this page.
pub(crate) const OUTPUTS: [Output; 4] = [
    Output::ServiceBoltLoad,
    Output::ServiceClampLoad,
    Output::ServiceSeatLoad,
    Output::ServiceSlipTorque,
];

/// Looks on the way in for a hub that may be pulled past the peak of the cone's load.
const LOOKS: usize = 64;

/// Steps that bring any bracket of a joint down to the last bit.
const STEPS: usize = 80;

/// Step, as a share of the stand-off, that is no more than rounding: stiff spacers make a load of less.
const SHORT: f64 = 1e-15;

/// Smallest mismatch of flanks, so that its reciprocal stays finite.
const PARALLEL: f64 = 1e-15;

/// One lane in service.
struct State<'a, L> {
    law: &'a L,
    flanks: Flanks,
    friction: f64,
    /// Stand-off as assembled (mm).
    assembled: f64,
    /// Stand-off in service while locked (mm).
    locked: f64,
    /// Thickness of the spacer in service (mm).
    thickness: f64,
    spring: f64,
    bolt_stiffness: f64,
    /// Bolt load while locked, before it is cut at 0 (N).
    bolt: f64,
    /// Axial load per radial load: pushing on, and drawing off.
    thrust: f64,
    draw: f64,
}

impl<L: ElasticLaw> State<'_, L> {
    #[inline(always)]
    fn radial(&self, y: f64) -> f64 {
        self.law.radial_load(&self.flanks.at(y), self.friction)
    }

    #[inline(always)]
    fn clamp(&self, y: f64) -> f64 {
        let stand_off = self.locked + (y - self.assembled);
        self.spring * larger(self.thickness - stand_off, 0.0)
    }

    #[inline(always)]
    fn bolt(&self, y: f64) -> f64 {
        larger(
            self.bolt_stiffness.mul_add(y - self.assembled, self.bolt),
            0.0,
        )
    }

    /// What the seat must carry at `y` (N).
    #[inline(always)]
    fn reaction(&self, y: f64) -> f64 {
        self.bolt(y) - self.clamp(y)
    }

    /// By how much the reaction exceeds a bound of `per_radial` per radial load.
    #[inline(always)]
    fn beyond(&self, y: f64, per_radial: f64) -> f64 {
        (-per_radial).mul_add(self.radial(y), self.reaction(y))
    }

    /// The same, and its rate with `y`.
    #[inline(always)]
    fn beyond_and_rate(&self, y: f64, per_radial: f64) -> (f64, f64) {
        let (radial, rate) =
            self.law
                .radial_load_and_rate(&self.flanks.at(y), &self.flanks.rates(y), self.friction);
        let bolt = if self.bolt(y) > 0.0 {
            self.bolt_stiffness
        } else {
            0.0
        };
        let spacer = if self.clamp(y) > 0.0 {
            self.spring
        } else {
            0.0
        };
        (
            (-per_radial).mul_add(radial, self.reaction(y)),
            (-per_radial).mul_add(rate, bolt + spacer),
        )
    }

    /// Where the hub comes to rest.
    #[inline(always)]
    fn rest(&self) -> f64 {
        let start = self.assembled;
        let overlap = self.flanks.at(start);
        let deepest = larger(larger(overlap.d_lo, overlap.d_hi), 0.0);
        let steepness = smaller(self.flanks.tan_f, self.flanks.tan_f + self.flanks.k);
        let softest = smaller(self.bolt_stiffness, self.spring);
        let far = self.reaction(start).abs() / softest;
        if self.beyond(start, self.thrust) > 0.0 {
            let short = far + deepest / steepness < overlap.hi - overlap.lo;
            let inner = if short {
                start - far
            } else {
                self.first_inside(far)
            };
            self.root(inner, start, start, self.thrust)
        } else if self.beyond(start, -self.draw) < 0.0 {
            let out = far + 1.01 * deepest / steepness;
            self.root(start, start + out, start, -self.draw)
        } else {
            start
        }
    }

    /// The first place on the way in, up to `far`, that lies inside the push-on bound: past the peak of its load the
    /// cone lets go again, and the bound may be met once more. Looks grow from fine to coarse.
    #[inline(always)]
    fn first_inside(&self, far: f64) -> f64 {
        for look in 1..LOOKS {
            let share = look as f64 / LOOKS as f64;
            let y = (-far * share).mul_add(share, self.assembled);
            if self.beyond(y, self.thrust) < 0.0 {
                return y;
            }
        }
        self.assembled - far
    }

    /// Root between `low`, where the reaction is inside the bound, and `high`, where it is not or just meets it:
    /// Newton's method from `start`, held in the bracket.
    #[inline(always)]
    fn root(&self, low: f64, high: f64, start: f64, per_radial: f64) -> f64 {
        let (mut low, mut high, mut y) = (low, high, start);
        for _ in 0..STEPS {
            let (beyond, rate) = self.beyond_and_rate(y, per_radial);
            if beyond < 0.0 {
                low = y;
            } else {
                high = y;
            }
            let newton = y - beyond / rate;
            if (newton - y).abs() <= SHORT * y.abs() {
                return newton;
            }
            // The ends themselves are shut out: between two kinks Newton's method would go from one to the other.
            let inside = (newton > low) & (newton < high);
            y = if inside { newton } else { 0.5 * (low + high) };
        }
        y
    }
}

/// Fills in the outputs of the service state of every lane.
#[inline(always)]
pub(crate) fn service<L: ElasticLaw>(block: &mut Block, seat: &ConeSeat<'_, L>, joint: &Joint) {
    let (Some(service), Some(stiffness)) = (joint.sizes().service, joint.sizes().bolt.stiffness)
    else {
        return;
    };
    for i in 0..LANES {
        if block.work.state[i] & ENTERS != 0 {
            lane(block, seat, &service, stiffness, i);
        }
    }
}

#[inline(always)]
fn lane<L: ElasticLaw>(
    block: &mut Block,
    seat: &ConeSeat<'_, L>,
    service: &warmth::Service,
    bolt_stiffness: f64,
    i: usize,
) {
    let (work, cone) = (&block.work, seat.cone);
    let friction = block.inputs[Input::Friction.index()][i];
    let tangent = cone.mean_tangent(&block.inputs, i);
    let h = block.outputs[Output::StandOff.index()][i];
    let assembled = work.flanks.lane(i, cone.ends);
    let overlap = assembled.at(h);
    let centre = 0.5 * (overlap.lo + overlap.hi);
    let moved = centre * service.shaft - (centre - h) * service.hub;
    let length = h + service.head_at - service.thread_at;
    let stretch = moved + service.head_at * service.hub
        - service.thread_at * service.shaft
        - length * service.bolt;
    let seats = work.state[i] & TOUCHES != 0;
    let state = State {
        law: seat.law,
        flanks: warmed(assembled, cone, service.shaft - service.hub),
        friction,
        assembled: h,
        locked: h + moved,
        thickness: work.thickness[i] * (1.0 + service.spacer),
        spring: work.spring[i],
        bolt_stiffness,
        bolt: bolt_stiffness.mul_add(stretch, block.outputs[Output::BoltLoad.index()][i]),
        thrust: work.thrust[i],
        draw: if seats {
            TAU * (friction - tangent) / friction.mul_add(tangent, 1.0)
        } else {
            0.0
        },
    };
    let y = state.rest();
    let slide = (-friction).mul_add(tangent, 1.0);
    let torque = 1e-3
        * TAU
        * friction
        * tangent.mul_add(tangent, 1.0).sqrt()
        * seat.law.torque_integral(&state.flanks.at(y), friction)
        / slide;
    let clamp = state.clamp(y);
    block.outputs[Output::ServiceBoltLoad.index()][i] = state.bolt(y);
    block.outputs[Output::ServiceClampLoad.index()][i] = clamp;
    block.outputs[Output::ServiceSeatLoad.index()][i] = state.bolt(y) - clamp;
    block.outputs[Output::ServiceSlipTorque.index()][i] = if seats { torque + 0.0 } else { 0.0 };
}

/// Flanks whose interference has gained `r(x) gain`, with `r` the nominal radius of the male cone.
#[inline(always)]
fn warmed(flanks: Flanks, cone: &crate::cone::Cone, gain: f64) -> Flanks {
    let parts = &cone.parts;
    let at_origin = parts.flank.0.mul_add(parts.fall, parts.large_radius);
    let k = gain.mul_add(parts.fall, flanks.k);
    let k = if k.abs() < PARALLEL { PARALLEL } else { k };
    Flanks {
        k,
        inverse_k: 1.0 / k,
        clearance: (-gain).mul_add(at_origin, flanks.clearance),
        ..flanks
    }
}
