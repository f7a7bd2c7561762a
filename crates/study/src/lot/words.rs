//! Numbers of a study as a scenario states them.

/// Decimals that resolve a ten-thousandth of a spread; 15 at most.
pub(super) fn decimals_for_spread(sd: f64) -> usize {
    let (mut step, mut decimals) = (1.0, 0);
    while step > 1e-4 * sd && decimals < 15 {
        step /= 10.0;
        decimals += 1;
    }
    decimals
}

/// A number with at most this many decimals, without zeros that say nothing.
pub(super) fn number(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    let short = if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.')
    } else {
        &text
    };
    match short {
        "-0" | "" => "0".to_owned(),
        short => short.to_owned(),
    }
}

/// A number with its unit; bare without one.
pub(super) fn quantity(value: f64, decimals: usize, unit: &str) -> String {
    let number = number(value, decimals);
    if unit.is_empty() {
        number
    } else {
        format!("{number} {unit}")
    }
}

/// A number for a sentence: four significant digits.
pub(super) fn short(value: f64) -> String {
    let (mut size, mut decimals) = (libm::fabs(value), 3);
    while size > 0.0 && size < 1.0 && decimals < 12 {
        size *= 10.0;
        decimals += 1;
    }
    while size >= 10.0 && decimals > 0 {
        size /= 10.0;
        decimals -= 1;
    }
    number(value, decimals)
}

/// A share as a percentage: `0.135 %`.
pub(super) fn percent(share: f64) -> String {
    format!("{} %", short(100.0 * share))
}

/// `1 reading is`, `4 readings are`.
pub(super) fn readings_are(n: u64) -> String {
    match n {
        1 => "1 reading is".to_owned(),
        n => format!("{n} readings are"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_keep_the_digits_that_the_spread_supports() {
        assert_eq!(decimals_for_spread(0.006_278_9), 7);
        assert_eq!(number(0.997_64, 7), "0.99764");
        assert_eq!(number(-0.000_000_01, 3), "0");
        assert_eq!(number(100.0, 0), "100");
        assert_eq!(quantity(0.006_278_904, 7, "mm"), "0.0062789 mm");
        assert_eq!(quantity(0.5, 3, ""), "0.5");
        assert_eq!(short(1.021_578), "1.022");
        assert_eq!(short(0.000_123_45), "0.0001234");
        assert_eq!(percent(0.001_35), "0.135 %");
    }
}
