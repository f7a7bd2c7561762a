//! What the torque buys: shares of joints against the torque set on the wrench.

use record::{Record, Share, TorqueCurve, TorquePoint};

use super::axis::{self, Wish};
use super::stamp;
use crate::RenderError;
use crate::drawing::{Anchor, Drawing, Layout, Picture, spread};
use crate::face;
use crate::figure;
use crate::plot::{self, Item};
use crate::scale::Scale;

/// Share of good joints asked for when the record sets no target.
const USUAL_LEVEL: f64 = 0.99;

/// One curve: what it counts and how it looks.
struct Curve {
    label: &'static str,
    hue: &'static str,
    stroke: &'static str,
    shares: Vec<Share>,
}

/// Torque settings between which at least the level of joints is good, judged by the lower end of the interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Span {
    /// Share of good joints asked for.
    pub level: f64,
    /// Lowest and highest setting drawn that reaches it without a break around the best.
    pub torque_nm: Option<[f64; 2]>,
    /// The setting with most good joints, and its share.
    pub best: Option<(f64, Share)>,
}

/// The window of torque one can specify.
pub fn window(record: &Record, curve: &TorqueCurve) -> Span {
    let level = record.target_yield.unwrap_or(USUAL_LEVEL);
    let reaches = |p: &TorquePoint| p.good.low >= level;
    let best = (0..curve.points.len()).max_by(|&a, &b| {
        curve.points[a]
            .good
            .fraction
            .total_cmp(&curve.points[b].good.fraction)
            .then(b.cmp(&a))
    });
    let torque_nm = best.filter(|&b| reaches(&curve.points[b])).map(|b| {
        let from = (0..=b)
            .rev()
            .take_while(|&i| reaches(&curve.points[i]))
            .last()
            .unwrap_or(b);
        let to = (b..curve.points.len())
            .take_while(|&i| reaches(&curve.points[i]))
            .last()
            .unwrap_or(b);
        [curve.points[from].torque_nm, curve.points[to].torque_nm]
    });
    Span {
        level,
        torque_nm,
        best: best.map(|b| (curve.points[b].torque_nm, curve.points[b].good)),
    }
}

/// Draws the curves.
pub fn draw(record: &Record, curve: &TorqueCurve, layout: Layout) -> Result<Picture, RenderError> {
    let span = window(record, curve);
    let mut d = Drawing::titled(
        "torque",
        layout,
        &title(curve, &span),
        &subtitle(curve, &span),
    );
    let curves = curves(curve);
    let room = if layout.is_narrow() { 8.0 } else { 178.0 };
    let mut torques: Vec<f64> = curve.points.iter().map(|p| p.torque_nm).collect();
    torques.extend([curve.low_nm, curve.high_nm, curve.set_nm]);
    let x = Scale::over(&torques, 52.0, d.width() - room);
    if layout.is_narrow() {
        for c in &curves {
            d.y += face::LINE;
            let y = d.y;
            d.line(
                [0.0, y - 4.5],
                [26.0, y - 4.5],
                &format!("s-{} {}", c.hue, c.stroke),
            );
            d.text(34.0, y, Anchor::Start, &format!("f-{}", c.hue), c.label);
        }
        d.y += 6.0;
    }
    setting_labels(&mut d, curve, &span, &x);
    d.paragraph("share of joints (%)", "f-muted");
    let (top, base) = (d.y + 16.0, d.y + 236.0);
    let y = Scale::over(&[0.0, 100.0], base, top);
    d.rect(
        [x.at(curve.low_nm), top],
        [x.at(curve.high_nm) - x.at(curve.low_nm), base - top],
        "f-band",
    );
    if let Some([from, to]) = span.torque_nm {
        d.rect(
            [x.at(from), top - 9.0],
            [x.at(to) - x.at(from), 5.0],
            "f-edge",
        );
    }
    axis::guides(&mut d, &x, &y, 5);
    plot::draw(&mut d, &x, &y, &items(curve, &curves))?;
    d.line(
        [x.at(curve.set_nm), top],
        [x.at(curve.set_nm), base],
        "s-ink line chain",
    );
    if !layout.is_narrow() {
        end_labels(&mut d, &curves, &x, &y);
    }
    axis::below(&mut d, &x, base, "torque set on the wrench (N·m)");
    let described: Vec<String> = curves.iter().map(|c| c.label.to_owned()).collect();
    Ok(d.finish(
        &format!(
            "Curves against torque: {}. {}",
            described.join(", "),
            title(curve, &span)
        ),
        &stamp(record, curve.pairings),
    ))
}

fn torque(nm: f64) -> String {
    figure::with_unit(&figure::significant(nm, 3), "N·m")
}

/// The finding, judged by interval ends.
fn title(curve: &TorqueCurve, span: &Span) -> String {
    let level = figure::with_unit(&figure::stated(span.level * 100.0), "%");
    let torque = |nm: f64| figure::with_unit(&figure::stated(libm::round(nm * 10.0) / 10.0), "N·m");
    let highest = curve.points.last().map_or(f64::INFINITY, |p| p.torque_nm);
    match (span.torque_nm, span.best) {
        (Some([from, to]), _) if from < to => {
            let set = if curve.set_nm >= from && curve.set_nm <= to {
                ""
            } else {
                "; the torque now set lies outside"
            };
            let end = if to >= highest {
                format!("{} (the highest drawn)", torque(to))
            } else {
                torque(to)
            };
            format!(
                "Set between {} and {end}, at least {level} of joints are good{set}",
                torque(from)
            )
        }
        (Some([at, _]), _) => format!(
            "Of the settings drawn only {} makes at least {level} of joints good",
            torque(at)
        ),
        (None, Some((_, share))) if share.count == 0 => {
            "No torque drawn makes a good joint".to_owned()
        }
        (None, Some((at, share))) => {
            let most = figure::percent(share.fraction, share.low, share.high).value;
            let most = if share.count == curve.pairings {
                "all of those tried".to_owned()
            } else {
                figure::with_unit(&most, "%")
            };
            format!(
                "No torque drawn is shown to make {level} of joints good; the most, {most}, at {}",
                torque(at)
            )
        }
        (None, None) => "No torque was tried".to_owned(),
    }
}

fn subtitle(curve: &TorqueCurve, span: &Span) -> String {
    let stress = if curve.rigid_spacer && curve.points.iter().any(|p| p.overstressed.is_some()) {
        " The spacer is taken as rigid: once it is pinched more torque adds clamp load, not bore stress, and the stress curve stays flat."
    } else {
        ""
    };
    let level = figure::with_unit(&figure::stated(span.level * 100.0), "%");
    let bar = match span.torque_nm {
        Some(_) => format!(
            " Bar on top: settings at which at least {level} are good, by the lower end of the interval."
        ),
        None => String::new(),
    };
    let strength = if curve.points.iter().any(|p| p.overtightened.is_some()) {
        ""
    } else {
        " The bolt's own strength is not judged here."
    };
    format!(
        "Each pairing keeps its own torque error and frictions; bands around the curves are intervals.{bar}{stress}{strength}"
    )
}

fn curves(curve: &TorqueCurve) -> Vec<Curve> {
    let all = |pick: &dyn Fn(&TorquePoint) -> Option<Share>| -> Option<Vec<Share>> {
        curve.points.iter().map(pick).collect()
    };
    let rows: [(&str, &str, &str, Option<Vec<Share>>); 5] = [
        ("good", "ink", "heavy", all(&|p| Some(p.good))),
        ("spacer pinched", "blue", "line", all(&|p| Some(p.pinched))),
        (
            "enough clamp load",
            "ochre",
            "line dash",
            all(&|p| p.clamped),
        ),
        (
            "bore over-stressed",
            "crimson",
            "heavy dots",
            all(&|p| p.overstressed),
        ),
        (
            "bolt beyond its limit",
            "violet",
            "line dots",
            all(&|p| p.overtightened),
        ),
    ];
    rows.into_iter()
        .filter_map(|(label, hue, stroke, shares)| {
            Some(Curve {
                label,
                hue,
                stroke,
                shares: shares?,
            })
        })
        .collect()
}

fn items(curve: &TorqueCurve, curves: &[Curve]) -> Vec<Item> {
    let mut items = Vec::new();
    let along = |pick: &dyn Fn(&Share) -> f64, shares: &[Share]| -> Vec<(f64, f64)> {
        curve
            .points
            .iter()
            .zip(shares)
            .map(|(p, s)| (p.torque_nm, pick(s) * 100.0))
            .collect()
    };
    for c in curves {
        let mut band = along(&|s| s.low, &c.shares);
        band.extend(along(&|s| s.high, &c.shares).into_iter().rev());
        items.push(Item::Area(
            band,
            format!("class=\"f-{}\" fill-opacity=\"0.22\"", c.hue),
        ));
    }
    for c in curves {
        items.push(Item::Line(
            along(&|s| s.fraction, &c.shares),
            format!("s-{} {}", c.hue, c.stroke),
        ));
    }
    items
}

/// Labels over the plot: the torque set and the scatter of what is really applied.
fn setting_labels(d: &mut Drawing, curve: &TorqueCurve, span: &Span, x: &Scale) {
    let mut labels = vec![(
        curve.set_nm,
        format!(
            "set {}",
            figure::with_unit(&figure::stated(curve.set_nm), "N·m")
        ),
        "f-ink bold",
    )];
    if curve.low_nm < curve.high_nm {
        labels.push((
            curve.set_nm,
            format!(
                "shaded: 99.73\u{A0}% of tightenings, {} to {}",
                figure::significant(curve.low_nm, 3),
                torque(curve.high_nm)
            ),
            "f-muted",
        ));
    }
    if let Some([from, to]) = span.torque_nm.filter(|[from, to]| from < to) {
        let [from_words, to_words] =
            [from, to].map(|nm| figure::stated(libm::round(nm * 10.0) / 10.0));
        let label = format!(
            "window {from_words} to {}",
            figure::with_unit(&to_words, "N·m")
        );
        labels.push(((from + to) / 2.0, label, "f-edge bold"));
    }
    let wishes: Vec<Wish> = labels
        .iter()
        .map(|(at, label, class)| Wish {
            x: x.at(*at),
            width: face::width(label, class.contains("bold")),
        })
        .collect();
    let placed = axis::rows(&wishes, [0.0, d.width()], 16.0);
    let rows = placed.iter().map(|p| p.0 + 1).max().unwrap_or(0);
    for ((_, label, class), (row, left)) in labels.iter().zip(&placed) {
        let y = d.y + face::LINE * (*row as f64 + 1.0);
        d.text(*left, y, Anchor::Start, class, label);
    }
    d.y += face::LINE * rows as f64 + 2.0;
}

/// Labels at the right ends of the curves.
fn end_labels(d: &mut Drawing, curves: &[Curve], x: &Scale, y: &Scale) {
    let ends: Vec<f64> = curves
        .iter()
        .map(|c| {
            c.shares
                .last()
                .map_or(y.start, |s| y.at(s.fraction * 100.0))
        })
        .collect();
    // Labels of curves that end together stand in the order of the list, not on top of each other.
    let wished: Vec<f64> = ends
        .iter()
        .enumerate()
        .map(|(i, e)| e + i as f64 * 0.01)
        .collect();
    let placed = spread(&wished, face::LINE, y.end + 2.0, y.start - 2.0);
    for ((c, end), at) in curves.iter().zip(&ends).zip(&placed) {
        d.line(
            [x.end + 2.0, *end],
            [x.end + 12.0, *at],
            &format!("s-{} hairline", c.hue),
        );
        d.line(
            [x.end + 12.0, *at],
            [x.end + 34.0, *at],
            &format!("s-{} {}", c.hue, c.stroke),
        );
        d.text(
            x.end + 40.0,
            at + 4.8,
            Anchor::Start,
            &format!("f-{}", c.hue),
            c.label,
        );
    }
}
