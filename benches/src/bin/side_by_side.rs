//! The gates of speed, measured by turns on this machine: see `benches/README.md`.

use std::process::ExitCode;

use benches::gate::{self, Gate, Runs, Side, gates};
use benches::side::{self, Task, child};
use benches::{grid, machine};
use clap::{Parser, Subcommand};

/// Pairings of a full run: 600 chunks.
const PAIRINGS: u64 = 600 * study::CHUNK;

/// The gates of speed, by turns: each side in a process of its own, the ratio pair by pair.
#[derive(Debug, Parser)]
struct Arguments {
    /// Counted pairs of runs, after one of warm-up.
    #[arg(long, default_value_t = 7, value_parser = clap::value_parser!(u64).range(1..))]
    runs: u64,
    /// Pairings of a run, an even number.
    #[arg(long, default_value_t = PAIRINGS, value_parser = clap::value_parser!(u64).range(2..))]
    pairings: u64,
    /// A tenth of the pairings and three runs: to see that it works, not to quote.
    #[arg(long)]
    quick: bool,
    /// Only the ratio to the scalar path: exit code 1 when the vectors are lost.
    #[arg(long)]
    check_vectors: bool,
    /// Vector unit: avx512, avx2, baseline, best.
    #[arg(long, default_value = "best")]
    unit: String,
    /// Pairings in an array of the peer, an even number.
    #[arg(long, default_value_t = 32_768)]
    chunk: u64,
    /// Only these gates, for example `ac`; f is memory.
    #[arg(long, default_value = "abcdefg")]
    gates: String,
    #[command(subcommand)]
    command: Option<Hidden>,
}

#[derive(Debug, Subcommand)]
enum Hidden {
    /// Runs one side in this process.
    #[command(hide = true)]
    Child {
        side: String,
        #[arg(long)]
        threads: usize,
        #[arg(long)]
        unit: String,
        #[arg(long)]
        pairings: u64,
        #[arg(long)]
        seed: u64,
    },
}

fn main() -> ExitCode {
    let arguments = Arguments::parse();
    let result = match &arguments.command {
        Some(Hidden::Child {
            side,
            threads,
            unit,
            pairings,
            seed,
        }) => alone(side, *threads, unit, *pairings, *seed),
        None => compare(&arguments),
    };
    match result {
        Ok(()) => ExitCode::SUCCESS,
        Err(message) => {
            eprintln!("error: {message}");
            ExitCode::FAILURE
        }
    }
}

fn alone(name: &str, threads: usize, unit: &str, pairings: u64, seed: u64) -> Result<(), String> {
    let task = Task {
        pairings,
        seed,
        unit: side::unit(unit)?,
        chunk: 0,
    };
    print!("{}", side::here(name, threads, &task)?);
    Ok(())
}

fn compare(arguments: &Arguments) -> Result<(), String> {
    let pairings = if arguments.quick {
        PAIRINGS / 10
    } else {
        arguments.pairings
    };
    let runs = if arguments.quick { 3 } else { arguments.runs };
    let letters = if arguments.check_vectors {
        "c"
    } else {
        &arguments.gates
    };
    if let Some(letter) = letters.chars().find(|letter| !('a'..='g').contains(letter)) {
        return Err(format!("there is no gate {letter:?}: a to g are"));
    }
    if !pairings.is_multiple_of(2) || !arguments.chunk.is_multiple_of(2) {
        return Err("pairings and chunk are even numbers".into());
    }
    let unit = side::unit(&arguments.unit)?;
    let task = Task {
        pairings,
        seed: 0,
        unit,
        chunk: arguments.chunk,
    };
    for line in machine::describe(unit.name()) {
        println!("{line}");
    }
    println!(
        "{runs} runs by turns of {pairings} pairings, the peer's arrays {}\n\n{}",
        task.chunk,
        gate::HEAD
    );
    let (mut lost, mut share) = (Ok(()), 1.0_f64);
    for gate in gates(unit.name()) {
        if letters.contains(gate.letter) {
            let measured = by_turns(&gate, &sized(&gate, &task), runs)?;
            println!("{}", measured.row(&gate));
            share = share.min(measured.share_of_core(&gate));
            if gate.slow == Side::Scalar {
                lost = vectors(unit.name(), &measured);
            }
        }
    }
    if letters.contains('f') {
        memory(&task)?;
    }
    if share < 0.95 {
        println!(
            "\nOther jobs held the cores: a side with one thread had one for {:.0} % of its time. Do not quote these ratios.",
            100.0 * share
        );
    }
    lost
}

/// The task of a gate: a study of many points has a number of pairings of its own, 1e5 at each point of a full run.
fn sized(gate: &Gate, task: &Task) -> Task {
    let each = if task.pairings < PAIRINGS { 2e4 } else { 1e5 } as u64;
    match gate.quick {
        Side::Grid { .. } => Task {
            pairings: each * grid::POINTS,
            ..*task
        },
        _ => *task,
    }
}

/// Runs both sides by turns, each run with a seed of its own; the first pair warms up.
fn by_turns(gate: &Gate, task: &Task, runs: u64) -> Result<Runs, String> {
    let mut measured = Runs::default();
    for seed in 0..=runs {
        let task = Task { seed, ..*task };
        let (quick, slow) = (child(gate.quick, &task)?, child(gate.slow, &task)?);
        same(gate, &quick.0, &slow.0)?;
        if seed > 0 {
            measured.pairs.push([quick, slow]);
        }
    }
    Ok(measured)
}

/// Own runs with the same seed have the same counts; others the same shares.
fn same(
    gate: &Gate,
    quick: &benches::report::Report,
    slow: &benches::report::Report,
) -> Result<(), String> {
    let names = format!("{} and {}", gate.quick.name(), gate.slow.name());
    if matches!(gate.slow, Side::Ours { .. } | Side::Grid { .. }) && quick.counts != slow.counts {
        return Err(format!(
            "{names} differ: {:?} and {:?}",
            quick.counts, slow.counts
        ));
    }
    quick
        .agrees_with(slow)
        .map_err(|error| format!("{names}: {error}"))
}

fn vectors(unit: &str, measured: &Runs) -> Result<(), String> {
    match (gate::vectors_lost_below(unit), measured.least_ratio()) {
        (Some(least), Some(ratio)) if ratio < least => Err(format!(
            "the compiler has lost the vectors: {ratio:.2} times the scalar path on {unit} by the least times, less than {least}"
        )),
        _ => Ok(()),
    }
}

/// Peak memory of the computing process: it must not grow with the pairings.
fn memory(task: &Task) -> Result<(), String> {
    println!("\n| gate f: peak memory | pairings | MiB | at most | met |\n|---|---|---|---|---|");
    for threads in [1, 2] {
        for pairings in [task.pairings / 4, task.pairings] {
            let side = Side::Ours { threads };
            let (report, _) = child(
                side,
                &Task {
                    pairings,
                    seed: 1,
                    ..*task
                },
            )?;
            let allowed = gate::memory_allowed_kib(threads);
            let met = if report.peak_kib <= allowed {
                "yes"
            } else {
                "**no**"
            };
            println!(
                "| {} | {pairings} | {:.1} | {:.1} | {met} |",
                side.name(),
                report.peak_kib / 1024.0,
                allowed / 1024.0
            );
        }
    }
    Ok(())
}
