//! What half sections of cones and of splines share: the finding, the broken end of a shaft, the scale bar.

use record::Record;

use super::callout::Place;
use crate::drawing::{Anchor, Drawing};
use crate::face;
use crate::figure;
use crate::mode::Mode;
use crate::seat::Seat;
use crate::text;

/// What a record calls a material that has constants and no name.
const NAMELESS: &str = "stated by its constants";

/// The finding: what becomes of the joint with every size at nominal.
pub fn title(record: &Record) -> String {
    let closes = record.nominal_verdict != "gap_left";
    let draw_up = record
        .nominal
        .get("draw_up_mm")
        .map_or(String::new(), |v| match *v {
            v if v > 0.0 && !closes => format!(
                ": closing would take {} of draw-up",
                figure::with_unit(&figure::fixed(v, 3), "mm")
            ),
            v if v > 0.0 => format!(
                ": the hub draws up {} to close",
                figure::with_unit(&figure::fixed(v, 3), "mm")
            ),
            v => format!(
                ": the spacer is pinched {} before the {} touch",
                figure::with_unit(&figure::fixed(-v, 3), "mm"),
                Seat::of(record).nouns()
            ),
        });
    // Errors of teeth have no nominal but none: the first teeth to touch then seat the hub further out.
    let nominal = match Seat::of(record) {
        Seat::Cone => "With every size at nominal",
        Seat::Teeth => "With every size at nominal and perfect teeth",
    };
    if record.nominal_verdict == "good" {
        return format!("{nominal} the joint is good{draw_up}");
    }
    format!(
        "{nominal} the joint is rejected ({}){draw_up}",
        Mode::of(&record.nominal_verdict, Seat::of(record)).label
    )
}

/// The wavy end of a shaft that goes on.
pub fn break_line(d: &mut Drawing, p: Place, x: f64, [low, high]: [f64; 2]) {
    let wave = |i: usize| {
        let share = i as f64 / 12.0;
        let [px, py] = p.at(x, low + (high - low) * share);
        [px + 2.5 * libm::sin(share * 2.0 * std::f64::consts::PI), py]
    };
    let points: Vec<[f64; 2]> = (0..=12).map(wave).collect();
    d.polyline(&points, "s-ink hairline");
}

/// The name of a material, or its modulus where the scenario gives constants instead of a name.
pub fn material(name: &str, modulus_mpa: f64) -> String {
    if name == NAMELESS {
        let gpa = figure::significant(modulus_mpa / 1e3, 3);
        return format!("E\u{A0}{}", figure::with_unit(&gpa, "GPa"));
    }
    text::label(name, 24)
}

/// A bar of a round length.
pub fn scale_bar(d: &mut Drawing, per_mm: f64) {
    let longest = 90.0 / per_mm.max(1e-300);
    let unit = figure::power(figure::exponent(longest));
    let length = [5.0, 2.0, 1.0]
        .into_iter()
        .map(|m| m * unit)
        .find(|l| *l <= longest)
        .unwrap_or(unit);
    let label = figure::with_unit(&figure::stated(length), "mm");
    d.y += face::LINE + 6.0;
    let y = d.y;
    let end = length * per_mm;
    d.line([1.0, y - 5.0], [1.0 + end, y - 5.0], "s-ink line");
    for x in [1.0, 1.0 + end] {
        d.line([x, y - 9.0], [x, y - 1.0], "s-ink line");
    }
    d.text(end + 10.0, y, Anchor::Start, "f-muted", &label);
}
