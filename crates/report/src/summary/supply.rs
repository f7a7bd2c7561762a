//! Rows of where parts come from: class, slow parts and readings of a characteristic; correlations, inspection, lots, doubt.

use record::{Characteristic, Correlation, Inspection, LotYields, Record, Share, Throughput};

use super::{Table, guarded, number};

/// Everything that one row of a record cannot hold, in the order of the page.
pub fn rows(t: &mut Table, r: &Record) -> Result<(), csv::Error> {
    doubt(t, r)?;
    for lots in &r.lot_yields {
        lot_yields(t, lots)?;
    }
    for part in &r.inspections {
        inspection(t, part)?;
    }
    if let Some(all) = &r.throughput {
        throughput(t, all)?;
    }
    for pair in &r.correlations {
        correlation(t, pair)?;
    }
    readings(t, r)
}

/// What a characteristic has beyond a plain process.
pub fn characteristic(t: &mut Table, c: &Characteristic) -> Result<(), csv::Error> {
    let at = |field: &'static str| ["characteristic", c.path.as_str(), field];
    if let Some(class) = &c.class {
        t.row(at("class"), &guarded(class), "", None)?;
    }
    for words in &c.process.slow {
        t.row(at("moves"), &guarded(words), "", None)?;
    }
    match c.process.readings {
        Some(n) => t.row(at("readings"), &n.to_string(), "", None),
        None => Ok(()),
    }
}

fn doubt(t: &mut Table, r: &Record) -> Result<(), csv::Error> {
    let Some(doubt) = &r.doubt else {
        return Ok(());
    };
    let ends = Some([doubt.low, doubt.high]);
    t.row(["doubt of readings", "good", "interval"], "", "", ends)?;
    t.number(
        ["doubt of readings", "confidence", "two-sided"],
        doubt.confidence,
        "",
    )?;
    for (field, count) in [
        ("repeats", doubt.repeats),
        ("pairings of each", doubt.pairings),
        ("fewest readings", doubt.readings),
    ] {
        let names = ["doubt of readings", field, "count"];
        t.row(names, &count.to_string(), "", None)?;
    }
    for (path, way) in &doubt.ways {
        let names = ["doubt of readings", path, "drawn anew"];
        t.row(names, &guarded(way), "", None)?;
    }
    Ok(())
}

fn lot_yields(t: &mut Table, lots: &LotYields) -> Result<(), csv::Error> {
    let item = lots.part.as_str();
    for (field, count) in [
        ("lots", lots.lots),
        ("parts in a lot", lots.size),
        ("pairings simulated of each", lots.simulated_of_each),
    ] {
        t.row(["lots", item, field], &count.to_string(), "", None)?;
    }
    for path in &lots.paths {
        t.row(["lots", item, "mean moves"], &guarded(path), "", None)?;
    }
    t.number(["lots", item, "mean yield"], lots.mean, "")?;
    for (share, value) in &lots.quantiles {
        let field = format!("yield quantile {}", number(*share));
        t.number(["lots", item, &field], *value, "")?;
    }
    let width = (lots.to - lots.from) / lots.counts.len().max(1) as f64;
    for (i, count) in lots.counts.iter().enumerate().filter(|(_, c)| **c > 0) {
        let ends = [i, i + 1].map(|edge| lots.from + width * edge as f64);
        t.row(
            ["lots", item, "lots with a yield between low and high"],
            &count.to_string(),
            "",
            Some(ends),
        )?;
    }
    Ok(())
}

fn inspection(t: &mut Table, i: &Inspection) -> Result<(), csv::Error> {
    let at = |field: &'static str| ["inspection", i.part.as_str(), field];
    t.row(at("made"), &i.made.to_string(), "", None)?;
    let shares: [(&str, &str, Share); 3] = [
        ("scrapped", "scrapped of those made", i.scrapped),
        (
            "scrapped although good",
            "scrapped although good of those made",
            i.wrongly_scrapped,
        ),
        (
            "passed although bad",
            "passed although bad of those made",
            i.wrongly_passed,
        ),
    ];
    for (count, fraction, share) in shares {
        t.row(at(count), &share.count.to_string(), "", None)?;
        t.share(at(fraction), (share.fraction, share.low, share.high))?;
    }
    for (path, words) in &i.stated {
        t.row(["inspection", path, "stated"], &guarded(words), "", None)?;
    }
    Ok(())
}

fn throughput(t: &mut Table, all: &Throughput) -> Result<(), csv::Error> {
    t.number(["throughput", "rolled", "fraction"], all.rolled, "")?;
    for (part, made) in &all.made_per_good {
        t.number(["throughput", part, "made per good joint"], *made, "")?;
    }
    Ok(())
}

fn correlation(t: &mut Table, c: &Correlation) -> Result<(), csv::Error> {
    let item = format!("{} with {}", c.between[0], c.between[1]);
    t.row(["correlation", &item, "kind"], &guarded(&c.kind), "", None)?;
    for (field, value) in [
        ("stated", c.stated),
        ("of the normal scores", c.score),
        ("rank as drawn", c.drawn_rank),
        ("linear as drawn", c.drawn_linear),
    ] {
        t.number(["correlation", &item, field], value, "")?;
    }
    let names = ["correlation", &item, "parts"];
    t.row(names, &c.pairs.to_string(), "", None)
}

fn readings(t: &mut Table, r: &Record) -> Result<(), csv::Error> {
    for lot in &r.readings {
        let at = |field: &'static str| ["readings", lot.lot.as_str(), field];
        t.row(at("file"), &guarded(&lot.file), "", None)?;
        t.row(at("SHA-256"), &guarded(&lot.sha256), "", None)?;
        t.row(at("rows"), &lot.rows.to_string(), "", None)?;
        t.row(at("dropped"), &lot.dropped.to_string(), "", None)?;
        for column in &lot.columns {
            t.row(at("column"), &guarded(&column.name), &column.unit, None)?;
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use crate::fixture;
    use crate::summary::write;

    #[test]
    fn rows_of_supply_stand_only_where_the_record_has_them() {
        let plain = write(&fixture::impeller()).expect("writable");
        let supply = write(&fixture::supply()).expect("writable");
        for row in [
            "\ndoubt of readings,good,interval,,,0.93124,0.99871\n",
            "\nlots,hub,yield quantile 0.05,0.915,,,\n",
            "\ninspection,shaft,scrapped although good,3120,,,\n",
            "\nthroughput,rolled,fraction,",
            "\ncorrelation,hub.gauge_diameter with hub.taper,stated,-0.6,,,\n",
            "\nreadings,supplier_b,rows,30,,,\n",
            "\ncharacteristic,shaft.gauge_diameter,class,h6,,,\n",
            "\ncharacteristic,hub.taper,readings,30,,,\n",
        ] {
            assert!(supply.contains(row), "{row}");
            assert!(!plain.contains(row), "{row}");
        }
        for section in ["doubt", "lots,", "inspection,", "throughput,", "readings,"] {
            assert!(!plain.contains(&format!("\n{section}")), "{section}");
        }
    }
}
