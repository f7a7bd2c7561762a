//! Departure in the tails: each reading against the value that the shape gives for its place in the order of size.

use super::{Key, Subject};
use crate::RenderError;
use crate::chart::axis;
use crate::drawing::{Drawing, Layout, Picture};
use crate::mark::Mark;
use crate::scale::Scale;
use crate::{figure, text};

/// Readings expected beyond each mark, below which the tails say nothing.
const FEWEST_EXPECTED: f64 = 1.0;
/// A tail with more than so many times the readings expected is called heavier.
const HEAVIER: f64 = 2.0;

/// The finding: readings seen and expected beyond the 2.5 % and the 97.5 % quantile.
fn title(s: &Subject<'_>) -> String {
    let Some(fit) = super::leading_shape(s.c) else {
        return "No shape was fitted".to_owned();
    };
    let shape = super::shape_words(fit);
    let expected = 0.025 * s.c.n as f64;
    if expected < FEWEST_EXPECTED {
        return format!(
            "{} are too few to judge the tails: the {shape} shape expects fewer than one beyond each 2.5\u{A0}% mark",
            text::sentence(&super::readings(s.c.n))
        );
    }
    let [low, high] = super::beyond(fit, s.c.n);
    let due = super::expected(s.c.n);
    let is_heavy = |seen: u64| seen as f64 > HEAVIER * expected;
    let one = |tail: &str, seen: u64| {
        format!(
            "The {tail} tail is heavier than the {shape} shape: {} readings beyond its 2.5\u{A0}% mark, {due} expected",
            figure::count(seen)
        )
    };
    match (is_heavy(low), is_heavy(high)) {
        (true, true) => format!(
            "Both tails are heavier than the {shape} shape: {} and {} readings beyond its 2.5\u{A0}% marks, {due} expected at each end",
            figure::count(low),
            figure::count(high)
        ),
        (true, false) => one("low", low),
        (false, true) => one("high", high),
        (false, false) => format!(
            "Neither tail holds more than twice the readings that the {shape} shape expects: {} and {}, {due} expected at each end",
            figure::count(low),
            figure::count(high)
        ),
    }
}

/// Draws the chart.
pub fn draw(name: &str, s: &Subject<'_>, layout: Layout) -> Result<Picture, RenderError> {
    let points = &s.c.departure;
    let tails = tails(s);
    let marked = if tails == [0, 0] {
        String::new()
    } else {
        " Diamonds: readings beyond the 2.5\u{A0}% and the 97.5\u{A0}% quantile of the shape."
            .to_owned()
    };
    let shape = super::leading_shape(s.c).map_or("normal".to_owned(), super::shape_words);
    let subtitle = format!(
        "{}: readings in order of size against the values that the {shape} shape gives for their places.{marked}",
        s.name
    );
    let mut d = Drawing::titled(name, layout, &title(s), &subtitle);
    super::keys(
        &mut d,
        &[Key {
            stroke: "s-ink line",
            words: "reading and shape agree".to_owned(),
        }],
    );
    d.paragraph(&format!("reading{}", s.reader.bracket()), "f-muted");
    let tall = if layout.is_narrow() { 250.0 } else { 330.0 };
    let (top, base) = (d.y + 12.0, d.y + 12.0 + tall);
    let values: Vec<f64> = points.iter().flatten().copied().collect();
    let y = Scale::over(&values, base, top).with_margin(0.03);
    let left = super::left_margin(&y, 6);
    let x = Scale {
        start: left,
        end: d.width() - 12.0,
        ..y
    };
    axis::guides(&mut d, &x, &y, 6);
    d.line([x.start, base], [x.end, top], "s-ink line");
    let at = |p: &[f64; 2]| [x.at(p[0]), y.at(p[1])];
    let [low, high] = tails;
    let (first, last) = (low.min(points.len()), points.len().saturating_sub(high));
    let middle: Vec<[f64; 2]> = points
        .get(first..last)
        .unwrap_or_default()
        .iter()
        .map(at)
        .collect();
    d.dots(&middle, "slate");
    let ends: Vec<[f64; 2]> = points
        .iter()
        .enumerate()
        .filter(|(i, _)| *i < first || *i >= last)
        .map(|(_, p)| at(p))
        .collect();
    if !ends.is_empty() {
        d.marks(Mark::Diamond, &ends, 3.6, "rust");
    }
    axis::below(
        &mut d,
        &x,
        base,
        &format!("value that the {shape} shape gives{}", s.reader.bracket()),
    );
    Ok(d.finish(&described(s), &format!("{}{}", thinned(s), s.stamp)))
}

/// How many of the points at each end lie beyond the marks.
fn tails(s: &Subject<'_>) -> [usize; 2] {
    let Some(fit) = super::leading_shape(s.c) else {
        return [0, 0];
    };
    let share = s.c.departure.len() as f64 / s.c.n.max(1) as f64;
    super::beyond(fit, s.c.n).map(|seen| libm::round(seen as f64 * share.min(1.0)) as usize)
}

fn thinned(s: &Subject<'_>) -> String {
    if s.c.departure.len() as u64 >= s.c.n {
        return String::new();
    }
    format!(
        "{} of the readings are drawn. ",
        figure::count(s.c.departure.len() as u64)
    )
}

fn described(s: &Subject<'_>) -> String {
    let ends = |p: Option<&[f64; 2]>, word: &str| {
        p.map_or(String::new(), |p| {
            format!(
                "The {word} reading is {}, the shape gives {}. ",
                s.reader.value(p[1]),
                s.reader.mean(p[0])
            )
        })
    };
    let said = ends(s.c.departure.first(), "smallest") + &ends(s.c.departure.last(), "largest");
    said.trim().to_owned()
}
