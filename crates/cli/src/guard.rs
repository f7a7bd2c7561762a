//! A panic is a defect of this program: it ends with code 70 and asks for a report, without a trace.

use std::ffi::OsString;
use std::panic::{self, AssertUnwindSafe};
use std::sync::{Arc, Mutex};

use crate::exit::Exit;
use crate::output::console;
use crate::output::plain::{plain, shown};

/// Runs `work`; a panic in it, on this thread or a worker, becomes [`Exit::Defect`].
pub fn guarded(words: &[OsString], work: impl FnOnce() -> Exit) -> Exit {
    let seen = Arc::new(Mutex::new(None::<String>));
    let store = Arc::clone(&seen);
    panic::set_hook(Box::new(move |info| {
        if let Ok(mut first) = store.lock() {
            first.get_or_insert_with(|| described(info));
        }
    }));
    let outcome = panic::catch_unwind(AssertUnwindSafe(work));
    // Back to the hook of the process: matters to tests only.
    drop(panic::take_hook());
    outcome.unwrap_or_else(|_| {
        let what = seen
            .lock()
            .ok()
            .and_then(|mut first| first.take())
            .unwrap_or_else(|| "no further details".to_owned());
        console::error(&format!(
            "internal error: {}\n  \
             This is a defect of the program, not of the input; no report folder was left half written.\n  \
             Please report it together with the scenario and this command:\n  {}",
            plain(&what),
            command_line(words)
        ));
        Exit::Defect
    })
}

/// The command line as it would be typed in a shell, safe to show.
pub fn command_line(words: &[OsString]) -> String {
    let rest = words.iter().skip(1).map(|word| quoted(&shown(word)));
    std::iter::once("seatyield".to_owned())
        .chain(rest)
        .collect::<Vec<_>>()
        .join(" ")
}

fn quoted(word: &str) -> String {
    let bare = |c: char| c.is_ascii_alphanumeric() || "-_./=:,+%@".contains(c);
    if !word.is_empty() && word.chars().all(bare) {
        word.to_owned()
    } else {
        format!("'{}'", word.replace('\'', r"'\''"))
    }
}

fn described(info: &panic::PanicHookInfo<'_>) -> String {
    let payload = info.payload();
    let message = payload
        .downcast_ref::<&str>()
        .map(|text| (*text).to_owned())
        .or_else(|| payload.downcast_ref::<String>().cloned())
        .unwrap_or_else(|| "no message".to_owned());
    match info.location() {
        Some(place) => format!("{message} ({}:{})", place.file(), place.line()),
        None => message,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_panic_is_exit_70() {
        let words = [OsString::from("seatyield")];
        let exit = guarded(&words, || panic!("a broken promise"));
        assert_eq!(exit, Exit::Defect);
    }

    #[test]
    fn the_command_can_be_typed_again() {
        let words = ["x", "run", "a b.toml", "--set", "title=\"it's\""].map(OsString::from);
        assert_eq!(
            command_line(&words),
            r#"seatyield run 'a b.toml' --set 'title="it'\''s"'"#
        );
    }
}
