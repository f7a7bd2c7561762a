//! Lanes that need a bracket: a gap is left, the draw-up is beyond the overlap, or Newton did not settle.
//!
//! Coming from outside, the load of the cones rises from nothing at the stand-off where they begin to bear;
//! it rises all the way as long as the draw-up stays below the length of the overlap, and falls again when
//! the hub runs off the cone. The first equilibrium met on that way is the answer.

use crate::block::Block;
use crate::input::Input;
use crate::joint::{Joint, Spacer};
use crate::law::ElasticLaw;
use crate::output::Output;
use crate::seat::{Ends, Flanks, OPEN, stiffness};

/// Halvings that bring any bracket of a joint down to the last bit.
const HALVINGS: usize = 80;

/// Steps in which a soft spacer's balance is looked through from outside.
const LOOKS: usize = 64;

/// One lane's load of the cones along the way.
struct Way<'a, L> {
    law: &'a L,
    flanks: Flanks,
    friction: f64,
    thrust: f64,
}

impl<L: ElasticLaw> Way<'_, L> {
    fn load(&self, h: f64) -> f64 {
        self.thrust * self.law.radial_load(&self.flanks.at(h), self.friction)
    }

    fn load_and_rate(&self, h: f64) -> (f64, f64) {
        let (radial, rate) =
            self.law
                .radial_load_and_rate(&self.flanks.at(h), &self.flanks.rates(h), self.friction);
        (self.thrust * radial, self.thrust * rate)
    }

    /// Stand-off of the highest load between `inner` and `outer`: `inner` itself while the load still rises.
    fn peak(&self, inner: f64, outer: f64) -> f64 {
        if self.load_and_rate(inner).1 < 0.0 {
            return inner;
        }
        let (mut falls, mut rises) = (inner, outer);
        for _ in 0..HALVINGS {
            let middle = 0.5 * (falls + rises);
            let (load, rate) = self.load_and_rate(middle);
            // Past the overlap, and where nothing bears yet, the rate is 0: the load tells the two apart.
            let rising_inward = rate < 0.0 || (load <= 0.0 && middle > self.middle_of_cone());
            if rising_inward {
                rises = middle;
            } else {
                falls = middle;
            }
        }
        rises
    }

    fn middle_of_cone(&self) -> f64 {
        let ends = self.flanks.ends;
        0.5 * (ends.x1 + ends.x2 - ends.u1 - ends.u2)
    }

    /// Root of `balance` between `inner` (positive or zero there) and `outer` (negative): Newton in a bracket.
    fn root(&self, balance: impl Fn(f64) -> (f64, f64), inner: f64, outer: f64) -> f64 {
        let (mut positive, mut negative) = (inner, outer);
        let mut h = 0.5 * (inner + outer);
        for _ in 0..HALVINGS {
            let (excess, rate) = balance(h);
            if excess >= 0.0 {
                positive = h;
            } else {
                negative = h;
            }
            let newton = h - excess / rate;
            let inside = newton > positive && newton < negative;
            let next = if inside {
                newton
            } else {
                0.5 * (positive + negative)
            };
            if next == h || (next - h).abs() <= 1e-15 * h.abs() {
                return next;
            }
            h = next;
        }
        h
    }
}

/// Solves one lane with a bracket.
pub(crate) fn lane<L: ElasticLaw>(block: &mut Block, law: &L, joint: &Joint, i: usize) {
    let sizes = joint.sizes();
    let t = block.inputs[Input::Thickness.index()][i];
    let bolt = block.outputs[Output::BoltLoad.index()][i];
    let friction = block.inputs[Input::Friction.index()][i];
    let flanks = Flanks::of(&block.work, i, Ends::of(joint), 0.5 * sizes.smoothing);
    let way = Way {
        law,
        flanks,
        friction,
        thrust: block.work.thrust[i],
    };

    let outer = block.work.bears_at[i];
    let off_the_cone = flanks.ends.x1 - flanks.ends.u2;
    let inner = if t > off_the_cone { t } else { off_the_cone };
    let mut closing_load = 0.0;
    let mut stand_off = None;
    if outer > inner {
        let peak = way.peak(inner, outer);
        closing_load = way.load(peak);
        if closing_load > bolt {
            let balance = |h: f64| {
                let (load, rate) = way.load_and_rate(h);
                (load - bolt, rate)
            };
            stand_off = Some(way.root(balance, peak, outer));
        }
    }
    let open = stand_off.is_some();
    let h = stand_off.unwrap_or_else(|| closed(&way, sizes.spacer, t, bolt));
    let radial = law.radial_load(&flanks.at(h), friction);
    let load = if open { bolt } else { way.thrust * radial };
    block.work.radial[i] = radial;
    block.work.state[i] |= if open { OPEN } else { 0 };
    block.outputs[Output::ClosingLoad.index()][i] = closing_load;
    block.outputs[Output::StandOff.index()][i] = h;
    block.outputs[Output::SeatLoad.index()][i] = load;
    block.outputs[Output::ClampLoad.index()][i] = bolt - load;
}

/// Stand-off with the spacer pinched: the first balance met on the way in from `h = t`.
fn closed<L: ElasticLaw>(way: &Way<'_, L>, spacer: Spacer, t: f64, bolt: f64) -> f64 {
    let spring = stiffness(spacer, t);
    if spring.is_infinite() {
        return t;
    }
    let balance = |h: f64| {
        let (load, rate) = way.load_and_rate(h);
        (load + spring * (t - h) - bolt, rate - spring)
    };
    let deepest = t - bolt / spring;
    let step = (t - deepest) / LOOKS as f64;
    let mut outer = t;
    for look in 1..=LOOKS {
        let inner = if look == LOOKS {
            deepest
        } else {
            t - step * look as f64
        };
        if balance(inner).0 >= 0.0 {
            return way.root(balance, inner, outer);
        }
        outer = inner;
    }
    deepest
}
