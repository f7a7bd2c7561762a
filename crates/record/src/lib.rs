//! The plain data that a study leaves and a report reads. No computation, no drawing.
//!
//! Units stand in the names of the fields, or in a `unit` field beside the value. Nothing that differs
//! between machines (instruction set, number of threads, time, paths) is kept here. A value that cannot
//! be stated is left out, and its reason stands under the same key in `absent`; there is never a `null`.

mod capability;
mod characteristic;
mod difference;
mod joint;
mod ladder;
mod lot_study;
mod matrix;
mod output;
mod reject;
mod scenario;
mod share;
mod supply;
mod torque;
mod until;

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

pub use capability::Index;
pub use characteristic::{Basis, Characteristic, Process};
pub use difference::Difference;
pub use joint::{
    Bolt, Cone, Hub, Joint, PartTemperatures, Shaft, Spacer, SplineHalf, Teeth, Temperature,
};
pub use ladder::{Ladder, Rung};
pub use lot_study::{
    FittedShape, Gauge, LotCapability, LotCharacteristic, LotStudy, Normality, OrderPoint, Outlier,
    ProductionOrder, ReadingsFile, Resolution, Subgroup, Subgroups, Test, Trend,
};
pub use matrix::{Choice, Matrix, MatrixPair, MeasuredSpacer, Order, Stock};
pub use output::{Among, Histogram, Limits, Output, Quantile};
pub use reject::{BrokenLimit, DrawUp, Reject, Window};
pub use scenario::{Override, Scenario, Subject};
pub use share::{Share, Yield};
pub use supply::{Correlation, Doubt, Inspection, LotYields, Readings, ReadingsColumn, Throughput};
pub use torque::{TorqueCurve, TorquePoint};
pub use until::{HalfWidth, Until};

/// Version of the record's layout; raised when a field changes its meaning or goes.
pub const SCHEMA_VERSION: u32 = 1;

/// Everything that one run leaves behind.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Record {
    /// [`SCHEMA_VERSION`] of the program that wrote the record.
    pub schema_version: u32,
    /// Version of the program that wrote the record.
    pub program_version: String,
    /// Version of the random stream: the same seed gives the same draws within one version.
    pub stream_version: u32,
    /// SHA-256 of the canonical scenario (comments and the order of keys do not count), in hex.
    pub scenario_hash: String,
    /// The scenario as it was read, with what was overridden.
    pub scenario: Scenario,
    /// What the scenario is about.
    pub subject: Subject,
    /// Seed of the random stream.
    pub seed: u64,
    /// Pairings simulated.
    pub pairings: u64,
    /// The rule that could end the run before its most pairings.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub until: Option<Until>,
    /// Two-sided confidence of every interval, for example 0.95.
    pub confidence: f64,
    /// The yield that was asked for, as a fraction.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub target_yield: Option<f64>,
    /// The joint at its nominal sizes.
    pub joint: Joint,
    /// Every characteristic that may vary.
    pub characteristics: Vec<Characteristic>,
    /// Share of good joints.
    #[serde(rename = "yield")]
    pub yield_: Yield,
    /// Rejects by first broken limit, most frequent first; they add up to all rejects.
    pub rejects: Vec<Reject>,
    /// Every broken limit, counted wherever it is broken.
    pub broken_limits: Vec<BrokenLimit>,
    /// The outputs that were followed, in their fixed order.
    pub outputs: Vec<Output>,
    /// Draw-up to close, counted by verdict.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub draw_up: Option<DrawUp>,
    /// What the torque buys.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub torque_curve: Option<TorqueCurve>,
    /// Readings behind processes.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub readings: Vec<Readings>,
    /// Correlations between characteristics of one part.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub correlations: Vec<Correlation>,
    /// Inspection of parts before assembly.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub inspections: Vec<Inspection>,
    /// What inspection and assembly leave together; only with inspection.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub throughput: Option<Throughput>,
    /// How the yield varies from lot to lot, by part.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub lot_yields: Vec<LotYields>,
    /// The doubt that few readings leave; only where a process comes from readings.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub doubt: Option<Doubt>,
    /// Outputs of the pairing with every characteristic at nominal, by key, without force of chance.
    pub nominal: BTreeMap<String, f64>,
    /// Verdict on that nominal pairing.
    pub nominal_verdict: String,
    /// What the reader must know before trusting the numbers, one sentence each.
    pub warnings: Vec<String>,
}

/// Why a text is not a record that this program can read.
#[derive(Debug, thiserror::Error)]
pub enum ReadError {
    /// Not the JSON of a record.
    #[error("not a record: {0}")]
    NotARecord(#[from] serde_json::Error),
    /// Written by another version of the layout.
    #[error("the record has schema version {found}, this program reads version {expected}")]
    OtherSchema {
        /// Version in the record.
        found: u64,
        /// Version this program reads.
        expected: u32,
    },
}

/// The counts of a record contradict each other: it was changed after a run wrote it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("the counts do not agree: {good} good and {rejected} rejected of {pairings} pairings")]
pub struct Contradiction {
    /// Good joints.
    pub good: u64,
    /// Rejects by first cause, added up.
    pub rejected: u128,
    /// Pairings.
    pub pairings: u64,
}

impl Record {
    /// The record as JSON text, ending in a newline.
    ///
    /// # Panics
    /// Never for a record that a study made: all keys are strings and all numbers finite.
    pub fn to_json(&self) -> String {
        let mut text = serde_json::to_string_pretty(self).expect("plain data becomes JSON");
        text.push('\n');
        text
    }

    /// Reads a record from JSON text.
    ///
    /// # Errors
    /// [`ReadError`] when the text is not a record or has another schema version.
    pub fn from_json(text: &str) -> Result<Record, ReadError> {
        #[derive(Deserialize)]
        struct Version {
            schema_version: u64,
        }
        let version: Version = serde_json::from_str(text)?;
        if version.schema_version != u64::from(SCHEMA_VERSION) {
            return Err(ReadError::OtherSchema {
                found: version.schema_version,
                expected: SCHEMA_VERSION,
            });
        }
        Ok(serde_json::from_str(text)?)
    }

    /// Good joints and rejects must add up to the pairings: nothing else may be drawn.
    ///
    /// # Errors
    /// [`Contradiction`] when they do not.
    pub fn agrees(&self) -> Result<(), Contradiction> {
        let (good, pairings) = (self.yield_.good, self.pairings);
        let rejected: u128 = self
            .rejects
            .iter()
            .map(|reject| u128::from(reject.count))
            .sum();
        let whole = u128::from(good) + rejected == u128::from(pairings);
        if whole && self.yield_.pairings == pairings {
            return Ok(());
        }
        Err(Contradiction {
            good,
            rejected,
            pairings,
        })
    }

    /// The output with this name, if it was followed.
    pub fn output(&self, name: &str) -> Option<&Output> {
        self.outputs.iter().find(|o| o.name == name)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn changed_counts_are_noticed() {
        let text = include_str!("../../../reports/pump-impeller/result.json");
        let record = Record::from_json(text).expect("a committed record");
        assert_eq!(record.agrees(), Ok(()));
        let mut changed = record.clone();
        changed.yield_.good = 5;
        assert!(matches!(
            changed.agrees(),
            Err(Contradiction { good: 5, .. })
        ));
        changed = record;
        changed.pairings += 1;
        assert!(changed.agrees().is_err());
    }
}
