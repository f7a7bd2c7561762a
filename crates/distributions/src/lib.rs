//! Special functions and the shapes of processes: no randomness, no files.

pub mod beta;
mod beta_shape;
mod digamma;
mod folded_normal;
pub mod gamma;
mod gamma_shape;
pub mod kind;
mod lognormal;
pub mod noncentral_t;
pub mod normal;
mod owens_t;
mod quadrature;
mod rayleigh;
mod shape;
mod skew_normal;
mod solve;
mod triangular;
mod truncated_normal;
mod two_part_normal;
mod uniform;
mod weibull;

pub use beta_shape::Beta;
pub use folded_normal::FoldedNormal;
pub use gamma_shape::Gamma;
pub use kind::{FitError, Fitted, KINDS, Kind};
pub use lognormal::Lognormal;
pub use normal::Normal;
pub use rayleigh::Rayleigh;
pub use shape::{Shape, ShapeError};
pub use skew_normal::SkewNormal;
pub use triangular::Triangular;
pub use truncated_normal::TruncatedNormal;
pub use two_part_normal::TwoPartNormal;
pub use uniform::Uniform;
pub use weibull::Weibull;
