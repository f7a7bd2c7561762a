//! A joint whose answers have closed forms: the nominal cone of the rings is almost a cylinder, so that the
//! compliance is that of one radius; the pairing has the real angle, equal in both parts, and the whole hub lies on
//! the cone. The load is then `F(h) = 2 pi tan(alpha + phi) (L/K) tan(alpha) (h0 - h)`.

use std::f64::consts::PI;

use acceptance::joints::{Shape, pairing, with};
use fit::{Input, JointSizes, Pairing, Spacer};

/// Thickness of the spacer (mm).
pub const THICKNESS: f64 = 100.0;
/// Length of the hub (mm).
pub const LENGTH: f64 = 30.0;
/// Diameter at the clamping face's place (mm).
pub const DIAMETER: f64 = 25.0;
/// Friction on the cone.
pub const FRICTION: f64 = 0.12;
/// Tangent of the half-angle: 1:10.
pub const TANGENT: f64 = 0.05;

/// The joint and a pairing of it that draws up `draw_up` mm before it closes, under the bolt load `bolt` (N).
pub fn straight(spacer: Spacer, draw_up: f64, bolt: f64) -> (JointSizes, Pairing) {
    let shape = Shape {
        male_flank: (THICKNESS - 50.0, THICKNESS + 80.0),
        female_flank: (0.0, LENGTH),
        outside_radius: DIAMETER,
        bore_radius: 0.0,
        hub: (210e3, 0.29),
        shaft: (210e3, 0.29),
        spacer,
        smoothing: 0.0,
        bolt_diameter: 12.0,
    };
    let nominal = pairing(&[
        (Input::MalePlane, THICKNESS),
        (Input::MaleSize, DIAMETER),
        (Input::MaleHalfAngle, 1e-13),
        (Input::FemaleSize, DIAMETER - 2.0 * TANGENT * draw_up),
        (Input::FemaleHalfAngle, 1e-13),
        (Input::Thickness, THICKNESS),
        (Input::Friction, FRICTION),
        (Input::Torque, bolt * 0.2 * 12.0),
        (Input::NutFactor, 0.2),
    ]);
    let half_angle = libm::atan(TANGENT);
    let real = [
        (Input::MaleHalfAngle, half_angle),
        (Input::FemaleHalfAngle, half_angle),
    ];
    (shape.sizes(&nominal), with(&nominal, &real))
}

/// `L/K` (N/mm): one steel, solid shaft, hub twice as thick as the cone: `K = ((4 + 1)/(4 - 1) + 1)/E`.
pub fn radial_rate() -> f64 {
    LENGTH * 210e3 / (5.0 / 3.0 + 1.0)
}

/// Axial load per radial load while sliding on: `2 pi (tan a + mu)/(1 - mu tan a)`.
pub fn push_on() -> f64 {
    2.0 * PI * (TANGENT + FRICTION) / (1.0 - FRICTION * TANGENT)
}

/// Axial load per radial load that lets go: `2 pi (mu - tan a)/(1 + mu tan a)`.
pub fn release() -> f64 {
    2.0 * PI * (FRICTION - TANGENT) / (1.0 + FRICTION * TANGENT)
}

/// Rise of the load on the cones per mm of draw-up (N/mm).
pub fn rate() -> f64 {
    push_on() * radial_rate() * TANGENT
}

/// Fails unless the two agree to `relative`, or to `relative` of one.
#[track_caller]
pub fn close(what: &str, got: f64, expected: f64, relative: f64) {
    assert!(
        (got - expected).abs() <= relative * expected.abs().max(1.0),
        "{what}: got {got}, expected {expected}"
    );
}
