//! The numbers behind the page of a measured lot: one a row, for a spreadsheet or a script.

use record::{Gauge, LotCharacteristic, LotStudy, Test};

use crate::chart::lot::indices;
use crate::summary::{guarded, number};

/// Columns of the table.
const COLUMNS: [&str; 7] = ["section", "item", "field", "value", "unit", "low", "high"];

/// A table in the making.
struct Table {
    writer: csv::Writer<Vec<u8>>,
}

impl Table {
    /// One row: texts are guarded, numbers are written as they are.
    fn row(
        &mut self,
        names: [&str; 3],
        value: &str,
        unit: &str,
        ends: Option<[f64; 2]>,
    ) -> Result<(), csv::Error> {
        let [section, item, field] = names.map(guarded);
        let [low, high] = ends.map_or([String::new(), String::new()], |ends| ends.map(number));
        self.writer
            .write_record([&section, &item, &field, value, &guarded(unit), &low, &high])
    }

    fn number(
        &mut self,
        names: [&str; 3],
        value: Option<f64>,
        unit: &str,
    ) -> Result<(), csv::Error> {
        match value {
            Some(value) => self.row(names, &number(value), unit, None),
            None => Ok(()),
        }
    }
}

/// Writes the table.
///
/// # Errors
/// [`csv::Error`] when a row cannot be written.
pub fn write(study: &LotStudy) -> Result<String, csv::Error> {
    let mut table = Table {
        writer: csv::Writer::from_writer(Vec::new()),
    };
    table.writer.write_record(COLUMNS)?;
    for (field, text) in [
        ("name", &study.file.name),
        ("sha256", &study.file.sha256),
        ("program", &study.program_version),
    ] {
        table.row(["study", "file", field], &guarded(text), "", None)?;
    }
    table.number(["study", "file", "rows"], Some(study.file.rows as f64), "")?;
    table.number(
        ["study", "intervals", "confidence"],
        Some(study.confidence),
        "",
    )?;
    for c in &study.characteristics {
        characteristic(&mut table, c)?;
    }
    let bytes = table
        .writer
        .into_inner()
        .map_err(|e| csv::Error::from(e.into_error()))?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

fn characteristic(t: &mut Table, c: &LotCharacteristic) -> Result<(), csv::Error> {
    let (name, unit) = (c.name.as_str(), c.unit.as_str());
    let (below, above) = c.outside;
    for (field, value, unit) in [
        ("readings", Some(c.n as f64), ""),
        ("nominal", c.nominal, unit),
        ("lower_limit", c.lower, unit),
        ("upper_limit", c.upper, unit),
        ("mean", Some(c.mean), unit),
        ("sd", Some(c.sd), unit),
        ("min", Some(c.min), unit),
        ("max", Some(c.max), unit),
        ("skewness", c.skewness, ""),
        ("excess_kurtosis", c.excess_kurtosis, ""),
        ("below_limit", Some(below as f64), ""),
        ("above_limit", Some(above as f64), ""),
        ("step", c.resolution.step, unit),
    ] {
        t.number(["characteristic", name, field], value, unit)?;
    }
    index_rows(t, c)?;
    for fit in &c.fits {
        let field = |word: &str| format!("{}_{word}", fit.shape);
        for (word, value, unit) in [
            ("above_best", Some(fit.above_best), ""),
            ("p0_135", Some(fit.quantiles[0]), unit),
            ("p50", Some(fit.quantiles[1]), unit),
            ("p99_865", Some(fit.quantiles[2]), unit),
            ("share_outside", fit.outside, ""),
            ("distance", Some(fit.distance), ""),
        ] {
            t.number(["shape", name, &field(word)], value, unit)?;
        }
    }
    test_rows(t, c)?;
    match &c.gauge {
        Some(g) if g.reason.is_empty() => gauge_rows(t, name, unit, g),
        _ => Ok(()),
    }
}

fn index_rows(t: &mut Table, c: &LotCharacteristic) -> Result<(), csv::Error> {
    let Some(cap) = &c.capability else {
        return Ok(());
    };
    for (words, index) in indices(cap) {
        let field = words.to_lowercase().replace(" (percentile)", "_percentile");
        t.row(
            ["index", &c.name, &field],
            &number(index.value),
            "",
            Some([index.low, index.high]),
        )?;
    }
    t.number(["index", &c.name, "demonstrated"], cap.demonstrated, "")?;
    match cap.outside {
        Some(share) => t.row(
            ["index", &c.name, "share_outside"],
            &number(share.value),
            "",
            Some([share.low, share.high]),
        ),
        None => Ok(()),
    }
}

fn test_rows(t: &mut Table, c: &LotCharacteristic) -> Result<(), csv::Error> {
    let groups = c.subgroups.as_ref();
    let tests: [(&str, Option<Test>); 6] = [
        ("anderson_darling", c.normality.anderson_darling),
        ("shapiro_wilk", c.normality.shapiro_wilk),
        ("runs", c.order.runs),
        ("means_equal", groups.and_then(|g| g.means_equal)),
        (
            "spreads_equal_bartlett",
            groups.and_then(|g| g.spreads_equal_bartlett),
        ),
        (
            "spreads_equal_levene",
            groups.and_then(|g| g.spreads_equal_levene),
        ),
    ];
    for (field, test) in tests {
        if let Some(test) = test {
            t.number(["test", &c.name, field], Some(test.statistic), "")?;
            t.number(["test", &c.name, &format!("{field}_p")], Some(test.p), "")?;
        }
    }
    let trend = c.order.trend;
    t.number(
        ["test", &c.name, "trend_change"],
        trend.map(|t| t.change),
        &c.unit,
    )?;
    t.number(["test", &c.name, "trend_p"], trend.map(|t| t.p), "")?;
    t.number(["test", &c.name, "lag1"], c.order.lag1, "")?;
    t.row(
        ["test", &c.name, "order"],
        &guarded(&c.order.verdict),
        "",
        None,
    )?;
    t.number(
        ["subgroups", &c.name, "count"],
        groups.map(|g| g.count as f64),
        "",
    )?;
    t.number(
        ["subgroups", &c.name, "sd_within"],
        groups.map(|g| g.sd_within),
        &c.unit,
    )?;
    t.number(
        ["subgroups", &c.name, "sd_between"],
        groups.map(|g| g.sd_between),
        &c.unit,
    )
}

fn gauge_rows(t: &mut Table, name: &str, unit: &str, g: &Gauge) -> Result<(), csv::Error> {
    for (field, value, unit) in [
        ("repeatability", Some(g.repeatability), unit),
        ("reproducibility", Some(g.reproducibility), unit),
        ("gauge", Some(g.gauge), unit),
        ("parts", Some(g.parts), unit),
        ("total", Some(g.total), unit),
        ("of_total", Some(g.of_total), ""),
        ("of_tolerance", g.of_tolerance, ""),
        ("categories", Some(g.categories as f64), ""),
    ] {
        t.number(["gauge", name, field], value, unit)?;
    }
    Ok(())
}
