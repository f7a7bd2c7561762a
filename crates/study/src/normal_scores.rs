//! Correlated characteristics as mixed normal scores.

use crate::scenario::Scenario;

/// Characteristics of one part that are correlated.
#[derive(Debug, Clone, PartialEq)]
pub struct Group {
    /// Dotted paths.
    pub members: Vec<&'static str>,
    /// Cholesky factor of their score correlations: a lower triangle.
    pub factor: Vec<Vec<f64>>,
}

/// The groups of a scenario.
pub fn mixing(_scenario: &Scenario) -> Vec<Group> {
    vec![]
}
