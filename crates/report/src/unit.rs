//! Units as the drawing and the shop write them.

use crate::figure;

/// A unit to show values in: multiply by `factor`, write `text`.
#[derive(Debug, Clone, PartialEq)]
pub struct Unit {
    /// Value in the record times this is the value shown.
    pub factor: f64,
    /// The unit's sign.
    pub text: String,
}

impl Unit {
    /// The unit for values of up to `magnitude` in the unit of the record.
    pub fn of(unit: &str, magnitude: f64) -> Unit {
        let (factor, text) = match unit {
            "N" if magnitude.abs() >= 1000.0 => (1e-3, "kN"),
            "N*m" => (1.0, "N·m"),
            "deg" => (1.0, "°"),
            "um" => (1.0, "µm"),
            "mm" | "MPa" | "N" | "" => (1.0, unit),
            other => {
                return Unit {
                    factor: 1.0,
                    text: crate::text::short(other, 12),
                };
            }
        };
        Unit {
            factor,
            text: text.to_owned(),
        }
    }

    /// The unit for deviations of up to `magnitude`: micrometres and minutes of arc where a drawing uses them.
    pub fn of_deviation(unit: &str, magnitude: f64) -> Unit {
        if unit == "mm" && magnitude.abs() < 0.5 {
            return Unit {
                factor: 1e3,
                text: "µm".to_owned(),
            };
        }
        if unit == "deg" && magnitude.abs() < 0.5 {
            return Unit {
                factor: 60.0,
                text: "\u{2032}".to_owned(),
            };
        }
        Unit::of(unit, magnitude)
    }

    /// A stated value with the unit.
    pub fn stated(&self, value: f64) -> String {
        figure::with_unit(&figure::stated(value * self.factor), &self.text)
    }

    /// A value in this unit, without it, with the digits its interval supports.
    pub fn number(&self, value: f64, low: Option<f64>, high: Option<f64>) -> String {
        let at = |x: f64| x * self.factor;
        let text = figure::supported(at(value), low.map(at), high.map(at));
        // A tenth of a micrometre is finer than any of these parts is measured.
        let is_too_fine =
            self.text == "mm" && text.split_once('.').is_some_and(|(_, rest)| rest.len() > 4);
        if is_too_fine {
            figure::fixed(at(value), 4)
        } else {
            text
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn loads_become_kilonewtons_and_small_deviations_micrometres() {
        assert_eq!(Unit::of("N", 6000.0).stated(6000.0), "6\u{A0}kN");
        assert_eq!(
            Unit::of_deviation("mm", 0.013).stated(-0.013),
            "\u{2212}13\u{A0}µm"
        );
        assert_eq!(Unit::of("N*m", 60.0).stated(60.0), "60\u{A0}N·m");
    }
}
