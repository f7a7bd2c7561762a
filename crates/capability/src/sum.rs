//! Sums that keep what addition rounds away.

/// A running sum with the rounding error of every addition kept beside it.
///
/// A. Neumaier's variant of compensated summation (ZAMM 54 (1974) 39-51, recalled): the error of one addition is exactly
/// `(larger - (larger + smaller)) + smaller`. The result depends on the order of the terms only in its last bit or two,
/// and not at all on anything else: feed it in a fixed order and it has the same bits everywhere.
///
/// ```
/// let mut sum = capability::sum::Compensated::default();
/// for term in [1e100, 1.0, -1e100] {
///     sum.add(term);
/// }
/// assert_eq!(sum.value(), 1.0);
/// ```
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Compensated {
    sum: f64,
    lost: f64,
}

impl Compensated {
    /// Adds one term.
    pub fn add(&mut self, term: f64) {
        let total = self.sum + term;
        self.lost += if libm::fabs(self.sum) >= libm::fabs(term) {
            (self.sum - total) + term
        } else {
            (term - total) + self.sum
        };
        self.sum = total;
    }

    /// Adds another running sum.
    pub fn merge(&mut self, other: &Self) {
        self.add(other.sum);
        self.lost += other.lost;
    }

    /// The sum so far, rounded once.
    pub fn value(&self) -> f64 {
        self.sum + self.lost
    }

    /// The compensated sum of all terms, in their order.
    pub fn of(terms: impl IntoIterator<Item = f64>) -> f64 {
        let mut sum = Self::default();
        terms.into_iter().for_each(|term| sum.add(term));
        sum.value()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ten_million_tenths_lose_nothing() {
        let sum = Compensated::of(std::iter::repeat_n(0.1, 10_000_000));
        // Exact sum of the double nearest to 0.1, rounded.
        assert_eq!(sum, 1_000_000.0);
    }

    #[test]
    fn merged_parts_give_the_sum_of_the_whole() {
        let terms: Vec<f64> = (0..1000)
            .map(|i| libm::pow(-1.3, f64::from(i % 90)))
            .collect();
        let whole = Compensated::of(terms.iter().copied());
        let mut merged = Compensated::default();
        for part in terms.chunks(77) {
            let mut sum = Compensated::default();
            part.iter().for_each(|&t| sum.add(t));
            merged.merge(&sum);
        }
        assert!((merged.value() - whole).abs() <= f64::EPSILON * whole.abs());
    }
}
