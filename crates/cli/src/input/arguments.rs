//! The commands and their options.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};

use super::assignment::Assignment;
use super::count::{Pairings, Seed};
use super::least_yield::LeastYield;
use super::lot::Lot;
use super::quantity::{Length, Torques};
use super::threads::Threads;
use super::until::Until;

/// Yield, rejects and capability of a hub that a bolt pulls onto a tapered shaft end and that must
/// pinch a spacer in the same stroke.
#[derive(Debug, Parser)]
#[command(
    name = "seatyield",
    bin_name = "seatyield",
    version,
    arg_required_else_help = true,
    disable_help_subcommand = true,
    after_help = "Exit codes: 0 done, 1 yield below --least-yield, 2 command line, 3 scenario, 4 readings, \
                  5 files, 6 record does not match, 8 over a limit, 70 internal error, 130/143 interrupted.\n\n\
                  Example: seatyield run scenarios/pump-impeller.toml"
)]
pub struct Arguments {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// What to do.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Simulate production: yield, rejects and capability; writes the report folder
    #[command(after_help = "Examples:\n  \
                      seatyield run pump.toml --pairings 1e6 --least-yield 99.5%\n  \
                      seatyield run pump.toml --pairings 1e9 --until \"half-width 50 ppm\"")]
    Run(Run),
    /// Solve stated pairings, without chance: nominal sizes, stated sizes, or measured parts
    #[command(after_help = "Examples:\n  \
                      seatyield pair pump.toml --set spacer.thickness.nominal=\"6.02 mm\"\n  \
                      seatyield pair pump.toml --parts pairs.csv\n  \
                      seatyield pair pump.toml --parts shafts.csv --parts hubs.csv --all --step \"0.05 mm\" --out out/match\n  \
                      seatyield pair pump.toml --torque 10..80 --out out/ladder")]
    Pair(Pair),
    /// Study the capability of measured parts; propose the process to paste into a scenario
    #[command(after_help = "Examples:\n  \
                      seatyield lot rings.csv --nominal \"8 mm\" --deviations \"-15 um..15 um\" --subgroup hour\n  \
                      seatyield lot runout.csv --separator semicolon --decimal , --max \"15 um\"\n  \
                      seatyield lot gauge.csv --part part --appraiser appraiser --trial trial --nominal \"37.185 mm\" --class H6")]
    Lot(Box<Lot>),
    /// Read and check a scenario; print what would run and what it would cost
    #[command(after_help = "Example: seatyield check pump.toml")]
    Check(Check),
    /// Make the report again from a saved record, without running anything
    #[command(after_help = "Example: seatyield redraw out/pump/result.json --out reports/pump")]
    Redraw(Redraw),
    /// Run a record's scenario again and say whether every number comes out the same
    #[command(after_help = "Example: seatyield recheck out/pump/result.json")]
    Recheck(Recheck),
}

/// `run`.
#[derive(Debug, Args)]
pub struct Run {
    /// Scenario file
    pub scenario: PathBuf,
    /// Pairings to simulate, 1 to 2^53; 1e6 and 1_000_000 are fine
    #[arg(long, value_name = "N", allow_negative_numbers = true)]
    pub pairings: Option<Pairings>,
    /// End the run as soon as the interval of the reject rate is this narrow: "half-width 50 ppm", "half-width 0.02 %",
    /// or "half-width 5 % of the reject rate"; --pairings is then the most that is run,
    /// 1e9 if it is not given
    #[arg(long, value_name = "RULE", allow_hyphen_values = true)]
    pub until: Option<Until>,
    /// Seed of the random stream
    #[arg(long, value_name = "N", allow_negative_numbers = true)]
    pub seed: Option<Seed>,
    /// Exit with 1 when the lower end of the yield's interval is below this yield; with few readings the wide interval counts
    #[arg(long, value_name = "YIELD", allow_negative_numbers = true)]
    pub least_yield: Option<LeastYield>,
    /// Change a value of the scenario; may be given several times
    #[arg(long, value_name = "PATH=VALUE")]
    pub set: Vec<Assignment>,
    /// Print the record on stdout, and nothing else there
    #[arg(long)]
    pub json: bool,
    /// Where the report goes.
    #[command(flatten)]
    pub to: Destination,
    /// How to run.
    #[command(flatten)]
    pub how: How,
}

/// Where a report goes.
#[derive(Debug, Args)]
pub struct Destination {
    /// Report folder [default: out/<name of the scenario or of the file>]
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// Replace an existing folder that holds something else
    #[arg(long)]
    pub force: bool,
}

/// How to run: nothing here changes a result.
#[derive(Debug, Args)]
pub struct How {
    /// Worker threads [default: the cores this process may use]
    #[arg(long, value_name = "N", allow_negative_numbers = true)]
    pub threads: Option<Threads>,
    /// No progress and no notes on stderr
    #[arg(long)]
    pub quiet: bool,
}

/// `pair`.
#[derive(Debug, Args)]
pub struct Pair {
    /// Scenario file
    pub scenario: PathBuf,
    /// Change a value of the scenario; may be given several times
    #[arg(long, value_name = "PATH=VALUE")]
    pub set: Vec<Assignment>,
    /// CSV file of measured parts: one file with whole pairings, one a row, or several with one part each
    /// (shafts, hubs, spacers), paired row by row, or each shaft with each hub by --all
    #[arg(long, value_name = "FILE")]
    pub parts: Vec<PathBuf>,
    /// Pair every measured shaft with every measured hub and find the spacer each pair needs
    #[arg(long)]
    pub all: bool,
    /// Draw-up that the spacers should give, for example "0.3 mm" [default: that of the nominal pair]
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub draw_up: Option<Length>,
    /// Step of the stock of spacers, counted from the nominal thickness, for example "0.05 mm"
    /// [default: made to measure]
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub step: Option<Length>,
    /// Torque set on the wrench (N*m) instead of the scenario's; two torques, 10..80, climb from one to the other
    #[arg(long, value_name = "TORQUE", allow_hyphen_values = true)]
    pub torque: Option<Torques>,
    /// Sizes where nothing else is stated
    #[arg(long, value_enum, default_value_t = At::Nominal)]
    pub at: At,
    /// Print one JSON object for each pairing, or one for a ladder of torques
    #[arg(long)]
    pub json: bool,
    /// Write page, picture and CSV of several files of parts or of a ladder of torques into this folder
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// Replace an existing folder that is not empty
    #[arg(long, requires = "out")]
    pub force: bool,
}

/// Sizes where nothing else is stated.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum At {
    /// Nominal sizes
    Nominal,
    /// The middle of the drawing limits
    Middle,
}

/// `check`.
#[derive(Debug, Args)]
pub struct Check {
    /// Scenario file
    pub scenario: PathBuf,
    /// Change a value of the scenario; may be given several times
    #[arg(long, value_name = "PATH=VALUE")]
    pub set: Vec<Assignment>,
}

/// `redraw`.
#[derive(Debug, Args)]
pub struct Redraw {
    /// Record: the result.json of a report folder
    pub record: PathBuf,
    /// Where the report goes.
    #[command(flatten)]
    pub to: Destination,
}

/// `recheck`.
#[derive(Debug, Args)]
pub struct Recheck {
    /// Record: the result.json of a report folder
    pub record: PathBuf,
    /// How to run.
    #[command(flatten)]
    pub how: How,
}
