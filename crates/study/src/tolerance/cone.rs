//! Grades of cone angles, AT1 to AT12: how far the included angle may stray.
//!
//! Source: ISO 1947:1973, withdrawn and taken over in national standards; recalled. The table holds the angle itself, of the
//! included cone; over a cone of length `L` it moves the diameter by `AT_D = AT * L`. The standard counts `L` along the axis.

use crate::tolerance::{cell, reach};

const ANGLES: &str = include_str!("cone_angles.csv");

/// Shortest cone of the table (mm), which it includes.
const SHORTEST: f64 = 6.0;

/// Why a grade has no angle here.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum GradeError {
    /// Not a grade of the table.
    #[error("no grade of cone angles")]
    Form,
    /// A length beyond the table.
    #[error("a cone of {length_mm} mm, beyond the table of grades")]
    Length {
        /// Length along the axis (mm).
        length_mm: f64,
    },
}

impl GradeError {
    /// Shortest and longest cone of the table (mm).
    pub fn reach() -> (f64, f64) {
        (SHORTEST, reach(ANGLES))
    }
}

/// Tolerance of the included angle (rad) of a grade such as `AT6`, for a cone of this length along its axis (mm).
///
/// # Errors
/// A grade or a length without a place in the table: [`GradeError`].
pub fn cone_angle(grade: &str, length_mm: f64) -> Result<f64, GradeError> {
    let known = |line: &str| line.starts_with("AT") && line.split(',').next() == Some(grade);
    if !ANGLES.lines().any(known) {
        return Err(GradeError::Form);
    }
    // The first range is closed on both sides: a cone of exactly the shortest length belongs to it.
    let inside = if length_mm == SHORTEST {
        length_mm + f64::EPSILON * SHORTEST
    } else {
        length_mm
    };
    let microradian = cell(ANGLES, grade, inside).ok_or(GradeError::Length { length_mm })?;
    Ok(microradian * 1e-6)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_and_grades_outside_the_table_are_refused() {
        assert_eq!(cone_angle("AT13", 50.0), Err(GradeError::Form));
        for bad in ["at6", "6", "", "grade", "AT", "AT 6"] {
            assert_eq!(cone_angle(bad, 50.0), Err(GradeError::Form), "{bad}");
        }
        assert_eq!(cone_angle("AT6", 6.0), cone_angle("AT6", 10.0));
        assert!(cone_angle("AT6", 5.99).is_err() && cone_angle("AT6", 630.01).is_err());
        assert!(cone_angle("AT6", f64::NAN).is_err());
        assert_eq!(GradeError::reach(), (6.0, 630.0));
    }
}
