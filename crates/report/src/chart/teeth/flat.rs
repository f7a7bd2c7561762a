//! A few teeth of a spline laid flat: wedges in the spaces of the hub, with both gauge planes.

use super::{Spline, hatch, mm};
use crate::chart::half_section;
use crate::drawing::{Drawing, Layout};
use crate::face;
use crate::figure;

/// Tallest that the teeth are drawn (px).
const TALLEST: f64 = 190.0;

/// Teeth laid flat: along the shaft from left to right, round it from top to bottom.
struct Flat {
    /// What is drawn of the shaft's teeth and of the hub, from the shoulder (mm).
    male: [f64; 2],
    female: [f64; 2],
    /// Edges of the view (mm).
    ends: [f64; 2],
    /// From tooth to tooth (mm).
    pitch: f64,
}

impl Flat {
    fn of(s: Spline) -> Flat {
        let (tan, [from, to]) = (s.tangent(), s.engaged());
        // A wedge is drawn only where it is neither gone nor as wide as its pitch.
        let wedge = |plane: f64, size: f64| [plane - 0.4 * size / tan, plane + 0.45 * size / tan];
        let cut = |[a, b]: [f64; 2], [low, high]: [f64; 2]| {
            let [a, b] = [a.clamp(low, high), b.clamp(low, high)];
            if b - a > 1e-9 { [a, b] } else { [low, high] }
        };
        let reach = 0.12 * (to - from);
        let male = cut(
            [(from - reach).max(0.0), to + reach],
            wedge(s.male.gauge_plane_mm, s.male.size_mm),
        );
        let plane = s.h + s.female.gauge_plane_mm;
        let female = cut([from, to], wedge(plane, s.female.size_mm));
        let all = [
            male[0],
            male[1],
            female[0],
            female[1],
            s.male.gauge_plane_mm,
            plane,
        ];
        Flat {
            male,
            female,
            ends: [
                all.iter().copied().fold(f64::INFINITY, f64::min),
                all.iter().copied().fold(f64::NEG_INFINITY, f64::max),
            ],
            pitch: 2.0 * s.male.size_mm,
        }
    }
}

/// Half of a tooth's thickness, or of a space's width, at `x` from its gauge plane (mm).
fn half(size: f64, tan: f64, from_plane: f64) -> f64 {
    (size / 2.0 - from_plane * tan).max(0.0)
}

/// Draws a few teeth from the next free line down.
pub fn draw(d: &mut Drawing, s: Spline, layout: Layout) {
    let flat = Flat::of(s);
    d.paragraph(
        &format!(
            "Teeth laid flat: the shaft's (grey) run to the right into the spaces of the hub (hatched); flank half-angle {}°",
            figure::stated(s.teeth.flank_half_angle_deg)
        ),
        "f-ink",
    );
    let room = if layout.is_narrow() {
        d.width() - 6.0
    } else {
        520.0
    };
    let span = (flat.ends[1] - flat.ends[0]).max(1e-6);
    let per_mm = (room / span).min(TALLEST / (2.0 * flat.pitch).max(1e-6));
    let [male, female] = [s.male.gauge_plane_mm, s.h + s.female.gauge_plane_mm];
    let x = |at: f64| 3.0 + (at - flat.ends[0]) * per_mm;
    plane_label(
        d,
        x(male),
        &format!(
            "shaft gauge plane: tooth {} thick, {} from the shoulder",
            mm(s.male.size_mm),
            mm(male)
        ),
    );
    let top = d.y + 12.0;
    let tall = 2.0 * flat.pitch * per_mm;
    wedges(d, s, &flat, per_mm, top);
    let bottom = top + tall;
    d.line(
        [x(male), top - 7.0],
        [x(male), bottom],
        "s-violet line chain",
    );
    d.line(
        [x(female), top],
        [x(female), bottom + 8.0],
        "s-violet line chain",
    );
    d.y = bottom + 6.0;
    plane_label(
        d,
        x(female),
        &format!(
            "hub gauge plane: space {} wide, {} from the clamping face",
            mm(s.female.size_mm),
            mm(s.female.gauge_plane_mm)
        ),
    );
    half_section::scale_bar(d, per_mm);
}

/// A label on lines of its own near its plane.
fn plane_label(d: &mut Drawing, x: f64, label: &str) {
    let whole = d.width() - 2.0;
    let lines = face::wrap(label, whole, false);
    // One line stands at its plane, several at the edge.
    let x = if lines.len() > 1 { 0.0 } else { x };
    for line in lines {
        d.y += face::LINE;
        let y = d.y;
        d.text_within(x, y, [0.0, whole], "f-violet", &line);
    }
}

/// Two whole teeth and the hub between and beside them.
fn wedges(d: &mut Drawing, s: Spline, flat: &Flat, per_mm: f64, top: f64) {
    let tan = s.tangent();
    let at = |x: f64, v: f64| [3.0 + (x - flat.ends[0]) * per_mm, top + v * per_mm];
    let cut = d.hatch_lines("land", ["muted", "paper"], hatch(45.0, 7.0));
    let plane = s.h + s.female.gauge_plane_mm;
    let middles = [0.5 * flat.pitch, 1.5 * flat.pitch];
    let whole = 2.0 * flat.pitch;
    for i in 0_usize..=2 {
        // The land between the spaces above and below it; outermost ones are cut at the edge of the view.
        let edges = |x: f64| {
            let space = half(s.female.size_mm, tan, x - plane);
            let from = i
                .checked_sub(1)
                .map_or(0.0, |above: usize| middles[above] + space);
            let to = middles.get(i).map_or(whole, |below| below - space);
            [from, to.max(from)]
        };
        let [[a, b], [c, e]] = flat.female.map(edges);
        let land = [
            at(flat.female[0], a),
            at(flat.female[1], c),
            at(flat.female[1], e),
            at(flat.female[0], b),
        ];
        d.area(&land, "s-ink hairline", Some(&cut));
    }
    for middle in middles {
        let [large, small] = flat
            .male
            .map(|x| half(s.male.size_mm, tan, x - s.male.gauge_plane_mm));
        let tooth = [
            at(flat.male[0], middle - large),
            at(flat.male[1], middle - small),
            at(flat.male[1], middle + small),
            at(flat.male[0], middle + large),
        ];
        d.area(&tooth, "f-good", None);
        d.polyline(&[&tooth[..], &tooth[..1]].concat(), "s-ink line");
        d.line(
            at(flat.male[0], middle),
            at(flat.male[1], middle),
            "s-muted hairline chain",
        );
    }
}
