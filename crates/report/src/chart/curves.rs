//! Curves over one axis, each with a line of its own and its words beside it: the pictures of the reference pages.

use crate::RenderError;
use crate::chart::axis;
use crate::drawing::{Anchor, Drawing, Layout, Picture};
use crate::plot::{self, Item};
use crate::scale::Scale;

/// One curve.
#[derive(Debug, Clone, PartialEq)]
pub struct Curve {
    /// The words beside its line.
    pub label: String,
    /// Its points, from left to right.
    pub points: Vec<(f64, f64)>,
}

/// Hue and stroke of the curves, so that they can be told apart without colour.
const LINES: [(&str, &str); 4] = [
    ("blue", "line"),
    ("rust", "line dash"),
    ("olive", "line dots"),
    ("violet", "line chain"),
];

/// Draws curves; `caption` stands under the axis.
pub fn draw(
    name: &str,
    [title, subtitle, caption]: [&str; 3],
    curves: &[Curve],
) -> Result<Picture, RenderError> {
    let mut d = Drawing::titled(name, Layout::Wide, title, subtitle);
    for (curve, (hue, stroke)) in curves.iter().zip(LINES) {
        d.y += 18.0;
        let y = d.y - 4.0;
        d.line(
            [0.0, y - 4.0],
            [28.0, y - 4.0],
            &format!("s-{hue} {stroke}"),
        );
        d.text(36.0, y, Anchor::Start, &format!("f-{hue}"), &curve.label);
    }
    let all = curves.iter().flat_map(|curve| &curve.points);
    let places: Vec<f64> = all.clone().map(|p| p.0).collect();
    let mut heights: Vec<f64> = all.map(|p| p.1).collect();
    heights.push(0.0);
    let (top, base) = (d.y + 12.0, d.y + 192.0);
    let x = Scale::over(&places, 16.0, d.width() - 16.0);
    let y = Scale::over(&heights, base, top);
    let items: Vec<Item> = curves
        .iter()
        .zip(LINES)
        .map(|(curve, (hue, stroke))| Item::Line(curve.points.clone(), format!("s-{hue} {stroke}")))
        .collect();
    plot::draw(&mut d, &x, &y, &items)?;
    axis::below(&mut d, &x, base, caption);
    Ok(d.finish(subtitle, ""))
}
