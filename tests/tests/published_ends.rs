//! Published sizes of standard shaft ends, through the scenario reader and `pair`. The standards themselves were not
//! read: "quoted" marks rows from pages that quote them, "recalled" those from memory.

use study::scenario::{Cone, Cones};
use study::{Loaded, PairOptions};

const INCH: f64 = 25.4;

/// A joint whose shaft and hub state nothing that a standard end gives.
const JOINT: &str = r#"
title = "A standard end"
[shaft]
material = "steel"
end = "SHAFT_END"
[hub]
material = "steel"
outside_diameter = "1000 mm"
flank = ["0 mm", "HUB_LENGTH mm"]
end = "HUB_END"
[spacer]
thickness = "3 mm"
[contact]
friction = 0.12
[bolt]
size = "M24"
torque = "300 N*m"
nut_factor = 0.2
"#;

fn joint(shaft: &str, hub: &str, hub_length_mm: f64) -> String {
    JOINT
        .replace("SHAFT_END", shaft)
        .replace("HUB_END", hub)
        .replace("HUB_LENGTH", &hub_length_mm.to_string())
}

fn loaded(text: &str) -> Loaded {
    Loaded::from_text("end.toml", "end", text, &[]).unwrap_or_else(|p| panic!("{p}"))
}

fn cones(text: &str) -> Cones {
    loaded(text).scenario.cones().expect("a cone").clone()
}

/// Diameter of a cone at an axial position (mm), from its nominal sizes.
fn diameter(cone: &Cone, x: f64) -> f64 {
    let slope = 2.0 * libm::tan(cone.half_angle.nominal);
    cone.gauge_diameter.nominal - (x - cone.gauge_plane.nominal) * slope
}

fn length(cone: &Cone) -> f64 {
    cone.small_end_mm - cone.large_end_mm
}

/// SAE J755, quoted: shaft diameter, taper length, small end of the shaft, small end of the hub, overhang of the hub
/// past the shaft's small end (in). The overhang was recomputed as 16 (D - A/16 - Cs).
const SAE_J755: [[f64; 5]; 8] = [
    [0.750, 2.000, 0.625, 0.609, 0.256],
    [1.000, 2.750, 0.828, 0.813, 0.242],
    [1.500, 4.250, 1.234, 1.219, 0.246],
    [2.000, 5.750, 1.641, 1.625, 0.250],
    [2.500, 7.250, 2.047, 2.031, 0.254],
    [3.000, 8.625, 2.461, 2.438, 0.367],
    [4.000, 11.625, 3.273, 3.250, 0.375],
    [5.000, 12.000, 4.250, 4.219, 0.496],
];

fn propeller_end(diameter: f64) -> String {
    format!("SAE J755 {diameter} in")
}

#[test]
fn published_propeller_ends_have_the_small_end_of_the_table() {
    for [d, taper_length, small, hub_small, _] in SAE_J755 {
        let end = propeller_end(d);
        let cones = cones(&joint(&end, &end, 80.0));
        let shaft = &cones.shaft;
        assert!((length(shaft) - taper_length * INCH).abs() < 1e-9, "{end}");
        let at_small = diameter(shaft, shaft.small_end_mm) / INCH;
        assert!((at_small - small).abs() < 5.01e-4, "{end}: {at_small}");
        let at_large = diameter(shaft, shaft.large_end_mm) / INCH;
        assert!((at_large - d).abs() < 1e-12, "{end}: {at_large}");
        let of_hub = diameter(&cones.hub, cones.hub.small_end_mm) / INCH;
        assert!((of_hub - hub_small).abs() < 1e-12, "{end}: {of_hub}");
        assert_eq!(shaft.taper_stated, "1:16");
    }
}

/// A hub of any length brings its small end to one place past the shaft's: that is why the standard sizes the small end.
#[test]
fn published_propeller_ends_meet_at_the_recomputed_overhang_whatever_the_hubs_length() {
    for [d, taper_length, _, hub_small, overhang] in SAE_J755 {
        for share in [0.8, 1.0] {
            let hub_length = share * taper_length * INCH;
            let end = propeller_end(d);
            let loaded = loaded(&joint(&end, &end, hub_length));
            let pairs =
                study::pair(&loaded, &PairOptions::default()).unwrap_or_else(|p| panic!("{p}"));
            let first_touch = pairs[0]
                .outputs
                .iter()
                .find(|(k, _)| *k == "first_touch_mm");
            let (_, first_touch) = *first_touch.expect("the cones touch");
            let got = (first_touch + hub_length) / INCH - taper_length;
            let exact = 16.0 * (d - taper_length / 16.0 - hub_small);
            assert!((got - exact).abs() < 1e-9, "{end}: {got} and {exact}");
            assert!((got - overhang).abs() < 5.01e-4, "{end}: {got}");
        }
    }
}

/// Not published: what the reference of scenarios says about room for a spacer, by `h0 = a_m - a_f` of equal cones.
#[test]
fn a_hub_by_the_shafts_name_is_pushed_out_by_its_gauge_plane() {
    let text = joint("ISO/R 775 30 mm", "ISO/R 775 30 mm", 40.0);
    let moved = text.replace("flank = [", "gauge_plane = \"-3.2 mm\"\nflank = [");
    for (text, first_touch) in [(text, 0.0), (moved, 3.2)] {
        let pairs =
            study::pair(&loaded(&text), &PairOptions::default()).unwrap_or_else(|p| panic!("{p}"));
        let found = pairs[0]
            .outputs
            .iter()
            .find(|(k, _)| *k == "first_touch_mm");
        let (_, found) = *found.expect("the cones touch");
        assert!((found - first_touch).abs() < 1e-12, "{found}");
    }
}

/// Morse tapers, ISO 296: gauge diameter (mm), the same (in), length (in), small end (in), half-angle (deg). Gauge
/// diameters 1 to 6 and half-angles 0 to 4 quoted, the rest recalled; the small end was recomputed.
const MORSE: [[f64; 5]; 7] = [
    [9.045, 0.3561, 2.0, 0.2520, 1.49079],
    [12.065, 0.4750, 2.125, 0.3690, 1.42871],
    [17.780, 0.7000, 2.5625, 0.5720, 1.43069],
    [23.825, 0.9380, 3.1875, 0.7780, 1.43770],
    [31.267, 1.2310, 4.0625, 1.0200, 1.48759],
    [44.399, 1.7480, 5.1875, 1.4750, 1.50727],
    [63.348, 2.4940, 7.25, 2.1160, 1.49329],
];

#[test]
fn published_morse_tapers_reach_their_small_end() {
    for (size, [mm, inch, length_in, small, half_angle]) in MORSE.into_iter().enumerate() {
        let end = format!("Morse {size}");
        let cones = cones(&joint(&end, &end, 20.0));
        for cone in [&cones.shaft, &cones.hub] {
            assert_eq!(diameter(cone, 0.0), mm);
            assert!((mm / INCH - inch).abs() < 1e-4);
            assert!(
                (diameter(cone, length_in * INCH) / INCH - small).abs() < 1.01e-4,
                "{end}"
            );
            assert!(
                (cone.half_angle.nominal.to_degrees() - half_angle).abs() < 6e-6,
                "{end}"
            );
        }
        assert!((length(&cones.shaft) - length_in * INCH).abs() < 1e-9);
        assert_eq!(length(&cones.hub), 20.0, "the hub's length is its own");
    }
}

/// ISO/R 775, long series, recalled: diameter, whole length, cone, thread (mm). Each whole length is cone and thread.
const ISO_R_775: [[f64; 4]; 14] = [
    [14.0, 30.0, 18.0, 12.0],
    [16.0, 40.0, 28.0, 12.0],
    [20.0, 50.0, 36.0, 14.0],
    [24.0, 50.0, 36.0, 14.0],
    [28.0, 60.0, 42.0, 18.0],
    [30.0, 80.0, 58.0, 22.0],
    [35.0, 80.0, 58.0, 22.0],
    [40.0, 110.0, 82.0, 28.0],
    [45.0, 110.0, 82.0, 28.0],
    [50.0, 110.0, 82.0, 28.0],
    [60.0, 140.0, 105.0, 35.0],
    [70.0, 140.0, 105.0, 35.0],
    [80.0, 170.0, 130.0, 40.0],
    [100.0, 210.0, 165.0, 45.0],
];

#[test]
fn recalled_conical_ends_of_iso_r_775_leave_room_for_their_thread() {
    for [d, whole, cone, thread] in ISO_R_775 {
        assert_eq!(whole, cone + thread);
        let end = format!("ISO/R 775 {d} mm");
        let cones = cones(&joint(&end, &end, 15.0));
        assert_eq!(length(&cones.shaft), whole - thread, "{end}");
        assert_eq!(diameter(&cones.shaft, 0.0), d, "{end}");
        // 1:10 is 5d43'29.3176" included, ISO 1119, recalled.
        let included = 2.0 * cones.shaft.half_angle.nominal.to_degrees() * 3600.0;
        assert!((included - 20_609.317_6).abs() < 1e-4, "{included}");
    }
}

#[test]
fn steep_tapers_have_the_recalled_gauge_diameters_and_the_quoted_half_angle() {
    // ISO 7388: gauge diameters recalled; half-angle 8d17'50" quoted, rounded to the second.
    for (size, d) in [(30, 31.75), (40, 44.45), (45, 57.15), (50, 69.85)] {
        let end = format!("7:24 {size}");
        let cones = cones(&joint(&end, &end, 25.0));
        assert_eq!(diameter(&cones.shaft, 0.0), d);
        let half = cones.hub.half_angle.nominal.to_degrees() * 3600.0;
        assert!((half - 29_870.0).abs() < 0.5, "{half}");
    }
}

#[test]
fn the_one_quoted_size_of_sae_j501_begins_with_the_shafts_diameter() {
    // 1.5 in per foot = 1:8; gauge diameter 22.225 mm on a shaft of 25.4 mm, quoted.
    let text = joint("SAE J501 1 in", "SAE J501 1 in", 20.0);
    let text = text.replacen("end =", "flank = [\"0 mm\", \"34 mm\"]\nend =", 1);
    let cones = cones(&text);
    assert_eq!(cones.shaft.gauge_diameter.nominal, 22.225);
    assert!((diameter(&cones.shaft, 0.0) - 25.4).abs() < 1e-12);
    assert!((2.0 * libm::tan(cones.shaft.half_angle.nominal) - 1.5 / 12.0).abs() < 1e-15);
}

#[test]
fn what_a_file_states_goes_before_the_standard_end_and_a_table_may_leave_out_its_nominal() {
    let text = joint("ISO/R 775 30 mm", "iso/r  775 30 MM", 40.0).replacen(
        "end =",
        "gauge_diameter = { deviations = [\"-13 um\", \"0 um\"], process = { shape = \"uniform\" } }\n\
         taper = { process = { shape = \"normal\", sd = \"0.2 arcmin\" } }\n\
         flank = [\"2 mm\", \"50 mm\"]\nend =",
        1,
    );
    let loaded = loaded(&text);
    let shaft = &loaded.scenario.cones().expect("a cone").shaft;
    let d = &shaft.gauge_diameter;
    assert_eq!(
        (d.nominal, d.lower, d.upper),
        (30.0, Some(29.987), Some(30.0))
    );
    assert_eq!((shaft.large_end_mm, shaft.small_end_mm), (2.0, 50.0));
    assert_eq!(
        shaft.gauge_plane.nominal, 2.0,
        "the plane goes with the flank"
    );
    assert_eq!(shaft.half_angle.nominal, libm::atan(0.05));
    assert!(shaft.half_angle.process.sd() > 0.0);
    assert_eq!(shaft.taper_stated, "1:10");
    let end = loaded.scenario.shaft.end.as_deref();
    assert_eq!(
        end,
        Some("ISO/R 775 30 mm, sizes recalled, not read in the standard")
    );
    let steeper = cones(&text.replace("taper = {", "taper = { nominal = \"1:8\","));
    assert_eq!(steeper.shaft.half_angle.nominal, libm::atan(0.0625));
    assert_eq!(steeper.shaft.taper_stated, "1:8");
}
