//! A process: what really comes off the machine, as a monotone map from a standard-normal score to a value.

use std::sync::Arc;

use distributions::Shape;

/// Why the parameters do not make a process.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ProcessError {
    /// A parameter is not finite.
    #[error("{name} must be a finite number, found {value}")]
    NotFinite {
        /// Name of the parameter.
        name: &'static str,
        /// Its value.
        value: f64,
    },
    /// The standard deviation is negative.
    #[error("the standard deviation must not be negative, found {sd}")]
    NegativeSd {
        /// The standard deviation.
        sd: f64,
    },
    /// The range is empty or turned round.
    #[error("the range from {low} to {high} is empty")]
    EmptyRange {
        /// Lower end.
        low: f64,
        /// Upper end.
        high: f64,
    },
    /// The mode lies outside the range.
    #[error("the mode {mode} lies outside the range from {low} to {high}")]
    ModeOutside {
        /// Most likely value.
        mode: f64,
        /// Lower end.
        low: f64,
        /// Upper end.
        high: f64,
    },
    /// Truncation leaves no probability that numbers can carry.
    #[error("the range from {low} to {high} holds only {share:e} of the normal distribution")]
    NothingLeft {
        /// Lower end.
        low: f64,
        /// Upper end.
        high: f64,
        /// Share of the untruncated distribution inside.
        share: f64,
    },
    /// A lognormal process needs a mean above its origin.
    #[error("the mean {mean} must lie above the origin {origin}")]
    MeanBelowOrigin {
        /// Mean.
        mean: f64,
        /// Origin (smallest possible value).
        origin: f64,
    },
}

/// What really comes off the machine for one characteristic.
#[derive(Debug, Clone)]
pub struct Process {
    map: Map,
}

#[derive(Debug, Clone)]
enum Map {
    Constant(f64),
    Shaped(&'static str, Arc<dyn Shape>),
}
