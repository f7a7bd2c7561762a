//! The study of a gauge: how much of the scatter of readings is the gauge, how much the parts.
//!
//! Each of some parts is measured by each of some appraisers the same number of times. A reading is the part, plus what the
//! appraiser adds, plus what the pair of them adds, plus the scatter of the equipment; each is taken for a normal chance of
//! mean 0, and their standard deviations are what is asked for.

mod by_range;
mod not_studied;

pub use not_studied::NotStudied;

use crate::moments::Moments;
use crate::sum::Compensated;
use crate::test::Test;

/// Chance of the interaction above which it is taken for equipment scatter (Measurement Systems Analysis, recalled).
const POOLED: f64 = 0.25;

/// Readings of every part by every appraiser, the same number of times.
#[derive(Debug, Clone, PartialEq)]
pub struct Study {
    parts: usize,
    appraisers: usize,
    trials: usize,
    /// From the first reading, part by part, in it appraiser by appraiser.
    cells: Vec<Vec<f64>>,
    /// A sum of squares at or below this is the rounding of the readings.
    noise: f64,
}

/// A line of the table of an analysis of variance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Source {
    /// Sum of squares, in the squared unit of the readings.
    pub squares: f64,
    /// Degrees of freedom, at least 1.
    pub freedom: u64,
    /// Sum of squares over degrees of freedom.
    pub mean_square: f64,
}

impl Source {
    fn of(squares: f64, freedom: usize) -> Self {
        Self {
            squares,
            freedom: freedom as u64,
            mean_square: squares / freedom as f64,
        }
    }
}

/// Standard deviations by source, in the unit of the readings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Components {
    /// Of the equipment: repeated readings of one part by one appraiser.
    pub repeatability: f64,
    /// Of the appraisers, with their interaction with the parts; 0 of one appraiser.
    pub reproducibility: f64,
    /// Of the gauge: both together.
    pub gauge: f64,
    /// From part to part.
    pub parts: f64,
    /// Of gauge and parts.
    pub total: f64,
    /// Gauge over total, 0 to 1.
    pub of_total: f64,
    /// Classes of parts that the gauge tells apart, `1.41 parts/gauge` without its fraction (Measurement Systems Analysis,
    /// recalled); none when the gauge shows no scatter.
    pub categories: Option<u64>,
}

impl Components {
    fn of(repeatability: f64, reproducibility: f64, parts: f64) -> Self {
        let gauge = libm::hypot(repeatability, reproducibility);
        let total = libm::hypot(gauge, parts);
        Self {
            repeatability,
            reproducibility,
            gauge,
            parts,
            total,
            of_total: if total > 0.0 { gauge / total } else { 0.0 },
            categories: (gauge > 0.0).then(|| (1.41 * parts / gauge) as u64),
        }
    }

    /// Six standard deviations of the gauge over the tolerance, both in the unit of the readings. None unless the tolerance
    /// is above 0.
    pub fn of_tolerance(&self, tolerance: f64) -> Option<f64> {
        let share = 6.0 * self.gauge / tolerance;
        (tolerance > 0.0 && share.is_finite()).then_some(share)
    }
}

/// The analysis of variance of a gauge study.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Anova {
    /// Appraisers; none of one appraiser.
    pub appraisers: Option<Source>,
    /// Parts.
    pub parts: Source,
    /// Interaction of appraisers and parts; none of one appraiser.
    pub interaction: Option<Source>,
    /// Equipment: trials of one part by one appraiser.
    pub equipment: Source,
    /// All readings about their mean.
    pub total: Source,
    /// `F` of the interaction against the equipment; none of one appraiser or without scatter of the equipment.
    pub interaction_test: Option<Test>,
    /// Whether the interaction was taken for equipment scatter: its chance is above 0.25.
    pub pooled: bool,
    /// Standard deviation of the interaction beyond the equipment, part of the reproducibility; 0 when pooled.
    pub sd_interaction: f64,
    /// Standard deviations by source.
    pub components: Components,
}

impl Study {
    /// Takes in readings: `cells[part][appraiser]` holds the trials.
    ///
    /// # Errors
    ///
    /// [`NotStudied`] with the first thing found, in the order of its cases.
    pub fn of(cells: &[Vec<Vec<f64>>]) -> Result<Self, NotStudied> {
        let parts = cells.len();
        let (Some(first), true) = (cells.first(), parts > 1) else {
            return Err(NotStudied::TooFewParts { parts });
        };
        let appraisers = first.len();
        let trials = first.first().ok_or(NotStudied::NoAppraiser)?.len();
        for (part, row) in cells.iter().enumerate() {
            if row.len() != appraisers {
                return Err(NotStudied::AppraisersDiffer {
                    part,
                    found: row.len(),
                    expected: appraisers,
                });
            }
            if let Some(appraiser) = row.iter().position(|cell| cell.len() != trials) {
                return Err(NotStudied::TrialsDiffer {
                    part,
                    appraiser,
                    found: row[appraiser].len(),
                    expected: trials,
                });
            }
        }
        if trials < 2 {
            return Err(NotStudied::TooFewTrials { trials });
        }
        let readings = || cells.iter().flatten().flatten();
        let origin = first[0][0];
        if readings().all(|x| *x == origin) {
            return Err(NotStudied::NoSpread);
        }
        let largest = readings().fold(0.0, |most: f64, x| most.max(libm::fabs(*x)));
        let rounding = 4.0 * f64::EPSILON * largest;
        Ok(Self {
            parts,
            appraisers,
            trials,
            cells: cells
                .iter()
                .flatten()
                .map(|cell| cell.iter().map(|x| x - origin).collect())
                .collect(),
            noise: rounding * rounding * readings().count() as f64,
        })
    }

    /// Parts, appraisers, trials.
    pub fn counts(&self) -> (usize, usize, usize) {
        (self.parts, self.appraisers, self.trials)
    }

    /// Mean of each cell, part by part.
    fn means(&self) -> Vec<f64> {
        self.cells.iter().map(|cell| mean(cell)).collect()
    }

    /// Means of the parts and of the appraisers.
    fn margins(&self, means: &[f64]) -> (Vec<f64>, Vec<f64>) {
        let of_parts = means.chunks(self.appraisers).map(mean).collect();
        let of_appraisers = (0..self.appraisers)
            .map(|a| {
                let own: Vec<f64> = means
                    .iter()
                    .copied()
                    .skip(a)
                    .step_by(self.appraisers)
                    .collect();
                mean(&own)
            })
            .collect();
        (of_parts, of_appraisers)
    }

    /// Two-way analysis of variance with every cell full (any text, recalled).
    ///
    /// With `p` parts, `a` appraisers, `t` trials and the mean squares `MSP, MSA, MSI, MSE` of parts, appraisers, interaction
    /// and equipment:
    ///
    /// ```text
    /// equipment^2 = MSE, interaction^2 = (MSI - MSE)/t, appraisers^2 = (MSA - MSI)/(p t), parts^2 = (MSP - MSI)/(a t)
    /// ```
    ///
    /// a negative one counting as 0. When chance gives so large an `F = MSI/MSE` in more than 25 of 100 studies, the interaction
    /// is pooled: its sum of squares and degrees of freedom join those of the equipment, whose mean square then stands for both
    /// (Measurement Systems Analysis, recalled). Of one appraiser there are parts and equipment only.
    ///
    /// # Errors
    ///
    /// [`NotStudied::Uncarried`].
    pub fn anova(&self) -> Result<Anova, NotStudied> {
        let squares = Squares::of(self);
        let (p, a, t) = self.counts();
        let parts = Source::of(squares.parts, p - 1);
        let equipment = Source::of(squares.equipment, p * a * (t - 1));
        let crossed = (a > 1).then(|| {
            (
                Source::of(squares.appraisers, a - 1),
                Source::of(squares.interaction, (p - 1) * (a - 1)),
            )
        });
        let interaction = crossed.map(|(_, interaction)| interaction);
        let test = interaction
            .filter(|_| equipment.squares > self.noise)
            .and_then(|both| f_test(&both, &equipment));
        let pooled = match (interaction, test) {
            (None, _) => false,
            (Some(_), Some(test)) => test.p > POOLED,
            (Some(both), None) => both.squares <= self.noise,
        };
        let scatter = Scatter::of(interaction, equipment, pooled);
        let beyond = |source: &Source, times: usize| {
            ((source.mean_square - scatter.beside) / times as f64).max(0.0)
        };
        let inner = ((scatter.beside - scatter.own) / t as f64).max(0.0);
        let of_appraisers = crossed.map_or(0.0, |(appraisers, _)| beyond(&appraisers, p * t));
        let made = Anova {
            appraisers: crossed.map(|(appraisers, _)| appraisers),
            parts,
            interaction,
            equipment,
            total: Source::of(squares.total(), p * a * t - 1),
            interaction_test: test,
            pooled,
            sd_interaction: libm::sqrt(inner),
            components: Components::of(
                libm::sqrt(scatter.own),
                libm::sqrt(of_appraisers + inner),
                libm::sqrt(beyond(&parts, a * t)),
            ),
        };
        let carried = made.components.total > 0.0 && made.total.squares.is_finite();
        carried.then_some(made).ok_or(NotStudied::Uncarried)
    }
}

/// Sums of squares by source.
struct Squares {
    appraisers: f64,
    parts: f64,
    interaction: f64,
    equipment: f64,
}

impl Squares {
    fn of(study: &Study) -> Self {
        let means = study.means();
        let (of_parts, of_appraisers) = study.margins(&means);
        let all = mean(&of_parts);
        let (p, a, t) = study.counts();
        let both = means.iter().enumerate().map(|(i, cell)| {
            let off = (cell - of_parts[i / a]) - (of_appraisers[i % a] - all);
            off * off
        });
        let own = study
            .cells
            .iter()
            .zip(&means)
            .flat_map(|(cell, mean)| cell.iter().map(move |x| (x - mean) * (x - mean)));
        let about = |means: &[f64]| Compensated::of(means.iter().map(|m| (m - all) * (m - all)));
        Self {
            appraisers: (p * t) as f64 * about(&of_appraisers),
            parts: (a * t) as f64 * about(&of_parts),
            interaction: t as f64 * Compensated::of(both),
            equipment: Compensated::of(own),
        }
    }

    fn total(&self) -> f64 {
        self.appraisers + self.parts + self.interaction + self.equipment
    }
}

/// Mean squares of what is no appraiser and no part.
struct Scatter {
    /// Within a cell.
    own: f64,
    /// Of the means of cells, times the trials: what the mean squares of appraisers and parts hold beside their own.
    beside: f64,
}

impl Scatter {
    fn of(interaction: Option<Source>, equipment: Source, pooled: bool) -> Self {
        match interaction {
            Some(both) if pooled => {
                let freedom = (both.freedom + equipment.freedom) as f64;
                let error = (both.squares + equipment.squares) / freedom;
                Self {
                    own: error,
                    beside: error,
                }
            }
            Some(both) => Self {
                own: equipment.mean_square,
                beside: both.mean_square,
            },
            None => Self {
                own: equipment.mean_square,
                beside: equipment.mean_square,
            },
        }
    }
}

fn f_test(over: &Source, under: &Source) -> Option<Test> {
    let f = over.mean_square / under.mean_square;
    Test::of_f(f, over.freedom as f64, under.freedom as f64)
}

/// Mean, exact where all agree.
fn mean(values: &[f64]) -> f64 {
    Moments::of(values).mean().unwrap_or(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(got: f64, expected: f64) -> bool {
        (got - expected).abs() <= 1e-13 * expected.abs().max(1.0)
    }

    fn cells(rows: &[[&[f64]; 2]]) -> Vec<Vec<Vec<f64>>> {
        rows.iter()
            .map(|row| row.iter().map(|cell| cell.to_vec()).collect())
            .collect()
    }

    #[test]
    fn verified_two_by_two_by_two_by_hand() {
        // Cell means 1, 3 | 5, 11; parts 2, 8; appraisers 3, 7; all 5. Trials one apart from the mean each side.
        let study = Study::of(&cells(&[
            [&[0.0, 2.0], &[2.0, 4.0]],
            [&[4.0, 6.0], &[10.0, 12.0]],
        ]));
        let got = study.unwrap().anova().unwrap();
        let lines = [
            (got.appraisers.unwrap(), 32.0, 1),
            (got.parts, 72.0, 1),
            (got.interaction.unwrap(), 8.0, 1),
            (got.equipment, 8.0, 4),
            (got.total, 120.0, 7),
        ];
        for (line, squares, freedom) in lines {
            assert!(close(line.squares, squares), "{line:?}");
            assert_eq!(line.freedom, freedom);
        }
        // F = 8/2 with 1 and 4: t = 2 with 4, p = 0.1161 (not pooled).
        let test = got.interaction_test.unwrap();
        assert!(close(test.statistic, 4.0) && (test.p - 0.116_117).abs() < 1e-6);
        assert!(!got.pooled);
        let c = got.components;
        assert!(close(c.repeatability, libm::sqrt(2.0)));
        assert!(close(got.sd_interaction, libm::sqrt(3.0)));
        // Appraisers (32 - 8)/4 = 6 and interaction 3; parts (72 - 8)/4 = 16.
        assert!(close(c.reproducibility, 3.0) && close(c.parts, 4.0));
        assert!(close(c.gauge, libm::sqrt(11.0)) && close(c.total, libm::sqrt(27.0)));
        assert!(close(c.of_total, libm::sqrt(11.0 / 27.0)));
        assert_eq!(c.categories, Some(1));
        assert_eq!(c.of_tolerance(0.0), None);
        assert!(close(
            c.of_tolerance(60.0).unwrap(),
            libm::sqrt(11.0) / 10.0
        ));
    }

    #[test]
    fn verified_one_appraiser_by_hand() {
        // Means 1, 5: parts 2 * 2 * 4 = 16 on 1, equipment 4 on 2: (16 - 2)/2 = 7.
        let study = Study::of(&[vec![vec![0.0, 2.0]], vec![vec![4.0, 6.0]]]).unwrap();
        let got = study.anova().unwrap();
        assert_eq!(
            (got.appraisers, got.interaction, got.pooled),
            (None, None, false)
        );
        assert!(close(got.components.repeatability, libm::sqrt(2.0)));
        assert_eq!(got.components.reproducibility, 0.0);
        assert!(close(got.components.parts, libm::sqrt(7.0)));
    }

    #[test]
    fn readings_far_from_zero_give_the_same() {
        let near = [[&[0.0, 2.0][..], &[2.0, 5.0]], [&[4.0, 6.0], &[10.0, 12.0]]];
        let far: Vec<Vec<Vec<f64>>> = cells(&near)
            .iter()
            .map(|row| {
                row.iter()
                    .map(|c| c.iter().map(|x| x + 1e9).collect())
                    .collect()
            })
            .collect();
        let (near, far) = (Study::of(&cells(&near)).unwrap(), Study::of(&far).unwrap());
        assert_eq!(near.anova(), far.anova());
        assert_eq!(near.by_range(), far.by_range());
    }

    #[test]
    fn equipment_without_scatter_leaves_the_interaction_where_it_is() {
        let flat = cells(&[[&[1.1, 1.1], &[1.1, 1.1]], [&[2.3, 2.3], &[2.3, 2.3]]]);
        let got = Study::of(&flat).unwrap().anova().unwrap();
        assert_eq!((got.interaction_test, got.pooled), (None, true));
        assert!(got.components.gauge < 1e-15 && got.components.parts > 0.8);
        let crossed = cells(&[[&[1.0, 1.0], &[2.0, 2.0]], [&[2.0, 2.0], &[1.0, 1.0]]]);
        let got = Study::of(&crossed).unwrap().anova().unwrap();
        assert!(!got.pooled && close(got.sd_interaction, 1.0), "{got:?}");
        assert_eq!(got.components.categories, Some(0));
    }

    #[test]
    fn what_is_no_study_says_why() {
        use NotStudied::*;
        let good = cells(&[[&[0.0, 2.0], &[2.0, 4.0]], [&[4.0, 6.0], &[10.0, 12.0]]]);
        assert_eq!(Study::of(&[]), Err(TooFewParts { parts: 0 }));
        assert_eq!(Study::of(&good[..1]), Err(TooFewParts { parts: 1 }));
        assert_eq!(Study::of(&[vec![], vec![]]), Err(NoAppraiser));
        let once = cells(&[[&[0.0], &[2.0]], [&[4.0], &[6.0]]]);
        assert_eq!(Study::of(&once), Err(TooFewTrials { trials: 1 }));
        let mut lacking = good.clone();
        lacking[1].pop();
        let found = Err(AppraisersDiffer {
            part: 1,
            found: 1,
            expected: 2,
        });
        assert_eq!(Study::of(&lacking), found);
        let mut lacking = good.clone();
        lacking[1][0].pop();
        let error = Study::of(&lacking).unwrap_err();
        assert_eq!(
            error,
            TrialsDiffer {
                part: 1,
                appraiser: 0,
                found: 1,
                expected: 2
            }
        );
        assert!(
            error.to_string().contains("part 2 by appraiser 1 1 times"),
            "{error}"
        );
        let equal = cells(&[[&[0.1, 0.1], &[0.1, 0.1]], [&[0.1, 0.1], &[0.1, 0.1]]]);
        assert_eq!(Study::of(&equal), Err(NoSpread));
        let huge = cells(&[[&[0.0, 1e200], &[0.0, 1.0]], [&[0.0, 1.0], &[0.0, 1.0]]]);
        assert_eq!(Study::of(&huge).unwrap().anova(), Err(Uncarried));
    }
}
