//! How capable: the indices on one scale, and the numbers with the reasons for what is missing.

use record::{Index, Output, Record};

use super::{paragraph, section, table, with_small};
use crate::chart::{self, Figures};
use crate::figure;
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
            &paragraph(
                "No output has a limit, so none has an index. Gap left, cones free and never seated are rejects without one.",
            ),
        );
    }
    let mut body = figures
        .capability
        .as_ref()
        .map(|f| f.html())
        .unwrap_or_default();
    let lots = chart::has_lots(record);
    let rows: Vec<Vec<String>> = judged.iter().map(|o| row(o, lots)).collect();
    let heads: &[&str] = if lots {
        &[
            "output",
            "Cp",
            "Cpk",
            "Pp",
            "Ppk",
            "Pp percentile",
            "Ppk percentile",
        ]
    } else {
        &[
            "output",
            "Cp = Pp, normal",
            "Cpk = Ppk, normal",
            "Pp, percentile",
            "Ppk, percentile",
        ]
    };
    body.push_str(&table("Indices with their intervals", heads, &rows));
    body.push_str(&paragraph(&remarks(record, lots)));
    section("How capable", &body)
}

fn remarks(record: &Record, lots: bool) -> String {
    let same = if lots {
        "Cp and Cpk use the spread within a lot, Pp and Ppk the whole spread."
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

fn row(o: &Output, lots: bool) -> Vec<String> {
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
    if lots {
        cells.extend([index(o, "cp", o.cp), index(o, "cpk", o.cpk)]);
    }
    cells.extend([
        index(o, "pp", o.pp),
        index(o, "ppk", o.ppk),
        index(o, "pp_percentile", o.pp_percentile),
        index(o, "ppk_percentile", o.ppk_percentile),
    ]);
    cells
}

/// An index, or why there is none.
fn index(o: &Output, key: &str, index: Option<Index>) -> String {
    match index {
        Some(i) => {
            let shown = figure::interval(i.value, i.low, i.high);
            with_small(&shown.value, &format!("{} to {}", shown.low, shown.high))
        }
        None => with_small("—", &reason(o, key)),
    }
}

/// The reason of the record; Cp and Pp of a one-sided limit explain themselves.
fn reason(o: &Output, key: &str) -> String {
    if let Some(reason) = o.absent.get(key) {
        return html(reason);
    }
    let both = o.limits.is_some_and(|l| l.min.is_some() && l.max.is_some());
    if !both && matches!(key, "cp" | "pp" | "pp_percentile") {
        return "one-sided limit".to_owned();
    }
    "not stated".to_owned()
}
