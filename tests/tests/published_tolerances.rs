//! Published limits of ISO 286 and cone-angle grades of ISO 1947, and facts of the trade about them.

use study::tolerance::{agreeing, cone_angle, limits};

const GRADES: [u32; 7] = [5, 6, 7, 8, 9, 10, 11];

/// Ends of the main ranges of nominal sizes (mm).
const RANGES: [f64; 14] = [
    0.0, 3.0, 6.0, 10.0, 18.0, 30.0, 50.0, 80.0, 120.0, 180.0, 250.0, 315.0, 400.0, 500.0,
];

fn rows(text: &'static str) -> impl Iterator<Item = Vec<&'static str>> {
    let lines = text.lines().filter(|line| !line.starts_with('#'));
    lines.skip(1).map(|line| line.split(',').collect())
}

fn number(text: &str) -> f64 {
    text.parse().unwrap_or_else(|_| panic!("{text}"))
}

/// Lower and upper deviation in micrometre, as a table prints them.
fn micrometre(class: &str, nominal: f64) -> (f64, f64) {
    let (lower, upper) = limits(class, nominal).unwrap_or_else(|e| panic!("{class}: {e}"));
    let rounded = |mm: f64| (mm * 1e7).round() / 1e4;
    (rounded(lower), rounded(upper))
}

/// Width of a grade (micrometre).
fn width(grade: u32, nominal: f64) -> f64 {
    micrometre(&format!("H{grade}"), nominal).1
}

#[test]
fn verified_every_row_of_the_published_table_of_limits() {
    let text = include_str!("../published/iso286.csv");
    let head = text.lines().find(|line| !line.starts_with('#')).unwrap();
    let ranges: Vec<(f64, f64)> = head
        .split(',')
        .skip(1)
        .map(|range| range.split_once('-').unwrap())
        .map(|(over, to)| (number(over), number(to)))
        .collect();
    let mut pairs = 0;
    for cells in rows(text) {
        for (&(over, to), cell) in ranges.iter().zip(&cells[1..]) {
            let (upper, lower) = cell.split_once('/').unwrap();
            let expected = (number(lower) / 1000.0, number(upper) / 1000.0);
            for nominal in [over + 0.001, 0.5 * (over + to), to] {
                assert_eq!(
                    limits(cells[0], nominal),
                    Ok(expected),
                    "{} on {nominal} mm",
                    cells[0]
                );
            }
            pairs += 1;
        }
    }
    assert_eq!(pairs, 52 * 13);
}

#[test]
fn verified_limits_of_worked_examples_charts_and_known_misprints() {
    let mut checked = 0;
    for cells in rows(include_str!("../published/iso286_examples.csv")) {
        let [id, class, nominal, lower, upper, source] = cells[..] else {
            panic!("{cells:?}")
        };
        let expected = (number(lower), number(upper));
        assert_eq!(
            micrometre(class, number(nominal)),
            expected,
            "{id}: {source}"
        );
        checked += 1;
    }
    assert_eq!(checked, 27);
}

#[test]
fn verified_clearances_of_published_fits() {
    for cells in rows(include_str!("../published/iso286_fits.csv")) {
        let [id, nominal, hole, shaft, least, greatest, source] = cells[..] else {
            panic!("{cells:?}")
        };
        let hole = micrometre(hole, number(nominal));
        let shaft = micrometre(shaft, number(nominal));
        assert_eq!(hole.0 - shaft.1, number(least), "{id}: {source}");
        assert_eq!(hole.1 - shaft.0, number(greatest), "{id}: {source}");
    }
}

/// A fact of the trade. Source: the tables of ISO 286.
#[test]
fn readings_seventy_micrometres_small_on_40_mm_agree_with_e_and_not_with_g_or_h() {
    let classes = agreeing(40.0, 39.930, 39.934, false);
    for class in ["e7", "e8", "e9"] {
        assert!(classes.iter().any(|c| c == class), "{classes:?}");
    }
    for class in ["g5", "g6", "h5", "h6", "h7", "h8", "h9", "d9"] {
        assert!(!classes.iter().any(|c| c == class), "{classes:?}");
    }
    assert!(
        agreeing(40.0, 39.930, 39.934, true)
            .iter()
            .all(|c| c.starts_with("JS1")),
        "no hole but one of a coarse grade about the nominal is so small"
    );
}

/// A fact of the trade. Source: common practice, no source.
#[test]
fn five_hundredths_on_a_diameter_are_an_ordinary_tolerance_of_machining() {
    // Turning holds grades 7 to 11 without effort; on shafts of 18 to 80 mm 0.05 mm lies between grades 8 and 10.
    for nominal in [20.0, 30.0, 40.0, 50.0, 80.0] {
        assert!(
            width(7, nominal) < 50.0 && 50.0 < width(10, nominal),
            "{nominal} mm"
        );
    }
    let classes = agreeing(40.0, 39.975, 40.025, false);
    assert!(classes.iter().any(|c| c == "js9") && !classes.iter().any(|c| c == "js8"));
}

/// The tolerance unit `i = 0.45 D^(1/3) + 0.001 D` (um), `D` the geometric mean of the range (mm). Source: ISO 286-1.
fn unit(nominal: f64) -> f64 {
    let to = RANGES
        .iter()
        .position(|end| nominal <= *end)
        .expect("inside the table");
    let over = RANGES[to - 1].max(1.0);
    let d = (over * RANGES[to]).sqrt();
    0.45 * libm::cbrt(d) + 0.001 * d
}

/// The formula is no oracle, the table is: it only shows that no grade and no range was mistaken for another.
#[test]
fn the_formula_of_the_tolerance_unit_gives_every_grade_within_15_percent() {
    for (grade, multiple) in GRADES
        .into_iter()
        .zip([7.0, 10.0, 16.0, 25.0, 40.0, 64.0, 100.0])
    {
        for nominal in &RANGES[1..] {
            let ratio = multiple * unit(*nominal) / width(grade, *nominal);
            assert!(
                (0.85..=1.15).contains(&ratio),
                "IT{grade} on {nominal} mm: {ratio}"
            );
        }
    }
    // T3.12 and T3.13: where the formula rounds to the table.
    assert!((unit(25.0) - 1.3074).abs() < 1e-3 && (unit(100.0) - 2.1725).abs() < 1e-3);
    assert_eq!(
        [6, 7, 8].map(|grade| width(grade, 25.0)),
        [13.0, 21.0, 33.0]
    );
    assert_eq!(width(7, 100.0), 35.0);
    // T3.14: where it does not.
    let traps = [
        (6, 2.0, 10.0, 6.0),
        (7, 2.0, 16.0, 10.0),
        (7, 8.0, 16.0, 15.0),
        (6, 450.0, 10.0, 40.0),
    ];
    for (grade, nominal, multiple, table) in traps {
        assert_eq!(width(grade, nominal), table, "IT{grade} on {nominal} mm");
        assert_ne!(
            (multiple * unit(nominal)).round(),
            table,
            "IT{grade} on {nominal} mm"
        );
    }
}

#[test]
fn verified_cone_angle_grades_of_the_notes_of_the_standard() {
    for cells in rows(include_str!("../published/cone_grades.csv")) {
        let [
            id,
            grade,
            length,
            arcsec,
            angle_tolerance,
            diameter,
            tolerance,
        ] = cells[..]
        else {
            panic!("{cells:?}")
        };
        let angle = cone_angle(grade, number(length)).unwrap_or_else(|e| panic!("{id}: {e}"));
        let got = angle.to_degrees() * 3600.0;
        assert!(
            (got - number(arcsec)).abs() <= number(angle_tolerance),
            "{id}: {got}\""
        );
        let got = angle * number(length) * 1000.0;
        assert!(
            (got - number(diameter)).abs() <= number(tolerance),
            "{id}: {got} um"
        );
    }
}

/// T2.5: the series R10. Source: ISO 3 (preferred numbers), the structure of ISO 1947:1973 (recalled).
#[test]
fn cone_angle_grades_are_two_steps_of_the_series_r10_apart_and_ranges_one() {
    let lengths = [
        8.0, 12.0, 20.0, 30.0, 50.0, 80.0, 120.0, 200.0, 300.0, 500.0,
    ];
    let angle = |grade: u32, length| cone_angle(&format!("AT{grade}"), length).unwrap();
    for (i, length) in lengths.into_iter().enumerate() {
        for grade in 1..12 {
            let step = angle(grade + 1, length) / angle(grade, length);
            assert!(
                (1.56..=1.61).contains(&step),
                "AT{grade} at {length} mm: {step}"
            );
        }
        for grade in 1..=12 {
            if let Some(next) = lengths.get(i + 1) {
                let step = angle(grade, length) / angle(grade, *next);
                assert!(
                    (1.24..=1.29).contains(&step),
                    "AT{grade} at {length} mm: {step}"
                );
            }
        }
    }
    assert!(
        (angle(1, 8.0) - 50e-6).abs() < 1e-18,
        "the anchor of the table"
    );
}
