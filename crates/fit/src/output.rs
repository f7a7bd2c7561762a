//! The outputs of a solved pairing: what can be reported and what a limit can be put on.

/// One output of a solved pairing.
///
/// The order is the order of the columns of a block and of every table.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[repr(u8)]
pub enum Output {
    /// Bolt load `B` (N).
    BoltLoad,
    /// Stand-off at first touch `h0`, without force (mm).
    FirstTouch,
    /// Draw-up to close, `h0 - t` (mm); negative when the spacer is pinched first.
    DrawUp,
    /// Load that the cones take until the spacer is pinched, `F(t)` (N).
    ClosingLoad,
    /// Torque set on the wrench at which this pairing pinches its spacer (N·m).
    ClosingTorque,
    /// Final stand-off `h` (mm).
    StandOff,
    /// Axial play of the spacer: the gap left, `max(0, h - t)` (mm).
    Gap,
    /// Clamp load on the spacer `N` (N).
    ClampLoad,
    /// Load on the seat `F(h)` (N).
    SeatLoad,
    /// Share that bears under load (0..1): of the overlap of a cone, of the teeth of a spline.
    ContactShare,
    /// Share of the overlap with less clearance than the film at first touch (0..1).
    BlueShare,
    /// Mean nominal pressure over the patch (MPa).
    PressureMean,
    /// Largest nominal pressure in the patch (MPa).
    PressureMax,
    /// Largest equivalent stress (Tresca) at the hub bore (MPa).
    BoreStress,
    /// Slip torque of the cone (N·m).
    SlipTorque,
    /// Axial load that releases the seat (N); negative when it is not self-locking.
    ReleaseLoad,
    /// Full swing of a hub that rocks on free cones (degrees).
    RockAngle,
    /// Angle mismatch over the overlap per interference at the touching end, `rho` (ratio).
    MismatchRatio,
    /// Teeth with a flank in contact (count).
    TeethInContact,
    /// Load on the most loaded tooth as a share of the load on all teeth (0..1).
    ToothLoadShare,
    /// Equivalent stress in the bolt as a share of its yield strength (0..1 while elastic).
    BoltUtilisation,
    /// Bolt load after settling `B'` (N).
    SettledBoltLoad,
    /// Clamp load after settling `N'` (N).
    SettledClampLoad,
    /// Bolt load at the service temperatures (N).
    ServiceBoltLoad,
    /// Clamp load at the service temperatures (N).
    ServiceClampLoad,
    /// Axial load of the seat on the hub at the service temperatures (N); negative when the seat holds the
    /// hub back against the spacer.
    ServiceSeatLoad,
    /// Slip torque of the cone at the service temperatures (N·m).
    ServiceSlipTorque,
    /// Axial runout of a hub that rocks, full reading at the stated radius (mm).
    Runout,
    /// Torque that the joint transmits before it slips: cone and pinched faces together (N·m).
    TorqueCapacity,
    /// Angle of friction less the half-angle (degrees): positive for a self-locking seat.
    SelfLockingMargin,
}

/// Number of outputs.
pub const OUTPUTS: usize = 30;

impl Output {
    /// All outputs, in order.
    pub const ALL: [Output; OUTPUTS] = [
        Output::BoltLoad,
        Output::FirstTouch,
        Output::DrawUp,
        Output::ClosingLoad,
        Output::ClosingTorque,
        Output::StandOff,
        Output::Gap,
        Output::ClampLoad,
        Output::SeatLoad,
        Output::ContactShare,
        Output::BlueShare,
        Output::PressureMean,
        Output::PressureMax,
        Output::BoreStress,
        Output::SlipTorque,
        Output::ReleaseLoad,
        Output::RockAngle,
        Output::MismatchRatio,
        Output::TeethInContact,
        Output::ToothLoadShare,
        Output::BoltUtilisation,
        Output::SettledBoltLoad,
        Output::SettledClampLoad,
        Output::ServiceBoltLoad,
        Output::ServiceClampLoad,
        Output::ServiceSeatLoad,
        Output::ServiceSlipTorque,
        Output::Runout,
        Output::TorqueCapacity,
        Output::SelfLockingMargin,
    ];

    /// Place in the columns of a block.
    pub const fn index(self) -> usize {
        self as usize
    }

    /// Name in a scenario's `[limits]` and in texts: the field's key without its unit.
    pub const fn name(self) -> &'static str {
        self.describe().0
    }

    /// Unit of the value as the record states it; empty for a plain ratio.
    pub const fn unit(self) -> &'static str {
        self.describe().1
    }

    /// Field name in machine-readable results: name and unit.
    pub const fn key(self) -> &'static str {
        self.describe().2
    }

    /// The words for a reader.
    pub const fn words(self) -> &'static str {
        self.describe().3
    }

    /// The value at which many pairings may pile up (a point mass), if there is one.
    pub const fn atom(self) -> Option<f64> {
        match self {
            Output::ClosingLoad
            | Output::ClosingTorque
            | Output::Gap
            | Output::ClampLoad
            | Output::SeatLoad
            | Output::PressureMean
            | Output::PressureMax
            | Output::BoreStress
            | Output::SlipTorque
            | Output::ReleaseLoad
            | Output::SettledClampLoad
            | Output::ServiceClampLoad
            | Output::ServiceSlipTorque
            | Output::Runout
            | Output::RockAngle => Some(0.0),
            Output::ContactShare | Output::BlueShare => Some(1.0),
            _ => None,
        }
    }

    /// The output with this name (as in `[limits]`).
    pub fn from_name(name: &str) -> Option<Output> {
        Output::ALL.into_iter().find(|o| o.name() == name)
    }

    const fn describe(self) -> (&'static str, &'static str, &'static str, &'static str) {
        match self {
            Output::BoltLoad => ("bolt_load", "N", "bolt_load_n", "bolt load"),
            Output::FirstTouch => (
                "first_touch",
                "mm",
                "first_touch_mm",
                "stand-off at first touch",
            ),
            Output::DrawUp => ("draw_up", "mm", "draw_up_mm", "draw-up to close"),
            Output::ClosingLoad => ("closing_load", "N", "closing_load_n", "closing load"),
            Output::ClosingTorque => (
                "closing_torque",
                "N*m",
                "closing_torque_nm",
                "closing torque",
            ),
            Output::StandOff => ("stand_off", "mm", "stand_off_mm", "stand-off"),
            Output::Gap => ("gap", "mm", "gap_mm", "play of the spacer"),
            Output::ClampLoad => ("clamp_load", "N", "clamp_load_n", "clamp load"),
            Output::SeatLoad => ("seat_load", "N", "seat_load_n", "seat load"),
            Output::ContactShare => (
                "contact_share",
                "",
                "contact_share",
                "contact share under load",
            ),
            Output::BlueShare => ("blue_share", "", "blue_share", "blue share at hand force"),
            Output::PressureMean => (
                "pressure_mean",
                "MPa",
                "pressure_mean_mpa",
                "mean nominal pressure",
            ),
            Output::PressureMax => (
                "pressure_max",
                "MPa",
                "pressure_max_mpa",
                "largest nominal pressure",
            ),
            Output::BoreStress => ("bore_stress", "MPa", "bore_stress_mpa", "bore stress"),
            Output::SlipTorque => ("slip_torque", "N*m", "slip_torque_nm", "slip torque"),
            Output::ReleaseLoad => ("release_load", "N", "release_load_n", "release load"),
            Output::RockAngle => ("rock_angle", "deg", "rock_angle_deg", "rock angle"),
            Output::MismatchRatio => ("mismatch_ratio", "", "mismatch_ratio", "mismatch ratio"),
            Output::TeethInContact => (
                "teeth_in_contact",
                "",
                "teeth_in_contact",
                "teeth in contact",
            ),
            Output::ToothLoadShare => (
                "tooth_load_share",
                "",
                "tooth_load_share",
                "load share of the most loaded tooth",
            ),
            Output::BoltUtilisation => (
                "bolt_utilisation",
                "",
                "bolt_utilisation",
                "bolt utilisation",
            ),
            Output::SettledBoltLoad => (
                "settled_bolt_load",
                "N",
                "settled_bolt_load_n",
                "bolt load after settling",
            ),
            Output::SettledClampLoad => (
                "settled_clamp_load",
                "N",
                "settled_clamp_load_n",
                "clamp load after settling",
            ),
            Output::ServiceBoltLoad => (
                "service_bolt_load",
                "N",
                "service_bolt_load_n",
                "bolt load in service",
            ),
            Output::ServiceClampLoad => (
                "service_clamp_load",
                "N",
                "service_clamp_load_n",
                "clamp load in service",
            ),
            Output::ServiceSeatLoad => (
                "service_seat_load",
                "N",
                "service_seat_load_n",
                "seat load in service",
            ),
            Output::ServiceSlipTorque => (
                "service_slip_torque",
                "N*m",
                "service_slip_torque_nm",
                "slip torque in service",
            ),
            Output::Runout => ("runout", "mm", "runout_mm", "runout of a rocking hub"),
            Output::TorqueCapacity => (
                "torque_capacity",
                "N*m",
                "torque_capacity_nm",
                "torque capacity",
            ),
            Output::SelfLockingMargin => (
                "self_locking_margin",
                "deg",
                "self_locking_margin_deg",
                "self-locking margin",
            ),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_output_stands_at_its_own_index() {
        for (i, output) in Output::ALL.into_iter().enumerate() {
            assert_eq!(output.index(), i);
            assert_eq!(Output::from_name(output.name()), Some(output));
        }
    }
}
