//! What the hub sits on, and the words that follow from it.

use record::Record;

/// What the hub sits on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Seat {
    /// A cone.
    Cone,
    /// The teeth of a tapered spline.
    Teeth,
}

impl Seat {
    /// The seat of a record.
    pub fn of(record: &Record) -> Seat {
        Seat::named(&record.joint.seat)
    }

    /// The seat of this name.
    pub fn named(name: &str) -> Seat {
        if name == "tapered_spline" {
            Seat::Teeth
        } else {
            Seat::Cone
        }
    }

    /// `cone` or `teeth`: what friction acts on, what a hub rocks on.
    pub fn noun(self) -> &'static str {
        match self {
            Seat::Cone => "cone",
            Seat::Teeth => "teeth",
        }
    }

    /// `cones` or `teeth`: the two halves that touch.
    pub fn nouns(self) -> &'static str {
        match self {
            Seat::Cone => "cones",
            Seat::Teeth => "teeth",
        }
    }
}
