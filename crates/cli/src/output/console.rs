//! stdout carries results, stderr carries everything else.

use std::io::{self, ErrorKind, Write};

use crate::exit::Failure;

/// Prints results. A reader that has closed the pipe has seen enough: that is no failure.
///
/// # Errors
/// [`Failure::Print`] when the text cannot be written, for example on a full device.
pub fn print(text: &str) -> Result<(), Failure> {
    let mut out = io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() != ErrorKind::BrokenPipe => Err(Failure::Print(error)),
        _ => Ok(()),
    }
}

/// Says something on stderr; nobody may be listening.
pub fn note(text: &str) {
    let _ = writeln!(io::stderr().lock(), "{text}");
}

/// Says on stderr why there is no result.
pub fn error(text: &str) {
    note(&format!("seatyield: {text}"));
}
