//! A scenario that was read, with everything needed to run it again.

use std::path::Path;

use record::{Override, Record};

use crate::plan::Plan;
use crate::problem::{Problem, Problems, id};
use crate::scenario::{LotSource, Scenario, read, source};

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
        let folder = path.parent().map(Path::to_path_buf).unwrap_or_default();
        Loaded::new(
            &path.to_string_lossy(),
            &name.unwrap_or_default(),
            &text,
            overrides,
            &LotSource::Folder(folder),
        )
    }

    /// The scenario of a record, with the readings that the record carries: no other file is needed.
    ///
    /// # Errors
    /// All [`Problems`] at once.
    pub fn from_record(record: &Record) -> Result<Loaded, Problems> {
        let source = &record.scenario;
        Loaded::new(
            "the record's scenario",
            &source.name,
            &source.text,
            &source.overrides,
            &LotSource::Record(&record.readings),
        )
    }

    /// Reads a scenario without lots from its text; `file` is the name to show in messages.
    ///
    /// # Errors
    /// All [`Problems`] at once.
    pub fn from_text(
        file: &str,
        name: &str,
        text: &str,
        overrides: &[Override],
    ) -> Result<Loaded, Problems> {
        Loaded::new(file, name, text, overrides, &LotSource::Nowhere)
    }

    fn new(
        file: &str,
        name: &str,
        text: &str,
        overrides: &[Override],
        lots: &LotSource<'_>,
    ) -> Result<Loaded, Problems> {
        let read = read::read(file, text, overrides, lots)?;
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
