//! Published thermal growth, end to end: from a scenario's temperatures to where the hub seats.

use study::{Loaded, PairOptions, pair};

const JOINT: &str = r#"
title = "A warm joint"
[shaft]
material = { modulus = "210 GPa", poisson = 0.3, expansion = "SHAFT 1/K" }
flank = ["70 mm", "150 mm"]
gauge_plane = "100 mm"
gauge_diameter = "CONE mm"
taper = "1:10"
[hub]
material = { modulus = "210 GPa", poisson = 0.3, expansion = "HUB 1/K" }
outside_diameter = "80 mm"
flank = ["0 mm", "28 mm"]
gauge_plane = "0 mm"
gauge_diameter = "BORE mm"
taper = "1:10"
[spacer]
thickness = "LENGTH mm"
material = { modulus = "210 GPa", poisson = 0.3, expansion = "SPACER 1/K" }
stiffness = "400 N/um"
[contact]
friction = 0.1
[bolt]
size = "M16"
torque = "100 N*m"
nut_factor = 0.2
[temperature]
assembly = { shaft = "SHAFT_AT degC", hub = "HUB_AT degC", spacer = "SPACER_AT degC" }
"#;

/// What a joint is made of, and how warm it is when it is put together.
#[derive(Debug, Clone, Copy)]
struct Warm {
    bore: f64,
    length: f64,
    /// Expansions (1/K) and temperatures (degrees Celsius) of shaft, hub and spacer.
    expansion: [f64; 3],
    at: [f64; 3],
}

const COLD: Warm = Warm {
    bore: 39.9,
    length: 99.0,
    expansion: [11.5e-6; 3],
    at: [20.0; 3],
};

/// The outputs of the nominal pairing.
fn solved(warm: Warm) -> std::collections::BTreeMap<&'static str, f64> {
    let mut text = JOINT.to_owned();
    for (word, value) in [
        ("SHAFT_AT", warm.at[0]),
        ("HUB_AT", warm.at[1]),
        ("SPACER_AT", warm.at[2]),
        ("SHAFT", warm.expansion[0]),
        ("HUB", warm.expansion[1]),
        ("SPACER", warm.expansion[2]),
        ("BORE", warm.bore),
        ("CONE", warm.bore + 0.1),
        ("LENGTH", warm.length),
    ] {
        text = text.replace(word, &format!("{value:?}"));
    }
    let loaded = Loaded::from_text("warm.toml", "warm", &text, &[])
        .unwrap_or_else(|problems| panic!("{problems}\n{text}"));
    let pairs = pair(&loaded, &PairOptions::default()).expect("one pairing");
    pairs[0].outputs.iter().copied().collect()
}

#[test]
fn verified_handbook_growth_of_a_spacer_takes_up_draw_up() {
    // The rows' source stands in the file; sizes are those at 20 degrees Celsius (ISO 1).
    let file = include_str!("../published/thermal.csv");
    let mut rows = 0;
    for line in file.lines().filter(|line| line.starts_with('T')) {
        let cells: Vec<&str> = line.split(',').collect();
        let number = |i: usize| cells[i].parse::<f64>().expect("a number");
        let (length, rise, expansion, growth) = (number(1), number(2), number(3), number(4));
        let cold = Warm { length, ..COLD };
        let warm = Warm {
            expansion: [11.5e-6, 11.5e-6, expansion],
            at: [20.0, 20.0, 20.0 + rise],
            ..cold
        };
        let got = 1e3 * (solved(cold)["draw_up_mm"] - solved(warm)["draw_up_mm"]);
        assert!((got - growth).abs() < 1e-9, "{line}: grew {got} um");
        rows += 1;
    }
    assert_eq!(rows, 5);
}

#[test]
fn verified_heat_that_opens_a_bore_by_thirty_micrometres() {
    // T11.5: 0.030 mm on 25 mm at 12e-6/K needs 100.0 K (dT = delta/(a d), derived). At 1:10 the hub then goes on
    // 0.300 mm further.
    let hub = [11.5e-6, 12e-6, 11.5e-6];
    let cold = Warm {
        bore: 25.0,
        expansion: hub,
        ..COLD
    };
    let warm = Warm {
        at: [20.0, 120.0, 20.0],
        ..cold
    };
    let further = solved(cold)["first_touch_mm"] - solved(warm)["first_touch_mm"];
    assert!((further - 0.3).abs() < 1e-9, "{further} mm further");
}

#[test]
fn verified_one_material_at_one_temperature_keeps_its_shape() {
    // T11.6: uniform heating of one material leaves the angle alone and scales the stand-off by 1 + a dT (derived).
    let warm = Warm {
        at: [180.0; 3],
        ..COLD
    };
    let (cold, warm) = (solved(COLD), solved(warm));
    let scale = 1.0 + 160.0 * 11.5e-6;
    for key in ["first_touch_mm", "draw_up_mm"] {
        let off = warm[key] / (scale * cold[key]) - 1.0;
        assert!(off.abs() < 1e-11, "{key}: off by {off:e}");
    }
}
