//! What the drawing says of a measured characteristic: nominal and limits, in the unit of its readings.

use crate::problem::escape::{cut, escaped};
use crate::scenario::quantity::{Measure, Quantity};
use crate::scenario::unit::{UNITS, Unit};
use crate::tolerance;

/// Longest text of the command line that a message repeats, in characters.
const SHOWN: usize = 100;

/// What was typed about the drawing of one column.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Typed<'a> {
    pub(super) nominal: Option<&'a str>,
    pub(super) class: Option<&'a str>,
    pub(super) deviations: Option<&'a str>,
    pub(super) min: Option<&'a str>,
    pub(super) max: Option<&'a str>,
}

/// Nominal and limits in the unit of the readings.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Drawing {
    pub(super) nominal: Option<f64>,
    pub(super) lower: Option<f64>,
    pub(super) upper: Option<f64>,
    /// How the limits were stated; empty without limits.
    pub(super) stated: String,
    /// Whether a class says that the size is a hole, or that it is a shaft.
    pub(super) hole: Option<bool>,
}

impl Drawing {
    /// Whether there is any limit.
    pub(super) fn has_limits(&self) -> bool {
        self.lower.is_some() || self.upper.is_some()
    }

    /// Width between two limits.
    pub(super) fn tolerance(&self) -> Option<f64> {
        Some(self.upper? - self.lower?)
    }
}

/// The unit of a column: its name and the way to the unit of the inside; a plain column has none.
#[derive(Debug, Clone, Copy)]
pub(super) struct ColumnUnit(Option<&'static Unit>);

impl ColumnUnit {
    /// The unit by any of its names; empty for a plain column.
    pub(super) fn named(name: &str) -> Option<ColumnUnit> {
        if name.is_empty() {
            return Some(ColumnUnit(None));
        }
        let found = UNITS
            .iter()
            .find(|unit| unit.name == name || unit.also.contains(&name));
        found.map(|unit| ColumnUnit(Some(unit)))
    }

    /// Main name; empty for a plain column.
    pub(super) fn name(self) -> &'static str {
        self.0.map_or("", |unit| unit.name)
    }

    /// Whether it measures lengths.
    pub(super) fn is_length(self) -> bool {
        self.0.is_some_and(|unit| unit.measure == Measure::Length)
    }

    /// A value of the column in the unit of the inside: mm, rad, N …
    pub(super) fn inside(self, value: f64) -> f64 {
        self.0.map_or(value, |unit| value * unit.times / unit.over)
    }

    /// A value of the inside in the unit of the column.
    fn outside(self, value: f64) -> f64 {
        self.0.map_or(value, |unit| value * unit.over / unit.times)
    }

    /// A typed quantity in the unit of the column.
    fn convert(self, quantity: &Quantity) -> Option<f64> {
        match self.0 {
            None => {
                matches!(quantity.measure, Measure::Plain | Measure::Rate).then_some(quantity.value)
            }
            // The number as it was typed, without a detour that could cost its last digit.
            Some(unit) if unit.name == quantity.unit => Some(quantity.number),
            Some(unit) => (unit.measure == quantity.measure).then(|| self.outside(quantity.value)),
        }
    }

    /// What is due, for a message.
    fn due(self) -> String {
        match self.0 {
            None => "a plain number, as the column has no unit".to_owned(),
            Some(unit) => format!(
                "{} with its unit ({}), as the column is in {}",
                unit.measure.words(),
                unit.measure.units(),
                unit.name
            ),
        }
    }
}

/// Reads what was typed about one column.
///
/// # Errors
/// Every message about it: option, column, what was found, what is due.
pub(super) fn read(
    typed: &Typed<'_>,
    column: &str,
    unit: ColumnUnit,
) -> Result<Drawing, Vec<String>> {
    let mut reader = Reader {
        column,
        unit,
        wrong: Vec::new(),
    };
    let drawing = reader.drawing(typed);
    if reader.wrong.is_empty() {
        Ok(drawing)
    } else {
        Err(reader.wrong)
    }
}

struct Reader<'a> {
    column: &'a str,
    unit: ColumnUnit,
    wrong: Vec<String>,
}

impl Reader<'_> {
    fn drawing(&mut self, typed: &Typed<'_>) -> Drawing {
        self.one_way(typed);
        let nominal = typed.nominal.and_then(|t| self.value("--nominal", t));
        let mut drawing = Drawing {
            nominal,
            ..Drawing::default()
        };
        match (typed.class, typed.deviations) {
            (Some(class), _) => self.class(class, typed, &mut drawing),
            (None, Some(deviations)) => self.deviations(deviations, typed, &mut drawing),
            (None, None) => self.absolute(typed, &mut drawing),
        }
        if let (Some(lower), Some(upper)) = (drawing.lower, drawing.upper)
            && lower >= upper
        {
            self.wrong(
                "the limits",
                &drawing.stated.clone(),
                "a lower limit below the upper one",
            );
        }
        drawing
    }

    /// Limits are stated in one way only.
    fn one_way(&mut self, typed: &Typed<'_>) {
        let absolute = typed.min.is_some() || typed.max.is_some();
        let ways = [typed.class.is_some(), typed.deviations.is_some(), absolute];
        if ways.iter().filter(|way| **way).count() > 1 {
            self.wrong(
                "the limits",
                "limits stated in two ways",
                "one of --class, --deviations, or --min and --max",
            );
        }
        if typed.nominal.is_none() && (typed.class.is_some() || typed.deviations.is_some()) {
            self.wrong(
                "--nominal",
                "nothing",
                "the nominal that a class or deviations count from",
            );
        }
    }

    fn class(&mut self, class: &str, typed: &Typed<'_>, drawing: &mut Drawing) {
        let Some(nominal) = drawing.nominal else {
            return;
        };
        if !self.unit.is_length() {
            let due = "a column of lengths; state other limits by --deviations";
            self.wrong("--class", class, due);
            return;
        }
        match tolerance::limits(class.trim(), self.unit.inside(nominal)) {
            Ok((lower, upper)) => {
                drawing.lower = Some(nominal + self.unit.outside(lower));
                drawing.upper = Some(nominal + self.unit.outside(upper));
                drawing.stated = format!(
                    "{} {}",
                    typed.nominal.unwrap_or_default().trim(),
                    class.trim()
                );
                drawing.hole = Some(tolerance::is_hole(class.trim()));
            }
            Err(error) => {
                let due = format!("a class of ISO 286 such as H7\n  hint: {}", error.hint());
                self.wrong("--class", &error.to_string(), &due);
            }
        }
    }

    fn deviations(&mut self, text: &str, typed: &Typed<'_>, drawing: &mut Drawing) {
        let Some((from, to)) = text.split_once("..") else {
            self.wrong(
                "--deviations",
                text,
                "two deviations, for example \"-13 um..0 um\"",
            );
            return;
        };
        // A unit that stands behind the second deviation holds for the first too.
        let both = Quantity::parse(from)
            .ok()
            .filter(|q| q.measure == Measure::Plain)
            .and_then(|_| Quantity::parse(to).ok())
            .filter(|q| !q.unit.is_empty());
        let from = both.map_or_else(
            || from.to_owned(),
            |q| format!("{} {}", from.trim(), q.unit),
        );
        let ends = (
            self.value("--deviations", &from),
            self.value("--deviations", to),
        );
        if let (Some(lower), Some(upper), Some(nominal)) = (ends.0, ends.1, drawing.nominal) {
            drawing.lower = Some(nominal + lower);
            drawing.upper = Some(nominal + upper);
            drawing.stated = format!(
                "{} with {} to {}",
                typed.nominal.unwrap_or_default().trim(),
                from.trim(),
                to.trim()
            );
        }
    }

    fn absolute(&mut self, typed: &Typed<'_>, drawing: &mut Drawing) {
        drawing.lower = typed.min.and_then(|text| self.value("--min", text));
        drawing.upper = typed.max.and_then(|text| self.value("--max", text));
        drawing.stated = match (typed.min, typed.max) {
            (Some(min), Some(max)) => format!("{} to {}", min.trim(), max.trim()),
            (Some(min), None) => format!("at least {}", min.trim()),
            (None, Some(max)) => format!("at most {}", max.trim()),
            (None, None) => String::new(),
        };
    }

    /// A typed value in the unit of the column.
    fn value(&mut self, option: &str, text: &str) -> Option<f64> {
        let quantity = match Quantity::parse(text) {
            Ok(quantity) => quantity,
            Err(error) => {
                let found = format!("{} ({error})", text.trim());
                self.wrong(option, &found, &self.unit.due());
                return None;
            }
        };
        if !quantity.is_real() {
            self.wrong(option, text.trim(), "a size that a part can have");
            return None;
        }
        let value = self.unit.convert(&quantity);
        if value.is_none() {
            let mut due = self.unit.due();
            if self.unit.0.is_none() {
                due += &format!(
                    "\n  hint: say its unit with --unit {}={}",
                    self.column, quantity.unit
                );
            }
            self.wrong(option, text.trim(), &due);
        }
        value
    }

    fn wrong(&mut self, what: &str, found: &str, due: &str) {
        self.wrong.push(format!(
            "{what} of column {}: found {}\n  expected: {due}",
            cut(&escaped(self.column), SHOWN),
            cut(&escaped(found), SHOWN)
        ));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn unit(name: &str) -> ColumnUnit {
        ColumnUnit::named(name).expect("a unit")
    }

    fn drawing(typed: &Typed<'_>, name: &str) -> Result<Drawing, Vec<String>> {
        read(typed, "d", unit(name))
    }

    #[test]
    fn limits_in_another_unit_of_the_same_kind_are_converted() {
        let typed = Typed {
            min: Some("0.98 in"),
            max: Some("1.02 in"),
            ..Typed::default()
        };
        let got = drawing(&typed, "mm").expect("limits");
        assert!((got.lower.unwrap_or_default() - 24.892).abs() < 1e-12);
        assert!((got.upper.unwrap_or_default() - 25.908).abs() < 1e-12);
        assert_eq!(got.stated, "0.98 in to 1.02 in");
        // In the unit of the column the number stays as typed.
        assert_eq!(drawing(&typed, "in").expect("limits").lower, Some(0.98));
    }

    #[test]
    fn deviations_may_share_a_unit_and_count_from_the_nominal() {
        for text in ["-13 um..0 um", "-13..0 um", "-0.013 mm .. 0 mm"] {
            let typed = Typed {
                nominal: Some("30 mm"),
                deviations: Some(text),
                ..Typed::default()
            };
            let got = drawing(&typed, "mm").expect(text);
            assert!(
                (got.lower.unwrap_or_default() - 29.987).abs() < 1e-12,
                "{text}"
            );
            assert_eq!(got.upper, Some(30.0), "{text}");
        }
    }

    #[test]
    fn verified_class_gives_the_limits_of_iso_286() {
        // 30 H7: 0 to +21 um (ISO 286-2).
        let typed = Typed {
            nominal: Some("30 mm"),
            class: Some("H7"),
            ..Typed::default()
        };
        let got = drawing(&typed, "um").expect("limits");
        assert_eq!(got.lower, Some(30_000.0));
        assert!((got.upper.unwrap_or_default() - 30_021.0).abs() < 1e-9);
        assert_eq!(got.hole, Some(true));
    }

    #[test]
    fn what_cannot_be_a_limit_is_refused() {
        let typed = |nominal, class, deviations, min, max| Typed {
            nominal,
            class,
            deviations,
            min,
            max,
        };
        let cases = [
            (typed(None, None, None, Some("1 deg"), None), "mm"),
            (typed(None, None, None, Some("0.98"), None), "mm"),
            (typed(None, None, None, Some("0.98 mm"), None), ""),
            (typed(None, None, None, Some("2 mm"), Some("1 mm")), "mm"),
            (typed(None, None, None, Some("x"), None), "mm"),
            (typed(None, Some("H7"), None, None, None), "mm"),
            (typed(Some("30 mm"), Some("Q7"), None, None, None), "mm"),
            (typed(Some("30 deg"), Some("H7"), None, None, None), "deg"),
            (typed(Some("30 mm"), None, Some("-13 um"), None, None), "mm"),
            (
                typed(Some("30 mm"), Some("H7"), None, Some("30 mm"), None),
                "mm",
            ),
        ];
        for (typed, name) in cases {
            assert!(drawing(&typed, name).is_err(), "{typed:?}");
        }
    }
}
