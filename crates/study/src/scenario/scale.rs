//! How a characteristic is typed and how it is carried inside: lengths, torques, ratios, and the three ways to state a taper.

use crate::scenario::Shown;
use crate::scenario::quantity::{Measure, Quantity};

/// How a characteristic is typed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Scale {
    /// A length, inside in mm.
    Length,
    /// A torque, inside in N·mm.
    Torque,
    /// A plain ratio.
    Ratio,
    /// A rate of taper `C`, inside as the half-angle `atan(C/2)` in rad; angles are those of the included cone.
    TaperRate,
    /// The angle of the included cone, inside halved, in rad.
    ConeAngle,
    /// The half-angle, inside in rad.
    HalfAngle,
}

impl Scale {
    /// What an absolute value may be typed as.
    pub(crate) const fn absolute_measures(self) -> &'static [Measure] {
        match self {
            Scale::Length => &[Measure::Length],
            Scale::Torque => &[Measure::Torque],
            Scale::Ratio => &[Measure::Plain],
            Scale::TaperRate => &[Measure::Rate, Measure::Plain],
            Scale::ConeAngle | Scale::HalfAngle => &[Measure::Angle],
        }
    }

    /// What a difference from the nominal may be typed as.
    pub(crate) const fn difference_measures(self) -> &'static [Measure] {
        match self {
            Scale::Length => &[Measure::Length, Measure::Percent],
            Scale::Torque => &[Measure::Torque, Measure::Percent],
            Scale::Ratio => &[Measure::Plain, Measure::Percent],
            Scale::TaperRate => &[Measure::Angle, Measure::Plain, Measure::Percent],
            Scale::ConeAngle | Scale::HalfAngle => &[Measure::Angle, Measure::Percent],
        }
    }

    /// The value of the inside of an absolute value.
    pub(crate) fn absolute(self, typed: Quantity) -> f64 {
        match self {
            Scale::Length | Scale::Torque | Scale::Ratio | Scale::HalfAngle => typed.value,
            Scale::TaperRate => libm::atan(0.5 * typed.value),
            Scale::ConeAngle => 0.5 * typed.value,
        }
    }

    /// The value of the inside that lies a typed difference above the nominal.
    pub(crate) fn moved(self, nominal: f64, typed: Quantity) -> f64 {
        match (self, typed.measure) {
            (_, Measure::Percent) => nominal + nominal * typed.value,
            (Scale::TaperRate, Measure::Plain) => {
                libm::atan(libm::tan(nominal) + 0.5 * typed.value)
            }
            (Scale::TaperRate | Scale::ConeAngle, _) => nominal + 0.5 * typed.value,
            _ => nominal + typed.value,
        }
    }

    /// A standard deviation in the unit of the inside; a rate's by the slope `d alpha / dC = cos^2(alpha) / 2`.
    pub(crate) fn spread(self, nominal: f64, typed: Quantity) -> f64 {
        match (self, typed.measure) {
            (_, Measure::Percent) => libm::fabs(nominal) * typed.value,
            (Scale::TaperRate, Measure::Plain) => {
                let cos = libm::cos(nominal);
                0.5 * typed.value * cos * cos
            }
            (Scale::TaperRate | Scale::ConeAngle, _) => 0.5 * typed.value,
            _ => typed.value,
        }
    }

    /// How a person reads the value.
    pub(crate) const fn shown_in(self) -> Shown {
        match self {
            Scale::Length => Shown::Millimetre,
            Scale::Torque => Shown::NewtonMetre,
            Scale::Ratio => Shown::Ratio,
            Scale::TaperRate | Scale::ConeAngle | Scale::HalfAngle => Shown::HalfAngleDegree,
        }
    }

    /// Whether the value is an angle.
    pub(crate) const fn is_angle(self) -> bool {
        matches!(self, Scale::TaperRate | Scale::ConeAngle | Scale::HalfAngle)
    }

    /// A value of the inside in the way it is typed, for a message.
    pub(crate) fn show(self, inside: f64) -> String {
        const DEGREES: f64 = 180.0 / std::f64::consts::PI;
        match self {
            Scale::Length => format!("{} mm", short(inside)),
            Scale::Torque => format!("{} N*m", short(inside / 1000.0)),
            Scale::Ratio => short(inside),
            Scale::TaperRate => short(2.0 * libm::tan(inside)),
            Scale::ConeAngle => format!("{} deg", short(2.0 * inside * DEGREES)),
            Scale::HalfAngle => format!("{} deg", short(inside * DEGREES)),
        }
    }
}

/// A number with at most nine significant digits.
pub(crate) fn short(value: f64) -> String {
    let rounded: f64 = format!("{value:.8e}").parse().unwrap_or(value);
    format!("{rounded}")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn typed(text: &str) -> Quantity {
        Quantity::parse(text).unwrap()
    }

    #[test]
    fn the_three_ways_to_state_a_taper_agree() {
        let rate = Scale::TaperRate.absolute(typed("1:20"));
        assert_eq!(rate, libm::atan(0.025));
        let cone = Scale::ConeAngle.absolute(typed("2.864192 deg"));
        let half = Scale::HalfAngle.absolute(typed("1.432096 deg"));
        assert!((cone - rate).abs() < 1e-8 && (half - cone).abs() < 1e-12);
    }

    #[test]
    fn angles_of_a_rate_and_of_a_cone_are_halved_and_those_of_a_half_angle_are_not() {
        let minute = typed("1 arcmin").value;
        assert_eq!(
            Scale::TaperRate.spread(0.025, typed("1 arcmin")),
            0.5 * minute
        );
        assert_eq!(
            Scale::ConeAngle.spread(0.025, typed("1 arcmin")),
            0.5 * minute
        );
        assert_eq!(Scale::HalfAngle.spread(0.025, typed("1 arcmin")), minute);
        assert_eq!(
            Scale::ConeAngle.moved(0.025, typed("1 arcmin")),
            0.025 + 0.5 * minute
        );
    }

    #[test]
    fn a_difference_of_rates_moves_to_the_other_rate() {
        let nominal = Scale::TaperRate.absolute(typed("1:20"));
        let moved = Scale::TaperRate.moved(nominal, typed("0.001"));
        assert!((moved - Scale::TaperRate.absolute(typed("0.051"))).abs() < 1e-16);
        let slope = Scale::TaperRate.spread(nominal, typed("1e-6")) / 1e-6;
        let finite = (Scale::TaperRate.moved(nominal, typed("1e-6")) - nominal) / 1e-6;
        assert!((slope - finite).abs() < 1e-7);
    }

    #[test]
    fn percent_is_of_the_nominal() {
        assert_eq!(Scale::Torque.spread(60_000.0, typed("4 %")), 2400.0);
        assert_eq!(Scale::Ratio.moved(0.2, typed("-10 %")), 0.18);
    }
}
