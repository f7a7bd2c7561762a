//! What was assumed of the parts: a small density of each characteristic against its drawing limits.

use record::{Basis, Characteristic, Record};

use super::stamp;
use crate::drawing::{Anchor, Drawing, Layout, Picture};
use crate::face;
use crate::figure;
use crate::mode::Hatch;
use crate::scale::Scale;
use crate::text;
use crate::unit::Unit;

/// Height of the curve (px).
const HEIGHT: f64 = 42.0;

/// Draws all characteristics as one chart that stands alone.
pub fn draw(record: &Record, layout: Layout) -> Picture {
    let mut d = Drawing::titled(
        "parts",
        layout,
        &title(record),
        "Density of each characteristic as the process makes it, against its drawing limits (upright lines, as deviations from nominal). Hatched: outside the drawing.",
    );
    for c in &record.characteristics {
        let label = format!("{}, {}", text::label(&c.words, 60), basis(c.process.basis));
        let (left, top) = if layout.is_narrow() {
            d.y += face::LINE + 4.0;
            let y = d.y;
            d.text(
                0.0,
                y,
                Anchor::Start,
                "f-ink",
                &face::cut(&label, d.width() - 2.0, false),
            );
            (4.0, d.y + 6.0)
        } else {
            let middle = d.y + 30.0;
            d.text(
                0.0,
                middle,
                Anchor::Start,
                "f-ink",
                &face::cut(&label, 330.0, false),
            );
            d.text(
                0.0,
                middle + face::LINE,
                Anchor::Start,
                "f-muted",
                &face::cut(&nominal(c), 330.0, false),
            );
            (350.0, d.y + 8.0)
        };
        curve(
            &mut d,
            c,
            left,
            left + if layout.is_narrow() { 340.0 } else { 330.0 },
            top,
        );
        d.y = top + HEIGHT + face::LINE + 4.0;
    }
    d.finish(
        "Small densities, one for each characteristic.",
        &format!(
            "Stated before the run, not results of it. {}",
            stamp(record, record.yield_.pairings)
        ),
    )
}

/// The finding: which process leaves most outside its drawing.
fn title(record: &Record) -> String {
    let outside = |c: &Characteristic| share_outside(c).unwrap_or(0.0);
    let most = record
        .characteristics
        .iter()
        .max_by(|a, b| outside(a).total_cmp(&outside(b)));
    match most {
        Some(c) if outside(c) >= 1e-6 => format!(
            "{} leaves most outside its drawing: {}",
            text::sentence(&text::label(&c.words, 60)),
            outside_words(outside(c))
        ),
        Some(_)
            if record
                .characteristics
                .iter()
                .any(|c| share_outside(c).is_some()) =>
        {
            "No process leaves as much as one part in a million outside its drawing".to_owned()
        }
        _ => "No characteristic has drawing limits".to_owned(),
    }
}

/// Draws one density for a cell of the table.
pub fn density(c: &Characteristic, number: usize) -> Picture {
    let words = text::label(&c.words, 60);
    let mut d = Drawing::blank(
        &format!("part-{number}"),
        190.0,
        &format!("{words} against its drawing limits"),
    );
    curve(&mut d, c, 3.0, 187.0, 2.0);
    d.y = HEIGHT + face::LINE;
    let limits = match (c.lower, c.upper) {
        (None, None) => "no drawing limits".to_owned(),
        _ => format!("drawing limits {}", deviations(c)),
    };
    d.finish(&format!("Density of {words}, {limits}"), "")
}

/// Share outside the drawing, when there are limits.
pub fn share_outside(c: &Characteristic) -> Option<f64> {
    match (c.process.share_below, c.process.share_above) {
        (None, None) => None,
        (below, above) => Some(below.unwrap_or(0.0) + above.unwrap_or(0.0)),
    }
}

/// The share of a stated process outside its drawing. It is exact, so none is none.
pub fn outside_words(share: f64) -> String {
    match share {
        s if s <= 0.0 => "none".to_owned(),
        s if s >= 1e-3 => figure::with_unit(&figure::significant(s * 100.0, 2), "%"),
        s if s >= 1e-7 => figure::millionths(s),
        _ => "under 0.1 in a million".to_owned(),
    }
}

/// The two words that are told apart everywhere.
pub fn basis(basis: Basis) -> &'static str {
    match basis {
        Basis::Assumed => "assumed",
        Basis::Measured => "measured",
    }
}

/// The nominal with its unit.
pub fn nominal(c: &Characteristic) -> String {
    // An angle that a taper gives has endless digits; a ten-thousandth of a degree is a third of a second.
    let shown = if c.unit == "deg" {
        libm::round(c.nominal * 1e4) / 1e4
    } else {
        c.nominal
    };
    format!("nominal {}", Unit::of(&c.unit, c.nominal).stated(shown))
}

/// Drawing limits as deviations from nominal, in the unit of the drawing.
pub fn deviations(c: &Characteristic) -> String {
    let unit = deviation_unit(c);
    match (c.lower, c.upper) {
        (None, None) => "none".to_owned(),
        (Some(low), None) => format!("{} or more", with_unit(&limit(c, &unit, low), &unit)),
        (None, Some(high)) => format!("{} or less", with_unit(&limit(c, &unit, high), &unit)),
        (Some(low), Some(high)) => format!(
            "{} to {}",
            limit(c, &unit, low),
            with_unit(&limit(c, &unit, high), &unit)
        ),
    }
}

/// The unit in which deviations of this characteristic are shown.
pub fn deviation_unit(c: &Characteristic) -> Unit {
    let far = [
        c.lower,
        c.upper,
        Some(c.process.p0_135),
        Some(c.process.p99_865),
    ];
    let most = far
        .into_iter()
        .flatten()
        .map(|v| (v - c.nominal).abs())
        .fold(0.0, f64::max);
    Unit::of_deviation(&c.unit, most)
}

fn with_unit(number: &str, unit: &Unit) -> String {
    figure::with_unit(number, &unit.text)
}

/// A limit as a signed deviation: four significant digits, so that no binary noise shows.
fn limit(c: &Characteristic, unit: &Unit, value: f64) -> String {
    let deviation = (value - c.nominal) * unit.factor;
    if deviation.abs() <= c.nominal.abs() * unit.factor * 1e-12 {
        return "0".to_owned();
    }
    let kept = figure::power(3 - figure::exponent(deviation));
    let rounded = libm::round(deviation * kept) / kept;
    figure::stated_signed(if rounded.is_finite() {
        rounded
    } else {
        deviation
    })
}

fn curve(d: &mut Drawing, c: &Characteristic, left: f64, right: f64, top: f64) {
    let base = top + HEIGHT - 4.0;
    let p = &c.process;
    let mut values = vec![p.p0_135, p.p99_865, p.p50];
    values.extend([c.lower, c.upper].into_iter().flatten());
    let x = Scale::over(&values, left, right).with_margin(0.12);
    let inside: Vec<[f64; 2]> = p
        .density
        .iter()
        .copied()
        .filter(|q| x.holds(q[0]) && q[1].is_finite())
        .collect();
    let peak = inside.iter().map(|q| q[1]).fold(0.0, f64::max);
    d.line([left, base], [right, base], "s-hair hairline");
    if inside.len() > 1 && peak > 0.0 {
        let points: Vec<[f64; 2]> = inside
            .iter()
            .map(|q| [x.at(q[0]), base - (base - top - 4.0) * (q[1] / peak)])
            .collect();
        // Readings that are drawn again have a staircase, which no slope may smooth.
        let points = if p.shape == "readings" {
            stairs(&points)
        } else {
            points
        };
        filled(d, &points, base, "f-good", None);
        let hatch = d.hatch_lines(
            "outside",
            ["rust", "paper"],
            Hatch {
                angle: 45.0,
                pitch: 4.0,
                crossed: false,
            },
        );
        let below = |limit: f64| {
            points
                .iter()
                .copied()
                .filter(|q| q[0] <= x.at(limit))
                .collect::<Vec<_>>()
        };
        let above = |limit: f64| {
            points
                .iter()
                .copied()
                .filter(|q| q[0] >= x.at(limit))
                .collect::<Vec<_>>()
        };
        for tail in [c.lower.map(below), c.upper.map(above)]
            .into_iter()
            .flatten()
            .filter(|t| t.len() > 1)
        {
            filled(d, &tail, base, "", Some(&hatch));
        }
        d.polyline(&points, "s-ink hairline");
    } else {
        d.line([x.at(p.p50), base], [x.at(p.p50), top + 4.0], "s-ink heavy");
    }
    for value in [c.lower, c.upper].into_iter().flatten() {
        d.line([x.at(value), top], [x.at(value), base + 3.0], "s-edge line");
    }
    limit_labels(d, c, &x, base + 3.0 + face::ASCENT + 2.0);
}

/// Points as steps that are upright half-way between two of them.
fn stairs(points: &[[f64; 2]]) -> Vec<[f64; 2]> {
    let mut steps = Vec::with_capacity(2 * points.len());
    steps.extend(points.first());
    for pair in points.windows(2) {
        let middle = (pair[0][0] + pair[1][0]) / 2.0;
        steps.extend([[middle, pair[0][1]], [middle, pair[1][1]]]);
    }
    steps.extend(points.last());
    steps
}

fn filled(d: &mut Drawing, points: &[[f64; 2]], base: f64, class: &str, fill: Option<&str>) {
    let mut area = points.to_vec();
    if let (Some(first), Some(last)) = (points.first(), points.last()) {
        area.push([last[0], base]);
        area.push([first[0], base]);
    }
    d.area(&area, class, fill);
}

/// The limits written under their lines, each kept on its own side.
fn limit_labels(d: &mut Drawing, c: &Characteristic, x: &Scale, y: f64) {
    let unit = deviation_unit(c);
    let written = |v: f64| with_unit(&limit(c, &unit, v), &unit);
    match (c.lower, c.upper) {
        (Some(low), Some(high)) => {
            // Where both do not fit side by side each is cut to its half.
            let half = (x.end - x.start) / 2.0 - 4.0;
            let [a, b] = [low, high].map(|v| face::cut(&written(v), half, false));
            let split = (x.at(low) + x.at(high)) / 2.0;
            let split = split
                .max(x.start + face::width(&a, false) + 4.0)
                .min(x.end - face::width(&b, false) - 4.0);
            d.text_within(x.at(low), y, [x.start, split - 4.0], "f-edge", &a);
            d.text_within(x.at(high), y, [split + 4.0, x.end], "f-edge", &b);
        }
        (Some(only), None) | (None, Some(only)) => {
            d.text_within(x.at(only), y, [x.start, x.end], "f-edge", &written(only))
        }
        (None, None) => d.text(x.start, y, Anchor::Start, "f-muted", "no limits"),
    }
}
