//! The page of measured parts that were paired.

use record::{Choice, Matrix, MatrixPair, Order, Stock};

use super::ladder::verdict;
use super::{document, paragraph, section, sheet};
use crate::chart::{self, Figure};
use crate::figure;
use crate::seat::Seat;
use crate::style;
use crate::text::{escape, html};

/// Most pairs that the table of the page names.
const NAMED: usize = 40;

const HEADS: [(&str, &str); 7] = [
    ("shaft", "text"),
    ("hub", "text"),
    ("spacer (mm)", "text"),
    ("verdict", "text"),
    ("gap (mm)", "num"),
    ("clamp load (kN)", "num"),
    ("good with (mm)", "text"),
];

/// Decimals of a thickness that is not one of the stock (mm).
const FINE: usize = 3;

/// Writes the page.
pub fn write(matrix: &Matrix, chart: Option<&Figure>) -> String {
    let head = format!(
        "<header>\n<h1>{}</h1>\n{}</header>\n",
        html(&matrix.title),
        provenance(
            &matrix.program_version,
            &matrix.scenario,
            &matrix.scenario_hash
        )
    );
    let sections = [
        head,
        section("Answer", &answer(matrix, chart)),
        section("Pairs that are not good", &bad(matrix)),
        section("How this was computed", &method(matrix)),
    ];
    document(&matrix.title, style::SHEET_RULES, &sections)
}

/// What made the page, in small print.
pub fn provenance(program: &str, scenario: &str, hash: &str) -> String {
    format!(
        "<p class=\"small muted hash\">seatyield {} · scenario {}, hash {}</p>\n",
        html(program),
        html(scenario),
        html(hash)
    )
}

/// A sentence that must be known before the numbers are trusted.
pub fn warning(words: &str) -> String {
    format!(
        "<p class=\"warn\"><strong>Know this.</strong> {}</p>\n",
        html(words)
    )
}

/// The cautions that every page carries.
pub fn cautions() -> String {
    paragraph(
        "These numbers follow from the stated sizes and from a calculation with simplified mechanics (elastic rings or elastic teeth). They support a decision, they do not take it. \
         Where they differ, the drawings, tests on real parts, the fastener maker's limits, the codes that apply at the place of use and the judgement of a licensed engineer come first. \
         A joint that can hurt someone when it fails is released only after a physical test.",
    )
}

fn answer(matrix: &Matrix, chart: Option<&Figure>) -> String {
    let mut body = format!(
        "<p class=\"lead\">{}.</p>\n",
        escape(&chart::matrix::title(matrix))
    );
    let others = matrix.can_be_good() - matrix.good();
    if others > 0 {
        body.push_str(&paragraph(&format!(
            "{} good with the spacer nearest to {}; {} good only with another.",
            are(matrix.good()),
            escape(&chart::matrix::draw_up_words(matrix)),
            are(others),
        )));
    }
    for (caution, pairs) in &matrix.cautions {
        let said = format!("Of {}: {caution}", chart::matrix::pairs_words(*pairs));
        body.push_str(&warning(&said));
    }
    match chart {
        Some(chart) => body.push_str(&chart.html()),
        None => body.push_str(&paragraph(&format!(
            "More than {most} rows or columns are not drawn; the table in CSV holds every pair.",
            most = chart::matrix::MOST
        ))),
    }
    body
}

/// `1 pair is`, `3 pairs are`.
fn are(n: usize) -> String {
    let verb = if n == 1 { "is" } else { "are" };
    format!("{} {verb}", chart::matrix::pairs_words(n))
}

fn bad(matrix: &Matrix) -> String {
    let bad: Vec<&MatrixPair> = worst(matrix);
    if bad.is_empty() {
        return String::new();
    }
    let rows: Vec<Vec<String>> = bad
        .iter()
        .take(NAMED)
        .map(|pair| row(matrix, pair))
        .collect();
    let rest = bad.len().saturating_sub(NAMED);
    let more = if rest > 0 {
        paragraph(&format!(
            "And {} more: see the table in CSV.",
            figure::count(rest as u64)
        ))
    } else {
        String::new()
    };
    sheet("The worst first", &HEADS, &rows) + &more
}

/// Pairs that are not good with the spacer chosen: those that no spacer cures first, then by verdict and gap.
pub fn worst(matrix: &Matrix) -> Vec<&MatrixPair> {
    let order: Vec<String> = chart::matrix::severity();
    let rank = |pair: &MatrixPair| order.iter().position(|key| *key == pair.verdict);
    let mut bad: Vec<&MatrixPair> = matrix.pairs.iter().filter(|pair| !pair.is_good()).collect();
    bad.sort_by(|a, b| {
        let gap = |pair: &MatrixPair| pair.gap_mm.unwrap_or(0.0);
        (a.remedy.is_some(), rank(a))
            .cmp(&(b.remedy.is_some(), rank(b)))
            .then(gap(b).total_cmp(&gap(a)))
    });
    bad
}

fn row(matrix: &Matrix, pair: &MatrixPair) -> Vec<String> {
    let load = |n: Option<f64>| n.map_or("—".to_owned(), |n| figure::fixed(n * 1e-3, 2));
    let length = |mm: Option<f64>| mm.map_or("—".to_owned(), |mm| figure::fixed(mm, 3));
    vec![
        html(&matrix.shafts[pair.shaft]),
        html(&matrix.hubs[pair.hub]),
        pair.chosen
            .map_or("—".to_owned(), |chosen| spacer(matrix, chosen)),
        verdict(&pair.verdict, Seat::named(&matrix.seat)),
        length(pair.gap_mm),
        load(pair.clamp_load_n),
        cure(matrix, pair),
    ]
}

/// What would make the pair good: a spacer of the stock, or else thicknesses that the stock does not have.
fn cure(matrix: &Matrix, pair: &MatrixPair) -> String {
    match (pair.remedy, pair.good_mm) {
        (Some(remedy), _) => spacer(matrix, remedy),
        (None, Some([low, high])) => {
            let ends = [low, high].map(|end| figure::fixed(end, FINE));
            format!("{} to {}", ends[0], ends[1])
        }
        (None, None) if !pair.searched => "not searched".to_owned(),
        (None, None) => "none found".to_owned(),
    }
}

/// Thickness, and the name of a measured spacer.
fn spacer(matrix: &Matrix, choice: Choice) -> String {
    let thickness = figure::fixed(choice.thickness_mm, matrix.decimals());
    match choice.spacer.and_then(|place| matrix.spacers.get(place)) {
        Some(spacer) => format!("{thickness} {}", html(&spacer.name)),
        None => thickness,
    }
}

fn method(matrix: &Matrix) -> String {
    let pairs = match matrix.order {
        Order::All => "Every shaft was paired with every hub.",
        Order::Rows => "Shafts and hubs were paired row by row.",
    };
    let stock = match matrix.stock {
        Stock::Made => "The spacer has exactly the thickness that gives the draw-up.",
        Stock::Steps { .. } => {
            "Of the stock, in steps from the nominal thickness, the spacer nearest to that was taken."
        }
        Stock::Measured => {
            "Of the measured spacers the nearest to that was taken for each pair for itself: one spacer may be named for several pairs."
        }
        Stock::Rows => "Each pair was solved with the spacer of its own row.",
    };
    let not_searched = matrix.pairs.iter().filter(|pair| !pair.searched).count();
    let except = if not_searched > 0 {
        format!(
            " {} not searched in this way, because a half-angle is too far from the nominal one.",
            are(not_searched)
        )
    } else {
        String::new()
    };
    let text = format!(
        "{pairs} The thickness that a pair needs is its first touch less {}. {stock} Then the pair was solved with that spacer at {} set on the wrench; \
         what was not measured is as the scenario states it. For every pair 256 thicknesses between the one that leaves a gap and the one that frees the seat were solved to find where it is good.{except}",
        escape(&chart::matrix::draw_up_words(matrix)),
        figure::with_unit(&figure::stated(matrix.torque_nm), "N·m"),
    );
    format!("{}{}", paragraph(&text), cautions())
}
