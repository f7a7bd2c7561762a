//! Numbers as a person reads them: sensible digits, thousands apart, the same in every country.

/// A count with its thousands apart: `1,000,000`.
pub fn count(n: u64) -> String {
    grouped(&n.to_string())
}

/// A value with this many decimals, thousands apart, never `-0`.
pub fn fixed(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    let (sign, size) = match text.strip_prefix('-') {
        Some(size) => ("-", size),
        None => ("", text.as_str()),
    };
    let sign = if size.bytes().all(|b| b == b'0' || b == b'.') {
        ""
    } else {
        sign
    };
    let (units, decimals) = match size.find('.') {
        Some(point) => size.split_at(point),
        None => (size, ""),
    };
    if units.bytes().all(|b| b.is_ascii_digit()) {
        format!("{sign}{}{decimals}", grouped(units))
    } else {
        text
    }
}

/// A value with this many significant digits.
pub fn significant(value: f64, digits: usize) -> String {
    fixed(value, decimals_for(value, digits))
}

/// How many decimals show a value of this size with so many significant digits; 12 at most.
pub fn decimals_for(size: f64, digits: usize) -> usize {
    let mut size = size.abs();
    let mut decimals = digits.saturating_sub(1);
    if size == 0.0 || !size.is_finite() {
        return decimals;
    }
    while size < 1.0 && decimals < 12 {
        size *= 10.0;
        decimals += 1;
    }
    while size >= 10.0 && decimals > 0 {
        size /= 10.0;
        decimals -= 1;
    }
    decimals
}

fn grouped(digits: &str) -> String {
    let mut text = String::with_capacity(digits.len() + digits.len() / 3);
    for (i, digit) in digits.chars().enumerate() {
        if i > 0 && (digits.len() - i).is_multiple_of(3) {
            text.push(',');
        }
        text.push(digit);
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counts_have_their_thousands_apart() {
        for (n, text) in [
            (0, "0"),
            (999, "999"),
            (1_000, "1,000"),
            (123_456, "123,456"),
            (1 << 53, "9,007,199,254,740,992"),
        ] {
            assert_eq!(count(n), text);
        }
    }

    #[test]
    fn values_keep_their_sign_but_zero_has_none() {
        assert_eq!(fixed(-1234.567, 1), "-1,234.6");
        assert_eq!(fixed(-0.0004, 2), "0.00");
        assert_eq!(fixed(0.5, 3), "0.500");
    }

    #[test]
    fn significant_digits_follow_the_size() {
        for (value, text) in [
            (0.012_345, "0.0123"),
            (1.234_5, "1.23"),
            (12.345, "12.3"),
            (123.45, "123"),
            (12_345.0, "12,345"),
            (0.0, "0.00"),
        ] {
            assert_eq!(significant(value, 3), text);
        }
    }
}
