//! The study of a gauge: how much of the scatter of readings is the gauge, how much the parts.

use std::collections::BTreeMap;

use record::Gauge;

use super::chance::f_test;

/// Chance of the interaction above which it is taken for chance itself (Measurement Systems Analysis, recalled).
const POOLED: f64 = 0.25;

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

/// Readings by part, appraiser and trial: every cell full.
struct Crossed {
    parts: usize,
    appraisers: usize,
    trials: usize,
    /// `cells[part][appraiser]` holds the trials.
    cells: Vec<Vec<Vec<f64>>>,
}

impl Crossed {
    /// # Errors
    /// In one sentence, when a cell lacks a reading or has more than the others.
    fn of(values: &[f64], measured: &[Measured]) -> Result<Crossed, String> {
        let (parts, appraisers) = (
            names(measured, |m| &m.part),
            names(measured, |m| &m.appraiser),
        );
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
        let trials = cells.iter().flatten().map(Vec::len);
        let (least, most) = (trials.clone().min().unwrap_or(0), trials.max().unwrap_or(0));
        if parts.len() < 2 || appraisers.len() < 2 || least < 2 || least != most {
            return Err(format!(
                "A gauge study takes two or more parts, each measured by the same two or more appraisers the same number of times, \
                 twice or more; here {} parts, {} appraisers, {least} to {most} times.",
                parts.len(),
                appraisers.len()
            ));
        }
        Ok(Crossed {
            parts: parts.len(),
            appraisers: appraisers.len(),
            trials: least,
            cells,
        })
    }

    fn mean_of_part(&self, part: usize) -> f64 {
        mean(self.cells[part].iter().flatten())
    }

    fn mean_of_appraiser(&self, appraiser: usize) -> f64 {
        mean(self.cells.iter().flat_map(|part| &part[appraiser]))
    }
}

fn mean<'a>(values: impl Iterator<Item = &'a f64>) -> f64 {
    let (sum, n) = values.fold((0.0, 0u64), |(sum, n), x| (sum + x, n + 1));
    sum / n as f64
}

fn square(x: f64) -> f64 {
    x * x
}

/// Studies the gauge; a study that cannot be made has only its reason.
pub(super) fn studied(values: &[f64], measured: &[Measured], tolerance: Option<f64>) -> Gauge {
    match Crossed::of(values, measured) {
        Ok(crossed) => analysed(&crossed, tolerance),
        Err(reason) => Gauge {
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
        },
    }
}

/// Sums of squares, and the degrees of freedom that belong to them.
struct Sources {
    appraisers: (f64, f64),
    parts: (f64, f64),
    both: (f64, f64),
    equipment: (f64, f64),
}

impl Sources {
    /// Two-way analysis of variance with every cell full.
    fn of(crossed: &Crossed) -> Sources {
        let (parts, appraisers, trials) = (
            crossed.parts as f64,
            crossed.appraisers as f64,
            crossed.trials as f64,
        );
        let all = mean(crossed.cells.iter().flatten().flatten());
        let of_parts: Vec<f64> = (0..crossed.parts)
            .map(|p| crossed.mean_of_part(p))
            .collect();
        let of_appraisers: Vec<f64> = (0..crossed.appraisers)
            .map(|a| crossed.mean_of_appraiser(a))
            .collect();
        let (mut both, mut equipment) = (0.0, 0.0);
        for (row, part) in crossed.cells.iter().zip(&of_parts) {
            for (cell, appraiser) in row.iter().zip(&of_appraisers) {
                let own = mean(cell.iter());
                both += trials * square(own - part - appraiser + all);
                equipment += cell.iter().map(|x| square(x - own)).sum::<f64>();
            }
        }
        let spread = |means: &[f64]| means.iter().map(|m| square(m - all)).sum::<f64>();
        Sources {
            appraisers: (parts * trials * spread(&of_appraisers), appraisers - 1.0),
            parts: (appraisers * trials * spread(&of_parts), parts - 1.0),
            both: (both, (parts - 1.0) * (appraisers - 1.0)),
            equipment: (equipment, parts * appraisers * (trials - 1.0)),
        }
    }

    /// Name, sum of squares, degrees of freedom, mean square.
    fn table(&self) -> Vec<(String, f64, u64, f64)> {
        let rows = [
            ("appraisers", self.appraisers),
            ("parts", self.parts),
            ("appraisers by parts", self.both),
            ("equipment", self.equipment),
        ];
        let total = rows
            .iter()
            .fold((0.0, 0.0), |sum, (_, row)| (sum.0 + row.0, sum.1 + row.1));
        rows.iter()
            .copied()
            .chain([("total", total)])
            .map(|(name, (squares, freedom))| {
                (name.to_owned(), squares, freedom as u64, squares / freedom)
            })
            .collect()
    }
}

fn analysed(crossed: &Crossed, tolerance: Option<f64>) -> Gauge {
    let sources = Sources::of(crossed);
    let (parts, appraisers, trials) = (
        crossed.parts as f64,
        crossed.appraisers as f64,
        crossed.trials as f64,
    );
    let ms = |(squares, freedom): (f64, f64)| squares / freedom;
    let interaction = f_test(
        ms(sources.both) / ms(sources.equipment),
        sources.both.1,
        sources.equipment.1,
    );
    let pooled = interaction.is_none_or(|test| test.p > POOLED);
    let error = ms((
        sources.both.0 + sources.equipment.0,
        sources.both.1 + sources.equipment.1,
    ));
    // What the mean squares of appraisers and parts hold beside their own scatter.
    let (repeatability, crossing, beside) = match pooled {
        true => (error, 0.0, error),
        false => (
            ms(sources.equipment),
            ((ms(sources.both) - ms(sources.equipment)) / trials).max(0.0),
            ms(sources.both),
        ),
    };
    let of_appraisers = ((ms(sources.appraisers) - beside) / (parts * trials)).max(0.0);
    let of_parts = ((ms(sources.parts) - beside) / (appraisers * trials)).max(0.0);
    let reproducibility = of_appraisers + crossing;
    let gauge = repeatability + reproducibility;
    let total = gauge + of_parts;
    let share = if total > 0.0 {
        libm::sqrt(gauge / total)
    } else {
        0.0
    };
    let categories = if gauge > 0.0 {
        1.41 * libm::sqrt(of_parts / gauge)
    } else {
        0.0
    };
    Gauge {
        counts: (
            crossed.parts as u64,
            crossed.appraisers as u64,
            crossed.trials as u64,
        ),
        table: sources.table(),
        interaction,
        pooled,
        repeatability: libm::sqrt(repeatability),
        reproducibility: libm::sqrt(reproducibility),
        gauge: libm::sqrt(gauge),
        parts: libm::sqrt(of_parts),
        total: libm::sqrt(total),
        of_total: share,
        of_tolerance: tolerance
            .filter(|t| *t > 0.0)
            .map(|t| 6.0 * libm::sqrt(gauge) / t),
        categories: categories as u64,
        by_range: by_range(crossed),
        reason: String::new(),
    }
}

/// Factors from a mean range to a standard deviation (Measurement Systems Analysis, recalled): of trials, and of the appraisers'
/// or the parts' means.
const OF_TRIALS: [f64; 2] = [0.8862, 0.5908];
const OF_MEANS: [f64; 9] = [
    0.7071, 0.5231, 0.4467, 0.4030, 0.3742, 0.3534, 0.3375, 0.3249, 0.3146,
];

/// Average and range: `EV = R K1`, `AV = sqrt((X K2)^2 - EV^2/(parts trials))`, `PV = R_p K3`.
fn by_range(crossed: &Crossed) -> Option<[f64; 5]> {
    let of = |factors: &[f64], n: usize| {
        n.checked_sub(2)
            .and_then(|place| factors.get(place).copied())
    };
    let (k1, k2, k3) = (
        of(&OF_TRIALS, crossed.trials)?,
        of(&OF_MEANS[..2], crossed.appraisers)?,
        of(&OF_MEANS, crossed.parts)?,
    );
    let ranges = crossed
        .cells
        .iter()
        .flatten()
        .map(|cell| range(cell.iter().copied()));
    let mean_range = ranges.sum::<f64>() / (crossed.parts * crossed.appraisers) as f64;
    let of_appraisers = range((0..crossed.appraisers).map(|a| crossed.mean_of_appraiser(a)));
    let of_parts = range((0..crossed.parts).map(|p| crossed.mean_of_part(p)));
    let repeatability = mean_range * k1;
    let own = square(repeatability) / (crossed.parts * crossed.trials) as f64;
    let reproducibility = libm::sqrt((square(of_appraisers * k2) - own).max(0.0));
    let gauge = libm::hypot(repeatability, reproducibility);
    let parts = of_parts * k3;
    Some([
        repeatability,
        reproducibility,
        gauge,
        parts,
        libm::hypot(gauge, parts),
    ])
}

fn range(values: impl Iterator<Item = f64>) -> f64 {
    let (low, high) = values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| {
        (low.min(x), high.max(x))
    });
    high - low
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
