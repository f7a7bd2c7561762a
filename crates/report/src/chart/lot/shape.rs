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
/// Stroke of the nominal.
const NOMINAL: &str = "s-muted line chain";

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
    let is_hatched = |i: usize| histogram.counts[i] > 0 && is_outside(s.c, histogram, i);
    let hatched = if (0..bins).any(is_hatched) {
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
    let limits = limits(s, &is_drawn);
    let mut values = data.to_vec();
    values.extend(limits.iter().map(|l| l.0));
    let left = if histogram.is_some() { 58.0 } else { 10.0 };
    let x = Scale::over(&values, left, d.width() - 10.0).with_margin(0.04);
    match histogram {
        Some(histogram) => bars(&mut d, s, histogram, &x, &limits)?,
        None => rug(&mut d, s, &x, &limits),
    }
    let beyond = super::beyond_words(s, &is_drawn);
    let note = format!("{beyond}{}{}", unbinned(histogram), s.stamp);
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
    let limit = |limit: Option<f64>, word: &str| {
        limit.map_or(String::new(), |l| {
            format!("; {word} limit {}", s.reader.stated(l))
        })
    };
    format!(
        "{} from {} to {}, mean {}, standard deviation {}{}{}",
        super::readings(s.c.n),
        s.reader.value(s.c.min),
        s.reader.value(s.c.max),
        s.reader.mean(s.c.mean),
        s.reader.sd(s.c.sd),
        limit(s.c.lower, "lower"),
        limit(s.c.upper, "upper")
    )
}

/// Bars and densities.
fn bars(
    d: &mut Drawing,
    s: &Subject<'_>,
    histogram: &Histogram,
    x: &Scale,
    limits: &[Limit],
) -> Result<(), RenderError> {
    let curves = curves(s.c);
    keys(d, s, x, &curves);
    d.paragraph("readings in each bin", "f-muted");
    limit_labels(d, limits, x);
    let width = (histogram.to - histogram.from) / histogram.counts.len() as f64;
    let per_density = s.c.n as f64 * width;
    let highest = highest(histogram, &curves, per_density);
    let (top, base) = (d.y + 10.0, d.y + 220.0);
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
            let points = inside.map(|p| (p[0], p[1] * per_density)).collect();
            Item::Line(spaced(points, x), (*stroke).to_owned())
        })
        .collect();
    plot::draw(d, x, &y, &items)?;
    lines(d, s, x, [top - 8.0, base], limits);
    axis::below(d, x, base, &format!("{}{}", s.name, s.reader.bracket()));
    Ok(())
}

/// The top of the scale. A shape with a peak far above the bars is cut, so that the bars stay tall enough to read.
fn highest(histogram: &Histogram, curves: &[Curve<'_>], per_density: f64) -> f64 {
    let most = histogram.counts.iter().copied().max().unwrap_or(1).max(1) as f64;
    let peak = curves
        .iter()
        .flat_map(|c| &c.1.density)
        .map(|p| p[1] * per_density)
        .fold(0.0, f64::max);
    most.max(peak.min(1.8 * most)) * 1.04
}

/// Points no closer than three pixels, the last one kept.
fn spaced(points: Vec<(f64, f64)>, x: &Scale) -> Vec<(f64, f64)> {
    let last = points.len().saturating_sub(1);
    let mut from = f64::NEG_INFINITY;
    let far = |(i, p): &(usize, (f64, f64))| {
        let at = x.at(p.0);
        let keep = at - from >= 3.0 || *i == last;
        if keep {
            from = at;
        }
        keep
    };
    points
        .into_iter()
        .enumerate()
        .filter(far)
        .map(|(_, p)| p)
        .collect()
}

/// What the lines other than the limits are.
fn keys(d: &mut Drawing, s: &Subject<'_>, x: &Scale, curves: &[Curve<'_>]) {
    let mut keys: Vec<Key> = curves
        .iter()
        .map(|(stroke, fit, words)| Key {
            stroke,
            words: format!("{} shape{words}", super::shape_words(fit)),
        })
        .collect();
    keys.extend(nominal(s, x).map(|nominal| Key {
        stroke: NOMINAL,
        words: format!("nominal {}", s.reader.stated(nominal)),
    }));
    if !keys.is_empty() {
        super::keys(d, &keys);
    }
}

/// The nominal where it can be drawn and is no limit itself.
fn nominal(s: &Subject<'_>, x: &Scale) -> Option<f64> {
    let is_limit = |v: f64| Some(v) == s.c.lower || Some(v) == s.c.upper;
    s.c.nominal.filter(|v| x.holds(*v) && !is_limit(*v))
}

/// A density: its stroke, its shape, and what is said of it beside the name.
type Curve<'a> = (&'static str, &'a FittedShape, &'static str);

/// The shape that leads and the normal, each once.
fn curves(c: &LotCharacteristic) -> Vec<Curve<'_>> {
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

/// The lower edge of a bin.
fn edge(histogram: &Histogram, i: usize) -> f64 {
    let bins = histogram.counts.len() as f64;
    histogram.from + (histogram.to - histogram.from) * i as f64 / bins
}

/// Whether a bin lies wholly outside the drawing.
fn is_outside(c: &LotCharacteristic, histogram: &Histogram, i: usize) -> bool {
    c.lower.is_some_and(|l| edge(histogram, i + 1) <= l)
        || c.upper.is_some_and(|u| edge(histogram, i) >= u)
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
    let edge = |i: usize| edge(histogram, i);
    let is_out = |i: usize| is_outside(c, histogram, i);
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
fn rug(d: &mut Drawing, s: &Subject<'_>, x: &Scale, limits: &[Limit]) {
    keys(d, s, x, &[]);
    limit_labels(d, limits, x);
    let (top, base) = (d.y + 10.0, d.y + 60.0);
    for value in strokes(s.c).unwrap_or_default() {
        let at = x.at(value);
        d.line([at, top + 6.0], [at, base], "s-blue heavy");
    }
    lines(d, s, x, [top - 8.0, base], limits);
    axis::below(d, x, base, &format!("{}{}", s.name, s.reader.bracket()));
}

/// A limit that is drawn: its value and its name.
type Limit = (f64, String);

fn limits(s: &Subject<'_>, is_drawn: &dyn Fn(f64) -> bool) -> Vec<Limit> {
    [(s.c.lower, "lower"), (s.c.upper, "upper")]
        .into_iter()
        .filter_map(|(limit, word)| Some((limit.filter(|l| is_drawn(*l))?, word)))
        .map(|(limit, word)| (limit, format!("{word} limit {}", s.reader.stated(limit))))
        .collect()
}

fn limit_labels(d: &mut Drawing, limits: &[Limit], x: &Scale) {
    let room = d.width();
    let wishes: Vec<Wish> = limits
        .iter()
        .map(|(value, words)| Wish {
            x: x.at(*value),
            width: face::width(words, true).min(room),
        })
        .collect();
    let placed = axis::rows(&wishes, [0.0, room], 14.0);
    let rows = placed.iter().map(|p| p.0 + 1).max().unwrap_or(0);
    for ((_, words), (row, left)) in limits.iter().zip(&placed) {
        let y = d.y + face::LINE * (*row as f64 + 1.0);
        let words = face::cut(words, room - 2.0, true);
        d.text(*left, y, Anchor::Start, "f-edge bold halo", &words);
    }
    d.y += face::LINE * rows as f64 + 4.0;
}

/// The limits and the nominal, from the labels to the axis.
fn lines(d: &mut Drawing, s: &Subject<'_>, x: &Scale, [top, base]: [f64; 2], limits: &[Limit]) {
    for (value, _) in limits {
        d.line([x.at(*value), top], [x.at(*value), base], "s-edge heavy");
    }
    if let Some(nominal) = nominal(s, x) {
        d.line([x.at(nominal), top], [x.at(nominal), base], NOMINAL);
    }
}
