//! The reference for tapered splines, held against closed forms and published order statistics.

mod reference;
mod solver;

use std::f64::consts::PI;

use reference::{Spline, ToothErrors};

/// A spline of `n` perfect teeth on a flank half-angle of 1.5 degrees that draws up 0.4 mm before it closes.
fn perfect(n: usize) -> Spline {
    let half_angle = f64::to_radians(1.5);
    Spline {
        tooth_thickness: 3.2,
        space_width: 3.2 + 2.0 * libm::tan(half_angle) * (1.0 - 6.4),
        male_plane: 4.0,
        female_plane: 3.0,
        half_angle,
        friction: 0.12,
        flank_stiffness: 9_000.0,
        engaged: 20.0,
        teeth: vec![ToothErrors::default(); n],
        bolt_load: 60_000.0,
        thickness: 6.0,
        spacer: None,
    }
}

#[track_caller]
fn close(what: &str, got: f64, expected: f64, relative: f64) {
    assert!(
        (got - expected).abs() <= relative * expected.abs().max(1e-3),
        "{what}: got {got}, expected {expected}"
    );
}

#[test]
fn verified_perfect_teeth_seat_and_load_as_the_closed_form_says() {
    // Closed form: h0 = (S_m - S_f)/(2 tan b) + a_m - a_f; F = 2 n k L s sin b (sin b + mu cos b).
    for n in [3, 24] {
        let spline = perfect(n);
        let (sin, cos) = (libm::sin(spline.half_angle), libm::cos(spline.half_angle));
        let rate = 2.0 * n as f64 * 9_000.0 * 20.0 * sin * (sin + 0.12 * cos);
        let seated = spline.solve();
        close("first touch", seated.first_touch, 6.4, 1e-12);
        close("draw-up", seated.draw_up, 0.4, 1e-11);
        close("closing load", seated.closing_load, 0.4 * rate, 1e-11);
        assert_eq!(seated.teeth_in_contact, n);
        close("share", seated.contact_share, 1.0, 0.0);
        let most = seated.most_loaded_share.expect("loaded");
        close("most loaded", most, 1.0 / n as f64, 1e-11);
        close("turn", seated.turn.expect("loaded"), 0.0, 1e-10);
        for s in [0.1, 0.2, 0.7] {
            close("F", spline.seat_load(6.4 - s), s * rate, 1e-11);
        }
        let sum = seated.seat_load / (sin + 0.12 * cos);
        let release = sum * (0.12 * cos - sin);
        close("release", seated.release_load, release, 1e-11);
    }
}

#[test]
fn verified_the_bolt_stops_perfect_teeth_where_statics_says() {
    let mut spline = perfect(12);
    let (sin, cos) = (libm::sin(spline.half_angle), libm::cos(spline.half_angle));
    let rate = 24.0 * 9_000.0 * 20.0 * sin * (sin + 0.12 * cos);
    // Too little bolt: the flanks carry it all at s = B / rate.
    spline.bolt_load = 0.25 * rate;
    let open = spline.solve();
    close("open", open.stand_off, 6.15, 1e-12);
    close("gap", open.gap, 0.15, 1e-10);
    close("seat", open.seat_load, spline.bolt_load, 1e-10);
    assert_eq!(open.clamp_load, 0.0);
    // Enough: the rest clamps a rigid spacer, and an elastic one yields by it.
    spline.bolt_load = 0.6 * rate;
    let rigid = spline.solve();
    close("rigid", rigid.stand_off, 6.0, 0.0);
    close("rigid clamp", rigid.clamp_load, 0.2 * rate, 1e-10);
    spline.spacer = Some(3.0 * rate);
    let elastic = spline.solve();
    close("elastic", elastic.stand_off, 6.0 - 0.05, 1e-12);
    close("elastic clamp", elastic.clamp_load, 0.15 * rate, 1e-9);
    close("elastic seat", elastic.seat_load, 0.45 * rate, 1e-10);
    // The spacer is pinched before the teeth touch.
    spline.thickness = 6.5;
    spline.spacer = None;
    let free = spline.solve();
    assert_eq!((free.seat_load, free.clamp_load), (0.0, spline.bolt_load));
    assert_eq!((free.teeth_in_contact, free.most_loaded_share), (0, None));
}

#[test]
fn verified_four_teeth_by_hand() {
    // Errors in um: e+ = 1 10 6 3, e- = 8 0 3 1; k L = 1 N/um. With W = 10 N on each side:
    //   + side, three flanks: 3 p - 10 = 10, p = 20/3;  - side, three flanks: 3 m - 4 = 10, m = 14/3
    //   s sin b = (p + m)/2 = 17/3 um, r theta = (m - p)/2 = -1 um
    //   flanks + 17/3 0 2/3 11/3, - 0 14/3 5/3 11/3; the fourth tooth has most: 22/3 of 20.
    // First seat: s sin b = (1 + 0)/2 um.
    let mut spline = perfect(4);
    spline.flank_stiffness = 1_000.0;
    spline.engaged = 1.0;
    let errors = [(1.0, 8.0), (10.0, 0.0), (6.0, 3.0), (3.0, 1.0)];
    for (tooth, (plus, minus)) in spline.teeth.iter_mut().zip(errors) {
        // The same flank errors from all four sources: profile 3/4 and 1/4 of the mean, index 2/3 and 1/3 of the rest.
        let (profile, index) = (0.5e-3 * (plus + minus), 0.5e-3 * (plus - minus));
        tooth.male_profile = (0.75 * profile, 0.75 * profile);
        tooth.female_profile = (0.25 * profile, 0.25 * profile);
        tooth.male_index = index / 1.5;
        tooth.female_index = index / 3.0;
    }
    let (sin, cos) = (libm::sin(spline.half_angle), libm::cos(spline.half_angle));
    spline.bolt_load = 20.0 * (sin + 0.12 * cos);
    spline.thickness = 1.0;
    let seated = spline.solve();
    let at = |advance_um: f64| 6.4 - 1e-3 * advance_um / sin;
    close("first touch", seated.first_touch, at(0.5), 1e-11);
    close("stand-off", seated.stand_off, at(17.0 / 3.0), 1e-11);
    close("turn", seated.turn.expect("loaded"), -1e-3, 1e-9);
    assert_eq!((seated.teeth_in_contact, seated.contact_share), (4, 1.0));
    let most = seated.most_loaded_share.expect("loaded");
    close("most loaded", most, 22.0 / 60.0, 1e-10);
    let release = 20.0 * (0.12 * cos - sin);
    close("release", seated.release_load, release, 1e-9);
    // Nearest to just touching: the third tooth by 2/3 um; the others by 7/3, 8/3 and 11/3 um.
    close("doubt", seated.doubt, 2e-3 / 3.0, 1e-9);
}

#[test]
fn verified_index_errors_of_alternating_sign_seat_early_and_halve_the_first_stiffness() {
    // Closed form: errors +d and -d in turn. First seat at s sin b = -d on half of the flanks; they alone carry
    // n k L (s sin b + d) until s sin b = d, from there all flanks carry 2 n k L s sin b.
    let (n, d) = (10_usize, 0.004);
    let mut spline = perfect(n);
    for (i, tooth) in spline.teeth.iter_mut().enumerate() {
        tooth.male_index = if i % 2 == 0 { d } else { -d };
    }
    let (sin, cos) = (libm::sin(spline.half_angle), libm::cos(spline.half_angle));
    let flank = 9_000.0 * 20.0 * (sin + 0.12 * cos) * n as f64;
    close(
        "first",
        spline.solve().first_touch,
        6.4 + 0.004 / sin,
        1e-12,
    );
    for (advance, expected) in [
        (-0.005, 0.0),
        (-0.002, 0.002),
        (0.003, 0.007),
        (0.006, 0.012),
    ] {
        close(
            "F",
            spline.seat_load(6.4 - advance / sin),
            flank * expected,
            1e-9,
        );
    }
    // The same index error on every tooth only turns the hub.
    for tooth in &mut spline.teeth {
        tooth.male_index = d;
    }
    let turned = spline.solve();
    close("turned", turned.first_touch, 6.4, 1e-12);
    close("turn", turned.turn.expect("loaded"), -d, 1e-9);
}

/// Published expected values of the largest of `n` standard normal values: `n`, value, tolerance.
fn order_statistics() -> Vec<(u32, f64, f64)> {
    let file = include_str!("../../published/order_statistics.csv");
    let rows = file
        .lines()
        .filter(|line| line.starts_with(|c: char| c.is_ascii_digit()));
    rows.map(|line| {
        let cells: Vec<&str> = line.split(',').collect();
        let number = |i: usize| cells[i].parse::<f64>().expect("a number");
        (number(0) as u32, number(1), number(2))
    })
    .collect()
}

#[test]
fn verified_the_table_of_order_statistics_against_its_integral() {
    // Harter 1961 (recalled) against the integral of n x phi(x) Phi(x)^(n-1), trapezoid rule on -9..9.
    let table = order_statistics();
    assert_eq!(table.len(), 6);
    for (n, expected, tolerance) in table {
        let steps = 20_000;
        let width = 18.0 / f64::from(steps);
        let sum: f64 = (0..=steps)
            .map(|i| {
                let x = -9.0 + width * f64::from(i);
                let density = libm::exp(-0.5 * x * x) / libm::sqrt(2.0 * PI);
                let below = 0.5 * libm::erfc(-x / libm::sqrt(2.0));
                f64::from(n) * x * density * libm::pow(below, f64::from(n) - 1.0)
            })
            .sum();
        let got = width * sum;
        assert!(
            (got - expected).abs() <= tolerance,
            "n = {n}: {got}, table {expected}"
        );
    }
}

/// SplitMix64 and Box-Muller: standard normal values that are the same everywhere.
struct Dice(u64);

impl Dice {
    fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn normal(&mut self) -> f64 {
        let radius = libm::sqrt(-2.0 * libm::log(1.0 - self.unit()));
        radius * libm::cos(2.0 * PI * self.unit())
    }
}

#[test]
fn verified_the_mean_first_seat_is_the_extreme_of_the_teeth() {
    // E[s sin b] = -c_n sigma with c_n of Harter 1961 (recalled) and sigma^2 the sum of the four variances:
    // index errors tie the two sides of a tooth together, but leave the mean of each side's smallest error alone.
    // The mean of 300 splines must lie within 4 standard errors (odds 16 000 to 1, the seed is fixed).
    let mut dice = Dice(20_261_125);
    for (n, expected, _) in order_statistics() {
        let splines = 300;
        let sd = [0.003, 0.002, 0.004, 0.001];
        let sigma = libm::sqrt(sd.iter().map(|s| s * s).sum::<f64>());
        let mut spline = perfect(n as usize);
        let (mut sum, mut squares) = (0.0, 0.0);
        for _ in 0..splines {
            for tooth in &mut spline.teeth {
                let mut draw = |i: usize| sd[i] * dice.normal();
                *tooth = ToothErrors {
                    male_profile: (draw(0), draw(0)),
                    female_profile: (draw(1), draw(1)),
                    male_index: draw(2),
                    female_index: draw(3),
                };
            }
            let touch = spline.first_touch();
            let advance = (6.4 - touch) * libm::sin(spline.half_angle) / sigma;
            sum += advance;
            squares += advance * advance;
        }
        let mean = sum / f64::from(splines);
        let error =
            libm::sqrt((squares / f64::from(splines) - mean * mean) / f64::from(splines - 1));
        assert!(
            (mean + expected).abs() < 4.0 * error,
            "n = {n}: mean {mean}, expected -{expected}, standard error {error}"
        );
    }
}

#[test]
fn the_answer_balances_both_sides_and_the_bolt_for_random_teeth() {
    // Statics, whatever the errors: clamp and seat add up to the bolt, the two sides carry the same, the most loaded
    // tooth has at least its even share, and F falls with h.
    let mut dice = Dice(7);
    let (mut open, mut partial) = (0, 0);
    for case in 0..150 {
        let n = 3 + (dice.unit() * 30.0) as usize;
        let mut spline = perfect(n);
        for tooth in &mut spline.teeth {
            let mut draw = |sd: f64| sd * dice.normal();
            *tooth = ToothErrors {
                male_profile: (draw(0.004), draw(0.004)),
                female_profile: (draw(0.004), draw(0.004)),
                male_index: draw(0.006),
                female_index: draw(0.003),
            };
        }
        let bolt = dice.unit();
        spline.bolt_load = 500.0 + 60_000.0 * bolt * bolt;
        spline.thickness = 6.0 + 0.35 * dice.unit();
        spline.spacer = (case % 2 == 0).then_some(4e5);
        let seated = spline.solve();
        let total = seated.clamp_load + seated.seat_load;
        close("B", total, spline.bolt_load, 1e-9);
        let share = seated.most_loaded_share.unwrap_or(1.0);
        assert!(share >= (1.0 - 1e-12) / n as f64 && share <= 1.0, "{share}");
        let (sin, cos) = (libm::sin(spline.half_angle), libm::cos(spline.half_angle));
        let ratio = (0.12 * cos - sin) / (sin + 0.12 * cos);
        let release = seated.seat_load * ratio;
        close("release", seated.release_load, release, 1e-9);
        let (near, far) = (
            spline.seat_load(seated.stand_off),
            spline.seat_load(seated.stand_off + 0.01),
        );
        assert!(near >= far);
        open += usize::from(seated.gap > 0.0);
        partial += usize::from(seated.contact_share < 1.0);
    }
    assert!(
        open > 10 && partial > 10,
        "open {open}, partial contact {partial}"
    );
}
