//! The columns of a file of parts: which characteristic, in which unit, and how a cell becomes a value.

use fit::Input;

use crate::problem::escape::{named, quoted};
use crate::problem::id::{self, Id};
use crate::scenario::quantity::{Measure, Quantity, QuantityError};
use crate::scenario::scale::Scale;
use crate::scenario::value::REAL;
use crate::scenario::walk::nearest;

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Role {
    /// The name of a pairing.
    Name,
    /// A characteristic.
    Value(Input),
}

/// One column.
#[derive(Debug, Clone)]
pub(super) struct Column {
    /// Its dotted path.
    pub(super) name: String,
    /// What it holds.
    pub(super) role: Role,
    scale: Scale,
    /// The unit as typed in the header; empty for a plain ratio.
    unit: String,
}

/// What is wrong with a column or a cell.
#[derive(Debug, Clone)]
pub(super) struct Wrong {
    pub(super) id: &'static Id,
    pub(super) found: String,
    pub(super) expected: String,
    pub(super) hint: String,
}

/// The characteristics that a column may name; a taper may be stated in three ways.
const PATHS: [(&str, Input, Scale); 22] = [
    ("shaft.gauge_plane", Input::MalePlane, Scale::Length),
    ("shaft.gauge_diameter", Input::MaleSize, Scale::Length),
    ("shaft.taper", Input::MaleHalfAngle, Scale::TaperRate),
    ("shaft.cone_angle", Input::MaleHalfAngle, Scale::ConeAngle),
    ("shaft.half_angle", Input::MaleHalfAngle, Scale::HalfAngle),
    ("hub.gauge_plane", Input::FemalePlane, Scale::Length),
    ("hub.gauge_diameter", Input::FemaleSize, Scale::Length),
    ("hub.taper", Input::FemaleHalfAngle, Scale::TaperRate),
    ("hub.cone_angle", Input::FemaleHalfAngle, Scale::ConeAngle),
    ("hub.half_angle", Input::FemaleHalfAngle, Scale::HalfAngle),
    ("spacer.thickness", Input::Thickness, Scale::Length),
    ("contact.friction", Input::Friction, Scale::Ratio),
    ("bolt.torque", Input::Torque, Scale::Torque),
    ("bolt.nut_factor", Input::NutFactor, Scale::Ratio),
    ("shaft.tooth_thickness", Input::MaleSize, Scale::Length),
    ("hub.space_width", Input::FemaleSize, Scale::Length),
    (
        "teeth.flank_half_angle",
        Input::MaleHalfAngle,
        Scale::HalfAngle,
    ),
    ("contact.face_friction", Input::FaceFriction, Scale::Ratio),
    ("spacer.settling", Input::FaceSettling, Scale::Length),
    ("bolt.thread_friction", Input::ThreadFriction, Scale::Ratio),
    ("bolt.head_friction", Input::HeadFriction, Scale::Ratio),
    ("bolt.settling", Input::BoltSettling, Scale::Length),
];

/// Reads a header cell: `path [unit]`, `path` for a plain ratio, or `name`.
///
/// # Errors
/// What is wrong with it.
pub(super) fn read(cell: &str) -> Result<Column, Wrong> {
    let (name, unit) = match cell.split_once('[') {
        Some((name, rest)) => (
            name.trim(),
            rest.trim_end().strip_suffix(']').map(str::trim),
        ),
        None => (cell.trim(), Some("")),
    };
    let wrong = |found: String, expected: &str, hint: String| Wrong {
        id: &id::PARTS_COLUMN,
        found,
        expected: expected.to_owned(),
        hint,
    };
    let Some(unit) = unit else {
        return Err(wrong(
            quoted(cell),
            "a closing bracket after the unit",
            String::new(),
        ));
    };
    if name == "name" && unit.is_empty() {
        return Ok(Column {
            name: name.to_owned(),
            role: Role::Name,
            scale: Scale::Ratio,
            unit: String::new(),
        });
    }
    let Some(&(path, input, scale)) = PATHS.iter().find(|(path, ..)| *path == name) else {
        let paths: Vec<_> = PATHS.iter().map(|(path, ..)| *path).collect();
        let hint = nearest(name, &paths).map_or_else(
            || "the first line must be the header".to_owned(),
            |p| format!("did you mean {p}?"),
        );
        return Err(wrong(
            format!("an unknown column {}", quoted(name)),
            &format!("name, {}", paths.join(", ")),
            hint,
        ));
    };
    let column = Column {
        name: path.to_owned(),
        role: Role::Value(input),
        scale,
        unit: unit.to_owned(),
    };
    let usual = scale.absolute_measures()[0].usual();
    match (usual, unit) {
        ("", "") => Ok(column),
        ("", unit) => Err(wrong(
            format!("the unit {}", quoted(unit)),
            "no unit: this is a plain ratio",
            format!("write {path}"),
        )),
        (usual, "") => Err(wrong(
            "no unit".to_owned(),
            &format!(
                "a unit in brackets: {}",
                scale.absolute_measures()[0].units()
            ),
            format!("write {path} [{usual}] if {usual} is meant"),
        )),
        (usual, unit) => match Quantity::parse(&format!("1 {unit}")) {
            Ok(one) if scale.absolute_measures().contains(&one.measure) => Ok(column),
            _ => Err(wrong(
                format!("the unit {}", quoted(unit)),
                &format!("one of {}", scale.absolute_measures()[0].units()),
                format!("for example {path} [{usual}]"),
            )),
        },
    }
}

impl Column {
    /// The value of a cell in the unit of the inside.
    ///
    /// # Errors
    /// What is wrong with the cell.
    pub(super) fn value(&self, cell: &str) -> Result<f64, Wrong> {
        let bad = |hint: &str| Wrong {
            id: &id::PARTS_CELL,
            found: quoted(cell),
            expected: "a number with a decimal point, for example 2.512".to_owned(),
            hint: hint.to_owned(),
        };
        let typed = Quantity::parse(cell).map_err(|error| match error {
            QuantityError::Empty => Wrong {
                found: "an empty cell".to_owned(),
                ..bad("leave the whole row out if the part was not measured")
            },
            QuantityError::Comma => bad("use a decimal point, and no separator of thousands"),
            QuantityError::OutOfRange => bad("numbers from 1e-300 to 1e300 can be carried"),
            QuantityError::UnknownUnit { .. } => {
                bad("nothing but the number may stand in a cell; the unit belongs in the header")
            }
            QuantityError::Character(c) => {
                bad(&format!("replace {} by the plain character", named(c)))
            }
            QuantityError::NoNumber => bad(""),
        })?;
        let plain = match typed.measure {
            Measure::Plain => true,
            Measure::Rate => self.scale == Scale::TaperRate,
            _ => return Err(bad("the unit belongs in the header")),
        };
        if !plain {
            return Err(bad(
                "a rate such as 1:20 belongs in a column shaft.taper or hub.taper",
            ));
        }
        let with_unit = match self.unit.as_str() {
            "" => typed,
            unit => Quantity::parse(&format!("{cell} {unit}"))
                .map_err(|_| bad("numbers from 1e-300 to 1e300 can be carried"))?,
        };
        if !with_unit.is_real() {
            return Err(Wrong {
                id: &id::PARTS_RANGE,
                found: quoted(cell),
                expected: REAL.to_owned(),
                hint: "check the unit of the column and the exponent".to_owned(),
            });
        }
        let value = self.scale.absolute(with_unit);
        self.check(cell, value).map(|()| value)
    }

    /// Refuses what no part can have.
    fn check(&self, cell: &str, value: f64) -> Result<(), Wrong> {
        let out = |expected: &str| {
            Err(Wrong {
                id: &id::PARTS_RANGE,
                found: quoted(cell),
                expected: expected.to_owned(),
                hint: String::new(),
            })
        };
        match self.role {
            Role::Value(Input::MaleHalfAngle | Input::FemaleHalfAngle)
                if value <= 0.0 || value >= std::f64::consts::FRAC_PI_4 =>
            {
                out(
                    "an included angle above 0 and below 90 deg (half-angle below 45 deg, rate below 2)",
                )
            }
            Role::Value(Input::MalePlane | Input::FemalePlane) => Ok(()),
            Role::Value(Input::Friction) if value >= 1.0 => out("a friction coefficient below 1"),
            Role::Value(_) if value <= 0.0 => out("a value above 0"),
            _ => Ok(()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_input_has_a_column() {
        for input in Input::ALL {
            assert!(PATHS.iter().any(|(_, i, _)| *i == input), "{input:?}");
        }
    }

    #[test]
    fn a_unit_is_needed_where_one_is_due_and_refused_where_none_is() {
        assert!(read("shaft.gauge_diameter [mm]").is_ok());
        assert!(read("contact.friction").is_ok() && read("hub.taper").is_ok());
        for cell in [
            "shaft.gauge_diameter",
            "shaft.gauge_diameter [deg]",
            "shaft.gauge_diameter [mm",
            "contact.friction [mm]",
            "hub.taper [deg]",
        ] {
            assert!(read(cell).is_err(), "{cell}");
        }
        let wrong = read("shaft.gage_diameter [mm]").unwrap_err();
        assert_eq!(wrong.hint, "did you mean shaft.gauge_diameter?");
    }

    #[test]
    fn cells_that_are_not_plain_numbers_are_refused() {
        let column = read("spacer.thickness [mm]").unwrap();
        assert_eq!(column.value("6.01").unwrap(), 6.01);
        for cell in [
            "",
            "6,01",
            "6 mm",
            "NaN",
            "inf",
            "1e400",
            "1:20",
            "#N/A",
            "=6+0",
            "\u{2212}6",
            "-6",
            "0",
            "1'234.5",
        ] {
            assert!(column.value(cell).is_err(), "{cell}");
        }
    }
}
