//! The answer where processes come from few readings: what the readings leave open, beside what the simulation does.

use record::{Doubt, Record};

use super::paragraph;
use crate::figure;
use crate::text::html;

/// Characteristics that are named one by one; more are counted.
const NAMED: usize = 3;

/// How far the interval of the simulation must be inside the wide one to add `only` so much.
const ONLY: f64 = 0.2;

/// The sentence that leads, then the counts and what they stand for.
pub fn lead(record: &Record, doubt: &Doubt, counts: &str) -> String {
    format!(
        "<p class=\"lead\"><strong>{}</strong> ({}): {}. {}</p>\n{}",
        between(record.yield_between()),
        figure::confidence(doubt.confidence),
        left_open(record, doubt),
        added(record),
        paragraph(&format!(
            "If the processes are exactly as the readings show them: {counts}"
        ))
    )
}

/// `Between 93.1 % and 98.9 % of the joints will be good`.
pub fn between([low, high]: [f64; 2]) -> String {
    let [shown_low, shown_high] =
        figure::outward_percent(low, high).map(|end| figure::with_unit(&end, "%"));
    match (low > 0.0, high < 1.0) {
        (true, true) => format!("Between {shown_low} and {shown_high} of the joints will be good"),
        (true, false) => format!(
            "At least {} of the joints will be good",
            figure::at_least(low)
        ),
        (false, true) => format!("At most {shown_high} of the joints will be good"),
        (false, false) => "Any share of the joints may be good, from none to all".to_owned(),
    }
}

/// Which readings leave it open.
fn left_open(record: &Record, doubt: &Doubt) -> String {
    let readings = match doubt.readings {
        1 => "one reading".to_owned(),
        n => format!("{} readings", figure::count(n)),
    };
    let names = names(record, doubt);
    match names.as_slice() {
        [] => format!("the {readings} behind the processes leave that much open"),
        [one] => format!("the {readings} behind the {one} leave that much open"),
        [first @ .., last] if names.len() <= NAMED => format!(
            "the readings behind {} and {last}, {} for the fewest, leave that much open",
            first.join(", "),
            figure::count(doubt.readings)
        ),
        _ => format!(
            "the readings behind {} characteristics, {} for the fewest, leave that much open",
            names.len(),
            figure::count(doubt.readings)
        ),
    }
}

/// The characteristics whose readings are few, in words, each once.
fn names(record: &Record, doubt: &Doubt) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    for (path, _) in &doubt.ways {
        let name = super::words_of(record, path);
        if !names.contains(&name) {
            names.push(name);
        }
    }
    names
}

/// What the draw of a finite number of pairings adds.
fn added(record: &Record) -> String {
    let y = &record.yield_;
    let [low, high] = record.yield_between();
    let half = (y.high - y.low) * 50.0;
    let points = figure::with_unit(
        &format!("±{}", figure::significant(half, 1)),
        "percentage points",
    );
    if y.high - y.low <= ONLY * (high - low) {
        format!("The simulation itself adds only {points}.")
    } else {
        format!("The simulation itself adds {points}; more pairings would narrow that part.")
    }
}

/// What the interval of the simulation covers, and what it does not.
pub fn covered(doubt: &Doubt) -> String {
    format!(
        "This interval covers the draw of a finite number of pairings alone, as do all others on this page; the wide one above also covers that other parts might have been read. \
         For it the readings were drawn anew {} times.",
        figure::count(doubt.repeats)
    )
}

/// The verdict against a target, by the ends of the wide interval.
pub fn verdict(record: &Record, target: f64, asked: &str) -> String {
    let [low, high] = record.yield_between();
    let y = &record.yield_;
    let words = if low >= target {
        format!(
            "<strong>Meets the target of {asked}:</strong> the whole wide interval lies at or above it."
        )
    } else if high < target {
        format!(
            "<strong>Misses the target of {asked}:</strong> the whole wide interval lies below it."
        )
    } else if y.low >= target || y.high < target {
        let side = if y.low >= target { "met" } else { "missed" };
        format!(
            "<strong>Cannot be told against the target of {asked}:</strong> the wide interval reaches to both sides of it. \
             It would be {side} if the processes were exactly as the readings show them. More readings would narrow the wide interval; more pairings would not."
        )
    } else {
        format!(
            "<strong>Cannot be told against the target of {asked}:</strong> both intervals reach to both sides of it; more readings, and more pairings too, would narrow them."
        )
    };
    paragraph(&words)
}

/// How the readings were drawn anew, a line for each way and the characteristics it was used for.
pub fn ways(record: &Record, doubt: &Doubt) -> Vec<String> {
    let mut ways: Vec<(String, Vec<String>)> = Vec::new();
    for (path, way) in &doubt.ways {
        let (way, name) = (html(way), super::words_of(record, path));
        match ways.iter_mut().find(|(known, _)| *known == way) {
            Some((_, names)) => names.push(name),
            None => ways.push((way, vec![name])),
        }
    }
    ways.into_iter()
        .map(|(way, names)| format!("{}: {way}", names.join(", ")))
        .collect()
}
