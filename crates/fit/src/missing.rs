//! Outputs that a joint cannot have: its kind of seat does not define them, or the scenario does not state what they
//! need.

use crate::joint::{JointSizes, Seat};
use crate::output::Output;

/// Why no pairing of a joint has an output.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Missing {
    /// It belongs to cones.
    OfCones,
    /// It belongs to splines.
    OfSplines,
    /// The strength of the bolt is not stated.
    BoltStrength,
    /// The stiffness of the bolt is not stated.
    BoltStiffness,
    /// Nothing settles.
    Settling,
    /// No service temperature is stated.
    ServiceTemperature,
    /// The radius for the runout is not stated.
    RunoutRadius,
    /// Friction or radius of the pinched faces is not stated.
    Faces,
}

impl Missing {
    /// The reason in words.
    pub const fn reason(self) -> &'static str {
        match self {
            Missing::OfCones => "it is not defined for a tapered spline",
            Missing::OfSplines => "only a tapered spline has teeth",
            Missing::BoltStrength => "the bolt's property class is not stated",
            Missing::BoltStiffness => "the bolt's stiffness is not stated",
            Missing::Settling => "nothing is stated to settle",
            Missing::ServiceTemperature => "no service temperature is stated",
            Missing::RunoutRadius => "the radius at which the runout is read is not stated",
            Missing::Faces => "friction and radius of the pinched faces are not stated",
        }
    }

    /// What a scenario has to state for it, or empty when nothing helps.
    pub const fn hint(self) -> &'static str {
        match self {
            Missing::OfCones | Missing::OfSplines => "",
            Missing::BoltStrength => "state bolt.property_class or bolt.yield_strength",
            Missing::BoltStiffness => {
                "state bolt.stiffness, or bolt.material, bolt.head_at and bolt.thread_at"
            }
            Missing::Settling => {
                "state spacer.settling or bolt.settling, and bolt.stiffness or bolt.material"
            }
            Missing::ServiceTemperature => "state temperature.service",
            Missing::RunoutRadius => "state joint.runout_radius",
            Missing::Faces => "state contact.face_friction and contact.face_radius",
        }
    }
}

/// Why a joint of these sizes lacks an output; `None` when it has it.
pub(crate) fn of(sizes: &JointSizes, output: Output) -> Option<Missing> {
    let spline = matches!(sizes.seat, Seat::Spline(_));
    let unless = |stated: bool, missing: Missing| (!stated).then_some(missing);
    match output {
        Output::BlueShare
        | Output::PressureMean
        | Output::PressureMax
        | Output::BoreStress
        | Output::SlipTorque
        | Output::RockAngle
        | Output::MismatchRatio => unless(!spline, Missing::OfCones),
        Output::Runout | Output::TorqueCapacity | Output::ServiceSlipTorque if spline => {
            Some(Missing::OfCones)
        }
        Output::TeethInContact | Output::ToothLoadShare => unless(spline, Missing::OfSplines),
        Output::BoltUtilisation => unless(sizes.bolt.stress.is_some(), Missing::BoltStrength),
        Output::SettledBoltLoad | Output::SettledClampLoad if !sizes.settles => {
            Some(Missing::Settling)
        }
        Output::SettledBoltLoad | Output::SettledClampLoad => {
            unless(sizes.bolt.stiffness.is_some(), Missing::BoltStiffness)
        }
        Output::ServiceBoltLoad
        | Output::ServiceClampLoad
        | Output::ServiceSeatLoad
        | Output::ServiceSlipTorque => unless(sizes.service.is_some(), Missing::ServiceTemperature),
        Output::Runout => unless(sizes.runout_radius.is_some(), Missing::RunoutRadius),
        Output::TorqueCapacity => unless(sizes.face_radius.is_some(), Missing::Faces),
        _ => None,
    }
}

/// All missing outputs, one bit each.
pub(crate) fn mask(sizes: &JointSizes) -> u32 {
    Output::ALL
        .into_iter()
        .filter(|&output| of(sizes, output).is_some())
        .fold(0, |mask, output| mask | 1 << output.index())
}
