//! Shares of joints with their interval, never rounded to certainty: no `0 ppm`, no `100 % ± 0`.

use super::numbers::{fixed, significant};

/// A share with its interval, in per cent: value, lower end, upper end, all with the same decimals.
///
/// The ends are rounded outwards, so that the interval that is read never is the narrower one.
pub fn percent(fraction: f64, low: f64, high: f64) -> [String; 3] {
    let [value, low, high] = [fraction * 100.0, low * 100.0, high * 100.0];
    let mut decimals = decimals_of_width(high - low);
    loop {
        let printed = [
            fixed(value, decimals),
            fixed(outward(low, decimals, f64::floor), decimals),
            fixed(outward(high, decimals, f64::ceil), decimals),
        ];
        let certain = printed
            .iter()
            .zip([value, low, high])
            .any(|(text, exact)| looks_certain(text, exact));
        if !certain || decimals >= 12 {
            return printed;
        }
        decimals += 1;
    }
}

/// An upper bound on a share of which nothing was seen: `4 in a million`, `0.37 %`.
pub fn fewer_than(high: f64) -> String {
    let (scale, unit) = if high >= 1e-3 {
        return format!("{} %", up_to_two_digits(high * 100.0));
    } else if high >= 1e-6 {
        (1e6, "a million")
    } else {
        (1e9, "a billion")
    };
    format!("{} in {unit}", up_to_two_digits(high * scale))
}

/// Rounded up to two significant digits; to whole ones where `x` is a number of parts.
fn up_to_two_digits(x: f64) -> String {
    if (1.0..10.0).contains(&x) {
        return fixed(outward(x, 0, f64::ceil), 0);
    }
    let mut step = 1.0;
    while x / step >= 100.0 {
        step *= 10.0;
    }
    while x / step < 10.0 && step > 1e-12 {
        step /= 10.0;
    }
    // A shade less before rounding up: 0.37 must not become 0.38 by the last bit.
    let up = (x / step - 1e-9).ceil() * step;
    significant(up, 2)
}

/// Decimals that show a width in per cent with one digit at least.
fn decimals_of_width(width: f64) -> usize {
    let mut scaled = width;
    let mut decimals = 0;
    while scaled < 1.0 && decimals < 10 {
        scaled *= 10.0;
        decimals += 1;
    }
    decimals
}

/// True for a value that is not exactly 0 or 100 but would be printed so.
fn looks_certain(text: &str, exact: f64) -> bool {
    let printed: f64 = text.parse().unwrap_or(exact);
    (printed == 0.0 && exact > 0.0) || (printed == 100.0 && exact < 100.0)
}

fn outward(x: f64, decimals: usize, round: fn(f64) -> f64) -> f64 {
    let scale = (0..decimals).fold(1.0, |s, _| s * 10.0);
    let scaled = x * scale;
    // What is a whole number but for the last bits stays.
    let whole = scaled.round();
    if (scaled - whole).abs() < 1e-6 {
        whole / scale
    } else {
        round(scaled) / scale
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn digits_follow_the_width_of_the_interval() {
        assert_eq!(
            percent(0.981_234, 0.980_966, 0.981_499),
            ["98.12", "98.09", "98.15"]
        );
        assert_eq!(percent(0.5, 0.40, 0.60), ["50", "40", "60"]);
    }

    #[test]
    fn the_interval_is_rounded_outwards() {
        let [_, low, high] = percent(0.995_2, 0.994_996, 0.995_404);
        assert_eq!([low, high], ["99.49", "99.55"]);
    }

    #[test]
    fn one_reject_in_a_million_is_not_printed_as_certainty() {
        let [value, low, high] = percent(0.999_999, 0.999_994_4, 0.999_999_97);
        for text in [&value, &low, &high] {
            assert!(!text.starts_with("100"), "{text}");
        }
    }

    #[test]
    fn nothing_seen_is_a_bound_never_zero() {
        assert_eq!(fewer_than(3.689e-6), "4 in a million");
        assert_eq!(fewer_than(3.7e-5), "37 in a million");
        assert_eq!(fewer_than(3.689e-9), "4 in a billion");
        assert_eq!(fewer_than(0.003_683), "0.37 %");
        assert_eq!(fewer_than(0.308_5), "31 %");
        assert_eq!(fewer_than(0.000_369), "370 in a million");
    }
}
