use super::*;
use std::collections::BTreeMap;
use study::record::{
    BrokenLimit, Doubt, Index, Inspection, Joint, Limits, LotYields, Quantile, SCHEMA_VERSION,
    Scenario, Share, Subject, Throughput, Yield,
};

fn joint() -> Joint {
    let part = r#""material":"steel","modulus_mpa":210000,"poisson":0.3,"flank_mm":[3,38],
        "gauge_plane_mm":4,"gauge_diameter_mm":30,"half_angle_deg":1.43,"taper_stated":"1:20""#;
    serde_json::from_str(&format!(
        r#"{{"seat":"cone","elastic_law":"rings","shaft":{{"bore_diameter_mm":0,{part}}},
            "hub":{{"outside_diameter_mm":54,{part}}},"spacer":{{"thickness_mm":6}},
            "bolt":{{"size":"M12","diameter_mm":12,"torque_nm":60}},"friction":0.14,
            "smoothing_mm":0,"blue_film_mm":0.005}}"#
    ))
    .unwrap()
}

fn output(name: &str, unit: &str, mean: f64, sd: f64) -> Output {
    let quantile = |value| Quantile {
        value,
        low: None,
        high: None,
    };
    Output {
        name: name.to_owned(),
        key: name.to_owned(),
        words: name.replace('_', " "),
        unit: unit.to_owned(),
        present: 1_000_000,
        at_atom: None,
        atom: None,
        mean: Some(mean),
        sd: Some(sd),
        skewness: None,
        excess_kurtosis: None,
        min: None,
        max: None,
        quantiles: BTreeMap::from([
            ("0.00135".to_owned(), quantile(mean - 3.0 * sd)),
            ("0.5".to_owned(), quantile(mean)),
            ("0.99865".to_owned(), quantile(mean + 3.0 * sd)),
        ]),
        limits: None,
        cp: None,
        cpk: None,
        pp: None,
        ppk: None,
        pp_percentile: None,
        ppk_percentile: None,
        shape_normal: true,
        among: None,
        histogram: None,
        absent: BTreeMap::new(),
    }
}

fn record(good: u64, fraction: f64, low: f64, high: f64) -> Record {
    let pairings = 1_000_000;
    Record {
        schema_version: SCHEMA_VERSION,
        program_version: "0.1.0".to_owned(),
        stream_version: 1,
        scenario_hash: "0123456789abcdef0123456789abcdef".to_owned(),
        scenario: Scenario {
            name: "pump".to_owned(),
            text: String::new(),
            overrides: Vec::new(),
        },
        subject: Subject {
            title: "Pump \u{1b}[31m impeller".to_owned(),
            ..Subject::default()
        },
        seed: 7,
        pairings,
        until: None,
        confidence: 0.95,
        target_yield: None,
        joint: joint(),
        characteristics: Vec::new(),
        yield_: Yield {
            good,
            pairings,
            fraction,
            low,
            high,
            confidence: 0.95,
        },
        rejects: Vec::new(),
        broken_limits: Vec::new(),
        outputs: vec![
            output("draw_up", "mm", 0.1523, 0.0213),
            output("closing_load", "N", 9_876.0, 1_432.0),
        ],
        draw_up: None,
        torque_curve: None,
        readings: vec![],
        correlations: vec![],
        inspections: vec![],
        throughput: None,
        lot_yields: vec![],
        doubt: None,
        nominal: BTreeMap::new(),
        nominal_verdict: "good".to_owned(),
        warnings: vec!["Friction is assumed.\nForged line".to_owned()],
    }
}

#[test]
fn the_yield_stands_first_in_counts_with_its_interval() {
    let text = summary(&record(981_234, 0.981_234, 0.980_966, 0.981_499));
    assert!(
        text.contains("Of 1,000,000 joints 981,234 are good: 98.12 % (98.09 to 98.15 %, 95 %)"),
        "{text}"
    );
}

#[test]
fn all_good_is_a_bound_not_certainty() {
    let text = summary(&record(1_000_000, 1.0, 0.999_996_311, 1.0));
    assert!(
        text.contains("All 1,000,000 joints are good: at least 99.9996 % (95 %)"),
        "{text}"
    );
    assert!(!text.contains("100 %"), "{text}");
}

#[test]
fn none_good_is_a_bound_too() {
    let text = summary(&record(0, 0.0, 0.0, 3.689e-6));
    assert!(
        text.contains("None of 1,000,000 joints is good: at most 0.0004 % (95 %)"),
        "{text}"
    );
}

#[test]
fn the_target_is_met_only_when_the_whole_interval_is_above() {
    let mut record = record(981_234, 0.981_234, 0.980_966, 0.981_499);
    for (target, word) in [
        (0.98, "Asked for: 98 %: met"),
        (0.981, "Asked for: 98.1 %: open"),
        (0.995, "Asked for: 99.5 %: not met"),
    ] {
        record.target_yield = Some(target);
        let text = summary(&record);
        assert!(text.contains(word), "{word}: {text}");
    }
}

#[test]
fn the_doubt_of_readings_leads_and_decides() {
    let mut record = record(981_234, 0.981_234, 0.980_966, 0.981_499);
    record.doubt = Some(Doubt {
        low: 0.931_24,
        high: 0.988_71,
        confidence: 0.95,
        repeats: 200,
        pairings: 10_000,
        ways: vec![("hub.taper".to_owned(), "drawn anew".to_owned())],
        readings: 30,
    });
    for (target, word) in [
        (0.93, "Asked for: 93 %: met"),
        (0.95, "Asked for: 95 %: open"),
        (0.99, "Asked for: 99 %: not met"),
    ] {
        record.target_yield = Some(target);
        let text = summary(&record);
        assert!(text.contains(word), "{word}: {text}");
    }
    let text = summary(&record);
    let [wide, pairings] = [
        "Between 93.1 % and 98.9 % of the joints will be good (95 %): readings leave that open, 30 behind",
        "By the pairings alone, the processes exactly as read:\nOf 1,000,000 joints 981,234 are good",
    ]
    .map(|words| text.find(words).unwrap_or_else(|| panic!("{words}: {text}")));
    assert!(wide < pairings, "{text}");
}

#[test]
fn lots_and_inspection_are_told_only_where_they_are() {
    let mut record = record(981_234, 0.981_234, 0.980_966, 0.981_499);
    let plain = summary(&record);
    for head in ["From lot to lot", "Inspection", "Between"] {
        assert!(!plain.contains(head), "{plain}");
    }
    record.lot_yields.push(LotYields {
        part: "hub\u{1b}[2J".to_owned(),
        paths: vec!["hub.gauge_diameter".to_owned()],
        size: 500,
        simulated_of_each: 500,
        lots: 2_000,
        mean: 0.981,
        quantiles: vec![(0.01, 0.89), (0.05, 0.913), (0.5, 0.984), (0.95, 0.996)],
        from: 0.8,
        to: 1.0,
        counts: vec![100, 1_900],
    });
    let share = |count| Share {
        count,
        fraction: count as f64 / 1e6,
        low: 0.0,
        high: 3.689e-6 + count as f64 / 9e5,
    };
    record.inspections.push(Inspection {
        part: "hub".to_owned(),
        stated: Vec::new(),
        made: 1_000_000,
        scrapped: share(0),
        wrongly_scrapped: share(0),
        wrongly_passed: share(31),
    });
    record.throughput = Some(Throughput {
        rolled: 0.981_234,
        made_per_good: vec![("hub".to_owned(), 1.019_125)],
    });
    let text = summary(&record);
    assert!(
        text.contains("lot in twenty will run below 91.3 % good"),
        "{text}"
    );
    assert!(!text.contains('\u{1b}'));
    let squeezed = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        squeezed.contains("hub 1,000,000 0 fewer than 4 in a million 0 31"),
        "{text}"
    );
    assert!(squeezed.contains("Rolled throughput, inspection and assembly: 98.12 %"));
    assert!(squeezed.contains("Parts made per good joint: hub 1.019"));
}

#[test]
fn indices_within_and_overall_stand_apart_where_a_mean_moves() {
    let mut record = record(999_000, 0.999, 0.998_9, 0.999_1);
    let mut clamp = output("clamp_load", "N", 11_000.0, 1_500.0);
    clamp.limits = Some(Limits {
        min: Some(6_000.0),
        max: None,
    });
    let index = |value: f64| {
        Some(Index {
            value,
            low: value - 0.004,
            high: value + 0.004,
        })
    };
    (clamp.cpk, clamp.ppk) = (index(1.303), index(1.103));
    record.outputs.push(clamp);
    assert!(summary(&record).contains("Cpk = Ppk, normal"));
    let committed = include_str!("../../../../../reports/pump-impeller/result.json");
    let mut other = Record::from_json(committed).unwrap().characteristics;
    other.truncate(1);
    other[0].process.slow = vec!["lot to lot".to_owned()];
    record.characteristics = other;
    let text = summary(&record);
    let squeezed = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        squeezed.contains("clamp load at least 6 kN 1.30 (1.30 to 1.31) 1.10 (1.10 to 1.11)"),
        "{text}"
    );
    assert!(
        text.contains("Cpk within") && text.contains("Ppk overall"),
        "{text}"
    );
}

#[test]
fn scatters_carry_units_and_the_digits_of_their_spread() {
    let text = summary(&record(981_234, 0.981_234, 0.980_966, 0.981_499));
    let squeezed = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        squeezed.contains("draw up 0.1523 0.0213 0.0884 0.1523 0.2162 mm"),
        "{text}"
    );
    assert!(
        squeezed.contains("closing load 9.88 1.43 5.58 9.88 14.17 kN"),
        "{text}"
    );
}

#[test]
fn rejects_have_counts_and_intervals_and_unseen_limits_a_bound() {
    let mut record = record(999_000, 0.999, 0.998_9, 0.999_1);
    record.rejects.push(Reject {
        mode: "gap_left".to_owned(),
        count: 1_000,
        fraction: 0.001,
        low: 0.000_939,
        high: 0.001_064,
        also_broken: 12,
        also: BTreeMap::new(),
    });
    record.broken_limits.push(BrokenLimit {
        name: "bore_stress.max".to_owned(),
        mode: "bore_overstressed".to_owned(),
        limit: Some(160.0),
        unit: "MPa".to_owned(),
        count: 0,
        fraction: 0.0,
        low: 0.0,
        high: 3.689e-6,
    });
    let text = summary(&record);
    let squeezed = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        squeezed.contains(
            "gap left at the spacer 1,000 0.10 % 0.09 to 0.11 % 12 break another limit too"
        ),
        "{text}"
    );
    assert!(
        text.contains("none seen: bore stress above its maximum; fewer than 4 in a million (95 %)"),
        "{text}"
    );
    assert!(!text.contains("ppm"));
}

#[test]
fn another_limit_is_named() {
    let mut record = record(990_000, 0.99, 0.989, 0.991);
    record.rejects.push(Reject {
        mode: "other_limit".to_owned(),
        count: 10_000,
        fraction: 0.01,
        low: 0.0098,
        high: 0.0102,
        also_broken: 0,
        also: BTreeMap::new(),
    });
    for (name, count) in [
        ("pressure_max.max", 3),
        ("bolt_utilisation.max", 9_000),
        ("settled_clamp_load.min", 1_100),
        ("runout.max", 0),
    ] {
        record.broken_limits.push(BrokenLimit {
            name: name.to_owned(),
            mode: "other_limit".to_owned(),
            limit: Some(1.0),
            unit: String::new(),
            count,
            fraction: 0.0,
            low: 0.0,
            high: 1e-5,
        });
    }
    let text = summary(&record);
    assert!(
        text.contains(
            "bolt utilisation above its maximum, clamp load after settling below its minimum and 1 more"
        ),
        "{text}"
    );
}

#[test]
fn a_spline_has_teeth_that_are_free() {
    let mut record = record(990_000, 0.99, 0.989, 0.991);
    record.joint.seat = "tapered_spline".to_owned();
    record.rejects.push(Reject {
        mode: "cones_free".to_owned(),
        count: 10_000,
        fraction: 0.01,
        low: 0.0098,
        high: 0.0102,
        also_broken: 0,
        also: BTreeMap::new(),
    });
    let text = summary(&record);
    assert!(text.contains("teeth free"), "{text}");
    assert!(!text.contains("cone"), "{text}");
}

#[test]
fn capability_states_intervals_shape_and_reasons() {
    let mut record = record(999_000, 0.999, 0.998_9, 0.999_1);
    let mut clamp = output("clamp_load", "N", 11_000.0, 1_500.0);
    clamp.limits = Some(Limits {
        min: Some(6_000.0),
        max: None,
    });
    clamp.cpk = Some(Index {
        value: 1.111,
        low: 1.109,
        high: 1.113,
    });
    clamp.shape_normal = false;
    clamp.absent.insert(
        "ppk_percentile".to_owned(),
        "too few beyond the limit".to_owned(),
    );
    record.outputs.push(clamp);
    let text = summary(&record);
    let squeezed = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        squeezed.contains("clamp load at least 6 kN 1.11 (1.11 to 1.11) - shape not normal"),
        "{text}"
    );
    assert!(
        text.contains("no percentile index for clamp load: too few beyond the limit"),
        "{text}"
    );
}

#[test]
fn text_from_the_scenario_cannot_steer_the_terminal_or_forge_a_line() {
    let text = summary(&record(981_234, 0.981_234, 0.980_966, 0.981_499));
    assert!(!text.contains('\u{1b}'));
    assert!(text.contains(r"Friction is assumed.\nForged line"));
}
