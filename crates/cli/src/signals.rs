//! Ctrl-C and polite requests to end: the first sets a flag, the second ends the program at once.

use std::io;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

use signal_hook::consts::{SIGINT, SIGTERM};
use signal_hook::flag;

/// The flag that a run looks at, and which signal set it.
#[derive(Debug)]
pub struct Signals {
    stop: Arc<AtomicBool>,
    number: Arc<AtomicUsize>,
}

impl Signals {
    /// Starts to listen to SIGINT and SIGTERM.
    pub fn watch() -> io::Result<Signals> {
        let stop = Arc::new(AtomicBool::new(false));
        let number = Arc::new(AtomicUsize::new(0));
        for signal in [SIGINT, SIGTERM] {
            // In the order of registration: the first signal finds the flag down, the second finds it up.
            flag::register_conditional_shutdown(signal, 128 + signal, Arc::clone(&stop))?;
            flag::register_usize(signal, Arc::clone(&number), signal.unsigned_abs() as usize)?;
            flag::register(signal, Arc::clone(&stop))?;
        }
        Ok(Signals { stop, number })
    }

    /// True once a signal has come.
    pub fn stop(&self) -> &AtomicBool {
        &self.stop
    }

    /// The signal's number; that of Ctrl-C when none was seen.
    pub fn number(&self) -> u8 {
        match self.number.load(Ordering::SeqCst) {
            0 => SIGINT.unsigned_abs() as u8,
            number => number as u8,
        }
    }
}
