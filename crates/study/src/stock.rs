//! The spacers that a pair may choose from.

use record::{Choice, MeasuredSpacer, Stock};

/// The spacers to choose from.
#[derive(Debug, Clone)]
pub struct Shelf {
    /// Where they come from.
    pub stock: Stock,
    /// Nominal thickness, from which steps are counted (mm).
    pub nominal_mm: f64,
    /// Measured thicknesses with their places in the file, thinnest first.
    measured: Vec<(f64, usize)>,
}

impl Shelf {
    /// The shelf with these measured spacers, if any.
    pub fn new(stock: Stock, nominal_mm: f64, spacers: &[MeasuredSpacer]) -> Shelf {
        let mut measured: Vec<(f64, usize)> = spacers
            .iter()
            .enumerate()
            .map(|(place, spacer)| (spacer.thickness_mm, place))
            .collect();
        measured.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        Shelf {
            stock,
            nominal_mm,
            measured,
        }
    }

    /// The spacer nearest to a thickness; the thinner of two that are equally near. `None` when there is none of a
    /// thickness above 0, or when the pair has no choice.
    pub fn nearest(&self, needed_mm: f64) -> Option<Choice> {
        self.nearest_within(needed_mm, [0.0, f64::INFINITY])
            .filter(|choice| choice.thickness_mm > 0.0 && needed_mm > 0.0)
    }

    /// The spacer nearest to a thickness among those from `low` to `high`.
    pub fn nearest_within(&self, needed_mm: f64, [low, high]: [f64; 2]) -> Option<Choice> {
        match self.stock {
            Stock::Made => Some(Choice {
                thickness_mm: needed_mm.max(low).min(high),
                spacer: None,
            }),
            Stock::Steps { step_mm } => self.step_within(step_mm, needed_mm, low, high),
            Stock::Measured => self.measured_within(needed_mm, low, high),
            Stock::Rows => None,
        }
    }

    /// `nominal + k step` with a whole `k`.
    fn step_within(&self, step: f64, needed: f64, low: f64, high: f64) -> Option<Choice> {
        // A share of a step keeps rounding errors from shutting out a stock size that is an end itself.
        const SLACK: f64 = 1e-6;
        let steps = |thickness: f64| (thickness - self.nominal_mm) / step;
        let first = libm::ceil(steps(low) - SLACK);
        let last = libm::floor(steps(high) + SLACK);
        let wanted = libm::ceil(steps(needed) - 0.5 - SLACK).max(first).min(last);
        let thickness_mm = libm::round((self.nominal_mm + wanted * step) * 1e9) / 1e9;
        (first <= last && thickness_mm > 0.0).then_some(Choice {
            thickness_mm,
            spacer: None,
        })
    }

    fn measured_within(&self, needed: f64, low: f64, high: f64) -> Option<Choice> {
        let from = |thickness: f64| self.measured.partition_point(|s| s.0 < thickness);
        let next = self.measured.get(from(needed.max(low)));
        let below = self.measured[..from(needed.max(low))].last();
        // The first in the file of those that are equally thick.
        let below = below.and_then(|s| self.measured.get(from(s.0)));
        let inside = |s: &&(f64, usize)| s.0 >= low && s.0 <= high;
        let &(thickness_mm, place) = [below, next]
            .into_iter()
            .flatten()
            .filter(inside)
            .min_by(|a, b| (a.0 - needed).abs().total_cmp(&(b.0 - needed).abs()))
            .or_else(|| {
                let last = self.measured.iter().rev().find(|s| s.0 <= high)?;
                (last.0 >= low).then_some(last)
            })?;
        Some(Choice {
            thickness_mm,
            spacer: Some(place),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shelf(stock: Stock, measured: &[f64]) -> Shelf {
        let spacers: Vec<MeasuredSpacer> = measured
            .iter()
            .map(|&thickness_mm| MeasuredSpacer {
                name: String::new(),
                thickness_mm,
            })
            .collect();
        Shelf::new(stock, 6.0, &spacers)
    }

    #[test]
    fn steps_are_counted_from_the_nominal_thickness() {
        let shelf = shelf(Stock::Steps { step_mm: 0.05 }, &[]);
        let nearest = |needed| shelf.nearest(needed).map(|c| c.thickness_mm);
        assert_eq!(nearest(6.07), Some(6.05));
        assert_eq!(nearest(5.92), Some(5.9));
        assert_eq!(nearest(6.0), Some(6.0));
        assert_eq!(nearest(6.024), Some(6.0));
        assert_eq!(nearest(6.026), Some(6.05));
        assert_eq!(nearest(6.025), Some(6.0), "the thinner of two");
        assert_eq!(nearest(-0.1), None);
        let within = |low, high| {
            shelf
                .nearest_within(6.2, [low, high])
                .map(|c| c.thickness_mm)
        };
        assert_eq!(within(5.96, 6.09), Some(6.05));
        assert_eq!(within(5.96, 5.99), None);
        assert_eq!(within(6.01, 6.1), Some(6.1));
    }

    #[test]
    fn the_nearest_measured_spacer_is_named() {
        let shelf = shelf(Stock::Measured, &[6.1, 5.9, 6.0, 5.9]);
        let nearest = |needed| shelf.nearest(needed).and_then(|c| c.spacer);
        assert_eq!(nearest(7.0), Some(0));
        assert_eq!(nearest(5.0), Some(1));
        assert_eq!(nearest(5.94), Some(1));
        assert_eq!(nearest(5.96), Some(2));
        let within = |needed, low, high| {
            shelf
                .nearest_within(needed, [low, high])
                .and_then(|c| c.spacer)
        };
        assert_eq!(within(6.3, 5.95, 6.05), Some(2));
        assert_eq!(within(5.0, 5.95, 6.05), Some(2));
        assert_eq!(within(6.0, 6.01, 6.05), None);
    }

    #[test]
    fn a_spacer_of_the_row_is_not_chosen_and_a_made_one_is_what_is_needed() {
        assert_eq!(shelf(Stock::Rows, &[6.0]).nearest(6.0), None);
        let made = shelf(Stock::Made, &[]);
        assert_eq!(made.nearest(6.123).map(|c| c.thickness_mm), Some(6.123));
        assert_eq!(made.nearest(0.0), None);
    }
}
