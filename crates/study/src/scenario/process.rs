//! Reads a process: its shape, stated by mean and standard deviation, by capability, or by a range.

use sampling::{Process, ProcessError};

use crate::problem::escape::quoted;
use crate::problem::id;
use crate::scenario::characteristic::{Drawing, Spec, check_slip};
use crate::scenario::quantity::{Measure, Quantity};
use crate::scenario::scale::{Scale, short};
use crate::scenario::tightening_factor::TighteningFactor;
use crate::scenario::walk::{Section, nearest};

/// The shapes, by name.
const SHAPES: [&str; 6] = [
    "constant",
    "lognormal",
    "normal",
    "triangular",
    "truncated_normal",
    "uniform",
];

/// The keys that belong to each shape, in the order of [`SHAPES`].
const KEYS: [&[&str]; 6] = [
    &["mean", "offset"],
    &["mean", "offset", "sd", "cp", "cpk", "toward", "origin"],
    &["mean", "offset", "sd", "cp", "cpk", "toward"],
    &["low", "high", "mode"],
    &["mean", "offset", "sd", "cp", "cpk", "toward", "low", "high"],
    &["low", "high"],
];

/// A process as typed.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Typed {
    shape: &'static str,
    mean: Option<Quantity>,
    offset: Option<Quantity>,
    sd: Option<Quantity>,
    factor: Option<TighteningFactor>,
    cp: Option<f64>,
    cpk: Option<f64>,
    toward: Option<&'static str>,
    low: Option<Quantity>,
    high: Option<Quantity>,
    mode: Option<Quantity>,
    origin: Option<Quantity>,
}

/// The keys that belong to a shape.
fn keys_of(shape: &str) -> &'static [&'static str] {
    let place = SHAPES.iter().position(|s| *s == shape);
    place.map_or(&[], |i| KEYS[i])
}

/// Whether a process may be stated by a tightening factor: only that of a torque.
fn has_factor(scale: Scale) -> bool {
    scale == Scale::Torque
}

fn read_factor(section: &Section<'_, '_>, shape: &str, scale: Scale) -> Option<TighteningFactor> {
    let shape_has_sd = keys_of(shape).contains(&"sd");
    has_factor(scale)
        .then(|| TighteningFactor::read(section, shape, shape_has_sd))
        .flatten()
}

/// Which limit a mean leans to.
const TOWARD: [&str; 2] = ["lower", "upper"];

impl Typed {
    /// Reads the table; `None` when something was reported.
    pub(crate) fn read(section: &Section<'_, '_>, scale: Scale) -> Option<Typed> {
        let before = section.walk.count();
        let shape = read_shape(section);
        for (key, hint) in LATER {
            section.not_yet(key, hint);
        }
        let absolute = |key| section.quantity(key, scale.absolute_measures());
        let difference = |key| section.quantity(key, scale.difference_measures());
        let plain = |key| section.quantity(key, &[Measure::Plain]).map(|q| q.value);
        let typed = Typed {
            shape: shape.unwrap_or("normal"),
            mean: absolute("mean"),
            offset: difference("offset"),
            sd: difference("sd"),
            factor: read_factor(section, shape.unwrap_or("normal"), scale),
            cp: plain("cp"),
            cpk: plain("cpk"),
            toward: word(section, "toward", &TOWARD),
            low: absolute("low"),
            high: absolute("high"),
            mode: absolute("mode"),
            origin: absolute("origin"),
        };
        if shape.is_some() {
            typed.check_keys(section, scale);
        }
        (section.walk.count() == before).then_some(typed)
    }

    /// Refuses keys that the shape does not read, and pairs of keys that say the same thing twice.
    fn check_keys(&self, section: &Section<'_, '_>, scale: Scale) {
        let keys = keys_of(self.shape);
        for key in [
            "mean", "offset", "sd", "cp", "cpk", "toward", "low", "high", "mode", "origin",
        ] {
            if section.has(key) && !keys.contains(&key) {
                let found = format!("{key} with the shape {}", quoted(self.shape));
                section.bad(
                    &id::CONTRADICTION,
                    key,
                    &found,
                    &format!("only {} with this shape", keys.join(", ")),
                    "",
                );
            }
        }
        section.exclude(
            "mean",
            "offset",
            "mean is absolute, offset counts from the nominal",
        );
        section.exclude(
            "sd",
            "cp",
            "cp gives the standard deviation from the drawing limits",
        );
        if section.has("cpk") {
            let why = "cpk and toward give the mean from the drawing limits";
            section.exclude("mean", "cpk", why);
            section.exclude("offset", "cpk", why);
        }
        if self.shape != "constant"
            && keys.contains(&"sd")
            && !section.has("sd")
            && !section.has("cp")
            && !(has_factor(scale) && section.has("tightening_factor"))
        {
            let what = if has_factor(scale) {
                "the standard deviation, cp against the drawing limits, or a tightening factor"
            } else {
                "the standard deviation, or cp against the drawing limits"
            };
            section.missing("sd", what, "sd = \"2 %\"");
        }
        if self.sd.is_some_and(|sd| sd.value < 0.0) {
            let shown = self.sd.map_or_else(String::new, |sd| sd.canonical());
            section.bad(
                &id::PROCESS,
                "sd",
                &shown,
                "a standard deviation of 0 or more; 0 means no scatter",
                "",
            );
        }
        self.check_capability(section);
    }

    fn check_capability(&self, section: &Section<'_, '_>) {
        for key in ["cpk", "toward"] {
            if section.has(key) && !section.has("cp") {
                section.bad(
                    &id::CONTRADICTION,
                    key,
                    &format!("{key} without cp"),
                    "cp beside it",
                    "cp gives the standard deviation, cpk and toward the mean",
                );
            }
        }
        if let Some(cp) = self.cp.filter(|cp| *cp <= 0.0) {
            section.bad(&id::PROCESS, "cp", &format!("{cp}"), "cp above 0", "");
        }
        if let (Some(cp), Some(cpk)) = (self.cp, self.cpk) {
            if cpk > cp {
                section.bad(
                    &id::CONTRADICTION,
                    "cpk",
                    &format!(
                        "cpk {cpk} above cp {cp} ({})",
                        section.walk.where_is(section.spot_of("cp"))
                    ),
                    "cpk at or below cp",
                    "cpk equals cp when the mean is in the middle of the limits",
                );
            } else if cpk < cp && !section.has("toward") {
                section.bad(
                    &id::CONTRADICTION,
                    "cpk",
                    &format!("cpk {cpk} below cp {cp}, but no toward"),
                    "toward = \"lower\" or \"upper\": the limit that the mean leans to",
                    "",
                );
            }
        }
        if self.toward.is_some() && self.cp.is_some() && self.cpk.is_none() {
            section.bad(
                &id::CONTRADICTION,
                "toward",
                "toward without cpk",
                "cpk beside it, or neither",
                "",
            );
        }
    }

    /// The process in the unit of the inside, and how it was stated in words.
    pub(crate) fn build(
        &self,
        section: &Section<'_, '_>,
        spec: &Spec,
        drawing: &Drawing,
    ) -> Option<(Process, String)> {
        let scale = spec.scale;
        let inside = |q: Option<Quantity>| q.map(|q| scale.absolute(q));
        let (low, high) = (
            inside(self.low).or(drawing.lower),
            inside(self.high).or(drawing.upper),
        );
        let range_stated = match (self.low, self.high) {
            (None, None) => "drawing limits",
            _ => "stated range",
        };
        let built = match self.shape {
            "constant" => Process::constant(self.mean_of(section, spec, drawing)?)
                .map(|p| (p, "no scatter".to_owned())),
            "normal" => {
                let (mean, sd, stated) = self.mean_and_sd(section, spec, drawing)?;
                Process::normal(mean, sd).map(|p| (p, stated))
            }
            "lognormal" => {
                let (mean, sd, stated) = self.mean_and_sd(section, spec, drawing)?;
                if sd == 0.0 {
                    Process::constant(mean).map(|p| (p, stated))
                } else {
                    Process::lognormal(mean, sd, inside(self.origin).unwrap_or(0.0))
                        .map(|p| (p, stated))
                }
            }
            "truncated_normal" => {
                let (mean, sd, stated) = self.mean_and_sd(section, spec, drawing)?;
                let (low, high) = self.range(section, low, high)?;
                let stated = format!("{stated}, cut at the {range_stated}");
                let made = if sd == 0.0 && (low..=high).contains(&mean) {
                    Process::constant(mean)
                } else {
                    Process::truncated_normal(mean, sd, low, high)
                };
                made.map(|p| (p, stated))
            }
            "uniform" => {
                let (low, high) = self.range(section, low, high)?;
                Process::uniform(low, high).map(|p| (p, format!("fills the {range_stated}")))
            }
            _ => {
                let (low, high) = self.range(section, low, high)?;
                let mode = inside(self.mode).unwrap_or(drawing.nominal);
                Process::triangular(low, mode, high)
                    .map(|p| (p, format!("fills the {range_stated}")))
            }
        };
        built
            .map_err(|error| self.refuse(section, scale, &error))
            .ok()
    }

    fn range(
        &self,
        section: &Section<'_, '_>,
        low: Option<f64>,
        high: Option<f64>,
    ) -> Option<(f64, f64)> {
        let pair = low.zip(high);
        if pair.is_none() {
            let key = if low.is_none() { "low" } else { "high" };
            section.missing(
                key,
                "the range of the process, or two drawing limits that it fills",
                "low = \"29.98 mm\", high = \"30.01 mm\"",
            );
        }
        pair
    }

    fn mean_of(&self, section: &Section<'_, '_>, spec: &Spec, drawing: &Drawing) -> Option<f64> {
        let Some(mean) = self.mean else {
            return Some(
                self.offset
                    .map_or(drawing.nominal, |o| spec.scale.moved(drawing.nominal, o)),
            );
        };
        let mean = spec.scale.absolute(mean);
        check_slip(section, "mean", spec, drawing.nominal, mean).then_some(mean)
    }

    /// The standard deviation by `sd` or by a tightening factor, and which of the two in words.
    fn stated_sd(
        &self,
        section: &Section<'_, '_>,
        spec: &Spec,
        drawing: &Drawing,
    ) -> Option<(f64, String)> {
        if let Some(factor) = self.factor {
            return Some((drawing.nominal * factor.relative_sd(), factor.words()));
        }
        let typed = self.sd?;
        if typed.measure == Measure::Percent && drawing.nominal == 0.0 {
            section.bad(
                &id::PROCESS,
                "sd",
                &typed.canonical(),
                "a standard deviation with its unit",
                "a percentage of a nominal of 0 is 0",
            );
            return None;
        }
        Some((spec.scale.spread(drawing.nominal, typed), "sd".to_owned()))
    }

    fn mean_and_sd(
        &self,
        section: &Section<'_, '_>,
        spec: &Spec,
        drawing: &Drawing,
    ) -> Option<(f64, f64, String)> {
        let Some(cp) = self.cp else {
            let (sd, words) = self.stated_sd(section, spec, drawing)?;
            let words = match (self.mean, self.offset) {
                (Some(_), _) => format!("mean and {words}"),
                (_, Some(_)) => format!("offset from nominal and {words}"),
                _ => format!("mean at nominal, {words}"),
            };
            return Some((self.mean_of(section, spec, drawing)?, sd, words));
        };
        let Some((lower, upper)) = drawing.lower.zip(drawing.upper) else {
            section.bad(
                &id::CONTRADICTION,
                "cp",
                &format!("cp {cp} without two drawing limits"),
                "deviations, or min and max, beside the process",
                "cp is the width between the limits over 6 standard deviations",
            );
            return None;
        };
        let sd = (upper - lower) / (6.0 * cp);
        let cpk = self.cpk.unwrap_or(cp);
        let (mean, words) = match (self.toward, self.mean.is_some() || self.offset.is_some()) {
            (_, true) => (
                self.mean_of(section, spec, drawing)?,
                format!("stated mean, Cp {}", short(cp)),
            ),
            (Some("upper"), _) => (
                upper - 3.0 * cpk * sd,
                format!("Cp {}, Cpk {} toward upper", short(cp), short(cpk)),
            ),
            (Some(_), _) => (
                lower + 3.0 * cpk * sd,
                format!("Cp {}, Cpk {} toward lower", short(cp), short(cpk)),
            ),
            (None, _) => (
                0.5 * (lower + upper),
                format!("Cp {} in the middle of the limits", short(cp)),
            ),
        };
        Some((mean, sd, words))
    }

    /// Turns what the constructor refused into a problem.
    fn refuse(&self, section: &Section<'_, '_>, scale: Scale, error: &ProcessError) {
        let (key, found, expected) = match error {
            ProcessError::EmptyRange { low, high } => (
                "low",
                format!("a range from {} to {}", scale.show(*low), scale.show(*high)),
                "low below high",
            ),
            ProcessError::ModeOutside { mode, low, high } => (
                "mode",
                format!(
                    "the most likely value {} outside the range from {} to {}",
                    scale.show(*mode),
                    scale.show(*low),
                    scale.show(*high)
                ),
                "a mode inside the range (it is the nominal where none is stated)",
            ),
            ProcessError::NothingLeft { low, high, share } => (
                "low",
                format!(
                    "a range from {} to {} that holds {} of the normal distribution",
                    scale.show(*low),
                    scale.show(*high),
                    if *share > 0.0 {
                        format!("only {share:.1e}")
                    } else {
                        "nothing".to_owned()
                    }
                ),
                "a range that holds a share of the distribution",
            ),
            ProcessError::MeanNotAboveOrigin { mean, origin } => (
                "origin",
                format!(
                    "the origin {} at or above the mean {}",
                    scale.show(*origin),
                    scale.show(*mean)
                ),
                "a mean above the origin, which is the smallest possible value",
            ),
            other => (
                "shape",
                other.to_string(),
                "finite numbers, and a standard deviation of 0 or more",
            ),
        };
        section.bad(&id::PROCESS, key, &found, expected, "");
    }
}

/// Keys of a later version.
const LATER: [(&str, &str); 4] = [
    ("lot", "state the shape with its mean and sd"),
    ("column", "it belongs to lot, which is not read either"),
    ("use", "it belongs to lot, which is not read either"),
    ("drift", "state the overall standard deviation"),
];

fn read_shape(section: &Section<'_, '_>) -> Option<&'static str> {
    if !section.has("shape") && !section.has("lot") {
        section.missing(
            "shape",
            &format!("the shape of the distribution: {}", SHAPES.join(", ")),
            "shape = \"normal\"",
        );
    }
    word(section, "shape", &SHAPES)
}

/// One of a few words under a key.
pub(crate) fn word(
    section: &Section<'_, '_>,
    key: &'static str,
    words: &[&'static str],
) -> Option<&'static str> {
    let typed = section.text(key)?;
    let known = words.iter().copied().find(|w| *w == typed);
    if known.is_none() {
        let hint = nearest(typed, words)
            .map_or_else(String::new, |w| format!("did you mean {}?", quoted(w)));
        section.bad(&id::WORD, key, &quoted(typed), &one_of(words), &hint);
    }
    known
}

/// `one of a, b`, or the only word.
fn one_of(words: &[&str]) -> String {
    match words {
        [only] => quoted(only),
        words => format!("one of {}", words.join(", ")),
    }
}
