//! By how much joints that are not right can move: the gap of those with a gap left, the swing of hubs that rock.

use record::{Among, Output, Record};

use super::{axis, stamp};
use crate::RenderError;
use crate::drawing::{Anchor, Drawing, Layout, Picture};
use crate::face;
use crate::figure;
use crate::mode::Hatch;
use crate::plot::{self, Item};
use crate::scale::Scale;
use crate::text;
use crate::unit::Unit;

/// The outputs that are play, with what their joints are called and the hue of their cause.
const KINDS: [(&str, &str, &str); 3] = [
    ("gap", "joints with a gap left", "rust"),
    ("rock_angle", "joints whose hub rocks", "blue"),
    ("runout", "joints whose hub rocks", "blue"),
];

/// The play of one kind of joint.
pub struct Play<'a> {
    /// The output.
    pub output: &'a Output,
    /// Its distribution among the joints that have some.
    pub among: &'a Among,
    /// What those joints are called.
    pub joints: &'static str,
    hue: &'static str,
    /// The unit that it is told in.
    pub unit: Unit,
}

/// All play that a record tells of.
pub fn plays(record: &Record) -> Vec<Play<'_>> {
    KINDS
        .iter()
        .filter_map(|(name, joints, hue)| {
            let output = record.output(name)?;
            let among = output.among.as_ref().filter(|a| a.count > 0)?;
            let most = among.quantiles.get("0.95").copied().or(output.max);
            Some(Play {
                output,
                among,
                joints,
                hue,
                unit: Unit::of_deviation(&output.unit, most.unwrap_or(0.0)),
            })
        })
        .collect()
}

impl Play<'_> {
    /// Median and 95 % quantile, when they could be read.
    pub fn quantiles(&self) -> Option<[f64; 2]> {
        let at = |share: &str| self.among.quantiles.get(share).copied();
        Some([at("0.5")?, at("0.95")?])
    }

    /// A value with its unit; the swing is the full one.
    pub fn written(&self, value: f64) -> String {
        let number = figure::significant(value * self.unit.factor, 3);
        figure::with_unit(&number, &self.unit.text)
    }

    fn words(&self) -> String {
        text::label(&self.output.words, 40)
    }
}

/// Draws one panel for each kind of play whose quantiles are known.
///
/// # Errors
/// [`RenderError::Plot`] when the plotting library refuses it.
pub fn draw(record: &Record, layout: Layout) -> Result<Picture, RenderError> {
    let plays = plays(record);
    let mut d = Drawing::titled(
        "play",
        layout,
        &title(&plays),
        "Each panel: only the joints that have this play. Lines: half of them have more, one in twenty has more.",
    );
    let mut described = Vec::new();
    for play in &plays {
        if let Some(quantiles) = play.quantiles() {
            panel(&mut d, play, quantiles)?;
            described.push(format!(
                "{} of {} {}: median {}, 95 % at {}",
                play.words(),
                figure::count(play.among.count),
                play.joints,
                play.written(quantiles[0]),
                play.written(quantiles[1])
            ));
        }
    }
    Ok(d.finish(
        &described.join(". "),
        &stamp(record, record.yield_.pairings),
    ))
}

/// The finding, from the first kinds of play alone.
fn title(plays: &[Play]) -> String {
    let told: Vec<(&Play, [f64; 2])> = plays
        .iter()
        .filter_map(|p| Some((p, p.quantiles()?)))
        .collect();
    let of = |name: &str| told.iter().find(|(p, _)| p.output.name == name);
    let loose = of("gap").map(|(p, q)| {
        format!(
            "Where a gap is left, half of the spacers have more than {} of play",
            p.written(q[0])
        )
    });
    let rocks = of("rock_angle").map(|(p, q)| {
        format!(
            "half of the hubs that rock swing by more than {}",
            p.written(q[0])
        )
    });
    let runs = of("runout").map(|(p, q)| {
        format!(
            "half of the hubs that rock run out by more than {}",
            p.written(q[0])
        )
    });
    match (loose, rocks.or(runs)) {
        (Some(loose), Some(rocks)) => format!("{loose}; {rocks}"),
        (Some(one), None) => one,
        (None, Some(one)) => text::sentence(&one),
        (None, None) => "Too few joints have play to tell how much".to_owned(),
    }
}

fn panel(d: &mut Drawing, play: &Play, [median, most]: [f64; 2]) -> Result<(), RenderError> {
    let factor = play.unit.factor;
    let farthest = (2.2 * most).min(play.output.max.unwrap_or(f64::INFINITY).max(most));
    let x = Scale::over(&[0.0, farthest * factor], 8.0, d.width() - 16.0);
    d.y += 6.0;
    let heading = format!(
        "{} among the {} {}",
        text::sentence(&play.words()),
        figure::count(play.among.count),
        play.joints
    );
    d.paragraph(&heading, &format!("f-{} bold", play.hue));
    let marks = [
        (median, "half have more than"),
        (most, "one in twenty: more than"),
    ];
    let wishes: Vec<axis::Wish> = marks
        .iter()
        .map(|(value, words)| axis::Wish {
            x: x.at(value * factor),
            width: face::width(&format!("{words} {}", play.written(*value)), false),
        })
        .collect();
    let placed = axis::rows(&wishes, [0.0, d.width()], 14.0);
    let rows = placed.iter().map(|p| p.0 + 1).max().unwrap_or(0);
    for ((value, words), (row, left)) in marks.iter().zip(&placed) {
        let y = d.y + face::LINE * (*row as f64 + 1.0);
        let label = format!("{words} {}", play.written(*value));
        d.text(*left, y, Anchor::Start, "f-ink", &label);
    }
    let top = d.y + face::LINE * rows as f64 + 8.0;
    let base = top + 74.0;
    let beyond = bars(d, play, &x, [top, base])?;
    for value in [median, most] {
        let at = x.at(value * factor);
        d.line([at, top - 4.0], [at, base], "s-ink line dash");
    }
    let unit = if play.output.unit == "deg" {
        format!("full swing ({})", minutes(&play.unit.text))
    } else {
        format!("{} ({})", play.words(), play.unit.text)
    };
    let rest = match beyond {
        0 => String::new(),
        n => format!("; {} more lie beyond the scale", figure::count(n)),
    };
    axis::below(d, &x, base, &format!("{unit}{rest}"));
    d.y += 8.0;
    Ok(())
}

/// The sign of minutes alone would be read as a speck.
fn minutes(unit: &str) -> &str {
    if unit == "\u{2032}" {
        "minutes of arc"
    } else {
        unit
    }
}

/// Draws the histogram as far as the scale goes, and gives how many joints lie beyond it.
fn bars(
    d: &mut Drawing,
    play: &Play,
    x: &Scale,
    [top, base]: [f64; 2],
) -> Result<u64, RenderError> {
    let Some(histogram) = &play.output.histogram else {
        return Ok(0);
    };
    let width = (histogram.to - histogram.from) / histogram.counts.len().max(1) as f64;
    let edge = |i: usize| (histogram.from + width * i as f64) * play.unit.factor;
    let shown = (0..histogram.counts.len())
        .take_while(|i| edge(*i) < x.high)
        .count();
    let tallest = histogram.counts.iter().max().copied().unwrap_or(0).max(1);
    let y = Scale::over(&[0.0, tallest as f64 * 1.05], base, top);
    let mut outline = vec![(edge(0), 0.0)];
    for (i, count) in histogram.counts.iter().take(shown).enumerate() {
        outline.extend([(edge(i), *count as f64), (edge(i + 1), *count as f64)]);
    }
    outline.push((edge(shown), 0.0));
    let hatch = d.hatch_lines(
        play.hue,
        [play.hue, "paper"],
        Hatch {
            angle: if play.hue == "blue" { 135.0 } else { 45.0 },
            pitch: 4.5,
            crossed: false,
        },
    );
    let items = [
        Item::Area(outline.clone(), format!("style=\"fill:{hatch}\"")),
        Item::Line(outline, format!("s-{} hairline", play.hue)),
    ];
    plot::draw(d, x, &y, &items)?;
    let hidden: u64 = histogram.counts.iter().skip(shown).sum();
    Ok(hidden + histogram.above)
}
