//! Writes the raw words of the streams, in an order in which a run consumes them, for a battery of statistical tests.
//!
//! `cargo run --release -p sampling --example words -- --seed 7 --order pairings | dieharder -a -g 200`
//!
//! Every word is 8 bytes, low byte first. The words come without end: writing stops when the reader closes the pipe or
//! after `--words N`, and the number of words written then stands on the error output. `tests/battery` uses this.

use std::io::{ErrorKind, Write};
use std::process::ExitCode;

use sampling::{Stream, StreamId, WORDS};

/// Streams of the nine characteristics of `scenarios/nine-normals.toml`.
const NINE: [&str; 9] = [
    "shaft.gauge_diameter",
    "shaft.half_angle",
    "shaft.gauge_plane",
    "hub.gauge_diameter",
    "hub.half_angle",
    "spacer.thickness",
    "contact.friction",
    "bolt.torque",
    "bolt.nut_factor",
];

/// Streams of a shaft whose diameter and angle are inspected: sizes, errors of the gauges, and which parts are measured.
const INSPECTED: [&str; 5] = [
    "shaft.gauge_diameter",
    "shaft.half_angle",
    "shaft.gauge_diameter.gauge",
    "shaft.half_angle.gauge",
    "shaft.gauge_diameter.picked",
];

/// Neighbouring seeds in the order `seeds`.
const SEEDS: u64 = 8;

/// Points of a study in the order `points`, beside the draws that all points share.
const POINTS: u64 = 7;

const USAGE: &str = "words --seed N --order pairings|columns|attempts|seeds|points [--words N]

  pairings   word by word, each of nine characteristics: a word makes the scores of two pairings, o and o + 64 of a block
  columns    block by block, column by column: the 64 words of each of nine characteristics, as the kernel draws them
  attempts   like pairings, of an inspected part: attempts 0, 1, 2 one after the other for every word
  seeds      like pairings, of eight neighbouring seeds, one after the other for every word
  points     like pairings, of the shared draws and those of points 0 to 6, one after the other for every word";

/// What to write.
struct Request {
    streams: Vec<Stream>,
    by_columns: bool,
    words: u64,
}

fn main() -> ExitCode {
    let request = match read(std::env::args().skip(1)) {
        Ok(request) => request,
        Err(problem) => {
            eprintln!("words: {problem}\n\n{USAGE}");
            return ExitCode::from(2);
        }
    };
    match write(&request, &mut std::io::stdout().lock()) {
        Ok(written) => {
            eprintln!("words written: {written}");
            ExitCode::SUCCESS
        }
        Err(error) => {
            eprintln!("words: {error}");
            ExitCode::FAILURE
        }
    }
}

fn read(mut arguments: impl Iterator<Item = String>) -> Result<Request, String> {
    let (mut seed, mut order, mut words) = (None, None, u64::MAX);
    while let Some(name) = arguments.next() {
        let value = arguments
            .next()
            .ok_or_else(|| format!("{name} needs a value"))?;
        let number = || {
            value
                .parse::<u64>()
                .map_err(|_| format!("{name} needs a whole number, found {value}"))
        };
        match name.as_str() {
            "--seed" => seed = Some(number()?),
            "--words" => words = number()?,
            "--order" => order = Some(value),
            _ => return Err(format!("{name} is not known")),
        }
    }
    let seed = seed.ok_or("--seed is missing")?;
    let order = order.ok_or("--order is missing")?;
    let stream = |seed, point, characteristic: &&str, attempt| {
        Stream::new(StreamId {
            seed,
            point,
            characteristic,
            attempt,
        })
    };
    let nine = |seed, point| NINE.iter().map(move |name| stream(seed, point, name, 0));
    let streams = match order.as_str() {
        "pairings" | "columns" => nine(seed, None).collect(),
        "attempts" => (0..3)
            .flat_map(|attempt| {
                INSPECTED
                    .iter()
                    .map(move |name| stream(seed, None, name, attempt))
            })
            .collect(),
        "seeds" => (0..SEEDS)
            .flat_map(|step| nine(seed.wrapping_add(step), None))
            .collect(),
        "points" => std::iter::once(None)
            .chain((0..POINTS).map(Some))
            .flat_map(|point| nine(seed, point))
            .collect(),
        _ => return Err(format!("there is no order {order}")),
    };
    Ok(Request {
        streams,
        by_columns: order == "columns",
        words,
    })
}

/// Writes block after block; returns the number of words that the reader took.
fn write(request: &Request, out: &mut impl Write) -> std::io::Result<u64> {
    let count = request.streams.len();
    let mut columns = vec![[0_u64; WORDS]; count];
    let mut bytes = vec![0_u8; 8 * WORDS * count];
    let mut left = request.words;
    for block in 0.. {
        for (stream, column) in request.streams.iter().zip(&mut columns) {
            for (word, next) in column.iter_mut().zip(stream.walk(block * WORDS as u64)) {
                *word = next;
            }
        }
        for (place, bytes) in bytes.chunks_exact_mut(8).enumerate() {
            let (stream, lane) = if request.by_columns {
                (place / WORDS, place % WORDS)
            } else {
                (place % count, place / count)
            };
            bytes.copy_from_slice(&columns[stream][lane].to_le_bytes());
        }
        let len = left.min((WORDS * count) as u64);
        match out.write_all(&bytes[..8 * len as usize]) {
            Err(error) if error.kind() == ErrorKind::BrokenPipe => break,
            result => result?,
        }
        left -= len;
        if left == 0 {
            break;
        }
    }
    Ok(request.words - left)
}
