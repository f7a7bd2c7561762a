//! Where joints seat: draw-up to close, stacked by verdict, with the window in which a joint is good.

use std::ops::Range;

use record::{DrawUp, Record, Window};

use super::axis::{self, Wish};
use super::stamp;
use crate::RenderError;
use crate::drawing::{Anchor, Drawing, Layout, Picture};
use crate::face;
use crate::figure;
use crate::mode::Mode;
use crate::plot::{self, Item};
use crate::scale::Scale;
use crate::seat::Seat;

/// Draw-ups closer than this are one (mm): a nanometre, far below what a joint can show.
const SAME: f64 = 1e-6;
/// The axis spans at least so many bins.
const FEWEST_BINS: usize = 20;

/// Counts of one verdict, first bin first.
struct Layer<'a> {
    mode: Option<Mode>,
    counts: &'a [u64],
    total: u64,
}

/// Draws the distribution.
pub fn draw(record: &Record, draw_up: &DrawUp, layout: Layout) -> Result<Picture, RenderError> {
    let mut d = Drawing::titled("draw-up", layout, &title(draw_up), &subtitle(draw_up));
    let layers = layers(draw_up, Seat::of(record));
    let edges = edges(draw_up, &layers);
    let x = x_scale(draw_up, &edges, &layers, 58.0, d.width() - 10.0);
    window_labels(&mut d, draw_up, &x, Seat::of(record));
    let total: u64 = layers.iter().map(|l| l.total).sum();
    let per_thousand = 1000.0 / total.max(1) as f64;
    let has_good = layers.iter().any(|l| l.mode.is_none());
    let rejects: Vec<&Layer> = layers.iter().filter(|l| l.mode.is_some()).collect();
    let all: Vec<&Layer> = layers.iter().collect();
    let times = highest(&all) as f64 / highest(&rejects).max(1) as f64;
    let apart = has_good && !rejects.is_empty() && times >= 1.5;
    if !apart {
        reject_labels(&mut d, &rejects, &edges, &x, total);
    }
    let unit = match only_value(draw_up) {
        Some(_) => "joints per 1\u{202F}000, all at one draw-up".to_owned(),
        None => format!("joints per 1\u{202F}000 in each {}", bin_words(&edges)),
    };
    d.paragraph(&unit, "f-muted");
    panel(&mut d, &all, &edges, per_thousand, &x, 150.0, draw_up)?;
    if apart {
        d.y += 12.0;
        let scale = figure::significant(times, 2);
        d.paragraph(
            &format!("the rejects alone, drawn {scale} times as tall"),
            "f-muted",
        );
        reject_labels(&mut d, &rejects, &edges, &x, total);
        panel(&mut d, &rejects, &edges, per_thousand, &x, 84.0, draw_up)?;
    }
    let base = d.y;
    axis::below(
        &mut d,
        &x,
        base,
        "draw-up to close (mm): how far the hub is pulled past first touch before the spacer is pinched",
    );
    Ok(d.finish(&described(draw_up, &layers), &note(record, total)))
}

/// The finding, from the window alone.
fn title(draw_up: &DrawUp) -> String {
    let good: u64 = draw_up.counts.get("good").map_or(0, |c| c.iter().sum());
    let all: u64 = draw_up.counts.values().flatten().sum();
    let mm = |v: f64| figure::with_unit(&figure::fixed(v, 3), "mm");
    if good == all {
        return "No draw-up that occurred made a bad joint".to_owned();
    }
    if good == 0 {
        return "No draw-up that occurred made a good joint".to_owned();
    }
    let Some(window) = &draw_up.window else {
        return "There is no draw-up at which most joints are good".to_owned();
    };
    let [below, inside, above] = reject_places(draw_up, window);
    let bad = u128::from(all - good);
    let most = |n: u64| u128::from(n) * 2 > bad;
    match (window.low_mm, window.high_mm) {
        (_, Some(high)) if most(above) => {
            format!("Most rejects draw up too far: beyond {}", mm(high))
        }
        (Some(low), _) if most(below) => {
            format!("Most rejects draw up too little: less than {}", mm(low))
        }
        _ if most(inside) => {
            "Most rejects draw up inside the good window: draw-up alone does not decide".to_owned()
        }
        (Some(low), Some(high)) => format!(
            "Most joints that draw up {} to {} are good",
            mm(low),
            mm(high)
        ),
        (Some(low), None) => format!("Most joints that draw up more than {} are good", mm(low)),
        (None, Some(high)) => format!("Most joints that draw up less than {} are good", mm(high)),
        (None, None) => "At every draw-up that occurred most joints are good".to_owned(),
    }
}

/// Rejects in bins that lie wholly below, inside and above the window.
fn reject_places(draw_up: &DrawUp, window: &Window) -> [u64; 3] {
    let layers = layers(draw_up, Seat::Cone);
    let edges = edges(draw_up, &layers);
    let low = window.low_mm.unwrap_or(f64::NEG_INFINITY);
    let high = window.high_mm.unwrap_or(f64::INFINITY);
    let mut places = [0, 0, 0];
    for layer in layers.iter().filter(|l| l.mode.is_some()) {
        for (i, count) in layer.counts.iter().enumerate() {
            let (from, to) = (edges[i], edges[i + 1]);
            if to <= low {
                places[0] += count;
            } else if from >= high {
                places[2] += count;
            } else if from >= low && to <= high {
                places[1] += count;
            }
        }
    }
    places
}

fn subtitle(draw_up: &DrawUp) -> String {
    let shaded = match edged(draw_up) {
        Some(_) => " Shaded: the draw-up at which more than half of the joints are good.",
        None => "",
    };
    format!(
        "Draw-up to close of all joints, stacked by verdict: light are good, hatched are rejects by first cause.{shaded}"
    )
}

fn layers(draw_up: &DrawUp, seat: Seat) -> Vec<Layer<'_>> {
    let mut layers: Vec<Layer> = draw_up
        .counts
        .iter()
        .map(|(verdict, counts)| Layer {
            mode: (verdict != "good").then(|| Mode::of(verdict, seat)),
            counts,
            total: counts.iter().sum(),
        })
        .filter(|layer| layer.total > 0)
        .collect();
    layers.sort_by_key(|layer| (layer.mode.is_some(), std::cmp::Reverse(layer.total)));
    layers
}

/// The one draw-up of all joints, when it does not spread.
fn only_value(draw_up: &DrawUp) -> Option<f64> {
    let has_span = draw_up.to_mm - draw_up.from_mm > SAME;
    (!has_span).then_some(draw_up.from_mm / 2.0 + draw_up.to_mm / 2.0)
}

/// Edges of the bins (mm). A span of nothing becomes one narrow bin that can be drawn.
fn edges(draw_up: &DrawUp, layers: &[Layer]) -> Vec<f64> {
    let bins = layers
        .iter()
        .map(|l| l.counts.len())
        .max()
        .unwrap_or(1)
        .max(1);
    let (from, to) = match only_value(draw_up) {
        Some(value) => {
            let around = Scale::over(&[value], 0.0, 1.0);
            let half = (around.high - around.low) / 100.0;
            (value - half, value + half)
        }
        None => {
            let whole = Scale::over(&[draw_up.from_mm, draw_up.to_mm], 0.0, 1.0);
            (whole.low, whole.high)
        }
    };
    let step = (to - from) / bins as f64;
    (0..=bins).map(|i| from + step * i as f64).collect()
}

/// The axis starts where the data asks: at the first and last bin that holds a joint, or the window.
fn x_scale(draw_up: &DrawUp, edges: &[f64], layers: &[Layer], start: f64, end: f64) -> Scale {
    let holds = |i: usize| {
        layers
            .iter()
            .any(|l| l.counts.get(i).is_some_and(|c| *c > 0))
    };
    let bins = edges.len() - 1;
    let first = (0..bins).find(|i| holds(*i)).unwrap_or(0);
    let last = (0..bins).rev().find(|i| holds(*i)).unwrap_or(bins - 1);
    let mut values = vec![edges[first], edges[last + 1]];
    if last - first < FEWEST_BINS {
        // A few bins alone would look like a wide plateau.
        let side = (edges[1] - edges[0]) * FEWEST_BINS as f64 / 2.0;
        let middle = edges[first] / 2.0 + edges[last + 1] / 2.0;
        values.extend([middle - side, middle + side]);
    }
    if let Some(value) = only_value(draw_up) {
        let spread = Scale::over(&[value], start, end);
        values.extend([spread.low, spread.high]);
    }
    if let Some(window) = &draw_up.window {
        values.extend([window.low_mm, window.high_mm].into_iter().flatten());
    }
    Scale::over(&values, start, end).with_margin(0.03)
}

fn bin_words(edges: &[f64]) -> String {
    let width = edges[1] - edges[0];
    if width < 0.1 {
        figure::with_unit(&figure::significant(width * 1000.0, 2), "µm")
    } else {
        figure::with_unit(&figure::significant(width, 2), "mm")
    }
}

fn highest(layers: &[&Layer]) -> u64 {
    let bins = layers.iter().map(|l| l.counts.len()).max().unwrap_or(0);
    let in_bin = |i: usize| {
        layers
            .iter()
            .map(|l| l.counts.get(i).copied().unwrap_or(0))
            .sum()
    };
    (0..bins).map(in_bin).max().unwrap_or(0)
}

fn panel(
    d: &mut Drawing,
    layers: &[&Layer],
    edges: &[f64],
    per_thousand: f64,
    x: &Scale,
    height: f64,
    draw_up: &DrawUp,
) -> Result<(), RenderError> {
    let (top, base) = (d.y + 10.0, d.y + 10.0 + height);
    let tallest = highest(layers) as f64 * per_thousand;
    let y = Scale::over(&[0.0, tallest * 1.05], base, top);
    shade(d, draw_up, x, [top, base]);
    axis::guides(d, x, &y, 4);
    let mut below = vec![0.0; edges.len() - 1];
    let mut items = Vec::new();
    for layer in layers {
        let add = |(i, b): (usize, &f64)| {
            b + layer.counts.get(i).copied().unwrap_or(0) as f64 * per_thousand
        };
        let above: Vec<f64> = below.iter().enumerate().map(add).collect();
        let (looks, hue) = match &layer.mode {
            None => ("class=\"f-good\"".to_owned(), "muted"),
            Some(mode) => (format!("style=\"fill:{}\"", d.hatch(mode)), mode.hue),
        };
        for run in runs(layer.counts) {
            let line = steps(&edges[run.start..=run.end], &above[run.clone()]);
            let foot = steps(&edges[run.start..=run.end], &below[run]);
            let sides = [foot.first().copied(), foot.last().copied()];
            let mut outline = line.clone();
            outline.extend(foot.into_iter().rev());
            items.push(Item::Area(outline, looks.clone()));
            let line = sides[0].into_iter().chain(line).chain(sides[1]).collect();
            items.push(Item::Line(line, format!("s-{hue} hairline")));
        }
        below = above;
    }
    plot::draw(d, x, &y, &items)?;
    d.line([x.start, base], [x.end, base], "s-ink hairline");
    edge_lines(d, draw_up, x, [top, base]);
    d.y = base;
    Ok(())
}

/// Bins in a row that hold a joint.
fn runs(counts: &[u64]) -> Vec<Range<usize>> {
    let mut runs: Vec<Range<usize>> = Vec::new();
    for i in (0..counts.len()).filter(|i| counts[*i] > 0) {
        match runs.last_mut() {
            Some(run) if run.end == i => run.end = i + 1,
            _ => runs.push(i..i + 1),
        }
    }
    runs
}

fn steps(edges: &[f64], heights: &[f64]) -> Vec<(f64, f64)> {
    heights
        .iter()
        .enumerate()
        .flat_map(|(i, h)| [(edges[i], *h), (edges[i + 1], *h)])
        .collect()
}

/// The window, when it has an edge: without one there is nothing to shade against.
fn edged(draw_up: &DrawUp) -> Option<&Window> {
    let has_edge = |w: &&Window| w.low_mm.is_some() || w.high_mm.is_some();
    draw_up.window.as_ref().filter(has_edge)
}

fn shade(d: &mut Drawing, draw_up: &DrawUp, x: &Scale, [top, base]: [f64; 2]) {
    if let Some(window) = edged(draw_up) {
        let from = window.low_mm.map_or(x.start, |v| x.at(v));
        let to = window.high_mm.map_or(x.end, |v| x.at(v));
        d.rect([from, top], [to - from, base - top], "f-window");
    }
}

fn edge_lines(d: &mut Drawing, draw_up: &DrawUp, x: &Scale, [top, base]: [f64; 2]) {
    let Some(window) = &draw_up.window else {
        return;
    };
    for value in [window.low_mm, window.high_mm].into_iter().flatten() {
        d.line([x.at(value), top], [x.at(value), base], "s-edge line dash");
    }
}

/// Names the edges of the window by what breaks there, one line each, so that they never meet.
fn window_labels(d: &mut Drawing, draw_up: &DrawUp, x: &Scale, seat: Seat) {
    let Some(window) = &draw_up.window else {
        return;
    };
    let edge = |mode: &Option<String>| {
        mode.as_ref()
            .map_or("rejects".to_owned(), |m| Mode::of(m, seat).label)
    };
    let value = |v: f64| figure::with_unit(&figure::fixed(v, 3), "mm");
    let labels = [
        window
            .low_mm
            .map(|v| (v, format!("below {}: {}", value(v), edge(&window.low_mode)))),
        window.high_mm.map(|v| {
            (
                v,
                format!("above {}: {}", value(v), edge(&window.high_mode)),
            )
        }),
    ];
    let shown: Vec<(f64, String)> = labels.into_iter().flatten().collect();
    let wishes: Vec<Wish> = shown
        .iter()
        .map(|(v, label)| Wish {
            x: x.at(*v),
            width: face::width(label, true),
        })
        .collect();
    let placed = axis::rows(&wishes, [0.0, d.width()], 14.0);
    let rows = placed.iter().map(|p| p.0 + 1).max().unwrap_or(0);
    for ((_, label), (row, left)) in shown.iter().zip(&placed) {
        let y = d.y + face::LINE * (*row as f64 + 1.0);
        d.text(*left, y, Anchor::Start, "f-edge bold", label);
    }
    d.y += face::LINE * rows as f64 + 6.0;
}

/// A label over the peak of every cause.
fn reject_labels(d: &mut Drawing, rejects: &[&Layer], edges: &[f64], x: &Scale, total: u64) {
    let labels: Vec<(f64, String, &Mode)> = rejects
        .iter()
        .filter_map(|layer| {
            let mode = layer.mode.as_ref()?;
            let peak = (0..layer.counts.len())
                .rev()
                .max_by_key(|i| layer.counts[*i])?;
            let middle = (edges[peak] + edges[peak + 1]) / 2.0;
            let label = format!("{} {}", mode.label, part(layer.total, total));
            Some((middle, face::cut(&label, d.width() - 44.0, false), mode))
        })
        .collect();
    let wishes: Vec<Wish> = labels
        .iter()
        .map(|(at, label, _)| Wish {
            x: x.at(*at),
            width: face::width(label, false) + 20.0,
        })
        .collect();
    let placed = axis::rows(&wishes, [x.start.min(20.0), d.width()], 16.0);
    let rows = placed.iter().map(|p| p.0 + 1).max().unwrap_or(0);
    for ((_, label, mode), (row, left)) in labels.iter().zip(&placed) {
        let y = d.y + face::LINE * (*row as f64 + 1.0);
        let fill = d.hatch(mode);
        let box_ = [
            [*left, y - 11.0],
            [left + 14.0, y - 11.0],
            [left + 14.0, y + 1.0],
            [*left, y + 1.0],
        ];
        d.area(&box_, &format!("s-{} hairline", mode.hue), Some(&fill));
        d.text(
            left + 20.0,
            y,
            Anchor::Start,
            &format!("f-{}", mode.hue),
            label,
        );
    }
    d.y += face::LINE * rows as f64 + 5.0;
}

fn part(count: u64, total: u64) -> String {
    if count == total {
        return "all".to_owned();
    }
    let share = count as f64 / total.max(1) as f64;
    if share >= 1e-3 {
        return figure::with_unit(&figure::significant(share * 100.0, 2), "%");
    }
    figure::millionths(share)
}

fn note(record: &Record, total: u64) -> String {
    let missing = record.yield_.pairings.saturating_sub(total);
    let absent = match missing {
        0 => String::new(),
        n => format!(
            " {} pairings have no draw-up and are not shown.",
            figure::count(n)
        ),
    };
    format!("{}{absent}", stamp(record, record.yield_.pairings))
}

fn described(draw_up: &DrawUp, layers: &[Layer]) -> String {
    let counts: Vec<String> = layers
        .iter()
        .map(|l| {
            let label = l
                .mode
                .as_ref()
                .map_or("good".to_owned(), |m| m.label.clone());
            format!("{label} {}", figure::count(l.total))
        })
        .collect();
    format!(
        "Histogram of draw-up from {} mm to {} mm. {}.",
        figure::significant(draw_up.from_mm, 4),
        figure::significant(draw_up.to_mm, 4),
        counts.join(", ")
    )
}
