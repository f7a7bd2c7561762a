//! Reads mean and standard deviation of a process, in every way in which they can be stated.

use crate::problem::id;
use crate::scenario::capability::{Capability, TOWARD};
use crate::scenario::characteristic::{Drawing, Spec, check_slip, short_sd};
use crate::scenario::parameters::spread;
use crate::scenario::process::word;
use crate::scenario::quantity::{Measure, Quantity};
use crate::scenario::scale::{Scale, short};
use crate::scenario::tightening_factor::TighteningFactor;
use crate::scenario::walk::Section;

/// Keys of the mean.
pub(crate) const OF_MEAN: [&str; 2] = ["mean", "offset"];

/// Keys of mean and standard deviation, without those of a torque.
pub(crate) const KEYS: [&str; 9] = [
    "mean",
    "offset",
    "sd",
    "cp",
    "cpk",
    "toward",
    "pp",
    "ppk",
    "fills_at_sds",
];

/// Keys of a torque.
pub(crate) const OF_TORQUE: [&str; 2] = ["tightening_factor", "at_sds"];

/// The ways to state a standard deviation; one of them must stand, and only one.
const WAYS: [&str; 4] = ["sd", "cp", "pp", "fills_at_sds"];

/// Fewest and most standard deviations at which a process fills the limits.
const FILLS: std::ops::RangeInclusive<f64> = 1.0..=10.0;

/// Whether a process may be stated by a tightening factor: only that of a torque.
pub(crate) fn has_factor(scale: Scale) -> bool {
    scale == Scale::Torque
}

/// Mean and standard deviation as typed.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Moments {
    mean: Option<Quantity>,
    offset: Option<Quantity>,
    way: Option<Way>,
}

/// How the standard deviation was stated.
#[derive(Debug, Clone, Copy)]
enum Way {
    Sd(Quantity),
    Factor(TighteningFactor),
    Capability(Capability),
    Fills(f64),
}

impl Moments {
    /// Reads the mean alone, of a process without scatter.
    pub(crate) fn read_mean(section: &Section<'_, '_>, scale: Scale) -> Moments {
        let read = Moments {
            mean: section.quantity("mean", scale.absolute_measures()),
            offset: section.quantity("offset", scale.difference_measures()),
            way: None,
        };
        let why = "mean is absolute, offset counts from the nominal";
        section.exclude("mean", "offset", why);
        read
    }

    /// Reads mean and standard deviation of a shape.
    pub(crate) fn read(section: &Section<'_, '_>, scale: Scale, shape: &str) -> Moments {
        let read = Moments::read_mean(section, scale);
        let sd = section.quantity("sd", scale.difference_measures());
        let factor = has_factor(scale)
            .then(|| TighteningFactor::read(section, shape, true))
            .flatten();
        let toward = word(section, "toward", &TOWARD);
        let capability = Capability::read(section, toward);
        let fills = read_fills(section);
        exclude_ways(section);
        let way = sd.map(Way::Sd).or(factor.map(Way::Factor));
        let way = way.or(capability.map(Way::Capability));
        Moments {
            way: way.or(fills.map(Way::Fills)),
            ..read
        }
        .checked(section, scale)
    }

    fn checked(self, section: &Section<'_, '_>, scale: Scale) -> Moments {
        let stated = WAYS.iter().any(|key| section.has(key))
            || (has_factor(scale) && section.has("tightening_factor"));
        if !stated {
            let what = if has_factor(scale) {
                "the standard deviation, cp against the drawing limits, or a tightening factor"
            } else {
                "the standard deviation, or cp against the drawing limits"
            };
            section.missing("sd", what, "sd = \"2 %\"");
        }
        if let Some(Way::Sd(sd)) = self.way {
            check_sd(section, "sd", sd);
        }
        self
    }

    /// The mean, of a process without scatter.
    pub(crate) fn mean_of(
        &self,
        section: &Section<'_, '_>,
        spec: &Spec,
        drawing: &Drawing,
    ) -> Option<f64> {
        let Some(mean) = self.mean else {
            let moved = |offset| spec.scale.moved(drawing.nominal, offset);
            return Some(self.offset.map_or(drawing.nominal, moved));
        };
        let mean = spec.scale.absolute(mean);
        check_slip(section, "mean", spec, drawing.nominal, mean).then_some(mean)
    }

    /// Mean and standard deviation from part to part in the unit of the inside, and how they were stated. `slow_sd` is the
    /// standard deviation of the slow parts, which a way that counts all parts has in it.
    pub(crate) fn mean_and_sd(
        &self,
        section: &Section<'_, '_>,
        spec: &Spec,
        drawing: &Drawing,
        slow_sd: f64,
    ) -> Option<(f64, f64, String)> {
        match self.way? {
            Way::Sd(typed) => {
                let sd = spread(section, "sd", spec, drawing, typed)?;
                let mean = self.mean_of(section, spec, drawing)?;
                Some((mean, sd, self.beside("sd")))
            }
            Way::Factor(factor) => {
                let sd = drawing.nominal * factor.relative_sd();
                let mean = self.mean_of(section, spec, drawing)?;
                Some((mean, sd, self.beside(&factor.words())))
            }
            Way::Capability(capability) => {
                let key = capability.key();
                let found = capability.typed();
                let hint =
                    format!("{key} is the width between the limits over 6 standard deviations");
                let (lower, upper) = limits(section, drawing, key, &found, &hint)?;
                let mut sd = capability.sd(lower, upper);
                if capability.overall() {
                    sd = within(section, spec, drawing, key, (sd, slow_sd))?;
                }
                let (mean, words) = if self.states_mean() {
                    let words = format!("stated mean, {}", capability.words());
                    (self.mean_of(section, spec, drawing)?, words)
                } else {
                    capability.mean(lower, upper)
                };
                Some((mean, sd, words))
            }
            Way::Fills(at_sds) => self.filling(section, spec, drawing, at_sds, slow_sd),
        }
    }

    /// A process that fills the limits at a number of standard deviations either side.
    fn filling(
        &self,
        section: &Section<'_, '_>,
        spec: &Spec,
        drawing: &Drawing,
        at_sds: f64,
        slow_sd: f64,
    ) -> Option<(f64, f64, String)> {
        let key = "fills_at_sds";
        let hint = "it gives the standard deviation from the width between the limits";
        let (lower, upper) = limits(section, drawing, key, &format!("{key} {at_sds}"), hint)?;
        let sd = within(
            section,
            spec,
            drawing,
            key,
            ((upper - lower) / (2.0 * at_sds), slow_sd),
        )?;
        let words = format!("fills the limits at {} sd either side", short(at_sds));
        if self.states_mean() {
            let mean = self.mean_of(section, spec, drawing)?;
            return Some((mean, sd, format!("stated mean, {words} if centred")));
        }
        Some((0.5 * (lower + upper), sd, words))
    }

    fn states_mean(&self) -> bool {
        self.mean.is_some() || self.offset.is_some()
    }

    /// The way of the mean beside that of the standard deviation, in words.
    fn beside(&self, words: &str) -> String {
        match (self.mean, self.offset) {
            (Some(_), _) => format!("mean and {words}"),
            (_, Some(_)) => format!("offset from nominal and {words}"),
            _ => format!("mean at nominal, {words}"),
        }
    }
}

/// Refuses a standard deviation below 0.
pub(crate) fn check_sd(section: &Section<'_, '_>, key: &str, sd: Quantity) {
    if sd.value < 0.0 {
        section.bad(
            &id::PROCESS,
            key,
            &sd.canonical(),
            "a standard deviation of 0 or more; 0 means no scatter",
            "",
        );
    }
}

fn read_fills(section: &Section<'_, '_>) -> Option<f64> {
    let typed = section.quantity("fills_at_sds", &[Measure::Plain])?;
    if !FILLS.contains(&typed.value) {
        section.bad(
            &id::PROCESS,
            "fills_at_sds",
            &typed.canonical(),
            "1 to 10 standard deviations from the middle to either limit",
            "3 where hardly a part lies outside (0.27 % of a normal)",
        );
        return None;
    }
    Some(typed.value)
}

/// Refuses two ways to state the same number.
fn exclude_ways(section: &Section<'_, '_>) {
    section.exclude(
        "sd",
        "cp",
        "cp gives the standard deviation from the drawing limits",
    );
    for (i, first) in WAYS.iter().enumerate() {
        for second in &WAYS[i + 1..] {
            if *second != "cp" {
                section.exclude(first, second, "each gives the standard deviation");
            }
        }
    }
    for place in ["cpk", "ppk"] {
        if section.has(place) {
            let why = format!("{place} and toward give the mean from the drawing limits");
            section.exclude("mean", place, &why);
            section.exclude("offset", place, &why);
        }
    }
}

/// Both drawing limits, which a way needs.
fn limits(
    section: &Section<'_, '_>,
    drawing: &Drawing,
    key: &str,
    found: &str,
    hint: &str,
) -> Option<(f64, f64)> {
    let both = drawing.lower.zip(drawing.upper);
    if both.is_none() {
        section.bad(
            &id::CONTRADICTION,
            key,
            &format!("{found} without two drawing limits"),
            "deviations, or min and max, beside the process",
            hint,
        );
    }
    both
}

/// Standard deviation from part to part, from that of all parts and that of the slow parts: `sqrt(total^2 - slow^2)`.
fn within(
    section: &Section<'_, '_>,
    spec: &Spec,
    drawing: &Drawing,
    key: &str,
    (total, slow): (f64, f64),
) -> Option<f64> {
    let square = (total - slow) * (total + slow);
    if square < 0.0 {
        let found = format!(
            "{key}, which leaves a standard deviation of {} for everything, and slow parts with {}",
            short_sd(spec, drawing.nominal, total),
            short_sd(spec, drawing.nominal, slow)
        );
        let expected = "slow parts that scatter less than everything together";
        let hint =
            "state cp, which counts the scatter from part to part alone, or smaller lots and wear";
        section.bad(&id::CONTRADICTION, key, &found, expected, hint);
        return None;
    }
    Some(libm::sqrt(square))
}
