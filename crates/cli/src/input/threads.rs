//! How many worker threads: as asked, or one for each core that this process may use.

use std::num::NonZero;
use std::str::FromStr;

/// More threads than this are never started: they only cost memory.
pub const MOST_THREADS: usize = 256;

/// Why a word is not a number of threads.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ThreadsError {
    /// Not a whole number of at least 1.
    #[error("a whole number of threads is due, 1 or more; leave the option out to use every core")]
    Form,
}

/// A number of threads that was asked for, at least 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Threads(pub NonZero<usize>);

impl FromStr for Threads {
    type Err = ThreadsError;

    fn from_str(word: &str) -> Result<Threads, ThreadsError> {
        if !word.bytes().all(|b| b.is_ascii_digit()) {
            return Err(ThreadsError::Form);
        }
        word.parse().map(Threads).map_err(|_| ThreadsError::Form)
    }
}

/// How many threads will run, and a note when that is not simply what was asked for.
pub fn settled(asked: Option<Threads>) -> (usize, Option<String>) {
    // Knows the limits of a container and of CPU affinity.
    let cores = std::thread::available_parallelism().map_or(1, NonZero::get);
    settled_on(asked.map(|threads| threads.0.get()), cores)
}

fn settled_on(asked: Option<usize>, cores: usize) -> (usize, Option<String>) {
    let most = MOST_THREADS.max(cores);
    match asked {
        None => (cores, None),
        Some(threads) if threads <= cores => (threads, None),
        Some(threads) if threads <= most => (
            threads,
            Some(format!(
                "note: {threads} threads on {cores} cores: no faster, the result is the same"
            )),
        ),
        Some(threads) => (
            most,
            Some(format!(
                "note: {threads} threads asked for; {most} is the most that is started, for {cores} cores; the result is the same"
            )),
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn zero_threads_are_refused() {
        for word in ["0", "-1", "+2", "1.5", "", "two", "99999999999999999999999"] {
            assert_eq!(word.parse::<Threads>(), Err(ThreadsError::Form), "{word}");
        }
        assert_eq!("3".parse::<Threads>().unwrap().0.get(), 3);
    }

    #[test]
    fn more_threads_than_cores_are_noted_once_and_capped() {
        assert_eq!(settled_on(None, 2), (2, None));
        assert_eq!(settled_on(Some(1), 2), (1, None));
        let (threads, note) = settled_on(Some(16), 2);
        assert_eq!(threads, 16);
        assert!(note.unwrap().contains("16 threads on 2 cores"));
        let (threads, note) = settled_on(Some(100_000), 2);
        assert_eq!(threads, MOST_THREADS);
        assert!(note.unwrap().contains("256 is the most"));
    }
}
