//! How far a run is: one line that is redrawn on a terminal, a plain line now and then elsewhere.

use std::fmt;
use std::io::IsTerminal;
use std::sync::Mutex;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressState, ProgressStyle};
use study::Progress;

use super::console;
use super::numbers::{count, fixed, significant};

/// Time between two plain lines.
const PACE: Duration = Duration::from_secs(10);

/// Where progress goes.
#[derive(Debug)]
pub enum Meter {
    /// Nowhere.
    Silent,
    /// A line that is redrawn.
    Redrawn(ProgressBar, AtomicU64),
    /// Plain lines, `PACE` apart.
    Lines(Lines),
}

/// Plain lines: when the run began, and when the next line is due.
#[derive(Debug)]
pub struct Lines {
    begun: Instant,
    due: Mutex<Instant>,
}

impl Meter {
    /// The meter for this stderr.
    pub fn new(quiet: bool) -> Meter {
        if quiet {
            Meter::Silent
        } else if may_redraw() {
            let bar = ProgressBar::with_draw_target(None, ProgressDrawTarget::stderr_with_hz(8));
            bar.set_style(style());
            Meter::Redrawn(bar, AtomicU64::new(0))
        } else {
            let begun = Instant::now();
            Meter::Lines(Lines {
                begun,
                due: Mutex::new(begun + PACE),
            })
        }
    }

    /// Takes note of how far the run is; called from any thread, not always in order.
    pub fn tell(&self, progress: Progress) {
        match self {
            Meter::Silent => {}
            Meter::Redrawn(bar, most) => {
                let before = most.fetch_max(progress.done, Ordering::Relaxed);
                if bar.length() != Some(progress.pairings) {
                    bar.set_length(progress.pairings);
                }
                if progress.estimated {
                    bar.set_prefix("about ");
                }
                bar.set_position(before.max(progress.done));
            }
            Meter::Lines(lines) => lines.tell(progress),
        }
    }

    /// Takes the redrawn line away.
    pub fn finish(&self) {
        if let Meter::Redrawn(bar, _) = self {
            bar.finish_and_clear();
        }
    }
}

impl Lines {
    fn tell(&self, progress: Progress) {
        // Another thread that holds the lock is about to say the same.
        let Ok(mut due) = self.due.try_lock() else {
            return;
        };
        let now = Instant::now();
        if now < *due || progress.done >= progress.pairings {
            return;
        }
        *due = now + PACE;
        console::note(&line(progress, now - self.begun));
    }
}

/// One plain line: done, rate, time left.
fn line(progress: Progress, elapsed: Duration) -> String {
    let rate = progress.done as f64 / elapsed.as_secs_f64().max(1e-9);
    let left = (progress.pairings.saturating_sub(progress.done)) as f64 / rate.max(1e-9);
    format!(
        "{} of {}{} pairings, {} a second, about {} left",
        count(progress.done),
        if progress.estimated { "about " } else { "" },
        count(progress.pairings),
        per_second(rate),
        duration(left)
    )
}

/// A rate in words, to three digits: `1.23 million`.
pub fn per_second(rate: f64) -> String {
    if rate >= 1e6 {
        return format!("{} million", significant(rate / 1e6, 3));
    }
    let step = [1.0, 10.0, 100.0, 1000.0]
        .into_iter()
        .find(|step| rate / step < 1000.0)
        .unwrap_or(1000.0);
    fixed((rate / step).round() * step, 0)
}

/// Seconds in words: `0.84 s`, `3 min 20 s`, `2 h 5 min`.
pub fn duration(seconds: f64) -> String {
    if seconds < 60.0 {
        return format!("{} s", significant(seconds, 2));
    }
    let whole = seconds.round() as u64;
    match (whole / 3600, whole / 60 % 60, whole % 60) {
        (0, minutes, seconds) => format!("{minutes} min {seconds} s"),
        (hours, minutes, _) => format!("{} h {minutes} min", count(hours)),
    }
}

/// Redrawing needs escapes: only on a terminal that has them and whose user wants them.
fn may_redraw() -> bool {
    let plain_wanted = std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
    let dumb = std::env::var_os("TERM").is_some_and(|term| term == "dumb");
    std::io::stderr().is_terminal() && !plain_wanted && !dumb
}

fn style() -> ProgressStyle {
    ProgressStyle::with_template(
        "{bar:32} {percent:>3} %  {human_pos} of {prefix}{human_len} pairings, {rate} a second, {left} left",
    )
    .unwrap_or_else(|_| ProgressStyle::default_bar())
    .with_key("rate", |state: &ProgressState, to: &mut dyn fmt::Write| {
        let _ = to.write_str(&per_second(state.per_sec()));
    })
    .with_key("left", |state: &ProgressState, to: &mut dyn fmt::Write| {
        let _ = to.write_str(&duration(state.eta().as_secs_f64()));
    })
    .progress_chars("=> ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_plain_line_states_rate_and_time_left() {
        let progress = Progress {
            done: 2_000_000,
            pairings: 10_000_000,
            estimated: false,
        };
        let ten = Duration::from_secs(10);
        assert_eq!(
            line(progress, ten),
            "2,000,000 of 10,000,000 pairings, 200,000 a second, about 40 s left"
        );
        let estimated = Progress {
            estimated: true,
            ..progress
        };
        assert_eq!(
            line(estimated, ten),
            "2,000,000 of about 10,000,000 pairings, 200,000 a second, about 40 s left"
        );
    }

    #[test]
    fn rates_have_three_digits() {
        for (rate, text) in [
            (12.34, "12"),
            (15_275.0, "15,300"),
            (853_849.0, "854,000"),
            (2_614_000.0, "2.61 million"),
        ] {
            assert_eq!(per_second(rate), text);
        }
    }

    #[test]
    fn durations_are_in_the_unit_that_fits() {
        for (seconds, text) in [
            (0.84, "0.84 s"),
            (12.4, "12 s"),
            (200.0, "3 min 20 s"),
            (7_500.0, "2 h 5 min"),
        ] {
            assert_eq!(duration(seconds), text);
        }
    }
}
