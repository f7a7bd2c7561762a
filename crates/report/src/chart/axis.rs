//! Axes, guides and rows of labels that several charts share.

use crate::drawing::{Anchor, Drawing};
use crate::face;
use crate::scale::Scale;

/// Draws the horizontal axis under a plot: hairline, ticks, labels and the unit. Leaves `y` below it.
pub fn below(drawing: &mut Drawing, x: &Scale, base: f64, caption: &str) {
    drawing.line([x.start, base], [x.end, base], "s-ink hairline");
    let widest = x
        .ticks(6)
        .iter()
        .map(|t| face::width(&t.1, false))
        .fold(30.0, f64::max);
    let most = ((x.end - x.start) / (widest + 24.0)).clamp(1.0, 8.0) as usize;
    let mut free_from = f64::NEG_INFINITY;
    for (value, label) in x.ticks(most) {
        let at = x.at(value);
        drawing.line([at, base], [at, base + 5.0], "s-ink hairline");
        let half = face::width(&label, false) / 2.0;
        let middle = at.clamp(half, (drawing.width() - half).max(half));
        if middle - half > free_from {
            drawing.text(middle, base + 20.0, Anchor::Middle, "f-muted", &label);
            free_from = middle + half + 6.0;
        }
    }
    drawing.y = base + 21.0;
    for line in face::wrap(caption, drawing.width() - 4.0, false) {
        drawing.y += face::LINE;
        let (y, span) = (drawing.y - 2.0, [0.0, drawing.width()]);
        drawing.text_within((x.start + x.end) / 2.0, y, span, "f-ink", &line);
    }
    drawing.y += 2.0;
}

/// Draws light horizontal guides with their labels at the left of a plot.
pub fn guides(drawing: &mut Drawing, x: &Scale, y: &Scale, most: usize) {
    for (value, label) in y.ticks(most) {
        let at = y.at(value);
        drawing.line([x.start, at], [x.end, at], "s-hair hairline");
        drawing.text(x.start - 7.0, at + 4.5, Anchor::End, "f-muted", &label);
    }
}

/// A label that wants to stand near `x`.
pub struct Wish {
    /// Wanted middle (px).
    pub x: f64,
    /// Width it takes (px).
    pub width: f64,
}

/// Places labels in rows so that none overlaps another: for each its row and its left edge (px).
pub fn rows(wishes: &[Wish], [left, right]: [f64; 2], gap: f64) -> Vec<(usize, f64)> {
    let mut order: Vec<usize> = (0..wishes.len()).collect();
    order.sort_by(|&a, &b| wishes[a].x.total_cmp(&wishes[b].x));
    let mut ends: Vec<f64> = Vec::new();
    let mut placed = vec![(0, left); wishes.len()];
    for i in order {
        let wish = &wishes[i];
        let wanted = (wish.x - wish.width / 2.0)
            .min(right - wish.width)
            .max(left);
        // A row is good enough when the label need not move far from its place.
        let row = ends
            .iter()
            .position(|end| *end <= wanted + 12.0 && end.max(wanted) + wish.width <= right);
        let row = row.unwrap_or_else(|| {
            ends.push(left);
            ends.len() - 1
        });
        let start = wanted.max(ends[row]);
        ends[row] = start + wish.width + gap;
        placed[i] = (row, start);
    }
    placed
}
