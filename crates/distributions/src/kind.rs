//! The kinds of shapes in one list: how each is stated, how it is built, how it is fitted to readings.
//!
//! A new shape is one file that implements [`Shape`] and describes itself in a `KIND`, and one line in [`KINDS`]. The scenario
//! reader, the study of measured lots and the reference pages go through this list.

use std::fmt;
use std::sync::Arc;

use crate::shape::{Shape, ShapeError};
use crate::{
    beta_shape, folded_normal, gamma_shape, lognormal, normal, rayleigh, skew_normal, triangular,
    truncated_normal, two_part_normal, uniform, weibull,
};

/// What kind of number a parameter is, which decides its unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Role {
    /// An absolute value of the characteristic: a mean, an end of a range.
    Place,
    /// A difference between two values of the characteristic: a standard deviation, a scale.
    Spread,
    /// A plain number.
    Plain,
}

/// What holds where a parameter is not stated.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Usual {
    /// Nothing: it must be stated.
    None,
    /// The lower drawing limit.
    LowerLimit,
    /// The upper drawing limit.
    UpperLimit,
    /// The nominal.
    Nominal,
    /// This value.
    Value(f64),
}

/// One parameter of a shape.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Parameter {
    /// Its key in a scenario.
    pub key: &'static str,
    /// What kind of number it is.
    pub role: Role,
    /// What holds where it is not stated.
    pub usual: Usual,
    /// The words for a reader, without an article.
    pub words: &'static str,
}

/// Lower end of a range; where it is not stated, the lower drawing limit.
pub const LOW: Parameter = Parameter {
    key: "low",
    role: Role::Place,
    usual: Usual::LowerLimit,
    words: "smallest possible value",
};

/// Upper end of a range; where it is not stated, the upper drawing limit.
pub const HIGH: Parameter = Parameter {
    key: "high",
    role: Role::Place,
    usual: Usual::UpperLimit,
    words: "largest possible value",
};

/// Most likely value; where it is not stated, the nominal.
pub const MODE: Parameter = Parameter {
    key: "mode",
    role: Role::Place,
    usual: Usual::Nominal,
    words: "most likely value",
};

/// Smallest possible value of a shape that has one; 0 where it is not stated.
pub const ORIGIN: Parameter = Parameter {
    key: "origin",
    role: Role::Place,
    usual: Usual::Value(0.0),
    words: "smallest possible value",
};

/// Width of a shape that has no other measure of it.
pub const SCALE: Parameter = Parameter {
    key: "scale",
    role: Role::Spread,
    usual: Usual::None,
    words: "scale",
};

/// The number that bends a Weibull or gamma shape.
pub const SHAPE_PARAMETER: Parameter = Parameter {
    key: "shape_parameter",
    role: Role::Plain,
    usual: Usual::None,
    words: "shape parameter",
};

/// A shape built from mean, standard deviation and further parameters, in their order.
pub type BuildByMoments = fn(f64, f64, &[f64]) -> Result<Arc<dyn Shape>, ShapeError>;

/// A shape built from its own parameters, in their order.
pub type BuildByParameters = fn(&[f64]) -> Result<Arc<dyn Shape>, ShapeError>;

/// A shape fitted to readings.
pub type Fit = fn(&[f64]) -> Result<Fitted, FitError>;

/// Stated by mean and standard deviation (in any of the ways to state those), with further parameters.
#[derive(Debug, Clone, Copy)]
pub struct ByMoments {
    /// Parameters beside mean and standard deviation.
    pub extra: &'static [Parameter],
    /// Builds the shape.
    pub build: BuildByMoments,
}

/// Stated by parameters of its own.
#[derive(Debug, Clone, Copy)]
pub struct ByParameters {
    /// The parameters.
    pub parameters: &'static [Parameter],
    /// Builds the shape.
    pub build: BuildByParameters,
}

/// One kind of shape.
#[derive(Debug, Clone, Copy)]
pub struct Kind {
    /// Name in a scenario.
    pub name: &'static str,
    /// One sentence for a reader: what comes out like this.
    pub words: &'static str,
    /// How it is stated by mean and standard deviation, if it can be.
    pub by_moments: Option<ByMoments>,
    /// How it is stated by parameters of its own, if it can be.
    pub by_parameters: Option<ByParameters>,
    /// How it is fitted to readings by maximum likelihood, if it can be.
    pub fit: Option<Fit>,
}

/// A shape fitted to readings by maximum likelihood.
#[derive(Debug, Clone)]
pub struct Fitted {
    /// The shape.
    pub shape: Arc<dyn Shape>,
    /// The keys that state it in a scenario, with kind and value, in the order in which they are written.
    pub stated: Vec<(&'static str, Role, f64)>,
    /// Number of parameters that were fitted.
    pub free: usize,
    /// Natural logarithm of the likelihood.
    pub log_likelihood: f64,
}

/// Why a shape cannot be fitted to readings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum FitError {
    /// Too few readings for the number of parameters.
    TooFew {
        /// Readings at hand.
        n: usize,
        /// Readings needed.
        needs: usize,
    },
    /// All readings are equal.
    NoSpread,
    /// The shape cannot give such readings.
    Unsuited,
    /// The likelihood has no maximum inside the possible parameters, or it was not found.
    NoMaximum,
}

impl fmt::Display for FitError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooFew { n, needs } => write!(f, "{n} readings are too few, it needs {needs}"),
            Self::NoSpread => write!(f, "all readings are equal"),
            Self::Unsuited => write!(f, "the shape cannot give such readings"),
            Self::NoMaximum => write!(f, "no best parameters were found"),
        }
    }
}

impl std::error::Error for FitError {}

/// Every kind of shape, in the order in which a reader meets them.
pub static KINDS: &[&Kind] = &[
    &normal::KIND,
    &truncated_normal::KIND,
    &uniform::KIND,
    &triangular::KIND,
    &lognormal::KIND,
    &weibull::KIND,
    &gamma_shape::KIND,
    &beta_shape::KIND,
    &folded_normal::KIND,
    &rayleigh::KIND,
    &two_part_normal::KIND,
    &skew_normal::KIND,
];

impl Kind {
    /// The kind with this name.
    pub fn named(name: &str) -> Option<&'static Kind> {
        KINDS.iter().copied().find(|kind| kind.name == name)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_words_of_their_own_and_every_kind_can_be_stated() {
        for (i, kind) in KINDS.iter().enumerate() {
            assert!(
                KINDS[..i].iter().all(|other| other.name != kind.name),
                "{}",
                kind.name
            );
            assert!(
                kind.by_moments.is_some() || kind.by_parameters.is_some(),
                "{}",
                kind.name
            );
            assert!(
                kind.name
                    .chars()
                    .all(|c| c.is_ascii_lowercase() || c == '_')
            );
        }
    }
}
