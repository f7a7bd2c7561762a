//! Gates: which two sides run by turns, the ratio of their times, and the limit on it.

use crate::report::Report;

/// A side of a comparison.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// The program's own run loop.
    Ours {
        /// Worker threads.
        threads: usize,
    },
    /// Its twin that adds sums in any order.
    Unordered {
        /// Worker threads.
        threads: usize,
    },
    /// A study of many points, on draws that all share or on draws of each.
    Grid {
        /// Whether the draws are shared.
        shared: bool,
    },
    /// One pairing at a time, without vectors.
    Scalar,
    /// The numpy peer.
    Peer {
        /// Processes.
        processes: usize,
    },
}

impl Side {
    /// Whether it computes with one thread in one process.
    pub fn is_single(self) -> bool {
        match self {
            Side::Ours { threads: n }
            | Side::Unordered { threads: n }
            | Side::Peer { processes: n } => n == 1,
            Side::Scalar | Side::Grid { .. } => true,
        }
    }

    /// Name in the table.
    pub fn name(self) -> String {
        let number = |n: usize, word: &str, words: &str| {
            if n == 1 {
                format!("1 {word}")
            } else {
                format!("{n} {words}")
            }
        };
        match self {
            Side::Ours { threads } => number(threads, "thread", "threads"),
            Side::Unordered { threads } => {
                format!("{}, unordered", number(threads, "thread", "threads"))
            }
            Side::Grid { shared: true } => "1681 points, shared draws".into(),
            Side::Grid { shared: false } => "1681 points, own draws".into(),
            Side::Scalar => "scalar path, 1 thread".into(),
            Side::Peer { processes } => {
                format!("numpy, {}", number(processes, "process", "processes"))
            }
        }
    }
}

/// What the ratio must be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Limit {
    /// At least so much.
    AtLeast(f64),
    /// At most so much.
    AtMost(f64),
    /// Nothing is asked on this machine.
    Open,
}

impl Limit {
    /// Whether a ratio keeps the limit; `None` where there is none.
    pub fn met(self, ratio: f64) -> Option<bool> {
        match self {
            Limit::AtLeast(least) => Some(ratio >= least),
            Limit::AtMost(most) => Some(ratio <= most),
            Limit::Open => None,
        }
    }
}

/// One gate: the ratio is the time of `slow` over that of `quick`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gate {
    /// Letter in the table.
    pub letter: char,
    /// The side whose time divides.
    pub quick: Side,
    /// The side whose time is divided.
    pub slow: Side,
    /// Limit of the ratio's median.
    pub limit: Limit,
}

/// The gates for a vector unit.
pub fn gates(unit: &str) -> Vec<Gate> {
    let wide = unit == "AVX-512";
    let by_unit = |avx512: f64, avx2: Option<f64>| match (unit, avx2) {
        ("AVX-512", _) => Limit::AtLeast(avx512),
        ("AVX2 with FMA", Some(least)) => Limit::AtLeast(least),
        _ => Limit::Open,
    };
    let ours = |threads| Side::Ours { threads };
    let gate = |letter, quick, slow, limit| Gate {
        letter,
        quick,
        slow,
        limit,
    };
    vec![
        gate(
            'a',
            ours(1),
            Side::Peer { processes: 1 },
            by_unit(14.0, Some(6.0)),
        ),
        gate(
            'b',
            ours(2),
            Side::Peer { processes: 2 },
            if wide {
                Limit::AtLeast(15.0)
            } else {
                Limit::Open
            },
        ),
        gate('c', ours(1), Side::Scalar, by_unit(9.0, Some(3.0))),
        gate('d', ours(2), ours(1), Limit::AtLeast(1.9)),
        gate(
            'e',
            Side::Unordered { threads: 2 },
            ours(2),
            Limit::AtMost(1.01),
        ),
        gate(
            'g',
            Side::Grid { shared: false },
            Side::Grid { shared: true },
            Limit::AtMost(0.6),
        ),
    ]
}

/// Ratio to the scalar path below which the compiler has lost the vectors; `None` where there are none to lose.
pub fn vectors_lost_below(unit: &str) -> Option<f64> {
    match unit {
        "AVX-512" => Some(6.0),
        "AVX2 with FMA" => Some(3.0),
        _ => None,
    }
}

/// Peak memory that a run may take (KiB).
pub fn memory_allowed_kib(threads: usize) -> f64 {
    1024.0 * (16.0 + 0.1 * threads as f64)
}

/// Median, least and largest of some values.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    /// Median.
    pub median: f64,
    /// Least.
    pub least: f64,
    /// Largest.
    pub most: f64,
}

impl Spread {
    /// Of at least one value.
    pub fn of(values: impl Iterator<Item = f64>) -> Option<Spread> {
        let mut sorted: Vec<f64> = values.collect();
        sorted.sort_by(f64::total_cmp);
        let (n, least, most) = (sorted.len(), *sorted.first()?, *sorted.last()?);
        Some(Spread {
            median: 0.5 * (sorted[(n - 1) / 2] + sorted[n / 2]),
            least,
            most,
        })
    }

    /// With this many digits behind the point.
    pub fn show(&self, digits: usize) -> String {
        let Spread {
            median,
            least,
            most,
        } = self;
        format!("{median:.digits$} ({least:.digits$}..{most:.digits$})")
    }
}

/// The runs of a gate, pair by pair: quick side, slow side, and their whole processes as the parent saw them (s).
#[derive(Debug, Clone, Default)]
pub struct Runs {
    /// The pairs.
    pub pairs: Vec<[(Report, f64); 2]>,
}

impl Runs {
    /// Spread of the ratio of a time of both sides, pair by pair.
    pub fn ratio(&self, time: impl Fn(&(Report, f64)) -> f64) -> Option<Spread> {
        Spread::of(
            self.pairs
                .iter()
                .map(|[quick, slow]| time(slow) / time(quick)),
        )
    }

    /// Median of the ratio of the wall times: what the gate is about.
    pub fn wall_ratio(&self) -> Option<f64> {
        self.ratio(|(report, _)| report.seconds)
            .map(|spread| spread.median)
    }

    /// The least time of the slow side over the least of the quick one: what a loss of vectors is judged by, because other
    /// jobs can make a run only longer.
    pub fn least_ratio(&self) -> Option<f64> {
        let least = |place: usize| {
            let seconds = self.pairs.iter().map(|pair| pair[place].0.seconds);
            seconds.min_by(f64::total_cmp)
        };
        Some(least(1)? / least(0)?)
    }

    /// Median share of its wall time that a side with one thread or process had a processor; 1 for other sides.
    ///
    /// Well below 1 other jobs held the cores, and no ratio should be quoted.
    pub fn share_of_core(&self, gate: &Gate) -> f64 {
        let share = |place: usize| {
            let pairs = self.pairs.iter().map(|pair| &pair[place].0);
            Spread::of(pairs.map(|report| report.cpu / report.seconds)).map_or(1.0, |s| s.median)
        };
        let of_side =
            |(place, side): (usize, Side)| if side.is_single() { share(place) } else { 1.0 };
        [(0, gate.quick), (1, gate.slow)]
            .map(of_side)
            .into_iter()
            .fold(1.0, f64::min)
    }

    /// The row of the gate in the table.
    pub fn row(&self, gate: &Gate) -> String {
        let side = |place: usize, time: fn(&Report) -> f64| {
            Spread::of(self.pairs.iter().map(|pair| time(&pair[place].0)))
        };
        let show = |spread: Option<Spread>, digits| {
            spread.map_or_else(|| "none".into(), |s| s.show(digits))
        };
        let cells = [
            gate.letter.to_string(),
            format!("{} / {}", gate.slow.name(), gate.quick.name()),
            show(side(0, Report::wall_ns), 1),
            show(side(1, Report::wall_ns), 1),
            show(side(0, Report::cpu_ns), 1),
            show(side(1, Report::cpu_ns), 1),
            show(self.ratio(|(report, _)| report.seconds), 3),
            show(self.ratio(|(report, _)| report.cpu), 3),
            show(self.ratio(|(_, whole)| *whole), 3),
            match gate.limit {
                Limit::AtLeast(least) => format!("at least {least}"),
                Limit::AtMost(most) => format!("at most {most}"),
                Limit::Open => "none on this unit".into(),
            },
            match self.wall_ratio().and_then(|ratio| gate.limit.met(ratio)) {
                Some(true) => "yes".into(),
                Some(false) => "**no**".into(),
                None => "-".into(),
            },
        ];
        format!("| {} |", cells.join(" | "))
    }
}

/// Head of the table of the rows above.
pub const HEAD: &str = "| gate | slow / quick | quick, wall ns | slow, wall ns | quick, cpu ns | slow, cpu ns | wall ratio | cpu ratio | whole-process ratio | gate asks | met |\n|---|---|---|---|---|---|---|---|---|---|---|";

#[cfg(test)]
mod tests {
    use super::*;

    fn report(seconds: f64) -> (Report, f64) {
        let counts = [("good".to_owned(), 1_000_000_000)].into();
        (
            Report {
                seconds,
                cpu: seconds,
                peak_kib: 1.0,
                counts,
            },
            seconds,
        )
    }

    #[test]
    fn median_of_an_even_and_an_odd_number() {
        let spread = Spread::of([3.0, 1.0, 2.0].into_iter()).expect("values");
        assert_eq!((spread.median, spread.least, spread.most), (2.0, 1.0, 3.0));
        assert_eq!(
            Spread::of([4.0, 1.0].into_iter()).map(|s| s.median),
            Some(2.5)
        );
        assert_eq!(Spread::of([].into_iter()), None);
    }

    #[test]
    fn ratios_are_taken_pair_by_pair() {
        let runs = Runs {
            pairs: vec![
                [report(1.0), report(10.0)],
                [report(2.0), report(24.0)],
                [report(1.0), report(11.0)],
            ],
        };
        assert_eq!(runs.wall_ratio(), Some(11.0));
        assert!(runs.least_ratio().is_some_and(|ratio| ratio > 1.0));
        let gate = &gates("AVX-512")[2];
        assert!(
            runs.row(gate).contains("| 11.000 (10.000..12.000) |"),
            "{}",
            runs.row(gate)
        );
        assert!(
            runs.row(gate).ends_with("| at least 9 | yes |"),
            "{}",
            runs.row(gate)
        );
        let unmet = Gate {
            limit: Limit::AtMost(1.01),
            ..*gate
        };
        assert!(runs.row(&unmet).ends_with("| at most 1.01 | **no** |"));
    }

    #[test]
    fn a_side_that_waited_for_its_core_is_noticed() {
        let (mut slow, whole) = report(10.0);
        slow.cpu = 4.0;
        let runs = Runs {
            pairs: vec![[report(1.0), (slow, whole)]],
        };
        let all = gates("AVX-512");
        assert_eq!(runs.share_of_core(&all[0]), 0.4);
        assert_eq!(
            runs.share_of_core(&all[4]),
            1.0,
            "two threads may wait for each other"
        );
    }

    #[test]
    fn a_plain_machine_has_no_gate_against_others() {
        assert!(
            gates("baseline")[..3]
                .iter()
                .all(|gate| gate.limit == Limit::Open)
        );
        assert_eq!(vectors_lost_below("baseline"), None);
        assert_eq!(gates("AVX2 with FMA")[0].limit, Limit::AtLeast(6.0));
    }
}
