//! One pairing as it is stated: its values, and the errors of its teeth.

use fit::{Input, Pairing, ToothErrors};

use crate::parts::PartRow;

/// Sizes, frictions and torque of a pairing, and the errors of its teeth where those were measured.
#[derive(Debug, Clone, PartialEq)]
pub struct Measured {
    /// The values.
    pub pairing: Pairing,
    /// Errors of the flanks; teeth that are not named are perfect.
    pub teeth: ToothErrors,
}

impl Measured {
    /// Perfect teeth.
    pub fn new(pairing: Pairing) -> Measured {
        Measured {
            pairing,
            teeth: ToothErrors::default(),
        }
    }

    /// Puts in what was measured of a part; errors of shaft and hub add up.
    pub fn put(&mut self, part: &PartRow) {
        for &(input, value) in &part.values {
            self.pairing.0[input.index()] = value;
        }
        for &(tooth, error) in &part.errors {
            tooth.add(error, &mut self.teeth);
        }
    }

    /// The same pairing with another value.
    pub fn with(&self, input: Input, value: f64) -> Measured {
        let mut other = self.clone();
        other.pairing.0[input.index()] = value;
        other
    }
}
