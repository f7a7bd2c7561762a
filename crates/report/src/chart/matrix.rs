//! Measured shafts against measured hubs: the spacer that each pair takes, and which pairs are not good.

use std::collections::BTreeMap;

use record::{Matrix, MatrixPair, Order, Stock};

use super::Figure;
use crate::drawing::{Anchor, Drawing, Layout, Picture};
use crate::face;
use crate::figure;
use crate::mode::{self, Mode};
use crate::seat::Seat;
use crate::text;

/// Most rows and columns that are drawn.
pub const MOST: usize = 60;

/// Blank beside a name (px).
const AIR: f64 = 6.0;

/// Blank beside the thickness in a cell, both sides together (px).
const CELL_AIR: f64 = 3.0;

/// Rows and columns as they are drawn, cells row by row.
struct Grid {
    rows: Vec<String>,
    columns: Vec<String>,
}

impl Grid {
    fn of(matrix: &Matrix) -> Grid {
        match matrix.order {
            Order::All => Grid {
                rows: labels(&matrix.shafts),
                columns: labels(&matrix.hubs),
            },
            Order::Rows => Grid {
                rows: matrix
                    .pairs
                    .iter()
                    .map(|pair| {
                        let names = [&matrix.shafts[pair.shaft], &matrix.hubs[pair.hub]];
                        names.map(|name| text::label(name, 24)).join(" + ")
                    })
                    .collect(),
                columns: vec!["spacer".to_owned()],
            },
        }
    }
}

fn labels(names: &[String]) -> Vec<String> {
    let label = |name: &String| match name.as_str() {
        "" => "no name".to_owned(),
        name => text::label(name, 40),
    };
    names.iter().map(label).collect()
}

/// The picture; `None` when there are too many rows or columns to look at.
pub fn figure(matrix: &Matrix) -> Option<Figure> {
    let columns = match matrix.order {
        Order::All => matrix.hubs.len(),
        Order::Rows => 1,
    };
    let rows = matrix.pairs.len() / columns.max(1);
    (rows <= MOST && columns <= MOST && !matrix.pairs.is_empty()).then(|| Figure {
        name: "pairs".to_owned(),
        wide: draw(matrix, Layout::Wide),
        narrow: draw(matrix, Layout::Narrow),
    })
}

/// The finding: how many pairs the stock can make good.
pub fn title(matrix: &Matrix) -> String {
    let (all, good) = (matrix.pairs.len(), matrix.can_be_good());
    let (one, several, what) = match matrix.stock {
        Stock::Rows => (
            "is",
            "are",
            "good with the spacer of the same row".to_owned(),
        ),
        stock => (
            "can be",
            "can be",
            format!("made good with {}", stock_words(matrix, stock)),
        ),
    };
    match (good, all) {
        (1, 1) => format!("The one pair {one} {what}"),
        (0, 1) => match matrix.stock {
            Stock::Rows => format!("The one pair is not {what}"),
            _ => format!("The one pair cannot be {what}"),
        },
        (0, all) => format!("None of {} {one} {what}", pairs_words(all)),
        (good, all) if good == all => format!("All {} pairs {several} {what}", count(all)),
        (1, all) => format!("1 of {} pairs {one} {what}", count(all)),
        (good, all) => format!("{} of {} pairs {several} {what}", count(good), count(all)),
    }
}

fn count(n: usize) -> String {
    figure::count(n as u64)
}

fn stock_words(matrix: &Matrix, stock: Stock) -> String {
    match stock {
        Stock::Made => "spacers made to measure".to_owned(),
        Stock::Steps { step_mm } => format!(
            "stock spacers in steps of {}",
            figure::with_unit(&figure::stated(step_mm), "mm")
        ),
        Stock::Measured | Stock::Rows => match matrix.spacers.len() {
            1 => "the one measured spacer".to_owned(),
            n => format!("the {} measured spacers", count(n)),
        },
    }
}

/// The draw-up that was asked for, and whose it is.
pub fn draw_up_words(matrix: &Matrix) -> String {
    let whose = if matrix.draw_up_nominal {
        ", that of the nominal pair"
    } else {
        ""
    };
    let digits = figure::with_unit(&figure::fixed(matrix.draw_up_mm, 3), "mm");
    format!("a draw-up of {digits}{whose}")
}

/// What the picture shows; `written` when there is room for the thicknesses.
fn subtitle(matrix: &Matrix, written: bool) -> String {
    let axes = match matrix.order {
        Order::All => "Rows are shafts, columns hubs. ",
        Order::Rows => "Each row is one shaft with the hub of the same row. ",
    };
    let cell = match matrix.stock {
        Stock::Rows if !written => {
            "The spacer is that of the same row. The table in CSV holds its thickness.".to_owned()
        }
        _ if !written => format!(
            "The spacer is that nearest to {}. The table in CSV holds its thickness.",
            draw_up_words(matrix)
        ),
        Stock::Made => format!("The thickness (mm) gives {}.", draw_up_words(matrix)),
        Stock::Steps { .. } | Stock::Measured => format!(
            "The thickness (mm) is that of the stock nearest to {}.",
            draw_up_words(matrix)
        ),
        Stock::Rows => "The thickness (mm) is that of the spacer of the same row.".to_owned(),
    };
    let others = matrix.can_be_good() - matrix.good();
    let others = match (matrix.stock, others) {
        (_, 0) | (Stock::Rows, _) => String::new(),
        (_, 1) => " One pair is good only with another thickness.".to_owned(),
        (_, n) => format!(" {} pairs are good only with another thickness.", count(n)),
    };
    format!("{axes}{cell}{others}")
}

/// Where the cells lie.
struct Place {
    left: f64,
    top: f64,
    cell: [f64; 2],
}

fn draw(matrix: &Matrix, layout: Layout) -> Picture {
    let grid = Grid::of(matrix);
    let (label, cell) = sizes(matrix, &grid, layout);
    let written = thickness_fits(matrix, cell);
    let words = subtitle(matrix, written);
    let mut d = Drawing::titled("pairs", layout, &title(matrix), &words);
    column_labels(&mut d, &grid, label, cell[0]);
    let place = Place {
        left: label,
        top: d.y + 4.0,
        cell,
    };
    row_labels(&mut d, &grid, &place);
    cells(&mut d, matrix, &grid, &place);
    if written {
        thicknesses(&mut d, matrix, grid.columns.len(), &place);
    }
    d.y = place.top + cell[1] * grid.rows.len() as f64 + 8.0;
    key(&mut d, matrix);
    d.finish(&described(matrix), &stamp(matrix))
}

/// Width of the names of the rows, and width and height of a cell (px).
fn sizes(matrix: &Matrix, grid: &Grid, layout: Layout) -> (f64, [f64; 2]) {
    let (share, most) = match matrix.order {
        Order::All => (0.25, 64.0),
        Order::Rows => (0.6, 120.0),
    };
    let names = grid.rows.iter().map(|name| face::width(name, false));
    let label = (names.fold(0.0, f64::max) + AIR).min(share * layout.width());
    let width = ((layout.width() - label - 1.0) / grid.columns.len() as f64).min(most);
    let height = (820.0 / grid.rows.len() as f64).clamp(13.0, 26.0);
    (label, [width, height])
}

/// Names over the columns: level where they fit, else upright; only some of them where even that is too narrow.
fn column_labels(d: &mut Drawing, grid: &Grid, left: f64, width: f64) {
    let widest = grid
        .columns
        .iter()
        .map(|l| face::width(l, false))
        .fold(0.0, f64::max);
    let middle = |i: usize| left + width * (i as f64 + 0.5);
    if widest + AIR <= width || grid.columns.len() == 1 {
        d.y += face::LINE;
        let y = d.y;
        for (i, label) in grid.columns.iter().enumerate() {
            let room = [0.0, d.width()];
            d.text_within(
                middle(i),
                y,
                room,
                "f-muted",
                &face::cut(label, d.width(), false),
            );
        }
        return;
    }
    let tallest = widest.min(120.0);
    d.y += tallest + 4.0;
    let y = d.y;
    for (i, label) in grid.columns.iter().enumerate().step_by(every(width)) {
        let x = middle(i) + 0.35 * face::SIZE;
        d.text_upwards(x, y, "f-muted", &face::cut(label, tallest, false));
    }
}

fn row_labels(d: &mut Drawing, grid: &Grid, place: &Place) {
    for (i, label) in grid.rows.iter().enumerate().step_by(every(place.cell[1])) {
        let y = place.top + place.cell[1] * (i as f64 + 0.5) + 0.35 * face::SIZE;
        let label = face::cut(label, place.left - AIR, false);
        d.text(place.left - AIR, y, Anchor::End, "f-muted", &label);
    }
}

/// Each n-th label, so that they stand a line apart.
fn every(pitch: f64) -> usize {
    (libm::ceil(face::LINE / pitch - 1e-9) as usize).max(1)
}

/// Good cells are plain, the others hatched by cause; lines in the colour of the paper part them.
fn cells(d: &mut Drawing, matrix: &Matrix, grid: &Grid, place: &Place) {
    let (rows, columns) = (grid.rows.len(), grid.columns.len());
    let [width, height] = place.cell;
    let size = [width * columns as f64, height * rows as f64];
    d.rect([place.left, place.top], size, "f-window");
    for (row, pairs) in matrix.pairs.chunks(columns).enumerate() {
        let y = place.top + height * row as f64;
        let mut column = 0;
        while column < pairs.len() {
            let verdict = shown(&pairs[column]);
            let run = pairs[column..]
                .iter()
                .take_while(|p| shown(p) == verdict)
                .count();
            if verdict != "good" {
                let fill = d.hatch(&Mode::of(verdict, Seat::named(&matrix.seat)));
                let [from, to] = [column, column + run].map(|c| place.left + width * c as f64);
                let corners = [[from, y], [to, y], [to, y + height], [from, y + height]];
                d.area(&corners, "", Some(&fill));
            }
            column += run;
        }
    }
    for column in 1..columns {
        let x = place.left + width * column as f64;
        d.line([x, place.top], [x, place.top + size[1]], "s-paper line");
    }
    for row in 1..rows {
        let y = place.top + height * row as f64;
        d.line([place.left, y], [place.left + size[0], y], "s-paper line");
    }
}

/// The verdict that a cell shows: without a spacer a pair is not good, whatever the nominal one does.
fn shown(pair: &MatrixPair) -> &str {
    match (&pair.chosen, pair.verdict.as_str()) {
        (None, "good") => "position_out",
        (_, verdict) => verdict,
    }
}

/// The thickness of a pair's spacer.
fn thickness(pair: &MatrixPair, decimals: usize) -> String {
    match pair.chosen {
        Some(chosen) => figure::fixed(chosen.thickness_mm, decimals),
        None => "—".to_owned(),
    }
}

/// Whether the thickness of every pair has room in a cell.
fn thickness_fits(matrix: &Matrix, [width, height]: [f64; 2]) -> bool {
    let decimals = matrix.decimals();
    let pairs = matrix.pairs.iter();
    let widest = pairs.map(|pair| face::width(&thickness(pair, decimals), shown(pair) != "good"));
    widest.fold(0.0, f64::max) + CELL_AIR <= width && height >= face::LINE
}

/// Thickness in every cell.
fn thicknesses(d: &mut Drawing, matrix: &Matrix, columns: usize, place: &Place) {
    let [width, height] = place.cell;
    let decimals = matrix.decimals();
    for (i, pair) in matrix.pairs.iter().enumerate() {
        let x = place.left + width * ((i % columns) as f64 + 0.5);
        let y = place.top + height * ((i / columns) as f64 + 0.5) + 0.35 * face::SIZE;
        let class = if shown(pair) == "good" {
            "f-ink"
        } else {
            "f-ink bold halo"
        };
        d.text(x, y, Anchor::Middle, class, &thickness(pair, decimals));
    }
}

/// How many pairs end with each verdict, most severe first; good pairs last.
pub fn verdicts(matrix: &Matrix) -> Vec<(String, usize, usize)> {
    let mut counts: BTreeMap<&str, (usize, usize)> = BTreeMap::new();
    for pair in &matrix.pairs {
        let count = counts.entry(shown(pair)).or_default();
        count.0 += 1;
        count.1 += usize::from(pair.remedy.is_some());
    }
    let mut counts: Vec<(String, usize, usize)> = counts
        .into_iter()
        .map(|(verdict, (pairs, cured))| (verdict.to_owned(), pairs, cured))
        .collect();
    counts.sort_by_key(|(verdict, pairs, _)| (verdict != "good", std::cmp::Reverse(*pairs)));
    counts
}

/// One line for each look that occurs.
fn key(d: &mut Drawing, matrix: &Matrix) {
    for (verdict, pairs, cured) in verdicts(matrix) {
        let mode = Mode::of(&verdict, Seat::named(&matrix.seat));
        d.y += face::LINE + 2.0;
        let y = d.y;
        let corners = [
            [0.0, y - 12.0],
            [26.0, y - 12.0],
            [26.0, y + 2.0],
            [0.0, y + 2.0],
        ];
        let words = if verdict == "good" {
            d.area(&corners, "f-window", None);
            "good".to_owned()
        } else {
            let fill = d.hatch(&mode);
            d.area(&corners, "", Some(&fill));
            mode.label
        };
        let cured = if cured > 0 {
            format!(", {} good with another", count(cured))
        } else {
            String::new()
        };
        let label = format!("{words}: {}{cured}", pairs_words(pairs));
        let label = face::cut(&label, d.width() - 34.0, false);
        d.text(34.0, y, Anchor::Start, "f-ink", &label);
    }
    d.y += 4.0;
}

/// `1 pair`, `3 pairs`.
pub fn pairs_words(n: usize) -> String {
    format!("{} pair{}", count(n), if n == 1 { "" } else { "s" })
}

fn described(matrix: &Matrix) -> String {
    let counts: Vec<String> = verdicts(matrix)
        .into_iter()
        .map(|(verdict, pairs, _)| match verdict.as_str() {
            "good" => format!("{} good", pairs_words(pairs)),
            other => format!(
                "{} {}",
                pairs_words(pairs),
                Mode::of(other, Seat::named(&matrix.seat)).label
            ),
        })
        .collect();
    format!(
        "Cells by shaft and hub with the thickness of the spacer. {}.",
        counts.join(", ")
    )
}

/// What stands under the picture.
fn stamp(matrix: &Matrix) -> String {
    format!(
        "Solved from measured parts: {}, {}, {} set on the wrench; what was not measured is as the scenario states it.",
        text::label(&matrix.scenario, 32),
        pairs_words(matrix.pairs.len()),
        figure::with_unit(&figure::stated(matrix.torque_nm), "N·m"),
    )
}

/// Keys of the verdicts in the order in which a broken limit claims a pair.
pub fn severity() -> Vec<String> {
    mode::keys().map(str::to_owned).collect()
}
