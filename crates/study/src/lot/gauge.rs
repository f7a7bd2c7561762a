//! The study of a gauge: how much of the scatter of readings is the gauge, how much the parts.

use std::collections::BTreeMap;

use capability::gauge::{Anova, Source, Study};
use record::Gauge;

use super::recorded;

/// One reading's part, appraiser and trial.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Measured {
    pub(super) part: String,
    pub(super) appraiser: String,
    pub(super) trial: Option<String>,
}

/// Mean of each part, in the order in which the parts first appear.
pub(super) fn means_of_parts(values: &[f64], measured: &[Measured]) -> Vec<f64> {
    let parts = names(measured, |m| &m.part);
    let mut sums = vec![(0.0, 0u64); parts.len()];
    for (value, measured) in values.iter().zip(measured) {
        if let Some(place) = parts.iter().position(|part| *part == measured.part) {
            sums[place].0 += value;
            sums[place].1 += 1;
        }
    }
    sums.iter().map(|(sum, n)| sum / *n as f64).collect()
}

/// Different names in the order in which they first appear.
fn names(measured: &[Measured], of: impl Fn(&Measured) -> &String) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    for one in measured {
        if !names.contains(of(one)) {
            names.push(of(one).clone());
        }
    }
    names
}

/// Readings by part and appraiser, each cell with its trials.
///
/// # Errors
/// In one sentence, when one reading stands twice.
fn cells(values: &[f64], measured: &[Measured]) -> Result<Vec<Vec<Vec<f64>>>, String> {
    let parts = names(measured, |m| &m.part);
    let appraisers = names(measured, |m| &m.appraiser);
    let place =
        |names: &[String], name: &str| names.iter().position(|n| n == name).unwrap_or_default();
    let mut cells = vec![vec![Vec::new(); appraisers.len()]; parts.len()];
    let mut seen = BTreeMap::new();
    for (value, one) in values.iter().zip(measured) {
        cells[place(&parts, &one.part)][place(&appraisers, &one.appraiser)].push(*value);
        let key = (&one.part, &one.appraiser, &one.trial);
        if one.trial.is_some() && seen.insert(key, ()).is_some() {
            return Err(format!(
                "Part {} was measured twice by {} under the same number of trial.",
                one.part, one.appraiser
            ));
        }
    }
    Ok(cells)
}

/// Studies the gauge; a study that cannot be made has only its reason.
pub(super) fn studied(values: &[f64], measured: &[Measured], tolerance: Option<f64>) -> Gauge {
    let made = cells(values, measured).and_then(|cells| {
        let study = Study::of(&cells).map_err(|error| sentence(&error.to_string()))?;
        let anova = study
            .anova()
            .map_err(|error| sentence(&error.to_string()))?;
        Ok((study, anova))
    });
    match made {
        Ok((study, anova)) => analysed(&study, &anova, tolerance),
        Err(reason) => without(measured, reason),
    }
}

/// An error as a sentence.
fn sentence(error: &str) -> String {
    let mut letters = error.chars();
    let first: String = letters
        .next()
        .into_iter()
        .flat_map(char::to_uppercase)
        .collect();
    format!("{first}{}.", letters.as_str())
}

fn without(measured: &[Measured], reason: String) -> Gauge {
    Gauge {
        counts: (
            names(measured, |m| &m.part).len() as u64,
            names(measured, |m| &m.appraiser).len() as u64,
            0,
        ),
        table: Vec::new(),
        interaction: None,
        pooled: false,
        repeatability: 0.0,
        reproducibility: 0.0,
        gauge: 0.0,
        parts: 0.0,
        total: 0.0,
        of_total: 0.0,
        of_tolerance: None,
        categories: 0,
        by_range: None,
        reason,
    }
}

fn analysed(study: &Study, anova: &Anova, tolerance: Option<f64>) -> Gauge {
    let (parts, appraisers, trials) = study.counts();
    let rows = [
        ("appraisers", anova.appraisers),
        ("parts", Some(anova.parts)),
        ("appraisers by parts", anova.interaction),
        ("equipment", Some(anova.equipment)),
        ("total", Some(anova.total)),
    ];
    let line = |(name, source): (&str, Option<Source>)| {
        let source = source?;
        Some((
            name.to_owned(),
            source.squares,
            source.freedom,
            source.mean_square,
        ))
    };
    let of = &anova.components;
    Gauge {
        counts: (parts as u64, appraisers as u64, trials as u64),
        table: rows.into_iter().filter_map(line).collect(),
        interaction: recorded(anova.interaction_test),
        pooled: anova.pooled,
        repeatability: of.repeatability,
        reproducibility: of.reproducibility,
        gauge: of.gauge,
        parts: of.parts,
        total: of.total,
        of_total: of.of_total,
        of_tolerance: tolerance.and_then(|tolerance| of.of_tolerance(tolerance)),
        categories: of.categories.unwrap_or(0),
        by_range: study.by_range().map(|of| {
            [
                of.repeatability,
                of.reproducibility,
                of.gauge,
                of.parts,
                of.total,
            ]
        }),
        reason: String::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn measured(part: &str, appraiser: &str, trial: &str) -> Measured {
        Measured {
            part: part.to_owned(),
            appraiser: appraiser.to_owned(),
            trial: Some(trial.to_owned()),
        }
    }

    #[test]
    fn a_study_with_a_missing_reading_has_a_reason() {
        let rows = [("1", "A"), ("1", "B"), ("2", "A"), ("2", "B")];
        let mut all: Vec<Measured> = rows
            .iter()
            .flat_map(|(p, a)| [measured(p, a, "1"), measured(p, a, "2")])
            .collect();
        let mut values: Vec<f64> = (0..8).map(f64::from).collect();
        assert_eq!(studied(&values, &all, None).reason, "");
        assert_eq!(means_of_parts(&values, &all), [1.5, 5.5]);
        all.pop();
        values.pop();
        assert!(!studied(&values, &all, None).reason.is_empty());
        all[1].trial = Some("1".to_owned());
        assert!(studied(&values, &all, None).reason.contains("twice"));
    }

    #[test]
    fn a_gauge_without_scatter_gives_numbers() {
        let rows = [("1", "A"), ("1", "B"), ("2", "A"), ("2", "B")];
        let all: Vec<Measured> = rows
            .iter()
            .flat_map(|(p, a)| [measured(p, a, "1"), measured(p, a, "2")])
            .collect();
        let values = [1.0, 1.0, 1.0, 1.0, 2.0, 2.0, 2.0, 2.0];
        let got = studied(&values, &all, Some(1.0));
        assert_eq!((got.gauge, got.categories), (0.0, 0));
        assert!(got.total > 0.0);
    }
}
