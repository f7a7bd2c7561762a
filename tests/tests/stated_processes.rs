//! Processes and limits in every way in which a scenario can state them, through the reader.

use study::Loaded;
use study::scenario::{Characteristic, Scenario};

/// A joint whose shaft diameter, hub angle and settling are stated by the tests.
const JOINT: &str = r#"
title = "A joint"
[shaft]
material = "steel"
flank = ["3 mm", "33 mm"]
gauge_plane = PLANE
gauge_diameter = DIAMETER
taper = TAPER
[hub]
material = "steel"
outside_diameter = "80 mm"
flank = ["0 mm", "25 mm"]
gauge_plane = "3 mm"
gauge_diameter = BORE
cone_angle = ANGLE
[spacer]
thickness = THICKNESS
settling = SETTLING
[contact]
friction = 0.1
[bolt]
size = "M16"
stiffness = "500 N/um"
torque = "100 N*m"
nut_factor = 0.2
"#;

const STATED: [(&str, &str); 7] = [
    ("PLANE", "\"3 mm\""),
    ("DIAMETER", "\"40 mm\""),
    ("TAPER", "\"1:10\""),
    ("BORE", "\"39.4 mm\""),
    ("ANGLE", "\"5.72481045 deg\""),
    ("THICKNESS", "\"5 mm\""),
    ("SETTLING", "\"4 um\""),
];

/// The joint with one thing stated otherwise.
fn scenario(what: &str, stated: &str) -> Scenario {
    let mut text = JOINT.replace(what, stated);
    for (name, usual) in STATED {
        text = text.replace(name, usual);
    }
    let loaded =
        Loaded::from_text("joint.toml", "joint", &text, &[]).unwrap_or_else(|p| panic!("{p}"));
    loaded.scenario
}

fn diameter(stated: &str) -> Characteristic {
    scenario("DIAMETER", stated)
        .cones()
        .unwrap()
        .shaft
        .gauge_diameter
        .clone()
}

fn process(process: &str) -> Characteristic {
    diameter(&format!(
        "{{ nominal = \"40 mm\", deviations = [\"-24 um\", \"0 um\"], process = {process} }}"
    ))
}

fn near(got: f64, expected: f64, tolerance: f64) {
    assert!(
        (got - expected).abs() <= tolerance,
        "got {got}, expected {expected}"
    );
}

const SCATTER: &str = "process = { shape = \"normal\", sd = \"1 um\" }";

#[test]
fn a_class_gives_the_limits_that_its_deviations_give() {
    // 40 h7 is 0 / -25 um. Source: ISO 286-2, as in iso286.csv.
    let by_class = diameter(&format!(
        "{{ nominal = \"40 mm\", class = \"h7\", {SCATTER} }}"
    ));
    let by_hand = diameter(&format!(
        "{{ nominal = \"40 mm\", deviations = [\"-25 um\", \"0 um\"], {SCATTER} }}"
    ));
    assert_eq!(
        (by_class.lower, by_class.upper),
        (by_hand.lower, by_hand.upper)
    );
    assert_eq!(by_class.class.as_deref(), Some("h7"));
    assert_eq!(by_hand.class, None);
    let bore = "{ nominal = \"39.4 mm\", class = \"H7\", process = { shape = \"uniform\" } }";
    let bore = scenario("BORE", bore)
        .cones()
        .unwrap()
        .hub
        .gauge_diameter
        .clone();
    near(bore.upper.unwrap(), 39.425, 1e-12);
    near(bore.process.mean(), 39.4125, 1e-12);
}

#[test]
fn a_thickness_takes_a_class_of_either_case_and_a_process_is_measured_against_it() {
    for class in ["h9", "H9"] {
        let stated = format!(
            "{{ nominal = \"5 mm\", class = \"{class}\", process = {{ shape = \"normal\", cp = 1.0 }} }}"
        );
        let thickness = scenario("THICKNESS", &stated).spacer.thickness;
        // IT9 on 5 mm is 30 um.
        near(thickness.process.sd(), 0.005, 1e-15);
    }
}

#[test]
fn a_cone_angle_grade_lies_about_the_included_angle_and_half_of_it_on_the_half_angle() {
    // AT6 on a cone of 30 mm: 250 urad of the included angle, recalled from ISO 1947:1973.
    let taper = |more: &str| {
        let stated = format!(
            "{{ nominal = \"1:10\", grade = \"AT6\"{more}, process = {{ shape = \"uniform\" }} }}"
        );
        let angle = scenario("TAPER", &stated)
            .cones()
            .unwrap()
            .shaft
            .half_angle
            .clone();
        assert_eq!(angle.class.as_deref(), Some("AT6"));
        [angle.lower, angle.upper].map(|limit| 1e6 * (limit.unwrap() - angle.nominal))
    };
    let both = taper("");
    near(both[0], -62.5, 1e-8);
    near(both[1], 62.5, 1e-8);
    let plus = taper(", side = \"+\"");
    near(plus[0], 0.0, 1e-8);
    near(plus[1], 125.0, 1e-8);
    let minus = taper(", side = \"-\"");
    near(minus[0], -125.0, 1e-8);
    near(minus[1], 0.0, 1e-8);
}

#[test]
fn the_range_of_a_grade_follows_the_flank_along_the_axis() {
    // The hub's flank is 25 mm long: range 16 to 25, AT6 315 urad; the shaft's 30 mm has 250.
    let stated = "{ nominal = \"5.72481045 deg\", grade = \"AT6\", process = { shape = \"normal\", cp = 1.0 } }";
    let angle = scenario("ANGLE", stated)
        .cones()
        .unwrap()
        .hub
        .half_angle
        .clone();
    near(
        1e6 * (angle.upper.unwrap() - angle.lower.unwrap()),
        157.5,
        1e-8,
    );
}

#[test]
fn pp_counts_everything_and_the_scatter_from_part_to_part_is_what_the_slow_parts_leave() {
    // The limits are 24 um apart: Pp 1 is a total of 4 um, of which lots take 2.4: 3.2 um from part to part.
    let c = process("{ shape = \"normal\", pp = 1.0, lots = { sd = \"2.4 um\", size = 500 } }");
    near(1e3 * c.process.sd(), 4.0, 1e-12);
    near(1e3 * c.process.within_sd(), 3.2, 1e-12);
    near(c.process.mean(), 39.988, 1e-12);
    // With Cp the same number is the scatter from part to part.
    let c = process("{ shape = \"normal\", cp = 1.0, lots = { sd = \"3 um\", size = 500 } }");
    near(1e3 * c.process.within_sd(), 4.0, 1e-12);
    near(1e3 * c.process.sd(), 5.0, 1e-12);
    let c = process("{ shape = \"normal\", pp = 1.2, ppk = 0.9, toward = \"lower\" }");
    near(
        (c.process.mean() - 39.976) / (3.0 * c.process.sd()),
        0.9,
        1e-9,
    );
    near(0.024 / (6.0 * c.process.sd()), 1.2, 1e-9);
}

#[test]
fn a_process_that_fills_the_limits_at_three_sd_leaves_out_what_a_normal_has_beyond_them() {
    let c = process("{ shape = \"normal\", fills_at_sds = 3 }");
    near(1e3 * c.process.sd(), 4.0, 1e-12);
    let outside = c.process.below(c.lower.unwrap()) + c.process.above(c.upper.unwrap());
    // 2 (1 - Phi(3)) = 0.0026998. Source: tables of the normal distribution.
    near(outside, 0.002_699_796, 1e-9);
    let c = process("{ shape = \"normal\", fills_at_sds = 4, offset = \"-10 um\" }");
    near(1e3 * c.process.sd(), 3.0, 1e-12);
    near(c.process.mean(), 39.990, 1e-12);
}

#[test]
fn wear_spreads_the_mean_evenly_and_leaves_it_where_it_is() {
    let c = process(
        "{ shape = \"normal\", sd = \"2 um\", offset = \"-12 um\", wear = { ramp = \"12 um\", parts = 400 } }",
    );
    near(c.process.mean(), 39.988, 1e-12);
    // Variance of an even spread over 12 um: 12 um^2.
    near(1e6 * c.process.sd().powi(2), 4.0 + 12.0, 1e-9);
    let falling = process(
        "{ shape = \"normal\", sd = \"2 um\", offset = \"-12 um\", wear = { ramp = \"-12 um\", parts = 400 } }",
    );
    near(falling.process.sd(), c.process.sd(), 1e-15);
    assert_eq!(
        c.slow_words(),
        ["wear of 12 µm in 400 parts, from tool change to tool change"]
    );
    let both = process(
        "{ shape = \"uniform\", lots = { sd = \"1 um\", size = 50 }, wear = { ramp = \"6 um\", parts = 1e3 } }",
    );
    // 24^2/12 + 1 + 6^2/12 um^2.
    near(1e6 * both.process.sd().powi(2), 48.0 + 1.0 + 3.0, 1e-9);
    assert_eq!(both.process.slow().len(), 2);
    let still = process("{ shape = \"uniform\", lots = { sd = \"0 um\", size = 50 } }");
    assert!(still.process.slow().is_empty());
}

#[test]
fn mean_and_variance_of_a_mixture_are_those_of_its_shares() {
    let c = process(
        "{ shape = \"mixture\", of = [\
         { share = \"60 %\", shape = \"normal\", offset = \"-15 um\", sd = \"2 um\" }, \
         { share = 0.4, shape = \"uniform\", low = \"39.990 mm\", high = \"39.996 mm\" }] }",
    );
    let (a, b) = (39.985, 39.993);
    let mean = 0.6 * a + 0.4 * b;
    near(c.process.mean(), mean, 1e-12);
    let variance = 0.6 * (4e-6 + (a - mean) * (a - mean)) + 0.4 * (3e-6 + (b - mean) * (b - mean));
    near(1e6 * c.process.sd().powi(2), 1e6 * variance, 1e-7);
    assert_eq!(c.process.shape_name(), "mixture");
    assert!(
        c.stated
            .contains("60 % normal (offset from nominal and sd)")
            && c.stated.contains("40 % uniform (fills the stated range)"),
        "{}",
        c.stated
    );
    let moved = process(
        "{ shape = \"mixture\", lots = { sd = \"3 um\", size = 40 }, of = [\
         { share = 0.5, shape = \"normal\", offset = \"-12 um\", sd = \"4 um\" }, \
         { share = 0.5, shape = \"normal\", offset = \"-12 um\", sd = \"4 um\" }] }",
    );
    near(1e3 * moved.process.sd(), 5.0, 1e-9);
}

/// T12.19 to T12.24: moments by an independent library, through the parameters of each shape.
#[test]
fn verified_moments_of_shapes_that_are_stated_by_their_own_parameters() {
    let settling = |process: &str| {
        let stated = format!("{{ nominal = \"1 um\", process = {process} }}");
        let c = scenario("SETTLING", &stated).spacer.settling.unwrap();
        (1e3 * c.process.mean(), 1e6 * c.process.sd().powi(2))
    };
    let (mean, variance) =
        settling("{ shape = \"weibull\", shape_parameter = 1.5, scale = \"2 um\" }");
    near(mean, 1.805_490_585_902, 1e-11);
    near(variance, 1.502_761_139_256, 1e-10);
    let (mean, variance) =
        settling("{ shape = \"beta\", alpha = 2, beta = 5, low = \"0 um\", high = \"1 um\" }");
    near(mean, 2.0 / 7.0, 1e-12);
    near(variance, 0.025_510_204_1, 1e-10);
    let plane = "{ nominal = \"1 mm\", process = { shape = \"skew_normal\", location = \"0 mm\", scale = \"1 mm\", slant = 4 } }";
    let plane = scenario("PLANE", plane)
        .cones()
        .unwrap()
        .shaft
        .gauge_plane
        .process
        .clone();
    near(plane.mean(), 0.774_061_722_6, 1e-10);
    near(plane.sd().powi(2), 0.400_828_449_5, 1e-10);
}

#[test]
fn every_shape_that_can_be_stated_by_mean_and_sd_has_that_mean_and_sd_unless_it_is_cut() {
    let mut stated = 0;
    for kind in distributions::KINDS
        .iter()
        .filter(|kind| kind.by_moments.is_some())
    {
        let more = if kind.name == "skew_normal" {
            ", skewness = 0.3"
        } else {
            ""
        };
        let c = process(&format!(
            "{{ shape = \"{}\", offset = \"-10 um\", sd = \"2 um\"{more} }}",
            kind.name
        ));
        if !c.stated.contains("cut at") {
            near(c.process.mean(), 39.990, 1e-9);
            near(1e3 * c.process.sd(), 2.0, 1e-6);
            stated += 1;
        }
        let constant = process(&format!(
            "{{ shape = \"{}\", offset = \"-10 um\", sd = \"0 um\"{more} }}",
            kind.name
        ));
        assert!(constant.process.is_constant(), "{}", kind.name);
    }
    assert!(stated >= 6, "{stated}");
}
