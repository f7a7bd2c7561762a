//! Correlation between two characteristics of one part, by rank or linear.

/// How a correlation is stated.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CorrelationKind {
    /// Spearman's correlation of the ranks.
    Rank,
    /// Pearson's correlation of the values.
    Linear,
}

/// A stated correlation between two characteristics of one part.
#[derive(Debug, Clone, PartialEq)]
pub struct Correlation {
    /// Dotted paths of the two characteristics.
    pub between: [&'static str; 2],
    /// How it is stated.
    pub kind: CorrelationKind,
    /// As stated, -1 to 1.
    pub stated: f64,
    /// The correlation of the normal scores that gives it.
    pub score: f64,
}
