//! Random streams and processes: fills the columns of a block. No files, no threads, no joints.
//!
//! Everything random starts as scores, independent standard-normal numbers that are a function of
//! (seed, study point or shared, characteristic, attempt, pairing) only. A process maps a score to a value,
//! monotonically. Nothing here depends on the platform's mathematics or on the instruction set.

mod evenly;
mod gate;
mod inspect;
mod mixing;
mod part;
mod process;
mod rows;
mod score;
mod slow;
mod stream;

pub use gate::{Check, Gate, LotPlan};
pub use inspect::GateCounts;
pub use mixing::Mixing;
pub use part::{Characteristic, Order, Part, Scratch};
pub use process::{Process, ProcessError, fill_normal};
pub use rows::Rows;
pub use score::{BLOCK, Column, WORDS, fill_scores, score_of};
pub use slow::Slow;
pub use stream::{STREAM_VERSION, Stream, StreamId, Words};
