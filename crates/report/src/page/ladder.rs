//! The page of a ladder of torques.

use record::{Ladder, Rung};

use super::{document, paragraph, section, sheet};
use crate::chart::{self, Figure};
use crate::figure;
use crate::mode::Mode;
use crate::seat::Seat;
use crate::style;
use crate::text::{escape, html};

const HEADS: [(&str, &str); 7] = [
    ("torque (N·m)", "num"),
    ("bolt load (kN)", "num"),
    ("stand-off (mm)", "num"),
    ("gap (mm)", "num"),
    ("clamp load (kN)", "num"),
    ("seat load (kN)", "num"),
    ("verdict", "text"),
];

/// Writes the page.
pub fn write(ladder: &Ladder, chart: &Figure) -> String {
    let title = match &ladder.name {
        Some(name) => format!("{}: {name}", ladder.title),
        None => ladder.title.clone(),
    };
    let head = format!(
        "<header>\n<h1>{}</h1>\n{}</header>\n",
        html(&title),
        super::matrix::provenance(
            &ladder.program_version,
            &ladder.scenario,
            &ladder.scenario_hash
        )
    );
    let mut answer = format!(
        "<p class=\"lead\">{}.</p>\n",
        escape(&chart::ladder::title(ladder))
    );
    answer.push_str(&paragraph(&escape(
        &chart::ladder::findings(ladder).join(" "),
    )));
    for caution in &ladder.cautions {
        answer.push_str(&super::matrix::warning(caution));
    }
    answer.push_str(&chart.html());
    let seat = Seat::named(&ladder.seat);
    let rows: Vec<Vec<String>> = ladder.rungs.iter().map(|rung| row(rung, seat)).collect();
    let rungs = sheet("What each torque gives", &HEADS, &rows);
    let method = "Each torque is set on the wrench; the pairing keeps its own torque error and frictions, and nothing is drawn at random. \
         The spacer is pinched at the torque at which the seat load at that stand-off equals the bolt load. The bolt's own strength is judged only where a limit on bolt_utilisation is set.";
    let sections = [
        head,
        section("Answer", &answer),
        section("Torque by torque", &rungs),
        section(
            "How this was computed",
            &format!("{}{}", paragraph(method), super::matrix::cautions()),
        ),
    ];
    document(&title, style::SHEET_RULES, &sections)
}

fn row(rung: &Rung, seat: Seat) -> Vec<String> {
    let load = |n: Option<f64>| n.map_or("—".to_owned(), |n| figure::fixed(n * 1e-3, 2));
    let length = |mm: Option<f64>| mm.map_or("—".to_owned(), |mm| figure::fixed(mm, 3));
    vec![
        figure::stated(libm::round(rung.torque_nm * 1e3) / 1e3),
        load(Some(rung.bolt_load_n)),
        length(rung.stand_off_mm),
        length(rung.gap_mm),
        load(rung.clamp_load_n),
        load(rung.seat_load_n),
        verdict(&rung.verdict, seat),
    ]
}

/// A verdict as a table names it.
pub fn verdict(key: &str, seat: Seat) -> String {
    match key {
        "good" => "good".to_owned(),
        other => escape(&Mode::of(other, seat).label),
    }
}
