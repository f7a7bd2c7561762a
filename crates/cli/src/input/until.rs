//! The rule that ends a run, as typed: `half-width 50 ppm`.

use std::str::FromStr;

use study::typed::{NotTyped, until};

/// A rule.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Until {
    /// As it would stand in a scenario.
    pub stated: String,
}

impl FromStr for Until {
    type Err = NotTyped;

    fn from_str(word: &str) -> Result<Until, NotTyped> {
        Ok(Until {
            stated: until(word)?,
        })
    }
}
