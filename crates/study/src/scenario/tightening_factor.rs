//! Reads a tightening factor: the greatest over the least preload of a way of tightening, instead of a standard deviation.

use distributions::KINDS;

use crate::problem::escape::quoted;
use crate::problem::id;
use crate::scenario::quantity::{Measure, Quantity};
use crate::scenario::scale::short;
use crate::scenario::walk::Section;

/// Standard deviations from the mean to either extreme where none are stated.
const DEFAULT_AT_SDS: f64 = 2.0;

/// A tightening factor and how it is read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct TighteningFactor {
    factor: f64,
    at_sds: f64,
}

impl TighteningFactor {
    /// Reads `tightening_factor` and `at_sds`; `None` without them, or when something was reported.
    pub(crate) fn read(
        section: &Section<'_, '_>,
        shape: &str,
        shape_has_sd: bool,
    ) -> Option<TighteningFactor> {
        if !section.has("tightening_factor") {
            if section.has("at_sds") {
                let expected = "tightening_factor beside it";
                let hint = "it says how many sd the extremes of the preload lie from the mean";
                let found = "at_sds without tightening_factor";
                section.bad(&id::CONTRADICTION, "at_sds", found, expected, hint);
            }
            return None;
        }
        let before = section.walk.count();
        if !shape_has_sd {
            let found = format!("tightening_factor with the shape {}", quoted(shape));
            let expected = format!("one of {} as the shape", with_sd().join(", "));
            section.bad(
                &id::CONTRADICTION,
                "tightening_factor",
                &found,
                &expected,
                "it stands for a standard deviation",
            );
        }
        for key in ["sd", "cp"] {
            let why = "each gives the standard deviation";
            section.exclude(key, "tightening_factor", why);
        }
        let factor = section.quantity("tightening_factor", &[Measure::Plain]);
        if let Some(typed) = factor.filter(|f| !(f.value > 1.0 && f.value <= MOST)) {
            section.bad(
                &id::PROCESS,
                "tightening_factor",
                &typed.canonical(),
                "a factor above 1, to 10: the greatest preload over the least",
                "torque wrenches have about 1.4 to 2, impact drivers 2.5 to 4 (VDI 2230)",
            );
        }
        let at_sds = match section.has("at_sds") {
            true => section.quantity("at_sds", &[Measure::Plain])?,
            false => Quantity::plain(DEFAULT_AT_SDS),
        };
        if !(1.0..=6.0).contains(&at_sds.value) {
            section.bad(
                &id::PROCESS,
                "at_sds",
                &at_sds.canonical(),
                "1 to 6 standard deviations from the mean to either extreme",
                "",
            );
        }
        let read = TighteningFactor {
            factor: factor?.value,
            at_sds: at_sds.value,
        };
        (section.walk.count() == before).then_some(read)
    }

    /// Standard deviation over nominal: with the extremes at `1 ± n s`, a factor `a = (1 + n s)/(1 - n s)` gives
    /// `s = (a - 1)/(a + 1)/n`. Source: the definition of the factor in VDI 2230; `n` is an assumption of the reader.
    pub(crate) fn relative_sd(&self) -> f64 {
        (self.factor - 1.0) / (self.factor + 1.0) / self.at_sds
    }

    /// How it was read.
    pub(crate) fn words(&self) -> String {
        format!(
            "tightening factor {} read as greatest over least preload at {} sd either side",
            short(self.factor),
            short(self.at_sds)
        )
    }
}

/// The shapes that are stated by a standard deviation.
fn with_sd() -> Vec<&'static str> {
    let kinds = KINDS.iter().filter(|kind| kind.by_moments.is_some());
    kinds.map(|kind| kind.name).collect()
}

/// Largest factor that is read.
const MOST: f64 = 10.0;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn extremes_at_the_stated_sds_have_the_factor_between_them() {
        for (factor, at_sds) in [(1.6, 2.0), (1.6, 3.0), (4.0, 1.0), (10.0, 2.0)] {
            let s = TighteningFactor { factor, at_sds }.relative_sd();
            let between = (1.0 + at_sds * s) / (1.0 - at_sds * s);
            assert!((between - factor).abs() < 1e-12, "{factor}");
        }
    }
}
