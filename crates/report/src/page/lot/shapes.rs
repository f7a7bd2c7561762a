//! The table of fitted shapes.

use record::{FittedShape, LotCharacteristic};

use super::super::with_small;
use super::said;
use super::tables::table;
use crate::chart::lot::{Reader, beyond, expected};
use crate::figure;
use crate::text::html;

/// The shapes fitted: the best `most` and, in any case, the normal and the one that leads.
pub fn fits(id: &str, c: &LotCharacteristic, most: usize) -> String {
    if c.fits.is_empty() {
        return String::new();
    }
    let caption = match Reader::of(c).bracket() {
        unit if unit.is_empty() => "Shapes fitted, best first".to_owned(),
        unit => format!(
            "Shapes fitted, best first; quantiles in {}",
            unit.trim_matches([' ', '(', ')'])
        ),
    };
    let heads = [
        ("shape", "text"),
        ("AIC above best", "num"),
        ("tails: seen / expected", "num"),
        ("0.135\u{A0}%", "num"),
        ("50\u{A0}%", "num"),
        ("99.865\u{A0}%", "num"),
        ("outside", "num"),
        ("largest distance", "num"),
    ];
    let listed = |(i, fit): &(usize, &FittedShape)| {
        *i < most || c.chosen == Some(*i) || fit.shape == "normal"
    };
    let rows: Vec<Vec<String>> = c
        .fits
        .iter()
        .enumerate()
        .filter(listed)
        .map(|fit| fit_row(c, fit))
        .collect();
    let more = match c.fits.len() - rows.len() {
        0 => String::new(),
        n => said(&format!(
            "{n} more were fitted; the table in CSV holds them."
        )),
    };
    table(id, &caption, &heads, &rows) + &more
}

fn fit_row(c: &LotCharacteristic, (i, fit): (usize, &FittedShape)) -> Vec<String> {
    let r = Reader::of(c);
    let leads = if c.chosen == Some(i) { ", leads" } else { "" };
    let parameters: Vec<String> = fit
        .parameters
        .iter()
        .map(|(key, text)| format!("{key} {text}"))
        .collect();
    let [low, high] = beyond(fit, c.n).map(figure::count);
    vec![
        with_small(
            &format!("{}{leads}", html(&fit.shape.replace('_', " "))),
            &html(&parameters.join(", ")),
        ),
        figure::fixed(fit.above_best, 1),
        format!("{low}, {high} / {}", expected(c.n)),
        r.fine(fit.quantiles[0]),
        r.fine(fit.quantiles[1]),
        r.fine(fit.quantiles[2]),
        fit.outside.map_or("—".to_owned(), share),
        figure::fixed(fit.distance, 3),
    ]
}

/// A share in per cent, or in a million when it is rare.
fn share(x: f64) -> String {
    if x < 1e-15 {
        return "less than 1 in 10¹⁵".to_owned();
    }
    if x < 1e-3 {
        return figure::millionths(x);
    }
    figure::with_unit(&figure::significant(x * 100.0, 3), "%")
}
