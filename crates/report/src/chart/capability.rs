//! How capable: one row an output, indices as points with intervals on one scale.

use record::{Index, Output, Record};

use super::{axis, stamp};
use crate::drawing::{Anchor, Drawing, Layout, Picture};
use crate::face;
use crate::figure;
use crate::scale::Scale;
use crate::text;
use crate::unit::Unit;

/// Levels drawn as light lines.
const LEVELS: [f64; 3] = [1.0, 1.33, 1.67];
/// Indices beyond this are drawn at the end of the scale.
const FARTHEST: f64 = 3.0;

/// How an index was found.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Form {
    Percentile,
    Normal,
    Within,
}

/// Whether an output is judged and has any index.
pub fn has_index(output: &Output) -> bool {
    output.limits.is_some()
        && [output.ppk_percentile, output.ppk, output.cpk]
            .iter()
            .any(Option::is_some)
}

/// Whether the mean of some process moves, or some output has a Cpk of its own: with lots or wear the spread within a lot
/// differs from the whole.
pub fn has_lots(record: &Record) -> bool {
    let own = |within: Option<Index>, overall: Option<Index>| within.is_some() && within != overall;
    let moves = |c: &record::Characteristic| !c.process.slow.is_empty();
    let apart = |o: &Output| own(o.cpk, o.ppk) || own(o.cp, o.pp);
    record.characteristics.iter().any(moves) || record.outputs.iter().any(apart)
}

/// The index that leads for an output: percentile unless its shape is normal.
pub fn leading(output: &Output) -> Option<Index> {
    if output.shape_normal {
        output.ppk.or(output.ppk_percentile)
    } else {
        output.ppk_percentile.or(output.ppk)
    }
}

/// The judged output with the lowest leading index.
pub fn weakest(record: &Record) -> Option<(&Output, Index)> {
    record
        .outputs
        .iter()
        .filter(|o| o.limits.is_some())
        .filter_map(|o| Some((o, leading(o)?)))
        .min_by(|a, b| a.1.value.total_cmp(&b.1.value))
}

/// Draws the rows.
pub fn draw(record: &Record, layout: Layout) -> Picture {
    let lots = has_lots(record);
    let mut d = Drawing::titled("capability", layout, &title(record), &subtitle(lots));
    let judged: Vec<&Output> = record.outputs.iter().filter(|o| has_index(o)).collect();
    let values: Vec<f64> = judged
        .iter()
        .flat_map(|o| forms(o, lots))
        .flat_map(|(_, i)| [i.low, i.value, i.high])
        .filter(|v| v.is_finite())
        .map(|v| v.clamp(-1.0, FARTHEST))
        .chain([0.0, 1.8])
        .collect();
    let start = if layout.is_narrow() { 8.0 } else { 270.0 };
    let x = Scale::over(&values, start, d.width() - 22.0);
    d.y += face::LINE;
    let heading = d.y;
    for level in LEVELS {
        d.text(
            x.at(level),
            heading,
            Anchor::Middle,
            "f-muted",
            &figure::fixed(level, 2),
        );
    }
    let top = heading + 6.0;
    let guide = d.y;
    let mut rows = Vec::new();
    let room = room(&d, &x, layout);
    for output in &judged {
        rows.push(d.y);
        let per_form = if layout.is_narrow() { 2 } else { 1 };
        let lines = 1 + facts(output, room).len() + forms(output, lots).len() * per_form;
        d.y += face::LINE * lines as f64;
        d.y += 14.0;
    }
    let base = d.y;
    if !layout.is_narrow() {
        levels(&mut d, &x, [top, base]);
    }
    d.y = guide;
    for (output, at) in judged.iter().zip(rows) {
        d.y = at;
        row(&mut d, output, lots, &x, layout);
    }
    axis::below(
        &mut d,
        &x,
        base,
        if lots { "Cpk and Ppk" } else { "Ppk (= Cpk)" },
    );
    let described: Vec<String> = judged
        .iter()
        .filter_map(|o| {
            Some(format!(
                "{}: {}",
                text::label(&o.words, 60),
                written(&leading(o)?)
            ))
        })
        .collect();
    d.finish(
        &described.join(". "),
        &stamp(record, record.yield_.pairings),
    )
}

/// The light lines of the levels.
fn levels(d: &mut Drawing, x: &Scale, [top, base]: [f64; 2]) {
    for level in LEVELS {
        d.line([x.at(level), top], [x.at(level), base], "s-hair line");
    }
}

/// How wide a caption may be: it ends before the first light line, but on a telephone, where the lines are broken.
fn room(d: &Drawing, x: &Scale, layout: Layout) -> f64 {
    if layout.is_narrow() {
        d.width()
    } else {
        x.at(LEVELS[0])
    }
}

fn title(record: &Record) -> String {
    let Some((output, index)) = weakest(record) else {
        return "No judged output has an index".to_owned();
    };
    let words = text::label(&output.words, 60);
    let ppk = figure::index(index.value, index.low, index.high).value;
    let others = record
        .outputs
        .iter()
        .filter(|o| o.limits.is_some() && leading(o).is_some())
        .count();
    let lowest = if others > 1 {
        "the lowest of the judged outputs"
    } else {
        "the one output judged by an index"
    };
    if index.high < 1.0 {
        format!(
            "{}, {lowest}, is not capable: Ppk {ppk}",
            text::sentence(&words)
        )
    } else if index.low >= 1.67 {
        format!("Every index shown is at least 1.67; {words} stands at {ppk}")
    } else {
        format!("{} has Ppk {ppk}, {lowest}", text::sentence(&words))
    }
}

fn subtitle(lots: bool) -> String {
    let columns = if lots {
        "Cpk uses the spread within a lot and at one state of the tool, Ppk the whole spread."
    } else {
        "No lots are simulated, so Cp = Pp and Cpk = Ppk: one index stands for both."
    };
    format!("{columns} Full mark: the form that leads; open mark: the other. Whiskers: interval.")
}

fn forms(output: &Output, lots: bool) -> Vec<(Form, Index)> {
    let mut forms = Vec::new();
    forms.extend(output.ppk_percentile.map(|i| (Form::Percentile, i)));
    forms.extend(output.ppk.map(|i| (Form::Normal, i)));
    if lots {
        forms.extend(output.cpk.map(|i| (Form::Within, i)));
    }
    if output.shape_normal {
        forms.sort_by_key(|(form, _)| *form == Form::Percentile);
    }
    forms
}

fn written(index: &Index) -> String {
    let i = figure::index(index.value, index.low, index.high);
    format!("{} ({})", i.value, i.ends())
}

/// Limits, number of pairings and shape, on as many lines as they need.
fn facts(output: &Output, width: f64) -> Vec<String> {
    let judged = format!("{}; n = {};", limits(output), figure::count(output.present));
    let whole = format!("{judged} {}", shape(output));
    let widest = width - 4.0;
    let fits = |text: &str| face::width(text, false) <= widest;
    if fits(&whole) || !fits(shape(output)) {
        return face::wrap(&whole, widest, false);
    }
    let mut lines = face::wrap(&judged, widest, false);
    lines.push(shape(output).to_owned());
    lines
}

fn row(d: &mut Drawing, output: &Output, lots: bool, x: &Scale, layout: Layout) {
    let narrow = layout.is_narrow();
    d.y += face::LINE;
    let y = d.y;
    let words = face::cut(
        &text::sentence(&text::label(&output.words, 60)),
        d.width() - 4.0,
        true,
    );
    d.text(0.0, y, Anchor::Start, "f-ink bold halo", &words);
    let room = room(d, x, layout);
    for line in facts(output, room) {
        d.y += face::LINE;
        let y = d.y;
        d.text(0.0, y, Anchor::Start, "f-muted halo", &line);
    }
    for (i, (form, index)) in forms(output, lots).iter().enumerate() {
        d.y += face::LINE;
        let name = match form {
            Form::Percentile if lots => "Ppk percentile",
            Form::Normal if lots => "Ppk normal",
            Form::Within => "Cpk normal",
            Form::Percentile => "percentile",
            Form::Normal => "normal",
        };
        let y = d.y;
        let class = if i == 0 { "f-ink halo" } else { "f-muted halo" };
        d.text(
            0.0,
            y,
            Anchor::Start,
            class,
            &format!("{name} {}", written(index)),
        );
        if narrow {
            d.y += face::LINE;
        }
        let middle = d.y - 4.5;
        if narrow {
            levels(d, x, [middle - 8.0, middle + 8.0]);
        }
        point(d, x, middle, index, *form, i == 0);
    }
    d.y += 14.0;
}

fn point(d: &mut Drawing, x: &Scale, y: f64, index: &Index, form: Form, leads: bool) {
    let hue = if form == Form::Percentile {
        "blue"
    } else {
        "violet"
    };
    d.line(
        [x.at(index.low), y],
        [x.at(index.high), y],
        &format!("s-{hue} line"),
    );
    for end in [index.low, index.high] {
        d.line(
            [x.at(end), y - 4.0],
            [x.at(end), y + 4.0],
            &format!("s-{hue} line"),
        );
    }
    let at = x.at(index.value);
    if !x.holds(index.value) {
        // Off the scale: an arrow at its end; the number stands beside it.
        let turn = if index.value > x.high { 1.0 } else { -1.0 };
        d.area(
            &[
                [at - 4.0 * turn, y - 5.0],
                [at + 6.0 * turn, y],
                [at - 4.0 * turn, y + 5.0],
            ],
            &format!("f-{hue}"),
            None,
        );
        return;
    }
    let corners: Vec<[f64; 2]> = if form == Form::Percentile {
        vec![[at, y - 5.5], [at + 5.5, y], [at, y + 5.5], [at - 5.5, y]]
    } else {
        vec![
            [at - 4.5, y - 4.5],
            [at + 4.5, y - 4.5],
            [at + 4.5, y + 4.5],
            [at - 4.5, y + 4.5],
        ]
    };
    let class = if leads {
        format!("f-{hue}")
    } else {
        format!("s-{hue} line")
    };
    d.area(
        &corners,
        &class,
        if leads {
            None
        } else {
            Some("var(--paper,#ffffff)")
        },
    );
}

/// The limits in words: `6 kN or more`, `0.1 mm to 0.5 mm`.
pub fn limits(output: &Output) -> String {
    let Some(limits) = output.limits else {
        return String::new();
    };
    let most = limits
        .min
        .map_or(0.0, f64::abs)
        .max(limits.max.map_or(0.0, f64::abs));
    let unit = Unit::of(&output.unit, most);
    match (limits.min, limits.max) {
        (Some(min), Some(max)) => format!("{} to {}", unit.stated(min), unit.stated(max)),
        (Some(min), None) => format!("at least {}", unit.stated(min)),
        (None, Some(max)) => format!("at most {}", unit.stated(max)),
        (None, None) => "no limit".to_owned(),
    }
}

/// The shape in words, and what follows from it.
pub fn shape(output: &Output) -> &'static str {
    if output.shape_normal {
        "shape near normal"
    } else {
        "shape not normal: the percentile form leads"
    }
}
