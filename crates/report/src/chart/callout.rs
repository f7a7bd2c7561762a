//! Names with leaders around the section of the joint.

use crate::drawing::{Anchor, Drawing, Layout, spread};
use crate::face;

/// From millimetres on the joint to the picture.
#[derive(Clone, Copy)]
pub struct Place {
    /// Where `x = 0` is drawn (px).
    pub x0: f64,
    /// Where the centre line is drawn (px).
    pub centre: f64,
    /// Pixels a millimetre.
    pub per_mm: f64,
}

impl Place {
    /// The point at `x` from the shoulder and radius `r` (mm).
    pub fn at(&self, x: f64, r: f64) -> [f64; 2] {
        [self.x0 + x * self.per_mm, self.centre - r * self.per_mm]
    }
}

/// A name and the point it names (mm).
pub struct Name {
    /// From the shoulder (mm).
    pub x: f64,
    /// Radius (mm).
    pub r: f64,
    /// What is said of it.
    pub label: String,
    /// Whether it is said over the section or under it.
    pub is_above: bool,
}

/// Whether every label can start at its leader and still stay in the picture.
pub fn fits(d: &Drawing, names: &[Name], x0: f64, per_mm: f64, layout: Layout) -> bool {
    let start = |n: &Name| x0 + n.x * per_mm + 5.0;
    let ends = |n: &Name| start(n) + face::width(&n.label, false);
    !layout.is_narrow()
        && names
            .iter()
            .all(|n| start(n) >= 0.0 && ends(n) <= d.width())
}

/// Labels over the section: the leftmost highest, so that no leader crosses a label.
pub fn stairs_above(d: &mut Drawing, names: &[&Name], p: Place, top: f64) {
    for (i, name) in names.iter().enumerate() {
        let y = top + face::LINE * (i as f64 + 1.0);
        let [x, feature] = p.at(name.x, name.r);
        d.line([x, y - 10.0], [x, feature], "s-muted hairline");
        d.text(x + 5.0, y, Anchor::Start, "f-ink", &name.label);
    }
}

/// Labels under the section: the leftmost lowest.
pub fn stairs_below(d: &mut Drawing, names: &[&Name], p: Place, centre: f64) {
    let rows = names.len() as f64;
    for (i, name) in names.iter().enumerate() {
        let y = centre + 6.0 + face::LINE * (rows - i as f64);
        let [x, feature] = p.at(name.x, name.r);
        d.line([x, feature], [x, y], "s-muted hairline");
        d.text(x + 5.0, y, Anchor::Start, "f-ink", &name.label);
    }
    d.y = centre + 6.0 + face::LINE * rows;
}

/// Letters at the leaders and a list below, where labels do not fit.
pub fn letters(d: &mut Drawing, names: &[Name], p: Place, top: f64, centre: f64) {
    let right = d.width() - 8.0;
    for is_above in [true, false] {
        let side: Vec<(usize, &Name)> = names
            .iter()
            .enumerate()
            .filter(|(_, n)| n.is_above == is_above)
            .collect();
        let wanted: Vec<f64> = side.iter().map(|(_, n)| p.at(n.x, n.r)[0]).collect();
        let y = if is_above { top + 14.0 } else { centre + 32.0 };
        for ((i, name), x) in side.iter().zip(spread(&wanted, 20.0, 8.0, right)) {
            let from = if is_above { y + 4.0 } else { y - 13.0 };
            d.line([x, from], p.at(name.x, name.r), "s-muted hairline");
            d.text(x, y, Anchor::Middle, "f-ink bold", &letter(*i));
        }
    }
    d.y = centre + 36.0;
    for (i, name) in names.iter().enumerate() {
        d.paragraph(&format!("{}  {}", letter(i), name.label), "f-ink");
    }
}

fn letter(i: usize) -> String {
    char::from_u32('a' as u32 + i as u32)
        .unwrap_or('?')
        .to_string()
}
