//! Published results about bolts: thread geometry, torque and preload, scatter of preload. Numbers of the form T5.x name
//! the row of the table; the source stands beside each row or check.

use std::f64::consts::PI;

use distributions::gamma;
use fit::fastener::{PropertyClass, StressPerLoad, Thread, TorquePerLoad, head_bearing_diameter};

fn rows(table: &str) -> Vec<Vec<String>> {
    let mut reader = csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .from_reader(table.as_bytes());
    let fields = |record: csv::StringRecord| record.iter().map(str::to_owned).collect();
    reader
        .records()
        .map(|record| fields(record.expect("a row with as many fields as the header")))
        .collect()
}

fn number(text: &str) -> f64 {
    text.parse()
        .unwrap_or_else(|_| panic!("not a number: {text:?}"))
}

fn thread(name: &str) -> Thread {
    Thread::metric(name).unwrap_or_else(|| panic!("{name} is not listed"))
}

fn torque_per_load(thread: &Thread) -> TorquePerLoad {
    let head = head_bearing_diameter(thread.diameter()).expect("a listed size");
    TorquePerLoad::new(thread, head)
}

/// T5.15. Diameters to the printed digit, areas to 0.5 %.
#[test]
fn verified_thread_geometry_against_the_tables_of_the_standards() {
    let rows = rows(include_str!("../published/threads.csv"));
    for row in &rows {
        let thread = thread(&row[0]);
        assert_eq!(thread.pitch(), number(&row[1]), "{row:?}");
        let (d2, d3) = (thread.pitch_diameter(), thread.core_diameter());
        assert!((d2 - number(&row[2])).abs() < 0.001, "{row:?}: d2 {d2}");
        assert!((d3 - number(&row[3])).abs() < 0.001, "{row:?}: d3 {d3}");
        let area = thread.stress_area() / number(&row[4]);
        assert!((area - 1.0).abs() < 0.005, "{row:?}: area off by {area}");
    }
    assert_eq!(rows.len(), 6);
}

/// T5.1 to T5.8: a bolt used to 90 % of its yield strength. Printed preloads are cut off, so that the true value lies from
/// the printed one to a digit above; one recalled preload, T5.6b, is met to 1.2 digits only. Printed torques were made with 1/(2 pi) rounded to 0.16 and 1/(2 cos 30) to 0.58: so
/// rounded they meet the table from half a digit below to a digit above; unrounded the torque lies up to 0.5 % lower.
#[test]
fn verified_torque_and_preload_at_ninety_percent_of_yield() {
    let rows = rows(include_str!("../published/bolts.csv"));
    for row in &rows {
        let (thread, friction) = (thread(&row[1]), number(&row[2]));
        let strength = PropertyClass::Class8_8.yield_strength(thread.diameter());
        let load = 0.9 * strength / StressPerLoad::tightened(&thread).at(friction);
        let off = (load * 1e-3 - number(&row[3])) / number(&row[4]);
        let widest = if row[0] == "T5.6b" { 1.2 } else { 1.0 };
        assert!((-0.01..widest).contains(&off), "{row:?}: load {load} N");

        let (printed, digit) = (number(&row[5]), number(&row[6]));
        let head = torque_per_load(&thread).per_head_friction;
        let rounded = 0.16 * thread.pitch() + friction * (0.58 * thread.pitch_diameter() + head);
        let off = (load * rounded * 1e-3 - printed) / digit;
        assert!((-0.5..1.0).contains(&off), "{row:?}: {off} digits");
        let exact = torque_per_load(&thread).at(friction, friction);
        assert!(exact < rounded && exact > 0.995 * rounded, "{row:?}");
    }
    assert_eq!(rows.len(), 20);
}

/// T5.9: greatest preload 41.9 kN (M12, 8.8, friction 0.14) and tightening factor 1.8 give a least preload of 23.3 kN. Source:
/// a fastener distributor's guide to VDI 2230, seen.
#[test]
fn verified_least_preload_by_a_tightening_factor() {
    let thread = thread("M12");
    let load = 0.9 * 640.0 / StressPerLoad::tightened(&thread).at(0.14);
    assert!((load * 1e-3 / 1.8 - 23.3).abs() < 0.05);
}

/// T5.10: torque over load and diameter at friction 0.12. The first numbers follow from the printed tables (constants rounded
/// as above, hence up to 0.5 % high); the rule of thumb 0.17 is that of a teaching page, seen.
#[test]
fn verified_nut_factor_at_usual_friction_is_near_the_rule_of_thumb() {
    for (name, from_table) in [("M10", 0.1636), ("M12", 0.1616), ("M16", 0.1589)] {
        let thread = thread(name);
        let factor = torque_per_load(&thread).at(0.12, 0.12) / thread.diameter();
        assert!(factor < from_table && factor > 0.995 * from_table, "{name}");
        assert!((factor - 0.17).abs() < 0.015, "{name}: {factor}");
    }
}

/// T5.13: the power-screw form of the thread's torque, in which lead and friction angle are added before the tangent is taken.
/// Shigley's Mechanical Engineering Design, 9th edition, equation 8-26 (seen) and example 8-3 continued (answer recalled):
/// 3/4-16 UNF, friction 0.15, collar diameter 1.25 d, 25 000 lbf: 3551 lbf in, nut factor 0.18938.
#[test]
fn verified_torque_against_the_power_screw_form() {
    let (diameter, pitch) = (0.75 * 25.4, 25.4 / 16.0);
    let (friction, pounds) = (0.15, 25_000.0);
    let thread = Thread::new(diameter, pitch).expect("a real thread");
    let relation = TorquePerLoad::new(&thread, 1.25 * diameter);
    let head = friction * relation.per_head_friction;
    let small_angles = relation.at(friction, friction);
    let lead = pitch / (PI * thread.pitch_diameter());
    let product = lead * friction / libm::cos(PI / 6.0);
    let added = (small_angles - head) / (1.0 - product) + head;
    let in_pound_inch = |per_load: f64| pounds * per_load / 25.4;
    assert!((in_pound_inch(added) - 3551.0).abs() < 1.0);
    assert!((added / diameter - 0.18938).abs() < 5e-5);
    assert!((libm::atan(lead).to_degrees() - 1.6066).abs() < 5e-4);
    let short = in_pound_inch(small_angles) / 3551.0;
    assert!((0.9975 - short).abs() < 0.0005, "small angles: {short}");
}

/// Half the scatter of the preload over its middle, `(a - 1)/(a + 1)`, for a tightening factor `a`. The bands are those of
/// VDI 2230 (1986), seen.
#[test]
fn verified_spread_of_a_tightening_factor() {
    let printed = [
        (1.2, 9.1),
        (1.4, 16.7),
        (1.6, 23.1),
        (1.8, 28.6),
        (2.0, 33.3),
        (2.5, 42.9),
        (4.0, 60.0),
    ];
    for (factor, percent) in printed {
        let read = relative_sd(factor, 1);
        assert!((100.0 * read - percent).abs() < 0.05, "{factor}: {read}");
    }
}

/// Standard deviation over nominal of a torque that is stated by a tightening factor, through the reader.
fn relative_sd(factor: f64, at_sds: u32) -> f64 {
    let process =
        format!("{{ shape = \"lognormal\", tightening_factor = {factor}, at_sds = {at_sds} }}");
    let set = study::record::Override {
        path: "bolt.torque.process".to_owned(),
        value: process,
    };
    let good = include_str!("../bad/good.toml");
    let read = study::Loaded::from_text("good.toml", "good", good, &[set])
        .unwrap_or_else(|p| panic!("{p}"));
    let torque = &read.scenario.bolt.torque;
    torque.process.sd() / torque.nominal
}

/// The preloads of one surface, in kN.
fn preloads(surface: &str) -> Vec<f64> {
    let rows = rows(include_str!("../published/preloads.csv"));
    let of = rows.iter().filter(|row| row[0] == surface);
    of.map(|row| number(&row[1])).collect()
}

fn mean_and_sd(values: &[f64]) -> (f64, f64) {
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    let squares: f64 = values.iter().map(|v| (v - mean) * (v - mean)).sum();
    (mean, (squares / (n - 1.0)).sqrt())
}

#[test]
fn verified_mean_and_sd_of_measured_preloads() {
    let (dry, oiled) = (preloads("unlubricated"), preloads("lubricated"));
    assert_eq!((dry.len(), oiled.len()), (20, 10));
    let (mean, sd) = mean_and_sd(&dry);
    assert!((mean - 34.3).abs() < 0.05 && (sd - 4.91).abs() < 0.005);
    let (mean, sd) = mean_and_sd(&oiled);
    assert!((mean - 34.18).abs() < 0.005 && (sd - 2.88).abs() < 0.005);
}

/// The nut factor behind the measured preloads lies between those that Shigley's table 8-15 (seen) gives for lubricated (0.18)
/// and for black (0.30) bolts; equal frictions in thread and under the head would be 0.17, in the class 0.14 to 0.24 of
/// VDI 2230 table A5 (seen).
#[test]
fn verified_nut_factor_and_friction_behind_measured_preloads() {
    let thread = thread("M12x1.25");
    let relation = torque_per_load(&thread);
    for surface in ["unlubricated", "lubricated"] {
        let (mean, _) = mean_and_sd(&preloads(surface));
        let per_load = 90.0e3 / (mean * 1e3);
        let factor = per_load / thread.diameter();
        assert!((factor - 0.219).abs() < 0.001, "{surface}: {factor}");
        assert!((0.18..0.30).contains(&factor), "{surface}: {factor}");
        let friction = (per_load - relation.constant)
            / (relation.per_thread_friction + relation.per_head_friction);
        assert!((0.14..0.24).contains(&friction), "{surface}: {friction}");
    }
}

/// A tightening factor taken from the extremes of measured preloads and read at 2 standard deviations gives a standard deviation
/// inside the 95 % interval of the one that was seen (chi-square, preloads taken as normal).
#[test]
fn verified_tightening_factor_at_two_sds_agrees_with_the_scatter_of_measured_preloads() {
    for (surface, factor, seen) in [("unlubricated", 1.81, 14.3), ("lubricated", 1.34, 8.4)] {
        let values = preloads(surface);
        let (mean, sd) = mean_and_sd(&values);
        let relative = sd / mean;
        assert!((100.0 * relative - seen).abs() < 0.05, "{surface}");
        let (low, high) = (
            values.iter().copied().fold(f64::INFINITY, f64::min),
            values.iter().copied().fold(0.0, f64::max),
        );
        assert!((high / low - factor).abs() < 0.005, "{surface}");
        let read = relative_sd(high / low, 2);
        let freedom = values.len() as f64 - 1.0;
        let bound = |p| relative * (freedom / gamma::chi_square_quantile(p, freedom)).sqrt();
        assert!(
            (bound(0.975)..bound(0.025)).contains(&read),
            "{surface}: read {read}, seen {relative}"
        );
        if surface == "unlubricated" {
            assert!((100.0 * read - 14.4).abs() < 0.05, "{read}");
        }
    }
}

/// T5.1 to T5.8 through a scenario: tightened to the printed torque, the program's bolt load and utilisation are the
/// table's preload and 90 %, as far as the printed torque has digits.
#[test]
fn verified_a_scenario_tightened_to_the_printed_torque_has_the_printed_preload() {
    for row in rows(include_str!("../published/bolts.csv")) {
        let text = include_str!("../bad/good.toml");
        let set = |path: &str, value: &str| study::record::Override {
            path: path.to_owned(),
            value: value.to_owned(),
        };
        let bolt = format!(
            "{{ size = \"{}\", property_class = \"8.8\", torque = \"{} N*m\", thread_friction = {f}, head_friction = {f} }}",
            row[1],
            row[5],
            f = row[2]
        );
        let loaded = study::Loaded::from_text("bolt.toml", "bolt", text, &[set("bolt", &bolt)])
            .unwrap_or_else(|problems| panic!("{problems}"));
        let pairs = study::pair(&loaded, &study::PairOptions::default()).expect("one pairing");
        let value = |key: &str| {
            let found = pairs[0].outputs.iter().find(|(name, _)| *name == key);
            found.unwrap_or_else(|| panic!("{row:?}: no {key}")).1
        };
        // Half a digit of the torque below, one above (torques are cut off too), and the 0.5 % of the rounded constants.
        let slack = number(&row[6]) / number(&row[5]) + 0.006;
        let load = value("bolt_load_n") * 1e-3 / number(&row[3]) - 1.0;
        assert!(load.abs() < slack, "{row:?}: load off by {load}");
        let used = value("bolt_utilisation") / 0.9 - 1.0;
        assert!(used.abs() < slack, "{row:?}: utilisation off by {used}");
    }
}
