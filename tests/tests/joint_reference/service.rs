//! Reference for the service temperature: the model's formulas, word for word, with fine quadrature and a scan for
//! the first root.
//!
//! The hub is locked to the shaft at the middle `x_c` of its overlap as assembled, stand-off `h`, and the parts
//! change by `dT_s, dT_h, dT_t, dT_b` (shaft, hub, spacer, bolt) with the expansions `a`:
//!
//! ```text
//! h'  = h + x_c a_s dT_s - (x_c - h) a_h dT_h          the hub stays where it is locked
//! t'  = t (1 + a_t dT_t)
//! y   = h + (h'' - h')                                  the assembled stand-off of a hub that slides to h''
//! A'  = integral over the overlap at y of max(0, d(x, y) + r (a_s dT_s - a_h dT_h)) / K(r) dx
//! N'  = k_c max(0, t' - h''),   l_b = h + L_h - x_b
//! B'  = max(0, B + k_b [(h'' - h) + L_h a_h dT_h - x_b a_s dT_s - l_b a_b dT_b])
//! R   = B' - N'                                         axial reaction of the cone
//! ```
//!
//! Locked while `-2 pi tan(phi - alpha) A' <= R <= 2 pi tan(alpha + phi) A'`; beyond a bound the hub slides until the
//! reaction meets that bound, at the first place on its way. `k_c` is taken with the thickness as assembled.

use acceptance::joints::cone;
use fit::{Input, JointSizes, Pairing, Spacer};

use crate::reference::{Reference, bisect, quadrature};

/// Expansion times change of temperature, `a dT`, of every part.
#[derive(Debug, Clone, Copy, Default)]
pub struct Strains {
    /// Of the shaft.
    pub shaft: f64,
    /// Of the hub.
    pub hub: f64,
    /// Of the spacer.
    pub spacer: f64,
    /// Of the bolt.
    pub bolt: f64,
}

/// The bolt as the hub and the shaft see it.
#[derive(Debug, Clone, Copy)]
pub struct BoltSpan {
    /// Axial stiffness `k_b` (N/mm), positive.
    pub stiffness: f64,
    /// From the clamping face to the bolt's head `L_h` (mm).
    pub hub_length: f64,
    /// First loaded thread from the shoulder `x_b` (mm).
    pub first_thread: f64,
}

/// What the hub does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Slide {
    /// It stays where it was locked.
    Locked,
    /// It slides further onto the cone.
    In,
    /// It slides off.
    Out,
}

/// The joint at the service temperatures.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InService {
    /// What the hub does.
    pub slide: Slide,
    /// Stand-off `h''` (mm).
    pub stand_off: f64,
    /// Thickness of the spacer `t'` (mm).
    pub thickness: f64,
    /// Clamp load `N'` (N).
    pub clamp_load: f64,
    /// Bolt load `B'` (N).
    pub bolt_load: f64,
    /// Axial reaction of the cone `R` (N).
    pub reaction: f64,
    /// Radial load of the cone `A'` (N).
    pub radial_load: f64,
    /// Slip torque of the cone, `2 pi mu / (cos a (1 - mu tan a))` times the integral of `r^2 p` (N·m).
    pub slip_torque: f64,
}

/// A joint as assembled, and what changes.
struct Service<'a> {
    reference: Reference<'a>,
    smoothing: f64,
    strains: Strains,
    bolt: BoltSpan,
    spring: f64,
    /// Stand-off as assembled and when locked.
    assembled: f64,
    locked: f64,
    thickness: f64,
    bolt_load: f64,
}

impl Service<'_> {
    /// Radial interference at `x` with the hub at the assembled stand-off `y` (mm), negative where there is play.
    fn interference(&self, x: f64, y: f64) -> f64 {
        -self.reference.clearance(x, y) - 0.5 * self.smoothing
            + self.reference.radius(x) * (self.strains.shaft - self.strains.hub)
    }

    fn radial_load(&self, y: f64) -> f64 {
        self.over_patch(y, |_| 1.0)
    }

    /// Integral of `r p` times a weight over the patch with the hub at the assembled stand-off `y`.
    fn over_patch(&self, y: f64, weight: impl Fn(f64) -> f64) -> f64 {
        let Some((lo, hi)) = self.reference.overlap(y) else {
            return 0.0;
        };
        let (at_lo, at_hi) = (self.interference(lo, y), self.interference(hi, y));
        // The interference is linear in x, so the edge of the patch follows from the two ends.
        let edge = lo + (hi - lo) * at_lo / (at_lo - at_hi);
        let patch = match (at_lo > 0.0, at_hi > 0.0) {
            (true, true) => (lo, hi),
            (true, false) => (lo, edge),
            (false, true) => (edge, hi),
            (false, false) => return 0.0,
        };
        quadrature(patch, |x| {
            weight(x) * self.interference(x, y) / self.reference.compliance(x)
        })
    }

    fn stand_off(&self, y: f64) -> f64 {
        self.locked + (y - self.assembled)
    }

    fn clamp_load(&self, y: f64) -> f64 {
        self.spring * (self.thickness - self.stand_off(y)).max(0.0)
    }

    /// Stretch of the bolt against its length as assembled (mm).
    fn stretch(&self, y: f64) -> f64 {
        let BoltSpan {
            hub_length,
            first_thread,
            ..
        } = self.bolt;
        let span = self.assembled + hub_length - first_thread;
        (self.stand_off(y) - self.assembled) + hub_length * self.strains.hub
            - first_thread * self.strains.shaft
            - span * self.strains.bolt
    }

    fn bolt_load(&self, y: f64) -> f64 {
        (self.bolt_load + self.bolt.stiffness * self.stretch(y)).max(0.0)
    }

    fn reaction(&self, y: f64) -> f64 {
        self.bolt_load(y) - self.clamp_load(y)
    }

    /// What the reaction lacks to the push-on bound; positive beyond it.
    fn beyond_push_on(&self, y: f64) -> f64 {
        self.reaction(y) - self.reference.push_on() * self.radial_load(y)
    }

    /// What the reaction lacks to the release bound; positive beyond it.
    fn beyond_release(&self, y: f64) -> f64 {
        -self.reference.release() * self.radial_load(y) - self.reaction(y)
    }

    /// Further in than this the reaction is certainly not positive: no bolt load is left, or the spacer carries all.
    fn innermost(&self) -> f64 {
        let h = self.assembled;
        let load = self.bolt_load(h);
        let faces = h + self.thickness - self.locked;
        (h - load / self.bolt.stiffness).max((faces - load / self.spring).min(h))
    }

    /// Further out than this neither the cone nor the spacer carries anything.
    fn outermost(&self, sizes: &JointSizes) -> f64 {
        let faces = self.assembled + self.thickness - self.locked;
        faces.max(cone(sizes).male_flank.1 - cone(sizes).female_flank.0)
    }
}

/// The first place from `from` toward `to` where `f`, positive at `from`, is no longer positive.
fn first_root(f: impl Fn(f64) -> f64, from: f64, to: f64) -> f64 {
    const STEPS: i32 = 3_000;
    let at = |i: i32| from + (to - from) * (f64::from(i) / f64::from(STEPS)).powi(2);
    let first = (1..STEPS).find(|&i| f(at(i)) <= 0.0).unwrap_or(STEPS);
    bisect(f, at(first - 1), at(first))
}

/// The pairing at the service temperatures; none for a rigid spacer, for a hub that never seats, and for one that
/// does not lie over the cone.
pub fn in_service(
    sizes: &JointSizes,
    pairing: &Pairing,
    strains: Strains,
    bolt: BoltSpan,
) -> Option<InService> {
    let t = pairing.get(Input::Thickness);
    let spring = match sizes.spacer {
        Spacer::Rigid => return None,
        Spacer::Stiffness(k) => k,
        Spacer::Ring(ea) => ea / t,
    };
    let reference = Reference::new(sizes, pairing);
    let rest = reference.at_rest().ok()?;
    let h = rest.stand_off;
    let (lo, hi) = reference.overlap(h)?;
    let middle = 0.5 * (lo + hi);
    let service = Service {
        reference,
        smoothing: cone(sizes).smoothing,
        strains,
        bolt,
        spring,
        assembled: h,
        locked: h + middle * strains.shaft - (middle - h) * strains.hub,
        thickness: t * (1.0 + strains.spacer),
        bolt_load: rest.bolt_load,
    };
    let (slide, y) = if service.beyond_push_on(h) > 0.0 {
        let place = first_root(|y| service.beyond_push_on(y), h, service.innermost());
        (Slide::In, place)
    } else if service.beyond_release(h) > 0.0 {
        let end = service.outermost(sizes);
        (
            Slide::Out,
            first_root(|y| service.beyond_release(y), h, end),
        )
    } else {
        (Slide::Locked, h)
    };
    Some(InService {
        slide,
        stand_off: service.stand_off(y),
        thickness: service.thickness,
        clamp_load: service.clamp_load(y),
        bolt_load: service.bolt_load(y),
        reaction: service.reaction(y),
        radial_load: service.radial_load(y),
        slip_torque: service.reference.slip()
            * service.over_patch(y, |x| service.reference.radius(x)),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sample::{
        DIAMETER, LENGTH, TANGENT, THICKNESS, close, push_on, radial_rate, rate, release, straight,
    };

    const SPRING: f64 = 4e5;
    const BOLT: BoltSpan = BoltSpan {
        stiffness: 1.5e5,
        hub_length: 45.0,
        first_thread: 120.0,
    };

    /// The straight joint with 0.3 mm of draw-up under the bolt load `share` times the rate, and its stand-off.
    fn assembled(share: f64) -> (JointSizes, Pairing, f64, f64) {
        let bolt = share * rate();
        let (sizes, pairing) = straight(Spacer::Stiffness(SPRING), 0.3, bolt);
        // Closed form: rate (t + 0.3 - h) + k_c (t - h) = B when that is a pinch, else the cones carry it all.
        let inward = (bolt - 0.3 * rate()) / (rate() + SPRING);
        let h = if inward > 0.0 {
            THICKNESS - inward
        } else {
            THICKNESS + 0.3 - share
        };
        (sizes, pairing, h, bolt)
    }

    fn service(share: f64, strains: Strains) -> InService {
        let (sizes, pairing, ..) = assembled(share);
        in_service(&sizes, &pairing, strains, BOLT).expect("an answer")
    }

    #[test]
    fn at_the_assembly_temperature_the_joint_is_as_assembled() {
        for share in [0.2, 0.5] {
            let (sizes, pairing, h, bolt) = assembled(share);
            let got = in_service(&sizes, &pairing, Strains::default(), BOLT).expect("an answer");
            close("stand-off", got.stand_off, h, 1e-11);
            close("bolt", got.bolt_load, bolt, 1e-9);
            let clamp = SPRING * (THICKNESS - h).max(0.0);
            close("clamp", got.clamp_load, clamp, 1e-7);
            close("reaction", got.reaction, bolt - clamp, 1e-8);
        }
    }

    #[test]
    fn verified_one_strain_in_all_parts_stretches_the_joint_and_nothing_else() {
        // Closed form: h' = h (1 + e), t' = t (1 + e), the bolt keeps its load, N' = N (1 + e), locked.
        let (_, _, h, bolt) = assembled(0.5);
        let e = 1e-3;
        let alike = Strains {
            shaft: e,
            hub: e,
            spacer: e,
            bolt: e,
        };
        let got = service(0.5, alike);
        assert_eq!(got.slide, Slide::Locked);
        close("stand-off", got.stand_off, h * (1.0 + e), 1e-11);
        close("bolt", got.bolt_load, bolt, 1e-9);
        let clamp = SPRING * (THICKNESS - h) * (1.0 + e);
        close("clamp", got.clamp_load, clamp, 1e-7);
        let radial = radial_rate() * TANGENT * (THICKNESS + 0.3 - h);
        close("radial", got.radial_load, radial, 1e-8);
    }

    /// The strains of a case and the linear balance of the straight joint at its bound, `y - h` from two lines.
    fn balance(share: f64, strains: Strains, bound: f64) -> (f64, f64, bool) {
        let (_, _, h, bolt) = assembled(share);
        let middle = h + 0.5 * LENGTH;
        let locked = h + middle * strains.shaft - 0.5 * LENGTH * strains.hub;
        let t = THICKNESS * (1.0 + strains.spacer);
        let span = h + 45.0 - 120.0;
        let stretch =
            (locked - h) + 45.0 * strains.hub - 120.0 * strains.shaft - span * strains.bolt;
        // R(z) = B + k_b (stretch + z) - k_c (t' - h' - z),
        // bound(z) = bound radial_rate (tan a (t + 0.3 - h - z) + r (e_s - e_h)),   z = y - h
        let reaction = bolt + 1.5e5 * stretch - SPRING * (t - locked);
        let grip = TANGENT * (THICKNESS + 0.3 - h) + 0.5 * DIAMETER * (strains.shaft - strains.hub);
        let slope = 1.5e5 + SPRING + bound * radial_rate() * TANGENT;
        let z = (bound * radial_rate() * grip - reaction) / slope;
        (locked + z, SPRING * (t - locked - z), z < 0.0)
    }

    #[test]
    fn verified_a_warm_hub_lets_the_bolt_pull_it_in_to_the_push_on_bound() {
        // Closed form above, all terms linear while the spacer is pinched and the whole hub bears: an aluminium hub
        // 60 K warmer on a steel shaft 60 K warmer.
        let strains = Strains {
            shaft: 60.0 * 11.5e-6,
            hub: 60.0 * 23e-6,
            spacer: 60.0 * 11.5e-6,
            bolt: 60.0 * 11.5e-6,
        };
        let got = service(0.5, strains);
        let (stand_off, clamp, inward) = balance(0.5, strains, push_on());
        assert!(inward && got.slide == Slide::In, "{got:?}");
        close("stand-off", got.stand_off, stand_off, 1e-11);
        close("clamp", got.clamp_load, clamp, 1e-7);
        close("bound", got.reaction, push_on() * got.radial_load, 1e-9);
    }

    #[test]
    fn verified_a_spacer_that_swells_pushes_the_hub_off_at_the_release_bound() {
        // Closed form above with the bound -2 pi tan(phi - a): a spacer of plastic that swells by 0.4 %.
        let strains = Strains {
            spacer: 4e-3,
            ..Strains::default()
        };
        let got = service(0.5, strains);
        let (stand_off, clamp, inward) = balance(0.5, strains, -release());
        assert!(!inward && got.slide == Slide::Out, "{got:?}");
        close("stand-off", got.stand_off, stand_off, 1e-11);
        close("clamp", got.clamp_load, clamp, 1e-7);
        close("bound", got.reaction, -release() * got.radial_load, 1e-9);
    }

    #[test]
    fn verified_a_cold_hub_grips_and_stays_locked() {
        // Closed form: h' = h + x_c e_s - (x_c - h) e_h; the cone takes what bolt and spacer leave.
        let strains = Strains {
            shaft: -60.0 * 11.5e-6,
            hub: -60.0 * 23e-6,
            spacer: -60.0 * 11.5e-6,
            bolt: -60.0 * 11.5e-6,
        };
        let (_, _, h, bolt) = assembled(0.5);
        let got = service(0.5, strains);
        assert_eq!(got.slide, Slide::Locked);
        let locked = h + (h + 15.0) * strains.shaft - 15.0 * strains.hub;
        close("stand-off", got.stand_off, locked, 1e-11);
        let stretch =
            (locked - h) + 45.0 * strains.hub - 120.0 * strains.shaft - (h - 75.0) * strains.bolt;
        let load = bolt + 1.5e5 * stretch;
        close("bolt", got.bolt_load, load, 1e-8);
        let clamp = SPRING * (THICKNESS * (1.0 + strains.spacer) - locked).max(0.0);
        close("clamp", got.clamp_load, clamp, 1e-7);
        close("reaction", got.reaction, load - clamp, 1e-7);
    }

    #[test]
    fn a_bolt_that_goes_slack_carries_nothing_and_does_not_push() {
        // A bolt that grows by 2 % of its span of 25 mm is slack; the cone then holds the pinched spacer alone, up to
        // its release.
        let strains = Strains {
            bolt: 0.02,
            ..Strains::default()
        };
        for (share, slide) in [(0.4, Slide::Locked), (0.5, Slide::Out)] {
            let got = service(share, strains);
            assert_eq!(got.bolt_load, 0.0);
            assert_eq!(got.slide, slide);
            close("reaction", got.reaction, -got.clamp_load, 1e-12);
            let bound = release() * got.radial_load;
            assert!(got.clamp_load <= bound * (1.0 + 1e-12), "{got:?}");
        }
    }

    #[test]
    fn a_rigid_spacer_is_refused() {
        let (sizes, pairing) = straight(Spacer::Rigid, 0.3, rate());
        assert!(in_service(&sizes, &pairing, Strains::default(), BOLT).is_none());
    }
}
