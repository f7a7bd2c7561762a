//! Joint geometry and mechanics: where a pairing seats, whether the clamp closes, and the verdict.
//!
//! No randomness, no files, no threads: the physics can be checked by hand.

mod output;
mod verdict;

pub use output::{OUTPUTS, Output};
pub use verdict::{VERDICTS, Verdict};
