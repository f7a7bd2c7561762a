//! Inspection of a characteristic before assembly: gauge, acceptance limits, how many parts are measured.

/// How a characteristic is inspected. Limits and uncertainty are in the unit of the inside.
#[derive(Debug, Clone, PartialEq)]
pub struct Inspection {
    /// Standard uncertainty of the gauge; a reading is the true value plus a normal error.
    pub gauge_sd: f64,
    /// Guard band: by how much the acceptance limits lie inside the drawing limits (negative: outside).
    pub guard: f64,
    /// Smallest accepted reading.
    pub lower: Option<f64>,
    /// Largest accepted reading.
    pub upper: Option<f64>,
    /// Which parts are measured.
    pub check: Check,
    /// How it was stated, in words.
    pub stated: String,
}

/// Which parts are measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Check {
    /// Every part.
    Every,
    /// A share of the parts, picked at random.
    Share(f64),
    /// A sample of every lot; a lot with more refused parts in its sample than `accept` is sorted, which means that
    /// every part of it is measured.
    Lot {
        /// Parts in a lot.
        size: u64,
        /// Parts in a sample, the first of the lot.
        sample: u64,
        /// Refused parts in a sample up to which the lot passes.
        accept: u64,
    },
}

impl Inspection {
    /// Whether a reading is accepted.
    #[inline(always)]
    pub fn accepts(&self, reading: f64) -> bool {
        self.lower.is_none_or(|lower| reading >= lower)
            && self.upper.is_none_or(|upper| reading <= upper)
    }
}
