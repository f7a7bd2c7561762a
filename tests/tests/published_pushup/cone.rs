//! A cone joint drawn up by a stated amount, and the reading of published tables.

use acceptance::joints::{Shape, pairing, with};
use fit::{Criteria, Input, Joint, Output, Pairing, RingParts, Solution, Spacer};

/// Rows of a file of published numbers, without its comments and its header.
pub fn rows(file: &'static str) -> Vec<Vec<&'static str>> {
    let lines = file
        .lines()
        .filter(|line| !line.starts_with('#') && !line.is_empty());
    lines
        .skip(1)
        .map(|line| line.split(',').collect())
        .collect()
}

/// A cell as a number.
pub fn number(cell: &str) -> f64 {
    cell.parse().expect("a number")
}

/// Fails unless the value lies within the tolerance.
#[track_caller]
pub fn within(what: &str, got: f64, expected: f64, tolerance: f64) {
    assert!(
        (got - expected).abs() <= tolerance,
        "{what}: got {got}, expected {expected} within {tolerance}"
    );
}

/// A cone joint whose hub lies wholly on the shaft's cone, both at one half-angle.
#[derive(Debug, Clone, Copy)]
pub struct Cone {
    /// Tangent of the half-angle.
    pub tangent: f64,
    /// The rings are taken on a cylinder, as the handbooks do; else on the real cone.
    pub cylinder: bool,
    /// Diameter at the middle of the hub when it has closed (mm).
    pub diameter: f64,
    /// Length of the hub (mm).
    pub length: f64,
    /// Outside diameter per cone diameter.
    pub wall: f64,
    /// Modulus (MPa) and Poisson's ratio of the hub.
    pub hub: (f64, f64),
    /// Modulus (MPa) and Poisson's ratio of the shaft.
    pub shaft: (f64, f64),
    /// Friction on the cone.
    pub friction: f64,
    /// Smoothing allowance on diameter (mm).
    pub smoothing: f64,
}

impl Cone {
    /// Steel on a solid steel shaft, 40 mm diameter, 30 mm long.
    pub fn steel(tangent: f64, wall: f64, friction: f64) -> Cone {
        Cone {
            tangent,
            cylinder: true,
            diameter: 40.0,
            length: 30.0,
            wall,
            hub: (206e3, 0.3),
            shaft: (206e3, 0.3),
            friction,
            smoothing: 0.0,
        }
    }

    /// Shape, nominal values and pairing for a draw-up (mm) onto a rigid spacer, under far more bolt than needed.
    fn case(&self, draw_up: f64) -> (Shape, Pairing, Pairing) {
        let (thickness, middle) = (self.length, 0.5 * self.length);
        let shape = Shape {
            male_flank: (0.5 * thickness, thickness + 1.5 * self.length),
            female_flank: (0.0, self.length),
            outside_radius: 0.5 * self.diameter * self.wall,
            bore_radius: 0.0,
            hub: self.hub,
            shaft: self.shaft,
            spacer: Spacer::Rigid,
            smoothing: self.smoothing,
            bolt_diameter: 12.0,
        };
        let half_angle = libm::atan(self.tangent);
        let nominal_angle = if self.cylinder { 1e-13 } else { half_angle };
        let nominal = pairing(&[
            (Input::MalePlane, thickness + middle),
            (Input::MaleSize, self.diameter),
            (Input::MaleHalfAngle, nominal_angle),
            (Input::FemalePlane, middle),
            (
                Input::FemaleSize,
                self.diameter - 2.0 * self.tangent * draw_up,
            ),
            (Input::FemaleHalfAngle, nominal_angle),
            (Input::Thickness, thickness),
            (Input::Friction, self.friction),
            (Input::Torque, 1e12),
            (Input::NutFactor, 0.2),
        ]);
        let real = with(
            &nominal,
            &[
                (Input::MaleHalfAngle, half_angle),
                (Input::FemaleHalfAngle, half_angle),
            ],
        );
        (shape, nominal, real)
    }

    /// The joint drawn up by `draw_up` mm, its pairing changed.
    pub fn solve(&self, draw_up: f64, change: impl Fn(Pairing) -> Pairing) -> Solution {
        let (shape, nominal, real) = self.case(draw_up);
        let joint = Joint::new(shape.sizes(&nominal)).expect("a possible joint");
        joint.solve(&change(real), &Criteria::default())
    }

    /// The joint drawn up by `draw_up` mm.
    pub fn drawn_up(&self, draw_up: f64) -> Solution {
        self.solve(draw_up, |pairing| pairing)
    }

    /// The rings at the middle of the hub.
    pub fn rings(&self) -> RingParts {
        RingParts {
            outside_radius: 0.5 * self.diameter * self.wall,
            bore_radius: 0.0,
            hub_modulus: self.hub.0,
            hub_poisson: self.hub.1,
            shaft_modulus: self.shaft.0,
            shaft_poisson: self.shaft.1,
            flank: (0.0, self.length),
            large_radius: 0.5 * self.diameter,
            fall: 0.0,
        }
    }
}

/// An output that must be there.
pub fn get(solution: &Solution, output: Output) -> f64 {
    solution
        .get(output)
        .unwrap_or_else(|| panic!("{} is not defined: {solution:?}", output.key()))
}
