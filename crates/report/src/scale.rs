//! A linear scale: from values to the picture, with ticks at round numbers.

use crate::figure;

/// Values further out than this are drawn as if they were this.
const FARTHEST: f64 = 1e150;

/// Values from `low` to `high` drawn from `start` to `end` (px).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scale {
    /// Value at `start`.
    pub low: f64,
    /// Value at `end`.
    pub high: f64,
    /// Where `low` is drawn (px).
    pub start: f64,
    /// Where `high` is drawn (px).
    pub end: f64,
}

impl Scale {
    /// A scale over the values; a span of nothing is widened so that it can be drawn.
    pub fn over(values: &[f64], start: f64, end: f64) -> Scale {
        let within = values
            .iter()
            .copied()
            .filter(|v| v.is_finite())
            .map(|v| v.clamp(-FARTHEST, FARTHEST));
        let low = within.clone().fold(f64::INFINITY, f64::min);
        let high = within.fold(f64::NEG_INFINITY, f64::max);
        let (low, high) = if low > high { (0.0, 1.0) } else { (low, high) };
        if high - low > 1e-12 * low.abs().max(high.abs()).max(1e-9) {
            return Scale {
                low,
                high,
                start,
                end,
            };
        }
        let margin = if low == 0.0 { 1.0 } else { low.abs() * 0.01 };
        Scale {
            low: low - margin,
            high: high + margin,
            start,
            end,
        }
    }

    /// The same with a share of the span added at both ends.
    pub fn with_margin(self, share: f64) -> Scale {
        let margin = (self.high - self.low) * share;
        Scale {
            low: self.low - margin,
            high: self.high + margin,
            ..self
        }
    }

    /// Where a value is drawn (px), kept inside the scale.
    pub fn at(&self, value: f64) -> f64 {
        let share = (value.clamp(-FARTHEST, FARTHEST) - self.low) / (self.high - self.low);
        let share = if share.is_finite() {
            share.clamp(0.0, 1.0)
        } else {
            0.0
        };
        self.start + share * (self.end - self.start)
    }

    /// Whether a value lies on the scale.
    pub fn holds(&self, value: f64) -> bool {
        value >= self.low && value <= self.high
    }

    /// Ticks at round numbers, at most `most` of them, with their labels.
    pub fn ticks(&self, most: usize) -> Vec<(f64, String)> {
        let step = round_step((self.high - self.low) / most.max(1) as f64);
        let decimals = usize::try_from(-figure::exponent(step * 1.000_001)).unwrap_or(0);
        let first = libm::ceil(self.low / step - 1e-9);
        let last = libm::floor(self.high / step + 1e-9);
        if !(first.is_finite() && last.is_finite()) || last - first > 1000.0 {
            return Vec::new();
        }
        let count = (last - first).max(-1.0) as i64 + 1;
        (0..count)
            .map(|i| (first + i as f64) * step)
            .map(|value| (value, figure::fixed(value, decimals)))
            .collect()
    }
}

/// The smallest of 1, 2, 5 times a power of ten that is not below `least`.
fn round_step(least: f64) -> f64 {
    if least <= 0.0 || !least.is_finite() {
        return 1.0;
    }
    let unit = figure::power(figure::exponent(least));
    [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|m| m * unit)
        .find(|step| *step >= least * (1.0 - 1e-9))
        .unwrap_or(10.0 * unit)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ticks_stand_at_round_numbers() {
        let scale = Scale::over(&[0.187, 0.613], 0.0, 600.0);
        let labels: Vec<String> = scale.ticks(6).into_iter().map(|t| t.1).collect();
        assert_eq!(labels, ["0.2", "0.3", "0.4", "0.5", "0.6"]);
    }

    #[test]
    fn a_span_of_nothing_and_the_farthest_values_can_be_drawn() {
        for values in [
            &[6.0, 6.0][..],
            &[0.0],
            &[],
            &[1e308, -1e308],
            &[f64::NAN, 1.0],
        ] {
            let scale = Scale::over(values, 0.0, 100.0);
            assert!(scale.low < scale.high, "{values:?}");
            assert!(scale.ticks(6).len() <= 8);
            assert!(scale.at(6.0).is_finite());
        }
    }
}
