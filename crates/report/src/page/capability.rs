//! How capable: the indices on one scale, and the numbers with the reasons for what is missing.

use record::{Index, Output, Record};

use super::{paragraph, section, table, with_small};
use crate::chart::{self, Figures};
use crate::figure;
use crate::seat::Seat;
use crate::text::{escape, html};

/// Writes the section.
pub fn write(record: &Record, figures: &Figures) -> String {
    let judged: Vec<&Output> = record
        .outputs
        .iter()
        .filter(|o| o.limits.is_some())
        .collect();
    if judged.is_empty() {
        return section(
            "How capable",
            &paragraph(&format!(
                "No output has a limit, so none has an index. Gap left, {} free and never seated are rejects without one.",
                Seat::of(record).nouns()
            )),
        );
    }
    let mut body = figures
        .capability
        .as_ref()
        .map(|f| f.html())
        .unwrap_or_default();
    let lots = chart::has_lots(record);
    // A column that no output fills says nothing; its reason stands under the table.
    let columns: Vec<&Column> = COLUMNS
        .iter()
        .filter(|c| lots || !c.only_lots)
        .filter(|c| judged.iter().any(|o| (c.of)(o).is_some()))
        .collect();
    let heads: Vec<&str> = std::iter::once("output")
        .chain(columns.iter().map(|c| c.head(lots)))
        .collect();
    let rows: Vec<Vec<String>> = judged.iter().map(|o| row(o, &columns)).collect();
    body.push_str(&table("Indices with their intervals", &heads, &rows));
    for reason in missing(&judged, lots) {
        body.push_str(&paragraph(&reason));
    }
    body.push_str(&paragraph(&remarks(record, lots)));
    section("How capable", &body)
}

/// One index of every output.
struct Column {
    /// Its key in a record.
    key: &'static str,
    /// Its name when lots are simulated.
    name: &'static str,
    /// Its name without lots, where two indices are the same.
    alone: &'static str,
    /// Shown only when lots are simulated.
    only_lots: bool,
    /// The index.
    of: fn(&Output) -> Option<Index>,
}

impl Column {
    fn head(&self, lots: bool) -> &'static str {
        if lots { self.name } else { self.alone }
    }
}

const COLUMNS: [Column; 6] = [
    Column {
        key: "cp",
        name: "Cp",
        alone: "Cp",
        only_lots: true,
        of: |o| o.cp,
    },
    Column {
        key: "cpk",
        name: "Cpk",
        alone: "Cpk",
        only_lots: true,
        of: |o| o.cpk,
    },
    Column {
        key: "pp",
        name: "Pp, normal",
        alone: "Cp = Pp, normal",
        only_lots: false,
        of: |o| o.pp,
    },
    Column {
        key: "ppk",
        name: "Ppk, normal",
        alone: "Cpk = Ppk, normal",
        only_lots: false,
        of: |o| o.ppk,
    },
    Column {
        key: "pp_percentile",
        name: "Pp, percentile",
        alone: "Pp, percentile",
        only_lots: false,
        of: |o| o.pp_percentile,
    },
    Column {
        key: "ppk_percentile",
        name: "Ppk, percentile",
        alone: "Ppk, percentile",
        only_lots: false,
        of: |o| o.ppk_percentile,
    },
];

fn remarks(record: &Record, lots: bool) -> String {
    let same = if lots {
        "Within: Cp and Cpk use the spread that is left when lots and the state of the tool stay as they are, the best that this process could do if every lot ran at the mean. \
         Overall: Pp and Ppk use the whole spread, over all lots and the whole life of a tool, which is what joints get; the yield goes with them."
    } else {
        "No lots are simulated, so the spread within a lot is the whole spread: Cp equals Pp, Cpk equals Ppk, and one column stands for both."
    };
    format!(
        "{same} Every output is {} simulated; its index describes the stated processes, not a measured lot, and stands on n as given with {} intervals. \
         The normal form divides by the standard deviation; the percentile form divides by the distance from the 50 % to the 0.135 % or 99.865 % point and holds for any shape.",
        super::head::SIMULATED,
        figure::confidence(record.confidence)
    )
}

fn row(o: &Output, columns: &[&Column]) -> Vec<String> {
    let facts = format!(
        "{}; n = {}; {}",
        escape(&chart::limits(o)),
        figure::count(o.present),
        chart::shape(o)
    );
    let atom = match (o.at_atom, o.atom) {
        (Some(count), Some(_)) if count == o.present => {
            "; every pairing has the same value".to_owned()
        }
        (Some(count), Some(value)) if count > 0 => format!(
            "; {} pairings at exactly {}",
            figure::count(count),
            figure::stated(value)
        ),
        _ => String::new(),
    };
    let mut cells = vec![with_small(&html(&o.words), &format!("{facts}{atom}"))];
    cells.extend(columns.iter().map(|c| match (c.of)(o) {
        Some(i) => {
            let shown = figure::index(i.value, i.low, i.high);
            with_small(&shown.value, &shown.ends())
        }
        None => "—".to_owned(),
    }));
    cells
}

/// What is missing, and why: one sentence for all outputs that lack the same for the same reason.
fn missing(judged: &[&Output], lots: bool) -> Vec<String> {
    let mut groups: Vec<(String, String, Vec<String>)> = Vec::new();
    for output in judged {
        let mut reasons: Vec<(String, Vec<&str>)> = Vec::new();
        for column in COLUMNS.iter().filter(|c| lots || !c.only_lots) {
            if (column.of)(output).is_some() {
                continue;
            }
            let why = reason(output, column.key);
            match reasons.iter_mut().find(|(known, _)| *known == why) {
                Some((_, keys)) => keys.push(column.key),
                None => reasons.push((why, vec![column.key])),
            }
        }
        for (why, keys) in reasons {
            let what = indices(&keys, lots);
            match groups.iter_mut().find(|g| g.0 == what && g.1 == why) {
                Some(group) => group.2.push(html(&output.words)),
                None => groups.push((what, why, vec![html(&output.words)])),
            }
        }
    }
    groups
        .into_iter()
        .map(|(what, why, outputs)| format!("No {what} for {}: {why}", outputs.join(", ")))
        .collect()
}

/// The indices with these keys in words: `Cp or Pp`, `Ppk by the percentile form`.
fn indices(keys: &[&str], lots: bool) -> String {
    let has = |key: &str| keys.contains(&key);
    let mut words = Vec::new();
    for (within, overall, percentile, names) in [
        ("cp", "pp", "pp_percentile", ["Cp", "Pp", "Cp or Pp"]),
        ("cpk", "ppk", "ppk_percentile", ["Cpk", "Ppk", "Cpk or Ppk"]),
    ] {
        let both = if lots { names[1] } else { names[2] };
        if lots && has(within) {
            words.push(names[0].to_owned());
        }
        match (has(overall), has(percentile)) {
            (true, true) => words.push(both.to_owned()),
            (true, false) => words.push(format!("{both} by the normal form")),
            (false, true) => words.push(format!("{} by the percentile form", names[1])),
            (false, false) => {}
        }
    }
    words.join(", no ")
}

/// The reason of the record; Cp and Pp of a one-sided limit explain themselves.
fn reason(o: &Output, key: &str) -> String {
    if let Some(reason) = o.absent.get(key) {
        return html(reason);
    }
    let both = o.limits.is_some_and(|l| l.min.is_some() && l.max.is_some());
    if !both && matches!(key, "cp" | "pp" | "pp_percentile") {
        return "it has one limit only.".to_owned();
    }
    "the record does not say why.".to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture;

    #[test]
    fn every_missing_index_has_its_reason_once() {
        for (name, record) in fixture::all() {
            let judged: Vec<&Output> = record
                .outputs
                .iter()
                .filter(|o| o.limits.is_some())
                .collect();
            let said = missing(&judged, false);
            for output in judged {
                let lacks = COLUMNS
                    .iter()
                    .any(|c| !c.only_lots && (c.of)(output).is_none());
                let words = html(&output.words);
                let told = said.iter().any(|s| s.contains(&words));
                assert_eq!(lacks, told, "{name}: {}", output.name);
            }
            let once: std::collections::BTreeSet<&String> = said.iter().collect();
            assert_eq!(once.len(), said.len(), "{name}");
        }
    }

    #[test]
    fn a_column_without_any_index_is_left_out() {
        let record = fixture::impeller();
        let figures = Figures::draw(&record).expect("drawable");
        let section = write(&record, &figures);
        assert!(!section.contains(">Cp = Pp, normal</th>"), "{section}");
        assert!(section.contains(">Cpk = Ppk, normal</th>"), "{section}");
        assert!(section.contains("<p>No Cp or Pp for "));
    }
}
