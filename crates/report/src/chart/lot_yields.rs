//! How the yield varies from lot to lot: lots by their share of good joints, one panel for each part.

use record::{LotYields, Record};

use super::{axis, stamp};
use crate::RenderError;
use crate::drawing::{Anchor, Drawing, Layout, Picture};
use crate::face;
use crate::figure;
use crate::mode::Hatch;
use crate::plot::{self, Item};
use crate::scale::Scale;
use crate::text;

/// With fewer lots than this the worst in twenty is a matter of one or two lots: the median is told instead.
const FEWEST: u64 = 100;
/// Height of the bars (px).
const HEIGHT: f64 = 110.0;
/// The axis spans at least so many bins.
const FEWEST_BINS: usize = 8;

/// Whether the lots of a part differ, so that there is something to draw.
pub fn spreads(lots: &LotYields) -> bool {
    lots.to > lots.from && lots.counts.iter().any(|c| *c > 0) && !is_alike(lots)
}

/// Whether every quantile and the mean are the same. A few lots may differ beyond all quantiles; the mean shows them.
fn is_alike(lots: &LotYields) -> bool {
    let is_mean = |q: &(f64, f64)| (q.1 - lots.mean).abs() < 1e-12;
    lots.quantiles.iter().all(is_mean)
}

fn quantile(lots: &LotYields, share: f64) -> Option<f64> {
    let near = |q: &&(f64, f64)| (q.0 - share).abs() < 1e-9;
    lots.quantiles.iter().find(near).map(|q| q.1)
}

/// A yield of lots in words, with the digits that the spread of the lots and one joint of a lot leave.
pub fn yield_words(lots: &LotYields, value: f64) -> String {
    if value >= 1.0 {
        return "no bad joint".to_owned();
    }
    if value <= 0.0 {
        return "no good joint".to_owned();
    }
    let ends = [0.01, 0.95].map(|share| quantile(lots, share));
    let spread = match ends {
        [Some(low), Some(high)] => high - low,
        _ => 0.0,
    };
    let one_joint = 100.0 / lots.simulated_of_each.max(1) as f64;
    let decimals = figure::supported_decimals(one_joint)
        .unwrap_or(0)
        .min(figure::supported_decimals(spread * 50.0).map_or(2, |d| d + 1));
    figure::with_unit(&figure::guarded_percent(value, decimals), "%")
}

/// Draws one panel for each part whose lots differ.
///
/// # Errors
/// [`RenderError::Plot`] when the plotting library refuses it.
pub fn draw(record: &Record, layout: Layout) -> Result<Picture, RenderError> {
    let drawn: Vec<&LotYields> = record.lot_yields.iter().filter(|l| spreads(l)).collect();
    let mut d = Drawing::titled(
        "lots",
        layout,
        &title(drawn.iter().copied()),
        if drawn.iter().any(|l| l.lots >= FEWEST) {
            "Lots by their share of good joints. Hatched: the worst lot in twenty. Dashed: where one lot in twenty and where half of the lots run below."
        } else {
            "Lots by their share of good joints. Dashed: where half of the lots run below."
        },
    );
    let mut described = Vec::new();
    for lots in drawn {
        panel(&mut d, record, lots)?;
        let told = lots
            .quantiles
            .iter()
            .map(|(share, value)| {
                format!(
                    "{} of the lots: at most {}",
                    figure::confidence(*share),
                    yield_words(lots, *value)
                )
            })
            .collect::<Vec<_>>();
        described.push(format!("Lots of {}: {}", part(lots), told.join(", ")));
    }
    Ok(d.finish(
        &described.join(". "),
        &stamp(record, record.yield_.pairings),
    ))
}

fn part(lots: &LotYields) -> String {
    text::label(&lots.part, 24)
}

/// The finding: how low the worst lot in twenty runs, of the part whose lots run lowest.
pub fn title<'a>(all: impl IntoIterator<Item = &'a LotYields>) -> String {
    let low = |l: &LotYields| quantile(l, 0.05).unwrap_or(f64::INFINITY);
    let lowest = all.into_iter().min_by(|a, b| low(a).total_cmp(&low(b)));
    let Some(lots) = lowest else {
        return "No lots were simulated".to_owned();
    };
    let part = part(lots);
    let at = |value: f64| yield_words(lots, value);
    if is_alike(lots) {
        return format!("All {part} lots simulated run alike: {}", at(lots.mean));
    }
    if lots.lots < FEWEST {
        return match quantile(lots, 0.5) {
            Some(half) if half >= 1.0 || half <= 0.0 => format!(
                "Half of the {} {part} lots simulated have {}; too few lots to tell the worst in twenty",
                figure::count(lots.lots),
                at(half)
            ),
            Some(half) => format!(
                "Half of the {} {part} lots simulated run below {} good; too few lots to tell the worst in twenty",
                figure::count(lots.lots),
                at(half)
            ),
            None => format!("Too few {part} lots were simulated to tell how they differ"),
        };
    }
    match quantile(lots, 0.05) {
        Some(low) if low >= 1.0 => {
            format!("Nineteen {part} lots in twenty have no bad joint among those simulated")
        }
        Some(low) if low <= 0.0 => {
            format!("One {part} lot in twenty has no good joint among those simulated")
        }
        Some(low) => format!("One {part} lot in twenty will run below {} good", at(low)),
        None => format!("How the yield varies between {part} lots"),
    }
}

fn panel(d: &mut Drawing, record: &Record, lots: &LotYields) -> Result<(), RenderError> {
    d.y += 4.0;
    let heading = format!(
        "{}: {} lots, {} of each",
        text::sentence(&part(lots)),
        figure::count(lots.lots),
        figure::pairings(lots.simulated_of_each)
    );
    d.paragraph(&heading, "f-ink bold");
    let x = x_scale(lots, 58.0, d.width() - 12.0);
    let marks = marks(record, lots, &x);
    labels(d, &marks, &x);
    let top = d.y + 12.0;
    let base = top + HEIGHT;
    let tallest = lots.counts.iter().max().copied().unwrap_or(0).max(1);
    let y = Scale::over(&[0.0, tallest as f64 * 1.05], base, top);
    axis::guides(d, &x, &y, tallest.min(4) as usize);
    bars(d, lots, &x, &y)?;
    for mark in &marks {
        let at = x.at(mark.value * 100.0);
        d.line([at, top - 4.0], [at, base], mark.line);
    }
    axis::below(
        d,
        &x,
        base,
        "good joints of a lot (%); height: lots in each bar",
    );
    d.y += 8.0;
    Ok(())
}

/// A value with its words, drawn as a line.
struct Line {
    value: f64,
    words: String,
    line: &'static str,
    text: &'static str,
}

fn marks(record: &Record, lots: &LotYields, x: &Scale) -> Vec<Line> {
    let ink = |value: f64, words: &str| Line {
        value,
        words: if value > 0.0 && value < 1.0 {
            format!("{words} below {}", yield_words(lots, value))
        } else {
            format!("{words}: {}", yield_words(lots, value))
        },
        line: "s-ink line dash",
        text: "f-ink",
    };
    let mut marks = Vec::new();
    if lots.lots >= FEWEST {
        marks.extend(quantile(lots, 0.05).map(|v| ink(v, "one in twenty")));
    }
    marks.extend(quantile(lots, 0.5).map(|v| ink(v, "half")));
    marks.extend(
        record
            .target_yield
            .filter(|target| x.holds(target * 100.0))
            .map(|target| Line {
                value: target,
                words: format!(
                    "target {}",
                    figure::with_unit(&figure::stated(target * 100.0), "%")
                ),
                line: "s-edge line",
                text: "f-edge",
            }),
    );
    marks
}

/// Writes the words of the lines in rows above the bars, none over another.
fn labels(d: &mut Drawing, marks: &[Line], x: &Scale) {
    let wishes: Vec<axis::Wish> = marks
        .iter()
        .map(|m| axis::Wish {
            x: x.at(m.value * 100.0),
            width: face::width(&m.words, false),
        })
        .collect();
    let placed = axis::rows(&wishes, [0.0, d.width()], 14.0);
    let rows = placed.iter().map(|p| p.0 + 1).max().unwrap_or(0);
    for (mark, (row, left)) in marks.iter().zip(&placed) {
        let y = d.y + face::LINE * (*row as f64 + 1.0);
        d.text(*left, y, Anchor::Start, mark.text, &mark.words);
    }
    d.y += face::LINE * rows as f64;
}

/// The axis in per cent: from the first bin that holds a lot to the last, and some room around few bins.
fn x_scale(lots: &LotYields, start: f64, end: f64) -> Scale {
    let bins = lots.counts.len();
    let holds = |i: &usize| lots.counts[*i] > 0;
    let first = (0..bins).find(holds).unwrap_or(0);
    let last = (0..bins).rev().find(holds).unwrap_or(0);
    let width = bin_width(lots);
    let [mut from, mut to] = [edge(lots, first), edge(lots, last + 1)];
    if last - first < FEWEST_BINS {
        (from, to) = (from - 4.0 * width, to + 4.0 * width);
    }
    Scale::over(&[from.max(0.0), to.min(100.0)], start, end)
}

fn bin_width(lots: &LotYields) -> f64 {
    (lots.to - lots.from) * 100.0 / lots.counts.len().max(1) as f64
}

/// Lower edge of a bin (%).
fn edge(lots: &LotYields, bin: usize) -> f64 {
    lots.from * 100.0 + bin_width(lots) * bin as f64
}

/// Draws the bars, and those of the worst lots hatched.
fn bars(d: &mut Drawing, lots: &LotYields, x: &Scale, y: &Scale) -> Result<(), RenderError> {
    let outline = outline(lots, f64::INFINITY);
    let mut items = vec![Item::Area(outline.clone(), "class=\"f-good\"".to_owned())];
    let low = quantile(lots, 0.05).filter(|_| lots.lots >= FEWEST);
    if let Some(low) = low.filter(|low| low * 100.0 > x.low && *low < 1.0) {
        let hatch = d.hatch_lines(
            "worst",
            ["rust", "paper"],
            Hatch {
                angle: 45.0,
                pitch: 4.5,
                crossed: false,
            },
        );
        items.push(Item::Area(
            self::outline(lots, low * 100.0),
            format!("style=\"fill:{hatch}\""),
        ));
    }
    items.push(Item::Line(outline, "s-ink hairline".to_owned()));
    plot::draw(d, x, y, &items)
}

/// The outline of the bars from the left up to a yield (%).
fn outline(lots: &LotYields, up_to: f64) -> Vec<(f64, f64)> {
    let mut points = vec![(edge(lots, 0), 0.0)];
    let mut end = edge(lots, 0);
    for (bin, count) in lots.counts.iter().enumerate() {
        if edge(lots, bin) >= up_to {
            break;
        }
        end = edge(lots, bin + 1).min(up_to);
        points.extend([(edge(lots, bin), *count as f64), (end, *count as f64)]);
    }
    points.push((end, 0.0));
    points
}
