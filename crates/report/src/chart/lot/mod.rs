//! The charts of a study of measured parts: shape against limits, departure in the tails, order of production, indices.

mod departure;
mod indices;
mod order;
mod reading;
mod shape;

use record::{FittedShape, Index, LotCapability, LotCharacteristic, LotStudy};

use super::Figure;
use crate::drawing::{Anchor, Drawing, Layout, Picture, spread};
use crate::scale::Scale;
use crate::{RenderError, face, figure, text};

pub use indices::{at_least, two};
pub use order::rows_are_order;
pub use reading::Reader;

/// Characteristics that get charts, at most; tables hold all.
pub const MOST_DRAWN: usize = 12;
/// A page stays below so many bytes: charts stop before (the report promises less than a million).
const PAGE: usize = 920_000;
/// What the tables and words of one characteristic take, on the large side (bytes).
const WORDS: usize = 13_000;

/// Up to so many characteristics every point of a run chart is drawn; with more the page would grow too large.
const FEW: usize = 4;

/// The charts of one characteristic. A chart that there is nothing for is left out.
#[derive(Debug, Clone, PartialEq)]
pub struct Figures {
    /// Readings against the drawing limits.
    pub shape: Option<Figure>,
    /// Readings against the quantiles of the shape.
    pub departure: Option<Figure>,
    /// Run chart.
    pub order: Option<Figure>,
    /// Indices with their intervals.
    pub indices: Option<Figure>,
}

impl Figures {
    /// All in the order of the page.
    pub fn all(&self) -> impl Iterator<Item = &Figure> {
        [&self.shape, &self.departure, &self.order, &self.indices]
            .into_iter()
            .flatten()
    }
}

/// What every chart of one characteristic needs.
pub struct Subject<'a> {
    /// The characteristic.
    pub c: &'a LotCharacteristic,
    /// How its values are written.
    pub reader: Reader,
    /// Its name, fit for a label.
    pub name: String,
    /// What stands under every chart.
    pub stamp: String,
    /// Whether the order of the rows is taken for the order of production.
    pub rows_are_order: bool,
    /// Most points of a run chart in the column; half of them on a telephone.
    pub most_points: usize,
}

impl<'a> Subject<'a> {
    /// A characteristic of a study.
    pub fn of(study: &LotStudy, c: &'a LotCharacteristic) -> Subject<'a> {
        let name = text::label(&c.name, 40);
        Subject {
            c,
            reader: Reader::of(c),
            stamp: format!(
                "Measured: {}, {} of {name}, intervals {}.",
                text::label(&study.file.name, 32),
                readings(c.n),
                figure::confidence(study.confidence)
            ),
            name,
            rows_are_order: rows_are_order(study),
            most_points: if study.characteristics.len() > FEW {
                60
            } else {
                400
            },
        }
    }
}

/// Draws the charts of the first characteristics: at most [`MOST_DRAWN`], fewer when the page would grow too large.
///
/// # Errors
/// [`RenderError::Plot`] when the plotting library refuses one.
pub fn draw(study: &LotStudy) -> Result<Vec<Figures>, RenderError> {
    let is_single = study.characteristics.len() == 1;
    let name = |kind: &str, i: usize| {
        if is_single {
            kind.to_owned()
        } else {
            format!("{kind}-{}", i + 1)
        }
    };
    let room = PAGE.saturating_sub(WORDS * study.characteristics.len());
    let (mut all, mut taken) = (Vec::new(), 0);
    for (i, c) in study.characteristics.iter().take(MOST_DRAWN).enumerate() {
        let figures = of_one(&Subject::of(study, c), &|kind| name(kind, i))?;
        taken += figures.all().map(|f| f.html().len()).sum::<usize>();
        if taken > room && i > 0 {
            break;
        }
        all.push(figures);
    }
    Ok(all)
}

/// The charts of one characteristic.
fn of_one(subject: &Subject<'_>, name: &dyn Fn(&str) -> String) -> Result<Figures, RenderError> {
    let c = subject.c;
    let both = |kind: &str, draw: &Draw| both(&name(kind), subject, draw);
    let cap = c.capability.as_ref();
    Ok(Figures {
        shape: shape::has_picture(c)
            .then(|| both("shape", &shape::draw))
            .transpose()?,
        departure: (c.departure.len() > 1)
            .then(|| both("departure", &departure::draw))
            .transpose()?,
        order: (c.order.points.len() > 1)
            .then(|| both("order", &order::draw))
            .transpose()?,
        indices: cap
            .is_some_and(|cap| !indices(cap).is_empty())
            .then(|| both("indices", &indices::draw))
            .transpose()?,
    })
}

type Draw = dyn Fn(&str, &Subject<'_>, Layout) -> Result<Picture, RenderError>;

fn both(name: &str, subject: &Subject<'_>, draw: &Draw) -> Result<Figure, RenderError> {
    Ok(Figure {
        name: name.to_owned(),
        wide: draw(name, subject, Layout::Wide)?,
        narrow: draw(name, subject, Layout::Narrow)?,
    })
}

/// `1 reading`, `1 000 readings`.
pub fn readings(n: u64) -> String {
    format!(
        "{} {}",
        figure::count(n),
        if n == 1 { "reading" } else { "readings" }
    )
}

/// The indices that there are, with their names, in a fixed order.
pub fn indices(cap: &LotCapability) -> Vec<(&'static str, Index)> {
    [
        ("Cp", cap.cp),
        ("Cpk", cap.cpk),
        ("Pp", cap.pp),
        ("Ppk", cap.ppk),
        ("Pp (percentile)", cap.pp_percentile),
        ("Ppk (percentile)", cap.ppk_percentile),
    ]
    .into_iter()
    .filter_map(|(name, index)| Some((name, index?)))
    .collect()
}

/// The index that leads.
pub fn leading(cap: &LotCapability) -> Option<(&'static str, Index)> {
    indices(cap)
        .into_iter()
        .find(|(name, _)| *name == cap.leads.0)
}

/// The shape that leads; the normal when none is chosen.
pub fn leading_shape(c: &LotCharacteristic) -> Option<&FittedShape> {
    c.chosen
        .and_then(|i| c.fits.get(i))
        .or_else(|| c.fits.iter().find(|f| f.shape == "normal"))
}

/// The name of a shape in words.
pub fn shape_words(fit: &FittedShape) -> String {
    text::label(&fit.shape.replace('_', " "), 24)
}

/// Readings seen beyond the 2.5 % and the 97.5 % quantile of a shape.
pub fn beyond(fit: &FittedShape, n: u64) -> [u64; 2] {
    let expected = 0.025 * n as f64;
    fit.tails
        .map(|times| libm::round((times * expected).clamp(0.0, n as f64)) as u64)
}

/// Readings expected beyond each of those quantiles, as a text.
pub fn expected(n: u64) -> String {
    figure::stated(libm::round(0.25 * n as f64) / 10.0)
}

/// A line of a chart by its look and its name.
struct Key {
    stroke: &'static str,
    words: String,
}

/// Says what the lines are, in rows over the plot.
fn keys(d: &mut Drawing, keys: &[Key]) {
    let room = d.width() - 2.0;
    let mut x = 0.0;
    d.y += face::LINE;
    for key in keys {
        let words = face::cut(&key.words, room - 34.0, false);
        let width = 32.0 + face::width(&words, false);
        if x > 0.0 && x + width > room {
            x = 0.0;
            d.y += face::LINE;
        }
        let y = d.y;
        d.line([x, y - 5.0], [x + 26.0, y - 5.0], key.stroke);
        d.text(x + 32.0, y, Anchor::Start, "f-ink", &words);
        x += width + 18.0;
    }
    d.y += 4.0;
}

/// Space that the labels of a y scale take at its left (px).
fn left_margin(y: &Scale, most: usize) -> f64 {
    y.ticks(most)
        .iter()
        .map(|(_, label)| face::width(label, false))
        .fold(20.0, f64::max)
        + 12.0
}

/// Names of levels at the right end of a plot, each with its stroke.
fn end_labels(d: &mut Drawing, levels: &[(f64, String)], right: f64, y: &Scale) {
    let wished: Vec<f64> = levels.iter().map(|(value, _)| y.at(*value)).collect();
    let placed = spread(&wished, face::LINE, y.end + 2.0, y.start - 2.0);
    for (((_, label), from), at) in levels.iter().zip(&wished).zip(&placed) {
        d.line([right + 2.0, *from], [right + 9.0, *at], "s-muted hairline");
        d.text(right + 12.0, at + 4.8, Anchor::Start, "f-ink", label);
    }
}

/// An axis of whole numbers: readings or subgroups.
fn whole_axis(d: &mut Drawing, x: &Scale, base: f64, caption: &str) {
    d.line([x.start, base], [x.end, base], "s-ink hairline");
    let widest = face::width(&figure::count(x.high.max(0.0) as u64), false);
    let most = ((x.end - x.start) / (widest + 24.0)).clamp(1.0, 8.0) as usize;
    let mut free_from = f64::NEG_INFINITY;
    for (value, _) in x.ticks(most) {
        if libm::fabs(value - libm::round(value)) > 1e-6 || value < 0.5 {
            continue;
        }
        let (at, label) = (x.at(value), figure::fixed(value, 0));
        let half = face::width(&label, false) / 2.0;
        let middle = at.min(d.width() - half);
        d.line([at, base], [at, base + 5.0], "s-ink hairline");
        if middle - half > free_from {
            d.text(middle, base + 20.0, Anchor::Middle, "f-muted", &label);
            free_from = middle + half + 6.0;
        }
    }
    d.y = base + 21.0;
    for line in face::wrap(caption, d.width() - 4.0, false) {
        d.y += face::LINE;
        let (y, span) = (d.y - 2.0, [0.0, d.width()]);
        d.text_within((x.start + x.end) / 2.0, y, span, "f-ink", &line);
    }
    d.y += 2.0;
}

/// Light guides at whole numbers only: counts.
fn count_guides(d: &mut Drawing, x: &Scale, y: &Scale, most: usize) {
    for (value, _) in y.ticks(most) {
        if libm::fabs(value - libm::round(value)) > 1e-6 {
            continue;
        }
        let at = y.at(value);
        d.line([x.start, at], [x.end, at], "s-hair hairline");
        let label = figure::fixed(value, 0);
        d.text(x.start - 7.0, at + 4.5, Anchor::End, "f-muted", &label);
    }
}

/// Whether a limit can be drawn beside readings from `low` to `high` without pressing them flat.
fn in_reach(limit: f64, [low, high]: [f64; 2], times: f64) -> bool {
    let span = high - low;
    let away = (low - limit).max(limit - high).max(0.0);
    span <= 0.0 || away <= times * span
}

/// Limits that no picture shows, in a sentence.
fn beyond_words(s: &Subject<'_>, is_drawn: &dyn Fn(f64) -> bool) -> String {
    let side = |limit: Option<f64>, word: &str, from: f64| {
        limit
            .filter(|l| !is_drawn(*l))
            .map(|l| {
                format!(
                    "The {word} limit, {}, lies beyond the picture, {} from the nearest reading. ",
                    s.reader.stated(l),
                    s.reader.spread(libm::fabs(l - from))
                )
            })
            .unwrap_or_default()
    };
    side(s.c.lower, "lower", s.c.min) + &side(s.c.upper, "upper", s.c.max)
}
