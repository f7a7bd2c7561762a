//! A table of outputs by their spread: mean, standard deviation and quantiles with their intervals.

use record::Output;

use super::{paragraph, with_small};
use crate::figure;
use crate::text::html;
use crate::unit::Unit;

/// The quantiles shown, by the share below.
const SHOWN: [&str; 3] = ["0.00135", "0.5", "0.99865"];

/// The table, one row an output.
pub fn table(caption: &str, outputs: &[&Output], pairings: u64) -> String {
    let rows: Vec<Vec<String>> = outputs.iter().map(|o| row(o, pairings)).collect();
    let heads = [
        "",
        "mean",
        "standard deviation",
        "0.135 %",
        "50 %",
        "99.865 %",
    ];
    let is_open = |o: &&&Output| {
        let spreads = o.sd.is_none_or(|sd| sd > 0.0);
        spreads
            && SHOWN
                .iter()
                .filter_map(|share| o.quantiles.get(*share))
                .any(|q| q.low.is_none() || q.high.is_none())
    };
    let open = if outputs.iter().any(|o| is_open(&o)) {
        paragraph("No interval: too few pairings lie beyond that quantile to enclose it.")
    } else {
        String::new()
    };
    super::table(caption, &heads, &rows) + &open
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
