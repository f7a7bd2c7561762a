//! One pairing against torque: how the bolt load is shared, and the gap that is left.

use record::{Ladder, Rung};

use super::Figure;
use super::axis::{self, Wish};
use crate::RenderError;
use crate::drawing::{Anchor, Drawing, Layout, Picture, spread};
use crate::face;
use crate::figure;
use crate::mode::{Hatch, Mode};
use crate::plot::{self, Item};
use crate::scale::Scale;
use crate::seat::Seat;
use crate::text;

/// Height of the panel of loads (px).
const LOADS: f64 = 230.0;
/// Height of the panel of the gap (px).
const GAP: f64 = 96.0;
/// Height of that panel when there is none to show (px).
const NO_GAP: f64 = 26.0;
/// Gap below which a panel is not stretched: a micrometre (mm).
const LEAST_GAP: f64 = 1e-3;

/// The picture in both layouts.
///
/// # Errors
/// [`RenderError::Plot`] when the plotting library refuses it.
pub fn figure(ladder: &Ladder) -> Result<Figure, RenderError> {
    Ok(Figure {
        name: "ladder".to_owned(),
        wide: draw(ladder, Layout::Wide)?,
        narrow: draw(ladder, Layout::Narrow)?,
    })
}

/// The finding.
pub fn title(ladder: &Ladder) -> String {
    let Some(top) = ladder.rungs.last() else {
        return "No torque was tried".to_owned();
    };
    let highest = torque(top.torque_nm);
    let Some(gap) = top.gap_mm else {
        return format!("The hub never seats, up to {highest}");
    };
    let bought = ladder.clamp_n_per_nm.map_or_else(String::new, |n| {
        format!("; each N·m beyond adds {} of clamp load", load(n))
    });
    match (ladder.pinched_from_nm, ladder.bears_from_nm) {
        (None, _) => format!(
            "Up to {highest} the spacer stays loose: {} of gap is left",
            length(gap)
        ),
        (Some(0.0), None) => {
            format!("Up to {highest} the seat never bears: the spacer takes the whole bolt load")
        }
        (Some(0.0), Some(from)) => format!(
            "The spacer is pinched first; the seat bears from {} on",
            torque(from)
        ),
        (Some(from), _) => format!("The spacer is pinched at {}{bought}", torque(from)),
    }
}

/// What happens as the torque rises, a sentence each.
pub fn findings(ladder: &Ladder) -> Vec<String> {
    let Some((first, top)) = ladder.rungs.first().zip(ladder.rungs.last()) else {
        return Vec::new();
    };
    let highest = torque(top.torque_nm);
    let Some(gap) = top.gap_mm else {
        return vec![format!("Up to {highest} the hub never seats.")];
    };
    let mut said = vec![match ladder.bears_from_nm {
        Some(0.0) => "The seat bears from the first torque on.".to_owned(),
        Some(from) => format!("The seat bears from {} on.", torque(from)),
        None => format!("The seat does not bear up to {highest}."),
    }];
    said.push(match ladder.pinched_from_nm {
        Some(0.0) => "The spacer is pinched from the first torque on.".to_owned(),
        Some(from) => format!(
            "The spacer is pinched at {}; below that the seat takes the whole bolt load.",
            torque(from)
        ),
        None => format!(
            "The spacer is not pinched up to {highest}: {} of gap is left.",
            length(gap)
        ),
    });
    if let Some(n) = ladder.clamp_n_per_nm {
        said.push(format!(
            "{} buys {} of clamp load, {} at {highest}.",
            if ladder.pinched_from_nm == Some(0.0) {
                "Each N·m"
            } else {
                "Beyond, each N·m"
            },
            load(n),
            load(top.clamp_load_n.unwrap_or(0.0))
        ));
    }
    said.push(match ladder.good_nm() {
        Some([from, to]) if from == to => format!(
            "Of the torques tried the joint is good at {} only.",
            torque(to)
        ),
        Some([from, to]) if from <= first.torque_nm && to >= top.torque_nm => {
            "The joint is good at every torque tried.".to_owned()
        }
        Some([from, to]) => format!(
            "Of the torques tried the joint is good from {} to {}.",
            hundredths(from),
            torque(to)
        ),
        None => format!(
            "No torque tried makes the joint good; at {highest}: {}.",
            Mode::of(&top.verdict, Seat::named(&ladder.seat)).label
        ),
    });
    said
}

fn torque(nm: f64) -> String {
    figure::with_unit(&hundredths(nm), "N·m")
}

/// Hundredths of N·m, finer below one.
fn hundredths(nm: f64) -> String {
    if nm < 1.0 {
        return figure::significant(nm, 3);
    }
    figure::stated(libm::round(nm * 100.0) / 100.0)
}

fn load(n: f64) -> String {
    figure::with_unit(&figure::significant(n * 1e-3, 3), "kN")
}

fn length(mm: f64) -> String {
    figure::with_unit(&figure::fixed(mm, 3), "mm")
}

fn subtitle(ladder: &Ladder) -> String {
    let spacer = if ladder.rigid_spacer {
        " The spacer is taken as rigid."
    } else {
        ""
    };
    let own = if (ladder.applied_share - 1.0).abs() > 1e-9 {
        format!(
            " The bolt of this pairing gets {} of the torque set.",
            figure::with_unit(&figure::significant(ladder.applied_share * 100.0, 4), "%")
        )
    } else {
        String::new()
    };
    format!(
        "One pairing: how the bolt load is shared between seat and spacer, and the gap left.{spacer}{own}"
    )
}

fn draw(ladder: &Ladder, layout: Layout) -> Result<Picture, RenderError> {
    let mut d = Drawing::titled("ladder", layout, &title(ladder), &subtitle(ladder));
    let room = if layout.is_narrow() { 8.0 } else { 128.0 };
    let points = points(ladder);
    let torques: Vec<f64> = points.iter().map(|p| p.torque_nm).collect();
    let x = Scale::over(&torques, 52.0, d.width() - room);
    if layout.is_narrow() {
        legend(&mut d);
    }
    let marks = marks(ladder, &x);
    mark_labels(&mut d, &marks, &x);
    d.paragraph("load (kN)", "f-muted");
    let (top, base) = (d.y + 16.0, d.y + 16.0 + LOADS);
    loads(&mut d, ladder, &points, &x, [top, base], layout)?;
    good_bar(&mut d, ladder, &x, top);
    d.line([x.start, base], [x.end, base], "s-ink hairline");
    d.y = base + 10.0;
    d.paragraph("gap at the spacer (mm)", "f-muted");
    let is_there = points.iter().any(|p| p.gap_mm.is_some_and(|gap| gap > 0.0));
    let (above, below) = (d.y + 8.0, d.y + 8.0 + if is_there { GAP } else { NO_GAP });
    for mark in &marks {
        d.line([mark.at, top], [mark.at, base], mark.stroke);
        if is_there {
            d.line([mark.at, above], [mark.at, below], mark.stroke);
        }
    }
    gap(&mut d, &points, &x, [above, below])?;
    axis::below(&mut d, &x, below, "torque set on the wrench (N·m)");
    let described = findings(ladder).join(" ");
    Ok(d.finish(&described, &stamp(ladder)))
}

/// What stands under the picture.
fn stamp(ladder: &Ladder) -> String {
    let name = match &ladder.name {
        Some(name) => format!(", {}", text::label(name, 40)),
        None => String::new(),
    };
    format!(
        "Solved, not simulated: {}{name}, {} torques; the pairing keeps its own torque error and frictions.",
        text::label(&ladder.scenario, 32),
        ladder.rungs.len(),
    )
}

/// The rungs, and between them the torques at which a curve has its bend.
fn points(ladder: &Ladder) -> Vec<Rung> {
    let mut points = ladder.rungs.clone();
    if let Some(at) = ladder.pinched_from_nm.filter(|at| *at > 0.0) {
        insert(&mut points, at, |bolt| (0.0, bolt));
    }
    if let Some(at) = ladder.bears_from_nm.filter(|at| *at > 0.0) {
        insert(&mut points, at, |bolt| (bolt, 0.0));
    }
    points
}

/// Puts a point between two rungs; its bolt load lies on the line between theirs.
fn insert(points: &mut Vec<Rung>, at: f64, shared: impl Fn(f64) -> (f64, f64)) {
    let Some(next) = points
        .iter()
        .position(|p| p.torque_nm > at)
        .filter(|i| *i > 0)
    else {
        return;
    };
    let [low, high] = [&points[next - 1], &points[next]];
    if low.torque_nm >= at {
        return;
    }
    let part = (at - low.torque_nm) / (high.torque_nm - low.torque_nm);
    let bolt_load_n = low.bolt_load_n + part * (high.bolt_load_n - low.bolt_load_n);
    let (clamp, seat) = shared(bolt_load_n);
    let point = Rung {
        torque_nm: at,
        bolt_load_n,
        stand_off_mm: None,
        gap_mm: Some(0.0),
        clamp_load_n: Some(clamp),
        seat_load_n: Some(seat),
        verdict: high.verdict.clone(),
        broken_limits: Vec::new(),
    };
    points.insert(next, point);
}

/// Loads: that of the cones from the axis up, the clamp load upon it, the bolt load over both.
fn loads(
    d: &mut Drawing,
    ladder: &Ladder,
    points: &[Rung],
    x: &Scale,
    [top, base]: [f64; 2],
    layout: Layout,
) -> Result<(), RenderError> {
    let highest = points
        .iter()
        .map(|p| p.bolt_load_n * 1e-3)
        .fold(0.0, f64::max);
    let y = Scale::over(&[0.0, highest], base, top);
    axis::guides(d, x, &y, 5);
    let cones = d.hatch_lines("cones", ["slate", "paper"], CONES);
    let seat = |p: &Rung| p.seat_load_n.unwrap_or(0.0) * 1e-3;
    let both = |p: &Rung| seat(p) + p.clamp_load_n.unwrap_or(0.0) * 1e-3;
    let band = |low: &dyn Fn(&Rung) -> f64, high: &dyn Fn(&Rung) -> f64| -> Vec<(f64, f64)> {
        let up = points.iter().map(|p| (p.torque_nm, low(p)));
        let down = points.iter().rev().map(|p| (p.torque_nm, high(p)));
        up.chain(down).collect()
    };
    let bolt = points.iter().map(|p| (p.torque_nm, p.bolt_load_n * 1e-3));
    let items = [
        Item::Area(band(&|_| 0.0, &seat), format!("style=\"fill:{cones}\"")),
        Item::Area(band(&seat, &both), "class=\"f-good\"".to_owned()),
        Item::Line(bolt.collect(), "s-ink heavy".to_owned()),
    ];
    plot::draw(d, x, &y, &items)?;
    if let Some(last) = ladder.rungs.last().filter(|_| !layout.is_narrow()) {
        end_labels(d, last, x, &y);
    }
    Ok(())
}

/// Lines that fill the load of the cones.
const CONES: Hatch = Hatch {
    angle: 45.0,
    pitch: 5.0,
    crossed: false,
};

/// Labels at the right end of the loads, each at the middle of what it names.
fn end_labels(d: &mut Drawing, last: &Rung, x: &Scale, y: &Scale) {
    let [seat, clamp] = [last.seat_load_n, last.clamp_load_n].map(|n| n.unwrap_or(0.0) * 1e-3);
    let named = [
        (last.bolt_load_n * 1e-3, "bolt load", true),
        (seat + 0.5 * clamp, "clamp load", clamp > 0.0),
        (0.5 * seat, "seat load", seat > 0.0),
    ];
    let named: Vec<(f64, &str)> = named
        .into_iter()
        .filter(|(_, _, is_there)| *is_there)
        .map(|(value, label, _)| (y.at(value), label))
        .collect();
    let wished: Vec<f64> = named.iter().map(|(at, _)| *at).collect();
    let placed = spread(&wished, face::LINE, y.end, y.start - 4.0);
    for ((end, label), at) in named.iter().zip(&placed) {
        d.line([x.end + 2.0, *end], [x.end + 10.0, *at], "s-muted hairline");
        d.text(x.end + 13.0, at + 4.8, Anchor::Start, "f-ink", label);
    }
}

/// What the areas are, where no label fits beside them.
fn legend(d: &mut Drawing) {
    let cones = d.hatch_lines("cones", ["slate", "paper"], CONES);
    for label in ["bolt load", "clamp load", "seat load"] {
        d.y += face::LINE;
        let y = d.y;
        let corners = [[0.0, y - 11.0], [26.0, y - 11.0], [26.0, y], [0.0, y]];
        match label {
            "bolt load" => d.line([0.0, y - 5.0], [26.0, y - 5.0], "s-ink heavy"),
            "clamp load" => d.area(&corners, "f-good", None),
            _ => d.area(&corners, "", Some(&cones)),
        }
        d.text(34.0, y, Anchor::Start, "f-ink", label);
    }
    d.y += 6.0;
}

/// A torque that is marked through both panels.
struct Marked {
    at: f64,
    label: String,
    class: &'static str,
    stroke: &'static str,
}

fn marks(ladder: &Ladder, x: &Scale) -> Vec<Marked> {
    let at = |nm: Option<f64>| nm.filter(|nm| *nm > 0.0 && x.holds(*nm));
    let mark = |nm: f64, words: &str, class, stroke| Marked {
        at: x.at(nm),
        label: format!("{words} {}", torque(nm)),
        class,
        stroke,
    };
    [
        at(ladder.bears_from_nm)
            .map(|nm| mark(nm, "seat bears from", "f-slate", "s-slate line dots")),
        at(ladder.pinched_from_nm)
            .map(|nm| mark(nm, "spacer pinched at", "f-edge bold", "s-edge line dash")),
        at(Some(ladder.set_nm)).map(|nm| mark(nm, "set", "f-ink bold", "s-ink line chain")),
    ]
    .into_iter()
    .flatten()
    .collect()
}

fn mark_labels(d: &mut Drawing, marks: &[Marked], x: &Scale) {
    let width = |m: &Marked| face::width(&m.label, m.class.contains("bold"));
    let wishes: Vec<Wish> = marks
        .iter()
        .map(|m| Wish {
            x: m.at,
            width: width(m),
        })
        .collect();
    let placed = axis::rows(&wishes, [0.0, d.width().max(x.end)], 16.0);
    let rows = placed.iter().map(|p| p.0 + 1).max().unwrap_or(0);
    for (mark, (row, left)) in marks.iter().zip(&placed) {
        let y = d.y + face::LINE * (*row as f64 + 1.0);
        d.text(*left, y, Anchor::Start, mark.class, &mark.label);
    }
    d.y += face::LINE * rows as f64 + 2.0;
}

/// A bar over the torques at which the joint is good.
fn good_bar(d: &mut Drawing, ladder: &Ladder, x: &Scale, top: f64) {
    let Some([from, to]) = ladder.good_nm() else {
        return;
    };
    let [left, right] = [from, to].map(|nm| x.at(nm));
    d.rect([left - 1.0, top - 9.0], [right - left + 2.0, 5.0], "f-edge");
    let words = if from == to {
        torque(to)
    } else {
        format!("{} to {}", hundredths(from), torque(to))
    };
    let y = top - 14.0;
    let label = format!("good {words}");
    // Beside the caption of the panel, which begins at the left edge.
    let free_from = face::width("load (kN)", false) + 12.0;
    d.text_within(
        (left + right) / 2.0,
        y,
        [free_from, d.width()],
        "f-edge",
        &label,
    );
}

/// The gap against torque; a line on the axis when there is none.
fn gap(
    d: &mut Drawing,
    points: &[Rung],
    x: &Scale,
    [top, base]: [f64; 2],
) -> Result<(), RenderError> {
    let gaps: Vec<(f64, f64)> = points
        .iter()
        .filter_map(|p| Some((p.torque_nm, p.gap_mm?)))
        .collect();
    let most = gaps.iter().map(|g| g.1).fold(0.0, f64::max);
    let y = Scale::over(&[0.0, most.max(LEAST_GAP)], base, top);
    if most > 0.0 {
        axis::guides(d, x, &y, 3);
    } else {
        let words = if gaps.is_empty() {
            "the hub never seats"
        } else {
            "no gap at any torque tried"
        };
        d.text(x.start + 8.0, base - 8.0, Anchor::Start, "f-muted", words);
    }
    if gaps.is_empty() {
        return Ok(());
    }
    plot::draw(d, x, &y, &[Item::Line(gaps, "s-rust heavy".to_owned())])
}
