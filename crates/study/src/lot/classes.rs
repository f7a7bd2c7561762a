//! Which classes of ISO 286 hold every reading.

use super::drawing::{ColumnUnit, Drawing};
use crate::tolerance;

/// Classes that are usual for shafts (common practice, no source), from loose to tight.
const SHAFTS: [&str; 25] = [
    "d8", "d9", "d10", "e7", "e8", "e9", "f6", "f7", "f8", "g5", "g6", "h5", "h6", "h7", "h8",
    "h9", "h11", "js5", "js6", "k5", "k6", "m6", "n6", "p6", "r6",
];

/// Classes that are usual for holes (common practice, no source), from loose to tight.
const HOLES: [&str; 16] = [
    "D9", "D10", "E8", "E9", "F7", "F8", "G6", "G7", "H6", "H7", "H8", "H9", "H10", "H11", "JS6",
    "JS7",
];

/// Classes that hold the readings, and usual ones that do not. Both are empty where no nominal of a length is stated.
pub(super) fn held(
    drawing: &Drawing,
    unit: ColumnUnit,
    min: f64,
    max: f64,
) -> (Vec<String>, Vec<String>) {
    let Some(nominal) = drawing.nominal.filter(|_| unit.is_length()) else {
        return (Vec::new(), Vec::new());
    };
    let [nominal, low, high] = [nominal, min, max].map(|value| unit.inside(value));
    let (mut held, mut others) = (Vec::new(), Vec::new());
    for hole in [false, true] {
        if drawing.hole.is_some_and(|stated| stated != hole) {
            continue;
        }
        let agreeing = tolerance::agreeing(nominal, low, high, hole);
        let usual: &[&str] = if hole { &HOLES } else { &SHAFTS };
        let not = usual.iter().filter(|class| {
            !agreeing.iter().any(|name| name == *class) && tolerance::limits(class, nominal).is_ok()
        });
        others.extend(not.map(|class| (*class).to_owned()));
        held.extend(agreeing);
    }
    (held, others)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verified_every_usual_class_has_a_table() {
        for class in SHAFTS.iter().chain(&HOLES) {
            assert!(tolerance::limits(class, 30.0).is_ok(), "{class}");
        }
    }

    #[test]
    fn a_class_that_is_stated_says_whether_it_is_a_hole() {
        let drawing = |hole| Drawing {
            nominal: Some(40.0),
            hole,
            ..Drawing::default()
        };
        let mm = ColumnUnit::named("mm").expect("a unit");
        let is_hole = |class: &String| tolerance::is_hole(class);
        let (shafts, _) = held(&drawing(Some(false)), mm, 40.0, 40.01);
        assert!(!shafts.is_empty() && !shafts.iter().any(is_hole));
        let (holes, _) = held(&drawing(Some(true)), mm, 40.0, 40.01);
        assert!(!holes.is_empty() && holes.iter().all(is_hole));
        let deg = ColumnUnit::named("deg").expect("a unit");
        assert_eq!(held(&drawing(None), deg, 40.0, 40.01), (vec![], vec![]));
    }
}
