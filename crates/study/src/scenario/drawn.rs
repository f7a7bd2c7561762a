//! Reads the drawing limits of a characteristic: deviations, absolute limits, a class, a grade.

use crate::problem::id;
use crate::scenario::characteristic::{Spec, check_slip};
use crate::scenario::document::Value;
use crate::scenario::value::read_quantity;
use crate::scenario::walk::Section;
use crate::scenario::{class, grade};

/// Drawing limits, absolute.
#[derive(Debug, Clone, Default)]
pub(crate) struct Limits {
    /// Lower limit.
    pub(crate) lower: Option<f64>,
    /// Upper limit.
    pub(crate) upper: Option<f64>,
    /// The class or grade that gave them.
    pub(crate) class: Option<String>,
}

/// Limits by a class or grade.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Named {
    /// None is stated.
    Absent,
    /// Something was reported.
    Refused,
    /// The name, lower and upper limit, absolute.
    Given(String, f64, f64),
}

/// The ways to state limits, of which only one may stand.
const WAYS: [&str; 3] = ["class", "grade", "deviations"];

/// Reads the limits in the one way in which they are stated; `None` when something was reported. `flank` is the length of a
/// cone along its axis (mm), where the characteristic is its angle.
pub(crate) fn read(
    table: &Section<'_, '_>,
    spec: &Spec,
    nominal: Option<f64>,
    flank: Option<f64>,
) -> Option<Limits> {
    let mut twice = false;
    for (i, first) in WAYS[..2].iter().enumerate() {
        for second in WAYS[i + 1..].iter().chain(&["min", "max"]) {
            twice |= table.exclude(first, second, "each gives the drawing limits");
        }
    }
    let class = class::read(table, spec, nominal);
    let grade = grade::read(table, spec, nominal, flank);
    let plain = plain(table, spec, nominal);
    if twice {
        return None;
    }
    match (class, grade) {
        (Named::Absent, Named::Absent) => plain.map(|(lower, upper)| Limits {
            lower,
            upper,
            class: None,
        }),
        (Named::Given(name, lower, upper), _) | (_, Named::Given(name, lower, upper)) => {
            let key = if table.has("class") { "class" } else { "grade" };
            positive_limit(table, key, spec, Some(upper)).then_some(Limits {
                lower: Some(lower),
                upper: Some(upper),
                class: Some(name),
            })
        }
        _ => None,
    }
}

/// Limits from `deviations`, or from `min` and `max`. `None` when something was reported.
fn plain(
    table: &Section<'_, '_>,
    spec: &Spec,
    nominal: Option<f64>,
) -> Option<(Option<f64>, Option<f64>)> {
    let before = table.walk.count();
    let apart = table.exclude(
        "deviations",
        "min",
        "deviations count from the nominal, min and max are absolute",
    ) | table.exclude(
        "deviations",
        "max",
        "deviations count from the nominal, min and max are absolute",
    );
    let deviations = table
        .has("deviations")
        .then(|| read_deviations(table, spec, nominal));
    let absolute = |key| {
        table
            .quantity(key, spec.scale.absolute_measures())
            .map(|typed| spec.scale.absolute(typed))
    };
    let (min, max) = (absolute("min"), absolute("max"));
    if apart || table.walk.count() > before {
        return None;
    }
    if let Some(pair) = deviations {
        return pair.map(|(low, high)| (Some(low), Some(high)));
    }
    if let (Some(low), Some(high)) = (min, max)
        && low > high
    {
        let found = format!(
            "min {} ({}) above max {} ({})",
            spec.scale.show(low),
            table.walk.where_is(table.spot_of("min")),
            spec.scale.show(high),
            table.walk.where_is(table.spot_of("max"))
        );
        table.bad(&id::ORDER, "min", &found, "min at or below max", "");
        return None;
    }
    for (key, value) in [("min", min), ("max", max)] {
        if let (Some(value), Some(nominal)) = (value, nominal)
            && !check_slip(table, key, spec, nominal, value)
        {
            return None;
        }
    }
    positive_limit(table, "max", spec, max).then_some((min, max))
}

fn read_deviations(
    table: &Section<'_, '_>,
    spec: &Spec,
    nominal: Option<f64>,
) -> Option<(f64, f64)> {
    let entry = table.get("deviations")?;
    let path = table.path_of("deviations");
    let expected = "a list of two: lower and upper deviation from the nominal, for example [\"-13 um\", \"0 um\"]";
    let Value::List(items) = &entry.node.value else {
        table.wrong_type(entry, &entry.node.value, expected);
        return None;
    };
    let [low, high] = items.as_slice() else {
        table.wrong_type(entry, &entry.node.value, expected);
        return None;
    };
    let read = |node| read_quantity(table.walk, node, &path, spec.scale.difference_measures());
    let (low, high) = (read(low), read(high));
    let (low, high, nominal) = (low?, high?, nominal?);
    let (lower, upper) = (
        spec.scale.moved(nominal, low),
        spec.scale.moved(nominal, high),
    );
    if lower > upper {
        let found = format!(
            "lower deviation {} above upper deviation {}",
            low.canonical(),
            high.canonical()
        );
        table.bad(
            &id::ORDER,
            "deviations",
            &found,
            "the lower deviation first, then the upper",
            "turn the two round",
        );
        return None;
    }
    positive_limit(table, "deviations", spec, Some(upper)).then_some((lower, upper))
}

/// Refuses limits that lie below 0 for something that must be above.
fn positive_limit(table: &Section<'_, '_>, key: &str, spec: &Spec, upper: Option<f64>) -> bool {
    let impossible = (spec.positive || spec.scale.is_angle()) && upper.is_some_and(|u| u <= 0.0);
    if impossible {
        let found = format!(
            "an upper limit of {}",
            spec.scale.show(upper.unwrap_or(0.0))
        );
        table.bad(
            &id::GEOMETRY,
            key,
            &found,
            &format!("{} above 0", spec.words),
            "",
        );
    }
    !impossible
}
