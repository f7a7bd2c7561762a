//! Reads the class of a size, ISO 286: `class = "h6"`.

use crate::problem::escape::quoted;
use crate::problem::id;
use crate::scenario::characteristic::Spec;
use crate::scenario::drawn::Named;
use crate::scenario::scale::Scale;
use crate::scenario::walk::Section;
use crate::tolerance::{self, ClassError};

/// What is expected of a class.
const EXPECTED: &str = "a class of ISO 286, grades 5 to 11: d e f g h js k m n p r s for shafts, D E F G H JS for holes, \
                        for example \"h6\"";

/// Reads `class`.
pub(crate) fn read(table: &Section<'_, '_>, spec: &Spec, nominal: Option<f64>) -> Named {
    if !table.has("class") {
        return Named::Absent;
    }
    let before = table.walk.count();
    let text = table.text("class").map(str::trim);
    if !is_size(spec) {
        let hint = if spec.scale.is_angle() {
            "the angle of a cone takes a grade, AT1 to AT12"
        } else {
            "classes are for sizes: diameters, thicknesses, widths"
        };
        let found = format!("class on {}", spec.words);
        let expected = "limits by deviations, or by min and max";
        table.bad(&id::CONTRADICTION, "class", &found, expected, hint);
    }
    let (Some(class), Some(nominal)) = (text, nominal) else {
        return Named::Refused;
    };
    if table.walk.count() > before {
        return Named::Refused;
    }
    let (lower, upper) = match tolerance::limits(class, nominal) {
        Ok(deviations) => deviations,
        Err(error) => {
            refuse(table, class, &error);
            return Named::Refused;
        }
    };
    match wrong_part(spec, class) {
        Some((found, expected, hint)) => {
            let found = format!("the class {} {found}", quoted(class));
            table.bad(&id::CONTRADICTION, "class", &found, expected, hint);
            Named::Refused
        }
        None => Named::Given(class.to_owned(), nominal + lower, nominal + upper),
    }
}

/// Whether a characteristic is the size of a part.
fn is_size(spec: &Spec) -> bool {
    spec.scale == Scale::Length && spec.positive
}

/// What is wrong with a class of holes on the outside of a part, or the other way round: found, expected, hint. Either serves
/// for a thickness, which sits in nothing and around nothing.
fn wrong_part(spec: &Spec, class: &str) -> Option<(&'static str, &'static str, &'static str)> {
    let hole = tolerance::is_hole(class);
    let on = |part| spec.path.starts_with(part);
    if on("shaft.") && hole {
        return Some((
            "of a hole on the shaft",
            "a class of shafts, in small letters, for example \"h7\"",
            "capital letters are for bores and spaces",
        ));
    }
    if on("hub.") && !hole {
        return Some((
            "of a shaft on the hub",
            "a class of holes, in capital letters, for example \"H7\"",
            "small letters are for shafts and teeth",
        ));
    }
    None
}

fn refuse(table: &Section<'_, '_>, class: &str, error: &ClassError) {
    let hint = error.hint();
    match error {
        ClassError::Size { reach_mm, .. } => {
            let found = format!("{}: {error}", quoted(class));
            let expected = format!("a nominal above 0, to {reach_mm} mm, with this class");
            table.bad(&id::RANGE, "class", &found, &expected, &hint);
        }
        ClassError::Form { .. } => {
            table.bad(&id::WORD, "class", &quoted(class), EXPECTED, &hint);
        }
        ClassError::Letter { .. } | ClassError::Grade { .. } => {
            let found = format!("{}: {error}", quoted(class));
            table.bad(&id::WORD, "class", &found, EXPECTED, &hint);
        }
    }
}
