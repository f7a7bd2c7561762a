//! The joint: what every pairing of a scenario has in common.

use crate::input::{INPUTS, Input};
use crate::rings::{LAW_ERROR, RingLaw, RingParts};
use crate::tangent::Tangent;

/// How the spacer yields under load.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Spacer {
    /// Not at all.
    Rigid,
    /// By the same axial stiffness `k_c` whatever its thickness (N/mm).
    Stiffness(f64),
    /// As a plain ring, `k_c = E A / t`; the value is `E A` (N).
    Ring(f64),
}

/// The sizes that a joint is made from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct JointSizes {
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
    /// The spacer.
    pub spacer: Spacer,
    /// Smoothing allowance `G` on diameter (mm).
    pub smoothing: f64,
    /// Radial clearance below which blue transfers at hand force (mm).
    pub blue_film: f64,
    /// Nominal diameter of the bolt (mm).
    pub bolt_diameter: f64,
    /// Nominal value of every input, in the order of [`Input`]; the torque is the one set on the wrench.
    pub nominal: [f64; INPUTS],
}

/// Why sizes do not make a joint.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum JointError {
    /// A size is not finite.
    #[error("{name} is not a finite number")]
    NotFinite {
        /// Which size.
        name: &'static str,
    },
    /// A flank has no length.
    #[error("the {part} flank from {start} mm to {end} mm has no length")]
    NoFlank {
        /// `male` or `female`.
        part: &'static str,
        /// Large end (mm).
        start: f64,
        /// Small end (mm).
        end: f64,
    },
    /// A size that must be positive is not.
    #[error("{name} must be positive, found {value}")]
    NotPositive {
        /// Which size.
        name: &'static str,
        /// Its value.
        value: f64,
    },
    /// The cone breaks out of the hub.
    #[error(
        "the cone's largest radius {cone_mm} mm is not inside the hub's outside radius {hub_mm} mm"
    )]
    HubTooThin {
        /// Radius of the male cone at its large end (mm).
        cone_mm: f64,
        /// Outside radius of the hub (mm).
        hub_mm: f64,
    },
    /// The bore breaks out of the shaft.
    #[error(
        "the cone's smallest radius {cone_mm} mm is not outside the shaft's bore radius {bore_mm} mm"
    )]
    ShaftTooThin {
        /// Radius of the male cone at its small end (mm).
        cone_mm: f64,
        /// Bore radius of the shaft (mm).
        bore_mm: f64,
    },
    /// A half-angle outside (0, 45 degrees).
    #[error("a half-angle must lie between 0 and 45 degrees, found {degrees}")]
    Angle {
        /// The half-angle (degrees).
        degrees: f64,
    },
    /// Friction so high or the cone so steep that nothing slides.
    #[error("friction {friction} times the tangent of the half-angle must stay below 1")]
    Locks {
        /// Friction coefficient.
        friction: f64,
    },
    /// The walls get so thin along the flank that the ring law cannot be followed to its accuracy.
    #[error(
        "a wall is too thin at an end of the flank: the ring law could only be followed to {error:e}"
    )]
    LawTooCoarse {
        /// Relative error reached.
        error: f64,
    },
}

/// A joint that can be solved. A value that exists is possible.
#[derive(Debug, Clone, PartialEq)]
pub struct Joint {
    sizes: JointSizes,
    law: RingLaw,
    pub(crate) male_tangent: Tangent,
    pub(crate) female_tangent: Tangent,
    pub(crate) mean_tangent: Tangent,
}

impl Joint {
    /// Checks the sizes and prepares the elastic law.
    ///
    /// # Errors
    /// [`JointError`] when the sizes contradict each other.
    pub fn new(sizes: JointSizes) -> Result<Joint, JointError> {
        check(&sizes)?;
        let parts = ring_parts(&sizes);
        let (law, error) = RingLaw::new(&parts);
        if error > 100.0 * LAW_ERROR {
            return Err(JointError::LawTooCoarse { error });
        }
        let male = sizes.nominal[Input::MaleHalfAngle.index()];
        let female = sizes.nominal[Input::FemaleHalfAngle.index()];
        Ok(Joint {
            sizes,
            law,
            male_tangent: Tangent::about(male),
            female_tangent: Tangent::about(female),
            mean_tangent: Tangent::about(0.5 * (male + female)),
        })
    }

    /// The sizes.
    pub fn sizes(&self) -> &JointSizes {
        &self.sizes
    }

    /// The elastic law.
    pub fn law(&self) -> &RingLaw {
        &self.law
    }

    /// The rings that the elastic law is made from.
    pub fn ring_parts(&self) -> RingParts {
        ring_parts(&self.sizes)
    }

    /// The same joint with its tangents taken about other half-angles (rad), for a pairing far from nominal.
    pub(crate) fn about_angles(&self, male: f64, female: f64) -> Joint {
        Joint {
            male_tangent: Tangent::about(male),
            female_tangent: Tangent::about(female),
            mean_tangent: Tangent::about(0.5 * (male + female)),
            ..self.clone()
        }
    }
}

fn ring_parts(sizes: &JointSizes) -> RingParts {
    let fall = libm::tan(sizes.nominal[Input::MaleHalfAngle.index()]);
    let plane = sizes.nominal[Input::MalePlane.index()];
    let radius = 0.5 * sizes.nominal[Input::MaleDiameter.index()];
    RingParts {
        outside_radius: sizes.outside_radius,
        bore_radius: sizes.bore_radius,
        hub_modulus: sizes.hub_modulus,
        hub_poisson: sizes.hub_poisson,
        shaft_modulus: sizes.shaft_modulus,
        shaft_poisson: sizes.shaft_poisson,
        flank: sizes.male_flank,
        large_radius: radius - (sizes.male_flank.0 - plane) * fall,
        fall,
    }
}

fn check(sizes: &JointSizes) -> Result<(), JointError> {
    let finite = |name, value: f64| {
        if value.is_finite() {
            Ok(())
        } else {
            Err(JointError::NotFinite { name })
        }
    };
    let positive = |name, value: f64| {
        finite(name, value)?;
        if value > 0.0 {
            Ok(())
        } else {
            Err(JointError::NotPositive { name, value })
        }
    };
    for (part, (start, end)) in [("male", sizes.male_flank), ("female", sizes.female_flank)] {
        finite("a flank end", start)?;
        finite("a flank end", end)?;
        if start >= end {
            return Err(JointError::NoFlank { part, start, end });
        }
    }
    for value in sizes.nominal {
        finite("a nominal value", value)?;
    }
    positive("the hub's outside radius", sizes.outside_radius)?;
    positive("the hub's modulus", sizes.hub_modulus)?;
    positive("the shaft's modulus", sizes.shaft_modulus)?;
    positive("the bolt's diameter", sizes.bolt_diameter)?;
    positive("the blue film", sizes.blue_film)?;
    for input in [
        Input::MaleDiameter,
        Input::FemaleDiameter,
        Input::Thickness,
        Input::Friction,
        Input::Torque,
        Input::NutFactor,
    ] {
        positive(
            "a nominal size, friction or torque",
            sizes.nominal[input.index()],
        )?;
    }
    finite("a Poisson's ratio", sizes.hub_poisson + sizes.shaft_poisson)?;
    if !(sizes.smoothing >= 0.0 && sizes.smoothing.is_finite()) {
        return Err(JointError::NotPositive {
            name: "the smoothing allowance",
            value: sizes.smoothing,
        });
    }
    match sizes.spacer {
        Spacer::Rigid => {}
        Spacer::Stiffness(k) => positive("the spacer's stiffness", k)?,
        Spacer::Ring(ea) => positive("the spacer's stiffness", ea)?,
    }
    for input in [Input::MaleHalfAngle, Input::FemaleHalfAngle] {
        let angle = sizes.nominal[input.index()];
        if !(angle > 0.0 && angle < std::f64::consts::FRAC_PI_4) {
            return Err(JointError::Angle {
                degrees: angle.to_degrees(),
            });
        }
        let friction = sizes.nominal[Input::Friction.index()];
        if friction * libm::tan(angle) >= 1.0 {
            return Err(JointError::Locks { friction });
        }
    }
    let parts = ring_parts(sizes);
    if parts.large_radius >= sizes.outside_radius {
        return Err(JointError::HubTooThin {
            cone_mm: parts.large_radius,
            hub_mm: sizes.outside_radius,
        });
    }
    let small = parts.radius(sizes.male_flank.1);
    if !(sizes.bore_radius >= 0.0 && small > sizes.bore_radius) {
        return Err(JointError::ShaftTooThin {
            cone_mm: small,
            bore_mm: sizes.bore_radius,
        });
    }
    Ok(())
}
