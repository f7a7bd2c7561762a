//! Reads `[limits]`: what makes a joint good.

use fit::Output;

use crate::problem::id;
use crate::scenario::Limit;
use crate::scenario::quantity::{Measure, Quantity};
use crate::scenario::walk::Section;

/// Reads the limits, in the order of the outputs; the table may be missing.
pub(crate) fn limits(head: &Section<'_, '_>) -> Vec<Limit> {
    if !head.has("limits") {
        return Vec::new();
    }
    let Some(section) = head.section("limits") else {
        return Vec::new();
    };
    let limits = Output::ALL
        .into_iter()
        .filter_map(|output| limit(&section, output))
        .collect();
    section.finish();
    limits
}

fn limit(section: &Section<'_, '_>, output: Output) -> Option<Limit> {
    if !section.has(output.name()) {
        return None;
    }
    let table = section.section(output.name())?;
    let read = |key| {
        table
            .quantity(key, measures(output))
            .map(|typed| (typed, in_own_unit(output, typed)))
    };
    let (min, max) = (read("min"), read("max"));
    if !table.has("min") && !table.has("max") {
        table.missing("min", "min, max, or both", &example(output));
    }
    if let (Some((low, a)), Some((high, b))) = (&min, &max)
        && a > b
    {
        let found = format!(
            "min {} ({}) above max {} ({})",
            low.canonical(),
            table.walk.where_is(table.spot_of("min")),
            high.canonical(),
            table.walk.where_is(table.spot_of("max"))
        );
        table.bad(&id::ORDER, "min", &found, "min at or below max", "");
    }
    if matches!(
        output,
        Output::ContactShare | Output::BlueShare | Output::ToothLoadShare
    ) {
        for (key, value) in [("min", &min), ("max", &max)] {
            if let Some((typed, share)) = value
                && !(0.0..=1.0).contains(share)
            {
                table.bad(
                    &id::RANGE,
                    key,
                    &typed.canonical(),
                    "a share from 0 to 1, or from \"0 %\" to \"100 %\"",
                    "",
                );
            }
        }
    }
    table.finish();
    Some(Limit {
        output,
        min: min.map(|(_, value)| value),
        max: max.map(|(_, value)| value),
    })
}

/// A limit as it would stand in a scenario.
fn example(output: Output) -> String {
    let value = match measures(output)[0].usual() {
        "" => "0.5".to_owned(),
        unit => format!("\"1 {unit}\""),
    };
    format!("{} = {{ min = {value} }}", output.name())
}

/// What the limit of an output may be typed as.
fn measures(output: Output) -> &'static [Measure] {
    match (output, output.unit()) {
        (
            Output::ContactShare
            | Output::BlueShare
            | Output::ToothLoadShare
            | Output::BoltUtilisation,
            _,
        ) => &[Measure::Plain, Measure::Percent],
        (_, "N") => &[Measure::Force],
        (_, "mm") => &[Measure::Length],
        (_, "N*m") => &[Measure::Torque],
        (_, "MPa") => &[Measure::Stress],
        (_, "deg") => &[Measure::Angle],
        _ => &[Measure::Plain],
    }
}

/// The value in the output's own unit; N·m and degrees are not the units of the inside.
fn in_own_unit(output: Output, typed: Quantity) -> f64 {
    match (typed.measure, output.unit()) {
        (_, unit) if typed.unit == unit => typed.number,
        (Measure::Torque, _) => typed.value / 1000.0,
        (Measure::Angle, _) => typed.value * 180.0 / std::f64::consts::PI,
        _ => typed.value,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn limits_come_in_the_unit_of_their_output() {
        let value = |output, text| in_own_unit(output, Quantity::parse(text).unwrap());
        assert_eq!(value(Output::ClampLoad, "6 kN"), 6000.0);
        assert_eq!(value(Output::ClosingTorque, "50 N*m"), 50.0);
        assert_eq!(value(Output::RockAngle, "0.1 deg"), 0.1);
        assert!((value(Output::RockAngle, "6 arcmin") - 0.1).abs() < 1e-15);
        assert_eq!(value(Output::DrawUp, "40 um"), 0.04);
        assert_eq!(value(Output::ContactShare, "50 %"), 0.5);
    }

    #[test]
    fn every_output_has_a_way_to_type_its_limit() {
        for output in Output::ALL {
            let plain = matches!(measures(output), [Measure::Plain, ..]);
            assert_eq!(plain, output.unit().is_empty(), "{}", output.name());
        }
    }
}
