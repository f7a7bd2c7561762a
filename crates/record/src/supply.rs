//! Where the parts come from: readings behind processes, correlations, inspection, lots; and what that does to the yield.

use serde::{Deserialize, Serialize};

use crate::Record;
use crate::share::Share;

/// A file of readings that the run used.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Readings {
    /// Its name in the scenario.
    pub lot: String,
    /// The file as the scenario names it.
    pub file: String,
    /// SHA-256 of the file, in hex.
    pub sha256: String,
    /// Filled rows.
    pub rows: u64,
    /// Rows dropped because a reading was missing.
    pub dropped: u64,
    /// The columns that were used, so that the run can be repeated without the file.
    pub columns: Vec<ReadingsColumn>,
}

/// One column of readings, in the unit of the file.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ReadingsColumn {
    /// Its heading.
    pub name: String,
    /// Its unit; empty for a plain ratio.
    pub unit: String,
    /// The readings, row by row.
    pub values: Vec<f64>,
}

/// A correlation between two characteristics of one part, as stated and as drawn.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Correlation {
    /// Dotted paths of the two characteristics.
    pub between: [String; 2],
    /// `rank` (Spearman) or `linear` (Pearson).
    pub kind: String,
    /// As stated.
    pub stated: f64,
    /// Correlation of the normal scores that gives it.
    pub score: f64,
    /// Rank correlation of the first `pairs` parts as drawn, before inspection.
    pub drawn_rank: f64,
    /// Linear correlation of the same parts.
    pub drawn_linear: f64,
    /// Parts behind the two.
    pub pairs: u64,
}

/// What inspection did to one kind of part.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Inspection {
    /// `shaft`, `hub` or `spacer`.
    pub part: String,
    /// How each characteristic is inspected, in words, by dotted path.
    pub stated: Vec<(String, String)>,
    /// Parts made for the pairings of the run; those that pass are the pairings.
    pub made: u64,
    /// Parts scrapped, out of those made.
    pub scrapped: Share,
    /// Parts scrapped although every inspected characteristic lies within its drawing limits, out of those made.
    pub wrongly_scrapped: Share,
    /// Parts passed although an inspected characteristic lies outside its drawing limits, out of those made.
    pub wrongly_passed: Share,
}

/// What part inspection and assembly leave together.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Throughput {
    /// Share passed at first inspection of every inspected part, times the share of good joints.
    pub rolled: f64,
    /// Parts made per good joint, by part.
    pub made_per_good: Vec<(String, f64)>,
}

/// How the yield varies from lot to lot.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LotYields {
    /// The part whose lots these are.
    pub part: String,
    /// Dotted paths of the characteristics whose mean moves from lot to lot.
    pub paths: Vec<String>,
    /// Parts in a lot.
    pub size: u64,
    /// Pairings simulated of each lot: the lot, or its first parts when it is larger than that.
    pub simulated_of_each: u64,
    /// Lots simulated.
    pub lots: u64,
    /// Mean yield of the lots.
    pub mean: f64,
    /// Yields below which this share of the lots runs, as pairs of share and yield: 0.01, 0.05, 0.25, 0.5, 0.75, 0.95.
    pub quantiles: Vec<(f64, f64)>,
    /// Lots by yield, in bins of equal width from `from` to `to`.
    pub from: f64,
    /// Upper end of the bins.
    pub to: f64,
    /// Lots in each bin.
    pub counts: Vec<u64>,
}

/// The doubt that is left because processes come from few readings; it does not fall with more pairings.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Doubt {
    /// Lower end of the interval of the yield with both kinds of doubt.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// Two-sided confidence.
    pub confidence: f64,
    /// How often the lots were drawn anew.
    pub repeats: u64,
    /// Pairings of each repeat.
    pub pairings: u64,
    /// How the lots were drawn anew, in words, by dotted path of the characteristic.
    pub ways: Vec<(String, String)>,
    /// Smallest number of readings behind a process.
    pub readings: u64,
}

impl Record {
    /// Between what the yield lies with every doubt that the record knows of: that of few readings where there is one, else
    /// that of a finite number of pairings. A target is judged by these ends.
    pub fn yield_between(&self) -> [f64; 2] {
        let counted = &self.yield_;
        match &self.doubt {
            Some(doubt) => [doubt.low.min(counted.low), doubt.high.max(counted.high)],
            None => [counted.low, counted.high],
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_doubt_of_readings_only_widens_what_the_pairings_leave_open() {
        let text = include_str!("../../../reports/pump-impeller/result.json");
        let mut record = Record::from_json(text).expect("a committed record");
        let counted = [record.yield_.low, record.yield_.high];
        assert_eq!(record.yield_between(), counted);
        let doubt = |low, high| Doubt {
            low,
            high,
            confidence: 0.95,
            repeats: 200,
            pairings: 10_000,
            ways: Vec::new(),
            readings: 30,
        };
        record.doubt = Some(doubt(0.5, 0.999));
        assert_eq!(record.yield_between(), [0.5, 0.999]);
        record.doubt = Some(doubt(counted[0] + 1e-6, counted[1] - 1e-6));
        assert_eq!(record.yield_between(), counted);
    }
}
