//! Inspection of a characteristic before assembly: gauge, acceptance limits, how many parts are measured.

use distributions::normal;
use sampling::Process;

use crate::problem::escape::quoted;
use crate::problem::id;
use crate::scenario::characteristic::{Drawing, Spec};
use crate::scenario::process::word;
use crate::scenario::quantity::{Measure, Quantity};
use crate::scenario::walk::Section;

/// How a characteristic is inspected. Limits and uncertainty are in the unit of the inside.
#[derive(Debug, Clone, PartialEq)]
pub struct Inspection {
    /// Standard uncertainty of the gauge; a reading is the true value plus a normal error.
    pub gauge_sd: f64,
    /// Guard band: by how much the acceptance limits lie inside the drawing limits (negative: outside).
    pub guard: f64,
    /// Smallest accepted reading.
    pub lower: Option<f64>,
    /// Largest accepted reading.
    pub upper: Option<f64>,
    /// Which parts are measured.
    pub check: Check,
    /// How it was stated, in words.
    pub stated: String,
}

/// Which parts are measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Check {
    /// Every part.
    Every,
    /// A share of the parts, picked at random.
    Share(f64),
    /// A sample of every lot; a lot with more refused parts in its sample than `accept` is sorted, which means that
    /// every part of it is measured.
    Lot {
        /// Parts in a lot.
        size: u64,
        /// Parts in a sample, the first of the lot.
        sample: u64,
        /// Refused parts in a sample up to which the lot passes.
        accept: u64,
    },
}

impl Inspection {
    /// Largest share of the parts that is measured.
    fn checked(&self) -> f64 {
        match self.check {
            Check::Share(share) => share,
            Check::Every | Check::Lot { .. } => 1.0,
        }
    }
}

/// Largest share of the parts that inspection may scrap: beyond it there is no production.
const MOST_SCRAPPED: f64 = 0.8;

/// Slices of the gauge's error, of equal probability.
const SLICES: usize = 201;

/// Parts whose characteristics can be inspected before assembly.
const PARTS: [&str; 3] = ["shaft.", "hub.", "spacer."];

/// Characteristics of those parts that show only later, or tooth by tooth.
const NOT_BEFORE: [&str; 3] = ["settling", "index_error", "profile_error"];

/// Reads the inspection of a characteristic, when it has one.
pub(crate) fn read(
    table: &Section<'_, '_>,
    spec: &Spec,
    drawing: &Drawing,
    process: &Process,
) -> Option<Inspection> {
    let section = table.section("inspection")?;
    let before = section.walk.count();
    let inspection = inspection(&section, spec, drawing);
    section.finish();
    refuse_elsewhere(table, spec);
    let inspection = inspection.filter(|_| table.walk.count() == before)?;
    let refused = refused(process, &inspection) * inspection.checked();
    if refused > MOST_SCRAPPED {
        let found = format!(
            "an inspection that scraps {:.0} % of the parts",
            100.0 * refused
        );
        table.bad(
            &id::RANGE,
            "inspection",
            &found,
            "one that scraps at most 80 %",
            "check limits, gauge and process",
        );
        return None;
    }
    Some(inspection)
}

fn refuse_elsewhere(table: &Section<'_, '_>, spec: &Spec) {
    let inspected = PARTS.iter().any(|part| spec.path.starts_with(part));
    if !inspected || NOT_BEFORE.contains(&spec.key) {
        table.bad(
            &id::CONTRADICTION,
            "inspection",
            &format!("inspection of {}", spec.path),
            "sizes and angles of shaft, hub or spacer, which a gauge can measure before assembly",
            "state the process as it is after inspection",
        );
    }
}

fn inspection(section: &Section<'_, '_>, spec: &Spec, drawing: &Drawing) -> Option<Inspection> {
    if drawing.lower.is_none() && drawing.upper.is_none() {
        section.walk.report(
            &id::CONTRADICTION,
            section.spot,
            &section.path,
            "inspection without drawing limits",
            "deviations, min, max or a class beside it",
            "a part is accepted or refused by its limits",
        );
        return None;
    }
    let (gauge, gauge_words) = gauge(section, spec, drawing)?;
    let (guard, guard_words) = guard(section, spec, drawing, gauge)?;
    let (check, check_words) = check(section)?;
    let (lower, upper) = (
        drawing.lower.map(|l| l + guard),
        drawing.upper.map(|u| u - guard),
    );
    if let (Some(low), Some(high)) = (lower, upper)
        && low >= high
    {
        let found = format!(
            "a guard band that leaves nothing between {} and {}",
            spec.scale.show(low),
            spec.scale.show(high)
        );
        section.bad(
            &id::ORDER,
            "guard_band",
            &found,
            "acceptance limits with room between them",
            "",
        );
        return None;
    }
    Some(Inspection {
        gauge_sd: gauge,
        guard,
        lower,
        upper,
        check,
        stated: format!("{check_words}, {gauge_words}, {guard_words}"),
    })
}

/// The gauge's standard uncertainty: stated as such, or as expanded with k = 2 (JCGM 100, recalled).
fn gauge(section: &Section<'_, '_>, spec: &Spec, drawing: &Drawing) -> Option<(f64, String)> {
    section.exclude(
        "gauge_sd",
        "gauge_uncertainty",
        "the expanded uncertainty is twice the standard one",
    );
    let spread = |q: Quantity| spec.scale.spread(drawing.nominal, q);
    let read = |key| section.quantity(key, spec.scale.difference_measures());
    let (key, found) = match (read("gauge_sd"), read("gauge_uncertainty")) {
        (Some(sd), _) => (
            "gauge_sd",
            (
                spread(sd),
                format!("gauge with sd {}", sd.canonical()),
                sd.value,
            ),
        ),
        (None, Some(expanded)) => (
            "gauge_uncertainty",
            (
                0.5 * spread(expanded),
                format!(
                    "gauge with expanded uncertainty {} (k = 2)",
                    expanded.canonical()
                ),
                expanded.value,
            ),
        ),
        (None, None) => {
            if !section.has("gauge_sd") && !section.has("gauge_uncertainty") {
                section.missing(
                    "gauge_sd",
                    "the standard uncertainty of the gauge; 0 for a perfect one",
                    "gauge_sd = \"1 um\"",
                );
            }
            return None;
        }
    };
    if found.2 < 0.0 {
        section.bad(&id::RANGE, key, "an uncertainty below 0", "0 or more", "");
        return None;
    }
    Some((found.0, found.1))
}

fn guard(
    section: &Section<'_, '_>,
    spec: &Spec,
    drawing: &Drawing,
    gauge: f64,
) -> Option<(f64, String)> {
    section.exclude(
        "guard_band",
        "guard_factor",
        "the factor counts in standard uncertainties of the gauge",
    );
    let before = section.walk.count();
    let band = section.quantity("guard_band", spec.scale.difference_measures());
    let factor = section.quantity("guard_factor", &[Measure::Plain]);
    if section.walk.count() > before {
        return None;
    }
    Some(match (band, factor) {
        (Some(band), _) => (
            spec.scale.spread(drawing.nominal, band),
            format!("acceptance limits {} inside the drawing", band.canonical()),
        ),
        (None, Some(factor)) => (
            factor.value * gauge,
            format!(
                "acceptance limits {} gauge sd inside the drawing",
                factor.canonical()
            ),
        ),
        (None, None) => (0.0, "accepted at the drawing limits".to_owned()),
    })
}

fn check(section: &Section<'_, '_>) -> Option<(Check, String)> {
    let before = section.walk.count();
    let kind = word(section, "check", &["every", "share", "lot"]);
    let share = section.quantity("share", &[Measure::Percent, Measure::Plain]);
    let size = section.count("lot_size", 2, 1_000_000_000);
    let sample = section.count("sample", 1, 1_000_000);
    let accept = section.count("accept", 0, 1_000_000);
    if section.walk.count() > before {
        return None;
    }
    let kind = kind.unwrap_or("every");
    for (key, of) in [
        ("share", "share"),
        ("lot_size", "lot"),
        ("sample", "lot"),
        ("accept", "lot"),
    ] {
        if section.has(key) && kind != of {
            let found = format!("{key} with check = {}", quoted(kind));
            section.bad(
                &id::CONTRADICTION,
                key,
                &found,
                &format!("check = {}", quoted(of)),
                "",
            );
            return None;
        }
    }
    match kind {
        "share" => {
            let Some(share) = share else {
                section.missing(
                    "share",
                    "the share of the parts that is measured",
                    "share = \"10 %\"",
                );
                return None;
            };
            if !(share.value > 0.0 && share.value <= 1.0) {
                section.bad(
                    &id::RANGE,
                    "share",
                    &share.canonical(),
                    "above 0 and at most 100 %",
                    "",
                );
                return None;
            }
            Some((
                Check::Share(share.value),
                format!("{} of the parts measured", share.canonical()),
            ))
        }
        "lot" => lot_check(section, size, sample, accept),
        _ => Some((Check::Every, "every part measured".to_owned())),
    }
}

fn lot_check(
    section: &Section<'_, '_>,
    size: Option<u64>,
    sample: Option<u64>,
    accept: Option<u64>,
) -> Option<(Check, String)> {
    for (key, value, what, example) in [
        ("lot_size", size, "the parts in a lot", "lot_size = 500"),
        (
            "sample",
            sample,
            "the parts of a lot that are measured",
            "sample = 50",
        ),
        (
            "accept",
            accept,
            "the refused parts in a sample up to which a lot passes",
            "accept = 0",
        ),
    ] {
        if value.is_none() {
            section.missing(key, what, example);
        }
    }
    let (size, sample, accept) = (size?, sample?, accept?);
    if sample > size || accept >= sample {
        let found = format!(
            "a sample of {sample} from lots of {size}, accepted with up to {accept} refused"
        );
        section.bad(
            &id::ORDER,
            "sample",
            &found,
            "accept below sample, sample at most lot_size",
            "",
        );
        return None;
    }
    let words = format!(
        "{sample} of every {size} measured, all of them where more than {accept} are refused"
    );
    Some((
        Check::Lot {
            size,
            sample,
            accept,
        },
        words,
    ))
}

/// Share of the parts whose reading the acceptance limits refuse.
fn refused(process: &Process, inspection: &Inspection) -> f64 {
    let beyond = |error: f64| {
        let below = inspection
            .lower
            .map_or(0.0, |lower| process.below(lower - error));
        below
            + inspection
                .upper
                .map_or(0.0, |upper| process.above(upper - error))
    };
    let slice =
        |i: usize| beyond(inspection.gauge_sd * normal::quantile((i as f64 + 0.5) / SLICES as f64));
    (0..SLICES).map(slice).sum::<f64>() / SLICES as f64
}
