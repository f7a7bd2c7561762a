//! The columns of a file of parts: which characteristic, in which unit, and how a cell becomes a value.

use fit::Input;

use super::known::Known;
use super::tooth::{self, ToothError};
use crate::problem::escape::{named, quoted};
use crate::problem::id::{self, Id};
use crate::scenario::quantity::{Measure, Quantity, QuantityError};
use crate::scenario::scale::{Scale, short};
use crate::scenario::value::REAL;
use crate::scenario::walk::nearest;

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Role {
    /// The name of a pairing.
    Name,
    /// A characteristic.
    Value(Input),
    /// The error of one tooth.
    Tooth(ToothError),
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
    /// Largest error of a tooth (mm).
    most_mm: f64,
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
pub(super) fn read(cell: &str, known: &Known) -> Result<Column, Wrong> {
    let (name, unit) = match cell.split_once('[') {
        Some((name, rest)) => (
            name.trim(),
            rest.trim_end().strip_suffix(']').map(str::trim),
        ),
        None => (cell.trim(), Some("")),
    };
    let Some(unit) = unit else {
        return Err(wrong(
            quoted(cell),
            "a closing bracket after the unit",
            String::new(),
        ));
    };
    let column = |(role, scale)| Column {
        name: name.to_owned(),
        role,
        scale,
        unit: unit.to_owned(),
        most_mm: 0.1 * known.tooth_mm,
    };
    if name == "name" && unit.is_empty() {
        return Ok(column((Role::Name, Scale::Ratio)));
    }
    let column = column(subject(name, known)?);
    column.check_unit()?;
    Ok(column)
}

/// What a column is about, and how it is typed.
fn subject(name: &str, known: &Known) -> Result<(Role, Scale), Wrong> {
    if let Some(read) = tooth::read(name, known) {
        return match read {
            Ok(tooth) => Ok((Role::Tooth(tooth), Scale::Length)),
            Err(error) => Err(Wrong {
                id: &id::PARTS_NOT_STATED,
                ..wrong(
                    format!("{}, a tooth that the scenario does not have", quoted(name)),
                    &error.expected,
                    error.hint.to_owned(),
                )
            }),
        };
    }
    let of_scenario = || {
        let has = PATHS.iter().filter(|(p, i, s)| known.has(p, *i, *s));
        has.map(|(path, ..)| *path).collect::<Vec<_>>()
    };
    let Some(&(path, input, scale)) = PATHS.iter().find(|(path, ..)| *path == name) else {
        let paths = of_scenario();
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
    if known.has(path, input, scale) {
        return Ok((Role::Value(input), scale));
    }
    Err(Wrong {
        id: &id::PARTS_NOT_STATED,
        ..wrong(
            format!("{}, which the scenario does not have", quoted(name)),
            &format!("name, {}", of_scenario().join(", ")),
            known.instead(path, input),
        )
    })
}

fn wrong(found: String, expected: &str, hint: String) -> Wrong {
    Wrong {
        id: &id::PARTS_COLUMN,
        found,
        expected: expected.to_owned(),
        hint,
    }
}

impl Column {
    /// Whether the unit suits what the column is about.
    fn check_unit(&self) -> Result<(), Wrong> {
        let (path, measures) = (&self.name, self.scale.absolute_measures());
        let usual = measures[0].usual();
        match (usual, self.unit.as_str()) {
            ("", "") => Ok(()),
            ("", unit) => Err(wrong(
                format!("the unit {}", quoted(unit)),
                "no unit: this is a plain ratio",
                format!("write {path}"),
            )),
            (usual, "") => Err(wrong(
                "no unit".to_owned(),
                &format!("a unit in brackets: {}", measures[0].units()),
                format!("write {path} [{usual}] if {usual} is meant"),
            )),
            (usual, unit) => match Quantity::parse(&format!("1 {unit}")) {
                Ok(one) if measures.contains(&one.measure) => Ok(()),
                _ => Err(wrong(
                    format!("the unit {}", quoted(unit)),
                    &format!("one of {}", measures[0].units()),
                    format!("for example {path} [{usual}]"),
                )),
            },
        }
    }

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
            Role::Value(Input::FaceSettling | Input::BoltSettling) if value >= 0.0 => Ok(()),
            Role::Value(_) if value <= 0.0 => out("a value above 0"),
            Role::Tooth(_) if value.abs() > self.most_mm => out(&format!(
                "an error of at most a tenth of the tooth, {} mm",
                short(self.most_mm)
            )),
            _ => Ok(()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::tests::{by_friction, cone, spline};

    fn read(cell: &str) -> Result<Column, Wrong> {
        super::read(cell, &cone())
    }

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
    #[test]
    fn what_the_scenario_does_not_have_is_refused_and_its_own_is_named() {
        let (cone, spline, by_friction) = (cone(), spline(), by_friction());
        for (cell, known, hint) in [
            ("shaft.tooth_thickness [mm]", &cone, "shaft.gauge_diameter"),
            ("teeth.flank_half_angle [deg]", &cone, "shaft.half_angle"),
            ("bolt.thread_friction", &cone, "bolt.nut_factor"),
            (
                "bolt.nut_factor",
                &by_friction,
                "bolt.thread_friction and bolt.head_friction",
            ),
            (
                "contact.face_friction",
                &cone,
                "state contact.face_friction",
            ),
            ("bolt.settling [um]", &cone, "state bolt.settling"),
            (
                "shaft.gauge_diameter [mm]",
                &spline,
                "shaft.tooth_thickness",
            ),
            ("hub.gauge_diameter [mm]", &spline, "hub.space_width"),
            ("shaft.taper", &spline, "teeth.flank_half_angle"),
            ("hub.cone_angle [deg]", &spline, "teeth.flank_half_angle"),
        ] {
            let wrong = super::read(cell, known).unwrap_err();
            assert_eq!(wrong.id.name, "parts-021", "{cell}: {wrong:?}");
            assert!(wrong.hint.contains(hint), "{cell}: {wrong:?}");
        }
        for cell in [
            "shaft.taper",
            "shaft.cone_angle [deg]",
            "hub.half_angle [deg]",
        ] {
            assert!(super::read(cell, &cone).is_ok(), "{cell}");
        }
        for cell in ["hub.space_width [mm]", "teeth.flank_half_angle [deg]"] {
            assert!(super::read(cell, &spline).is_ok(), "{cell}");
        }
    }

    #[test]
    fn errors_of_teeth_are_counted_from_one_to_the_number_of_teeth() {
        let spline = spline();
        let last = spline.teeth;
        for cell in [
            "shaft.index_error.1 [um]".to_owned(),
            format!("hub.index_error.{last} [mm]"),
            format!("hub.profile_error.{last}+ [um]"),
            "shaft.profile_error.2- [um]".to_owned(),
        ] {
            let column = super::read(&cell, &spline).unwrap();
            assert!(column.value("-0.35").is_ok(), "{cell}");
            let slip = column.value("521").unwrap_err();
            assert_eq!(slip.id.name, "parts-014", "a tenth of 5.2 mm is 520 um");
            let Role::Tooth(tooth) = column.role else {
                panic!("{cell}: {column:?}");
            };
            assert!(cell.starts_with(&format!("{} [", tooth.path())), "{cell}");
        }
        for cell in [
            "shaft.index_error [um]".to_owned(),
            "shaft.index_error.0 [um]".to_owned(),
            format!("hub.index_error.{} [um]", last + 1),
            "hub.index_error.1+ [um]".to_owned(),
            "hub.profile_error.1 [um]".to_owned(),
            "shaft.index_error.+1 [um]".to_owned(),
        ] {
            let wrong = super::read(&cell, &spline).unwrap_err();
            assert_eq!(wrong.id.name, "parts-021", "{cell}");
            assert!(wrong.expected.contains(&format!("{last}")), "{wrong:?}");
        }
        let on_cone = read("shaft.index_error.1 [um]").unwrap_err();
        assert!(on_cone.expected.contains("cone"), "{on_cone:?}");
        assert!(
            super::read("shaft.index_error.1", &spline).is_err(),
            "a unit is due"
        );
    }
}
