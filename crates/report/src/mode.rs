//! What a cause of rejection is called, and the hue, mark and hatch that stand for it everywhere.

use crate::mark::Mark;
use crate::seat::Seat;
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

/// Label, several, one, title of a cause whose words are others when the hub sits on teeth.
fn on_teeth(key: &str) -> Option<[&'static str; 4]> {
    match key {
        "gap_left" => Some([
            "gap left",
            "leave the spacer loose",
            "leaves the spacer loose",
            "lock on the teeth before the spacer is pinched",
        ]),
        "cones_free" => Some([
            "teeth free",
            "sit loose on the teeth",
            "sits loose on the teeth",
            "pinch the spacer before the teeth touch",
        ]),
        "seat_low" => Some([
            "seat load low",
            "grip the teeth too lightly",
            "grips the teeth too lightly",
            "grip the teeth too lightly",
        ]),
        "contact_low" => Some([
            "contact too small",
            "touch on too few of the teeth",
            "touches on too few of the teeth",
            "touch on too few of the teeth",
        ]),
        _ => None,
    }
}

impl Mode {
    /// The mode with this key; a key that this version does not know keeps its own name.
    pub fn of(key: &str, seat: Seat) -> Mode {
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
        let [label, several, one, title] = match seat {
            Seat::Cone => None,
            Seat::Teeth => on_teeth(key),
        }
        .unwrap_or([*label, *several, *one, *title]);
        Mode {
            key: shown,
            label: label.to_owned(),
            several: several.to_owned(),
            one: one.to_owned(),
            title: title.to_owned(),
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
pub fn limit_words(name: &str, seat: Seat) -> String {
    if ROWS.iter().any(|row| row.0 == name) {
        return Mode::of(name, seat).label;
    }
    let (output, side) = match name.rsplit_once('.') {
        Some((output, "min")) => (output, " below its minimum"),
        Some((output, "max")) => (output, " above its maximum"),
        _ => (name, ""),
    };
    let words = match output {
        "gap" => "play of the spacer".to_owned(),
        "runout" => "runout of a rocking hub".to_owned(),
        "tooth_load_share" => "load share of the most loaded tooth".to_owned(),
        other => match (
            other.strip_prefix("settled_"),
            other.strip_prefix("service_"),
        ) {
            (Some(rest), _) => format!("{rest} after settling"),
            (_, Some(rest)) => format!("{rest} in service"),
            _ => other.to_owned(),
        },
    };
    format!("{}{side}", text::label(&words.replace('_', " "), 40))
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
    fn a_hub_on_teeth_has_no_cone() {
        assert_eq!(limit_words("cones_free", Seat::Cone), "cones free");
        assert_eq!(limit_words("cones_free", Seat::Teeth), "teeth free");
        for row in &ROWS {
            let mode = Mode::of(row.0, Seat::Teeth);
            for words in [mode.label, mode.several, mode.one, mode.title] {
                assert!(!words.contains("cone"), "{words}");
            }
        }
    }

    #[test]
    fn limits_read_as_words() {
        assert_eq!(
            limit_words("clamp_load.min", Seat::Cone),
            "clamp load below its minimum"
        );
        assert_eq!(
            limit_words("gap.max", Seat::Cone),
            "play of the spacer above its maximum"
        );
        assert_eq!(
            limit_words("settled_clamp_load.min", Seat::Cone),
            "clamp load after settling below its minimum"
        );
        assert_eq!(limit_words("gap_left", Seat::Cone), "gap left");
        assert_eq!(
            Mode::of("gap_left", Seat::Cone).phrase(1),
            "1\u{A0}leaves the spacer loose"
        );
    }
}
