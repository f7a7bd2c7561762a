//! By how much joints that are not right can move.

use record::Record;

use super::{paragraph, section};
use crate::chart::{self, Figures, Play};
use crate::figure;
use crate::text::html;

/// Writes the section; nothing when no joint has play.
pub fn write(record: &Record, figures: &Figures) -> String {
    let plays = chart::plays(record);
    let mut body = figures.play.as_ref().map(|f| f.html()).unwrap_or_default();
    for play in &plays {
        body.push_str(&paragraph(&told(play)));
    }
    section("Play of joints that are not right", &body)
}

/// One kind of play in words.
fn told(play: &Play) -> String {
    let joints = format!(
        "{}, among the {} {}",
        html(&play.output.words),
        figure::count(play.among.count),
        play.joints
    );
    let most = play.output.max.map_or(String::new(), |max| {
        format!(" The largest seen is {}.", html(&play.written(max)))
    });
    match play.quantiles() {
        Some([median, high]) => format!(
            "{joints}: median {}, 95\u{A0}% have less than {}.{most}",
            html(&play.written(median)),
            html(&play.written(high))
        ),
        None => format!("{joints}: too rare for its distribution to be resolved.{most}"),
    }
}
