//! Reads the grade of a cone's angle: `grade = "AT6"`, and the side of the nominal on which it lies.

use crate::problem::escape::quoted;
use crate::problem::id;
use crate::scenario::characteristic::Spec;
use crate::scenario::drawn::Named;
use crate::scenario::process::word;
use crate::scenario::scale::short;
use crate::scenario::walk::Section;
use crate::tolerance::{self, GradeError};

/// The sides of the nominal; both where none is stated.
const SIDES: [&str; 2] = ["+", "-"];

/// The angles of cones.
const OF_CONES: [&str; 2] = ["shaft.half_angle", "hub.half_angle"];

/// Reads `grade` and `side`. A grade is a width of the included angle `AT`: the half-angle has half of it, from
/// `-AT/4` to `+AT/4` about the nominal, or from 0 to `AT/2` on one side. `flank` is the length of the cone along its axis (mm).
pub(crate) fn read(
    table: &Section<'_, '_>,
    spec: &Spec,
    nominal: Option<f64>,
    flank: Option<f64>,
) -> Named {
    let before = table.walk.count();
    let side = word(table, "side", &SIDES);
    if !table.has("grade") {
        return without_grade(table);
    }
    let grade = table.text("grade").map(str::trim);
    if !OF_CONES.contains(&spec.path) {
        let hint = if spec.scale.is_angle() {
            "the grades are those of cones"
        } else {
            "a size takes a class, for example \"h6\""
        };
        let found = format!("grade on {}", spec.words);
        let expected = "limits by deviations, or by min and max";
        table.bad(&id::CONTRADICTION, "grade", &found, expected, hint);
    }
    let (Some(grade), Some(nominal), Some(flank)) = (grade, nominal, flank) else {
        return Named::Refused;
    };
    if table.walk.count() > before {
        return Named::Refused;
    }
    match tolerance::cone_angle(grade, flank) {
        Ok(angle) => {
            let (lower, upper) = match side {
                Some("+") => (0.0, 0.5 * angle),
                Some(_) => (-0.5 * angle, 0.0),
                None => (-0.25 * angle, 0.25 * angle),
            };
            Named::Given(grade.to_owned(), nominal + lower, nominal + upper)
        }
        Err(error) => {
            refuse(table, grade, &error);
            Named::Refused
        }
    }
}

fn without_grade(table: &Section<'_, '_>) -> Named {
    if !table.has("side") {
        return Named::Absent;
    }
    table.bad(
        &id::CONTRADICTION,
        "side",
        "side without grade",
        "grade beside it",
        "it says on which side of the nominal a grade lies",
    );
    Named::Refused
}

fn refuse(table: &Section<'_, '_>, grade: &str, error: &GradeError) {
    match error {
        GradeError::Form => {
            let joined = grade.chars().filter(|c| !c.is_whitespace());
            let folded = joined.collect::<String>().to_uppercase();
            let (_, longest) = GradeError::reach();
            let hint = match tolerance::cone_angle(&folded, longest) {
                Ok(_) => format!("did you mean {folded}?"),
                Err(_) => "state the limits by deviations".to_owned(),
            };
            let expected = "a grade of cone angles, AT1 to AT12";
            table.bad(&id::WORD, "grade", &quoted(grade), expected, &hint);
        }
        GradeError::Length { length_mm } => {
            let (shortest, longest) = GradeError::reach();
            let length = short(*length_mm);
            let found = format!("{} on a cone of {length} mm along the axis", quoted(grade));
            let expected = format!("a flank from {shortest} to {longest} mm with a grade");
            let hint = "state the limits by deviations";
            table.bad(&id::RANGE, "grade", &found, &expected, hint);
        }
    }
}
