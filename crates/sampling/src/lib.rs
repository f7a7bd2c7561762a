//! Random streams and processes: fills the columns of a block. No files, no threads, no joints.

mod process;

pub use process::{Process, ProcessError};
