//! The cone: a male cone on the shaft, a female cone in the hub.

use std::f64::consts::TAU;

use crate::input::{INPUTS, Input};
use crate::joint::JointError;
use crate::lanes::{Column, larger, smaller};
use crate::law::{Overlap, Rates};
use crate::rings::{RingLaw, RingParts};
use crate::tangent::Tangent;
use crate::warmth::Growth;

/// Errors of the longest ring law, as a multiple of what is allowed of it, beyond which a joint is refused: 1e-7 of a load,
/// 5e-7 of a stress.
const COARSEST: f64 = 25.0;

/// The sizes of a cone joint that do not differ from pairing to pairing, at 20 °C.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ConeSizes {
    /// Male flank from the shoulder: large end `x1`, small end `x2` (mm).
    pub male_flank: (f64, f64),
    /// Female flank from the clamping face: large end `u1`, small end `u2` (mm).
    pub female_flank: (f64, f64),
    /// Hub outside radius (mm).
    pub outside_radius: f64,
    /// Shaft bore radius, 0 when solid (mm).
    pub bore_radius: f64,
    /// Hub modulus (MPa).
    pub hub_modulus: f64,
    /// Hub Poisson's ratio.
    pub hub_poisson: f64,
    /// Shaft modulus (MPa).
    pub shaft_modulus: f64,
    /// Shaft Poisson's ratio.
    pub shaft_poisson: f64,
    /// Smoothing allowance `G` on diameter (mm).
    pub smoothing: f64,
    /// Radial clearance below which blue transfers at hand force (mm).
    pub blue_film: f64,
}

/// A cone made ready for the solver, at the temperatures of assembly.
#[derive(Debug, Clone, PartialEq)]
pub struct Cone {
    law: RingLaw,
    pub(crate) parts: RingParts,
    pub(crate) ends: Ends,
    pub(crate) half_smoothing: f64,
    pub(crate) blue_film: f64,
    pub(crate) male_tangent: Tangent,
    pub(crate) female_tangent: Tangent,
    pub(crate) mean_tangent: Tangent,
}

impl Cone {
    /// Checks the sizes against the nominal inputs and prepares the elastic law.
    ///
    /// # Errors
    /// [`JointError`] when the sizes contradict each other.
    pub(crate) fn new(
        sizes: &ConeSizes,
        nominal: &[f64],
        growth: &Growth,
        angle_reach: f64,
    ) -> Result<Cone, JointError> {
        let parts = ring_parts(sizes, nominal, growth);
        check(sizes, nominal, &parts)?;
        let (law, share) = RingLaw::new(&parts);
        if share > COARSEST {
            return Err(JointError::LawTooCoarse { share });
        }
        let grown = |(large, small): (f64, f64), by: f64| (large * by, small * by);
        let ((x1, x2), (u1, u2)) = (
            grown(sizes.male_flank, growth.shaft),
            grown(sizes.female_flank, growth.hub),
        );
        let cone = Cone {
            law,
            parts,
            ends: Ends { x1, x2, u1, u2 },
            half_smoothing: 0.5 * sizes.smoothing,
            blue_film: sizes.blue_film,
            male_tangent: Tangent::about(0.0, angle_reach),
            female_tangent: Tangent::about(0.0, angle_reach),
            mean_tangent: Tangent::about(0.0, angle_reach),
        };
        let (male, female) = (Input::MaleHalfAngle, Input::FemaleHalfAngle);
        let (male, female) = (nominal[male.index()], nominal[female.index()]);
        Ok(cone.about_angles(male, female, angle_reach))
    }

    /// The elastic law.
    pub fn law(&self) -> &RingLaw {
        &self.law
    }

    /// The rings that the elastic law is made from, at the temperatures of assembly.
    pub fn ring_parts(&self) -> &RingParts {
        &self.parts
    }

    /// How far the hub's large end and small end hang past those of the shaft's cone at a stand-off (mm); negative
    /// where they do not.
    pub fn overhang(&self, stand_off: f64) -> (f64, f64) {
        let Ends { x1, x2, u1, u2 } = self.ends;
        (x1 - (stand_off + u1), stand_off + u2 - x2)
    }

    /// A bound on how steeply the axial load of the nominal cones can rise with the draw-up (N/mm), up to a draw-up as long as
    /// the flank: `2 pi tan(alpha + phi) tan(alpha) / K` over the length, and as much again for the ends of the overlap.
    pub(crate) fn steepest_load(&self, friction: f64) -> f64 {
        let (start, end) = self.parts.flank;
        let stiffest = [start, 0.5 * (start + end), end]
            .map(|x| 1.0 / self.parts.compliance(self.parts.radius(x)))
            .into_iter()
            .fold(0.0, f64::max);
        let tan = self.parts.fall;
        let thrust = TAU * (tan + friction) / (1.0 - friction * tan);
        2.0 * thrust * tan * stiffest * (end - start)
    }

    /// Tangent of the mean half-angle of lane `i`.
    #[inline(always)]
    pub(crate) fn mean_tangent(&self, inputs: &[Column; INPUTS], i: usize) -> f64 {
        let male = inputs[Input::MaleHalfAngle.index()][i];
        let female = inputs[Input::FemaleHalfAngle.index()][i];
        self.mean_tangent.of(0.5 * (male + female))
    }

    /// The same cone with its tangents taken about other half-angles (rad), for a pairing far from nominal.
    pub(crate) fn about_angles(self, male: f64, female: f64, reach: f64) -> Cone {
        Cone {
            male_tangent: Tangent::about(male, reach),
            female_tangent: Tangent::about(female, reach),
            mean_tangent: Tangent::about(0.5 * (male + female), reach),
            ..self
        }
    }
}

/// The four places that limit the overlap.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Ends {
    pub x1: f64,
    pub x2: f64,
    pub u1: f64,
    pub u2: f64,
}

/// The flanks of a block's lanes, without what all have in common.
#[derive(Debug, Clone)]
pub(crate) struct FlankColumns {
    /// `tan a_f`.
    pub tan_f: Column,
    /// `tan a_m - tan a_f`, never 0.
    pub k: Column,
    /// `1 / k`.
    pub inverse_k: Column,
    /// Radial clearance of the flanks extended to `x = 0` at `h = 0`, with half the smoothing allowance (mm).
    pub clearance: Column,
}

impl FlankColumns {
    /// The flanks of lane `i`.
    #[inline(always)]
    pub fn lane(&self, i: usize, ends: Ends) -> Flanks {
        Flanks {
            ends,
            tan_f: self.tan_f[i],
            k: self.k[i],
            inverse_k: self.inverse_k[i],
            clearance: self.clearance[i],
        }
    }
}

/// One lane's flanks: everything that the overlap at a stand-off depends on.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Flanks {
    pub ends: Ends,
    pub tan_f: f64,
    pub k: f64,
    pub inverse_k: f64,
    /// Clearance as in [`FlankColumns`] (mm).
    pub clearance: f64,
}

impl Flanks {
    /// The overlap at stand-off `h`.
    #[inline(always)]
    pub fn at(&self, h: f64) -> Overlap {
        let lo = larger(self.ends.x1, h + self.ends.u1);
        let hi = larger(smaller(self.ends.x2, h + self.ends.u2), lo);
        let at_origin = h.mul_add(self.tan_f, self.clearance);
        Overlap {
            stand_off: h,
            lo,
            hi,
            d_lo: -self.k.mul_add(lo, at_origin),
            d_hi: -self.k.mul_add(hi, at_origin),
            k: self.k,
            inverse_k: self.inverse_k,
        }
    }

    /// Rates of the overlap at stand-off `h`.
    #[inline(always)]
    pub fn rates(&self, h: f64) -> Rates {
        Rates {
            interference: -self.tan_f,
            lo: if h + self.ends.u1 > self.ends.x1 {
                1.0
            } else {
                0.0
            },
            hi: if h + self.ends.u2 < self.ends.x2 {
                1.0
            } else {
                0.0
            },
        }
    }
}

/// The rings of the nominal male cone and of the hub around it, at the temperatures of assembly.
fn ring_parts(sizes: &ConeSizes, nominal: &[f64], growth: &Growth) -> RingParts {
    let fall = libm::tan(nominal[Input::MaleHalfAngle.index()]);
    let plane = nominal[Input::MalePlane.index()];
    let radius = 0.5 * nominal[Input::MaleSize.index()];
    RingParts {
        outside_radius: sizes.outside_radius * growth.hub,
        bore_radius: sizes.bore_radius * growth.shaft,
        hub_modulus: sizes.hub_modulus,
        hub_poisson: sizes.hub_poisson,
        shaft_modulus: sizes.shaft_modulus,
        shaft_poisson: sizes.shaft_poisson,
        flank: (
            sizes.male_flank.0 * growth.shaft,
            sizes.male_flank.1 * growth.shaft,
        ),
        large_radius: (radius - (sizes.male_flank.0 - plane) * fall) * growth.shaft,
        fall,
    }
}

fn check(sizes: &ConeSizes, nominal: &[f64], parts: &RingParts) -> Result<(), JointError> {
    for (part, (start, end)) in [("male", sizes.male_flank), ("female", sizes.female_flank)] {
        JointError::finite("a flank end", start)?;
        JointError::finite("a flank end", end)?;
        if start >= end {
            return Err(JointError::NoFlank { part, start, end });
        }
    }
    JointError::positive("the hub's outside radius", sizes.outside_radius)?;
    JointError::positive("the hub's modulus", sizes.hub_modulus)?;
    JointError::positive("the shaft's modulus", sizes.shaft_modulus)?;
    JointError::positive("the blue film", sizes.blue_film)?;
    JointError::finite("a Poisson's ratio", sizes.hub_poisson + sizes.shaft_poisson)?;
    if !(sizes.smoothing >= 0.0 && sizes.smoothing.is_finite()) {
        return Err(JointError::NotPositive {
            name: "the smoothing allowance",
            value: sizes.smoothing,
        });
    }
    for input in [Input::MaleHalfAngle, Input::FemaleHalfAngle] {
        JointError::slides(nominal[input.index()], nominal[Input::Friction.index()])?;
    }
    if parts.large_radius >= parts.outside_radius {
        return Err(JointError::HubTooThin {
            cone_mm: parts.large_radius,
            hub_mm: parts.outside_radius,
        });
    }
    let small = parts.radius(parts.flank.1);
    if !(parts.bore_radius >= 0.0 && small > parts.bore_radius) {
        return Err(JointError::ShaftTooThin {
            cone_mm: small,
            bore_mm: parts.bore_radius,
        });
    }
    Ok(())
}
