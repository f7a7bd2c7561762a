//! What becomes of the clamp load: as assembled, after settling, in service, on one scale.

use record::{BrokenLimit, Output, Record};

use super::{axis, stamp};
use crate::drawing::{Anchor, Drawing, Layout, Picture};
use crate::face;
use crate::figure;
use crate::mode::Hatch;
use crate::scale::Scale;
use crate::unit::Unit;

/// The states of the clamp load: output, words, hue.
const STATES: [(&str, &str, &str); 3] = [
    ("clamp_load", "as assembled", "slate"),
    ("settled_clamp_load", "after settling", "ochre"),
    ("service_clamp_load", "in service", "rust"),
];

/// The interval shown and its middle, by the share below.
const SHOWN: [&str; 3] = ["0.00135", "0.5", "0.99865"];

/// The clamp load in one state.
struct State<'a> {
    output: &'a Output,
    words: &'static str,
    hue: &'static str,
    /// 0.135 %, 50 % and 99.865 % (N).
    ends: [f64; 3],
}

/// Whether a record tells what becomes of the clamp load after assembly.
pub fn has_later(record: &Record) -> bool {
    states(record).iter().any(|s| s.output.name != "clamp_load")
}

fn states(record: &Record) -> Vec<State<'_>> {
    STATES
        .iter()
        .filter_map(|(name, words, hue)| {
            let output = record.output(name)?;
            let at = |share: &str| output.quantiles.get(share).map(|q| q.value);
            Some(State {
                output,
                words,
                hue,
                ends: [at(SHOWN[0])?, at(SHOWN[1])?, at(SHOWN[2])?],
            })
        })
        .collect()
}

/// Draws the rows.
pub fn draw(record: &Record, layout: Layout) -> Picture {
    let states = states(record);
    let mut d = Drawing::titled(
        "clamp-later",
        layout,
        &title(&states),
        "Clamp load in each state, from the 0.135 % to the 99.865 % quantile; heavy line: the median. Dashed: limits.",
    );
    let limits = states.iter().flat_map(|s| limits_of(s.output));
    let values: Vec<f64> = states
        .iter()
        .flat_map(|s| s.ends)
        .chain(limits.map(|(_, value)| value))
        .chain([0.0])
        .collect();
    let most = values.iter().map(|v| v.abs()).fold(0.0, f64::max);
    let unit = Unit::of("N", most);
    let shown: Vec<f64> = values.iter().map(|v| v * unit.factor).collect();
    let x = Scale::over(&shown, 8.0, d.width() - 18.0);
    for state in &states {
        row(&mut d, record, state, &x, &unit);
    }
    let base = d.y + 4.0;
    axis::below(&mut d, &x, base, &format!("clamp load ({})", unit.text));
    let described: Vec<String> = states
        .iter()
        .map(|s| format!("{}: {}", s.words, spread(s, &unit)))
        .collect();
    d.finish(
        &described.join(". "),
        &stamp(record, record.yield_.pairings),
    )
}

/// The finding: by how much the median moves, in each state from the joint as assembled.
fn title(states: &[State]) -> String {
    let Some(first) = states.iter().find(|s| s.output.name == "clamp_load") else {
        return match states {
            [only] => {
                let unit = Unit::of("N", only.ends[1]);
                format!(
                    "Half of the joints keep more than {} of clamp load {}",
                    written(only.ends[1], &unit),
                    only.words
                )
            }
            _ => "The clamp load after settling and in service".to_owned(),
        };
    };
    let before = first.ends[1];
    if before <= 0.0 {
        return "The median joint has no clamp load to lose".to_owned();
    }
    let mut verb = "";
    let moves: Vec<String> = states
        .iter()
        .filter(|s| s.output.name != "clamp_load")
        .map(|s| {
            let by = s.ends[1] - before;
            let how = if s.output.name == "settled_clamp_load" {
                "through settling"
            } else {
                "in service"
            };
            let unit = Unit::of("N", by);
            let (does, amount) = if by.abs() < 0.005 * before {
                ("hardly moves", String::new())
            } else if s.ends[1] <= 0.0 {
                ("is lost", String::new())
            } else if by < 0.0 {
                ("falls", format!("by {} ", written(-by, &unit)))
            } else {
                ("grows", format!("by {} ", written(by, &unit)))
            };
            // `falls by … and by …`: the verb is said once.
            let said = if does == verb && !amount.is_empty() {
                String::new()
            } else {
                format!("{does} ")
            };
            verb = does;
            format!("{said}{amount}{how}")
        })
        .collect();
    format!("The median clamp load {}", moves.join(" and "))
}

fn written(value: f64, unit: &Unit) -> String {
    figure::with_unit(&figure::significant(value * unit.factor, 3), &unit.text)
}

/// Median and interval in words.
fn spread(state: &State, unit: &Unit) -> String {
    let decimals = usize::try_from(2 - figure::exponent(state.ends[1] * unit.factor))
        .unwrap_or(0)
        .min(3);
    let [low, middle, high] = state.ends.map(|v| figure::fixed(v * unit.factor, decimals));
    format!(
        "{} ({low} to {high})",
        figure::with_unit(&middle, &unit.text)
    )
}

/// The limits of an output with the side of each.
fn limits_of(output: &Output) -> impl Iterator<Item = (&'static str, f64)> {
    let limits = output.limits;
    let side = move |name, value: Option<f64>| value.map(|v| (name, v));
    [
        side("min", limits.and_then(|l| l.min)),
        side("max", limits.and_then(|l| l.max)),
    ]
    .into_iter()
    .flatten()
}

fn row(d: &mut Drawing, record: &Record, state: &State, x: &Scale, unit: &Unit) {
    d.y += face::LINE + 4.0;
    let y = d.y;
    let class = format!("f-{} bold", state.hue);
    d.text(0.0, y, Anchor::Start, &class, state.words);
    let after = face::width(state.words, true) + 12.0;
    let words = spread(state, unit);
    if after + face::width(&words, false) <= d.width() {
        d.text(after, y, Anchor::Start, "f-ink", &words);
    } else {
        d.y += face::LINE;
        let y = d.y;
        let cut = face::cut(&words, d.width(), false);
        d.text(0.0, y, Anchor::Start, "f-ink", &cut);
    }
    let top = d.y + 10.0;
    let [low, middle, high] = state.ends.map(|v| x.at(v * unit.factor));
    let hatch = d.hatch_lines(
        state.hue,
        [state.hue, "paper"],
        Hatch {
            angle: 45.0,
            pitch: 4.5,
            crossed: false,
        },
    );
    let bar = [
        [low - 0.6, top],
        [high + 0.6, top],
        [high + 0.6, top + 14.0],
        [low - 0.6, top + 14.0],
    ];
    d.area(&bar, &format!("s-{} hairline", state.hue), Some(&hatch));
    d.line([middle, top - 3.0], [middle, top + 17.0], "s-ink heavy");
    d.y = top + 16.0;
    for (side, value) in limits_of(state.output) {
        let at = x.at(value * unit.factor);
        d.line([at, top - 5.0], [at, top + 20.0], "s-edge line dash");
        let name = format!("{}.{side}", state.output.name);
        let broken = record.broken_limits.iter().find(|b| b.name == name);
        for line in face::wrap(
            &limit(side, value, unit, broken, record),
            d.width() - 2.0,
            false,
        ) {
            d.y += face::LINE;
            let y = d.y;
            d.text(0.0, y, Anchor::Start, "f-edge", &line);
        }
    }
    d.y += 6.0;
}

/// The limit and how many joints break it.
fn limit(
    side: &str,
    value: f64,
    unit: &Unit,
    broken: Option<&BrokenLimit>,
    record: &Record,
) -> String {
    let (least, beyond) = if side == "min" {
        ("at least", "below it")
    } else {
        ("at most", "above it")
    };
    let share = broken.map_or(String::new(), |b| {
        let share = figure::share(
            b.count,
            record.yield_.pairings,
            (b.fraction, b.low, b.high),
            record.confidence,
        );
        format!("; {beyond}: {share}")
    });
    format!("limit: {least} {}{share}", unit.stated(value))
}
