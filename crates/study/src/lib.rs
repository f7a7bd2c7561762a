//! Scenario file to plan to run: reading, checking, simulating, summing up. No drawing, no printing.
//!
//! The way through a run is [`run`]: a [`Plan`] is made from a checked [`Scenario`], chunks of pairings go
//! through the kernel on all threads, their sums are folded in order, and the summary becomes a record.

mod depict;
mod describe;
mod dispatch;
mod doubt;
mod drawn;
mod few_readings;
mod gates;
mod inputs;
mod kernel;
mod ladder;
mod loaded;
pub mod lot;
mod lot_yields;
mod matching;
mod measured;
mod normal_scores;
mod pair;
mod parts;
mod plan;
mod points;
mod prefix;
mod problem;
pub mod readings;
mod recheck;
mod run;
pub mod scenario;
mod share;
mod sizes;
mod stock;
mod summary;
mod supply;
mod teeth;
pub mod tolerance;
mod torque;
pub mod typed;
mod until;
mod warnings;
mod window;
mod within;

pub use dispatch::{Instructions, count, draw, solve};
pub use kernel::{CHUNK, Counted, Workspace};
pub use ladder::{LadderOptions, ladder};
pub use loaded::Loaded;
pub use matching::{MatchOptions, Matched, match_parts};
pub use pair::{At, Pair, PairOptions, pair};
pub use plan::Plan;
pub use points::{PointCounts, Points};
pub use problem::{Problem, Problems};
pub use recheck::{NotRechecked, recheck};
pub use record;
pub use run::{Counts, Progress, RunOptions, Stopped, chunk, run, simulate};
pub use scenario::Scenario;
pub use sizes::joint_sizes;
pub use supply::Supply;
pub use until::Until;
