//! How lots, wear, inspection, correlation and readings were computed: a line or two each, only where they are used.

use record::{Basis, Record};

use super::{doubt, words_of};
use crate::figure;

/// How each was computed; only those that the record uses.
pub fn used(record: &Record) -> Vec<String> {
    [
        slow(record),
        lots(record),
        correlation(record),
        inspection(record),
        readings(record),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// Whether the mean of some process moves.
pub fn moves(record: &Record) -> bool {
    record
        .characteristics
        .iter()
        .any(|c| !c.process.slow.is_empty())
}

fn slow(record: &Record) -> Option<String> {
    moves(record).then(|| {
        let moving: Vec<String> = record
            .characteristics
            .iter()
            .filter(|c| !c.process.slow.is_empty())
            .map(|c| words_of(record, &c.path))
            .collect();
        format!(
            "Means that move ({}): a value is what scatters from part to part, plus the shift of its lot (normal from lot to lot), plus the wear of the tool (an even ramp from one change to the next, centred on the mean). \
             The yield and all outputs are over parts of all lots and of the whole life of a tool.",
            moving.join(", ")
        )
    })
}

fn lots(record: &Record) -> Option<String> {
    (!record.lot_yields.is_empty()).then(|| {
        "From lot to lot: whole lots are simulated one after the other, the shift drawn once for a lot and shared by its parts; each lot's yield is its good joints over its pairings.".to_owned()
    })
}

fn correlation(record: &Record) -> Option<String> {
    (!record.correlations.is_empty()).then(|| {
        "Correlation: a Gaussian copula. The normal scores of the two characteristics are drawn with the correlation that gives the stated one for their shapes; each keeps its own process. Only the strength is stated, so far tails may hang together more than here.".to_owned()
    })
}

fn inspection(record: &Record) -> Option<String> {
    (!record.inspections.is_empty()).then(|| {
        "Inspection: the gauge reads the true value plus a normal error of its standard uncertainty. A part passes when the reading lies within the acceptance limits, which are the drawing limits moved inwards by the guard band. What is not measured passes unseen. A part that fails is scrapped and another is made, until every pairing has parts that passed.".to_owned()
    })
}

fn readings(record: &Record) -> Option<String> {
    let doubt = record.doubt.as_ref()?;
    let mut line = format!(
        "Doubt of the readings: {} times the readings were drawn anew and the yield counted over {}. The wide interval holds {} of what came out, the chance of the pairings in it.",
        figure::count(doubt.repeats),
        figure::pairings(doubt.pairings),
        figure::confidence(doubt.confidence)
    );
    let ways = doubt::ways(record, doubt);
    if !ways.is_empty() {
        line.push_str(&format!(" How: {}.", ways.join("; ")));
    }
    Some(line)
}

/// What the intervals on the page do not cover when processes are measured.
pub fn intervals(record: &Record) -> Option<String> {
    record.doubt.as_ref().map(|_| {
        "The wide interval of the yield also covers the doubt that few readings leave. It does not cover that later lots may differ from the one that was read. All other intervals cover the simulation alone.".to_owned()
    })
}

/// What a reader must not take inspection, readings and lots for.
pub fn cautions(record: &Record) -> Vec<String> {
    let mut cautions = Vec::new();
    if !record.inspections.is_empty() {
        cautions.push("Inspection with a gauge lets some bad parts through and scraps some good ones; a guard band trades one for the other. It does not make a bad process good.".to_owned());
    }
    let measured = |c: &record::Characteristic| c.process.basis == Basis::Measured;
    if record.doubt.is_some()
        || record
            .characteristics
            .iter()
            .any(|c| measured(c) && c.process.readings.is_some())
    {
        cautions.push("Readings tell of the lot they were taken from. Whether the next lot is like it must be shown by the maker's control of the process.".to_owned());
    }
    cautions
}
