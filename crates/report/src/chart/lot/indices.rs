//! The indices as points with their intervals on one scale, and what the leading one demonstrates.

use record::Index;

use super::Subject;
use crate::RenderError;
use crate::drawing::{Anchor, Drawing, Layout, Picture};
use crate::mark::Mark;
use crate::scale::Scale;
use crate::{chart::axis, face, figure};

/// Levels drawn as light lines.
const LEVELS: [f64; 3] = [1.0, 1.33, 1.67];
/// Indices beyond these are drawn at the end of the scale.
const FARTHEST: [f64; 2] = [-1.0, 3.0];

/// An index as the trade writes it: two decimals.
pub fn two(x: f64) -> String {
    figure::fixed(x, 2)
}

/// A bound that was demonstrated: two decimals, never rounded up.
pub fn at_least(x: f64) -> String {
    figure::fixed(libm::floor(x * 100.0 + 1e-9) / 100.0, 2)
}

/// The finding.
fn title(s: &Subject<'_>) -> String {
    let cap = s.c.capability.as_ref();
    let leading = cap.and_then(|cap| Some((cap, super::leading(cap)?)));
    let Some((cap, (name, index))) = leading else {
        return "No index leads".to_owned();
    };
    let seen = format!(
        "{name} {} seen on {}",
        two(index.value),
        super::readings(s.c.n)
    );
    match cap.demonstrated {
        Some(bound) => format!("{seen} demonstrates {}", at_least(bound)),
        None => format!(
            "{seen}: the interval runs from {} to {}",
            two(index.low),
            two(index.high)
        ),
    }
}

/// Draws the chart.
pub fn draw(name: &str, s: &Subject<'_>, layout: Layout) -> Result<Picture, RenderError> {
    let cap = s.c.capability.as_ref();
    let rows = cap.map(super::indices).unwrap_or_default();
    let lead = cap.and_then(super::leading).map(|l| l.0);
    let demonstrated = cap.and_then(|cap| cap.demonstrated);
    let mut d = Drawing::titled(
        name,
        layout,
        &title(s),
        &subtitle(s, lead.is_some(), demonstrated.is_some()),
    );
    let values: Vec<f64> = rows
        .iter()
        .flat_map(|(_, i)| [i.low, i.value, i.high])
        .filter(|v| v.is_finite())
        .map(|v| v.clamp(FARTHEST[0], FARTHEST[1]))
        .chain([0.5, 1.8])
        .collect();
    let start = if layout.is_narrow() { 8.0 } else { 270.0 };
    let x = Scale::over(&values, start, d.width() - 22.0).with_margin(0.02);
    d.y += face::LINE;
    let heading = d.y;
    for level in LEVELS {
        d.text(x.at(level), heading, Anchor::Middle, "f-muted", &two(level));
    }
    let top = heading + 6.0;
    let tall: f64 = rows
        .iter()
        .map(|row| height(lead == Some(row.0) && demonstrated.is_some(), layout))
        .sum();
    let base = top + tall + 8.0;
    if !layout.is_narrow() {
        for level in LEVELS {
            d.line([x.at(level), top], [x.at(level), base], "s-hair line");
        }
    }
    for (name, index) in &rows {
        let leads = lead == Some(*name);
        row(
            &mut d,
            (name, index),
            &x,
            layout,
            leads,
            demonstrated.filter(|_| leads),
        );
    }
    axis::below(&mut d, &x, base, "capability index");
    let described: Vec<String> = rows
        .iter()
        .map(|(name, i)| format!("{name} {}", written(i)))
        .collect();
    Ok(d.finish(&described.join(". "), &s.stamp))
}

fn subtitle(s: &Subject<'_>, leads: bool, demonstrated: bool) -> String {
    let lead = if leads {
        " Full mark: the index that leads."
    } else {
        ""
    };
    let bound = if demonstrated {
        " Triangle: what it demonstrates, its lower bound at 95\u{A0}%, one-sided."
    } else {
        ""
    };
    format!(
        "{}: points are the indices seen, whiskers their intervals.{lead}{bound}",
        s.name
    )
}

fn written(index: &Index) -> String {
    format!(
        "{} ({} to {})",
        two(index.value),
        two(index.low),
        two(index.high)
    )
}

/// Height of a row (px).
fn height(has_bound: bool, layout: Layout) -> f64 {
    let lines = 1 + usize::from(has_bound) + usize::from(layout.is_narrow());
    let apart = if has_bound && layout.is_narrow() {
        8.0
    } else {
        0.0
    };
    face::LINE * lines as f64 + 8.0 + apart
}

fn row(
    d: &mut Drawing,
    (name, index): (&str, &Index),
    x: &Scale,
    layout: Layout,
    leads: bool,
    bound: Option<f64>,
) {
    let class = if leads {
        "f-ink bold halo"
    } else {
        "f-ink halo"
    };
    d.y += face::LINE + 8.0;
    let mut middle = d.y - 4.5;
    let y = d.y;
    d.text(
        0.0,
        y,
        Anchor::Start,
        class,
        &format!("{name} {}", written(index)),
    );
    if let Some(bound) = bound {
        d.y += face::LINE;
        let y = d.y;
        d.text(
            0.0,
            y,
            Anchor::Start,
            "f-ink halo",
            &format!("demonstrates {}", at_least(bound)),
        );
    }
    if layout.is_narrow() {
        // The triangle stands between the words and the point.
        d.y += face::LINE + if bound.is_some() { 8.0 } else { 0.0 };
        middle = d.y - 4.5;
        for level in LEVELS {
            d.line(
                [x.at(level), middle - 8.0],
                [x.at(level), middle + 8.0],
                "s-hair line",
            );
        }
    }
    point(d, x, middle, index, name.contains("percentile"), leads);
    if let Some(bound) = bound.filter(|bound| x.holds(*bound)) {
        d.mark(Mark::Down, [x.at(bound), middle - 8.0], 5.0, "rust");
    }
}

fn point(d: &mut Drawing, x: &Scale, y: f64, index: &Index, is_percentile: bool, leads: bool) {
    let hue = if is_percentile { "blue" } else { "violet" };
    let [low, high] = [index.low, index.high].map(|v| x.at(v));
    d.line([low, y], [high, y], &format!("s-{hue} line"));
    for (end, at) in [(index.low, low), (index.high, high)] {
        if x.holds(end) {
            d.line([at, y - 4.0], [at, y + 4.0], &format!("s-{hue} line"));
        }
    }
    let at = x.at(index.value);
    if !x.holds(index.value) {
        // Off the scale: an arrow at its end; the number stands beside it.
        let turn = if index.value > x.high { 1.0 } else { -1.0 };
        let arrow = [
            [at - 4.0 * turn, y - 5.0],
            [at + 6.0 * turn, y],
            [at - 4.0 * turn, y + 5.0],
        ];
        d.area(&arrow, &format!("f-{hue}"), None);
        return;
    }
    let corners = if is_percentile {
        [[at, y - 5.5], [at + 5.5, y], [at, y + 5.5], [at - 5.5, y]]
    } else {
        [
            [at - 4.5, y - 4.5],
            [at + 4.5, y - 4.5],
            [at + 4.5, y + 4.5],
            [at - 4.5, y + 4.5],
        ]
    };
    if leads {
        d.area(&corners, &format!("f-{hue}"), None);
    } else {
        d.area(
            &corners,
            &format!("s-{hue} line"),
            Some("var(--paper,#ffffff)"),
        );
    }
}
