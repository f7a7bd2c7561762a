//! Special functions and the shapes of processes: no randomness, no files.

pub mod beta;
pub mod gamma;
pub mod kind;
mod lognormal;
pub mod noncentral_t;
pub mod normal;
mod quadrature;
mod shape;
mod triangular;
mod truncated_normal;
mod uniform;

pub use kind::{FitError, Fitted, KINDS, Kind};
pub use lognormal::Lognormal;
pub use normal::Normal;
pub use shape::{Shape, ShapeError};
pub use triangular::Triangular;
pub use truncated_normal::TruncatedNormal;
pub use uniform::Uniform;
