//! Random cone joints and pairings, from numbers between 0 and 1.

use std::f64::consts::PI;

use acceptance::joints::{Shape, pairing, with};
use fit::{Criteria, Input, Joint, Output, Pairing, Side, Spacer};

/// Pairings of one random joint.
pub const PAIRINGS: usize = 21;

/// Numbers that a random joint and its pairings are made from.
pub const DRAWS: usize = 26 + 9 * PAIRINGS;

/// Numbers between 0 and 1, taken one after the other.
pub struct Draws<'a>(std::slice::Iter<'a, f64>);

impl Draws<'_> {
    /// From a list of [`DRAWS`] numbers.
    pub fn new(numbers: &[f64]) -> Draws<'_> {
        Draws(numbers.iter())
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.0.next().expect("enough numbers")
    }

    fn one_of(&mut self, choices: &[f64]) -> f64 {
        choices[self.below(choices.len())]
    }

    /// A whole number below `count`.
    pub fn below(&mut self, count: usize) -> usize {
        (self.between(0.0, count as f64) as usize).min(count - 1)
    }
}

/// A joint and pairings of it.
#[derive(Debug, Clone)]
pub struct Case {
    /// What its pairings have in common.
    pub shape: Shape,
    /// Nominal values.
    pub nominal: Pairing,
    /// The pairings.
    pub pairings: Vec<Pairing>,
}

impl Case {
    /// The joint, unless its sizes contradict each other.
    pub fn joint(&self) -> Option<Joint> {
        Joint::new(self.shape.sizes(&self.nominal)).ok()
    }
}

/// A joint from 1:3 to 1:100, 8 to 120 mm, solid or hollow, whose hub hangs over, stands back or runs level, drawn up by
/// a plausible pressure; and pairings that may miss either way, a little or by whole lengths.
pub fn case(draws: &mut Draws) -> Case {
    let taper = draws.one_of(&[
        10.0,
        3.0,
        24.0 / 7.0,
        5.0,
        8.0,
        12.0,
        16.0,
        20.0,
        30.0,
        50.0,
        100.0,
    ]);
    let tangent = 0.5 / taper;
    let half_angle = libm::atan(tangent);
    let d = draws.between(8.0, 120.0);
    let length = (d * draws.between(0.3, 1.5)).min(0.5 * d * taper);
    let x1 = draws.between(0.0, 0.2) * d;
    let u1 = draws.one_of(&[0.0, 0.0, 0.1]) * d;
    let t = (x1 - u1 + draws.between(-0.15, 0.25) * length).max(0.05 * d);
    let small_radius = 0.5 * d - length * tangent;
    let mut shape = Shape {
        male_flank: (x1, x1 + length),
        female_flank: (u1, u1 + length * draws.one_of(&[1.0, 0.7, 1.3])),
        outside_radius: (0.5 * d + 0.2 * d * tangent) * draws.between(1.15, 3.0),
        bore_radius: draws.one_of(&[0.0, 0.0, 0.3, 0.6, 0.85]) * small_radius,
        hub: (
            draws.one_of(&[210e3, 70e3, 118e3]),
            draws.one_of(&[0.29, 0.33]),
        ),
        shaft: (210e3, 0.29),
        spacer: Spacer::Rigid,
        smoothing: draws.one_of(&[0.0, 0.0, 0.004]),
        bolt_diameter: 0.4 * d,
    };
    let (friction, pressure) = (draws.between(0.04, 0.3), draws.between(2.0, 60.0));
    let k = {
        let (outer, square) = (shape.outside_radius.powi(2), 0.25 * d * d);
        ((outer + square) / (outer - square) + 0.3) / shape.hub.0 + 0.8 / 210e3
    };
    let draw_up = pressure * 0.5 * d * k / tangent;
    let bolt_load = PI * d * length * pressure * libm::tan(half_angle + libm::atan(friction));
    // Soft spacers, but none so soft that the bolt could push the hub through it and off the far end of the cone: see
    // `a_soft_spacer_lets_the_hub_onto_the_cone_not_past_it`.
    let softest = bolt_load / length;
    shape.spacer = match draws.below(3) {
        0 => Spacer::Rigid,
        1 => Spacer::Ring((210e3 * 0.5 * d * d).max(softest * t)),
        _ => Spacer::Stiffness(draws.one_of(&[1.0, 10.0, 100.0]) * softest),
    };
    let plane = x1 + draws.between(0.0, 0.3) * length;
    let hub_plane = u1 + draws.between(0.0, 0.3) * length;
    let nut_factor = draws.between(0.12, 0.3);
    let torque = bolt_load * draws.between(0.3, 2.5) * nut_factor * shape.bolt_diameter;
    let nominal = pairing(&[
        (Input::MalePlane, plane),
        (Input::MaleSize, d),
        (Input::MaleHalfAngle, half_angle),
        (Input::FemalePlane, hub_plane),
        (
            Input::FemaleSize,
            d - 2.0 * tangent * (t + draw_up - plane + hub_plane),
        ),
        (Input::FemaleHalfAngle, half_angle),
        (Input::Thickness, t),
        (Input::Friction, friction),
        (Input::Torque, torque),
        (Input::NutFactor, nut_factor),
    ]);
    let one = |_| random_pairing(draws, &nominal, draw_up, length);
    let pairings = (0..PAIRINGS).map(one).collect();
    Case {
        shape,
        nominal,
        pairings,
    }
}

/// One pairing of a joint with this nominal draw-up and this length of the cone (mm).
fn random_pairing(draws: &mut Draws, nominal: &Pairing, draw_up: f64, length: f64) -> Pairing {
    let half_angle = nominal.get(Input::MaleHalfAngle);
    let little = draw_up * draws.one_of(&[0.1, 1.0, 1.5]) * draws.between(-1.0, 1.0);
    let far = length * draws.between(-2.5, 2.5);
    let misses_far = draws.between(0.0, 1.0) > 0.95;
    let miss = if misses_far { far } else { little };
    let mismatch = draws.one_of(&[0.0, 1e-5, 2e-4, 1e-3, 3e-3]);
    let mut angle = || half_angle + mismatch * draws.between(-1.0, 1.0);
    let angles = (angle(), angle());
    let diameter = nominal.get(Input::MaleSize) + 2.0 * libm::tan(half_angle) * miss;
    let thickness = nominal.get(Input::Thickness) + draws.between(-0.03, 0.03);
    let torque = nominal.get(Input::Torque) * draws.between(0.4, 1.4);
    with(
        nominal,
        &[
            (Input::MaleSize, diameter),
            (Input::Thickness, thickness),
            (Input::MaleHalfAngle, angles.0),
            (Input::FemaleHalfAngle, angles.1),
            (Input::Torque, torque),
        ],
    )
}

/// Limits of every kind, so that every verdict can be met.
pub fn limits(bolt_load: f64) -> Criteria {
    let side = |output, minimum, value| Side {
        output,
        minimum,
        value,
    };
    Criteria::new(vec![
        side(Output::BoreStress, false, 80.0),
        side(Output::ClampLoad, true, 0.1 * bolt_load),
        side(Output::ContactShare, true, 0.6),
        side(Output::DrawUp, false, 0.5),
        side(Output::SeatLoad, true, 0.2 * bolt_load),
        side(Output::BoltLoad, false, 2e5),
    ])
    .expect("finite limits")
}
