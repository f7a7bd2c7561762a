//! Scenario file to plan to run: reading, checking, simulating, summing up. No drawing, no printing.

mod loaded;
mod pair;
mod problem;
mod recheck;
mod run;
pub mod scenario;

pub use loaded::Loaded;
pub use pair::{At, Pair, PairOptions, pair};
pub use problem::{Problem, Problems};
pub use recheck::{Difference, recheck};
pub use record;
pub use run::{Progress, RunOptions, Stopped, run};
pub use scenario::Scenario;
