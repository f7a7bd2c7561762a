//! Reads a process that comes from the readings of a lot.

use std::sync::Arc;

use distributions::{FitError, KINDS, Kind};
use sampling::Process;

use crate::problem::escape::quoted;
use crate::problem::id;
use crate::readings::slip;
use crate::scenario::characteristic::{Drawing, Spec};
use crate::scenario::process::word;
use crate::scenario::quantity::{LARGEST, Measure, Quantity};
use crate::scenario::scale::Scale;
use crate::scenario::walk::{Section, nearest};
use crate::scenario::{FromLot, Lot, LotColumn, UseOfReadings};

/// Keys that say by assumption what a lot says by readings.
const ASSUMED: [&str; 20] = [
    "mean",
    "offset",
    "sd",
    "cp",
    "cpk",
    "pp",
    "ppk",
    "toward",
    "fills_at_sds",
    "low",
    "high",
    "mode",
    "origin",
    "skewness",
    "scale",
    "of",
    "lots",
    "wear",
    "tightening_factor",
    "at_sds",
];

/// A process from readings, with what it takes from which lot, and that in words.
pub(crate) fn read(
    section: &Section<'_, '_>,
    spec: &Spec,
    drawing: Option<&Drawing>,
) -> Option<(Process, String, FromLot)> {
    let before = section.walk.count();
    for key in ASSUMED {
        if section.has(key) {
            section.bad(
                &id::CONTRADICTION,
                key,
                &format!("{key} beside lot"),
                "only column, use, unit and, for a fit, shape",
                "the readings give place and scatter",
            );
        }
    }
    let name = section.text("lot");
    let column = section.text("column");
    if column.is_none() && !section.has("column") {
        section.missing(
            "column",
            "the heading of the column with the readings",
            "column = \"gauge_diameter\"",
        );
    }
    let usage = word(section, "use", &["resample", "fit"]);
    if usage.is_none() && !section.has("use") {
        section.missing(
            "use",
            "what is done with the readings: \"resample\" or \"fit\"",
            "use = \"resample\"",
        );
    }
    let unit = section.text("unit");
    let shape = section.text("shape");
    if let (Some("resample"), Some(shape)) = (usage, shape) {
        section.bad(
            &id::CONTRADICTION,
            "shape",
            &format!("the shape {} beside use = \"resample\"", quoted(shape)),
            "use = \"fit\", or no shape",
            "readings drawn again have no shape",
        );
    }
    let lot = found_lot(section, name?)?;
    let column = found_column(section, lot, column?)?;
    let readings = inside(section, spec, drawing?, column, unit)?;
    let how = match usage? {
        "resample" => UseOfReadings::Resample,
        _ => UseOfReadings::Fit(kind(section, shape.unwrap_or("normal"))?.name),
    };
    if section.walk.count() > before {
        return None;
    }
    let process = process(section, how, &readings)?;
    let stated = words(lot, column, how, readings.len());
    let from = FromLot {
        lot: lot.name.clone(),
        column: column.name.clone(),
        how,
        readings,
    };
    Some((process, stated, from))
}

fn found_lot<'s>(section: &'s Section<'_, '_>, name: &str) -> Option<&'s Lot> {
    let lots = section.walk.lots();
    if let Some(lot) = lots.get(name) {
        // One that could not be read has been reported.
        return lot.as_ref();
    }
    let known: Vec<&str> = lots.keys().map(String::as_str).collect();
    let hint = match nearest(name, &known) {
        Some(near) => format!("did you mean {}?", quoted(near)),
        None if known.is_empty() => format!("add a table [lots.{name}] with file = \"…\""),
        None => String::new(),
    };
    let expected = match known.as_slice() {
        [] => "a lot that is defined under [lots]".to_owned(),
        known => format!("one of {}", known.join(", ")),
    };
    section.bad(&id::REFERENCE, "lot", &quoted(name), &expected, &hint);
    None
}

fn found_column<'l>(section: &Section<'_, '_>, lot: &'l Lot, name: &str) -> Option<&'l LotColumn> {
    let bare = name.split('[').next().unwrap_or(name).trim();
    let found = lot
        .columns
        .iter()
        .find(|column| column.name == name.trim() || column.name == bare);
    if found.is_none() {
        let known: Vec<&str> = lot
            .columns
            .iter()
            .map(|column| column.name.as_str())
            .collect();
        section.bad(
            &id::REFERENCE,
            "column",
            &quoted(name),
            &format!("one of {}", known.join(", ")),
            "",
        );
    }
    found
}

/// The readings in the unit of the inside.
fn inside(
    section: &Section<'_, '_>,
    spec: &Spec,
    drawing: &Drawing,
    column: &LotColumn,
    unit: Option<&str>,
) -> Option<Arc<[f64]>> {
    let heading = Some(column.unit.as_str()).filter(|unit| !unit.is_empty());
    if let (Some(stated), Some(heading)) = (unit, heading)
        && stated != heading
    {
        let found = format!(
            "{} where the heading says {}",
            quoted(stated),
            quoted(heading)
        );
        section.bad(
            &id::CONTRADICTION,
            "unit",
            &found,
            "one unit",
            "leave it out; the heading holds",
        );
        return None;
    }
    let name = unit.or(heading).unwrap_or("");
    let key = if unit.is_some() { "unit" } else { "column" };
    let (scale, measures) = scale_and_measures(spec.scale);
    let one = match Quantity::parse(&format!("1 {name}")) {
        Ok(one) if measures.contains(&one.measure) => one,
        _ => {
            let kinds: Vec<&str> = measures.iter().map(|m| m.words()).collect();
            let found = match name {
                "" => "readings without a unit".to_owned(),
                name => format!("readings in {}", quoted(name)),
            };
            let usual = measures[0].usual();
            let hint = match usual {
                "" => "leave the unit out".to_owned(),
                usual => format!(
                    "state the unit in the heading, {} [{usual}], or by unit = \"…\"",
                    column.name
                ),
            };
            section.bad(&id::UNIT, key, &found, &kinds.join(" or "), &hint);
            return None;
        }
    };
    let scale = if one.measure == Measure::Angle {
        scale
    } else {
        spec.scale
    };
    let value = |number: f64| {
        scale.absolute(Quantity {
            value: number * one.value,
            number,
            ..one
        })
    };
    let values: Arc<[f64]> = column.values.iter().map(|number| value(*number)).collect();
    if let Some(far) = values.iter().find(|v| libm::fabs(**v) > LARGEST) {
        let found = format!("a reading of {}", spec.scale.show(*far));
        let expected =
            format!("readings of at most {LARGEST:e} in the unit of the inside (mm, rad)");
        section.bad(&id::RANGE, "column", &found, &expected, "");
        return None;
    }
    if let Some(slip) = slip(&values, drawing.nominal) {
        let middle = drawing.nominal * slip.ratio;
        let found = format!(
            "readings around {}, off the nominal {} by {}",
            spec.scale.show(middle),
            spec.scale.show(drawing.nominal),
            slip.words
        );
        section.bad(
            &id::SLIP,
            "column",
            &found,
            "readings near the nominal",
            "check the unit of the column",
        );
        return None;
    }
    Some(values)
}

/// How readings of an angle are taken, and what readings may measure: those of a taper may also be angles of the included cone.
fn scale_and_measures(scale: Scale) -> (Scale, Vec<Measure>) {
    let mut measures = scale.absolute_measures().to_vec();
    match scale {
        Scale::TaperRate => {
            measures.insert(0, Measure::Angle);
            (Scale::ConeAngle, measures)
        }
        other => (other, measures),
    }
}

fn kind(section: &Section<'_, '_>, name: &str) -> Option<&'static Kind> {
    let fitting: Vec<&str> = KINDS
        .iter()
        .filter(|kind| kind.fit.is_some())
        .map(|kind| kind.name)
        .collect();
    let found = Kind::named(name).filter(|kind| kind.fit.is_some());
    if found.is_none() {
        let hint = nearest(name, &fitting).map_or_else(String::new, |near| {
            format!("did you mean {}?", quoted(near))
        });
        section.bad(
            &id::WORD,
            "shape",
            &quoted(name),
            &format!("a shape that can be fitted: {}", fitting.join(", ")),
            &hint,
        );
    }
    found
}

fn process(
    section: &Section<'_, '_>,
    how: UseOfReadings,
    readings: &Arc<[f64]>,
) -> Option<Process> {
    match how {
        UseOfReadings::Resample => Process::rows(readings.clone()).ok(),
        UseOfReadings::Fit(name) => match fitted(name, readings) {
            Ok(process) => Some(process),
            Err(error) => {
                let found = format!(
                    "the shape {} for {} readings: {error}",
                    quoted(name),
                    readings.len()
                );
                section.bad(
                    &id::PROCESS,
                    "use",
                    &found,
                    "readings to which the shape can be fitted",
                    "use = \"resample\" takes any readings",
                );
                None
            }
        },
    }
}

/// A process of this shape fitted to readings: mean and standard deviation (n - 1) for a normal, maximum likelihood otherwise.
///
/// # Errors
/// [`FitError`]
pub(crate) fn fitted(name: &str, readings: &[f64]) -> Result<Process, FitError> {
    if name == "normal" {
        let moments = capability::moments::Moments::of(readings);
        let needs = FitError::TooFew {
            n: readings.len(),
            needs: 2,
        };
        let (mean, sd) = (moments.mean().ok_or(needs)?, moments.sd().ok_or(needs)?);
        if sd == 0.0 {
            return Err(FitError::NoSpread);
        }
        return Process::normal(mean, sd).map_err(|_| FitError::Unsuited);
    }
    let kind = Kind::named(name).ok_or(FitError::Unsuited)?;
    let fit = kind.fit.ok_or(FitError::Unsuited)?;
    Ok(Process::shaped(kind.name, fit(readings)?.shape))
}

fn words(lot: &Lot, column: &LotColumn, how: UseOfReadings, n: usize) -> String {
    let what = match how {
        UseOfReadings::Resample => "drawn again".to_owned(),
        UseOfReadings::Fit(name) => format!("{} fitted", name.replace('_', " ")),
    };
    format!(
        "{n} readings of lot {}, column {}, {what}",
        lot.name, column.name
    )
}
