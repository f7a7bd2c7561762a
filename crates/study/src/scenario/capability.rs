//! Reads a process stated by its capability: Cp and Cpk of what scatters from part to part, Pp and Ppk of everything.

use crate::problem::id;
use crate::scenario::quantity::Measure;
use crate::scenario::scale::short;
use crate::scenario::walk::Section;

/// One pair of indices.
#[derive(Debug, PartialEq, Eq)]
struct Pair {
    /// Key and name of the index that gives the standard deviation.
    width: (&'static str, &'static str),
    /// Key and name of the index that gives the mean.
    place: (&'static str, &'static str),
    /// Whether it counts the scatter of all parts, slow parts of the process in it.
    overall: bool,
}

static PAIRS: [Pair; 2] = [
    Pair {
        width: ("cp", "Cp"),
        place: ("cpk", "Cpk"),
        overall: false,
    },
    Pair {
        width: ("pp", "Pp"),
        place: ("ppk", "Ppk"),
        overall: true,
    },
];

/// Which limit a mean leans to.
pub(crate) const TOWARD: [&str; 2] = ["lower", "upper"];

/// A capability as typed.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Capability {
    pair: &'static Pair,
    width: f64,
    place: Option<f64>,
    toward: Option<&'static str>,
}

impl Capability {
    /// Reads the keys; `None` without them, or when something was reported.
    pub(crate) fn read(
        section: &Section<'_, '_>,
        toward: Option<&'static str>,
    ) -> Option<Capability> {
        let plain = |key| section.quantity(key, &[Measure::Plain]).map(|q| q.value);
        let mut found = None;
        for pair in &PAIRS {
            let (width, place) = (plain(pair.width.0), plain(pair.place.0));
            pair.alone(section);
            if let Some(width) = width {
                pair.check(section, width, place);
                found = found.or(Some(Capability {
                    pair,
                    width,
                    place,
                    toward,
                }));
            }
        }
        lone_toward(section);
        found
    }

    /// Whether it counts the scatter of all parts.
    pub(crate) fn overall(&self) -> bool {
        self.pair.overall
    }

    /// Key of the index that gives the standard deviation.
    pub(crate) fn key(&self) -> &'static str {
        self.pair.width.0
    }

    /// Key and value, for a message.
    pub(crate) fn typed(&self) -> String {
        format!("{} {}", self.key(), self.width)
    }

    /// Standard deviation between two limits: `(upper - lower) / (6 index)`.
    pub(crate) fn sd(&self, lower: f64, upper: f64) -> f64 {
        (upper - lower) / (6.0 * self.width)
    }

    /// The mean with 3 Cpk (Ppk) standard deviations left to the limit that it leans to, and how that was stated.
    pub(crate) fn mean(&self, lower: f64, upper: f64) -> (f64, String) {
        let (sd, place) = (self.sd(lower, upper), self.place.unwrap_or(self.width));
        let words = |side: &str| {
            format!(
                "{}, {} {} toward {side}",
                self.words(),
                self.pair.place.1,
                short(place)
            )
        };
        match self.toward {
            Some("upper") => (upper - 3.0 * place * sd, words("upper")),
            Some(_) => (lower + 3.0 * place * sd, words("lower")),
            None => (
                0.5 * (lower + upper),
                format!("{} in the middle of the limits", self.words()),
            ),
        }
    }

    /// The index in words.
    pub(crate) fn words(&self) -> String {
        format!("{} {}", self.pair.width.1, short(self.width))
    }
}

impl Pair {
    /// Refuses the index of the mean without that of the standard deviation.
    fn alone(&self, section: &Section<'_, '_>) {
        let ((width, _), (place, _)) = (self.width, self.place);
        if section.has(place) && !section.has(width) {
            section.bad(
                &id::CONTRADICTION,
                place,
                &format!("{place} without {width}"),
                &format!("{width} beside it"),
                &format!("{width} gives the standard deviation, {place} and toward the mean"),
            );
        }
    }

    fn check(&self, section: &Section<'_, '_>, index: f64, of_mean: Option<f64>) {
        let ((width, _), (place, _)) = (self.width, self.place);
        if index <= 0.0 {
            section.bad(
                &id::PROCESS,
                width,
                &format!("{index}"),
                &format!("{width} above 0"),
                "",
            );
        }
        let Some(of_mean) = of_mean else { return };
        if of_mean > index {
            section.bad(
                &id::CONTRADICTION,
                place,
                &format!(
                    "{place} {of_mean} above {width} {index} ({})",
                    section.walk.where_is(section.spot_of(width))
                ),
                &format!("{place} at or below {width}"),
                &format!("{place} equals {width} when the mean is in the middle of the limits"),
            );
        } else if of_mean < index && !section.has("toward") {
            section.bad(
                &id::CONTRADICTION,
                place,
                &format!("{place} {of_mean} below {width} {index}, but no toward"),
                "toward = \"lower\" or \"upper\": the limit that the mean leans to",
                "",
            );
        }
    }
}

/// Refuses `toward` without the indices that it belongs to. An index of the mean that stands alone was refused before.
fn lone_toward(section: &Section<'_, '_>) {
    let alone = |pair: &Pair| section.has(pair.place.0) && !section.has(pair.width.0);
    if !section.has("toward") || PAIRS.iter().any(alone) {
        return;
    }
    match PAIRS.iter().find(|pair| section.has(pair.width.0)) {
        None => section.bad(
            &id::CONTRADICTION,
            "toward",
            "toward without cp",
            "cp beside it",
            "cp gives the standard deviation, cpk and toward the mean",
        ),
        Some(pair) if !section.has(pair.place.0) => section.bad(
            &id::CONTRADICTION,
            "toward",
            &format!("toward without {}", pair.place.0),
            &format!("{} beside it, or neither", pair.place.0),
            "",
        ),
        Some(_) => {}
    }
}
