//! What a column may state: the characteristics that the scenario has, and the errors of its teeth.

use fit::Input;

use crate::inputs::inputs;
use crate::scenario::scale::Scale;
use crate::scenario::{Scenario, Seat};

/// What of a scenario can be measured.
#[derive(Debug, Clone)]
pub(crate) struct Known {
    /// Each characteristic with its dotted path.
    characteristics: Vec<(Input, &'static str)>,
    /// Number of teeth; 0 on a cone.
    pub(super) teeth: usize,
    /// Nominal thickness of a tooth (mm); 0 on a cone.
    pub(super) tooth_mm: f64,
}

impl Known {
    /// What a scenario has.
    pub(crate) fn of(scenario: &Scenario) -> Known {
        let characteristics = inputs(scenario);
        let (teeth, tooth_mm) = match &scenario.seat {
            Seat::Cone(_) => (0, 0.0),
            Seat::Spline(spline) => (spline.teeth as usize, spline.shaft.size.nominal),
        };
        Known {
            characteristics: characteristics
                .into_iter()
                .map(|(input, c)| (input, c.path))
                .collect(),
            teeth,
            tooth_mm,
        }
    }

    fn path(&self, input: Input) -> Option<&'static str> {
        let found = self.characteristics.iter().find(|known| known.0 == input);
        found.map(|known| known.1)
    }

    /// Whether the scenario has what a column names. An angle may be typed in any of its ways, but belongs to one part.
    pub(super) fn has(&self, path: &str, input: Input, scale: Scale) -> bool {
        let part = |path: &str| path.split('.').next().map(str::to_owned);
        self.path(input)
            .is_some_and(|own| own == path || (scale.is_angle() && part(own) == part(path)))
    }

    /// What the scenario has instead of something that it does not have.
    pub(super) fn instead(&self, path: &str, input: Input) -> String {
        let others: &[Input] = match input {
            Input::FemaleHalfAngle => &[Input::MaleHalfAngle],
            Input::NutFactor => &[Input::ThreadFriction, Input::HeadFriction],
            Input::ThreadFriction | Input::HeadFriction => &[Input::NutFactor],
            _ => &[],
        };
        let own = self.path(input).into_iter();
        let has: Vec<&str> = own
            .chain(others.iter().filter_map(|other| self.path(*other)))
            .collect();
        if has.is_empty() {
            format!("state {path} in the scenario before parts are measured for it")
        } else {
            format!("this scenario has {} instead", has.join(" and "))
        }
    }
}
