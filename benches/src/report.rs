//! What a measured process says of itself, in words that the numpy peer can print too.
//!
//! ```text
//! gap_left  0.2023 %  4046
//! seconds 1.25 cpu 1.24 peak_kib 7000
//! ```

use std::collections::BTreeMap;
use std::fmt::{self, Display};

/// The counts that every side has.
pub const COUNTS: [&str; 6] = [
    "good",
    "gap_left",
    "clamp_low",
    "cones_free",
    "contact_low",
    "bore_overstressed",
];

/// One run of one side.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Report {
    /// Wall time of the simulation alone (s).
    pub seconds: f64,
    /// Processor time of the simulation, all threads and processes (s).
    pub cpu: f64,
    /// Peak memory (KiB).
    pub peak_kib: f64,
    /// Pairings by verdict.
    pub counts: BTreeMap<String, u64>,
}

impl Display for Report {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let all = self.pairings() as f64;
        for (key, &count) in &self.counts {
            writeln!(f, "{key} {:.4} % {count}", 100.0 * count as f64 / all)?;
        }
        let Report {
            seconds,
            cpu,
            peak_kib,
            ..
        } = self;
        writeln!(f, "seconds {seconds} cpu {cpu} peak_kib {peak_kib}")
    }
}

impl Report {
    /// Reads what a process printed; lines of another form are left aside.
    ///
    /// # Errors
    /// A sentence, when a time or a count is missing.
    pub fn parse(text: &str) -> Result<Report, String> {
        let (mut counts, mut values) = (BTreeMap::new(), BTreeMap::new());
        for line in text.lines() {
            let words: Vec<&str> = line.split_whitespace().collect();
            match words[..] {
                [key, _, "%", count] if COUNTS.contains(&key) => {
                    let count = count.parse().map_err(|_| format!("not a count: {line}"))?;
                    counts.insert(key.to_owned(), count);
                }
                ["seconds", ..] => {
                    for pair in words.chunks_exact(2) {
                        let value: f64 = pair[1]
                            .parse()
                            .map_err(|_| format!("not a number: {line}"))?;
                        values.insert(pair[0].to_owned(), value);
                    }
                }
                _ => {}
            }
        }
        if let Some(missing) = COUNTS.iter().find(|&&key| !counts.contains_key(key)) {
            return Err(format!(
                "no count of {missing} in what the process printed: {text}"
            ));
        }
        let value = |name: &str| {
            values
                .get(name)
                .copied()
                .ok_or_else(|| format!("no {name} in what the process printed: {text}"))
        };
        Ok(Report {
            seconds: value("seconds")?,
            cpu: value("cpu")?,
            peak_kib: value("peak_kib")?,
            counts,
        })
    }

    /// Pairings in all.
    pub fn pairings(&self) -> u64 {
        self.counts.values().sum()
    }

    /// Wall time of one pairing (ns).
    pub fn wall_ns(&self) -> f64 {
        1e9 * self.seconds / self.pairings() as f64
    }

    /// Processor time of one pairing (ns).
    pub fn cpu_ns(&self) -> f64 {
        1e9 * self.cpu / self.pairings() as f64
    }

    /// Whether the shares of both are those of one population: no difference beyond six standard deviations.
    ///
    /// Of a run with six gates, seven pairs and six shares the odds of a false alarm are below one in a million.
    ///
    /// # Errors
    /// The first share that differs.
    pub fn agrees_with(&self, other: &Report) -> Result<(), String> {
        let (n, m) = (self.pairings() as f64, other.pairings() as f64);
        for key in COUNTS {
            let count = |report: &Report| report.counts.get(key).copied().unwrap_or(0) as f64;
            let (a, b) = (count(self), count(other));
            let share = (a + b) / (n + m);
            let sd = (share * (1.0 - share) * (1.0 / n + 1.0 / m)).sqrt();
            if (a / n - b / m).abs() > 6.0 * sd {
                return Err(format!(
                    "the shares of {key} differ: {:.4} % and {:.4} %, {:.1} standard deviations",
                    100.0 * a / n,
                    100.0 * b / m,
                    (a / n - b / m).abs() / sd
                ));
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "good               78.0000 %  7800\ngap_left 1 % 100\nclamp_low 1 % 100\ncones_free 10 % 1000\n\
        contact_low 9 % 900\nbore_overstressed 1 % 100\ndraw_up mean 0.35 sd 0.28\nseconds 0.5 cpu 0.25 peak_kib 7000 ns 9\n";

    #[test]
    fn what_is_printed_is_read_again() {
        let report = Report::parse(TEXT).expect("a report");
        assert_eq!((report.pairings(), report.peak_kib), (10_000, 7000.0));
        assert_eq!((report.wall_ns(), report.cpu_ns()), (50_000.0, 25_000.0));
        assert_eq!(Report::parse(&report.to_string()), Ok(report));
    }

    #[test]
    fn a_missing_part_is_named() {
        for (gone, named) in [
            ("gap_left", "gap_left"),
            ("cpu", "cpu"),
            ("seconds", "seconds"),
        ] {
            let message = Report::parse(&TEXT.replace(gone, "other")).expect_err("incomplete");
            assert!(
                message.starts_with("no ") && message.contains(named),
                "{message}"
            );
        }
        assert!(Report::parse(&TEXT.replace("7800", "many")).is_err());
    }

    #[test]
    fn shares_of_another_joint_are_found_out() {
        let report = Report::parse(TEXT).expect("a report");
        let mut near = report.clone();
        near.counts.insert("gap_left".into(), 130);
        assert_eq!(report.agrees_with(&near), Ok(()));
        near.counts.insert("gap_left".into(), 230);
        let message = report.agrees_with(&near).expect_err("twice as many");
        assert!(message.contains("gap_left"), "{message}");
    }
}
