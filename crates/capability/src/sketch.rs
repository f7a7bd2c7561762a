//! A mergeable picture of a distribution: counts in equal bins, from which quantiles are read.

use crate::interval::{Interval, tail_of};
use crate::quantiles::ranks_leaving;
use crate::tally::{BINS, Frame, Totals};

/// Why a sketch cannot be laid out.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum SketchError {
    /// The range is not finite, empty, or turned round.
    #[error("the range from {from} to {to} is not a range")]
    Range {
        /// Lower end.
        from: f64,
        /// Upper end.
        to: f64,
    },
    /// There are no bins.
    #[error("a sketch needs at least one bin")]
    NoBins,
    /// The atom is not a finite number.
    #[error("the value with a point mass must be finite, found {atom}")]
    Atom {
        /// The value.
        atom: f64,
    },
}

/// Counts of values in equal bins over a range, below it and above it, with the exact smallest and largest value.
///
/// An **atom** is one value that many outcomes share exactly (a clamp load of 0, a share of 1): it is counted apart, not
/// in the bins, so that it shows as a step and does not smear into its neighbours.
///
/// Counts are integers: sketches of the same layout merge in any order to the same result.
#[derive(Debug, Clone, PartialEq)]
pub struct Sketch {
    from: f64,
    to: f64,
    counts: Vec<u64>,
    below: u64,
    above: u64,
    atom: Option<f64>,
    at_atom: u64,
    min: f64,
    max: f64,
}

/// A coarser picture of a sketch, for a chart: equal bins over the occupied part of its range.
#[derive(Debug, Clone, PartialEq)]
pub struct Histogram {
    /// Lower end of the first bin.
    pub from: f64,
    /// Upper end of the last bin.
    pub to: f64,
    /// Values in each bin.
    pub counts: Vec<u64>,
    /// Values below the range of the sketch.
    pub below: u64,
    /// Values above the range of the sketch.
    pub above: u64,
    /// Values at the atom.
    pub at_atom: u64,
}

impl Sketch {
    /// An empty sketch with `bins` equal bins over `[from, to]`.
    pub fn new(from: f64, to: f64, bins: usize, atom: Option<f64>) -> Result<Self, SketchError> {
        if !(from.is_finite() && to.is_finite() && (to - from).is_finite() && from < to) {
            return Err(SketchError::Range { from, to });
        }
        if bins == 0 {
            return Err(SketchError::NoBins);
        }
        if let Some(atom) = atom.filter(|a| !a.is_finite()) {
            return Err(SketchError::Atom { atom });
        }
        Ok(Self {
            from,
            to,
            counts: vec![0; bins],
            below: 0,
            above: 0,
            atom,
            at_atom: 0,
            min: f64::INFINITY,
            max: f64::NEG_INFINITY,
        })
    }

    /// The sketch of a simulated column: its bins, its point mass, and its exact smallest and largest value.
    ///
    /// # Errors
    ///
    /// When the frame is not a range.
    pub fn from_totals(
        totals: &Totals,
        frame: &Frame,
        min: f64,
        max: f64,
    ) -> Result<Self, SketchError> {
        let mut sketch = Sketch::new(frame.from, frame.to, BINS, frame.atom)?;
        sketch.counts.copy_from_slice(totals.bins());
        sketch.below = totals.below();
        sketch.above = totals.above();
        sketch.at_atom = totals.at_atom();
        sketch.min = min;
        sketch.max = max;
        Ok(sketch)
    }

    /// Takes in one value, which must be finite.
    ///
    /// Bin `i` holds `from + i width <= x < from + (i + 1) width`; the upper end of the range belongs to the last bin.
    pub fn add(&mut self, x: f64) {
        debug_assert!(x.is_finite(), "only finite values are counted, found {x}");
        self.min = self.min.min(x);
        self.max = self.max.max(x);
        if self.atom == Some(x) {
            self.at_atom += 1;
        } else if x < self.from {
            self.below += 1;
        } else if x > self.to {
            self.above += 1;
        } else {
            let bin = ((x - self.from) / self.width()) as usize;
            let last = self.counts.len() - 1;
            self.counts[bin.min(last)] += 1;
        }
    }

    /// Takes in another sketch of the same layout.
    ///
    /// # Panics
    ///
    /// When range, bins or atom differ.
    pub fn merge(&mut self, other: &Self) {
        assert_eq!(
            (self.from, self.to, self.counts.len(), self.atom),
            (other.from, other.to, other.counts.len(), other.atom),
            "only sketches of one layout can be merged"
        );
        for (count, more) in self.counts.iter_mut().zip(&other.counts) {
            *count += more;
        }
        self.below += other.below;
        self.above += other.above;
        self.at_atom += other.at_atom;
        self.min = self.min.min(other.min);
        self.max = self.max.max(other.max);
    }

    /// Number of values.
    pub fn total(&self) -> u64 {
        self.below + self.above + self.at_atom + self.counts.iter().sum::<u64>()
    }

    /// Smallest and largest value; none without values.
    pub fn extremes(&self) -> Option<(f64, f64)> {
        (self.total() > 0).then_some((self.min, self.max))
    }

    /// Range of the bins.
    pub fn range(&self) -> (f64, f64) {
        (self.from, self.to)
    }

    /// Values in each bin.
    pub fn counts(&self) -> &[u64] {
        &self.counts
    }

    /// Values below and above the range.
    pub fn outside(&self) -> (u64, u64) {
        (self.below, self.above)
    }

    /// The atom and the number of values at it, where there is one.
    pub fn atom(&self) -> Option<(f64, u64)> {
        self.atom.map(|value| (value, self.at_atom))
    }

    /// The same values but for those at the atom.
    ///
    /// Where the atom was the smallest or the largest value, the exact end of the others is not known: the outer edge of
    /// their last bin stands for it, and the atom itself when some of them lie outside the range on that side.
    pub fn without_atom(&self) -> Self {
        let mut others = self.clone();
        others.at_atom = 0;
        let first = self.counts.iter().position(|&count| count > 0);
        let last = self.counts.iter().rposition(|&count| count > 0);
        let edge = |bin: usize| self.from + bin as f64 * self.width();
        match (self.atom, self.total() - self.at_atom) {
            (_, 0) => (others.min, others.max) = (f64::INFINITY, f64::NEG_INFINITY),
            (Some(atom), _) if self.at_atom > 0 => {
                if atom <= self.min && self.below == 0 {
                    others.min = first.map_or(self.to, edge).max(self.min);
                }
                if atom >= self.max && self.above == 0 {
                    others.max = last.map_or(self.from, |bin| edge(bin + 1)).min(self.max);
                }
            }
            _ => {}
        }
        others
    }

    /// Share of the values that sit at the atom; 0 without an atom or without values.
    pub fn atom_share(&self) -> f64 {
        match self.total() {
            0 => 0.0,
            total => self.at_atom as f64 / total as f64,
        }
    }

    /// Quantile `p`: the smallest `x` at which the cumulative count reaches `p n`.
    ///
    /// The cumulative count rises in a straight line over each bin (its values taken as spread evenly), over the stretch
    /// from the smallest value to the range and from the range to the largest value, and by a step at the atom. A bin's
    /// ends are cut back to the smallest and largest value. So quantile 0 is the smallest value, quantile 1 the largest,
    /// and inside the range the error is below one bin width. None without values or with `p` outside `[0, 1]`.
    pub fn quantile(&self, p: f64) -> Option<f64> {
        let total = self.total();
        if total == 0 || !(0.0..=1.0).contains(&p) {
            return None;
        }
        Some(self.value_at(p * total as f64))
    }

    /// Interval of quantile `p` of the population, from the two order statistics of [`crate::quantiles::enclosing_ranks`].
    ///
    /// The ranks are exact for every number of values. The value of a rank is read from its bin like a quantile (inside the
    /// range within one bin width, usually far closer); outside the range the far end of the stretch is taken, which only
    /// widens the interval. None when too few values lie beyond the quantile.
    pub fn quantile_interval(&self, p: f64, confidence: f64) -> Option<Interval> {
        self.quantile_interval_leaving(tail_of(confidence), p)
    }

    /// [`Self::quantile_interval`] by the probability left out on each side.
    pub(crate) fn quantile_interval_leaving(&self, tail: f64, p: f64) -> Option<Interval> {
        let (r, s) = ranks_leaving(tail, self.total(), p)?;
        let (mut low, mut high) = (self.value_at(r as f64 - 0.5), self.value_at(s as f64 - 0.5));
        if low < self.from {
            low = self.min;
        } else if low > self.to {
            low = self.to;
        }
        if high < self.from {
            high = self.from;
        } else if high > self.to {
            high = self.max;
        }
        Some(Interval { low, high })
    }

    /// Share of the values at or below `x`, by the cumulative count of [`Self::quantile`]; none without values.
    pub fn share_below(&self, x: f64) -> Option<f64> {
        let total = self.total();
        let stepped = if self.atom.is_some_and(|atom| atom <= x) {
            self.at_atom as f64
        } else {
            0.0
        };
        (total > 0).then(|| (self.smooth_count(x) + stepped) / total as f64)
    }

    /// Re-binned to at most `bins` equal bins over the occupied part of the range, each a whole number of fine bins.
    pub fn coarse(&self, bins: usize) -> Histogram {
        let first = self.counts.iter().position(|&c| c > 0).unwrap_or(0);
        let last = self
            .counts
            .iter()
            .rposition(|&c| c > 0)
            .unwrap_or(self.counts.len() - 1);
        let group = (last + 1 - first).div_ceil(bins.max(1));
        let counts: Vec<u64> = self.counts[first..=last]
            .chunks(group)
            .map(|part| part.iter().sum())
            .collect();
        let from = self.from + first as f64 * self.width();
        let to = from + (counts.len() * group) as f64 * self.width();
        Histogram {
            from,
            to,
            counts,
            below: self.below,
            above: self.above,
            at_atom: self.at_atom,
        }
    }

    fn width(&self) -> f64 {
        (self.to - self.from) / self.counts.len() as f64
    }

    /// Stretches over which the cumulative count rises in a straight line: lower end, upper end, count.
    fn stretches(&self) -> impl Iterator<Item = (f64, f64, u64)> {
        let edge = |i: usize| (self.from + i as f64 * self.width()).clamp(self.min, self.max);
        let bins = self
            .counts
            .iter()
            .enumerate()
            .map(move |(i, &count)| (edge(i), edge(i + 1), count));
        std::iter::once((self.min, self.from, self.below))
            .chain(bins)
            .chain(std::iter::once((self.to, self.max, self.above)))
            .filter(|&(_, _, count)| count > 0)
    }

    /// Cumulative count at `x` without the atom.
    fn smooth_count(&self, x: f64) -> f64 {
        self.stretches()
            .take_while(|&(from, ..)| from <= x)
            .map(|(from, to, count)| {
                if x >= to {
                    count as f64
                } else {
                    count as f64 * ((x - from) / (to - from))
                }
            })
            .sum()
    }

    /// The value at a cumulative count, atom included.
    fn value_at(&self, target: f64) -> f64 {
        let Some(atom) = self.atom.filter(|_| self.at_atom > 0) else {
            return self.smooth_value_at(target);
        };
        let before = self.smooth_count(atom);
        if target <= before && before > 0.0 {
            self.smooth_value_at(target)
        } else if target <= before + self.at_atom as f64 {
            atom
        } else {
            self.smooth_value_at(target - self.at_atom as f64)
        }
    }

    /// The value at a cumulative count that leaves the atom out.
    fn smooth_value_at(&self, target: f64) -> f64 {
        let mut before = 0.0;
        for (from, to, count) in self.stretches() {
            let count = count as f64;
            if target <= before + count {
                return from + (to - from) * ((target - before) / count);
            }
            before += count;
        }
        self.max
    }
}

#[cfg(test)]
mod tests;
