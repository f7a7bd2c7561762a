//! The verdict on one pairing: good, or the first broken limit.

use crate::output::Output;

/// What is said of one pairing. The order is the order in which a broken limit claims the pairing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[repr(u8)]
pub enum Verdict {
    /// The hub cannot enter the cone at all, or nothing ever balances the bolt.
    NeverSeats,
    /// The cones carry the whole bolt load before the spacer is pinched.
    GapLeft,
    /// Clamp load below its minimum.
    ClampLow,
    /// The spacer is tight but the hub can rock on the cone.
    ConesFree,
    /// Seat load or slip torque below its minimum.
    SeatLow,
    /// Contact share or blue share below its minimum.
    ContactLow,
    /// Bore stress above its maximum.
    BoreOverstressed,
    /// First touch, draw-up or stand-off outside its limits.
    PositionOut,
    /// Any other limit broken.
    OtherLimit,
    /// No limit broken.
    Good,
}

/// Number of verdicts, `Good` included.
pub const VERDICTS: usize = 10;

impl Verdict {
    /// All verdicts, in their order.
    pub const ALL: [Verdict; VERDICTS] = [
        Verdict::NeverSeats,
        Verdict::GapLeft,
        Verdict::ClampLow,
        Verdict::ConesFree,
        Verdict::SeatLow,
        Verdict::ContactLow,
        Verdict::BoreOverstressed,
        Verdict::PositionOut,
        Verdict::OtherLimit,
        Verdict::Good,
    ];

    /// Place in tables of counts.
    pub const fn index(self) -> usize {
        self as usize
    }

    /// Word in machine-readable results.
    pub const fn key(self) -> &'static str {
        match self {
            Verdict::NeverSeats => "never_seats",
            Verdict::GapLeft => "gap_left",
            Verdict::ClampLow => "clamp_low",
            Verdict::ConesFree => "cones_free",
            Verdict::SeatLow => "seat_low",
            Verdict::ContactLow => "contact_low",
            Verdict::BoreOverstressed => "bore_overstressed",
            Verdict::PositionOut => "position_out",
            Verdict::OtherLimit => "other_limit",
            Verdict::Good => "good",
        }
    }

    /// The verdict that a broken limit of this output and side gives.
    pub const fn of_limit(output: Output, too_low: bool) -> Verdict {
        match (output, too_low) {
            (Output::ClampLoad, true) => Verdict::ClampLow,
            (Output::SeatLoad | Output::SlipTorque, true) => Verdict::SeatLow,
            (Output::ContactShare | Output::BlueShare, true) => Verdict::ContactLow,
            (Output::BoreStress, false) => Verdict::BoreOverstressed,
            (Output::FirstTouch | Output::DrawUp | Output::StandOff, _) => Verdict::PositionOut,
            _ => Verdict::OtherLimit,
        }
    }
}
