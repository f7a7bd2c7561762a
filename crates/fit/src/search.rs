//! Lanes that need a bracket: a gap is left, the draw-up is beyond the overlap, or Newton did not settle.
//!
//! Coming from outside, the load of the cones rises from nothing at the stand-off where they begin to bear;
//! it rises all the way as long as the draw-up stays below the length of the overlap, and falls again when
//! the hub runs off the cone. The first equilibrium met on that way is the answer.
//!
//! Inlined like the rest of the kernel: a call out of it would leave the vector unit's fused multiply-add behind.

use crate::block::Block;
use crate::cone::Flanks;
use crate::input::Input;
use crate::lanes::larger;
use crate::law::ElasticLaw;
use crate::output::Output;
use crate::seat::{ConeSeat, OPEN};

/// Halvings that bring any bracket of a joint down to the last bit.
const HALVINGS: usize = 80;

/// Newton step, as a share of the stand-off, after which the error of the next is below rounding.
const SHORT: f64 = 1e-10;

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
    #[inline(always)]
    fn load(&self, h: f64) -> f64 {
        self.thrust * self.law.radial_load(&self.flanks.at(h), self.friction)
    }

    #[inline(always)]
    fn load_and_rate(&self, h: f64) -> (f64, f64) {
        let (radial, rate) =
            self.law
                .radial_load_and_rate(&self.flanks.at(h), &self.flanks.rates(h), self.friction);
        (self.thrust * radial, self.thrust * rate)
    }

    /// Stand-off of the highest load between `inner` and `outer`: `inner` itself while the load still rises.
    #[inline(always)]
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

    #[inline(always)]
    fn middle_of_cone(&self) -> f64 {
        let ends = self.flanks.ends;
        0.5 * (ends.x1 + ends.x2 - ends.u1 - ends.u2)
    }

    /// Root of the balance between `inner`, where the loads reach the bolt, and `outer`: Newton in a bracket from
    /// `start`, until a step is so short that the next would be lost in rounding.
    #[inline(always)]
    fn root(&self, balance: &Balance, inner: f64, outer: f64, start: f64) -> f64 {
        let (mut positive, mut negative) = (inner, outer);
        let mut h = start;
        for _ in 0..HALVINGS {
            let (load, rate) = self.load_and_rate(h);
            let excess = balance.excess(load, h);
            if excess >= 0.0 {
                positive = h;
            } else {
                negative = h;
            }
            let step = -excess / (rate - balance.spring);
            if step.abs() <= SHORT * h.abs() {
                return h + step;
            }
            let inside = h + step > positive && h + step < negative;
            h = if inside {
                h + step
            } else {
                0.5 * (positive + negative)
            };
        }
        h
    }

    /// The first stretch on the way in from `h = t` at whose end the loads reach the bolt. The spacer alone balances it
    /// at the last; the cones, which bear inside `bears_at` and no longer once the hub is off them, may do so before.
    #[inline(always)]
    fn first_bracket(&self, balance: &Balance, bears_at: f64, off_the_cone: f64) -> (f64, f64) {
        let alone = balance.t - balance.bolt / balance.spring;
        let start = if bears_at < balance.t {
            bears_at
        } else {
            balance.t
        };
        let end = if alone > off_the_cone {
            alone
        } else {
            off_the_cone
        };
        if start <= end {
            return (alone, balance.t);
        }
        let step = (start - end) / LOOKS as f64;
        let mut outer = start;
        for look in 1..=LOOKS {
            let inner = start - step * look as f64;
            if balance.excess(self.load(inner), inner) >= 0.0 {
                return (inner, outer);
            }
            outer = inner;
        }
        (alone, outer)
    }
}

/// What the bolt load is balanced by besides the cones.
#[derive(Debug, Clone, Copy)]
struct Balance {
    bolt: f64,
    /// Stiffness of the spacer, 0 while it is not pinched.
    spring: f64,
    t: f64,
}

impl Balance {
    /// By how much the loads exceed the bolt at stand-off `h`.
    #[inline(always)]
    fn excess(&self, cones: f64, h: f64) -> f64 {
        cones + self.spring * (self.t - h) - self.bolt
    }
}

/// Solves one lane with a bracket.
#[inline(always)]
pub(crate) fn lane<L: ElasticLaw>(block: &mut Block, seat: &ConeSeat<'_, L>, i: usize) {
    let (law, cone) = (seat.law, seat.cone);
    let t = block.work.thickness[i];
    let bolt = block.outputs[Output::BoltLoad.index()][i];
    let friction = block.inputs[Input::Friction.index()][i];
    let way = Way {
        law,
        flanks: block.work.flanks.lane(i, cone.ends),
        friction,
        thrust: block.work.thrust[i],
    };

    let outer = block.work.bears_at[i];
    let off_the_cone = way.flanks.ends.x1 - way.flanks.ends.u2;
    let inner = if t > off_the_cone { t } else { off_the_cone };
    let (mut peak, mut closing_load) = (inner, 0.0);
    if outer > inner {
        peak = way.peak(inner, outer);
        closing_load = way.load(peak);
    }
    let open = closing_load > bolt;
    let spring = block.work.spring[i];
    let balance = Balance {
        bolt,
        spring: if open { 0.0 } else { spring },
        t,
    };
    let h = if open {
        // The load rises with a power of the advance between one and two: from here Newton never overshoots.
        let advance = (bolt / closing_load).sqrt() * (outer - peak);
        way.root(&balance, peak, outer, outer - advance)
    } else if spring.is_infinite() {
        t
    } else {
        let (inner, outer) = way.first_bracket(&balance, outer, off_the_cone);
        way.root(&balance, inner, outer, 0.5 * (inner + outer))
    };
    let radial = law.radial_load(&way.flanks.at(h), friction);
    let load = if open { bolt } else { way.thrust * radial };
    block.work.radial[i] = radial;
    block.work.state[i] |= if open { OPEN } else { 0 };
    block.outputs[Output::ClosingLoad.index()][i] = closing_load;
    block.outputs[Output::StandOff.index()][i] = h;
    block.outputs[Output::SeatLoad.index()][i] = load;
    block.outputs[Output::ClampLoad.index()][i] = larger(bolt - load, 0.0);
}
