//! A scenario that was read, with everything needed to run it again.

use std::path::Path;

use record::Override;

use crate::plan::Plan;
use crate::problem::{Problem, Problems, id};
use crate::scenario::{Scenario, read, source};

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
        let text = source::read(path, &source::SCENARIO)?;
        let name = path
            .file_stem()
            .map(|stem| stem.to_string_lossy().into_owned());
        Loaded::from_text(
            &path.to_string_lossy(),
            &name.unwrap_or_default(),
            &text,
            overrides,
        )
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
        let read = read::read(file, text, overrides)?;
        Plan::new(&read.scenario).map_err(|reason| impossible(file, &reason))?;
        Ok(Loaded {
            scenario: read.scenario,
            name: name.to_owned(),
            text: text.to_owned(),
            overrides: overrides.to_vec(),
            hash: read.hash,
        })
    }

    /// The problem that the sizes as a whole contradict each other.
    pub(crate) fn impossible(&self, reason: &str) -> Problems {
        impossible(&format!("{}.toml", self.name), reason)
    }
}

fn impossible(file: &str, reason: &str) -> Problems {
    let found = format!("sizes that make no joint: {reason}");
    Problem::new(
        &id::GEOMETRY,
        file,
        "",
        &found,
        "sizes that agree with each other",
    )
    .into()
}
