//! The joint: what every pairing of a scenario has in common.

use crate::bolt::{BoltSizes, Turn};
use crate::cone::{Cone, ConeSizes};
use crate::input::{INPUTS, Input};
use crate::missing::{self, Missing};
use crate::output::Output;
use crate::seat;
use crate::spline::{Spline, SplineSizes};
use crate::tangent::TANGENT_REACH_RAD;
use crate::warmth::{Growth, Service};

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

/// What the hub seats on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Seat {
    /// A cone.
    Cone(ConeSizes),
    /// Tapered teeth.
    Spline(SplineSizes),
}

/// The sizes that a joint is made from, at 20 °C.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct JointSizes {
    /// What the hub seats on.
    pub seat: Seat,
    /// The spacer.
    pub spacer: Spacer,
    /// The bolt.
    pub bolt: BoltSizes,
    /// Mean friction radius of the pinched faces, when it is known (mm).
    pub face_radius: Option<f64>,
    /// Radius at which the runout of a rocking hub is read, when it is asked for (mm).
    pub runout_radius: Option<f64>,
    /// Growth of the parts to the temperatures of assembly.
    pub growth: Growth,
    /// Whether anything settles after tightening.
    pub settles: bool,
    /// The way from assembly to service, when it is asked for.
    pub service: Option<Service>,
    /// How far a half-angle may lie from its nominal value (rad), at most [`crate::TANGENT_REACH_RAD`].
    pub angle_reach: f64,
    /// Nominal value of every input, in the order of [`Input`], 0 where the joint has none; the torque is the one
    /// set on the wrench.
    pub nominal: [f64; INPUTS],
}

impl JointSizes {
    /// Why no pairing of a joint of these sizes has the output; `None` when it is computed.
    pub fn missing(&self, output: Output) -> Option<Missing> {
        missing::of(self, output)
    }

    /// A cone joint at 20 °C whose bolt is tightened by a nut factor, without anything that is optional.
    pub fn plain_cone(
        cone: ConeSizes,
        spacer: Spacer,
        bolt_diameter: f64,
        nominal: [f64; INPUTS],
    ) -> JointSizes {
        JointSizes {
            seat: Seat::Cone(cone),
            spacer,
            bolt: BoltSizes {
                turn: Turn::by_nut_factor(bolt_diameter),
                stress: None,
                stiffness: None,
            },
            face_radius: None,
            runout_radius: None,
            growth: Growth::NONE,
            settles: false,
            service: None,
            angle_reach: TANGENT_REACH_RAD,
            nominal,
        }
    }
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
        "a wall is too thin at an end of the flank: the ring law would be {share:.0} times as wrong as is allowed"
    )]
    LawTooCoarse {
        /// Error of the law as a multiple of what is allowed: 4e-9 of a load, 2e-8 of a pressure or stress.
        share: f64,
    },
    /// A number of teeth that is not handled.
    #[error("a spline has 4 to 120 teeth, found {teeth}")]
    Teeth {
        /// The number.
        teeth: usize,
    },
    /// A service temperature, and nothing that says what the clamp does there.
    #[error("a service temperature needs the stiffness of {of}")]
    Stiffness {
        /// `the spacer` or `the bolt`.
        of: &'static str,
    },
    /// A service temperature of a seat that the model does not cover.
    #[error("a service temperature is defined for cones only")]
    ServiceOfSpline,
}

impl JointError {
    pub(crate) fn finite(name: &'static str, value: f64) -> Result<(), JointError> {
        if value.is_finite() {
            Ok(())
        } else {
            Err(JointError::NotFinite { name })
        }
    }

    pub(crate) fn positive(name: &'static str, value: f64) -> Result<(), JointError> {
        JointError::finite(name, value)?;
        if value > 0.0 {
            Ok(())
        } else {
            Err(JointError::NotPositive { name, value })
        }
    }

    /// A half-angle (rad) on which the seat can slide at this friction.
    pub(crate) fn slides(angle: f64, friction: f64) -> Result<(), JointError> {
        if !(angle > 0.0 && angle < std::f64::consts::FRAC_PI_4) {
            return Err(JointError::Angle {
                degrees: angle.to_degrees(),
            });
        }
        if friction * libm::tan(angle) >= 1.0 {
            return Err(JointError::Locks { friction });
        }
        Ok(())
    }
}

/// The seat made ready for the solver.
#[allow(
    clippy::large_enum_variant,
    reason = "one a joint, and the hot loop wants it in place"
)]
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Ready {
    Cone(Cone),
    Spline(Spline),
}

/// A joint that can be solved. A value that exists is possible.
#[derive(Debug, Clone, PartialEq)]
pub struct Joint {
    sizes: JointSizes,
    pub(crate) ready: Ready,
    missing: u32,
    /// Whether the spacer is far stiffer than the cones.
    pub(crate) firm: bool,
}

impl Joint {
    /// Checks the sizes and prepares the seat.
    ///
    /// # Errors
    /// [`JointError`] when the sizes contradict each other.
    pub fn new(sizes: JointSizes) -> Result<Joint, JointError> {
        check(&sizes)?;
        let ready = match &sizes.seat {
            Seat::Cone(cone) => Ready::Cone(Cone::new(
                cone,
                &sizes.nominal,
                &sizes.growth,
                sizes.angle_reach,
            )?),
            Seat::Spline(spline) => Ready::Spline(Spline::new(spline, &sizes.nominal)?),
        };
        let missing = missing::mask(&sizes);
        let firm = match &ready {
            Ready::Cone(cone) => seat::is_firm(&sizes, cone),
            Ready::Spline(_) => false,
        };
        Ok(Joint {
            sizes,
            ready,
            missing,
            firm,
        })
    }

    /// The sizes.
    pub fn sizes(&self) -> &JointSizes {
        &self.sizes
    }

    /// The cone, when the hub seats on one.
    pub fn cone(&self) -> Option<&Cone> {
        match &self.ready {
            Ready::Cone(cone) => Some(cone),
            Ready::Spline(_) => None,
        }
    }

    /// Number of teeth that carry errors of their own: 0 for a cone.
    pub fn teeth(&self) -> usize {
        match &self.ready {
            Ready::Cone(_) => 0,
            Ready::Spline(spline) => spline.teeth(),
        }
    }

    /// The step of an output that is a number of teeth or a share of them; `None` when it varies without steps.
    pub fn step(&self, output: Output) -> Option<f64> {
        match (output, self.teeth()) {
            (_, 0) => None,
            (Output::TeethInContact, _) => Some(1.0),
            (Output::ContactShare, teeth) => Some(1.0 / teeth as f64),
            _ => None,
        }
    }

    /// Why no pairing of this joint has the output; `None` when it is computed.
    pub fn missing(&self, output: Output) -> Option<Missing> {
        self.sizes.missing(output)
    }

    /// Outputs that no pairing of this joint has, one bit each.
    pub(crate) fn missing_mask(&self) -> u32 {
        self.missing
    }

    /// The same joint for half-angles up to [`TANGENT_REACH_RAD`] from nominal, whatever the processes give.
    pub fn of_widest_reach(&self) -> Joint {
        let mut joint = self.clone();
        joint.sizes.angle_reach = TANGENT_REACH_RAD;
        let nominal = |input: Input| joint.sizes.nominal[input.index()];
        joint.about_angles(
            nominal(Input::MaleHalfAngle),
            nominal(Input::FemaleHalfAngle),
        )
    }

    /// The same joint with its tangents taken about the angles of a pairing far from nominal (rad).
    pub(crate) fn about_angles(&self, male: f64, female: f64) -> Joint {
        let ready = match self.ready.clone() {
            Ready::Cone(cone) => {
                Ready::Cone(cone.about_angles(male, female, self.sizes.angle_reach))
            }
            Ready::Spline(spline) => Ready::Spline(spline.about_angle(male)),
        };
        Joint {
            ready,
            ..self.clone()
        }
    }
}

fn check(sizes: &JointSizes) -> Result<(), JointError> {
    for value in sizes.nominal {
        JointError::finite("a nominal value", value)?;
    }
    for input in [
        Input::MaleSize,
        Input::FemaleSize,
        Input::Thickness,
        Input::Friction,
        Input::Torque,
    ] {
        let value = sizes.nominal[input.index()];
        JointError::positive("a nominal size, friction or torque", value)?;
    }
    let nominal = |input: Input| sizes.nominal[input.index()];
    let turn = sizes.bolt.turn.of(
        nominal(Input::NutFactor),
        nominal(Input::ThreadFriction),
        nominal(Input::HeadFriction),
    );
    JointError::positive("the bolt's torque per load", turn)?;
    if let Some(stiffness) = sizes.bolt.stiffness {
        JointError::positive("the bolt's stiffness", stiffness)?;
    }
    if let Some(stress) = sizes.bolt.stress {
        JointError::positive("the bolt's yield strength", stress.yield_strength)?;
        JointError::positive("the bolt's stress per load", stress.per_load.at(0.0))?;
        JointError::positive("the bolt's stress per load", stress.per_load.at(1.0))?;
    }
    for radius in [sizes.face_radius, sizes.runout_radius]
        .into_iter()
        .flatten()
    {
        JointError::positive("a radius", radius)?;
    }
    for growth in [sizes.growth.shaft, sizes.growth.hub, sizes.growth.spacer] {
        JointError::positive("the growth of a part", growth)?;
    }
    match sizes.spacer {
        Spacer::Rigid => {}
        Spacer::Stiffness(k) => JointError::positive("the spacer's stiffness", k)?,
        Spacer::Ring(ea) => JointError::positive("the spacer's stiffness", ea)?,
    }
    sizes
        .service
        .map_or(Ok(()), |service| check_service(sizes, &service))
}

fn check_service(sizes: &JointSizes, service: &Service) -> Result<(), JointError> {
    let all = [
        service.shaft,
        service.hub,
        service.spacer,
        service.bolt,
        service.head_at,
        service.thread_at,
    ];
    for value in all {
        JointError::finite("a value of the service state", value)?;
    }
    if matches!(sizes.seat, Seat::Spline(_)) {
        return Err(JointError::ServiceOfSpline);
    }
    if sizes.spacer == Spacer::Rigid {
        return Err(JointError::Stiffness { of: "the spacer" });
    }
    if sizes.bolt.stiffness.is_none() {
        return Err(JointError::Stiffness { of: "the bolt" });
    }
    Ok(())
}
