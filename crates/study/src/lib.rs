//! Scenario file to plan to run: reading, checking, simulating, summing up. No drawing, no printing.

pub mod scenario;

pub use scenario::Scenario;
