//! Correlations as they come out: what the first parts of a run show.

use record::Correlation;
use sampling::{BLOCK, Order};

use crate::dispatch::{self, Instructions};
use crate::inputs::inputs;
use crate::plan::Plan;
use crate::scenario::{CorrelationKind, Scenario};
use crate::supply::Supply;

/// Parts looked at, before inspection.
const PARTS: u64 = 65_536;

/// The stated correlations with those of the first parts.
pub fn correlations(
    scenario: &Scenario,
    plan: &Plan,
    instructions: Instructions,
) -> Vec<Correlation> {
    if scenario.correlations.is_empty() {
        return vec![];
    }
    let columns = columns(scenario, plan, instructions);
    let of = |path: &str| {
        let place = inputs(scenario).iter().position(|(_, c)| c.path == path);
        place.map_or(&[][..], |place| columns[place].as_slice())
    };
    let found = scenario.correlations.iter().map(|stated| {
        let [a, b] = stated.between.map(of);
        Correlation {
            between: stated.between.map(str::to_owned),
            kind: match stated.kind {
                CorrelationKind::Rank => "rank",
                CorrelationKind::Linear => "linear",
            }
            .to_owned(),
            stated: stated.stated,
            score: stated.score,
            drawn_rank: linear(&ranks(a), &ranks(b)),
            drawn_linear: linear(a, b),
            pairs: a.len() as u64,
        }
    });
    found.collect()
}

/// The first parts by characteristic, as made: nothing is scrapped.
fn columns(scenario: &Scenario, plan: &Plan, instructions: Instructions) -> Vec<Vec<f64>> {
    let mut as_made = scenario.clone();
    as_made.drop_inspection();
    let plan = plan.with_parts_of(&as_made);
    let places: Vec<usize> = inputs(scenario).iter().map(|(i, _)| i.index()).collect();
    let mut columns = vec![Vec::with_capacity(PARTS as usize); places.len()];
    let mut block = plan.block();
    let mut supply = Supply::new(&plan, Order::Stock);
    for number in 0..PARTS / BLOCK as u64 {
        dispatch::draw(instructions, &plan, number, BLOCK, &mut supply, &mut block);
        for (column, place) in columns.iter_mut().zip(&places) {
            column.extend_from_slice(&block.inputs[*place]);
        }
    }
    columns
}

/// Pearson's correlation of two columns of one length; 0 where one does not vary.
fn linear(a: &[f64], b: &[f64]) -> f64 {
    let n = a.len().max(1) as f64;
    let mean = |x: &[f64]| {
        let first = x.first().copied().unwrap_or(0.0);
        first + x.iter().map(|v| v - first).sum::<f64>() / n
    };
    let (ma, mb) = (mean(a), mean(b));
    let (mut both, mut aa, mut bb) = (0.0, 0.0, 0.0);
    for (x, y) in a.iter().zip(b) {
        let (x, y) = (x - ma, y - mb);
        both += x * y;
        aa += x * x;
        bb += y * y;
    }
    let size = libm::sqrt(aa * bb);
    if size > 0.0 { both / size } else { 0.0 }
}

/// Ranks from 1; equal values share their mean rank.
fn ranks(values: &[f64]) -> Vec<f64> {
    let mut order: Vec<usize> = (0..values.len()).collect();
    order.sort_by(|&a, &b| values[a].total_cmp(&values[b]));
    let mut ranks = vec![0.0; values.len()];
    let mut from = 0;
    while from < order.len() {
        let value = values[order[from]];
        let equal = order[from..].iter().take_while(|&&i| values[i] == value);
        let to = from + equal.count();
        for &i in &order[from..to] {
            ranks[i] = 0.5 * (from + to + 1) as f64;
        }
        from = to;
    }
    ranks
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ranks_of_equal_values_are_shared_and_order_decides() {
        assert_eq!(ranks(&[3.0, 1.0, 3.0, 2.0]), [3.5, 1.0, 3.5, 2.0]);
        assert_eq!(linear(&[1.0, 2.0, 3.0], &[10.0, 20.0, 30.0]), 1.0);
        assert_eq!(linear(&[1.0, 2.0, 3.0], &[5.0, 5.0, 5.0]), 0.0);
    }
}
