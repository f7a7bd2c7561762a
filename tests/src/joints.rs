//! The one place where acceptance tests put the sizes of a cone joint together.

use fit::{ConeSizes, INPUTS, Input, JointSizes, Pairing, Seat, Spacer};

/// What every pairing of a cone joint has in common, but for the nominal values.
#[derive(Debug, Clone, Copy)]
pub struct Shape {
    /// Male flank from the shoulder: large end, small end (mm).
    pub male_flank: (f64, f64),
    /// Female flank from the clamping face: large end, small end (mm).
    pub female_flank: (f64, f64),
    /// Hub outside radius (mm).
    pub outside_radius: f64,
    /// Shaft bore radius (mm).
    pub bore_radius: f64,
    /// Modulus (MPa) and Poisson's ratio of the hub.
    pub hub: (f64, f64),
    /// Modulus (MPa) and Poisson's ratio of the shaft.
    pub shaft: (f64, f64),
    /// The spacer.
    pub spacer: Spacer,
    /// Smoothing allowance on diameter (mm).
    pub smoothing: f64,
    /// Nominal diameter of the bolt (mm).
    pub bolt_diameter: f64,
}

impl Shape {
    /// The sizes with these nominal values.
    pub fn sizes(&self, nominal: &Pairing) -> JointSizes {
        let cone = ConeSizes {
            male_flank: self.male_flank,
            female_flank: self.female_flank,
            outside_radius: self.outside_radius,
            bore_radius: self.bore_radius,
            hub_modulus: self.hub.0,
            hub_poisson: self.hub.1,
            shaft_modulus: self.shaft.0,
            shaft_poisson: self.shaft.1,
            smoothing: self.smoothing,
            blue_film: 0.005,
        };
        JointSizes::plain_cone(cone, self.spacer, self.bolt_diameter, nominal.0)
    }
}

/// The cone of a cone joint.
///
/// # Panics
/// For a spline.
pub fn cone(sizes: &JointSizes) -> &ConeSizes {
    match &sizes.seat {
        Seat::Cone(cone) => cone,
        Seat::Spline(_) => panic!("a joint with a cone"),
    }
}

/// A pairing from the values of its inputs; what is not named is 0.
pub fn pairing(values: &[(Input, f64)]) -> Pairing {
    with(&Pairing([0.0; INPUTS]), values)
}

/// A pairing with some values replaced.
pub fn with(base: &Pairing, values: &[(Input, f64)]) -> Pairing {
    let mut pairing = *base;
    for (input, value) in values {
        pairing.0[input.index()] = *value;
    }
    pairing
}
