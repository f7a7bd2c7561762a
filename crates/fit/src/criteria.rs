//! What makes a joint good: the limits, in the order in which a broken one claims the pairing.

use crate::output::Output;
use crate::verdict::Verdict;

/// One side of a limit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Side {
    /// The output.
    pub output: Output,
    /// True for a minimum (broken when the value is too low), false for a maximum.
    pub minimum: bool,
    /// The limit, in the unit of the output.
    pub value: f64,
}

impl Side {
    /// The verdict that this side gives when it is the first broken.
    pub const fn verdict(&self) -> Verdict {
        Verdict::of_limit(self.output, self.minimum)
    }

    /// Name in lists of broken limits, for example `clamp_load.min`.
    pub fn name(&self) -> String {
        format!(
            "{}.{}",
            self.output.name(),
            if self.minimum { "min" } else { "max" }
        )
    }
}

/// Bit of a pairing that never seats.
pub const NEVER_SEATS: u32 = 1;
/// Bit of a pairing with a gap left.
pub const GAP_LEFT: u32 = 2;
/// Bit of a pairing with free cones.
pub const CONES_FREE: u32 = 4;
/// Place of the first limit's bit.
pub const FIRST_SIDE: usize = 3;

/// The limits. A pairing that never seats, leaves a gap or has free cones is a reject without any.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Criteria {
    sides: Vec<Side>,
}

/// Why limits were refused.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CriteriaError {
    /// A limit is not finite.
    #[error("the limit on {output} is not a finite number")]
    NotFinite {
        /// Name of the output.
        output: &'static str,
    },
    /// More limits than there are bits.
    #[error("at most 29 limits can be set, found {count}")]
    TooMany {
        /// Number found.
        count: usize,
    },
}

impl Criteria {
    /// The criteria with these limits.
    ///
    /// # Errors
    /// [`CriteriaError`] for a limit that is not finite, or more than 29 of them.
    pub fn new(sides: Vec<Side>) -> Result<Criteria, CriteriaError> {
        if let Some(side) = sides.iter().find(|s| !s.value.is_finite()) {
            return Err(CriteriaError::NotFinite {
                output: side.output.name(),
            });
        }
        if sides.len() > 32 - FIRST_SIDE {
            return Err(CriteriaError::TooMany { count: sides.len() });
        }
        Ok(Criteria { sides })
    }

    /// The limits, in the order of their bits.
    pub fn sides(&self) -> &[Side] {
        &self.sides
    }

    /// The verdict on a pairing that breaks these limits: that of the first in the order of verdicts.
    pub fn verdict(&self, broken: u32) -> Verdict {
        let fixed = [
            (NEVER_SEATS, Verdict::NeverSeats),
            (GAP_LEFT, Verdict::GapLeft),
            (CONES_FREE, Verdict::ConesFree),
        ];
        let sides = self.sides.iter().zip(FIRST_SIDE..);
        let sides = sides.map(|(side, place)| (1 << place, side.verdict()));
        fixed
            .into_iter()
            .chain(sides)
            .filter(|(bit, _)| broken & bit != 0)
            .map(|(_, verdict)| verdict)
            .min()
            .unwrap_or(Verdict::Good)
    }

    /// Names of the limits by bit, for example `gap_left` or `clamp_load.min`.
    pub fn names(&self) -> Vec<String> {
        let fixed = ["never_seats", "gap_left", "cones_free"].map(String::from);
        fixed
            .into_iter()
            .chain(self.sides.iter().map(Side::name))
            .collect()
    }

    /// The verdict that each bit gives when it is the first.
    pub fn verdicts(&self) -> Vec<Verdict> {
        let fixed = [Verdict::NeverSeats, Verdict::GapLeft, Verdict::ConesFree];
        fixed
            .into_iter()
            .chain(self.sides.iter().map(Side::verdict))
            .collect()
    }
}
