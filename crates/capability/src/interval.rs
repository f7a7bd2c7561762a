//! Two ends that hold an unknown value with a stated confidence.

/// An interval from `low` to `high`, both included.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interval {
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

impl Interval {
    /// Whether the value lies inside.
    pub fn contains(&self, value: f64) -> bool {
        (self.low..=self.high).contains(&value)
    }
}

/// Half of what a two-sided confidence leaves out: the chance allowed on each side.
///
/// # Panics
///
/// Unless `confidence` lies strictly between 0 and 1.
pub(crate) fn tail_of(confidence: f64) -> f64 {
    assert!(
        confidence > 0.0 && confidence < 1.0,
        "a confidence lies between 0 and 1, found {confidence}"
    );
    0.5 * (1.0 - confidence)
}
