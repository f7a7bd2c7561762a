//! Published readings and tables, from the file to the study.

use super::{close, only, studied};

/// Gear diameters in ten batches of ten (NIST/SEMATECH e-Handbook of Statistical Methods, data set of its section on the
/// Bartlett and Levene tests; read from scipy's test suite).
const GEARS: [[u32; 10]; 10] = [
    [1006, 996, 998, 1000, 992, 993, 1002, 999, 994, 1000],
    [998, 1006, 1000, 1002, 997, 998, 996, 1000, 1006, 988],
    [991, 987, 997, 999, 995, 994, 1000, 999, 996, 996],
    [1005, 1002, 994, 1000, 995, 994, 998, 996, 1002, 996],
    [998, 998, 982, 990, 1002, 984, 996, 993, 980, 996],
    [1009, 1013, 1009, 997, 988, 1002, 995, 998, 981, 996],
    [990, 1004, 996, 1001, 998, 1000, 1018, 1010, 996, 1002],
    [998, 1000, 1006, 1000, 1002, 996, 998, 996, 1002, 1006],
    [1002, 998, 996, 995, 996, 1004, 1004, 998, 999, 991],
    [991, 995, 984, 994, 997, 997, 991, 998, 1004, 997],
];

fn gears() -> String {
    let mut text = String::from("batch,diameter\n");
    for (batch, readings) in GEARS.iter().enumerate() {
        for reading in readings {
            text += &format!("B{},{}.{:03}\n", batch + 1, reading / 1000, reading % 1000);
        }
    }
    text
}

const GEAR_OPTIONS: [&str; 6] = ["--subgroup", "batch", "--min", "0.98", "--max", "1.02"];

#[test]
fn verified_gear_diameters_have_the_published_mean_spreads_and_indices() {
    let gear = only(studied(&gears(), &GEAR_OPTIONS));
    assert_eq!((gear.n, gear.unit.as_str()), (100, ""));
    close(gear.mean, 0.997_64, 1e-12);
    close(gear.sd, 0.006_278_904_878, 1e-11);
    let groups = gear.subgroups.expect("batches");
    assert_eq!(
        (groups.count, groups.size, groups.freedom),
        (10, (10, 10), 90)
    );
    close(groups.sd_within, 0.005_938_574_464, 1e-11);
    // Derived from the published data by the definitions.
    let capability = gear.capability.expect("limits");
    close(capability.pp.expect("Pp").value, 1.061_756_3, 1e-6);
    close(capability.ppk.expect("Ppk").value, 0.936_469_0, 1e-6);
    close(capability.cp.expect("Cp").value, 1.122_603_9, 1e-6);
    close(capability.cpk.expect("Cpk").value, 0.990_136_6, 1e-6);
}

#[test]
fn verified_gear_diameters_have_the_published_test_statistics() {
    let gear = only(studied(&gears(), &GEAR_OPTIONS));
    let groups = gear.subgroups.expect("batches");
    // Handbook: Bartlett 20.78580, Levene 1.705910 (both from memory); all recomputed with an independent library.
    for (test, statistic, p) in [
        (groups.means_equal, 2.296_912_4, 0.022_660_8),
        (groups.spreads_equal_bartlett, 20.785_873, 0.013_635_9),
        (groups.spreads_equal_levene, 1.705_917_7, 0.099_083_0),
        (gear.normality.shapiro_wilk, 0.962_242_69, 0.005_829_7),
    ] {
        let test = test.expect("a test");
        close(test.statistic, statistic, 1e-6);
        close(test.p, p, 1e-6);
    }
    let anderson = gear.normality.anderson_darling.expect("a test");
    close(anderson.statistic, 1.457_951_9, 1e-6);
    assert!(!gear.normality.normal);
    assert!(groups.sd_between > 0.0);
}

#[test]
fn batches_that_differ_are_said_and_cpk_does_not_lead() {
    let gear = only(studied(&gears(), &GEAR_OPTIONS));
    let capability = gear.capability.expect("limits");
    assert_ne!(capability.leads.0, "Cpk");
    assert!(
        gear.notes
            .iter()
            .any(|note| note.contains("means of subgroups differ")),
        "{:?}",
        gear.notes
    );
    assert_eq!(gear.outside, (0, 0));
}

/// Ten parts, three appraisers, three trials (Measurement Systems Analysis, data and results from memory, recomputed).
const GAUGE: [[&str; 10]; 3] = [
    [
        "0.29,0.41,0.64",
        "-0.56,-0.68,-0.58",
        "1.34,1.17,1.27",
        "0.47,0.50,0.64",
        "-0.80,-0.92,-0.84",
        "0.02,-0.11,-0.21",
        "0.59,0.75,0.66",
        "-0.31,-0.20,-0.17",
        "2.26,1.99,2.01",
        "-1.36,-1.25,-1.31",
    ],
    [
        "0.08,0.25,0.07",
        "-0.47,-1.22,-0.68",
        "1.19,0.94,1.34",
        "0.01,1.03,0.20",
        "-0.56,-1.20,-1.28",
        "-0.20,0.22,0.06",
        "0.47,0.55,0.83",
        "-0.63,0.08,-0.34",
        "1.80,2.12,2.19",
        "-1.68,-1.62,-1.50",
    ],
    [
        "0.04,-0.11,-0.15",
        "-1.38,-1.13,-0.96",
        "0.88,1.09,0.67",
        "0.14,0.20,0.11",
        "-1.46,-1.07,-1.45",
        "-0.29,-0.67,-0.49",
        "0.02,0.01,0.21",
        "-0.46,-0.56,-0.49",
        "1.77,1.45,1.87",
        "-1.49,-1.77,-2.16",
    ],
];

#[test]
fn verified_gauge_study_has_the_published_sources_of_scatter() {
    let mut text = String::from("part,appraiser,trial,deviation [um]\n");
    for (appraiser, parts) in ["A", "B", "C"].iter().zip(GAUGE) {
        for (part, readings) in parts.iter().enumerate() {
            for (trial, reading) in readings.split(',').enumerate() {
                text += &format!("{},{appraiser},{},{reading}\n", part + 1, trial + 1);
            }
        }
    }
    let options = [
        "--part",
        "part",
        "--appraiser",
        "appraiser",
        "--trial",
        "trial",
    ];
    let of = only(studied(&text, &options));
    let gauge = of.gauge.expect("a gauge study");
    assert_eq!(
        (gauge.counts, gauge.pooled, gauge.categories),
        ((10, 3, 3), true, 4)
    );
    let squares: Vec<f64> = gauge.table.iter().map(|row| row.1).collect();
    for expected in [3.167_262, 88.361_934, 0.358_982, 2.758_933, 94.647_112] {
        assert!(
            squares.iter().any(|got| (got - expected).abs() < 1e-6),
            "{expected}: {squares:?}"
        );
    }
    let interaction = gauge.interaction.expect("a test");
    close(interaction.statistic, 0.433_721, 1e-6);
    close(interaction.p, 0.974_106, 1e-6);
    for (got, expected) in [
        (gauge.repeatability, 0.199_933),
        (gauge.reproducibility, 0.226_838),
        (gauge.gauge, 0.302_372),
        (gauge.parts, 1.042_327),
        (gauge.total, 1.085_300),
        (gauge.of_total, 0.278_607),
    ] {
        close(got, expected, 1e-6);
    }
    let by_range = gauge
        .by_range
        .expect("constants for ten parts, three appraisers, three trials");
    for (got, expected) in by_range
        .iter()
        .zip([0.201_857, 0.229_667, 0.305_766, 1.104_596, 1.146_135])
    {
        close(*got, expected, 1e-6);
    }
    assert_eq!(of.n, 10);
    assert!(of.capability.is_none());
    assert!(
        of.notes
            .iter()
            .any(|note| note.contains("no capability index")),
        "{:?}",
        of.notes
    );
}

#[test]
fn verified_readings_agree_with_the_classes_of_iso_286_that_hold_them() {
    // 40 mm: e7 -75 to -50, e8 -89 to -50, e9 -112 to -50, g5 -20 to -9, g6 -25 to -9, h9 -62 to 0 um (ISO 286-2).
    let text = "d [mm]\n39.930\n39.931\n39.932\n39.933\n39.934\n";
    let of = only(studied(text, &["--nominal", "40 mm"]));
    for class in ["e7", "e8", "e9"] {
        assert!(
            of.classes.iter().any(|held| held == class),
            "{class}: {:?}",
            of.classes
        );
    }
    for class in ["g5", "g6", "h5", "h6", "h7", "h8", "h9"] {
        assert!(
            !of.classes.iter().any(|held| held == class),
            "{class}: {:?}",
            of.classes
        );
        assert!(
            of.not_classes.iter().any(|other| other == class),
            "{class}: {:?}",
            of.not_classes
        );
    }
}

#[test]
fn verified_133_seen_on_30_parts_demonstrates_102() {
    // Thirty normal scores (quantiles of (i - 1/2)/30), shifted and stretched to mean 0 and standard deviation 1; the limit
    // lies at 3 * 1.33. The exact bound by the non-central t is 1.0216 (recomputed with an independent library).
    let scores: Vec<f64> = (0..30)
        .map(|i| distributions::normal::quantile((f64::from(i) + 0.5) / 30.0))
        .collect();
    let moments = capability::moments::Moments::of(&scores);
    let (mean, sd) = (moments.mean().unwrap(), moments.sd().unwrap());
    // Mixed, so that nothing looks like a drift.
    let text: String = (0..30)
        .map(|i| format!("{:.12}\n", (scores[(i * 7) % 30] - mean) / sd))
        .collect();
    let of = only(studied(&format!("x\n{text}"), &["--max", "3.99"]));
    let capability = of.capability.expect("a limit");
    assert!(of.normality.normal, "{}", of.normality.words);
    assert_eq!(capability.leads.0, "Ppk");
    close(capability.ppk.expect("Ppk").value, 1.33, 1e-9);
    close(capability.demonstrated.expect("a bound"), 1.0216, 5e-5);
}
