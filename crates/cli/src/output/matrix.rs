//! Paired parts for people: a matrix of thicknesses, then the pairs that are not good.

use std::collections::BTreeSet;

use study::record::{Choice, Matrix, MatrixPair, Order};

use super::ladder::ordinary;
use super::numbers::{count, fixed};
use super::plain::plain;
use super::table::{Side, set, wrapped};
use super::words;

/// Most rows or columns that are printed.
const MOST: usize = 60;

/// Longest line of the matrix, in characters.
const LINE: usize = 110;

/// Longest name of a part in a table, in characters.
const NAME: usize = 24;

/// Pairs that are named at most.
const NAMED: usize = 10;

/// Key and letter of every verdict that a cell may be marked with, the most severe first.
const LETTERS: [(&str, char); 9] = [
    ("never_seats", 'n'),
    ("gap_left", 'g'),
    ("clamp_low", 'c'),
    ("cones_free", 'f'),
    ("seat_low", 's'),
    ("contact_low", 'k'),
    ("bore_overstressed", 'b'),
    ("position_out", 'p'),
    ("other_limit", 'o'),
];

/// The matrix or the list of pairs, and the worst of them, ending in a newline.
pub fn matrix(matrix: &Matrix) -> String {
    let body = match matrix.order {
        Order::All => cells(matrix),
        Order::Rows => list(matrix),
    };
    format!(
        "{}\n\n{body}{}{}{}",
        plain(&matrix.title),
        wrapped(&format!("{}.", ordinary(&report::matrix_finding(matrix)))),
        worst(matrix),
        cautions(matrix)
    )
}

fn short(name: &str) -> String {
    let shown = plain(name);
    if shown.chars().count() <= NAME {
        return shown;
    }
    shown.chars().take(NAME - 1).chain(['…']).collect()
}

/// Thicknesses with a letter for what is not good, in pieces that fit a line.
fn cells(matrix: &Matrix) -> String {
    let (rows, columns) = (matrix.shafts.len(), matrix.hubs.len());
    if rows > MOST || columns > MOST {
        return format!(
            "  {} shafts and {} hubs: more than {MOST} of either are not printed; --out DIR writes every pair.\n\n",
            count(rows as u64),
            count(columns as u64)
        );
    }
    let label = matrix
        .shafts
        .iter()
        .map(|s| short(s).chars().count())
        .max()
        .unwrap_or(0);
    let width = |hub: usize| {
        let cells = matrix.pairs.iter().skip(hub).step_by(columns.max(1));
        let widest = cells.map(|pair| cell(matrix, pair).chars().count()).max();
        2 + widest
            .unwrap_or(0)
            .max(short(&matrix.hubs[hub]).chars().count())
    };
    let mut text = String::from("Thickness of the spacer (mm); rows are shafts, columns hubs\n");
    let mut first = 0;
    while first < columns {
        let mut used = label + 2;
        let fits = (first..columns)
            .take_while(|&hub| {
                used += width(hub);
                used <= LINE
            })
            .count()
            .max(1);
        text.push_str(&piece(matrix, first..first + fits));
        text.push('\n');
        first += fits;
    }
    text + &letters(matrix)
}

fn piece(matrix: &Matrix, hubs: std::ops::Range<usize>) -> String {
    let columns = matrix.hubs.len();
    let mut head = vec![String::new()];
    head.extend(hubs.clone().map(|hub| short(&matrix.hubs[hub])));
    let mut rows = vec![head];
    for (shaft, pairs) in matrix.pairs.chunks(columns).enumerate() {
        let mut line = vec![short(&matrix.shafts[shaft])];
        line.extend(pairs[hubs.clone()].iter().map(|pair| cell(matrix, pair)));
        rows.push(line);
    }
    let mut sides = vec![Side::Right; hubs.len() + 1];
    sides[0] = Side::Left;
    set(&sides, &rows)
}

/// Thickness, and a letter when the pair is not good; a blank keeps good ones in line.
fn cell(matrix: &Matrix, pair: &MatrixPair) -> String {
    let thickness = pair
        .chosen
        .map_or_else(|| "none".to_owned(), |c| thickness(matrix, c));
    format!("{thickness} {}", letter(&pair.verdict))
}

fn thickness(matrix: &Matrix, choice: Choice) -> String {
    fixed(choice.thickness_mm, matrix.decimals())
}

/// A point for good, so that the cells line up.
fn letter(verdict: &str) -> char {
    let found = LETTERS.iter().find(|(key, _)| *key == verdict);
    found.map_or('.', |(_, letter)| *letter)
}

/// What the letters mean that occur.
fn letters(matrix: &Matrix) -> String {
    let seen: BTreeSet<&str> = matrix.pairs.iter().map(|p| p.verdict.as_str()).collect();
    let seat = words::Seat::named(&matrix.seat);
    let mut meanings: Vec<String> = LETTERS
        .iter()
        .filter(|(key, _)| seen.contains(key))
        .map(|(key, letter)| format!("{letter} {}", words::verdict(key, seat)))
        .collect();
    if seen.contains("good") {
        meanings.insert(0, ". good".to_owned());
    }
    let mut text = wrapped(&meanings.join(", "));
    if matrix.pairs.iter().any(|pair| pair.chosen.is_none()) {
        text.push_str("  none: no spacer gives the draw-up; the letter is for the nominal one\n");
    }
    text.push('\n');
    text
}

/// Pairs row by row, one line each.
fn list(matrix: &Matrix) -> String {
    if matrix.pairs.len() > MOST {
        return format!(
            "  {} pairs: more than {MOST} are not printed; --out DIR writes every pair.\n\n",
            count(matrix.pairs.len() as u64)
        );
    }
    let words_of = |cells: [&str; 9]| cells.map(str::to_owned).to_vec();
    let mut rows = vec![
        words_of([
            "shaft",
            "hub",
            "spacer",
            "thickness",
            "first touch",
            "draw-up",
            "gap",
            "clamp load",
            "verdict",
        ]),
        words_of(["", "", "", "mm", "mm", "mm", "mm", "kN", ""]),
    ];
    rows.extend(matrix.pairs.iter().map(|pair| list_line(matrix, pair)));
    let sides = [&[Side::Left; 3][..], &[Side::Right; 5], &[Side::Left]].concat();
    format!("{}\n", set(&sides, &rows))
}

fn list_line(matrix: &Matrix, pair: &MatrixPair) -> Vec<String> {
    let shown = |value: Option<f64>, factor: f64| {
        value.map_or_else(|| "-".to_owned(), |value| fixed(value * factor, 3))
    };
    vec![
        short(&matrix.shafts[pair.shaft]),
        short(&matrix.hubs[pair.hub]),
        spacer_name(matrix, pair.chosen).map_or_else(|| "-".to_owned(), short),
        pair.chosen
            .map_or_else(|| "none".to_owned(), |c| thickness(matrix, c)),
        shown(pair.first_touch_mm, 1.0),
        shown(pair.draw_up_mm, 1.0),
        shown(pair.gap_mm, 1.0),
        shown(pair.clamp_load_n, 1e-3),
        words::verdict(&pair.verdict, words::Seat::named(&matrix.seat)),
    ]
}

fn spacer_name(matrix: &Matrix, choice: Option<Choice>) -> Option<&str> {
    let spacer = matrix.spacers.get(choice?.spacer?)?;
    Some(&spacer.name)
}

/// The pairs that are not good, those first that no spacer of the stock cures; when all are good, the least clamped.
fn worst(matrix: &Matrix) -> String {
    let rank = |pair: &MatrixPair| LETTERS.iter().position(|(key, _)| *key == pair.verdict);
    let mut bad: Vec<&MatrixPair> = matrix.pairs.iter().filter(|pair| !pair.is_good()).collect();
    if bad.is_empty() {
        let least = matrix.pairs.iter().min_by(|a, b| {
            let clamp = |pair: &MatrixPair| pair.clamp_load_n.unwrap_or(0.0);
            clamp(a).total_cmp(&clamp(b))
        });
        return least.map_or_else(String::new, |pair| {
            let load = fixed(pair.clamp_load_n.unwrap_or(0.0) * 1e-3, 2);
            format!("  Least clamp load, {load} kN: {}\n", named(matrix, pair))
        });
    }
    bad.sort_by(|a, b| {
        let gap = |pair: &MatrixPair| pair.gap_mm.unwrap_or(0.0);
        (a.remedy.is_some(), rank(a))
            .cmp(&(b.remedy.is_some(), rank(b)))
            .then(gap(b).total_cmp(&gap(a)))
    });
    let mut text = String::from("\nNot good, the worst first\n");
    for pair in bad.iter().take(NAMED) {
        text.push_str(&wrapped(&bad_line(matrix, pair)));
    }
    if bad.len() > NAMED {
        let rest = count((bad.len() - NAMED) as u64);
        text.push_str(&format!(
            "  and {rest} more; --out DIR or --json names them all\n"
        ));
    }
    text
}

fn named(matrix: &Matrix, pair: &MatrixPair) -> String {
    format!(
        "{} with {}",
        short(&matrix.shafts[pair.shaft]),
        short(&matrix.hubs[pair.hub])
    )
}

fn bad_line(matrix: &Matrix, pair: &MatrixPair) -> String {
    let with = |choice: Choice| {
        let name = spacer_name(matrix, Some(choice));
        let name = name.map_or_else(String::new, |name| format!("{}, ", short(name)));
        format!("{name}{} mm", thickness(matrix, choice))
    };
    let chosen = pair.chosen.map_or_else(
        || "no spacer gives the draw-up; with the nominal one".to_owned(),
        with,
    );
    let gap = pair.gap_mm.filter(|gap| *gap > 0.0);
    let gap = gap.map_or_else(String::new, |gap| format!(", {} mm", fixed(gap, 3)));
    let verdict = words::verdict(&pair.verdict, words::Seat::named(&matrix.seat));
    let cure = match (pair.remedy, pair.good_mm) {
        (Some(remedy), _) => format!("; good with {}", with(remedy)),
        (None, Some([low, high])) if pair.verdict != "good" => {
            format!("; good from {} to {} mm", fixed(low, 3), fixed(high, 3))
        }
        (None, None) if !pair.searched => "; no other thickness was tried".to_owned(),
        (None, None) => "; no good thickness was found".to_owned(),
        _ => String::new(),
    };
    format!("{}: {chosen}: {verdict}{gap}{cure}", named(matrix, pair))
}

fn cautions(matrix: &Matrix) -> String {
    let line = |(caution, pairs): &(String, usize)| {
        let plural = if *pairs == 1 { "pair" } else { "pairs" };
        format!(
            "\nKnow this of {} {plural}: {caution}\n",
            count(*pairs as u64)
        )
    };
    matrix.cautions.iter().map(line).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use study::record::Stock;

    /// One shaft with two hubs, the second pair not good.
    fn two() -> Matrix {
        let good = MatrixPair {
            shaft: 0,
            hub: 0,
            first_touch_mm: Some(6.3),
            needed_mm: Some(6.0),
            chosen: Some(Choice {
                thickness_mm: 6.0,
                spacer: None,
            }),
            draw_up_mm: Some(0.3),
            stand_off_mm: Some(6.0),
            gap_mm: Some(0.0),
            clamp_load_n: Some(7000.0),
            seat_load_n: Some(9000.0),
            contact_share: Some(1.0),
            verdict: "good".to_owned(),
            broken: Vec::new(),
            good_mm: Some([5.9, 6.1]),
            searched: true,
            remedy: None,
        };
        let bad = MatrixPair {
            hub: 1,
            gap_mm: Some(0.04),
            verdict: "gap_left".to_owned(),
            remedy: Some(Choice {
                thickness_mm: 6.05,
                spacer: None,
            }),
            ..good.clone()
        };
        Matrix {
            program_version: String::new(),
            scenario: "pump".to_owned(),
            scenario_hash: String::new(),
            title: "Pump\u{7}".to_owned(),
            seat: "cone".to_owned(),
            shafts: vec!["S\u{202e}1".to_owned()],
            hubs: vec!["H1".to_owned(), "H2".to_owned()],
            spacers: Vec::new(),
            order: Order::All,
            stock: Stock::Steps { step_mm: 0.05 },
            draw_up_mm: 0.3,
            draw_up_nominal: false,
            nominal_thickness_mm: 6.0,
            torque_nm: 60.0,
            limits: Vec::new(),
            cautions: Vec::new(),
            pairs: vec![good, bad],
        }
    }

    #[test]
    fn a_cell_has_thickness_and_mark_and_the_worst_pairs_are_named() {
        let text = matrix(&two());
        for part in [
            r"Pump\u{7}",
            "6.00 .  6.00 g",
            ". good, g gap left at the spacer",
            "All 2 pairs can be made good with stock spacers in steps of 0.05 mm.",
            r"S\u{202e}1 with H2: 6.00 mm: gap left at the spacer, 0.040 mm; good with 6.05 mm",
        ] {
            assert!(text.contains(part), "{part}: {text}");
        }
    }

    #[test]
    fn a_search_that_was_not_made_is_not_said_to_have_failed() {
        let mut far = two();
        far.pairs[1].remedy = None;
        far.pairs[1].good_mm = None;
        let searched = matrix(&far);
        assert!(
            searched.contains("; no good thickness was found"),
            "{searched}"
        );
        far.pairs[1].searched = false;
        let not = matrix(&far);
        assert!(not.contains("; no other thickness was tried"), "{not}");
        assert!(!not.contains("was found"), "{not}");
    }

    #[test]
    fn a_wide_matrix_is_broken_into_pieces_that_fit_a_line() {
        let mut wide = two();
        wide.hubs = (1..=40).map(|i| format!("hub {i}")).collect();
        let pair = wide.pairs[0].clone();
        wide.pairs = (0..40)
            .map(|hub| MatrixPair {
                hub,
                ..pair.clone()
            })
            .collect();
        let text = matrix(&wide);
        assert!(
            text.lines().all(|line| line.chars().count() <= LINE + 2),
            "{text}"
        );
        assert_eq!(text.matches("6.00 .").count(), 40);
        assert!(text.contains("Least clamp load, 7.00 kN"), "{text}");
    }

    #[test]
    fn pairs_row_by_row_are_a_list() {
        let mut rows = two();
        rows.order = Order::Rows;
        let text = matrix(&rows);
        let line = text.lines().find(|line| line.contains("H2")).unwrap();
        assert!(line.contains("6.00") && line.contains("0.040"), "{text}");
    }
}
