//! Pairs of measured parts and rungs of torque as tables, one a row, with the units in the headings.

use record::{Ladder, Matrix, MatrixPair};

use crate::summary::{guarded, number};

/// Columns of the table of pairs.
const PAIR: [&str; 20] = [
    "shaft",
    "hub",
    "spacer",
    "first_touch_mm",
    "needed_thickness_mm",
    "thickness_mm",
    "draw_up_mm",
    "stand_off_mm",
    "gap_mm",
    "clamp_load_n",
    "seat_load_n",
    "contact_share",
    "verdict",
    "broken_limits",
    "good_from_mm",
    "good_to_mm",
    "good_with_spacer",
    "good_with_mm",
    "asked_draw_up_mm",
    "torque_nm",
];

/// Columns of the table of rungs.
const RUNG: [&str; 8] = [
    "torque_nm",
    "bolt_load_n",
    "stand_off_mm",
    "gap_mm",
    "clamp_load_n",
    "seat_load_n",
    "verdict",
    "broken_limits",
];

/// The table of pairs.
///
/// # Errors
/// [`csv::Error`] when a row cannot be written.
pub fn pairs(matrix: &Matrix) -> Result<String, csv::Error> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(PAIR)?;
    for pair in &matrix.pairs {
        writer.write_record(pair_row(matrix, pair))?;
    }
    finished(writer)
}

fn pair_row(matrix: &Matrix, pair: &MatrixPair) -> [String; 20] {
    let spacer = |place: Option<usize>| {
        let spacer = place.and_then(|place| matrix.spacers.get(place));
        guarded(spacer.map_or("", |spacer| &spacer.name))
    };
    let broken: Vec<&str> = pair
        .broken
        .iter()
        .filter_map(|&place| matrix.limits.get(usize::from(place)))
        .map(String::as_str)
        .collect();
    [
        guarded(&matrix.shafts[pair.shaft]),
        guarded(&matrix.hubs[pair.hub]),
        spacer(pair.chosen.and_then(|chosen| chosen.spacer)),
        cell(pair.first_touch_mm),
        cell(pair.needed_mm),
        cell(pair.chosen.map(|chosen| chosen.thickness_mm)),
        cell(pair.draw_up_mm),
        cell(pair.stand_off_mm),
        cell(pair.gap_mm),
        cell(pair.clamp_load_n),
        cell(pair.seat_load_n),
        cell(pair.contact_share),
        pair.verdict.clone(),
        broken.join(" "),
        cell(pair.good_mm.map(|window| window[0])),
        cell(pair.good_mm.map(|window| window[1])),
        spacer(pair.remedy.and_then(|remedy| remedy.spacer)),
        cell(pair.remedy.map(|remedy| remedy.thickness_mm)),
        number(matrix.draw_up_mm),
        number(matrix.torque_nm),
    ]
}

/// The table of rungs.
///
/// # Errors
/// [`csv::Error`] when a row cannot be written.
pub fn rungs(ladder: &Ladder) -> Result<String, csv::Error> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(RUNG)?;
    for rung in &ladder.rungs {
        writer.write_record([
            number(rung.torque_nm),
            number(rung.bolt_load_n),
            cell(rung.stand_off_mm),
            cell(rung.gap_mm),
            cell(rung.clamp_load_n),
            cell(rung.seat_load_n),
            rung.verdict.clone(),
            rung.broken_limits.join(" "),
        ])?;
    }
    finished(writer)
}

/// An empty cell where nothing is defined.
fn cell(value: Option<f64>) -> String {
    value.map(number).unwrap_or_default()
}

fn finished(writer: csv::Writer<Vec<u8>>) -> Result<String, csv::Error> {
    let bytes = writer
        .into_inner()
        .map_err(|e| csv::Error::from(e.into_error()))?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture;

    fn rows(text: &str) -> Vec<Vec<String>> {
        let mut reader = csv::ReaderBuilder::new()
            .has_headers(false)
            .from_reader(text.as_bytes());
        let row = |r: csv::StringRecord| r.iter().map(str::to_owned).collect();
        reader.records().map(|r| row(r.expect("a row"))).collect()
    }

    #[test]
    fn every_pair_is_one_row_and_no_name_becomes_a_formula() {
        for (name, matrix) in fixture::matrices() {
            let rows = rows(&pairs(&matrix).expect("written"));
            assert_eq!(rows.len(), matrix.pairs.len() + 1, "{name}");
            assert!(rows.iter().all(|row| row.len() == PAIR.len()), "{name}");
        }
        let (_, hostile) = fixture::matrices().pop().expect("the last");
        let text = pairs(&hostile).expect("written");
        assert!(text.contains("\n'=1+1<script>,"), "{text}");
    }

    #[test]
    fn what_is_not_defined_is_an_empty_cell() {
        let (_, never) = fixture::ladders().pop().expect("the last");
        let rows = rows(&rungs(&never).expect("written"));
        assert_eq!(rows[0], RUNG);
        assert_eq!(rows[1][2..6], ["", "", "", ""]);
        assert_eq!(rows[1][6], "never_seats");
    }
}
