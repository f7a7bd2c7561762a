//! From counts to a record: yield, rejects, outputs, indices.

use std::collections::BTreeMap;

use capability::index::{self, Absent, Indices, Limits, Within};
use capability::moments::Moments;
use capability::sketch::Sketch;
use fit::{Output, Solution, VERDICTS, Verdict};
use record::{BrokenLimit, DrawUp, Record, Reject, Yield};
use sampling::STREAM_VERSION;

use crate::depict;
use crate::describe;
use crate::dispatch::Instructions;
use crate::kernel::DRAW_UP_BINS;
use crate::loaded::Loaded;
use crate::plan::Plan;
use crate::run::Counts;
use crate::scenario::Scenario;
use crate::{doubt, drawn, gates, lot_yields, share, torque, warnings, window, within};

/// Shares below at which quantiles are stated.
const QUANTILES: [(&str, f64); 5] = [
    ("0.00135", 0.001_35),
    ("0.05", 0.05),
    ("0.5", 0.5),
    ("0.95", 0.95),
    ("0.99865", 0.998_65),
];

/// The outputs that tell by how much a joint that is not right can move.
const PLAY: [Output; 3] = [Output::Gap, Output::RockAngle, Output::Runout];

/// Shares below at which quantiles of the play are stated.
const AMONG: [(&str, f64); 3] = [("0.05", 0.05), ("0.5", 0.5), ("0.95", 0.95)];

/// Bins of the coarse histogram in a record.
const CHART_BINS: usize = 128;

/// Why a number of teeth has no index.
const WHOLE_TEETH: &str = "It counts whole teeth: an index is for values that vary without steps. Judge it by its share of rejects.";

/// The record of a finished run.
pub fn record(
    loaded: &Loaded,
    plan: &Plan,
    counts: &Counts,
    pool: &rayon::ThreadPool,
    instructions: Instructions,
) -> Record {
    let scenario = &loaded.scenario.with_pairings(counts.pairings);
    let nominal = plan.joint.solve(&plan.nominal(), &plan.criteria);
    let within = within::of(plan, pool, instructions);
    let outputs: Vec<record::Output> = (0..plan.outputs.len())
        .map(|i| output(scenario, plan, counts, within.as_deref().map(|w| w[i]), i))
        .collect();
    let found = good(scenario, counts);
    let inspections = gates::inspections(scenario, plan, counts);
    let (rejects, broken_limits) = rejects(scenario, plan, counts);
    let rejected = found.pairings - found.good;
    let rule = scenario.run.until.as_ref();
    let mut warnings = warnings::of(scenario, plan, &nominal, &outputs);
    warnings.extend(rule.and_then(|rule| rule.warning(rejected, found.pairings)));
    Record {
        schema_version: record::SCHEMA_VERSION,
        program_version: env!("CARGO_PKG_VERSION").to_owned(),
        stream_version: STREAM_VERSION,
        scenario_hash: loaded.hash.clone(),
        scenario: record::Scenario {
            name: loaded.name.clone(),
            text: loaded.text.clone(),
            overrides: loaded.overrides.clone(),
        },
        subject: describe::subject(scenario),
        seed: scenario.run.seed,
        pairings: scenario.run.pairings,
        until: rule.map(|rule| {
            let most = loaded.scenario.run.pairings;
            rule.outcome(rejected, found.pairings, most)
        }),
        confidence: scenario.run.confidence,
        target_yield: scenario.run.target_yield,
        joint: depict::joint(scenario, plan.joint.sizes()),
        characteristics: describe::characteristics(scenario),
        yield_: found,
        rejects,
        broken_limits,
        draw_up: draw_up(scenario, plan, counts),
        torque_curve: Some(torque::curve(scenario, plan, pool, instructions)),
        readings: gates::readings(scenario),
        correlations: drawn::correlations(scenario, plan, instructions),
        throughput: gates::throughput(&inspections, &found),
        inspections,
        lot_yields: lot_yields::of(scenario, plan, pool, instructions),
        doubt: doubt::of(scenario, plan, &found, pool, instructions),
        nominal: stated(&nominal),
        nominal_verdict: nominal.verdict.key().to_owned(),
        warnings,
        outputs,
    }
}

/// The outputs of a pairing that are defined, by key.
fn stated(solution: &Solution) -> BTreeMap<String, f64> {
    let defined = |output: Output| {
        solution
            .get(output)
            .map(|value| (output.key().to_owned(), value))
    };
    Output::ALL.into_iter().filter_map(defined).collect()
}

fn good(scenario: &Scenario, counts: &Counts) -> Yield {
    let (pairings, confidence) = (scenario.run.pairings, scenario.run.confidence);
    let good = counts
        .counted
        .masks
        .totals()
        .filter(|&(mask, _)| mask == 0)
        .map(|(_, count)| count)
        .sum();
    let share = share::of(good, pairings, confidence);
    Yield {
        good,
        pairings,
        fraction: share.fraction,
        low: share.low,
        high: share.high,
        confidence,
    }
}

/// Rejects by first broken limit, and every limit wherever it is broken.
fn rejects(scenario: &Scenario, plan: &Plan, counts: &Counts) -> (Vec<Reject>, Vec<BrokenLimit>) {
    let (names, verdicts) = (plan.criteria.names(), plan.criteria.verdicts());
    let bits = |mask: u32| (0..names.len()).filter(move |bit| mask >> bit & 1 == 1);
    let mut first: BTreeMap<Verdict, (u64, u64, BTreeMap<String, u64>)> = BTreeMap::new();
    let mut broken = vec![0_u64; names.len()];
    for (mask, count) in counts.counted.masks.totals().filter(|&(mask, _)| mask != 0) {
        let claims = bits(mask)
            .min_by_key(|&bit| (verdicts[bit], bit))
            .unwrap_or(0);
        let (sum, also, others) = first.entry(verdicts[claims]).or_default();
        *sum += count;
        *also += if mask.count_ones() > 1 { count } else { 0 };
        for bit in bits(mask) {
            broken[bit] += count;
            if bit != claims {
                *others.entry(names[bit].clone()).or_default() += count;
            }
        }
    }
    let share = |count| share::of(count, scenario.run.pairings, scenario.run.confidence);
    let mut rejects: Vec<Reject> = possible(&verdicts)
        .map(|verdict| {
            let (count, also_broken, also) = first.remove(&verdict).unwrap_or_default();
            let record::Share {
                fraction,
                low,
                high,
                ..
            } = share(count);
            Reject {
                mode: verdict.key().to_owned(),
                count,
                fraction,
                low,
                high,
                also_broken,
                also,
            }
        })
        .collect();
    rejects.sort_by_key(|reject| std::cmp::Reverse(reject.count));
    let limit = |(bit, name): (usize, String)| {
        let side = bit
            .checked_sub(fit::FIRST_SIDE)
            .map(|place| plan.criteria.sides()[place]);
        let record::Share {
            count,
            fraction,
            low,
            high,
        } = share(broken[bit]);
        BrokenLimit {
            name,
            mode: verdicts[bit].key().to_owned(),
            limit: side.map(|side| side.value),
            unit: side.map_or("", |side| side.output.unit()).to_owned(),
            count,
            fraction,
            low,
            high,
        }
    };
    (
        rejects,
        names.clone().into_iter().enumerate().map(limit).collect(),
    )
}

/// The verdicts that a reject can have under these limits, each once, in their order.
fn possible(verdicts: &[Verdict]) -> impl Iterator<Item = Verdict> + '_ {
    Verdict::ALL
        .into_iter()
        .filter(|verdict| verdicts.contains(verdict))
}

fn draw_up(scenario: &Scenario, plan: &Plan, counts: &Counts) -> Option<DrawUp> {
    let place = plan
        .outputs
        .iter()
        .position(|&output| output == Output::DrawUp)?;
    let frame = &counts.frames[place];
    let table = &draw_up_by_verdict(plan, counts);
    let seen = |verdict: &Verdict| table[verdict.index()].iter().any(|&count| count > 0);
    let column = |verdict: Verdict| (verdict.key().to_owned(), table[verdict.index()].to_vec());
    Some(DrawUp {
        from_mm: frame.from,
        to_mm: frame.to,
        counts: Verdict::ALL.into_iter().filter(seen).map(column).collect(),
        window: window::of(
            table,
            frame.from,
            frame.to,
            scenario.contact.smoothing_mm == 0.0,
        ),
    })
}

/// Draw-up by verdict.
fn draw_up_by_verdict(plan: &Plan, counts: &Counts) -> Vec<[u64; DRAW_UP_BINS]> {
    let mut table = vec![[0; DRAW_UP_BINS]; VERDICTS];
    for (mask, bins) in counts.counted.masks.seen() {
        let row = &mut table[plan.criteria.verdict(mask).index()];
        for (sum, count) in row.iter_mut().zip(bins) {
            *sum += count;
        }
    }
    table
}

/// One output over all pairings; `within` is its scatter within lots, where anything moves the mean.
fn output(
    scenario: &Scenario,
    plan: &Plan,
    counts: &Counts,
    within: Option<Option<Within>>,
    i: usize,
) -> record::Output {
    let output = plan.outputs[i];
    let (frame, sums, totals) = (
        &counts.frames[i],
        &counts.sums[i],
        &counts.counted.totals[i],
    );
    let confidence = scenario.run.confidence;
    let moments = Moments::from_shifted_sums(totals.present(), frame.shift, sums.powers());
    let sketch =
        Sketch::from_totals(totals, frame, sums.least(), sums.most()).expect("a frame is a range");
    let limits = scenario.limits.iter().find(|limit| limit.output == output);
    let bounds = Limits {
        min: limits.and_then(|l| l.min),
        max: limits.and_then(|l| l.max),
    };
    let mut absent = BTreeMap::new();
    let step = plan.joint.step(output);
    let counts_teeth = step.is_some();
    let mut index = |key: &str, found: Result<index::Index, index::Absent>| match found {
        _ if counts_teeth => {
            if limits.is_some() {
                absent.insert(key.to_owned(), WHOLE_TEETH.to_owned());
            }
            None
        }
        Ok(index) => Some(record::Index {
            value: index.value,
            low: index.low,
            high: index.high,
        }),
        Err(reason) => {
            if limits.is_some() {
                absent.insert(key.to_owned(), reason.reason().to_owned());
            }
            None
        }
    };
    let normal = index::normal_formula(&moments, bounds, confidence);
    let inside = match within {
        None => normal,
        Some(Some(within)) => index::within_formula(&moments, within, bounds, confidence),
        Some(None) => Indices::absent(Absent::NoSpread),
    };
    let percentile = index::percentile_formula(&sketch, bounds, confidence);
    let (cp, cpk) = (index("cp", inside.cp), index("cpk", inside.cpk));
    let (pp, ppk) = (index("pp", normal.cp), index("ppk", normal.cpk));
    let pp_percentile = index("pp_percentile", percentile.cp);
    let ppk_percentile = index("ppk_percentile", percentile.cpk);
    let extreme = |value: f64| Some(value).filter(|v| v.is_finite());
    record::Output {
        name: output.name().to_owned(),
        key: output.key().to_owned(),
        words: output.words().to_owned(),
        unit: output.unit().to_owned(),
        present: totals.present(),
        at_atom: output.atom().map(|_| totals.at_atom()),
        atom: output.atom(),
        mean: moments.mean(),
        sd: moments.sd(),
        skewness: moments.skewness(),
        excess_kurtosis: moments.excess_kurtosis(),
        min: extreme(sums.least()),
        max: extreme(sums.most()),
        quantiles: quantiles(&sketch, confidence, step),
        limits: limits.map(|limit| record::Limits {
            min: limit.min,
            max: limit.max,
        }),
        cp,
        cpk,
        pp,
        ppk,
        pp_percentile,
        ppk_percentile,
        shape_normal: index::shape_is_normal(&moments, sketch.atom_share()),
        among: among(output, &sketch),
        histogram: histogram(&sketch),
        absent,
    }
}

/// Quantiles with their intervals; those of an output that goes in steps lie on a step, which bins do not know.
fn quantiles(
    sketch: &Sketch,
    confidence: f64,
    step: Option<f64>,
) -> BTreeMap<String, record::Quantile> {
    let on_step = |value: f64| step.map_or(value, |step| libm::round(value / step) * step);
    let quantile = |(key, p): (&str, f64)| {
        let value = sketch.quantile(p)?;
        let interval = sketch.quantile_interval(p, confidence);
        let quantile = record::Quantile {
            value: on_step(value),
            low: interval.map(|i| on_step(i.low)),
            high: interval.map(|i| on_step(i.high)),
        };
        Some((key.to_owned(), quantile))
    };
    QUANTILES.into_iter().filter_map(quantile).collect()
}

/// The play of the joints that have some: quantiles without the pairings at the point mass. A quantile beyond the bins is
/// left out: a play so rare that the first pairings showed none has no shape to read it from.
fn among(output: Output, sketch: &Sketch) -> Option<record::Among> {
    if !PLAY.contains(&output) {
        return None;
    }
    let off = sketch.without_atom();
    let (from, to) = off.range();
    let resolved = |value: &f64| (from..=to).contains(value);
    let quantile = |(key, p): (&str, f64)| {
        let value = off.quantile(p).filter(resolved)?;
        Some((key.to_owned(), value))
    };
    (off.total() > 0).then(|| record::Among {
        count: off.total(),
        quantiles: AMONG.into_iter().filter_map(quantile).collect(),
    })
}

fn histogram(sketch: &Sketch) -> Option<record::Histogram> {
    if sketch.total() == 0 {
        return None;
    }
    let coarse = sketch.coarse(CHART_BINS);
    Some(record::Histogram {
        from: coarse.from,
        to: coarse.to,
        counts: coarse.counts,
        below: coarse.below,
        above: coarse.above,
    })
}
