//! Why readings are no gauge study.

/// Why readings are no gauge study. Places count from 0.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NotStudied {
    /// One part or none: nothing to hold the gauge against.
    #[error("a gauge study takes two or more parts, found {parts}")]
    TooFewParts {
        /// Parts.
        parts: usize,
    },
    /// No appraiser at all.
    #[error("a gauge study takes one appraiser or more, found none")]
    NoAppraiser,
    /// One trial or none: the scatter of the equipment does not show.
    #[error(
        "each appraiser measures each part twice or more in a gauge study, found {trials} trial of each"
    )]
    TooFewTrials {
        /// Trials of each part by each appraiser.
        trials: usize,
    },
    /// A part lacks appraisers that the first part has, or has more.
    #[error("every part is measured by the same appraisers: the first part by {expected}, part {} by {found}", part + 1)]
    AppraisersDiffer {
        /// The part.
        part: usize,
        /// Its appraisers.
        found: usize,
        /// Appraisers of the first part.
        expected: usize,
    },
    /// One appraiser measured one part another number of times than the first one the first.
    #[error(
        "every part is measured by every appraiser the same number of times: the first {expected} times, part {} by appraiser {} {found} times",
        part + 1, appraiser + 1
    )]
    TrialsDiffer {
        /// The part.
        part: usize,
        /// The appraiser.
        appraiser: usize,
        /// Trials found.
        found: usize,
        /// Trials of the first part by the first appraiser.
        expected: usize,
    },
    /// All readings are equal: neither parts nor gauge show any scatter.
    #[error("all readings are equal, so neither the parts nor the gauge show any scatter")]
    NoSpread,
    /// The squares of the readings are beyond what a number carries.
    #[error("the readings are too large or too small to square")]
    Uncarried,
}
