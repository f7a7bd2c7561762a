//! The slow parts of a process: what stays the same for many parts in a row.

use std::sync::Arc;

use distributions::{Shape, ShapeError, Slow as Movement, Sum, Uniform, normal};

use crate::evenly::evenly;
use crate::part::Order;
use crate::score::Column;

/// A part of the scatter that is shared by parts made one after the other.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Slow {
    /// The mean moves from lot to lot, normally distributed.
    Lots {
        /// Standard deviation of the lot means.
        sd: f64,
        /// Parts in a lot.
        size: u64,
    },
    /// The mean drifts evenly between two changes of the tool; it is centred on the mean of the process.
    Wear {
        /// From just after a change to just before the next; negative when sizes fall.
        ramp: f64,
        /// Parts between two changes.
        parts: u64,
    },
}

impl Slow {
    /// The shift of a score: `sd z` for lots, `ramp (Phi(z) - 1/2)` for wear.
    pub fn shift(&self, z: f64) -> f64 {
        match *self {
            Slow::Lots { sd, .. } => sd * z,
            Slow::Wear { ramp, .. } => ramp * (evenly().value(z) - 0.5),
        }
    }

    /// Adds the shifts of a column of scores to values, the same that [`Slow::shift`] gives.
    #[inline(always)]
    pub(crate) fn add(&self, scores: &Column, values: &mut Column) {
        match *self {
            Slow::Lots { sd, .. } => {
                for (value, z) in values.iter_mut().zip(scores) {
                    *value += sd * z;
                }
            }
            Slow::Wear { ramp, .. } => {
                let mut lives = *scores;
                evenly().fill(scores, &mut lives);
                for (value, life) in values.iter_mut().zip(&lives) {
                    *value += ramp * (life - 0.5);
                }
            }
        }
    }

    /// The shift at a place in the life of the tool from 0 to 1; only wear has one.
    pub fn shift_at(&self, life: f64) -> f64 {
        match *self {
            Slow::Lots { .. } => 0.0,
            Slow::Wear { ramp, .. } => ramp * (life - 0.5),
        }
    }

    /// Which group of parts with one shift the part of a pairing belongs to, and its place in the life of the tool.
    pub(crate) fn group(&self, index: u64, order: Order) -> (u64, Option<f64>) {
        match (self, order) {
            (_, Order::Stock) => (index, None),
            (_, Order::Pairs) => (index / 2, None),
            (Slow::Lots { size, .. }, Order::Production) => (index / size, None),
            (Slow::Wear { parts, .. }, Order::Production) => {
                let place = (index % parts) as f64 + 0.5;
                (index / parts, Some(place / *parts as f64))
            }
        }
    }

    /// Standard deviation of the shift: that of a uniform distribution for wear.
    pub fn sd(&self) -> f64 {
        match *self {
            Slow::Lots { sd, .. } => sd,
            Slow::Wear { ramp, .. } => libm::fabs(ramp) / libm::sqrt(12.0),
        }
    }

    /// Parts over which the shift stays the same (lots), or after which it begins again (wear).
    pub fn parts(&self) -> u64 {
        match *self {
            Slow::Lots { size, .. } => size,
            Slow::Wear { parts, .. } => parts,
        }
    }

    /// The word for it in the name of a stream.
    pub fn word(&self) -> &'static str {
        match self {
            Slow::Lots { .. } => "lots",
            Slow::Wear { .. } => "wear",
        }
    }
}

/// The distribution over all lots and the whole life of a tool; `None` where nothing is slow.
pub(crate) fn overall(
    within: Option<Arc<dyn Shape>>,
    mean: f64,
    slow: &[Slow],
) -> Result<Option<Arc<dyn Shape>>, ShapeError> {
    let (mut lots, mut width) = (None, None);
    for part in slow {
        let (place, value) = match *part {
            Slow::Lots { sd, .. } => (&mut lots, sd),
            Slow::Wear { ramp, .. } => (&mut width, libm::fabs(ramp)),
        };
        if place.replace(value).is_some() {
            return Err(ShapeError::SlowTwice);
        }
    }
    let uniform = |width: f64| Uniform::new(mean - 0.5 * width, mean + 0.5 * width);
    let sum = |within: Arc<dyn Shape>, lots: Option<f64>, width: Option<f64>| {
        let lots = lots.map(|sd| Movement::Normal { sd });
        let wear = width.map(|width| Movement::Uniform { width });
        Sum::new(within, lots.into_iter().chain(wear).collect())
    };
    Ok(Some(match (within, lots, width) {
        (_, None, None) => return Ok(None),
        (None, None, Some(width)) => Arc::new(uniform(width)?),
        (None, Some(sd), None) => Arc::new(normal::Normal::new(mean, sd)?),
        (None, Some(sd), width) => {
            let lots = Arc::new(normal::Normal::new(mean, sd)?);
            Arc::new(sum(lots, None, width)?)
        }
        (Some(within), lots, width) => Arc::new(sum(within, lots, width)?),
    }))
}
