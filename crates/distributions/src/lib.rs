//! Special functions and the shapes of processes: no randomness, no files.

pub mod normal;
mod shape;

pub use shape::Shape;
