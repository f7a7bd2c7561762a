//! The `seatyield` program: everything is in the library, so that tests can reach it.

fn main() -> std::process::ExitCode {
    cli::main()
}
