//! The readings in the order of production, and the subgroups with their ranges.

use record::{LotCharacteristic, LotStudy, OrderPoint, Subgroups};

use super::{Key, Subject};
use crate::RenderError;
use crate::chart::axis;
use crate::drawing::{Drawing, Layout, Picture};
use crate::mark::Mark;
use crate::scale::Scale;
use crate::{face, figure, text};

/// A limit further away than so many spans of the readings is not drawn.
const REACH: f64 = 0.6;
/// Up to so many readings are joined by a line.
const MOST_JOINED: usize = 150;
/// Space for the names of levels (px), at most.
const WIDEST_LABEL: f64 = 170.0;

/// Whether no column gives the order, so that the rows stand for it.
pub fn rows_are_order(study: &LotStudy) -> bool {
    !study
        .file
        .columns
        .iter()
        .any(|(_, _, done)| done.starts_with("order"))
}

/// The finding.
fn title(s: &Subject<'_>) -> String {
    match s.c.order.verdict.as_str() {
        "steady" => "Neither drift nor shifts are seen in the order of production".to_owned(),
        "drift" => match s.c.order.trend {
            Some(trend) => format!(
                "The readings drift: {} from the first to the last along the fitted line",
                s.reader.change(trend.change)
            ),
            None => "The readings drift in the order of production".to_owned(),
        },
        "shifts" => {
            "The readings shift in the order of production by more than chance gives".to_owned()
        }
        _ => "There is too little to judge the order of production".to_owned(),
    }
}

fn subtitle(s: &Subject<'_>, is_each: bool) -> String {
    let drawn = if is_each {
        "each reading in turn"
    } else {
        "means of readings in turn, with the band from the smallest to the largest"
    };
    let order = if s.rows_are_order {
        " The order of the rows is taken as the order of production."
    } else {
        ""
    };
    format!("{}: {drawn}.{order}", s.name)
}

/// Draws the chart.
pub fn draw(name: &str, s: &Subject<'_>, layout: Layout) -> Result<Picture, RenderError> {
    let points = &merged(&s.c.order.points, most_points(s, layout));
    let is_each = points.iter().all(|p| p.first == p.last);
    let mut d = Drawing::titled(name, layout, &title(s), &subtitle(s, is_each));
    let data = [s.c.min, s.c.max];
    let is_drawn = |limit: f64| super::in_reach(limit, data, REACH);
    let levels = levels(s, &is_drawn);
    let mut values: Vec<f64> = points.iter().flat_map(|p| [p.min, p.max]).collect();
    values.extend(levels.iter().map(|l| l.0));
    keys(&mut d, s, &levels, layout);
    d.paragraph(&format!("reading{}", s.reader.bracket()), "f-muted");
    let (top, base) = (d.y + 12.0, d.y + 12.0 + 190.0);
    let y = Scale::over(&values, base, top).with_margin(0.06);
    let labels: Vec<(f64, String)> = levels
        .iter()
        .map(|l| (l.0, face::cut(&l.1, WIDEST_LABEL, false)))
        .collect();
    let widest = labels
        .iter()
        .map(|l| face::width(&l.1, false))
        .fold(0.0, f64::max);
    let room = if layout.is_narrow() {
        8.0
    } else {
        widest + 16.0
    };
    let most = points.last().map_or(1, |p| p.last) as f64;
    let x = Scale {
        low: 0.5,
        high: most + 0.5,
        start: super::left_margin(&y, 5),
        end: d.width() - room,
    };
    axis::guides(&mut d, &x, &y, 5);
    level_lines(&mut d, &levels, &x, &y);
    run(&mut d, points, &x, &y);
    trend(&mut d, s.c, &x, &y);
    if !layout.is_narrow() {
        super::end_labels(&mut d, &labels, x.end, &y);
    }
    super::whole_axis(&mut d, &x, base, "reading, in order");
    if let Some(subgroups) = s.c.subgroups.as_ref().filter(|g| g.each.len() > 1) {
        panel(&mut d, s, subgroups, &levels, [x, y], layout);
    }
    let note = format!("{}{}", super::beyond_words(s, &is_drawn), s.stamp);
    Ok(d.finish(&text::visible(&s.c.order.words), &note))
}

fn most_points(s: &Subject<'_>, layout: Layout) -> usize {
    if layout.is_narrow() {
        s.most_points / 2
    } else {
        s.most_points
    }
}

/// At most so many points, neighbours taken together: the mean of all, the smallest and the largest.
fn merged(points: &[OrderPoint], most: usize) -> Vec<OrderPoint> {
    let size = points.len().div_ceil(most.max(1)).max(1);
    let together = |run: &[OrderPoint]| {
        let weight = |p: &OrderPoint| (p.last + 1).saturating_sub(p.first).max(1) as f64;
        let all: f64 = run.iter().map(weight).sum();
        OrderPoint {
            first: run.first().map_or(1, |p| p.first),
            last: run.last().map_or(1, |p| p.last),
            mean: run.iter().map(|p| p.mean * weight(p) / all).sum(),
            min: run.iter().map(|p| p.min).fold(f64::INFINITY, f64::min),
            max: run.iter().map(|p| p.max).fold(f64::NEG_INFINITY, f64::max),
        }
    };
    match size {
        1 => points.to_vec(),
        _ => points.chunks(size).map(together).collect(),
    }
}

/// Levels across the plot: value, name, stroke.
type Level = (f64, String, &'static str);

fn levels(s: &Subject<'_>, is_drawn: &dyn Fn(f64) -> bool) -> Vec<Level> {
    let limit = |limit: Option<f64>, word: &str| {
        limit.filter(|l| is_drawn(*l)).map(|l| {
            (
                l,
                format!("{word} limit {}", s.reader.stated(l)),
                "s-edge heavy",
            )
        })
    };
    [
        limit(s.c.upper, "upper"),
        Some((
            s.c.mean,
            format!("mean {}", s.reader.mean(s.c.mean)),
            "s-ink line chain",
        )),
        limit(s.c.lower, "lower"),
    ]
    .into_iter()
    .flatten()
    .collect()
}

fn keys(d: &mut Drawing, s: &Subject<'_>, levels: &[Level], layout: Layout) {
    let mut keys = Vec::new();
    if layout.is_narrow() {
        keys.extend(levels.iter().map(|(_, words, stroke)| Key {
            stroke,
            words: words.clone(),
        }));
    }
    if let Some(trend) = drift(s.c) {
        keys.push(Key {
            stroke: "s-rust heavy dash",
            words: format!("fitted line, {} over all readings", s.reader.change(trend)),
        });
    }
    if !keys.is_empty() {
        super::keys(d, &keys);
    }
}

/// The change along the fitted line, where drift was found.
fn drift(c: &LotCharacteristic) -> Option<f64> {
    let found = c.order.verdict == "drift";
    c.order.trend.filter(|_| found).map(|t| t.change)
}

fn level_lines(d: &mut Drawing, levels: &[Level], x: &Scale, y: &Scale) {
    for (value, _, stroke) in levels {
        d.line([x.start, y.at(*value)], [x.end, y.at(*value)], stroke);
    }
}

/// The readings, or their means with the band of their range.
fn run(d: &mut Drawing, points: &[OrderPoint], x: &Scale, y: &Scale) {
    let middle = |p: &OrderPoint| x.at((p.first + p.last) as f64 / 2.0);
    let means: Vec<[f64; 2]> = points.iter().map(|p| [middle(p), y.at(p.mean)]).collect();
    if points.iter().any(|p| p.first < p.last) {
        let up = points.iter().map(|p| [middle(p), y.at(p.max)]);
        let down = points.iter().rev().map(|p| [middle(p), y.at(p.min)]);
        let band: Vec<[f64; 2]> = up.chain(down).collect();
        d.area(&band, "f-good", None);
        d.polyline(&means, "s-blue line");
        return;
    }
    if points.len() <= MOST_JOINED {
        d.polyline(&means, "s-slate hairline");
    }
    d.dots(&means, "blue");
}

/// The fitted line, where drift was found. A line of least squares passes through the means.
fn trend(d: &mut Drawing, c: &LotCharacteristic, x: &Scale, y: &Scale) {
    let Some(change) = drift(c) else {
        return;
    };
    let ends = [c.mean - change / 2.0, c.mean + change / 2.0].map(|v| y.at(v));
    let sides = [x.at(1.0), x.at(c.n as f64)];
    d.line(
        [sides[0], ends[0]],
        [sides[1], ends[1]],
        "s-rust heavy dash",
    );
}

/// Means and ranges of the subgroups, on the scale of the readings.
fn panel(
    d: &mut Drawing,
    s: &Subject<'_>,
    subgroups: &Subgroups,
    levels: &[Level],
    [over, y]: [Scale; 2],
    layout: Layout,
) {
    let points = of_subgroups(subgroups);
    let marks = merged(&points, most_points(s, layout));
    let size = points.len().div_ceil(marks.len().max(1));
    let together = if size > 1 {
        format!("subgroups, {size} at a time: mean of their means")
    } else {
        "subgroups: mean".to_owned()
    };
    d.y += 14.0;
    let words = format!(
        "{together}, with the range from smallest to largest{}",
        s.reader.bracket()
    );
    d.paragraph(&words, "f-muted");
    let (top, base) = (d.y + 12.0, d.y + 12.0 + 150.0);
    let y = Scale {
        start: base,
        end: top,
        ..y
    };
    let x = Scale {
        low: 0.5,
        high: points.len() as f64 + 0.5,
        ..over
    };
    axis::guides(d, &x, &y, 4);
    level_lines(d, levels, &x, &y);
    let at = |p: &OrderPoint| x.at((p.first + p.last) as f64 / 2.0);
    let ranges: Vec<[f64; 3]> = marks
        .iter()
        .map(|p| [at(p), y.at(p.max), y.at(p.min)])
        .collect();
    d.strokes(&ranges, "s-slate line");
    let means: Vec<[f64; 2]> = marks.iter().map(|p| [at(p), y.at(p.mean)]).collect();
    d.polyline(&means, "s-blue hairline");
    let gap = (x.end - x.start) / marks.len() as f64;
    if gap > 8.0 {
        d.marks(Mark::Square, &means, (gap * 0.3).min(4.0), "blue");
    } else {
        d.dots(&means, "blue");
    }
    let caption = if (points.len() as u64) < subgroups.count {
        format!(
            "subgroup, the first {} of {}",
            points.len(),
            figure::count(subgroups.count)
        )
    } else {
        "subgroup, in order".to_owned()
    };
    super::whole_axis(d, &x, base, &caption);
}

/// The subgroups as points, each at its number.
fn of_subgroups(subgroups: &Subgroups) -> Vec<OrderPoint> {
    let point = |(i, group): (usize, &record::Subgroup)| OrderPoint {
        first: i as u64 + 1,
        last: i as u64 + 1,
        mean: group.mean,
        min: group.min,
        max: group.max,
    };
    subgroups.each.iter().enumerate().map(point).collect()
}
