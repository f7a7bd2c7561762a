//! What a study of readings found, on the terminal: the findings, then one table of indices a characteristic.

use study::record::{Gauge, Index, LotCapability, LotCharacteristic, LotStudy};

use super::capability::trimmed;
use super::numbers::{count, fixed, significant};
use super::plain::{plain, plain_lines};
use super::table::{Side, row, set, wrapped};

/// The whole text.
pub fn lot(study: &LotStudy) -> String {
    let mut text = format!("{}\n", plain(&study.title));
    for warning in warnings(study) {
        text += &wrapped(&warning);
    }
    for characteristic in &study.characteristics {
        text += &one(characteristic, study);
    }
    text
}

/// The warnings, each as a line.
pub fn warnings(study: &LotStudy) -> Vec<String> {
    let warnings = study.warnings.iter();
    warnings
        .map(|warning| format!("warning: {}", plain(warning)))
        .collect()
}

fn one(of: &LotCharacteristic, study: &LotStudy) -> String {
    let mut text = format!("\n{}\n", head(of));
    text += &wrapped(&spread(of));
    if let Some(capability) = &of.capability {
        text += &indices(capability, study.confidence);
    }
    let alone = LotStudy {
        characteristics: vec![of.clone()],
        ..study.clone()
    };
    for line in report::lot_findings(&alone).iter().chain(&of.notes) {
        text += &wrapped(&plain(line));
    }
    if !of.classes.is_empty() {
        text += &wrapped(&format!(
            "Classes that hold the readings: {}",
            of.classes.join(", ")
        ));
    }
    if let Some(gauge) = &of.gauge {
        text += &gauge_study(gauge, &of.unit);
    }
    if !of.scenario.is_empty() {
        text += "\n  To paste into a scenario:\n\n";
        for line in plain_lines(&of.scenario).lines() {
            text += format!("    {line}").trim_end();
            text += "\n";
        }
    }
    text
}

/// Where the scatter of repeated measurements comes from.
fn gauge_study(of: &Gauge, unit: &str) -> String {
    if !of.reason.is_empty() {
        return wrapped(&plain(&of.reason));
    }
    let (parts, appraisers, trials) = of.counts;
    let mut text = wrapped(&format!(
        "Gauge: {parts} parts, {appraisers} {}, {trials} trials",
        if appraisers == 1 {
            "appraiser"
        } else {
            "appraisers"
        }
    ));
    let mut rows = vec![row(["", &format!("sd {}", plain(unit)), "of total"])];
    for (name, sd) in [
        ("repeatability", of.repeatability),
        ("reproducibility", of.reproducibility),
        ("gauge, both", of.gauge),
        ("part to part", of.parts),
        ("total", of.total),
    ] {
        let share = if of.total > 0.0 { sd / of.total } else { 0.0 };
        rows.push(row([
            name,
            &significant(sd, 3),
            &format!("{} %", significant(100.0 * share, 3)),
        ]));
    }
    text += &set(&[Side::Left, Side::Right, Side::Right], &rows);
    if let Some(share) = of.of_tolerance {
        text += &wrapped(&format!(
            "Six gauge standard deviations take {} % of the tolerance.",
            significant(100.0 * share, 3)
        ));
    }
    text += &wrapped(&format!(
        "The gauge tells {} categories of parts apart.",
        of.categories
    ));
    text
}

/// `diameter: 100 readings, limits 0.98 to 1.02, 2 outside`.
fn head(of: &LotCharacteristic) -> String {
    let readings = match of.n {
        1 => "1 reading".to_owned(),
        n => format!("{} readings", count(n)),
    };
    let limits = match of.limits_stated.as_str() {
        "" => "no limits".to_owned(),
        stated => {
            let outside = of.outside.0 + of.outside.1;
            format!("limits {}, {} outside", plain(stated), count(outside))
        }
    };
    format!("{}: {readings}, {limits}", plain(&of.name))
}

/// `mean 0.99764, sd 0.00628, from 0.98 to 1.018 mm`.
fn spread(of: &LotCharacteristic) -> String {
    let decimals = super::numbers::decimals_for(of.sd, 4);
    let mean = if of.sd > 0.0 {
        fixed(of.mean, decimals)
    } else {
        trimmed(of.mean)
    };
    format!(
        "mean {mean}, sd {}, from {} to {} {}",
        significant(of.sd, 4),
        trimmed(of.min),
        trimmed(of.max),
        plain(&of.unit)
    )
    .trim_end()
    .to_owned()
}

/// Every index that has a number.
fn indices(of: &LotCapability, confidence: f64) -> String {
    let interval = format!("{} % interval", trimmed(100.0 * confidence));
    let mut rows = vec![row(["", "", interval.as_str(), ""])];
    let all = [
        ("Cp", of.cp),
        ("Cpk", of.cpk),
        ("Pp", of.pp),
        ("Ppk", of.ppk),
        ("Pp (percentile)", of.pp_percentile),
        ("Ppk (percentile)", of.ppk_percentile),
    ];
    for (name, index) in all {
        let Some(index) = index else { continue };
        let leads = if of.leads.0 == name { "leads" } else { "" };
        rows.push(row([
            name,
            &fixed(index.value, 2),
            &ends(index, |x| fixed(x, 2)),
            leads,
        ]));
    }
    if let Some(outside) = of.outside {
        let share = |x: f64| format!("{} %", significant(100.0 * x, 2));
        rows.push(row([
            "outside",
            &share(outside.value),
            &ends(outside, share),
            "",
        ]));
    }
    if rows.len() == 1 {
        return String::new();
    }
    set(&[Side::Left, Side::Right, Side::Left, Side::Left], &rows)
}

fn ends(index: Index, show: impl Fn(f64) -> String) -> String {
    format!("{} to {}", show(index.low), show(index.high))
}
