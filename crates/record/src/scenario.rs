//! The scenario inside a record: enough to run it again and to say what it was about.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

/// The scenario as it was read.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Scenario {
    /// Name of the scenario: its file name without folder and ending.
    pub name: String,
    /// The text of the file, byte for byte.
    pub text: String,
    /// What the command line changed, in the order given.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub overrides: Vec<Override>,
}

/// One value that the command line changed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Override {
    /// Dotted path of the key.
    pub path: String,
    /// The value as it would stand in the file.
    pub value: String,
}

/// What the scenario is about: free text from its head.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Subject {
    /// Title.
    pub title: String,
    /// Drawing numbers by part.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub drawings: BTreeMap<String, String>,
    /// Supplier.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub supplier: Option<String>,
    /// Lot.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lot: Option<String>,
    /// Notes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub notes: Option<String>,
}
