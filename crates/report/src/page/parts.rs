//! What was assumed of the parts.

use record::{Basis, Characteristic, Record};

use super::head::{ASSUMED, MEASURED};
use super::{cell, readings, section};
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
    let heads = heads(record);
    for (i, head) in heads.iter().enumerate() {
        let class = if i > 2 { " class=\"num\"" } else { "" };
        body.push_str(&format!("<th scope=\"col\"{class}>{head}</th>"));
    }
    body.push_str("</tr></thead>\n<tbody>\n");
    for (i, c) in record.characteristics.iter().enumerate() {
        body.push_str(&row(c, i + 1, &heads));
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
    let (overall, moving) = if moves(record) {
        (
            ", Pp, Ppk",
            " Where the mean moves, Cp and Cpk stand for one lot and one state of the tool (within), Pp and Ppk for all lots and the whole life of a tool (overall); density and share outside are overall.",
        )
    } else {
        ("", "")
    };
    body.push_str(&super::paragraph(&format!(
        "Cp, Cpk{overall} and the share outside follow exactly from the process as stated, so they are given without interval.{measured} \
         Limits and means are shown as deviations from nominal where a drawing would.{moving}",
    )));
    body.push_str(&readings::tables(record));
    section("What was assumed of the parts", &body)
}

/// Whether some process has indices overall that differ from those within.
fn moves(record: &Record) -> bool {
    let moves = |c: &Characteristic| c.process.pp.is_some() || c.process.ppk.is_some();
    record.characteristics.iter().any(moves)
}

fn heads(record: &Record) -> [&'static str; 5] {
    let mut heads = HEADS;
    if moves(record) {
        heads[3] = "indices";
    }
    heads
}

fn row(c: &Characteristic, number: usize, heads: &[&str; 5]) -> String {
    let class = c
        .class
        .as_ref()
        .map_or(String::new(), |class| format!("{}, ", html(class)));
    let limits = match (c.lower, c.upper) {
        (None, None) => "no drawing limits".to_owned(),
        _ => format!("drawing {class}{}", html(&chart::deviations(c))),
    };
    format!(
        "<tr><th scope=\"row\">{}<span class=\"sub\">{}; {limits}</span></th>{}{}{}{}</tr>\n",
        html(&c.words),
        html(&chart::nominal(c)),
        cell(heads[1], "text", &process(c)),
        cell(heads[2], "", &chart::density(c, number).inline),
        cell(heads[3], "num", &indices(c, heads[3] != HEADS[3])),
        cell(heads[4], "num", &outside(c)),
    )
}

fn process(c: &Characteristic) -> String {
    let (mark, word) = match c.process.basis {
        Basis::Assumed => (ASSUMED, "assumed"),
        Basis::Measured => (MEASURED, "measured"),
    };
    let p = &c.process;
    let numbers = if p.sd > 0.0 {
        format!("mean {}, sd {}", html(&mean(c)), sd(c))
    } else {
        "no spread".to_owned()
    };
    let readings = match p.readings {
        None => String::new(),
        Some(1) => " from one reading".to_owned(),
        Some(n) => format!(" from {} readings", figure::count(n)),
    };
    let slow: String = p.slow.iter().map(|w| format!("; {}", html(w))).collect();
    // `measured from 30 readings, drawn again`.
    let shape = match p.shape.as_str() {
        "readings" if p.readings.is_some() => "drawn again".to_owned(),
        "readings" => "readings drawn again".to_owned(),
        shape => html(&shape.replace('_', " ")),
    };
    format!(
        "{mark} {word}{readings}, {shape}<span class=\"sub\">{}; {numbers}{slow}</span>",
        html(&p.stated)
    )
}

/// The standard deviation; where the mean moves, that within beside the whole one.
fn sd(c: &Characteristic) -> String {
    let p = &c.process;
    let unit = Unit::of_deviation(&c.unit, 6.0 * p.sd);
    let shown = |sd: f64| {
        html(&figure::with_unit(
            &figure::significant(sd * unit.factor, 3),
            &unit.text,
        ))
    };
    match p.sd_within {
        Some(within) => format!("{} within, {} overall", shown(within), shown(p.sd)),
        None => shown(p.sd),
    }
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

/// Cp and Cpk; named, with Pp and Ppk below, in a table where the two pairs differ somewhere.
fn indices(c: &Characteristic, is_named: bool) -> String {
    let p = &c.process;
    let within = pair(p.cp, p.cpk);
    if !is_named || p.cpk.is_none() && p.ppk.is_none() {
        return within;
    }
    let named =
        |indices: &str, names| format!("<div>{indices} <span class=\"sub\">{names}</span></div>");
    if p.pp.is_none() && p.ppk.is_none() {
        return named(&within, "Cp, Cpk");
    }
    named(&within, "Cp, Cpk") + &named(&pair(p.pp, p.ppk), "Pp, Ppk")
}

/// Two indices, the first against both limits, the second against the nearer.
fn pair(both: Option<f64>, nearer: Option<f64>) -> String {
    match (both, nearer) {
        (Some(cp), Some(cpk)) => format!("{}, {}", figure::fixed(cp, 2), figure::fixed(cpk, 2)),
        (None, Some(cpk)) => format!("—, {}", figure::fixed(cpk, 2)),
        (Some(cp), None) => format!("{}, —", figure::fixed(cp, 2)),
        (None, None) => "—".to_owned(),
    }
}

fn outside(c: &Characteristic) -> String {
    chart::share_outside(c).map_or("—".to_owned(), chart::outside_words)
}
