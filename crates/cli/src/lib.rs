//! The command line of seatyield.

/// Runs the program with the arguments of the process.
pub fn main() -> std::process::ExitCode {
    std::process::ExitCode::SUCCESS
}
