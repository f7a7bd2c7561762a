//! Classes of ISO 286: a letter for where the tolerance lies, a grade for how wide it is.
//!
//! With the standard tolerance `IT` of grade and size, and the fundamental deviation of letter and size:
//! shafts d to g reach from `es - IT` to `es`, shafts k to s from `ei` to `ei + IT`, h from `-IT` to 0, js from `-IT/2` to
//! `+IT/2` (exactly half, also where IT is odd). Holes D to G have `EI = -es` of the shaft of the same letter; H and JS mirror
//! h and js. Source: ISO 286-1.

use crate::tolerance::{cell, reach};

const GRADES: &str = include_str!("it_grades.csv");
const DEVIATIONS: &str = include_str!("shaft_deviations.csv");

/// Letters of shafts, from loose to tight.
const SHAFTS: [&str; 12] = ["d", "e", "f", "g", "h", "js", "k", "m", "n", "p", "r", "s"];

/// Letters of holes, from loose to tight.
const HOLES: [&str; 6] = ["D", "E", "F", "G", "H", "JS"];

/// Finest and coarsest grade.
const FINEST: u32 = 5;
const COARSEST: u32 = 11;

/// Coarsest grade with which k has a deviation other than 0.
const COARSEST_OF_K: u32 = 7;

/// Why a class has no limits here.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ClassError {
    /// Not a letter and a grade.
    #[error("no letter with a grade behind it")]
    Form {
        /// The class that is meant, as far as that can be told.
        meant: Option<String>,
    },
    /// A letter without a table.
    #[error("the letter {letter}, which has no table here")]
    Letter {
        /// The letter.
        letter: String,
        /// The letters nearest to it that have one.
        nearest: Vec<&'static str>,
    },
    /// A grade without a table.
    #[error("the grade {grade}, which has no table here")]
    Grade {
        /// The grade.
        grade: u32,
        /// The nearest grade that has one.
        nearest: u32,
    },
    /// A size beyond the table.
    #[error("a nominal of {nominal_mm} mm, where {letter} has no table")]
    Size {
        /// The nominal (mm).
        nominal_mm: f64,
        /// The letter.
        letter: &'static str,
        /// Largest nominal of the letter's table (mm).
        reach_mm: f64,
    },
}

impl ClassError {
    /// What to write instead.
    pub fn hint(&self) -> String {
        match self {
            Self::Form { meant: Some(class) } => format!("did you mean {class}?"),
            Self::Form { meant: None } => "state the limits by deviations".to_owned(),
            Self::Letter { nearest, .. } => format!(
                "nearest is {}; or state the limits by deviations",
                nearest.join(" or ")
            ),
            Self::Grade { nearest, .. } => {
                format!("nearest is grade {nearest}; or state the limits by deviations")
            }
            Self::Size { reach_mm, .. } if *reach_mm < reach(GRADES) => format!(
                "its table ends at {reach_mm} mm, that of h, js, H and JS at {} mm; state the limits by deviations",
                reach(GRADES)
            ),
            Self::Size { reach_mm, .. } => {
                format!("the tables end at {reach_mm} mm; state the limits by deviations")
            }
        }
    }
}

/// A class with tables.
#[derive(Debug, Clone, Copy)]
struct Class {
    letter: &'static str,
    grade: u32,
}

/// Lower and upper deviation from the nominal (mm) of a class such as `H7` or `js6`.
///
/// # Errors
/// A class or a size without a table: [`ClassError`].
pub fn limits(class: &str, nominal_mm: f64) -> Result<(f64, f64), ClassError> {
    Class::parse(class)?.limits(nominal_mm)
}

/// Whether a class is one of holes: capital letters.
pub fn is_hole(class: &str) -> bool {
    class.starts_with(|c: char| c.is_ascii_uppercase())
}

/// The classes, of holes or of shafts, whose limits hold all sizes from `low_mm` to `high_mm`.
pub fn agreeing(nominal_mm: f64, low_mm: f64, high_mm: f64, hole: bool) -> Vec<String> {
    let letters: &[&'static str] = if hole { &HOLES } else { &SHAFTS };
    let classes = letters
        .iter()
        .flat_map(|letter| (FINEST..=COARSEST).map(|grade| Class { letter, grade }));
    let holds = |class: &Class| {
        class.limits(nominal_mm).is_ok_and(|(lower, upper)| {
            low_mm - nominal_mm >= lower - READING && high_mm - nominal_mm <= upper + READING
        })
    };
    let names = classes.filter(holds);
    names
        .map(|class| format!("{}{}", class.letter, class.grade))
        .collect()
}

/// Rounding of a reading that lies on a limit (mm).
const READING: f64 = 1e-9;

impl Class {
    fn parse(class: &str) -> Result<Class, ClassError> {
        let digits = class.find(|c: char| c.is_ascii_digit());
        let (letter, grade) = class.split_at(digits.unwrap_or(class.len()));
        let grade = grade.parse::<u32>().ok();
        let plain = !letter.is_empty() && letter.bytes().all(|b| b.is_ascii_alphabetic());
        let Some(grade) = grade.filter(|_| plain && same_case(letter)) else {
            return Err(ClassError::Form {
                meant: meant(class),
            });
        };
        let mut letters = SHAFTS.iter().chain(&HOLES);
        let Some(letter) = letters.find(|known| **known == letter) else {
            return Err(ClassError::Letter {
                letter: letter.chars().take(4).collect(),
                nearest: nearest(letter),
            });
        };
        if !(FINEST..=COARSEST).contains(&grade) {
            return Err(ClassError::Grade {
                grade,
                nearest: grade.clamp(FINEST, COARSEST),
            });
        }
        Ok(Class { letter, grade })
    }

    fn limits(self, nominal_mm: f64) -> Result<(f64, f64), ClassError> {
        let beyond = |table| ClassError::Size {
            nominal_mm,
            letter: self.letter,
            reach_mm: reach(table),
        };
        let grade = self.grade.to_string();
        let it = cell(GRADES, &grade, nominal_mm).ok_or_else(|| beyond(GRADES))?;
        let deviation =
            |letter: &str| cell(DEVIATIONS, letter, nominal_mm).ok_or_else(|| beyond(DEVIATIONS));
        let (lower, upper) = match self.letter {
            "h" => (-it, 0.0),
            "H" => (0.0, it),
            "js" | "JS" => (-0.5 * it, 0.5 * it),
            "d" | "e" | "f" | "g" => {
                let es = deviation(self.letter)?;
                (es - it, es)
            }
            "D" | "E" | "F" | "G" => {
                let ei = -deviation(&self.letter.to_lowercase())?;
                (ei, ei + it)
            }
            "k" if self.grade > COARSEST_OF_K => {
                deviation("k")?;
                (0.0, it)
            }
            _ => {
                let ei = deviation(self.letter)?;
                (ei, ei + it)
            }
        };
        Ok((lower / 1000.0, upper / 1000.0))
    }
}

/// Whether all letters are capital, or all small.
fn same_case(letter: &str) -> bool {
    let capital = |b: u8| b.is_ascii_uppercase();
    letter.bytes().all(capital) || !letter.bytes().any(capital)
}

/// The class that is meant by a text with blanks, or with letters of both kinds.
fn meant(class: &str) -> Option<String> {
    if class.len() > 16 {
        return None;
    }
    let mut joined: String = class.chars().filter(|c| !c.is_whitespace()).collect();
    joined = joined.strip_prefix('/').unwrap_or(&joined).to_owned();
    let letters = joined.trim_end_matches(|c: char| c.is_ascii_digit());
    if !same_case(letters) {
        joined = joined.to_lowercase();
    }
    (joined != class && Class::parse(&joined).is_ok()).then_some(joined)
}

/// The letters with tables before and behind another in the alphabet.
fn nearest(letter: &str) -> Vec<&'static str> {
    let known: &[&'static str] = if is_hole(letter) { &HOLES } else { &SHAFTS };
    let before = known.iter().rev().find(|known| **known < letter);
    let behind = known.iter().find(|known| **known > letter);
    before.into_iter().chain(behind).copied().collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_class_has_limits_in_every_range_of_its_tables() {
        let sizes = [1.0, 3.0, 10.0, 14.0, 18.0, 24.0, 50.0, 65.0, 100.0, 120.0];
        for letter in SHAFTS.iter().chain(&HOLES) {
            for grade in FINEST..=COARSEST {
                for size in sizes {
                    let class = format!("{letter}{grade}");
                    let (lower, upper) = limits(&class, size).unwrap_or_else(|e| panic!("{e}"));
                    let it = cell(GRADES, &grade.to_string(), size).unwrap();
                    assert!(
                        (1000.0 * (upper - lower) - it).abs() < 1e-9,
                        "{class} {size}"
                    );
                }
            }
        }
    }

    #[test]
    fn what_has_no_table_is_refused_with_the_nearest_that_has() {
        let hint = |class, size| limits(class, size).map_err(|e| e.hint());
        assert_eq!(
            hint("c11", 20.0),
            Err("nearest is d; or state the limits by deviations".into())
        );
        assert_eq!(
            hint("t6", 20.0),
            Err("nearest is s; or state the limits by deviations".into())
        );
        assert_eq!(
            hint("P7", 20.0),
            Err("nearest is JS; or state the limits by deviations".into())
        );
        assert_eq!(
            hint("j6", 20.0),
            Err("nearest is h or js; or state the limits by deviations".into())
        );
        assert_eq!(
            hint("h12", 20.0),
            Err("nearest is grade 11; or state the limits by deviations".into())
        );
        assert_eq!(hint("h 6", 20.0), Err("did you mean h6?".into()));
        assert_eq!(hint("Js7", 20.0), Err("did you mean js7?".into()));
        for bad in [
            "",
            "7",
            "h",
            "h6.5",
            "hundred",
            "h99999999999",
            "\u{f6}7",
            "h-6",
        ] {
            assert!(
                matches!(limits(bad, 20.0), Err(ClassError::Form { .. })),
                "{bad}"
            );
        }
        assert!(hint("f7", 120.1).is_err() && hint("h7", 500.0).is_ok());
        assert!(
            hint("h7", 500.1).is_err() && hint("h7", -1.0).is_err() && hint("h7", 0.0).is_err()
        );
        assert!(hint("h7", f64::NAN).is_err());
    }

    #[test]
    fn a_reading_on_a_limit_agrees_with_the_class() {
        assert!(agreeing(40.0, 39.925, 39.95, false).contains(&"e7".to_owned()));
        assert!(!agreeing(40.0, 39.9249, 39.95, false).contains(&"e7".to_owned()));
    }
}
