//! How the values of a measured characteristic are written: as finely as they were read, no finer.

use record::LotCharacteristic;

use crate::figure;
use crate::unit::Unit;

/// Most decimals of a reading.
const FINEST: usize = 9;

/// Writes the values of one characteristic.
#[derive(Debug, Clone, PartialEq)]
pub struct Reader {
    unit: Unit,
    /// For differences: micrometres where a drawing uses them.
    spread: Unit,
    decimals: usize,
}

impl Reader {
    /// For a characteristic.
    pub fn of(c: &LotCharacteristic) -> Reader {
        let span = (c.max - c.min).max(c.sd);
        let step = c.resolution.step.map(figure::stated);
        let of_step = step.filter(|step| step != "0").map(|step| places(&step));
        let of_spread = || {
            if c.sd > 0.0 {
                usize::try_from(1 - figure::exponent(c.sd)).unwrap_or(0)
            } else {
                places(&figure::stated(c.mean))
            }
        };
        Reader {
            unit: Unit::of(&c.unit, 0.0),
            spread: Unit::of_deviation(&c.unit, span),
            decimals: of_step.unwrap_or_else(of_spread).min(FINEST),
        }
    }

    /// The sign of the unit, in brackets after a name: ` (mm)`; nothing for a plain ratio.
    pub fn bracket(&self) -> String {
        if self.unit.text.is_empty() {
            return String::new();
        }
        format!(" ({})", self.unit.text)
    }

    /// A reading with its unit.
    pub fn value(&self, x: f64) -> String {
        figure::with_unit(&self.number(x), &self.unit.text)
    }

    /// A reading without its unit.
    pub fn number(&self, x: f64) -> String {
        figure::fixed(x, self.decimals)
    }

    /// A mean or a quantile with its unit: one decimal finer than a reading.
    pub fn mean(&self, x: f64) -> String {
        figure::with_unit(&self.fine(x), &self.unit.text)
    }

    /// The same without its unit.
    pub fn fine(&self, x: f64) -> String {
        figure::fixed(x, self.decimals + 1)
    }

    /// A limit or a nominal as it was stated.
    pub fn stated(&self, x: f64) -> String {
        self.unit.stated(x)
    }

    /// A standard deviation with its unit: three significant digits.
    pub fn sd(&self, x: f64) -> String {
        let number = figure::significant(x * self.spread.factor, 3);
        figure::with_unit(&number, &self.spread.text)
    }

    /// Another difference, with its unit.
    pub fn spread(&self, x: f64) -> String {
        let number = figure::significant(x * self.spread.factor, 3);
        figure::with_unit(&trimmed(&number), &self.spread.text)
    }

    /// A change with its sign.
    pub fn change(&self, x: f64) -> String {
        let text = self.spread(x);
        if x > 0.0 { format!("+{text}") } else { text }
    }
}

/// Decimals of a number as it is written.
fn places(number: &str) -> usize {
    number.split_once('.').map_or(0, |(_, rest)| rest.len())
}

/// Without the noughts that end a decimal fraction.
fn trimmed(number: &str) -> String {
    if !number.contains('.') {
        return number.to_owned();
    }
    number
        .trim_end_matches('0')
        .trim_end_matches('.')
        .to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture;

    #[test]
    fn readings_are_written_as_finely_as_they_were_read() {
        let gear = fixture::lots().remove(0).1.characteristics.remove(0);
        let reader = Reader::of(&gear);
        assert_eq!(reader.value(0.996), "0.996\u{A0}mm");
        assert_eq!(reader.mean(gear.mean), "0.9976\u{A0}mm");
        assert_eq!(reader.sd(gear.sd), "6.28\u{A0}µm");
        assert_eq!(reader.change(0.012), "+12\u{A0}µm");
        assert_eq!(reader.stated(1.02), "1.02\u{A0}mm");
    }
}
