//! Reads the parameters by which a kind of shape describes itself, and finds what holds where one is left out.

use distributions::kind::{Parameter, Role, Usual};

use crate::problem::id;
use crate::scenario::characteristic::{Drawing, Spec};
use crate::scenario::quantity::{Measure, Quantity};
use crate::scenario::scale::{Scale, short};
use crate::scenario::walk::Section;

/// Parameters of a shape as typed.
#[derive(Debug, Clone)]
pub(crate) struct Parameters(Vec<(&'static Parameter, Option<Quantity>)>);

impl Parameters {
    /// Reads them; what is left out is found in [`Parameters::values`].
    pub(crate) fn read(
        section: &Section<'_, '_>,
        scale: Scale,
        parameters: &'static [Parameter],
    ) -> Parameters {
        let read = |parameter: &'static Parameter| {
            let allowed = match parameter.role {
                Role::Place => scale.absolute_measures(),
                Role::Spread => scale.difference_measures(),
                Role::Plain => &[Measure::Plain],
            };
            (parameter, section.quantity(parameter.key, allowed))
        };
        Parameters(parameters.iter().map(read).collect())
    }

    /// Their values in the unit of the inside, in their order; `None` when something was reported.
    pub(crate) fn values(
        &self,
        section: &Section<'_, '_>,
        spec: &Spec,
        drawing: &Drawing,
    ) -> Option<Vec<f64>> {
        let mut without_limit = false;
        let mut values = Vec::with_capacity(self.0.len());
        for (parameter, typed) in &self.0 {
            let value = match (typed, parameter.usual) {
                (Some(typed), _) => match parameter.role {
                    Role::Place => Some(spec.scale.absolute(*typed)),
                    Role::Spread => spread(section, parameter.key, spec, drawing, *typed),
                    Role::Plain => Some(typed.value),
                },
                (None, Usual::Value(value)) => Some(value),
                (None, Usual::Nominal) => Some(drawing.nominal),
                (None, Usual::LowerLimit) => drawing.lower,
                (None, Usual::UpperLimit) => drawing.upper,
                (None, Usual::None) => None,
            };
            if value.is_none() && typed.is_none() && !(is_end(parameter) && without_limit) {
                without_limit |= is_end(parameter);
                missing(section, spec, parameter);
            }
            values.extend(value);
        }
        (values.len() == self.0.len()).then_some(values)
    }

    /// Where the range of the shape ends, in words; `None` without a range.
    pub(crate) fn range(&self) -> Option<&'static str> {
        let mut ends = self.0.iter().filter(|(parameter, _)| is_end(parameter));
        let first = ends.next()?;
        let stated = first.1.is_some() || ends.any(|(_, typed)| typed.is_some());
        Some(match stated {
            true => "stated range",
            false => "drawing limits",
        })
    }

    /// Whether a value lies in the range of the shape, given the values of the parameters.
    pub(crate) fn spans(&self, values: &[f64], value: f64) -> bool {
        self.0
            .iter()
            .zip(values)
            .all(|((parameter, _), end)| match parameter.usual {
                Usual::LowerLimit => *end <= value,
                Usual::UpperLimit => *end >= value,
                _ => true,
            })
    }

    /// What was stated beside a range, in words.
    pub(crate) fn words(&self) -> Vec<String> {
        let stated = self.0.iter().filter(|(parameter, _)| !is_end(parameter));
        stated
            .filter_map(|(parameter, typed)| {
                let typed = typed.as_ref()?;
                let value = match typed.unit {
                    "" => short(typed.number),
                    _ => typed.canonical(),
                };
                Some(format!("{} {value}", parameter.words))
            })
            .collect()
    }
}

/// Whether a parameter is an end of a range that is the drawing limits where it is not stated.
fn is_end(parameter: &Parameter) -> bool {
    matches!(parameter.usual, Usual::LowerLimit | Usual::UpperLimit)
}

fn missing(section: &Section<'_, '_>, spec: &Spec, parameter: &Parameter) {
    if is_end(parameter) {
        section.missing(
            parameter.key,
            "the range of the process, or two drawing limits that it fills",
            "low = \"29.98 mm\", high = \"30.01 mm\"",
        );
        return;
    }
    let example = match parameter.role {
        Role::Place => spec.example,
        Role::Spread => "\"2 %\"",
        Role::Plain => "2",
    };
    section.missing(
        parameter.key,
        &format!("the {}", parameter.words),
        &format!("{} = {example}", parameter.key),
    );
}

/// A difference in the unit of the inside; a percentage needs a nominal that is not 0.
pub(crate) fn spread(
    section: &Section<'_, '_>,
    key: &'static str,
    spec: &Spec,
    drawing: &Drawing,
    typed: Quantity,
) -> Option<f64> {
    if typed.measure == Measure::Percent && drawing.nominal == 0.0 {
        let what = match key {
            "sd" => "a standard deviation",
            _ => "a value",
        };
        section.bad(
            &id::PROCESS,
            key,
            &typed.canonical(),
            &format!("{what} with its unit"),
            "a percentage of a nominal of 0 is 0",
        );
        return None;
    }
    Some(spec.scale.spread(drawing.nominal, typed))
}
