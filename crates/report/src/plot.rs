//! Data curves drawn by plotters, fitted into a [`Drawing`].
//!
//! plotters keeps whole-number coordinates and measures text by bytes. So it draws ten times too large and
//! draws no text: axes and labels are ours. Its output carries a key colour per item, which is replaced by
//! the class or hatch meant, so that the curves follow light, dark and print.

use plotters::prelude::*;

use crate::RenderError;
use crate::drawing::{Drawing, px};
use crate::scale::Scale;

/// How many times too large plotters draws.
const ENLARGED: f64 = 10.0;

/// One item of a plot, lowest first.
pub enum Item {
    /// A closed area through points, with the attributes that fill it.
    Area(Vec<(f64, f64)>, String),
    /// A line through points, with its class.
    Line(Vec<(f64, f64)>, String),
}

/// Draws items on the two scales. The y scale runs upwards: its `start` is the lower edge.
pub fn draw(
    drawing: &mut Drawing,
    x: &Scale,
    y: &Scale,
    items: &[Item],
) -> Result<(), RenderError> {
    let chart = drawing.name().to_owned();
    let refused = |reason: String| RenderError::Plot {
        chart: chart.clone(),
        reason,
    };
    let size = (enlarge(x.end - x.start), enlarge(y.start - y.end));
    let mut svg = String::new();
    {
        let root = SVGBackend::with_string(&mut svg, size).into_drawing_area();
        let mut context = ChartBuilder::on(&root)
            .build_cartesian_2d(x.low..x.high, y.low..y.high)
            .map_err(|e| refused(e.to_string()))?;
        for (i, item) in items.iter().enumerate() {
            let key = key_colour(i);
            let drawn = match item {
                Item::Area(points, _) => context
                    .draw_series(std::iter::once(Polygon::new(
                        clipped(points, x, y),
                        key.filled(),
                    )))
                    .map(|_| ()),
                Item::Line(points, _) => context
                    .draw_series(LineSeries::new(clipped(points, x, y), key.stroke_width(12)))
                    .map(|_| ()),
            };
            drawn.map_err(|e| refused(e.to_string()))?;
        }
        root.present().map_err(|e| refused(e.to_string()))?;
    }
    drawing.raw(&restyled(&svg, items, [x.start, y.end]));
    Ok(())
}

/// Points kept on the scales, so that nothing is drawn outside.
fn clipped(points: &[(f64, f64)], x: &Scale, y: &Scale) -> Vec<(f64, f64)> {
    points
        .iter()
        .map(|p| (p.0.max(x.low).min(x.high), p.1.max(y.low).min(y.high)))
        .collect()
}

fn enlarge(length: f64) -> u32 {
    // plotters draws its last value on the last of the points 0..n - 1.
    (length.max(1.0) * ENLARGED) as u32 + 1
}

fn key_colour(i: usize) -> RGBColor {
    RGBColor(0xA5, (i / 256) as u8, (i % 256) as u8)
}

/// The elements of the plot at their size and place, with key colours replaced.
fn restyled(svg: &str, items: &[Item], corner: [f64; 2]) -> String {
    let mut out = String::new();
    for line in svg.lines() {
        if !(line.starts_with("<polygon") || line.starts_with("<polyline")) {
            continue;
        }
        let Some(points) = attribute(line, "points") else {
            continue;
        };
        for (i, item) in items.iter().enumerate() {
            let RGBColor(r, g, b) = key_colour(i);
            if !line.contains(&format!("\"#{r:02X}{g:02X}{b:02X}\"")) {
                continue;
            }
            let (element, looks) = match item {
                Item::Area(_, looks) => ("polygon", looks.clone()),
                Item::Line(_, class) => ("polyline", format!("class=\"{class}\"")),
            };
            out.push_str(&format!(
                "<{element} {looks} points=\"{}\"/>\n",
                shrunk(points, corner)
            ));
        }
    }
    out
}

/// Points at a tenth of the size, moved to the corner of the plot.
fn shrunk(points: &str, corner: [f64; 2]) -> String {
    let place = |text: &str, from: f64| text.parse::<f64>().ok().map(|v| px(from + v / ENLARGED));
    let pairs: Vec<String> = points
        .split_whitespace()
        .filter_map(|pair| pair.split_once(','))
        .filter_map(|(x, y)| Some(format!("{},{}", place(x, corner[0])?, place(y, corner[1])?)))
        .collect();
    pairs.join(" ")
}

fn attribute<'a>(element: &'a str, name: &str) -> Option<&'a str> {
    let (_, rest) = element.split_once(&format!("{name}=\""))?;
    rest.split_once('"').map(|(value, _)| value)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_item_arrives_with_its_own_looks() {
        let mut drawing = Drawing::blank("t", 100.0, "t");
        let x = Scale::over(&[0.0, 1.0], 0.0, 100.0);
        let y = Scale::over(&[0.0, 1.0], 50.0, 0.0);
        let items = [
            Item::Area(
                vec![(0.0, 0.0), (1.0, 0.0), (1.0, 1.0)],
                "class=\"f-good\"".to_owned(),
            ),
            Item::Line(vec![(0.0, 0.0), (1.0, 2.0)], "s-ink line".to_owned()),
        ];
        draw(&mut drawing, &x, &y, &items).expect("plain items can be drawn");
        let svg = drawing.finish("", "").inline;
        assert!(
            svg.contains("<polygon class=\"f-good\"")
                && svg.contains("<polyline class=\"s-ink line\""),
            "{svg}"
        );
        assert!(!svg.contains("#A5"), "no key colour is left: {svg}");
        assert!(
            svg.contains("points=\"0,50 "),
            "from the lower left corner: {svg}"
        );
    }
}
