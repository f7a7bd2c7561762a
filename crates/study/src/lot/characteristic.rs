//! The study of one measured characteristic.

use capability::moments::Moments;
use record::{Histogram, LotCharacteristic, Normality, OrderPoint, Subgroups};

use super::drawing::{ColumnUnit, Drawing};
use super::shapes::{self, Candidate};
use super::words::{readings_are, short};
use super::{
    CHANCE, beside, classes, gauge, groups, indices, normality, order, outliers, paste, resolution,
};
use crate::readings::Dialect;

/// Points of a picture.
const POINTS: usize = 400;

/// Bins of the histogram.
const BINS: (usize, usize) = (5, 60);

/// Readings below which a study says that they are few (no capability study of a machine is made from fewer: ISO 22514-3).
const FEW: usize = 30;

/// One column of readings, with what is known of each.
#[derive(Debug, Clone)]
pub(super) struct Readings {
    pub(super) name: String,
    pub(super) unit: ColumnUnit,
    /// Whether the unit was said on the command line.
    pub(super) unit_said: bool,
    pub(super) drawing: Drawing,
    /// In the order of the file.
    pub(super) values: Vec<f64>,
    /// Line of the file of each.
    pub(super) lines: Vec<u64>,
    /// Serial number of each, when there is a column of them.
    pub(super) serials: Option<Vec<String>>,
    /// Subgroup of each, and how subgroups were formed.
    pub(super) groups: Option<(Vec<String>, String)>,
    /// Part, appraiser and trial of each, in a study of the gauge.
    pub(super) measured: Option<Vec<gauge::Measured>>,
}

/// What holds for all columns of a file.
pub(super) struct File<'a> {
    pub(super) name: &'a str,
    pub(super) sha256: &'a str,
    pub(super) dialect: &'a Dialect,
    pub(super) confidence: f64,
    pub(super) about: &'a [(String, String)],
}

/// Studies one column.
pub(super) fn study(readings: &Readings, file: &File<'_>) -> LotCharacteristic {
    match &readings.measured {
        Some(measured) => of_gauge(readings, measured, file),
        None => of_production(readings, file),
    }
}

/// Readings of parts as they were made, one a part.
fn of_production(readings: &Readings, file: &File<'_>) -> LotCharacteristic {
    let values = &readings.values;
    let mut sorted = values.clone();
    sorted.sort_by(f64::total_cmp);
    let moments = Moments::of(values);
    let subgroups = readings
        .groups
        .as_ref()
        .and_then(|(labels, stated)| groups::studied(values, labels, stated));
    let normality = normality::judged(&sorted);
    let mut order = order::studied(values, readings.unit.name());
    order::with_subgroups(&mut order, subgroups.as_ref());
    let candidates = match sorted.len() as u64 {
        n if n >= indices::FEWEST => shapes::candidates(&sorted),
        _ => Vec::new(),
    };
    let chosen = match normality.normal {
        true => None,
        false => shapes::chosen(&candidates),
    };
    let mut of = outline(readings, &moments, &sorted);
    let behind = chosen.and_then(|place| candidates.get(place));
    of.capability = readings.drawing.has_limits().then(|| {
        indices::capability(&indices::Known {
            moments: &moments,
            drawing: &readings.drawing,
            subgroups: subgroups.as_ref(),
            normal: normality.normal,
            steady: order.verdict == "steady",
            chosen: behind,
            sha256: file.sha256,
            column: &readings.name,
            confidence: file.confidence,
        })
    });
    of.fits = shapes::records(
        &candidates,
        &sorted,
        &readings.drawing,
        readings.unit.name(),
    );
    of.chosen = chosen;
    of.departure = departure(&sorted, &moments, behind);
    of.outliers = outliers::flagged(values, &readings.lines, readings.serials.as_deref());
    of.notes = notes(
        &of,
        &normality,
        &order.verdict,
        subgroups.as_ref(),
        &candidates,
    );
    of.scenario = paste::lines(&paste::Proposal {
        file: file.name,
        dialect: file.dialect,
        column: &readings.name,
        unit: readings.unit.name(),
        unit_said: readings.unit_said,
        n: of.n,
        mean: of.mean,
        sd: of.sd,
        shifting: subgroups.as_ref().filter(|groups| shifts(groups)),
        chosen: behind,
    });
    of.subgroups = subgroups;
    of.order = order;
    of.normality = normality;
    of.beside = beside::list(&of, file.about);
    of
}

/// Readings of the same parts again and again: the gauge is studied, and the parts by their means.
fn of_gauge(
    readings: &Readings,
    measured: &[gauge::Measured],
    file: &File<'_>,
) -> LotCharacteristic {
    let means = gauge::means_of_parts(&readings.values, measured);
    let mut sorted = means.clone();
    sorted.sort_by(f64::total_cmp);
    let moments = Moments::of(&means);
    let mut of = outline(readings, &moments, &sorted);
    // The gauge's step is in its readings, not in their means.
    of.resolution = resolution::studied(&readings.values, readings.drawing.tolerance());
    of.gauge = Some(gauge::studied(
        &readings.values,
        measured,
        readings.drawing.tolerance(),
    ));
    of.order.words = "The rows are repeated measurements, not the order of production.".to_owned();
    of.normality.words = format!(
        "Not tested: {} parts of a gauge study are picked by hand.",
        of.n
    );
    of.notes.push(format!(
        "Each of the {} parts counts once, with the mean of its {} readings or so. There is no capability index: parts of a \
         gauge study are picked to span the range of production, so their scatter is not that of production.",
        of.n,
        readings.values.len() / means.len().max(1)
    ));
    if of
        .gauge
        .as_ref()
        .is_some_and(|gauge| gauge.reason.is_empty() && gauge.gauge == 0.0)
    {
        of.notes.push(
            "All repeats agree to the last digit: the step of the gauge hides its scatter."
                .to_owned(),
        );
    }
    of.beside = beside::list(&of, file.about);
    of
}

/// What needs no judgement; the rest is empty.
fn outline(readings: &Readings, moments: &Moments, sorted: &[f64]) -> LotCharacteristic {
    let drawing = &readings.drawing;
    let (min, max) = (
        sorted.first().copied().unwrap_or_default(),
        sorted.last().copied().unwrap_or_default(),
    );
    let resolution = resolution::studied(sorted, drawing.tolerance());
    let (held, not_held) = classes::held(drawing, readings.unit, min, max);
    let count = |beyond: &dyn Fn(f64) -> bool| sorted.iter().filter(|x| beyond(**x)).count() as u64;
    LotCharacteristic {
        name: readings.name.clone(),
        unit: readings.unit.name().to_owned(),
        nominal: drawing.nominal,
        lower: drawing.lower,
        upper: drawing.upper,
        limits_stated: drawing.stated.clone(),
        n: moments.n(),
        mean: moments.mean().unwrap_or_default(),
        sd: moments.sd().unwrap_or_default(),
        min,
        max,
        skewness: moments.skewness(),
        excess_kurtosis: moments.excess_kurtosis(),
        outside: (
            count(&|x| drawing.lower.is_some_and(|lower| x < lower)),
            count(&|x| drawing.upper.is_some_and(|upper| x > upper)),
        ),
        histogram: histogram(sorted, resolution.step),
        resolution,
        subgroups: None,
        order: record::ProductionOrder {
            points: Vec::new(),
            runs: None,
            trend: None,
            lag1: None,
            verdict: "too_few".to_owned(),
            words: String::new(),
        },
        normality: Normality {
            anderson_darling: None,
            shapiro_wilk: None,
            normal: false,
            words: String::new(),
        },
        fits: Vec::new(),
        chosen: None,
        capability: None,
        outliers: Vec::new(),
        departure: Vec::new(),
        classes: held,
        not_classes: not_held,
        gauge: None,
        scenario: String::new(),
        beside: Vec::new(),
        notes: Vec::new(),
    }
}

/// Whether the means of subgroups differ by more than chance.
pub(super) fn shifts(groups: &Subgroups) -> bool {
    groups.sd_between > 0.0 && groups.means_equal.is_some_and(|test| test.p < CHANCE)
}

/// What the reader must know before using the numbers, one sentence each.
fn notes(
    of: &LotCharacteristic,
    normality: &Normality,
    verdict: &str,
    subgroups: Option<&Subgroups>,
    candidates: &[Candidate],
) -> Vec<String> {
    let mut notes = Vec::new();
    let n = of.n as usize;
    if n < FEW {
        notes.push(format!(
            "{} few: 30 is the least for a study of a machine, 50 the usual number, 100 for a first study of a process.",
            readings_are(of.n)
        ));
    }
    if of.sd == 0.0 && n > 1 {
        notes.push(
            "All readings are equal: the gauge does not show the scatter of the parts.".to_owned(),
        );
    }
    if let Some(groups) = subgroups.filter(|groups| shifts(groups)) {
        notes.push(format!(
            "The means of subgroups differ by more than chance: they scatter with a standard deviation of {} {}, the readings within them with {}.",
            short(groups.sd_between),
            of.unit,
            short(groups.sd_within)
        ));
    }
    if verdict == "drift" || verdict == "shifts" {
        notes.push("The process was not steady: an index tells what these parts were, not what the next will be.".to_owned());
    }
    if !candidates.is_empty() && !normality.normal {
        notes.push(shapes::comparison(candidates));
        if shapes::chosen(candidates).is_none() {
            notes.push("No shape has tails that agree with the readings: look at them before using any index.".to_owned());
        }
    }
    if of.resolution.coarse {
        notes.push("The readings come in steps coarser than a tenth of the tolerance: the spread and every test of shape suffer.".to_owned());
    }
    match of.outliers.len() {
        0 => {}
        1 => notes.push(
            "One reading lies far from the others; it is flagged and kept in every number."
                .to_owned(),
        ),
        many => notes.push(format!(
            "{many} readings lie far from the others; they are flagged and kept in every number."
        )),
    }
    notes
}

/// Counts in bins of equal width; with a step, a bin holds a whole number of steps and its edges lie between readings.
fn histogram(sorted: &[f64], step: Option<f64>) -> Option<Histogram> {
    let (min, max) = (*sorted.first()?, *sorted.last()?);
    if max <= min {
        return None;
    }
    let wanted = libm::ceil(2.0 * libm::cbrt(sorted.len() as f64)) as usize;
    let wanted = wanted.clamp(BINS.0, BINS.1);
    let (from, width, bins) = match step.filter(|step| *step > 0.0) {
        Some(step) => {
            let steps = libm::round((max - min) / step) + 1.0;
            let of_bin = libm::ceil(steps / wanted as f64).max(1.0);
            let bins = libm::ceil(steps / of_bin) as usize;
            (min - 0.5 * step, step * of_bin, bins)
        }
        None => (min, (max - min) / wanted as f64, wanted),
    };
    let mut counts = vec![0; bins];
    for x in sorted {
        let bin = ((x - from) / width) as usize;
        counts[bin.min(bins - 1)] += 1;
    }
    Some(Histogram {
        from,
        to: from + width * bins as f64,
        counts,
        below: 0,
        above: 0,
    })
}

/// Readings in order of size against the quantiles of the shape, at the shares `(i - 1/2)/n`; evenly picked when there are many.
fn departure(sorted: &[f64], moments: &Moments, chosen: Option<&Candidate>) -> Vec<[f64; 2]> {
    let normal = moments.mean().zip(moments.sd());
    let normal = normal.and_then(|(mean, sd)| distributions::Normal::new(mean, sd).ok());
    let shape: Option<&dyn distributions::Shape> = match (chosen, &normal) {
        (Some(chosen), _) => Some(chosen.shape()),
        (None, Some(normal)) => Some(normal),
        (None, None) => None,
    };
    let Some(shape) = shape else {
        return Vec::new();
    };
    let n = sorted.len();
    let points = n.min(POINTS);
    let place = |i: usize| match points {
        0 | 1 => 0,
        _ => (i * (n - 1) + (points - 1) / 2) / (points - 1),
    };
    (0..points)
        .map(place)
        .map(|i| [shape.quantile((i as f64 + 0.5) / n as f64), sorted[i]])
        .filter(|point| point.iter().all(|x| x.is_finite()))
        .collect()
}

/// Readings in order, gathered into at most [`POINTS`] points.
pub(super) fn points(values: &[f64]) -> Vec<OrderPoint> {
    let size = values.len().div_ceil(POINTS).max(1);
    let parts = values.chunks(size).enumerate();
    parts
        .map(|(i, part)| OrderPoint {
            first: (i * size + 1) as u64,
            last: (i * size + part.len()) as u64,
            mean: Moments::of(part).mean().unwrap_or_default(),
            min: part.iter().copied().fold(f64::INFINITY, f64::min),
            max: part.iter().copied().fold(f64::NEG_INFINITY, f64::max),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn histogram_holds_every_reading_once() {
        let sorted = [1.0, 1.1, 1.1, 1.2, 1.4];
        let got = histogram(&sorted, Some(0.1)).expect("a spread");
        assert_eq!(got.counts, [1, 2, 1, 0, 1]);
        let got = histogram(&sorted, None).expect("a spread");
        assert_eq!(got.counts.iter().sum::<u64>(), 5);
        assert!(histogram(&[1.0, 1.0], Some(0.1)).is_none());
    }

    #[test]
    fn points_gather_many_readings_and_keep_few_apart() {
        let few: Vec<f64> = (0..10).map(f64::from).collect();
        assert_eq!(points(&few).len(), 10);
        let many: Vec<f64> = (0..1000).map(f64::from).collect();
        let got = points(&many);
        assert_eq!((got.len(), got[0].first, got[0].last), (334, 1, 3));
        assert_eq!(got[333].last, 1000);
        assert_eq!(got[333].max, 999.0);
    }

    #[test]
    fn departure_of_many_readings_keeps_the_extremes() {
        let sorted: Vec<f64> = (0..5000).map(f64::from).collect();
        let got = departure(&sorted, &Moments::of(&sorted), None);
        assert_eq!(got.len(), POINTS);
        assert_eq!((got[0][1], got[POINTS - 1][1]), (0.0, 4999.0));
    }
}
