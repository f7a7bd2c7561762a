//! What was assumed of the parts.

use record::{Basis, Characteristic, Record};

use super::head::{ASSUMED, MEASURED};
use super::{cell, section};
use crate::chart;
use crate::figure;
use crate::text::html;
use crate::unit::Unit;

const HEADS: [&str; 5] = [
    "characteristic",
    "process",
    "density against the drawing",
    "Cp, Cpk",
    "outside the drawing",
];

/// Writes the section.
pub fn write(record: &Record) -> String {
    if record.characteristics.is_empty() {
        return String::new();
    }
    let mut body = super::table_head("Stated processes against their drawing limits");
    for (i, head) in HEADS.iter().enumerate() {
        let class = if i > 2 { " class=\"num\"" } else { "" };
        body.push_str(&format!("<th scope=\"col\"{class}>{head}</th>"));
    }
    body.push_str("</tr></thead>\n<tbody>\n");
    for (i, c) in record.characteristics.iter().enumerate() {
        body.push_str(&row(c, i + 1));
    }
    body.push_str("</tbody>\n</table>\n");
    let readings = record
        .characteristics
        .iter()
        .any(|c| c.process.basis == Basis::Measured);
    let measured = if readings {
        " Where a process is measured they still carry the chance of which parts were read."
    } else {
        ""
    };
    body.push_str(&super::paragraph(&format!(
        "Cp, Cpk and the share outside follow exactly from the process as stated, so they are given without interval.{measured} \
         Limits and means are shown as deviations from nominal where a drawing would.",
    )));
    section("What was assumed of the parts", &body)
}

fn row(c: &Characteristic, number: usize) -> String {
    let limits = match (c.lower, c.upper) {
        (None, None) => "no drawing limits".to_owned(),
        _ => format!("drawing {}", html(&chart::deviations(c))),
    };
    format!(
        "<tr><th scope=\"row\">{}<span class=\"sub\">{}; {limits}</span></th>{}{}{}{}</tr>\n",
        html(&c.words),
        html(&chart::nominal(c)),
        cell(HEADS[1], "text", &process(c)),
        cell(HEADS[2], "", &chart::density(c, number).inline),
        cell(HEADS[3], "num", &indices(c)),
        cell(HEADS[4], "num", &outside(c)),
    )
}

fn process(c: &Characteristic) -> String {
    let (mark, word) = match c.process.basis {
        Basis::Assumed => (ASSUMED, "assumed"),
        Basis::Measured => (MEASURED, "measured"),
    };
    let p = &c.process;
    let numbers = if p.sd > 0.0 {
        let unit = Unit::of_deviation(&c.unit, 6.0 * p.sd);
        let sd = figure::with_unit(&figure::significant(p.sd * unit.factor, 3), &unit.text);
        format!("mean {}, sd {}", html(&mean(c)), html(&sd))
    } else {
        "no spread".to_owned()
    };
    format!(
        "{mark} {word}, {}<span class=\"sub\">{}; {numbers}</span>",
        html(&p.shape.replace('_', " ")),
        html(&p.stated)
    )
}

/// The mean as a deviation from nominal where the drawing would state it so.
fn mean(c: &Characteristic) -> String {
    let unit = Unit::of_deviation(
        &c.unit,
        (c.process.mean - c.nominal).abs().max(6.0 * c.process.sd),
    );
    if unit.factor != 1.0 {
        let decimals = usize::try_from(1 - figure::exponent(c.process.sd * unit.factor))
            .unwrap_or(0)
            .min(3);
        let shift = figure::signed((c.process.mean - c.nominal) * unit.factor, decimals);
        return if shift.chars().all(|c| c == '0' || c == '.') {
            "at nominal".to_owned()
        } else {
            format!("{} from nominal", figure::with_unit(&shift, &unit.text))
        };
    }
    let decimals = usize::try_from(1 - figure::exponent(c.process.sd))
        .unwrap_or(0)
        .min(9);
    figure::with_unit(
        &figure::fixed(c.process.mean * unit.factor, decimals),
        &unit.text,
    )
}

fn indices(c: &Characteristic) -> String {
    match (c.process.cp, c.process.cpk) {
        (Some(cp), Some(cpk)) => format!("{}, {}", figure::fixed(cp, 2), figure::fixed(cpk, 2)),
        (None, Some(cpk)) => format!("—, {}", figure::fixed(cpk, 2)),
        (Some(cp), None) => format!("{}, —", figure::fixed(cp, 2)),
        (None, None) => "—".to_owned(),
    }
}

fn outside(c: &Characteristic) -> String {
    chart::share_outside(c).map_or("—".to_owned(), chart::outside_words)
}
