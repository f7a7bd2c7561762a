//! Stated pairings, solved without randomness by the same equations.

use std::collections::BTreeMap;
use std::path::Path;

use crate::loaded::Loaded;
use crate::problem::Problems;

/// Which sizes a pairing has where nothing else is stated.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum At {
    /// Nominal sizes.
    #[default]
    Nominal,
    /// The middle of the drawing limits; nominal where there are none.
    Middle,
}

/// What to solve.
#[derive(Debug, Clone, Default)]
pub struct PairOptions<'a> {
    /// Sizes where nothing else is stated.
    pub at: At,
    /// A CSV file of measured parts; each row is one pairing.
    pub parts: Option<&'a Path>,
}

/// One solved pairing.
#[derive(Debug, Clone, PartialEq)]
pub struct Pair {
    /// Row in the file of parts, counted from 1; 0 for the scenario's own pairing.
    pub row: usize,
    /// The characteristics that went in: dotted path, value, unit.
    pub inputs: Vec<(String, f64, &'static str)>,
    /// Outputs that are defined, by key with unit, in the order of the outputs.
    pub outputs: Vec<(&'static str, f64)>,
    /// Why an output is left out, by key.
    pub absent: BTreeMap<&'static str, &'static str>,
    /// The verdict's key.
    pub verdict: &'static str,
    /// Every broken limit, by name as in a record's `broken_limits`.
    pub broken: Vec<String>,
}

/// Solves the stated pairings.
///
/// # Errors
/// [`Problems`] of the parts file.
pub fn pair(loaded: &Loaded, options: &PairOptions<'_>) -> Result<Vec<Pair>, Problems> {
    let _ = (loaded, options);
    todo!()
}
