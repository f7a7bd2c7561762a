//! Shape against limits: the histogram of the readings, the fitted shapes, the lines of the drawing.

use record::{FittedShape, Histogram, LotCharacteristic};

use super::{Key, Subject};
use crate::RenderError;
use crate::chart::axis::{self, Wish};
use crate::drawing::{Anchor, Drawing, Layout, Picture};
use crate::mode::Hatch;
use crate::plot::{self, Item};
use crate::scale::Scale;
use crate::{face, figure};

/// Below so many readings each is drawn as a stroke.
const FEWEST_BINNED: u64 = 8;
/// A limit further away than so many spans of the readings is not drawn.
const REACH: f64 = 8.0;

/// Whether there is something to draw.
pub fn has_picture(c: &LotCharacteristic) -> bool {
    c.n > 0 && (binned(c).is_some() || strokes(c).is_some())
}

/// The histogram, where it says more than the readings one by one.
fn binned(c: &LotCharacteristic) -> Option<&Histogram> {
    let histogram = c.histogram.as_ref()?;
    let is_wide = histogram.to > histogram.from && !histogram.counts.is_empty();
    (is_wide && c.n >= FEWEST_BINNED && c.sd > 0.0).then_some(histogram)
}

/// The readings one by one, where they are few or alike.
fn strokes(c: &LotCharacteristic) -> Option<Vec<f64>> {
    if c.min == c.max {
        return Some(vec![c.min]);
    }
    let points = &c.order.points;
    let is_each = !points.is_empty() && points.iter().all(|p| p.first == p.last);
    is_each.then(|| points.iter().map(|p| p.mean).collect())
}

/// The finding: how many lie outside, or how close the nearest comes.
fn title(s: &Subject<'_>) -> String {
    let c = s.c;
    let (below, above) = c.outside;
    let out = below + above;
    let n = super::readings(c.n);
    if c.lower.is_none() && c.upper.is_none() {
        if c.min == c.max {
            return format!(
                "{}: {}; no drawing limit is stated",
                alike(c),
                s.reader.value(c.min)
            );
        }
        return format!(
            "{n} from {} to {}; no drawing limit is stated",
            s.reader.number(c.min),
            s.reader.value(c.max)
        );
    }
    if out > 0 {
        let places = match (below, above) {
            (0, _) => "above the upper limit".to_owned(),
            (_, 0) => "below the lower limit".to_owned(),
            (b, a) => format!("{} below, {} above", figure::count(b), figure::count(a)),
        };
        if out == c.n {
            let subject = if c.n == 1 {
                "The one reading lies".to_owned()
            } else {
                format!("All {n} lie")
            };
            return format!("{subject} outside the drawing: {places}");
        }
        let verb = if out == 1 { "lies" } else { "lie" };
        return format!(
            "{} of {n} {verb} outside the drawing: {places}",
            figure::count(out)
        );
    }
    let subject = match c.n {
        1 => "The one reading lies".to_owned(),
        _ if c.min == c.max => format!("{} and lie", alike(c)),
        _ => format!("All {n} lie"),
    };
    format!("{subject} inside the drawing; {}", nearest(s))
}

fn alike(c: &LotCharacteristic) -> String {
    if c.n == 1 {
        "One reading".to_owned()
    } else {
        format!("All {} are the same", super::readings(c.n))
    }
}

/// How close the nearest reading comes to a limit.
fn nearest(s: &Subject<'_>) -> String {
    let sides = [
        s.c.lower.map(|l| (s.c.min - l, "lower")),
        s.c.upper.map(|u| (u - s.c.max, "upper")),
    ];
    let side = sides
        .into_iter()
        .flatten()
        .min_by(|a, b| a.0.total_cmp(&b.0));
    let Some((room, word)) = side else {
        return String::new();
    };
    if room <= 0.0 {
        return format!("the closest stands on the {word} limit");
    }
    format!(
        "the closest is {} from the {word} limit",
        s.reader.spread(room)
    )
}

fn subtitle(s: &Subject<'_>, binned: Option<&Histogram>) -> String {
    let Some(histogram) = binned else {
        return format!("{}: each upright stroke is a reading.", s.name);
    };
    let bins = histogram.counts.len();
    let hatched = if s.c.outside.0 + s.c.outside.1 > 0 {
        " Hatched: bins wholly outside the drawing."
    } else {
        ""
    };
    format!(
        "{}: readings in {bins} bins of {}.{hatched}",
        s.name,
        s.reader
            .spread((histogram.to - histogram.from) / bins as f64)
    )
}

/// Draws the chart.
pub fn draw(name: &str, s: &Subject<'_>, layout: Layout) -> Result<Picture, RenderError> {
    let histogram = binned(s.c);
    let mut d = Drawing::titled(name, layout, &title(s), &subtitle(s, histogram));
    let data = data_span(s.c, histogram);
    let is_drawn = |limit: f64| super::in_reach(limit, data, REACH);
    let mut values = data.to_vec();
    values.extend(
        [s.c.lower, s.c.upper]
            .into_iter()
            .flatten()
            .filter(|l| is_drawn(*l)),
    );
    let right = d.width() - 10.0;
    let left = if histogram.is_some() { 58.0 } else { 10.0 };
    let x = Scale::over(&values, left, right).with_margin(0.04);
    match histogram {
        Some(histogram) => bars(&mut d, s, histogram, &x, &is_drawn)?,
        None => rug(&mut d, s, &x, &is_drawn),
    }
    let note = format!(
        "{}{}{}",
        super::beyond_words(s, &is_drawn),
        unbinned(histogram),
        s.stamp
    );
    Ok(d.finish(&described(s), note.trim()))
}

/// From where to where the picture must reach for the readings and the shape that leads.
fn data_span(c: &LotCharacteristic, histogram: Option<&Histogram>) -> [f64; 2] {
    let mut span = [c.min, c.max];
    let Some(histogram) = histogram else {
        return span;
    };
    span = [span[0].min(histogram.from), span[1].max(histogram.to)];
    let width = span[1] - span[0];
    if let Some(fit) = super::leading_shape(c) {
        let [low, _, high] = fit.quantiles;
        span = [
            low.max(span[0] - width).min(span[0]),
            high.min(span[1] + width).max(span[1]),
        ];
    }
    span
}

fn unbinned(histogram: Option<&Histogram>) -> String {
    let left_out = histogram.map_or(0, |h| h.below + h.above);
    match left_out {
        0 => String::new(),
        1 => "1 reading lies beyond the bins. ".to_owned(),
        n => format!("{} readings lie beyond the bins. ", figure::count(n)),
    }
}

fn described(s: &Subject<'_>) -> String {
    let limit = |limit: Option<f64>| limit.map_or("none".to_owned(), |l| s.reader.stated(l));
    format!(
        "{} from {} to {}, mean {}, standard deviation {}; lower limit {}, upper limit {}",
        super::readings(s.c.n),
        s.reader.value(s.c.min),
        s.reader.value(s.c.max),
        s.reader.mean(s.c.mean),
        s.reader.spread(s.c.sd),
        limit(s.c.lower),
        limit(s.c.upper)
    )
}

/// Bars and densities.
fn bars(
    d: &mut Drawing,
    s: &Subject<'_>,
    histogram: &Histogram,
    x: &Scale,
    is_drawn: &dyn Fn(f64) -> bool,
) -> Result<(), RenderError> {
    let curves = curves(s.c);
    let lines: Vec<Key> = curves
        .iter()
        .map(|(stroke, fit, words)| Key {
            stroke,
            words: format!("{} shape{words}", super::shape_words(fit)),
        })
        .collect();
    if !lines.is_empty() {
        super::keys(d, &lines);
    }
    d.paragraph("readings in each bin", "f-muted");
    limit_labels(d, s, x, is_drawn);
    let width = (histogram.to - histogram.from) / histogram.counts.len() as f64;
    let most = histogram.counts.iter().copied().max().unwrap_or(1).max(1) as f64;
    let per_density = s.c.n as f64 * width;
    let peak = curves
        .iter()
        .flat_map(|c| &c.1.density)
        .map(|p| p[1] * per_density)
        .fold(0.0, f64::max);
    // A shape with a peak far above the bars is cut, so that the bars stay tall enough to read.
    let highest = most.max(peak.min(1.8 * most)) * 1.04;
    let (top, base) = (d.y + 10.0, d.y + 10.0 + 210.0);
    let y = Scale {
        low: 0.0,
        high: highest,
        start: base,
        end: top,
    };
    super::count_guides(d, x, &y, (highest as usize).clamp(1, 4));
    steps(d, s.c, histogram, x, &y);
    let items: Vec<Item> = curves
        .iter()
        .map(|(stroke, fit, _)| {
            let inside = fit.density.iter().filter(|p| x.holds(p[0]));
            Item::Line(
                inside.map(|p| (p[0], p[1] * per_density)).collect(),
                (*stroke).to_owned(),
            )
        })
        .collect();
    plot::draw(d, x, &y, &items)?;
    limit_lines(d, s, x, [top - 8.0, base], is_drawn);
    axis::below(d, x, base, &format!("{}{}", s.name, s.reader.bracket()));
    Ok(())
}

/// The shape that leads and the normal, each once.
fn curves(c: &LotCharacteristic) -> Vec<(&'static str, &FittedShape, &'static str)> {
    let mut curves = Vec::new();
    let chosen = c.chosen.and_then(|i| c.fits.get(i));
    let normal = c.fits.iter().find(|f| f.shape == "normal");
    if let Some(fit) = chosen {
        curves.push(("s-blue heavy", fit, ", which leads"));
    }
    if let Some(fit) = normal.filter(|fit| chosen.is_none_or(|c| !std::ptr::eq(c, *fit))) {
        curves.push(("s-ink line dash", fit, ""));
    }
    curves
}

/// The outline of the bins, those outside the drawing hatched.
fn steps(d: &mut Drawing, c: &LotCharacteristic, histogram: &Histogram, x: &Scale, y: &Scale) {
    let hatch = d.hatch_lines(
        "outside",
        ["rust", "paper"],
        Hatch {
            angle: 45.0,
            pitch: 5.0,
            crossed: false,
        },
    );
    let bins = histogram.counts.len();
    let edge = |i: usize| histogram.from + (histogram.to - histogram.from) * i as f64 / bins as f64;
    let is_out = |i: usize| {
        c.lower.is_some_and(|l| edge(i + 1) <= l) || c.upper.is_some_and(|u| edge(i) >= u)
    };
    let mut start = 0;
    while start < bins {
        let out = is_out(start);
        let end = (start..bins).find(|i| is_out(*i) != out).unwrap_or(bins);
        let mut outline = vec![[x.at(edge(start)), y.start]];
        for i in start..end {
            let top = y.at(histogram.counts[i] as f64);
            outline.push([x.at(edge(i)), top]);
            outline.push([x.at(edge(i + 1)), top]);
        }
        outline.push([x.at(edge(end)), y.start]);
        if out {
            d.area(&outline, "s-rust hairline", Some(&hatch));
        } else {
            d.area(&outline, "f-good", None);
        }
        start = end;
    }
}

/// Each reading as a stroke.
fn rug(d: &mut Drawing, s: &Subject<'_>, x: &Scale, is_drawn: &dyn Fn(f64) -> bool) {
    limit_labels(d, s, x, is_drawn);
    let (top, base) = (d.y + 10.0, d.y + 60.0);
    for value in strokes(s.c).unwrap_or_default() {
        let at = x.at(value);
        d.line([at, top + 6.0], [at, base], "s-blue heavy");
    }
    limit_lines(d, s, x, [top - 8.0, base], is_drawn);
    axis::below(d, x, base, &format!("{}{}", s.name, s.reader.bracket()));
}

/// The lines of the drawing: value, name, class of the text, stroke.
fn lines(
    s: &Subject<'_>,
    is_drawn: &dyn Fn(f64) -> bool,
) -> Vec<(f64, String, &'static str, &'static str)> {
    let named = |value: Option<f64>, words: &str, class, stroke| {
        value
            .filter(|v| is_drawn(*v))
            .map(|v| (v, format!("{words} {}", s.reader.stated(v)), class, stroke))
    };
    let nominal = s.c.nominal.filter(|n| {
        Some(*n) != s.c.lower
            && Some(*n) != s.c.upper
            && (s.c.lower.is_some() || s.c.upper.is_some())
    });
    [
        named(s.c.lower, "lower limit", "f-edge bold", "s-edge heavy"),
        named(s.c.upper, "upper limit", "f-edge bold", "s-edge heavy"),
        named(nominal, "nominal", "f-muted", "s-muted line chain"),
    ]
    .into_iter()
    .flatten()
    .collect()
}

fn limit_labels(d: &mut Drawing, s: &Subject<'_>, x: &Scale, is_drawn: &dyn Fn(f64) -> bool) {
    let lines: Vec<_> = lines(s, is_drawn)
        .into_iter()
        .filter(|l| x.holds(l.0))
        .collect();
    let room = d.width();
    let cut: Vec<String> = lines
        .iter()
        .map(|l| face::cut(&l.1, room - 2.0, l.2.contains("bold")))
        .collect();
    let wishes: Vec<Wish> = lines
        .iter()
        .zip(&cut)
        .map(|(l, words)| Wish {
            x: x.at(l.0),
            width: face::width(words, l.2.contains("bold")),
        })
        .collect();
    let placed = axis::rows(&wishes, [0.0, room], 14.0);
    let rows = placed.iter().map(|p| p.0 + 1).max().unwrap_or(0);
    for ((line, words), (row, left)) in lines.iter().zip(&cut).zip(&placed) {
        let y = d.y + face::LINE * (*row as f64 + 1.0);
        d.text(*left, y, Anchor::Start, &format!("{} halo", line.2), words);
    }
    d.y += face::LINE * rows as f64 + 4.0;
}

/// The lines themselves, from their labels to the axis.
fn limit_lines(
    d: &mut Drawing,
    s: &Subject<'_>,
    x: &Scale,
    [top, base]: [f64; 2],
    is_drawn: &dyn Fn(f64) -> bool,
) {
    for (value, _, _, stroke) in lines(s, is_drawn).iter().filter(|l| x.holds(l.0)) {
        d.line([x.at(*value), top], [x.at(*value), base], stroke);
    }
}
