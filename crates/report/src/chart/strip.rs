//! The magnified strip of the clamping face: where faces end up against the spacer's face.

use record::{Basis, Record};

use super::axis;
use crate::drawing::{Anchor, Drawing};
use crate::face;
use crate::figure;
use crate::mode::Hatch;
use crate::scale::Scale;

/// Height of one row (px).
const ROW: f64 = 62.0;

/// One band of axial positions (mm): 0.135 %, 50 %, 99.865 %.
struct Band {
    label: String,
    hue: &'static str,
    ends: [f64; 3],
}

/// Height that the strip takes (px).
pub fn height(record: &Record) -> f64 {
    face::LINE + 4.0 + ROW * bands(record).len() as f64 + 44.0
}

/// Draws the strip between two edges from `top` down; the section has `per_mm` pixels a millimetre.
pub fn draw(d: &mut Drawing, record: &Record, [left, right]: [f64; 2], top: f64, per_mm: f64) {
    let bands = bands(record);
    let nominal = record.joint.spacer.thickness_mm;
    let mut values: Vec<f64> = bands.iter().flat_map(|b| b.ends).collect();
    values.push(nominal);
    let x = Scale::over(&values, left, right).with_margin(0.06);
    let base = top + face::LINE + 4.0 + ROW * bands.len() as f64;
    let face_at = x.at(nominal);
    d.text_within(
        face_at,
        top + face::LINE - 4.0,
        [left, right],
        "f-edge bold",
        "spacer's face at nominal",
    );
    d.line(
        [face_at, top + face::LINE],
        [face_at, base],
        "s-edge line dash",
    );
    for (i, band) in bands.iter().enumerate() {
        row(d, band, &x, top + face::LINE + 4.0 + ROW * i as f64);
    }
    let times = (x.end - x.start) / (x.high - x.low) / per_mm.max(1e-300);
    let larger = if (1.5..1e6).contains(&times) {
        format!(
            "from the shoulder (mm), {} × larger",
            figure::significant(times, 2)
        )
    } else {
        "from the shoulder (mm)".to_owned()
    };
    let keep = d.y;
    axis::below(d, &x, base, &larger);
    d.y = keep;
}

fn bands(record: &Record) -> Vec<Band> {
    let mut bands = Vec::new();
    if let Some(c) = record
        .characteristics
        .iter()
        .find(|c| c.path == "spacer.thickness")
    {
        let p = &c.process;
        let word = match p.basis {
            Basis::Assumed => "assumed",
            Basis::Measured => "measured",
        };
        bands.push(Band {
            label: format!("spacer's face, {word}"),
            hue: "blue",
            ends: [p.p0_135, p.p50, p.p99_865],
        });
    }
    for (name, label, hue) in [
        ("first_touch", "clamping face at first touch", "slate"),
        ("stand_off", "clamping face when tightened", "rust"),
    ] {
        let Some(output) = record.output(name) else {
            continue;
        };
        let at = |key: &str| output.quantiles.get(key).map(|q| q.value);
        if let (Some(low), Some(middle), Some(high)) = (at("0.00135"), at("0.5"), at("0.99865")) {
            bands.push(Band {
                label: label.to_owned(),
                hue,
                ends: [low, middle, high],
            });
        }
    }
    bands
}

fn row(d: &mut Drawing, band: &Band, x: &Scale, top: f64) {
    let [low, middle, high] = band.ends.map(|v| x.at(v));
    let hatch = d.hatch_lines(
        band.hue,
        [band.hue, "paper"],
        Hatch {
            angle: if band.hue == "blue" { 135.0 } else { 45.0 },
            pitch: 4.0,
            crossed: false,
        },
    );
    d.text_within(
        (low + high) / 2.0,
        top + 15.0,
        [x.start, x.end],
        &format!("f-{} halo", band.hue),
        &band.label,
    );
    let (y, tall) = (top + 21.0, 13.0);
    let box_ = [
        [low - 0.6, y],
        [high + 0.6, y],
        [high + 0.6, y + tall],
        [low - 0.6, y + tall],
    ];
    d.area(&box_, &format!("s-{} hairline", band.hue), Some(&hatch));
    d.line([middle, y - 3.0], [middle, y + tall + 3.0], "s-ink heavy");
    let decimals = decimals(band.ends[2] - band.ends[0]);
    let written = band.ends.map(|v| figure::fixed(v, decimals));
    let text = if band.ends[0] == band.ends[2] {
        written[1].clone()
    } else {
        written.join(" · ")
    };
    let width = face::width(&text, false);
    let start = ((low + high - width) / 2.0).min(x.end - width).max(x.start);
    d.text(start, y + tall + 17.0, Anchor::Start, "f-ink halo", &text);
}

/// Decimals that tell the ends of a band apart: micrometres, finer for narrow bands.
fn decimals(span: f64) -> usize {
    if span <= 0.0 {
        return 3;
    }
    usize::try_from(2 - figure::exponent(span))
        .unwrap_or(0)
        .clamp(0, 3)
}
