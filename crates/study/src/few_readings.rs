//! What a reader must know of the readings behind processes.

use capability::{outliers, resolution};

use crate::doubt::FEWEST;
use crate::scenario::{Characteristic, FromLot, Scenario};

/// A step of the readings above this share of the tolerance is coarse (common practice, no source).
const COARSE: f64 = 0.1;

/// The warnings, one sentence each.
pub fn warnings(scenario: &Scenario) -> Vec<String> {
    let dropped = scenario.lots.iter().filter(|lot| lot.dropped > 0).map(|lot| {
        format!(
            "Lot {}: {} of {} rows lack a reading and were left out. If they are missing because of their size, every number here is wrong.",
            lot.name, lot.dropped, lot.rows
        )
    });
    let of = scenario.characteristics().into_iter();
    let of = of.filter_map(|c| Some((c, c.from_lot.as_ref()?)));
    let of = of.flat_map(|(c, from)| characteristic(c, from));
    dropped.chain(of).collect()
}

fn characteristic(c: &Characteristic, from: &FromLot) -> Vec<String> {
    let n = from.readings.len();
    let found = resolution::of(&from.readings);
    let few = (n < FEWEST).then(|| {
        format!(
            "{}: {n} {} cannot tell how far another lot would differ. The interval of the yield holds for these readings alone.",
            c.path,
            if n == 1 { "reading" } else { "readings" }
        )
    });
    let alike = (n > 1 && found.distinct == 1).then(|| {
        format!(
            "{}: all {n} readings are equal. Either the gauge does not show the scatter, or it was not measured.",
            c.path
        )
    });
    let tolerance = c.lower.zip(c.upper).map(|(lower, upper)| upper - lower);
    let coarse = tolerance
        .zip(found.step)
        .map(|(tolerance, step)| step / tolerance)
        .filter(|share| *share > COARSE * (1.0 + 1e-9))
        .map(|share| {
            format!(
                "{}: the readings go in steps of {:.0} % of the tolerance, more than a tenth: they hide how the parts really lie.",
                c.path,
                100.0 * share
            )
        });
    let far = outliers::far(&from.readings);
    let far = (!far.is_empty()).then(|| {
        format!(
            "{}: {} of {n} readings {} far from the others. {} kept: find out whether {} a part or a slip of the pen.",
            c.path,
            far.len(),
            if far.len() == 1 { "lies" } else { "lie" },
            if far.len() == 1 { "It is" } else { "They are" },
            if far.len() == 1 { "it was" } else { "each was" },
        )
    });
    [few, alike, coarse, far].into_iter().flatten().collect()
}
