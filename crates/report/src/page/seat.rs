//! Where joints seat, and both scatters side by side.

use record::{Output, Record};

use super::{paragraph, section, table, with_small};
use crate::chart::Figures;
use crate::figure;
use crate::seat::Seat;
use crate::text::html;
use crate::unit::Unit;

/// The outputs that tell where joints seat, then those that tell what it takes to close them.
const SCATTERS: [&str; 4] = ["draw_up", "stand_off", "closing_load", "closing_torque"];

/// The quantiles shown, by the share below.
const SHOWN: [&str; 3] = ["0.00135", "0.5", "0.99865"];

/// Writes the section.
pub fn write(record: &Record, figures: &Figures) -> String {
    let mut body = figures
        .distribution
        .as_ref()
        .map(|f| f.html())
        .unwrap_or_default();
    body.push_str(&scatters(record));
    body.push_str(&teeth(record));
    section("Where joints seat", &body)
}

/// How many teeth of a spline bear, and how unevenly, in words.
fn teeth(record: &Record) -> String {
    let at = |name: &str, share: &str| {
        let output = record.output(name)?;
        output.quantiles.get(share).map(|q| q.value)
    };
    let whole = |v: f64| figure::fixed(v, 0);
    let percent = |v: f64| figure::with_unit(&figure::significant(v * 100.0, 2), "%");
    let mut said = Vec::new();
    if let (Some(low), Some(middle)) = (
        at("teeth_in_contact", "0.00135"),
        at("teeth_in_contact", "0.5"),
    ) {
        let of = record
            .joint
            .teeth
            .as_ref()
            .map_or(String::new(), |t| format!(" of {}", t.count));
        said.push(format!(
            "In the median joint {}{of} teeth bear under load, at the 0.135\u{A0}% quantile {}.",
            whole(middle),
            whole(low)
        ));
    }
    if let (Some(middle), Some(high)) = (
        at("tooth_load_share", "0.5"),
        at("tooth_load_share", "0.99865"),
    ) {
        let even = record.joint.teeth.as_ref().map_or(String::new(), |t| {
            format!(
                "; an equal share of all teeth would be {}",
                percent(1.0 / f64::from(t.count.max(1)))
            )
        });
        said.push(format!(
            "The most loaded tooth takes {} of the load in the median joint and {} at the 99.865\u{A0}% quantile{even}.",
            percent(middle),
            percent(high)
        ));
    }
    if said.is_empty() {
        return String::new();
    }
    paragraph(&said.join(" "))
}

/// Both scatters, so that a cure for one is not taken for a cure of the other.
fn scatters(record: &Record) -> String {
    let outputs: Vec<&Output> = SCATTERS
        .iter()
        .filter_map(|name| record.output(name))
        .collect();
    let rows: Vec<Vec<String>> = outputs.iter().map(|o| row(o, record.pairings)).collect();
    if rows.is_empty() {
        return String::new();
    }
    let heads = [
        "",
        "mean",
        "standard deviation",
        "0.135 %",
        "50 %",
        "99.865 %",
    ];
    let is_open = |o: &&Output| {
        let spreads = o.sd.is_none_or(|sd| sd > 0.0);
        spreads
            && SHOWN
                .iter()
                .filter_map(|share| o.quantiles.get(*share))
                .any(|q| q.low.is_none() || q.high.is_none())
    };
    let open = if outputs.iter().any(is_open) {
        paragraph("No interval: too few pairings lie beyond that quantile to enclose it.")
    } else {
        String::new()
    };
    let has = |names: &[&str]| outputs.iter().any(|o| names.contains(&o.name.as_str()));
    if !has(&SCATTERS[2..]) {
        return table("Where joints seat, in numbers", &heads, &rows)
            + &open
            + &paragraph("What it takes to close the joints was not followed in this run.");
    }
    if !has(&SCATTERS[..2]) {
        return table("What it takes to close the joints", &heads, &rows) + &open;
    }
    table(
        "Both scatters side by side: where joints seat, and what it takes to close them",
        &heads,
        &rows,
    ) + &open
        + &paragraph(&format!(
            "The two scatters have different cures. A coarser taper moves the hub less for the same error of a diameter and so narrows \
             where joints seat, but the interference at the closed position hardly changes, and with it the load that closes them. \
             Closing load also follows the friction on the {}.",
            Seat::of(record).noun()
        ))
}

fn row(output: &Output, pairings: u64) -> Vec<String> {
    let most = [output.min, output.max]
        .into_iter()
        .flatten()
        .map(f64::abs)
        .fold(0.0, f64::max);
    let unit = Unit::of(&output.unit, most);
    let n = output.present.max(1) as f64;
    let mut name = html(&output.words);
    if !unit.text.is_empty() {
        name.push_str(&format!(" ({})", html(&unit.text)));
    }
    let mut remarks = Vec::new();
    if output.present < pairings {
        remarks.push(format!(
            "defined for {} pairings",
            figure::count(output.present)
        ));
    }
    if let Some((count, value)) = output.at_atom.zip(output.atom).filter(|(c, _)| *c > 0) {
        remarks.push(format!(
            "{} pairings at exactly {}",
            figure::count(count),
            figure::stated(value * unit.factor)
        ));
    }
    name = with_small(&name, &remarks.join("; "));
    let centre = |value: Option<f64>, share: f64| {
        let width = output.sd.map(|sd| share * sd / n.sqrt());
        value.map_or("—".to_owned(), |v| {
            unit.number(v, width.map(|w| v - w), width.map(|w| v + w))
        })
    };
    [name, centre(output.mean, 1.96), centre(output.sd, 1.39)]
        .into_iter()
        .chain(SHOWN.iter().map(|share| quantile(output, share, &unit)))
        .collect()
}

fn quantile(output: &Output, share: &str, unit: &Unit) -> String {
    let Some(q) = output.quantiles.get(share) else {
        return "—".to_owned();
    };
    let value = unit.number(q.value, q.low, q.high);
    let Some((low, high)) = q.low.zip(q.high) else {
        let has_spread = output.sd.is_none_or(|sd| sd > 0.0);
        let reason = if has_spread { "no interval" } else { "" };
        return with_small(&value, reason);
    };
    let [low, high] = [low, high].map(|end| unit.number(end, q.low, q.high));
    if low == high {
        return value;
    }
    with_small(&value, &format!("{low} to {high}"))
}
