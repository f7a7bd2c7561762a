//! Published results about tapers, press fits and cones. The source stands beside each check.

use std::f64::consts::PI;

use fit::{
    ConeSizes, Criteria, Input, Joint, JointSizes, Output, Pairing, RingParts, Solution, Spacer,
};

/// A cone joint whose pressure is that of one radius, as the handbooks take it: the nominal cone of the
/// ring law is made almost a cylinder, the pairing has the real angle.
struct Cone {
    half_angle: f64,
    diameter: f64,
    length: f64,
    outside: f64,
    hub: (f64, f64),
    shaft: (f64, f64),
    friction: f64,
}

impl Cone {
    /// Cone of check T4.7 ff.: mean diameter 25 mm, length 30 mm, hub outside diameter 50 mm.
    fn t4(half_angle: f64, friction: f64) -> Cone {
        let steel = (207e3, 0.292);
        Cone {
            half_angle,
            diameter: 25.0,
            length: 30.0,
            outside: 50.0,
            hub: steel,
            shaft: steel,
            friction,
        }
    }

    /// Radial interference that gives the radial pressure `p` (mm).
    fn interference(&self, p: f64) -> f64 {
        let parts = RingParts {
            outside_radius: 0.5 * self.outside,
            bore_radius: 0.0,
            hub_modulus: self.hub.0,
            hub_poisson: self.hub.1,
            shaft_modulus: self.shaft.0,
            shaft_poisson: self.shaft.1,
            flank: (0.0, self.length),
            large_radius: 0.5 * self.diameter,
            fall: 0.0,
        };
        let r = 0.5 * self.diameter;
        p * r * parts.compliance(r)
    }

    /// The joint drawn up by `draw_up` mm onto a rigid spacer under far more bolt load than it needs.
    fn drawn_up(&self, draw_up: f64) -> Solution {
        let (plane, hub_plane, thickness) = (100.0, 0.0, 100.0);
        let mut nominal = [0.0; fit::INPUTS];
        for (input, value) in [
            (Input::MalePlane, plane),
            (Input::MaleSize, self.diameter),
            (Input::MaleHalfAngle, 1e-12),
            (Input::FemalePlane, hub_plane),
            (
                Input::FemaleSize,
                self.diameter - 2.0 * libm::tan(self.half_angle) * draw_up,
            ),
            (Input::FemaleHalfAngle, 1e-12),
            (Input::Thickness, thickness),
            (Input::Friction, self.friction),
            (Input::Torque, 1e9),
            (Input::NutFactor, 0.2),
        ] {
            nominal[input.index()] = value;
        }
        let joint = Joint::new(JointSizes::plain_cone(
            ConeSizes {
                male_flank: (plane - 50.0, plane + self.length + 50.0),
                female_flank: (0.0, self.length),
                outside_radius: 0.5 * self.outside,
                bore_radius: 0.0,
                hub_modulus: self.hub.0,
                hub_poisson: self.hub.1,
                shaft_modulus: self.shaft.0,
                shaft_poisson: self.shaft.1,
                smoothing: 0.0,
                blue_film: 0.005,
            },
            Spacer::Rigid,
            12.0,
            nominal,
        ))
        .expect("a possible joint");
        let mut pairing = nominal;
        pairing[Input::MaleHalfAngle.index()] = self.half_angle;
        pairing[Input::FemaleHalfAngle.index()] = self.half_angle;
        joint.solve(&Pairing(pairing), &Criteria::default())
    }

    /// The joint at the radial pressure `p`.
    fn at_pressure(&self, p: f64) -> Solution {
        self.drawn_up(self.interference(p) / libm::tan(self.half_angle))
    }
}

fn get(solution: &Solution, output: Output) -> f64 {
    solution
        .get(output)
        .unwrap_or_else(|| panic!("{} is not defined: {solution:?}", output.key()))
}

#[track_caller]
fn close(id: &str, got: f64, expected: f64, relative: f64) {
    assert!(
        (got - expected).abs() <= relative * expected.abs(),
        "{id}: got {got}, expected {expected}"
    );
}

/// Stand-off of a hub with mouth 20.000 mm, C = 1/10, 25 mm deep, on a male gauge of 20.010 mm at its plane.
fn stand_off(male_rate: f64, female_rate: f64, male: f64, female: f64, depth: f64) -> f64 {
    let plane = 30.0;
    let mut nominal = [0.0; fit::INPUTS];
    for (input, value) in [
        (Input::MalePlane, plane),
        (Input::MaleSize, male),
        (Input::MaleHalfAngle, libm::atan(0.5 * male_rate)),
        (Input::FemaleSize, female),
        (Input::FemaleHalfAngle, libm::atan(0.5 * female_rate)),
        (Input::Thickness, 1.0),
        (Input::Friction, 0.1),
        (Input::Torque, 1e4),
        (Input::NutFactor, 0.2),
    ] {
        nominal[input.index()] = value;
    }
    let joint = Joint::new(JointSizes::plain_cone(
        ConeSizes {
            male_flank: (plane - 20.0, plane + 60.0),
            female_flank: (0.0, depth),
            outside_radius: 20.0,
            bore_radius: 0.0,
            hub_modulus: 210e3,
            hub_poisson: 0.29,
            shaft_modulus: 210e3,
            shaft_poisson: 0.29,
            smoothing: 0.0,
            blue_film: 0.005,
        },
        Spacer::Rigid,
        10.0,
        nominal,
    ))
    .expect("a possible joint");
    let solution = joint.solve(&Pairing(nominal), &Criteria::default());
    get(&solution, Output::FirstTouch) - plane
}

#[test]
fn verified_seating_cases_with_equal_steeper_and_shallower_male_cones() {
    // T1.22 to T1.24: derived from the statement (closed form of two straight lines), tolerance 1e-9.
    for (id, male_rate, expected) in [
        ("T1.22", 0.1, 0.100_000),
        ("T1.23", 0.1004, 0.099_601_593_6),
        ("T1.24", 0.0996, 0.200_803_212_9),
    ] {
        let got = stand_off(male_rate, 0.1, 20.010, 20.0, 25.0);
        assert!(
            (got - expected).abs() < 1e-9,
            "{id}: got {got}, expected {expected}"
        );
    }
}

#[test]
fn verified_shift_of_the_seat_is_half_the_difference_over_the_tangent() {
    // Common practice, no source: two shafts 0.05 mm apart on diameter seat 0.955 mm apart in the same hub on
    // a half-angle of 1.5 degrees; the shift goes as 1/tan a.
    let seat = |diameter: f64, degrees: f64| {
        let rate = 2.0 * libm::tan(degrees.to_radians());
        stand_off(rate, rate, diameter, 25.0, 20.0)
    };
    let shift = |degrees: f64| seat(25.05, degrees) - seat(25.0, degrees);
    assert!((shift(1.5) - 0.955).abs() < 5e-4, "{}", shift(1.5));
    for degrees in [0.5, 1.5, 3.0, 8.3] {
        close(
            "1/tan a",
            shift(degrees),
            0.025 / libm::tan(f64::to_radians(degrees)),
            1e-9,
        );
    }
}

#[test]
fn verified_morse_tapers_shift_and_small_ends() {
    let file = include_str!("../published/morse.csv");
    let mut sizes = 0;
    for line in file
        .lines()
        .filter(|line| line.starts_with(|c: char| c.is_ascii_digit()))
    {
        let v: Vec<f64> = line
            .split(',')
            .map(|cell| cell.parse().expect("a number"))
            .collect();
        let rate = v[1] / 12.0;
        let shift =
            stand_off(rate, rate, 25.01, 25.0, 20.0) - stand_off(rate, rate, 25.0, 25.0, 20.0);
        // ISO 296: half-angle to 5 decimals, axial shift to 5 decimals, small end to 1e-4 inch (printed digits).
        assert!(
            (libm::atan(0.5 * rate).to_degrees() - v[2]).abs() < 1e-5,
            "Morse {}: half-angle",
            v[0]
        );
        assert!(
            (shift - v[3]).abs() < 1e-5,
            "Morse {}: shift {shift}, expected {}",
            v[0],
            v[3]
        );
        assert!(
            (v[4] - rate * v[5] - v[6]).abs() < 1e-4,
            "Morse {}: small end",
            v[0]
        );
        sizes += 1;
    }
    assert_eq!(sizes, 7);
}

#[test]
fn verified_compound_cylinder_of_timoshenko() {
    // T4.1: Timoshenko, Strength of Materials II, compound cylinder (recalled): radii 4, 6, 8 in, radial
    // interference 0.005 in, E 30e6 psi: p = 4050.926 psi; hoop at the outer cylinder's bore 14467.6 psi.
    let parts = RingParts {
        outside_radius: 8.0,
        bore_radius: 4.0,
        hub_modulus: 30e6,
        hub_poisson: 0.3,
        shaft_modulus: 30e6,
        shaft_poisson: 0.3,
        flank: (0.0, 1.0),
        large_radius: 6.0,
        fall: 0.0,
    };
    let p = 0.005 / (6.0 * parts.compliance(6.0));
    close("T4.1 pressure", p, 4050.926, 1e-6);
    let hoop = p * parts.stress_per_pressure(6.0) - p;
    close("T4.1 hoop at b", hoop, 14467.6, 1e-5);
    // T4.2: internal pressure 30,000 psi in the whole wall a 4, c 8 in: Tresca at the bore is hoop + p = 80,000 psi.
    close(
        "T4.2 hoop at a",
        30_000.0 * parts.stress_per_pressure(4.0) - 30_000.0,
        50_000.0,
        1e-9,
    );
}

#[test]
fn verified_press_fits_of_the_machine_design_handbook() {
    // T4.3, T4.4: Shigley, 9th ed., eq. 3-56, 3-57, 7-49: steel shaft 25, hub 50, L 30, 0.030 mm on diameter.
    for (id, hub, p, hoop, torque) in [
        ("T4.3", (207e3, 0.292), 93.15, 155.25, 329.219),
        ("T4.4", (71e3, 0.33), 38.0441, 63.4068, 134.459),
    ] {
        // Drawn up on a 1:10 cone to the same interference; on a cone the normal force, and with it the slip
        // torque, is that of the cylinder over cos a (1 - mu tan a).
        let half = libm::atan(0.05);
        let mut cone = Cone::t4(half, 0.12);
        cone.hub = hub;
        let solution = cone.drawn_up(0.015 / libm::tan(half));
        let torque = torque / (libm::cos(half) * (1.0 - 0.12 * 0.05));
        close(id, get(&solution, Output::PressureMean), p, 2e-6);
        close(id, get(&solution, Output::BoreStress), hoop + p, 2e-6);
        close(id, get(&solution, Output::SlipTorque), torque, 3e-6);
    }
}

#[test]
fn verified_cone_push_on_release_and_slip() {
    // T4.7 and T4.8: statics of a 1:10 cone, mean diameter 25, length 30, mu 0.12, pressure 50 MPa (derived).
    // T4.7 states the pressure normal to the cone: 50 (1 - mu tan a) radially while pushed on,
    // 50 (1 + mu tan a) while released. T4.8 states the radial pressure.
    let half = libm::atan(0.05);
    let cone = Cone::t4(half, 0.12);
    let on = cone.at_pressure(50.0 * (1.0 - 0.12 * 0.05));
    close("T4.7 push-on", get(&on, Output::SeatLoad), 20_027.65, 1e-6);
    close(
        "T4.7 slip torque",
        get(&on, Output::SlipTorque),
        176.935,
        3e-6,
    );
    let off = cone.at_pressure(50.0 * (1.0 + 0.12 * 0.05));
    close(
        "T4.7 release",
        get(&off, Output::ReleaseLoad),
        8_246.68,
        1e-6,
    );
    let radial = cone.at_pressure(50.0);
    close(
        "T4.8 push-on",
        get(&radial, Output::SeatLoad),
        20_148.54,
        1e-6,
    );
    close(
        "T4.8 mean pressure",
        get(&radial, Output::PressureMean),
        50.0,
        1e-9,
    );
}

#[test]
fn verified_self_locking_ends_where_friction_equals_the_tangent() {
    // T4.9: mu = tan(half-angle) = C/2 (statics): 1:10 -> 0.05, 1:5 -> 0.10. T4.10: 7:24 with mu 0.12 lets go.
    for (rate, mu) in [(0.1, 0.05), (0.2, 0.1)] {
        let cone = Cone::t4(libm::atan(0.5 * rate), mu);
        let release = get(&cone.at_pressure(50.0), Output::ReleaseLoad);
        assert!(release.abs() < 1e-6, "C = {rate}: {release} N");
    }
    let half = libm::atan(3.5 / 24.0);
    let cone = Cone::t4(half, 0.12);
    let released = cone.at_pressure(50.0 * (1.0 + 0.12 * libm::tan(half)));
    close("T4.10", get(&released, Output::ReleaseLoad), -3_043.4, 2e-5);
}

#[test]
fn verified_drive_up_of_a_steel_cone() {
    // T4.12: T4.3 geometry on 1:10; draw-up 0.1, 0.2, 0.3 mm; axial force by the radial-pressure convention.
    let cone = Cone::t4(libm::atan(0.05), 0.12);
    for (z, p, force) in [
        (0.1, 31.05, 12_512.246),
        (0.2, 62.10, 25_024.492),
        (0.3, 93.15, 37_536.738),
    ] {
        let solution = cone.drawn_up(z);
        close("T4.12 draw-up", get(&solution, Output::DrawUp), z, 1e-9);
        close(
            "T4.12 pressure",
            get(&solution, Output::PressureMean),
            p,
            1e-6,
        );
        close("T4.12 force", get(&solution, Output::SeatLoad), force, 1e-6);
    }
}

#[test]
fn verified_closing_load_follows_the_tangent_of_angle_plus_friction() {
    // practice: tan(a + phi) at 1:10, mu 0.06 / 0.10 / 0.14 / 0.18 -> 0.1103 / 0.1508 / 0.1913 / 0.2321 (statics).
    for (mu, expected) in [
        (0.06, 0.1103),
        (0.10, 0.1508),
        (0.14, 0.1913),
        (0.18, 0.2321),
    ] {
        let cone = Cone::t4(libm::atan(0.05), mu);
        let load = get(&cone.at_pressure(40.0), Output::ClosingLoad);
        let radial = PI * cone.diameter * cone.length * 40.0;
        assert!(
            (load / radial - expected).abs() < 5e-5,
            "mu {mu}: {}",
            load / radial
        );
    }
}

#[test]
fn verified_blue_share_from_film_over_opening() {
    // practice: blue share = min(1, b/(d_alpha L)), b 5 um, L 45 mm: 60 and 100 urad -> 1.00, 200 urad -> 0.56 (derived).
    for (mismatch, expected) in [(60e-6, 1.0), (100e-6, 1.0), (200e-6, 0.5556)] {
        let mut nominal = [0.0; fit::INPUTS];
        for (input, value) in [
            (Input::MalePlane, 30.0),
            (Input::MaleSize, 45.0),
            (Input::MaleHalfAngle, 0.025),
            (Input::FemaleSize, 45.0),
            (Input::FemaleHalfAngle, 0.025 + mismatch),
            (Input::Thickness, 20.0),
            (Input::Friction, 0.12),
            (Input::Torque, 1e5),
            (Input::NutFactor, 0.2),
        ] {
            nominal[input.index()] = value;
        }
        let joint = Joint::new(JointSizes::plain_cone(
            ConeSizes {
                male_flank: (5.0, 120.0),
                female_flank: (0.0, 45.0),
                outside_radius: 40.0,
                bore_radius: 0.0,
                hub_modulus: 210e3,
                hub_poisson: 0.29,
                shaft_modulus: 210e3,
                shaft_poisson: 0.29,
                smoothing: 0.0,
                blue_film: 0.005,
            },
            Spacer::Rigid,
            16.0,
            nominal,
        ))
        .expect("a possible joint");
        let share = get(
            &joint.solve(&Pairing(nominal), &Criteria::default()),
            Output::BlueShare,
        );
        assert!((share - expected).abs() < 1e-3, "{mismatch} rad: {share}");
    }
}
