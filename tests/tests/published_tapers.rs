//! Published cone angles of standard tapers, through the scenario reader.

use study::Loaded;

const JOINT: &str = r#"
title = "A taper"
[shaft]
material = "steel"
flank = ["3 mm", "33 mm"]
gauge_plane = "3 mm"
gauge_diameter = "40 mm"
taper = "TAPER"
[hub]
material = "steel"
outside_diameter = "80 mm"
flank = ["0 mm", "28 mm"]
gauge_plane = "3 mm"
gauge_diameter = "39.4 mm"
taper = "TAPER"
[spacer]
thickness = "5 mm"
[contact]
friction = 0.1
[bolt]
size = "M16"
torque = "100 N*m"
nut_factor = 0.2
"#;

/// Included angle (arcsec) of a taper as the reader understands it.
fn included_arcsec(taper: &str) -> f64 {
    let text = JOINT.replace("TAPER", taper);
    let loaded =
        Loaded::from_text("taper.toml", "taper", &text, &[]).unwrap_or_else(|p| panic!("{p}"));
    2.0 * loaded
        .scenario
        .cones()
        .unwrap()
        .shaft
        .half_angle
        .nominal
        .to_degrees()
        * 3600.0
}

#[test]
fn verified_included_angles_of_the_standard_tapers() {
    let file = include_str!("../published/tapers.csv");
    let mut rows = 0;
    for line in file.lines().filter(|line| line.starts_with('T')) {
        let cells: Vec<&str> = line.splitn(5, ',').collect();
        let [id, taper, expected, tolerance, source] = cells[..] else {
            panic!("{line}")
        };
        let number = |text: &str| text.parse::<f64>().expect("a number");
        let got = included_arcsec(taper);
        assert!(
            (got - number(expected)).abs() <= number(tolerance),
            "{id}: {taper} is {got}\", expected {expected}\" within {tolerance}\" ({source})"
        );
        rows += 1;
    }
    assert_eq!(rows, 15);
}

#[test]
fn rate_included_angle_and_half_angle_are_the_same_cone() {
    // C = 2 tan(a/2): ISO 3040, ISO 1119 definitions.
    let rate = included_arcsec("1:20");
    let keys = [
        (
            "taper = \"1:20\"",
            format!("cone_angle = \"{rate} arcsec\""),
        ),
        (
            "taper = \"1:20\"",
            format!("half_angle = \"{} arcsec\"", 0.5 * rate),
        ),
    ];
    for (old, new) in keys {
        let text = JOINT.replace("TAPER", "1:20").replace(old, &new);
        let loaded =
            Loaded::from_text("taper.toml", "taper", &text, &[]).unwrap_or_else(|p| panic!("{p}"));
        let got = 2.0
            * loaded
                .scenario
                .cones()
                .unwrap()
                .hub
                .half_angle
                .nominal
                .to_degrees()
            * 3600.0;
        assert!((got - rate).abs() < 1e-8, "{new}: {got} for {rate}");
    }
}
