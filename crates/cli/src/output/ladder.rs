//! A ladder of torques for people: one line a rung, then what it means.

use study::record::{Ladder, Rung};

use super::capability::trimmed;
use super::numbers::fixed;
use super::plain::plain;
use super::table::{Side, row, set, wrapped};
use super::words;

/// The table and the findings, ending in a newline.
pub fn ladder(ladder: &Ladder) -> String {
    let mut rows = vec![
        row([
            "torque",
            "bolt load",
            "stand-off",
            "gap",
            "clamp load",
            "seat load",
            "verdict",
        ]),
        row(["N·m", "kN", "mm", "mm", "kN", "kN", ""]),
    ];
    let seat = words::Seat::named(&ladder.seat);
    rows.extend(ladder.rungs.iter().map(|rung| line(rung, seat)));
    let sides = [&[Side::Right; 6][..], &[Side::Left]].concat();
    let title = match &ladder.name {
        Some(name) => format!("{}: {}", plain(&ladder.title), plain(name)),
        None => plain(&ladder.title),
    };
    let findings = report::ladder_findings(ladder).join(" ");
    let mut text = format!(
        "{title}\n\n{}\n{}",
        set(&sides, &rows),
        wrapped(&ordinary(&findings))
    );
    for caution in &ladder.cautions {
        text.push_str(&format!("\nKnow this: {caution}\n"));
    }
    text
}

fn line(rung: &Rung, seat: words::Seat) -> Vec<String> {
    let shown = |value: Option<f64>, factor: f64| {
        value.map_or_else(|| "-".to_owned(), |value| fixed(value * factor, 3))
    };
    vec![
        trimmed(rung.torque_nm),
        shown(Some(rung.bolt_load_n), 1e-3),
        shown(rung.stand_off_mm, 1.0),
        shown(rung.gap_mm, 1.0),
        shown(rung.clamp_load_n, 1e-3),
        shown(rung.seat_load_n, 1e-3),
        words::verdict(&rung.verdict, seat),
    ]
}

/// Words of a report with the blanks that a terminal shows best, safe to print.
pub fn ordinary(text: &str) -> String {
    plain(
        &text
            .replace('\u{A0}', " ")
            .replace('\u{202F}', ",")
            .replace('\u{2212}', "-"),
    )
}
