//! Published push-up of cones: keyless propellers, tapered-bore bearings, shaft ends, and what a taper does to a
//! tolerance. The source stands beside each check.

mod cone;
mod effects;

use std::f64::consts::PI;

use acceptance::joints::with;
use cone::{Cone, get, number, rows, within};
use fit::{Input, Output};

/// Friction and safety of the propeller example.
const FRICTION: f64 = 0.13;
const SAFETY: f64 = 2.8;
/// Half taper of 1:15, which the rule takes as tangent and angle alike.
const HALF_TAPER: f64 = 1.0 / 30.0;
/// Expansion of the bronze boss and of the steel shaft (1/K).
const EXPANSION: (f64, f64) = (17.5e-6, 12e-6);

/// The propeller of the worked example: bronze boss on a solid steel shaft.
const PROPELLER: Cone = Cone {
    tangent: HALF_TAPER,
    cylinder: true,
    diameter: 350.0,
    length: 700.0,
    wall: 1.9,
    hub: (118e3, 0.33),
    shaft: (206e3, 0.29),
    friction: FRICTION,
    smoothing: 0.0,
};

/// The published numbers of the propeller example: value and tolerance.
fn propeller(id: &str) -> (f64, f64) {
    let table = rows(include_str!("../../published/pushup.csv"));
    let row = table
        .iter()
        .find(|row| row[0] == id)
        .unwrap_or_else(|| panic!("no row {id}"));
    (number(row[1]), number(row[3]))
}

#[track_caller]
fn agrees(id: &str, got: f64) {
    let (expected, tolerance) = propeller(id);
    within(id, got, expected, tolerance);
}

/// Pressure (MPa) and push-up (mm) of the rule at 35 degrees, from what it takes to hold `SAFETY` times the load.
fn at_35() -> (f64, f64) {
    let (thrust, d) = (420e3, PROPELLER.diameter);
    let torque = 4_000e3 / (2.0 * PI * 150.0 / 60.0);
    let tangential = 2.0 * torque / (1e-3 * d);
    let area = PI * d * PROPELLER.length;
    let b = FRICTION * FRICTION - SAFETY * SAFETY * HALF_TAPER * HALF_TAPER;
    agrees("torque", torque);
    agrees("tangential", tangential);
    agrees("area", area);
    agrees("b", b);
    let root = libm::sqrt(FRICTION * FRICTION + b * (tangential / thrust).powi(2));
    let pressure = SAFETY * thrust / (area * b) * (root - SAFETY * HALF_TAPER);
    let compliance = PROPELLER.rings().compliance(0.5 * d);
    (pressure, pressure * d / (2.0 * HALF_TAPER) * compliance)
}

/// Push-up and pressure of the rule at another temperature of boss and shaft (degrees Celsius).
fn at(celsius: f64) -> (f64, f64) {
    let (p35, d35) = at_35();
    let widening = (EXPANSION.0 - EXPANSION.1) * (35.0 - celsius);
    let push_up = d35 + PROPELLER.diameter / (2.0 * HALF_TAPER) * widening;
    (push_up, p35 * push_up / d35)
}

#[test]
fn verified_every_number_of_the_keyless_propeller_rule() {
    // IACS UR K3 (recalled); the elastic factor is that of the law rings.
    let (p35, d35) = at_35();
    agrees("p35", p35);
    agrees("d35", d35);
    let load = |pressure: f64| {
        1e-3 * PI * PROPELLER.diameter * PROPELLER.length * pressure * (FRICTION + HALF_TAPER)
    };
    agrees("w35", load(p35));
    for (celsius, push_up, pressure, w) in [(15.0, "d15", "p15", "w15"), (0.0, "d0", "p0", "w0")] {
        let (d, p) = at(celsius);
        agrees(push_up, d);
        agrees(pressure, p);
        agrees(w, load(p));
    }
    let k2 = PROPELLER.wall * PROPELLER.wall;
    let p_max = 0.7 * 245.0 * (k2 - 1.0) / libm::sqrt(3.0 * k2 * k2 + 1.0);
    agrees("p_max", p_max);
    agrees("d_max", d35 * p_max / p35);
    // The rule's stress is von Mises of hoop and radial stress at the bore; the rings' own stresses give the same limit.
    let hoop = p_max * PROPELLER.rings().stress_per_pressure(175.0) - p_max;
    let mises = libm::sqrt(hoop * hoop + hoop * p_max + p_max * p_max);
    within("70 % of the proof stress", mises, 0.7 * 245.0, 1e-9);
}

#[test]
fn verified_our_joint_pushed_up_as_the_rule_says_carries_the_rules_load_over_one_less_mu_tan_a() {
    // The rule: W = A p (mu + theta) with p normal to the surface and small angles. Ours: 2 pi r p L tan(a + phi) with
    // p radial. They differ by 1/(1 - mu tan a) = 1.00435, nothing else.
    let (p35, d35) = at_35();
    let solution = PROPELLER.drawn_up(d35);
    within(
        "pressure",
        get(&solution, Output::PressureMean),
        p35,
        1e-8 * p35,
    );
    let load = 1e-3 * get(&solution, Output::ClosingLoad);
    agrees("ours35", load);
    let (rule, _) = propeller("w35");
    let convention = 1.0 / (1.0 - FRICTION * HALF_TAPER);
    within("convention", load / rule, convention, 1e-6);
    within("0.44 per cent", load / rule, 1.0044, 5e-5);
}

#[test]
fn verified_slices_of_the_real_cone_carry_what_the_mean_diameter_carries() {
    // A hundredth of the boss on its real cone, times 100: the radius varies by 0.07 %, the load by its square.
    // The whole boss, 700 mm of 1:15 under a straight outside: closed form L z tan a 2 pi tan(a + phi) times the mean of
    // 1/K over the cone (Simpson on 200 panels, K written out here), 0.05 % below the mean diameter's load.
    let (_, d35) = at_35();
    let (expected, _) = propeller("ours35");
    let slice = Cone {
        cylinder: false,
        length: 7.0,
        ..PROPELLER
    };
    let load = 0.1 * get(&slice.drawn_up(d35), Output::ClosingLoad);
    within("slice", load, expected, 1e-5 * expected);
    let boss = Cone {
        cylinder: false,
        ..PROPELLER
    };
    let softness = |r: f64| {
        let (outer, square) = (332.5 * 332.5, r * r);
        ((outer + square) / (outer - square) + 0.33) / 118e3 + (1.0 - 0.29) / 206e3
    };
    let panels = 200;
    let sum: f64 = (0..=panels)
        .map(|i| {
            let weight = match i {
                0 => 1.0,
                i if i == panels => 1.0,
                i if i % 2 == 1 => 4.0,
                _ => 2.0,
            };
            let x = f64::from(i) / f64::from(panels) - 0.5;
            weight / softness(175.0 - 700.0 * HALF_TAPER * x)
        })
        .sum();
    let mean = sum / (3.0 * f64::from(panels));
    let push_on = 2.0 * PI * (HALF_TAPER + FRICTION) / (1.0 - FRICTION * HALF_TAPER);
    let whole = 1e-3 * push_on * 700.0 * HALF_TAPER * d35 * mean;
    let load = 1e-3 * get(&boss.drawn_up(d35), Output::ClosingLoad);
    within("whole boss", load, whole, 1e-8 * whole);
    println!(
        "whole boss {load:.3} kN, mean diameter {expected:.3} kN, ratio {:.5}",
        load / expected
    );
}

#[test]
fn verified_a_colder_propeller_seats_further_out_by_the_rules_widening() {
    // The rule's push-up at t less that at 35 degrees is Ds/(2 theta) (alpha_b - alpha_s)(35 - t): the first touch moves
    // by that when both diameters shrink. Closed form with each part's own diameter: (D_f alpha_b - D_m alpha_s)(35 - t)
    // / (2 theta); the bore is 0.1 % less than the shaft, which is 0.3 % of the difference of the expansions.
    let (_, d35) = at_35();
    let touch = |celsius: f64| {
        let solution = PROPELLER.solve(d35, |cone| {
            let shrunk = |input: Input, expansion: f64| {
                (
                    input,
                    cone.get(input) * (1.0 + expansion * (celsius - 35.0)),
                )
            };
            with(
                &cone,
                &[
                    shrunk(Input::MaleSize, EXPANSION.1),
                    shrunk(Input::FemaleSize, EXPANSION.0),
                ],
            )
        });
        get(&solution, Output::FirstTouch)
    };
    for (celsius, id) in [(15.0, "d15"), (0.0, "d0")] {
        let expected = propeller(id).0 - propeller("d35").0;
        let got = touch(celsius) - touch(35.0);
        within(id, got, expected, 4e-3 * expected);
        let bore = PROPELLER.diameter - 2.0 * HALF_TAPER * d35;
        let narrowing = bore * EXPANSION.0 - PROPELLER.diameter * EXPANSION.1;
        let exact = narrowing * (35.0 - celsius) / (2.0 * HALF_TAPER);
        within(id, got, exact, 1e-8 * exact);
    }
}

/// Drive-up per reduction of the clearance inside a steel ring on a solid steel cone.
fn drive_up_ratio(rate: f64, wall: f64) -> f64 {
    let cone = Cone::steel(0.5 * rate, wall, 0.12);
    let drive_up = 0.4;
    let pressure = get(&cone.drawn_up(drive_up), Output::PressureMean);
    // Lame: a ring under the pressure p inside grows outside by u = 2 p r^2 R / (E (R^2 - r^2)) on radius.
    let (r, outer) = (0.5 * cone.diameter, 0.5 * cone.diameter * wall);
    let growth = 2.0 * pressure * r * r * outer / (cone.hub.0 * (outer * outer - r * r));
    drive_up / (2.0 * growth)
}

#[test]
fn verified_drive_up_of_tapered_bore_bearings() {
    // Same steel, solid shaft: raceway growth = interference d/D (Lame), so drive-up per clearance is D/(d C):
    // 12 D/d = 14.4 at D/d = 1.2 (closed form); 1:30 against 1:12 exactly 2.5 (a card's columns: 2.47 to 2.56, seen).
    within("1:12", drive_up_ratio(1.0 / 12.0, 1.2), 14.4, 1e-6);
    within("1:12", drive_up_ratio(1.0 / 12.0, 1.3), 15.6, 1e-6);
    let ratio = drive_up_ratio(1.0 / 30.0, 1.2) / drive_up_ratio(1.0 / 12.0, 1.2);
    within("1:30 / 1:12", ratio, 2.5, 1e-9);
    assert!((2.47..=2.56).contains(&ratio));
}

#[test]
fn verified_rows_of_a_bearing_mounting_card() {
    // Rows of a mounting card (seen). From 180 mm up they lie within 6 % of the elastic 14.4 of D/d = 1.2; below, the
    // card asks for up to 15 % more (flattening and the error of the zero point), never for less.
    let elastic = drive_up_ratio(1.0 / 12.0, 1.2);
    let table = rows(include_str!("../../published/bearing_driveup.csv"));
    assert_eq!(table.len(), 5);
    for row in table {
        let v: Vec<f64> = row.iter().map(|cell| number(cell)).collect();
        for (reduction, drive_up, printed) in [(v[2], v[4], v[6]), (v[3], v[5], v[7])] {
            let ratio = drive_up / reduction;
            within(row[0], ratio, printed, 0.05);
            let over = ratio / elastic - 1.0;
            let band = if v[0] >= 180.0 {
                -0.06..=0.06
            } else {
                0.0..=0.15
            };
            assert!(band.contains(&over), "bore {} mm: {over}", row[0]);
        }
    }
}
