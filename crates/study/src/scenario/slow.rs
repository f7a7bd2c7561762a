//! Reads the slow parts of a process: means that move from lot to lot, tools that wear.

use sampling::Slow;

use crate::problem::id;
use crate::scenario::characteristic::{Drawing, Spec};
use crate::scenario::parameters::spread;
use crate::scenario::quantity::Quantity;
use crate::scenario::scale::Scale;
use crate::scenario::stated::check_sd;
use crate::scenario::walk::Section;

/// Keys of the slow parts.
pub(crate) const KEYS: [&str; 2] = ["lots", "wear"];

/// Fewest and most parts in a lot, or between two changes of a tool.
const PARTS: (u64, u64) = (2, 1_000_000_000);

/// Characteristics that are drawn for each tooth of a part.
const PER_TOOTH: [&str; 2] = ["index_error", "profile_error"];

/// A slow part as typed: how far it moves, over how many parts.
#[derive(Debug, Clone, Copy)]
struct Typed {
    key: &'static str,
    by: Quantity,
    parts: u64,
}

/// The slow parts of one process as typed.
#[derive(Debug, Clone, Default)]
pub(crate) struct SlowParts(Vec<Typed>);

/// Key of how far a slow part moves, and of how many parts it takes.
fn keys(key: &str) -> (&'static str, &'static str) {
    match key {
        "lots" => ("sd", "size"),
        _ => ("ramp", "parts"),
    }
}

impl SlowParts {
    /// Reads `lots` and `wear`.
    pub(crate) fn read(section: &Section<'_, '_>, scale: Scale) -> SlowParts {
        let read = KEYS.iter().filter_map(|key| read(section, scale, key));
        SlowParts(read.collect())
    }

    /// The slow parts in the unit of the inside; one that does not move is none. `None` when something was reported.
    pub(crate) fn build(
        &self,
        section: &Section<'_, '_>,
        spec: &Spec,
        drawing: &Drawing,
    ) -> Option<Vec<Slow>> {
        let before = section.walk.count();
        let mut slow = Vec::new();
        for typed in &self.0 {
            refuse_per_tooth(section, spec, typed.key);
            let inside = section
                .section(typed.key)
                .and_then(|table| spread(&table, keys(typed.key).0, spec, drawing, typed.by));
            match inside {
                None | Some(0.0) => {}
                Some(sd) if typed.key == "lots" => slow.push(Slow::Lots {
                    sd,
                    size: typed.parts,
                }),
                Some(ramp) => slow.push(Slow::Wear {
                    ramp,
                    parts: typed.parts,
                }),
            }
        }
        (section.walk.count() == before).then_some(slow)
    }
}

/// Standard deviation of all slow parts together.
pub(crate) fn sd(slow: &[Slow]) -> f64 {
    libm::sqrt(slow.iter().map(|part| part.sd() * part.sd()).sum())
}

fn read(section: &Section<'_, '_>, scale: Scale, key: &'static str) -> Option<Typed> {
    let table = section.section(key)?;
    let (by_key, parts_key) = keys(key);
    if !table.has(by_key) {
        let (what, example) = match key {
            "lots" => ("the standard deviation of the lots' means", "sd = \"2 um\""),
            _ => (
                "how far the mean moves from one change of the tool to the next",
                "ramp = \"10 um\"",
            ),
        };
        table.missing(by_key, what, example);
    }
    if !table.has(parts_key) {
        let (what, example) = match key {
            "lots" => ("the parts in a lot", "size = 500"),
            _ => ("the parts between two changes of the tool", "parts = 400"),
        };
        table.missing(parts_key, what, example);
    }
    let by = table.quantity(by_key, scale.difference_measures());
    let parts = table.count(parts_key, PARTS.0, PARTS.1);
    if let Some(by) = by.filter(|_| key == "lots") {
        check_sd(&table, by_key, by);
    }
    table.finish();
    Some(Typed {
        key,
        by: by?,
        parts: parts?,
    })
}

/// Refuses slow parts of an error that every tooth has for itself.
fn refuse_per_tooth(section: &Section<'_, '_>, spec: &Spec, key: &str) {
    if PER_TOOTH.contains(&spec.key) {
        section.bad(
            &id::CONTRADICTION,
            key,
            &format!("{key} of {}", spec.words),
            "a process without lots and wear",
            "it is drawn for each tooth; what all teeth of a lot share belongs to the tooth's thickness or the space's width",
        );
    }
}
