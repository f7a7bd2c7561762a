//! Columns with the errors of single teeth: `shaft.index_error.3`, `hub.profile_error.3+`.
//!
//! An index error `i` closes one flank of its tooth and opens the other, a profile error `p` belongs to one flank:
//! `e+ = p+ + i`, `e- = p- - i` for each part, and the errors of shaft and hub add up. All are normal to the flank,
//! positive where it touches later (mm).

use fit::ToothErrors;

use super::known::Known;

/// Kinds of error, as they stand in a path.
const INDEX: &str = "index_error";
const PROFILE: &str = "profile_error";

/// One error of one tooth of one part.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct ToothError {
    /// `shaft` or `hub`.
    part: &'static str,
    /// Counted from 1.
    tooth: usize,
    kind: Kind,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Index,
    Plus,
    Minus,
}

/// Why a column is not the error of a tooth that the scenario has.
pub(super) struct NoTooth {
    /// The columns that would be.
    pub(super) expected: String,
    /// What to do.
    pub(super) hint: &'static str,
}

/// Reads the path of a tooth's error; `None` when it is about something else.
pub(super) fn read(path: &str, known: &Known) -> Option<Result<ToothError, NoTooth>> {
    let (part, kind, rest) = split(path)?;
    let (number, kind) = match kind {
        INDEX => (Some(rest), Kind::Index),
        _ => match rest.strip_suffix('+') {
            Some(number) => (Some(number), Kind::Plus),
            None => (rest.strip_suffix('-'), Kind::Minus),
        },
    };
    let number = number
        .and_then(|text| text.strip_prefix('.'))
        .filter(|text| text.bytes().all(|b| b.is_ascii_digit()))
        .and_then(|text| text.parse::<usize>().ok());
    Some(match number {
        Some(tooth) if (1..=known.teeth).contains(&tooth) => Ok(ToothError { part, tooth, kind }),
        _ => Err(NoTooth {
            expected: expected(part, kind, known.teeth),
            hint: if known.teeth == 0 {
                "leave the column out"
            } else {
                "teeth are counted from 1"
            },
        }),
    })
}

/// Part, kind, and what follows the kind.
fn split(path: &str) -> Option<(&'static str, &'static str, &str)> {
    let parts = ["shaft", "hub"].into_iter();
    let mut pairs = parts.flat_map(|part| [INDEX, PROFILE].map(|kind| (part, kind)));
    pairs.find_map(|(part, kind)| {
        let rest = path.strip_prefix(part)?.strip_prefix('.')?;
        Some((part, kind, rest.strip_prefix(kind)?))
    })
}

fn expected(part: &str, kind: Kind, teeth: usize) -> String {
    match (teeth, kind) {
        (0, _) => "no errors of teeth: the hub seats on a cone".to_owned(),
        (_, Kind::Index) => format!("{part}.{INDEX}.1 to {part}.{INDEX}.{teeth}"),
        _ => format!(
            "{part}.{PROFILE}.1+ and {part}.{PROFILE}.1- to {part}.{PROFILE}.{teeth}+ and {part}.{PROFILE}.{teeth}-"
        ),
    }
}

impl ToothError {
    /// Its path.
    pub(crate) fn path(self) -> String {
        let ToothError { part, tooth, kind } = self;
        match kind {
            Kind::Index => format!("{part}.{INDEX}.{tooth}"),
            Kind::Plus => format!("{part}.{PROFILE}.{tooth}+"),
            Kind::Minus => format!("{part}.{PROFILE}.{tooth}-"),
        }
    }

    /// Adds the error to those of the flanks (mm).
    pub(crate) fn add(self, error: f64, flanks: &mut ToothErrors) {
        if flanks.0.len() < self.tooth {
            flanks.0.resize(self.tooth, (0.0, 0.0));
        }
        let (plus, minus) = &mut flanks.0[self.tooth - 1];
        match self.kind {
            Kind::Index => {
                *plus += error;
                *minus -= error;
            }
            Kind::Plus => *plus += error,
            Kind::Minus => *minus += error,
        }
    }
}
