//! What is wrong with an input: where, what was found, what was expected, and a hint.

use std::fmt;

/// One thing that is wrong with an input.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// File as the user named it, escaped for a terminal.
    pub file: String,
    /// Physical line and column, counted from 1, when the problem has a place.
    pub place: Option<(usize, usize)>,
    /// Dotted key or column name; empty when there is none.
    pub key: String,
    /// What was found.
    pub found: String,
    /// What was expected.
    pub expected: String,
    /// What to do about it; empty when there is nothing to add.
    pub hint: String,
    /// Stable id, for example `scenario-012`.
    pub id: &'static str,
}

/// Everything that is wrong with an input, in the order of the file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problems {
    /// The problems; never empty.
    pub list: Vec<Problem>,
    /// The program's exit code for them.
    pub exit_code: u8,
}

impl fmt::Display for Problems {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} problems", self.list.len())
    }
}

impl std::error::Error for Problems {}
