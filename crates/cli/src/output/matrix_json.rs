//! Paired parts for scripts: an array with one object for each pair, written part by part.

use serde::ser::{Serialize, SerializeMap, Serializer};
use study::record::{Matrix, MatrixPair};
use study::{Matched, Pair};

use super::console;
use super::pairs_json::{NotFinite, entries, finite};
use crate::exit::Failure;

/// Pairs that are solved and written at a time.
const PART: usize = 4096;

/// Why the array is not whole.
pub enum Error {
    /// A value that JSON cannot hold, a defect of the solver.
    NotFinite(NotFinite),
    /// stdout takes no more.
    Print(Failure),
}

/// Prints the array: each object has the fields of a pairing, and which parts and spacers it is about.
pub fn print(matched: &Matched) -> Result<(), Error> {
    let matrix = &matched.matrix;
    let mut before = "[\n";
    for start in (0..matrix.pairs.len()).step_by(PART) {
        let range = start..(start + PART).min(matrix.pairs.len());
        let mut text = String::new();
        let pairs = matched.pairs(range.clone());
        for (solved, found) in pairs.iter().zip(&matrix.pairs[range]) {
            finite(solved).map_err(Error::NotFinite)?;
            let object = Object {
                matrix,
                solved,
                found,
            };
            text.push_str(before);
            text.push_str(&serde_json::to_string(&object).unwrap_or_default());
            before = ",\n";
        }
        console::print(&text).map_err(Error::Print)?;
    }
    console::print("\n]\n").map_err(Error::Print)
}

struct Object<'a> {
    matrix: &'a Matrix,
    solved: &'a Pair,
    found: &'a MatrixPair,
}

impl Serialize for Object<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let (matrix, found) = (self.matrix, self.found);
        let name = |place: Option<usize>| place.and_then(|place| matrix.spacers.get(place));
        let chosen = found.chosen;
        let mut map = serializer.serialize_map(None)?;
        map.serialize_entry("row", &self.solved.row)?;
        map.serialize_entry("shaft", &matrix.shafts[found.shaft])?;
        map.serialize_entry("hub", &matrix.hubs[found.hub])?;
        if let Some(spacer) = name(chosen.and_then(|c| c.spacer)) {
            map.serialize_entry("spacer", &spacer.name)?;
        }
        let numbers = [
            ("thickness_mm", chosen.map(|c| c.thickness_mm)),
            ("needed_thickness_mm", found.needed_mm),
            ("asked_draw_up_mm", Some(matrix.draw_up_mm)),
            ("good_from_mm", found.good_mm.map(|window| window[0])),
            ("good_to_mm", found.good_mm.map(|window| window[1])),
            ("good_with_mm", found.remedy.map(|c| c.thickness_mm)),
        ];
        for (key, value) in numbers {
            if let Some(value) = value {
                map.serialize_entry(key, &value)?;
            }
        }
        map.serialize_entry("thickness_searched", &found.searched)?;
        if let Some(spacer) = name(found.remedy.and_then(|c| c.spacer)) {
            map.serialize_entry("good_with_spacer", &spacer.name)?;
        }
        entries(&mut map, self.solved)?;
        map.end()
    }
}
