//! A scenario that was read, with everything needed to run it again.

use std::path::Path;

use record::Override;

use crate::problem::Problems;
use crate::scenario::Scenario;

/// A scenario that was read: the checked values, the text they came from, and its hash.
#[derive(Debug, Clone)]
pub struct Loaded {
    /// The checked scenario.
    pub scenario: Scenario,
    /// Name: file name without folder and ending.
    pub name: String,
    /// The text, byte for byte.
    pub text: String,
    /// What was overridden, in order.
    pub overrides: Vec<Override>,
    /// SHA-256 (hex) of the canonical scenario after overrides.
    pub hash: String,
}

impl Loaded {
    /// Reads a scenario from a file.
    ///
    /// # Errors
    /// All [`Problems`] at once; their `exit_code` says of which kind they are.
    pub fn from_file(path: &Path, overrides: &[Override]) -> Result<Loaded, Problems> {
        let _ = (path, overrides);
        todo!()
    }

    /// Reads a scenario from its text; `file` is the name to show in messages.
    ///
    /// # Errors
    /// All [`Problems`] at once.
    pub fn from_text(
        file: &str,
        name: &str,
        text: &str,
        overrides: &[Override],
    ) -> Result<Loaded, Problems> {
        let _ = (file, name, text, overrides);
        todo!()
    }
}
impl Loaded {
    pub fn impossible(&self, _r: &str) -> Problems {
        Problems {
            list: Vec::new(),
            exit_code: 3,
        }
    }
}
