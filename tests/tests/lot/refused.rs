//! What is refused, with what exit code, and small lots that are not.

use super::{only, said, studied};

#[test]
fn semicolons_and_decimal_commas_are_refused_with_the_options_to_set_and_then_read() {
    let text = "serial;runout [um]\nA1;4,7\nA2;6,6\nA3;1,2\nA4;3,7\nA5;2,2\n";
    let refusal = said(text, 4, &[]);
    assert!(refusal.contains("--separator semicolon"), "{refusal}");
    let refusal = said(text, 4, &["--separator", "semicolon"]);
    assert!(refusal.contains("--decimal ,"), "{refusal}");
    let options = [
        "--separator",
        "semicolon",
        "--decimal",
        ",",
        "--max",
        "15 um",
    ];
    let of = only(studied(text, &options));
    assert_eq!((of.n, of.unit.as_str(), of.max), (5, "um", 6.6));
    assert!(
        of.scenario.contains("separator = \"semicolon\""),
        "{}",
        of.scenario
    );
}

#[test]
fn options_that_do_not_fit_are_exit_2() {
    let text = "a [mm],b [deg],c\n1,2,3\n1.5,2.5,3.5\n";
    let cases: [&[&str]; 14] = [
        &["--column", "z"],
        &["--max", "2 mm"],
        &["--max", "a=2 deg"],
        &["--max", "a=2"],
        &["--max", "z=2 mm"],
        &["--max", "a=2 mm", "--max", "a=3 mm"],
        &["--max", "c=2 mm"],
        &["--class", "a=H7"],
        &["--nominal", "a=1 mm", "--class", "a=Q7"],
        &["--min", "a=3 mm", "--max", "a=2 mm"],
        &["--subgroup", "z"],
        &["--unit", "c=furlong"],
        &["--unit", "a=um"],
        &["--nominal", "a=1 mm", "--deviations", "a=5 um"],
    ];
    for options in cases {
        let refusal = said(text, 2, options);
        assert!(refusal.contains("expected"), "{options:?}: {refusal}");
    }
    for options in [
        &["--confidence", "0.95"][..],
        &["--subgroup-size", "1"],
        &["--part", "a"],
        &["--appraiser", "a"],
        &["--about", "x"],
        &["--decimal", ";"],
        &["--max", "="],
        &["--subgroup", "c", "--subgroup-size", "2"],
    ] {
        said(text, 2, options);
    }
}

#[test]
fn a_slip_of_a_thousand_or_of_an_inch_is_refused_with_a_guess() {
    for (text, guess) in [
        ("d [mm]\n30001\n30002\n29999\n", "um"),
        ("d [mm]\n1.1811\n1.1812\n1.1810\n", "in"),
    ] {
        let options = ["--nominal", "30 mm", "--deviations", "-20 um..20 um"];
        let refusal = said(text, 4, &options);
        assert!(refusal.contains(guess), "{refusal}");
    }
}

#[test]
fn a_file_without_numbers_or_that_is_not_there_is_refused() {
    said("serial\nA1\nA2\n", 4, &[]);
    said("", 4, &[]);
    let place = tempfile::tempdir().unwrap();
    let output = super::seatyield(place.path(), &["lot", "none.csv"]);
    super::exits(&output, 4);
}

#[test]
fn one_reading_has_a_size_and_nothing_else() {
    let of = only(studied("d [mm]\n30.01\n", &["--max", "30.02 mm"]));
    assert_eq!((of.n, of.mean, of.sd), (1, 30.01, 0.0));
    let capability = of.capability.expect("a limit");
    assert!(capability.ppk.is_none() && capability.absent.contains_key("ppk"));
}

#[test]
fn equal_readings_have_no_index() {
    let text = format!("d [mm]\n{}", "30.01\n".repeat(40));
    let of = only(studied(&text, &["--min", "30 mm", "--max", "30.02 mm"]));
    assert_eq!((of.n, of.sd), (40, 0.0));
    let capability = of.capability.expect("limits");
    assert!(capability.ppk.is_none() && capability.absent["ppk"].contains("equal"));
}

#[test]
fn four_readings_are_warned_of_loudly() {
    let study = studied(
        "d [mm]\n30.01\n30.00\n30.02\n30.01\n",
        &["--max", "30.1 mm"],
    );
    assert!(
        study
            .warnings
            .iter()
            .any(|warning| warning.contains("doubt")),
        "{:?}",
        study.warnings
    );
    let of = only(study);
    assert!(of.capability.expect("a limit").ppk.is_none());
}
