//! What a reader must know before trusting the numbers of a run.

use fit::{Input, Output, Seat, Solution};

use crate::few_readings;
use crate::plan::Plan;
use crate::scenario::{Scenario, Tightening};

/// Share of pairings beyond full contact above which a run warns.
const MISMATCHED: f64 = 0.01;

/// Overhang of a hub end past the cone's end, as a share of the diameter, above which a run warns.
const OVERHANG: f64 = 0.02;

/// The warnings, one sentence each.
pub fn of(
    scenario: &Scenario,
    plan: &Plan,
    nominal: &Solution,
    outputs: &[record::Output],
) -> Vec<String> {
    [
        mismatch(outputs),
        overhang(plan, nominal),
        not_self_locking(nominal),
        counted_twice(scenario),
        bolt_yields(outputs),
        bolt_yields_in_service(plan, outputs),
        clamp_lost_in_service(outputs),
        drawn_up_past_the_teeth(plan, outputs),
        outside_bins(outputs),
    ]
    .into_iter()
    .flatten()
    .chain(outputs.iter().filter_map(piled_up))
    .chain(few_readings::warnings(scenario))
    .collect()
}

fn mismatch(outputs: &[record::Output]) -> Option<String> {
    let ratio = outputs
        .iter()
        .find(|output| output.name == Output::MismatchRatio.name())?;
    let histogram = ratio.histogram.as_ref()?;
    let width = (histogram.to - histogram.from) / histogram.counts.len() as f64;
    // Counts above 1, the bin that holds 1 shared out by its part above.
    let beyond: f64 = histogram
        .counts
        .iter()
        .enumerate()
        .map(|(bin, &count)| {
            let low = histogram.from + width * bin as f64;
            count as f64 * ((low + width - 1.0) / width).clamp(0.0, 1.0)
        })
        .sum::<f64>()
        + histogram.above as f64;
    let share = beyond / ratio.present as f64;
    (share > MISMATCHED).then(|| {
        format!(
            "In {:.0} % of the pairings whose cones press, the angle mismatch exceeds the interference (mismatch ratio above 1): \
             contact is partial there, and the ring law overstates the contact share and can miss the load of the cones by a \
             factor of two either way.",
            100.0 * share
        )
    })
}

fn overhang(plan: &Plan, nominal: &Solution) -> Option<String> {
    let sizes = plan.joint.sizes();
    let stand_off = nominal.get(Output::StandOff)?;
    let diameter = sizes.nominal[Input::MaleSize.index()];
    let (large, small) = plan.joint.cone()?.overhang(stand_off);
    let (end, most) = if large > small {
        ("large", large)
    } else {
        ("small", small)
    };
    (most > OVERHANG * diameter).then(|| {
        format!(
            "At nominal sizes the hub hangs {most:.2} mm past the {end} end of the shaft's cone: the ring law is about 3 to 11 % \
             low in load there, more when that end touches first."
        )
    })
}

fn not_self_locking(nominal: &Solution) -> Option<String> {
    let release = nominal.get(Output::ReleaseLoad)?;
    (release < 0.0).then(|| {
        "At nominal sizes the seat is not self-locking (half-angle above the friction angle): it lets go as soon as the bolt does."
            .to_owned()
    })
}

/// The high quantile of an output, where joints that matter begin.
fn high(outputs: &[record::Output], output: Output) -> Option<f64> {
    let found = outputs.iter().find(|o| o.name == output.name())?;
    found.quantiles.get("0.99865").map(|q| q.value)
}

fn bolt_yields(outputs: &[record::Output]) -> Option<String> {
    let utilisation = high(outputs, Output::BoltUtilisation)?;
    (utilisation > 1.0).then(|| {
        format!(
            "The highest 0.135 % of the bolts are tightened beyond their yield strength (utilisation {utilisation:.2} and more): \
             the calculation is elastic and does not hold there."
        )
    })
}

fn bolt_yields_in_service(plan: &Plan, outputs: &[record::Output]) -> Option<String> {
    let stress = plan.joint.sizes().bolt.stress?;
    let used =
        high(outputs, Output::ServiceBoltLoad)? * stress.per_load.tension / stress.yield_strength;
    (used > 1.0).then(|| {
        format!(
            "In service the highest 0.135 % of the bolts bear more than their yield strength on tension alone ({used:.2} of it and \
             more); bolt utilisation is that of assembly."
        )
    })
}

fn clamp_lost_in_service(outputs: &[record::Output]) -> Option<String> {
    let clamp = outputs
        .iter()
        .find(|o| o.name == Output::ServiceClampLoad.name())?;
    let share = clamp.at_atom? as f64 / clamp.present.max(1) as f64;
    (share > 0.001).then(|| {
        format!(
            "In service {:.1} % of the joints have no clamp load left.",
            100.0 * share
        )
    })
}

fn drawn_up_past_the_teeth(plan: &Plan, outputs: &[record::Output]) -> Option<String> {
    let Seat::Spline(spline) = plan.joint.sizes().seat else {
        return None;
    };
    let draw_up = high(outputs, Output::DrawUp)?;
    (draw_up > spline.length).then(|| {
        format!(
            "The draw-up reaches {draw_up:.1} mm, more than the teeth's engaged length of {:.1} mm: the engaged length is taken as \
             constant and no longer means anything there.",
            spline.length
        )
    })
}

/// A tightening factor is the scatter of the preload, that of the frictions included.
fn counted_twice(scenario: &Scenario) -> Option<String> {
    let bolt = &scenario.bolt;
    let scatters = match &bolt.tightening {
        Tightening::NutFactor(factor) => !factor.process.is_constant(),
        Tightening::Friction { thread, head, .. } => {
            !(thread.process.is_constant() && head.process.is_constant())
        }
    };
    (bolt.torque_by_factor && scatters).then(|| {
        "The tightening factor already holds the scatter of the bolt's friction, and that friction scatters here as well: \
         the bolt load varies more than stated."
            .to_owned()
    })
}

fn outside_bins(outputs: &[record::Output]) -> Option<String> {
    let beyond = |output: &&record::Output| {
        let outside = output
            .histogram
            .as_ref()
            .map_or(0, |h| h.below.max(h.above));
        outside as f64 > 0.001_35 * output.present as f64
    };
    let names: Vec<&str> = outputs
        .iter()
        .filter(beyond)
        .map(|output| output.words.as_str())
        .collect();
    (!names.is_empty()).then(|| {
        format!(
            "The outer quantiles of {} lie beyond the bins in which they were counted and are stated only roughly.",
            names.join(", ")
        )
    })
}

/// A judged output whose point mass lies outside its limit: no index can say how many that are.
fn piled_up(output: &record::Output) -> Option<String> {
    let (atom, count, limits) = (output.atom?, output.at_atom?, output.limits?);
    let outside =
        limits.min.is_some_and(|min| atom < min) || limits.max.is_some_and(|max| atom > max);
    let share = count as f64 / output.present as f64;
    (outside && share > 0.001_35).then(|| {
        format!(
            "In {:.1} % of the pairings the {} is exactly {atom}, outside its limit: an index of capability does not \
             count such a pile, so judge this output by its share of rejects.",
            100.0 * share,
            output.words
        )
    })
}
