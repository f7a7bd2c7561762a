//! The numbers behind the page: one a row, for a spreadsheet or a script.

mod supply;

use record::{Characteristic, Index, Output, Record, Share};

/// Columns of the table.
const COLUMNS: [&str; 7] = ["section", "item", "field", "value", "unit", "low", "high"];

/// A table in the making.
struct Table {
    writer: csv::Writer<Vec<u8>>,
}

/// Writes the table.
///
/// # Errors
/// [`csv::Error`] when a row cannot be written.
pub fn write(record: &Record) -> Result<String, csv::Error> {
    let mut table = Table {
        writer: csv::Writer::from_writer(Vec::new()),
    };
    table.writer.write_record(COLUMNS)?;
    run(&mut table, record)?;
    for output in &record.outputs {
        self::output(&mut table, output)?;
    }
    for characteristic in &record.characteristics {
        self::characteristic(&mut table, characteristic)?;
    }
    supply::rows(&mut table, record)?;
    if let Some(draw_up) = &record.draw_up {
        draw_up_rows(&mut table, draw_up)?;
    }
    if let Some(curve) = &record.torque_curve {
        torque(&mut table, curve)?;
    }
    let bytes = table
        .writer
        .into_inner()
        .map_err(|e| csv::Error::from(e.into_error()))?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

/// Text that no spreadsheet takes for a formula: a leading apostrophe guards it. An apostrophe that was
/// there before is doubled, so that taking one away gives the text back.
pub fn guarded(text: &str) -> String {
    let first = text
        .trim_start_matches([' ', '"', '\u{A0}', '\u{3000}'])
        .chars()
        .next();
    let is_live = matches!(
        first,
        Some('=' | '+' | '-' | '@' | '\t' | '\r' | '\n' | '\0' | '＝' | '＋' | '－' | '＠')
    );
    if is_live || text.starts_with('\'') {
        format!("'{text}")
    } else {
        text.to_owned()
    }
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
        let (low, high) = ends.map_or((String::new(), String::new()), |[l, h]| {
            (number(l), number(h))
        });
        self.writer
            .write_record([&section, &item, &field, value, &guarded(unit), &low, &high])
    }

    fn number(&mut self, names: [&str; 3], value: f64, unit: &str) -> Result<(), csv::Error> {
        self.row(names, &number(value), unit, None)
    }

    fn share(&mut self, names: [&str; 3], share: (f64, f64, f64)) -> Result<(), csv::Error> {
        self.row(names, &number(share.0), "", Some([share.1, share.2]))
    }

    fn index(&mut self, item: &str, field: &str, index: Option<Index>) -> Result<(), csv::Error> {
        match index {
            Some(i) => self.row(
                ["output", item, field],
                &number(i.value),
                "",
                Some([i.low, i.high]),
            ),
            None => Ok(()),
        }
    }
}

/// The shortest text that reads back as the same number.
pub fn number(x: f64) -> String {
    if x != 0.0 && !(1e-5..1e16).contains(&x.abs()) {
        format!("{x:e}")
    } else {
        format!("{x}")
    }
}

fn run(t: &mut Table, r: &Record) -> Result<(), csv::Error> {
    t.row(
        ["run", "scenario", "name"],
        &guarded(&r.scenario.name),
        "",
        None,
    )?;
    t.row(
        ["run", "scenario", "hash"],
        &guarded(&r.scenario_hash),
        "",
        None,
    )?;
    t.row(
        ["run", "program", "version"],
        &guarded(&r.program_version),
        "",
        None,
    )?;
    t.row(
        ["run", "stream", "version"],
        &r.stream_version.to_string(),
        "",
        None,
    )?;
    t.row(["run", "seed", "value"], &r.seed.to_string(), "", None)?;
    t.row(
        ["run", "pairings", "count"],
        &r.pairings.to_string(),
        "",
        None,
    )?;
    if let Some(until) = &r.until {
        let most = until.most_pairings.to_string();
        t.row(["run", "most pairings", "count"], &most, "", None)?;
        t.row(["run", "until", "rule"], &guarded(&until.stated), "", None)?;
        t.row(["run", "until", "met"], &until.met.to_string(), "", None)?;
        t.number(
            ["run", "reject rate", "half-width of the interval"],
            until.reached,
            "",
        )?;
    }
    t.number(["run", "confidence", "two-sided"], r.confidence, "")?;
    if let Some(target) = r.target_yield {
        t.number(["run", "target yield", "fraction"], target, "")?;
    }
    let y = &r.yield_;
    t.row(["yield", "good", "count"], &y.good.to_string(), "", None)?;
    t.row(
        ["yield", "assembled", "count"],
        &y.pairings.to_string(),
        "",
        None,
    )?;
    t.share(["yield", "good", "fraction"], (y.fraction, y.low, y.high))?;
    for reject in &r.rejects {
        t.row(
            ["reject", &reject.mode, "count"],
            &reject.count.to_string(),
            "",
            None,
        )?;
        t.share(
            ["reject", &reject.mode, "fraction"],
            (reject.fraction, reject.low, reject.high),
        )?;
        t.row(
            ["reject", &reject.mode, "also broken"],
            &reject.also_broken.to_string(),
            "",
            None,
        )?;
        for (name, count) in &reject.also {
            t.row(
                ["reject", &reject.mode, &format!("also {name}")],
                &count.to_string(),
                "",
                None,
            )?;
        }
    }
    for limit in &r.broken_limits {
        if let Some(value) = limit.limit {
            t.number(["broken limit", &limit.name, "limit"], value, &limit.unit)?;
        }
        t.row(
            ["broken limit", &limit.name, "count"],
            &limit.count.to_string(),
            "",
            None,
        )?;
        t.share(
            ["broken limit", &limit.name, "fraction"],
            (limit.fraction, limit.low, limit.high),
        )?;
    }
    for (key, value) in &r.nominal {
        t.number(["nominal pairing", key, "value"], *value, "")?;
    }
    t.row(
        ["nominal pairing", "verdict", "word"],
        &guarded(&r.nominal_verdict),
        "",
        None,
    )
}

fn output(t: &mut Table, o: &Output) -> Result<(), csv::Error> {
    let at = |field: &'static str| ["output", o.name.as_str(), field];
    t.row(at("present"), &o.present.to_string(), "", None)?;
    if let Some(count) = o.at_atom {
        t.row(at("at point mass"), &count.to_string(), "", None)?;
    }
    let moments = [
        ("mean", o.mean),
        ("standard deviation", o.sd),
        ("min", o.min),
        ("max", o.max),
    ];
    for (field, value) in moments {
        if let Some(value) = value {
            t.number(at(field), value, &o.unit)?;
        }
    }
    for (field, value) in [
        ("skewness", o.skewness),
        ("excess kurtosis", o.excess_kurtosis),
    ] {
        if let Some(value) = value {
            t.number(at(field), value, "")?;
        }
    }
    for (share, q) in &o.quantiles {
        let ends = q.low.zip(q.high).map(|(l, h)| [l, h]);
        t.row(
            ["output", &o.name, &format!("quantile {share}")],
            &number(q.value),
            &o.unit,
            ends,
        )?;
    }
    if let Some(limits) = &o.limits {
        for (field, value) in [("limit min", limits.min), ("limit max", limits.max)] {
            if let Some(value) = value {
                t.number(at(field), value, &o.unit)?;
            }
        }
    }
    let indices = [
        ("Cp", o.cp),
        ("Cpk", o.cpk),
        ("Pp", o.pp),
        ("Ppk", o.ppk),
        ("Pp percentile", o.pp_percentile),
        ("Ppk percentile", o.ppk_percentile),
    ];
    for (field, index) in indices {
        t.index(&o.name, field, index)?;
    }
    t.row(
        at("shape normal"),
        if o.shape_normal { "yes" } else { "no" },
        "",
        None,
    )?;
    for (key, reason) in &o.absent {
        t.row(
            ["output", &o.name, &format!("absent {key}")],
            &guarded(reason),
            "",
            None,
        )?;
    }
    Ok(())
}

fn characteristic(t: &mut Table, c: &Characteristic) -> Result<(), csv::Error> {
    let at = |field: &'static str| ["characteristic", c.path.as_str(), field];
    let p = &c.process;
    let values = [
        ("nominal", Some(c.nominal)),
        ("drawing lower", c.lower),
        ("drawing upper", c.upper),
        ("process mean", Some(p.mean)),
        ("process standard deviation", Some(p.sd)),
        ("process quantile 0.00135", Some(p.p0_135)),
        ("process quantile 0.5", Some(p.p50)),
        ("process quantile 0.99865", Some(p.p99_865)),
        ("process standard deviation within", p.sd_within),
    ];
    for (field, value) in values {
        if let Some(value) = value {
            t.number(at(field), value, &c.unit)?;
        }
    }
    let ratios = [
        ("Cp", p.cp),
        ("Cpk", p.cpk),
        ("Pp", p.pp),
        ("Ppk", p.ppk),
        ("share below", p.share_below),
        ("share above", p.share_above),
    ];
    for (field, value) in ratios {
        if let Some(value) = value {
            t.number(at(field), value, "")?;
        }
    }
    let basis = match p.basis {
        record::Basis::Assumed => "assumed",
        record::Basis::Measured => "measured",
    };
    t.row(at("process shape"), &guarded(&p.shape), "", None)?;
    t.row(at("process stated"), &guarded(&p.stated), "", None)?;
    t.row(at("process basis"), basis, "", None)?;
    supply::characteristic(t, c)
}

fn draw_up_rows(t: &mut Table, d: &record::DrawUp) -> Result<(), csv::Error> {
    if let Some(window) = &d.window {
        for (field, value) in [
            ("window low", window.low_mm),
            ("window high", window.high_mm),
        ] {
            if let Some(value) = value {
                t.number(["draw-up", "window", field], value, "mm")?;
            }
        }
    }
    for (verdict, counts) in &d.counts {
        let step = (d.to_mm - d.from_mm) / counts.len().max(1) as f64;
        for (i, count) in counts.iter().enumerate().filter(|(_, c)| **c > 0) {
            let ends = [
                d.from_mm + step * i as f64,
                d.from_mm + step * (i + 1) as f64,
            ];
            let ends = ends.iter().all(|e| e.is_finite()).then_some(ends);
            t.row(
                ["draw-up", verdict, "joints between low and high"],
                &count.to_string(),
                "mm",
                ends,
            )?;
        }
    }
    Ok(())
}

fn torque(t: &mut Table, curve: &record::TorqueCurve) -> Result<(), csv::Error> {
    t.number(["torque", "set", "value"], curve.set_nm, "N*m")?;
    t.row(
        ["torque", "applied", "99.73 % of tightenings"],
        "",
        "N*m",
        Some([curve.low_nm, curve.high_nm]),
    )?;
    t.row(
        ["torque", "pairings", "count"],
        &curve.pairings.to_string(),
        "",
        None,
    )?;
    for point in &curve.points {
        let item = format!("set to {} N*m", number(point.torque_nm));
        let shares: [(&str, Option<Share>); 5] = [
            ("pinched", Some(point.pinched)),
            ("clamped", point.clamped),
            ("over-stressed", point.overstressed),
            ("bolt beyond its limit", point.overtightened),
            ("good", Some(point.good)),
        ];
        for (field, share) in shares {
            if let Some(s) = share {
                t.share(["torque", &item, field], (s.fraction, s.low, s.high))?;
            }
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_is_guarded_and_the_guard_can_be_undone() {
        for live in [
            "=1", "+1", "-1", "@a", "\ta", "\ra", "\na", "\0a", "＝1", "＋1", "－1", "＠a", " =1",
            "\"=1", "'x",
        ] {
            let safe = guarded(live);
            assert!(safe.starts_with('\''), "{live:?}");
            assert_eq!(safe.strip_prefix('\''), Some(live));
        }
        assert_eq!(guarded("gap_left"), "gap_left");
    }

    #[test]
    fn numbers_are_untouched_also_when_negative() {
        let mut record = crate::fixture::impeller();
        record.nominal.insert("gap_mm".to_owned(), -0.25);
        let text = write(&record).expect("a record can be written");
        assert!(
            text.contains("\nnominal pairing,gap_mm,value,-0.25,,,\n"),
            "{text}"
        );
        let mut reader = csv::Reader::from_reader(text.as_bytes());
        for row in reader.records() {
            let row = row.expect("seven columns");
            for column in [5, 6] {
                assert!(row[column].is_empty() || row[column].parse::<f64>().is_ok());
            }
        }
    }
}
