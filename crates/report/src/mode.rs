//! What a cause of rejection is called, and the hue, mark and hatch that stand for it everywhere.

use crate::mark::Mark;
use crate::text;

/// Lines that fill an area: angle (degrees) and distance of the lines; a second angle crosses them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hatch {
    /// Angle of the lines (degrees).
    pub angle: f64,
    /// Distance of the lines (px).
    pub pitch: f64,
    /// Crossed by a second set at right angles.
    pub crossed: bool,
}

/// Words and looks of one verdict.
#[derive(Debug, Clone, PartialEq)]
pub struct Mode {
    /// Key in the record, made visible.
    pub key: String,
    /// Noun for tables and labels.
    pub label: String,
    /// What several such joints do: `13 leave the spacer loose`.
    pub several: String,
    /// What one such joint does: `1 leaves the spacer loose`.
    pub one: String,
    /// What most rejects do, in a title.
    pub title: String,
    /// Name of the hue.
    pub hue: &'static str,
    /// Mark of one joint.
    pub mark: Mark,
    /// Hatch of an area.
    pub hatch: Hatch,
}

type Row = (
    &'static str,
    &'static str,
    &'static str,
    &'static str,
    &'static str,
    &'static str,
    Mark,
    (f64, f64, bool),
);

/// Key, label, several, one, title, hue, mark, hatch; in the order in which a broken limit claims a joint.
const ROWS: [Row; 9] = [
    (
        "never_seats",
        "never seats",
        "never seat",
        "never seats",
        "never seat",
        "ink",
        Mark::Cross,
        (45.0, 3.5, true),
    ),
    (
        "gap_left",
        "gap left",
        "leave the spacer loose",
        "leaves the spacer loose",
        "lock on the cone before the spacer is pinched",
        "rust",
        Mark::Square,
        (45.0, 4.5, false),
    ),
    (
        "clamp_low",
        "clamp load low",
        "clamp the spacer too weakly",
        "clamps the spacer too weakly",
        "clamp the spacer too weakly",
        "ochre",
        Mark::Down,
        (0.0, 4.5, false),
    ),
    (
        "cones_free",
        "cones free",
        "rock on the cone",
        "rocks on the cone",
        "pinch the spacer before the cones touch",
        "blue",
        Mark::Diamond,
        (135.0, 4.5, false),
    ),
    (
        "seat_low",
        "seat or slip low",
        "grip the cone too lightly",
        "grips the cone too lightly",
        "grip the cone too lightly",
        "teal",
        Mark::Up,
        (90.0, 4.5, false),
    ),
    (
        "contact_low",
        "contact too small",
        "touch on too little of the cone",
        "touches on too little of the cone",
        "touch on too little of the cone",
        "violet",
        Mark::Half,
        (0.0, 4.0, true),
    ),
    (
        "bore_overstressed",
        "bore over-stressed",
        "over-stress the hub bore",
        "over-stresses the hub bore",
        "over-stress the hub bore",
        "crimson",
        Mark::Plus,
        (45.0, 2.5, false),
    ),
    (
        "position_out",
        "position out",
        "sit out of position",
        "sits out of position",
        "sit out of position",
        "olive",
        Mark::Bars,
        (90.0, 2.5, false),
    ),
    (
        "other_limit",
        "other limit",
        "break another limit",
        "breaks another limit",
        "break another limit",
        "slate",
        Mark::Ring,
        (135.0, 2.5, false),
    ),
];

impl Mode {
    /// The mode with this key; a key that this version does not know keeps its own name.
    pub fn of(key: &str) -> Mode {
        let known = ROWS.iter().find(|row| row.0 == key);
        let shown = text::label(key, 40);
        let Some((_, label, several, one, title, hue, mark, (angle, pitch, crossed))) = known
        else {
            return Mode {
                label: shown.clone(),
                several: format!("are rejected as {shown}"),
                one: format!("is rejected as {shown}"),
                title: format!("are counted as {shown}"),
                key: shown,
                hue: "slate",
                mark: Mark::Ring,
                hatch: Hatch {
                    angle: 135.0,
                    pitch: 2.5,
                    crossed: true,
                },
            };
        };
        Mode {
            key: shown,
            label: (*label).to_owned(),
            several: (*several).to_owned(),
            one: (*one).to_owned(),
            title: (*title).to_owned(),
            hue,
            mark: *mark,
            hatch: Hatch {
                angle: *angle,
                pitch: *pitch,
                crossed: *crossed,
            },
        }
    }

    /// `13 leave the spacer loose`, `1 leaves the spacer loose`.
    pub fn phrase(&self, count: u32) -> String {
        let number = crate::figure::count(u64::from(count));
        let words = if count == 1 { &self.one } else { &self.several };
        format!("{number}\u{A0}{words}")
    }
}

/// Keys of all causes, in the order in which a broken limit claims a joint.
pub fn keys() -> impl Iterator<Item = &'static str> {
    ROWS.iter().map(|row| row.0)
}

/// Words for the name of a broken limit: `clamp_load.min` becomes `clamp load below its minimum`.
pub fn limit_words(name: &str) -> String {
    if let Some((_, label, ..)) = ROWS.iter().find(|row| row.0 == name) {
        return (*label).to_owned();
    }
    let (output, side) = match name.rsplit_once('.') {
        Some((output, "min")) => (output, " below its minimum"),
        Some((output, "max")) => (output, " above its maximum"),
        _ => (name, ""),
    };
    format!("{}{side}", text::label(&output.replace('_', " "), 40))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_cause_has_its_own_hue_mark_and_hatch() {
        for (i, a) in ROWS.iter().enumerate() {
            for b in &ROWS[i + 1..] {
                assert!(
                    a.5 != b.5 && a.6 != b.6 && a.7 != b.7,
                    "{} and {} look alike",
                    a.0,
                    b.0
                );
            }
        }
    }

    #[test]
    fn limits_read_as_words() {
        assert_eq!(
            limit_words("clamp_load.min"),
            "clamp load below its minimum"
        );
        assert_eq!(limit_words("gap_left"), "gap left");
        assert_eq!(
            Mode::of("gap_left").phrase(1),
            "1\u{A0}leaves the spacer loose"
        );
    }
}
