//! What a taper does: to tolerances, to loads, to the mean seat.

use std::f64::consts::PI;

use acceptance::joints::with;
use fit::{Input, Output};

use crate::cone::{Cone, get, number, rows, within};

#[test]
fn verified_what_a_taper_does_to_a_tolerance_and_where_it_locks() {
    // Relations of ISO 3040 / ISO 1119 and statics (derived); tolerances of 30 to 50 mm by ISO 286-1 (seen).
    let table = rows(include_str!("../../published/taper_effects.csv"));
    assert_eq!(table.len(), 9);
    for row in table {
        let (first, second) = row[0].split_once(':').expect("a taper");
        let tangent = 0.5 * number(first) / number(second);
        let printed = |i: usize| number(row[i]);
        let cone = |friction: f64| Cone::steel(tangent, 1.8, friction);
        let touch = |um: f64| {
            let solution = cone(0.12).solve(0.2, |pairing| {
                let diameter = pairing.get(Input::MaleSize) + 1e-3 * um;
                with(&pairing, &[(Input::MaleSize, diameter)])
            });
            get(&solution, Output::FirstTouch)
        };
        within(row[0], touch(1.0) - touch(0.0), printed(1), 5e-6);
        within(row[0], libm::atan(tangent).to_degrees(), printed(2), 5e-5);
        for (column, um) in [(4, 11.0), (5, 16.0), (6, 25.0), (7, 39.0)] {
            let shift = touch(um) - touch(0.0);
            within(row[0], shift, printed(column), 5.001e-4);
        }
        // The release load changes its sign where the friction is C/2.
        within(row[0], tangent, printed(3), 5.001e-5);
        let release = |friction: f64| get(&cone(friction).drawn_up(0.2), Output::ReleaseLoad);
        assert!(release(1.001 * tangent) > 0.0 && release(0.999 * tangent) < 0.0);
    }
}

#[test]
fn verified_closing_load_of_a_steep_taper_depends_less_on_friction() {
    // practice: tan(a + phi) at mu 0.06 / 0.10 / 0.14 / 0.18: 7:24 .2077 .2495 .2918 .3346 (x 1.6), 1:10 from .1103 to
    // .2321 (x 2.1) (statics, derived).
    let thrust = |tangent: f64, friction: f64| {
        let cone = Cone::steel(tangent, 1.8, friction);
        let solution = cone.drawn_up(0.1);
        let radial = PI * cone.diameter * cone.length * get(&solution, Output::PressureMean);
        get(&solution, Output::ClosingLoad) / radial
    };
    let steep = 3.5 / 24.0;
    for (friction, expected) in [
        (0.06, 0.2077),
        (0.10, 0.2495),
        (0.14, 0.2918),
        (0.18, 0.3346),
    ] {
        within("7:24", thrust(steep, friction), expected, 5.001e-5);
    }
    within("7:24", thrust(steep, 0.18) / thrust(steep, 0.06), 1.6, 0.05);
    within("1:10", thrust(0.05, 0.18) / thrust(0.05, 0.06), 2.1, 0.05);
}

#[test]
fn verified_the_same_interference_closes_under_the_same_radial_load_whatever_the_taper() {
    // practice: I = D_m - D_f + C (a_m - a_f - t) sets the pressure; the taper enters the closing load by tan(a + phi)
    // only (derived). From 1:16 to 1:8 at mu 0.12 the load rises by tan(a + phi), 0.1519 to 0.1839: by a fifth.
    let cone = |rate: f64| Cone::steel(0.5 * rate, 1.8, 0.12);
    let closed = |rate: f64| cone(rate).drawn_up(0.02 / rate);
    let (fine, coarse) = (closed(1.0 / 16.0), closed(1.0 / 8.0));
    let pressure = get(&fine, Output::PressureMean);
    within(
        "p",
        get(&coarse, Output::PressureMean),
        pressure,
        1e-8 * pressure,
    );
    let tangent = |t: f64| (t + 0.12) / (1.0 - 0.12 * t);
    let ratio = get(&coarse, Output::ClosingLoad) / get(&fine, Output::ClosingLoad);
    within(
        "load",
        ratio,
        tangent(1.0 / 16.0) / tangent(1.0 / 32.0),
        1e-8,
    );
}

#[test]
fn verified_smoothing_costs_its_share_of_draw_up() {
    // practice: 6.4 um of flattening on diameter is 0.064 / 0.077 / 0.102 / 0.022 mm of advance at 1:10 / 1:12 / 1:16 / 7:24
    // (derived; the deduction itself: press-fit standard, recalled).
    for (rate, expected) in [
        (0.1, 0.064),
        (1.0 / 12.0, 0.077),
        (1.0 / 16.0, 0.102),
        (7.0 / 24.0, 0.022),
    ] {
        let bare = Cone::steel(0.5 * rate, 1.8, 0.12);
        let rough = Cone {
            smoothing: 0.0064,
            ..bare
        };
        let load = |cone: &Cone| get(&cone.drawn_up(0.3), Output::ClosingLoad);
        let lost = 0.3 * (1.0 - load(&rough) / load(&bare));
        within("advance", lost, expected, 5.001e-4);
    }
}

#[test]
fn verified_angle_scatter_moves_the_mean_seat_outward() {
    // practice: with both gauge planes at the large end of the overlap, a mismatch k = tan a_m - tan a_f > 0 touches there
    // and moves nothing; k < 0 touches at the small end, |k| L / tan a further out. For k normal with spread s the mean
    // draw-up exceeds the nominal by s L / (sqrt(2 pi) tan a) (derived). Trapezoid over the normal law, +-6 s.
    let (tangent, spread) = (0.05, 1e-4);
    let cone = Cone::steel(tangent, 1.8, 0.12);
    let touch = |mismatch: f64| {
        let solution = cone.solve(0.4, |pairing| {
            let (thickness, t) = (pairing.get(Input::Thickness), tangent);
            with(
                &pairing,
                &[
                    (Input::MalePlane, thickness),
                    (Input::FemalePlane, 0.0),
                    (Input::MaleHalfAngle, libm::atan(t + mismatch)),
                ],
            )
        });
        get(&solution, Output::DrawUp)
    };
    let steps = 1_200;
    let width = 12.0 / f64::from(steps);
    let mean: f64 = (0..=steps)
        .map(|i| {
            let z = -6.0 + width * f64::from(i);
            let density = libm::exp(-0.5 * z * z) / libm::sqrt(2.0 * PI);
            width * density * (touch(spread * z) - touch(0.0))
        })
        .sum();
    let expected = spread * cone.length / (libm::sqrt(2.0 * PI) * tangent);
    within("mean shift", mean, expected, 5e-3 * expected);
    assert!(mean > 0.02);
}

#[test]
fn verified_hubs_stand_past_the_small_end_of_standard_shaft_ends() {
    // SAE J755 (table seen; overhang recomputed): the cone is sized at its small end, 1:16; the hub stands past it by
    // 16 (D - A/16 - Cs). An inch is 25.4 mm.
    let table = rows(include_str!("../../published/shaft_ends_j755.csv"));
    assert_eq!(table.len(), 8);
    let overhang = |small: f64, hub: f64| {
        let cone = Cone {
            diameter: 25.4 * small,
            ..Cone::steel(1.0 / 32.0, 1.8, 0.12)
        };
        let solution = cone.solve(0.0, |pairing| {
            let planes = [
                (Input::MalePlane, 45.0),
                (Input::FemalePlane, cone.length),
                (Input::FemaleSize, 25.4 * hub),
            ];
            with(&pairing, &planes)
        });
        (get(&solution, Output::FirstTouch) + cone.length - 45.0) / 25.4
    };
    for row in table {
        let v: Vec<f64> = row.iter().map(|cell| number(cell)).collect();
        let small = v[0] - v[1] / 16.0;
        within(row[0], small, v[2], 5.001e-4);
        within(row[0], overhang(small, v[3]), v[4], 5.001e-4);
    }
    // Its tolerance of 0.001 in on the small end alone moves the hub by 0.016 in = 0.4064 mm (derived).
    let moved = overhang(1.001, 0.985) - overhang(1.0, 0.985);
    within("0.001 in", 25.4 * moved, 0.4064, 1e-9);
}
