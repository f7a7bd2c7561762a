//! What the command line says, each word checked where it is read.

pub mod arguments;
pub mod assignment;
pub mod count;
pub mod least_yield;
pub mod lot;
pub mod quantity;
pub mod record_file;
pub mod threads;
pub mod until;
