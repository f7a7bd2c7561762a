//! Numbers as a reader sees them: the digits that the interval supports, thin-space thousands, a real minus.

/// Between a number and its unit.
const NO_BREAK: char = '\u{A0}';
/// Between groups of three digits.
const THIN: char = '\u{202F}';
/// Most decimals ever written.
const MOST_DECIMALS: usize = 15;

/// A whole number with thin-space thousands.
pub fn count(n: u64) -> String {
    group(&n.to_string())
}

/// `1 pairing`, `1 000 pairings`.
pub fn pairings(n: u64) -> String {
    format!("{} pairing{}", count(n), if n == 1 { "" } else { "s" })
}

/// A number with a fixed number of decimals.
pub fn fixed(x: f64, decimals: usize) -> String {
    if !x.is_finite() {
        return "not a number".to_owned();
    }
    if x.abs() >= 1e15 {
        return scientific(x);
    }
    let text = format!("{:.*}", decimals.min(MOST_DECIMALS), x.abs());
    let (whole, rest) = match text.split_once('.') {
        Some((whole, rest)) => (whole, format!(".{rest}")),
        None => (text.as_str(), String::new()),
    };
    let is_zero = text.bytes().all(|b| b == b'0' || b == b'.');
    let sign = if x < 0.0 && !is_zero { "\u{2212}" } else { "" };
    format!("{sign}{}{rest}", group(whole))
}

/// A deviation: the sign is always shown, except at zero.
pub fn signed(x: f64, decimals: usize) -> String {
    let text = fixed(x, decimals);
    let is_zero = text.chars().all(|c| c == '0' || c == '.');
    if x > 0.0 && !is_zero {
        format!("+{text}")
    } else {
        text
    }
}

/// A number with so many significant digits.
pub fn significant(x: f64, digits: i32) -> String {
    if x == 0.0 || !x.is_finite() {
        return fixed(x, 0);
    }
    let places = digits - 1 - exponent(x);
    if places < 0 {
        let unit = power(-places);
        return fixed(libm::round(x / unit) * unit, 0);
    }
    fixed(x, decimals(places))
}

/// A stated number as it was stated: at most nine decimals, no trailing zeros.
pub fn stated(x: f64) -> String {
    let text = fixed(x, 9);
    if !text.contains('.') {
        return text;
    }
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// A stated deviation, sign shown.
pub fn stated_signed(x: f64) -> String {
    let text = stated(x);
    if x > 0.0 && text != "0" {
        format!("+{text}")
    } else {
        text
    }
}

/// Decimals that an uncertainty of this size supports: its first digit is the last one written.
pub fn supported_decimals(half_width: f64) -> Option<usize> {
    (half_width > 0.0 && half_width.is_finite()).then(|| decimals(-exponent(half_width)))
}

/// A value with the digits that its interval supports; four significant digits without one.
pub fn supported(x: f64, low: Option<f64>, high: Option<f64>) -> String {
    let width = low.zip(high).map(|(low, high)| (high - low) / 2.0);
    match width.and_then(supported_decimals) {
        Some(decimals) => fixed(x, decimals),
        None => significant(x, 4),
    }
}

/// A value, the lower and the upper end of its interval, ready to be written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Interval {
    /// The value.
    pub value: String,
    /// Lower end.
    pub low: String,
    /// Upper end.
    pub high: String,
}

impl Interval {
    /// The ends in words; ends that round to the same number say how narrow they are.
    pub fn ends(&self) -> String {
        if self.low == self.high {
            return "known within 0.001".to_owned();
        }
        format!("{} to {}", self.low, self.high)
    }
}

/// A capability index and its interval with the digits that the interval supports, three decimals at most:
/// nobody acts on the fourth.
pub fn index(value: f64, low: f64, high: f64) -> Interval {
    let decimals = supported_decimals((high - low) / 2.0)
        .unwrap_or_else(|| decimals(3 - exponent(value)))
        .min(3);
    Interval {
        value: fixed(value, decimals),
        low: fixed(low, decimals),
        high: fixed(high, decimals),
    }
}

/// A fraction and its interval, in per cent without the sign. What is not quite nothing is never written
/// as 0, what is not quite everything never as 100.
pub fn percent(fraction: f64, low: f64, high: f64) -> Interval {
    let decimals = supported_decimals((high - low) * 50.0).unwrap_or(1);
    Interval {
        value: guarded_percent(fraction, decimals),
        low: guarded_percent(low, decimals),
        high: guarded_percent(high, decimals),
    }
}

/// The ends of a wide interval of a share, in per cent without the sign: two digits of its half width, rounded outwards,
/// never to nothing or all where it is not quite that.
pub fn outward_percent(low: f64, high: f64) -> [String; 2] {
    let first = decimals(1 - exponent((high - low) * 50.0));
    let certain =
        |shown: f64, exact: f64| (shown <= 0.0 && exact > 0.0) || (shown >= 100.0 && exact < 100.0);
    for d in first..=MOST_DECIMALS {
        let unit = power(d as i32);
        // A shade inwards before rounding, so that a round number is not moved by its last bit.
        let down = libm::floor(low * 100.0 * unit + 1e-6) / unit;
        let up = libm::ceil(high * 100.0 * unit - 1e-6) / unit;
        if !certain(down, low * 100.0) && !certain(up, high * 100.0) {
            return [fixed(down, d), fixed(up, d)];
        }
    }
    [low, high].map(|x| fixed(x * 100.0, MOST_DECIMALS))
}

/// A share of parts with its interval, counted per thousand or per million as fits: `12.3 in 1 000 (12.1 to 12.5)`.
pub fn rate(count: u64, of: u64, ends: (f64, f64, f64), confidence_level: f64) -> String {
    let (fraction, low, high) = ends;
    // Too few for counts per thousand, too rare for them, or none at all.
    if of < 1000 || fraction < 1e-3 || count == 0 || count == of {
        return share(count, of, ends, confidence_level);
    }
    let decimals = supported_decimals((high - low) * 500.0).unwrap_or(1);
    let at = |x: f64| fixed(x * 1000.0, decimals);
    format!(
        "{} in 1{THIN}000 ({} to {})",
        at(fraction),
        at(low),
        at(high)
    )
}

/// A number and its unit, held together.
pub fn with_unit(number: &str, unit: &str) -> String {
    match unit {
        "" => number.to_owned(),
        "°" | "\u{2032}" => format!("{number}{unit}"),
        _ => format!("{number}{NO_BREAK}{unit}"),
    }
}

/// The confidence, for example `95 %`.
pub fn confidence(confidence: f64) -> String {
    with_unit(&stated(confidence * 100.0), "%")
}

/// An upper bound of a share in words: `fewer than 4 in a million`. Rounded up, never to nothing.
pub fn fewer_than(bound: f64) -> String {
    // A share of 1 - low loses everything below the spacing of floats at 1.
    let bound = bound.clamp(1.2e-16, 1.0);
    if bound >= 0.01 {
        return format!("fewer than {}", with_unit(&round_up(bound * 100.0, 2), "%"));
    }
    for (per, words) in [
        (1e6, "a million"),
        (1e9, "a thousand million"),
        (1e12, "a million million"),
    ] {
        if bound * per >= 0.995 {
            return format!("fewer than {} in {words}", round_up(bound * per, 2));
        }
    }
    let per = libm::floor(1.0 / bound);
    let step = power(exponent(per));
    format!(
        "fewer than 1 in {}",
        scientific(libm::floor(per / step) * step)
    )
}

/// A rare share with its interval, in parts of a million: `about 200 in a million (180 to 221)`.
pub fn in_a_million(fraction: f64, low: f64, high: f64) -> Interval {
    let decimals = supported_decimals((high - low) * 5e5).unwrap_or(1);
    let at = |x: f64| {
        let places = (decimals..=MOST_DECIMALS)
            .find(|d| x <= 0.0 || x * 1e6 * power(*d as i32) >= 0.5)
            .unwrap_or(MOST_DECIMALS);
        fixed(x * 1e6, places)
    };
    Interval {
        value: at(fraction),
        low: at(low),
        high: at(high),
    }
}

/// So many in a million: whole from ten on, two digits below.
pub fn millionths(fraction: f64) -> String {
    let x = fraction * 1e6;
    let number = if x >= 9.5 {
        fixed(x, 0)
    } else {
        significant(x, 2)
    };
    format!("{number} in a million")
}

/// A counted share with its interval in one phrase that is right at none and at all.
pub fn share(count: u64, of: u64, ends: (f64, f64, f64), confidence_level: f64) -> String {
    let (fraction, low, high) = ends;
    let level = confidence(confidence_level);
    if count == 0 {
        return format!("{} ({level})", fewer_than(high));
    }
    if count == of {
        return format!("all seen, at least {} ({level})", at_least(low));
    }
    if fraction < 1e-3 {
        let i = in_a_million(fraction, low, high);
        return format!("{} in a million ({} to {})", i.value, i.low, i.high);
    }
    let i = percent(fraction, low, high);
    format!(
        "{} ({} to {})",
        with_unit(&i.value, "%"),
        with_unit(&i.low, "%"),
        with_unit(&i.high, "%")
    )
}

/// The lower end of a share that was seen everywhere: rounded down, never to 100 %.
pub fn at_least(low: f64) -> String {
    let miss = (1.0 - low).max(1.2e-16) * 100.0;
    let decimals = decimals(1 - exponent(miss)).min(MOST_DECIMALS);
    let unit = power(decimals as i32);
    let floor = libm::floor((low * 100.0).min(100.0 - 1e-14) * unit) / unit;
    with_unit(&guarded_percent(floor / 100.0, decimals), "%")
}

/// Decimal exponent of the first significant digit.
pub fn exponent(x: f64) -> i32 {
    if x == 0.0 || !x.is_finite() {
        return 0;
    }
    let text = format!("{:e}", x.abs());
    text.split_once('e')
        .and_then(|(_, e)| e.parse().ok())
        .unwrap_or(0)
}

/// Ten to a whole power.
pub fn power(exponent: i32) -> f64 {
    libm::pow(10.0, f64::from(exponent))
}

fn decimals(wanted: i32) -> usize {
    usize::try_from(wanted).unwrap_or(0).min(MOST_DECIMALS)
}

/// A fraction in per cent with at least so many decimals, never rounded to nothing or to all.
pub fn guarded_percent(fraction: f64, fewest: usize) -> String {
    let x = fraction * 100.0;
    for d in fewest..=MOST_DECIMALS {
        let half = 0.5 * power(-(d as i32));
        let is_hidden = (x > 0.0 && x < half) || (x < 100.0 && x >= 100.0 - half);
        if !is_hidden {
            return fixed(x, d);
        }
    }
    fixed(x, MOST_DECIMALS)
}

fn round_up(x: f64, digits: i32) -> String {
    let places = digits - 1 - exponent(x);
    let unit = power(places);
    let up = libm::ceil(x * unit - 1e-9) / unit;
    // One digit is enough for a bound below ten.
    if x < 10.0 {
        return fixed(libm::ceil(x - 1e-9), 0);
    }
    fixed(up, decimals(places))
}

fn scientific(x: f64) -> String {
    let text = format!("{x:.1e}");
    let (mantissa, exponent) = text.split_once('e').unwrap_or((&text, "0"));
    let mantissa = mantissa.trim_end_matches('0').trim_end_matches('.');
    let raised: String = exponent.chars().map(superscript).collect();
    format!(
        "{}\u{A0}×\u{A0}10{raised}",
        mantissa.replace('-', "\u{2212}")
    )
}

fn superscript(c: char) -> char {
    match c {
        '-' => '⁻',
        '1' => '¹',
        '2' => '²',
        '3' => '³',
        '0' => '⁰',
        '4'..='9' => char::from_u32(0x2070 + u32::from(c) - u32::from('0')).unwrap_or(c),
        other => other,
    }
}

fn group(digits: &str) -> String {
    let mut out = String::with_capacity(digits.len() * 2);
    for (i, c) in digits.chars().enumerate() {
        if i > 0 && (digits.len() - i).is_multiple_of(3) {
            out.push(THIN);
        }
        out.push(c);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thousands_stand_apart_and_minus_is_a_minus() {
        assert_eq!(
            count(9_007_199_254_740_993),
            "9\u{202F}007\u{202F}199\u{202F}254\u{202F}740\u{202F}993"
        );
        assert_eq!(fixed(-1234.56, 1), "\u{2212}1\u{202F}234.6");
        assert_eq!(fixed(-0.04, 1), "0.0");
        assert_eq!(signed(0.013, 3), "+0.013");
        assert_eq!(stated(29.682), "29.682");
        assert_eq!(stated(100.0), "100");
    }

    #[test]
    fn digits_follow_the_interval() {
        let i = percent(0.98131, 0.98104, 0.98157);
        assert_eq!(
            (i.value.as_str(), i.low.as_str(), i.high.as_str()),
            ("98.13", "98.10", "98.16")
        );
        assert_eq!(supported(0.41237, Some(0.4118), Some(0.4129)), "0.4124");
    }

    #[test]
    fn digits_beyond_those_asked_for_are_rounded_away() {
        assert_eq!(significant(26_802.3, 3), "26\u{202F}800");
        assert_eq!(significant(0.012_345, 2), "0.012");
        assert_eq!(millionths(9.85e-4), "985 in a million");
        assert_eq!(millionths(5.7e-7), "0.57 in a million");
    }

    #[test]
    fn an_interval_too_narrow_to_write_says_so() {
        assert_eq!(
            index(0.4001, 0.400_09, 0.400_12).ends(),
            "known within 0.001"
        );
        assert_eq!(index(1.048, 1.045, 1.052).ends(), "1.045 to 1.052");
    }

    #[test]
    fn almost_all_is_never_written_as_all() {
        let i = percent(1.0 - 1e-6, 1.0 - 5.6e-6, 1.0 - 2.5e-8);
        assert!(
            !i.value.starts_with("100") && !i.high.starts_with("100"),
            "{i:?}"
        );
        assert!(!guarded_percent(1e-9, 0).trim_matches(['0', '.']).is_empty());
        assert_eq!(at_least(1.0 - 3.7e-6), "99.99963\u{A0}%");
        assert!(!at_least(1.0).starts_with("100"));
    }

    #[test]
    fn nothing_seen_is_a_bound_rounded_up() {
        assert_eq!(fewer_than(3.689e-6), "fewer than 4 in a million");
        assert_eq!(fewer_than(3.689e-3), "fewer than 3\u{202F}700 in a million");
        assert_eq!(fewer_than(3.689e-9), "fewer than 4 in a thousand million");
        assert_eq!(fewer_than(4.1e-16), "fewer than 1 in 2\u{A0}×\u{A0}10¹⁵");
        assert_eq!(fewer_than(0.975), "fewer than 98\u{A0}%");
        assert_eq!(fewer_than(0.0), fewer_than(1.2e-16));
    }

    #[test]
    fn wide_ends_are_rounded_outwards_and_never_to_certainty() {
        let ends = |low, high| outward_percent(low, high).join(" ");
        assert_eq!(ends(0.931_24, 0.988_71), "93.1 98.9");
        assert_eq!(ends(0.931, 0.989), "93.1 98.9");
        assert_eq!(ends(0.3, 0.9), "30 90");
        assert_eq!(ends(0.9, 0.999_96), "90.000 99.996");
        assert_eq!(ends(0.000_4, 0.2), "0.04 20.00");
        assert_eq!(ends(0.0, 1.0), "0 100");
    }

    #[test]
    fn parts_are_counted_per_thousand_or_per_million() {
        assert_eq!(
            rate(12_310, 1_000_000, (0.012_31, 0.012_10, 0.012_53), 0.95),
            "12.3 in 1\u{202F}000 (12.1 to 12.5)"
        );
        assert!(rate(310, 1_000_000, (3.1e-4, 2.8e-4, 3.5e-4), 0.95).contains("in a million"));
        assert!(rate(0, 3, (0.0, 0.0, 0.7076), 0.95).starts_with("fewer than 71"));
        assert!(rate(1, 3, (1.0 / 3.0, 0.0084, 0.9057), 0.95).contains('%'));
    }

    #[test]
    fn a_share_reads_right_at_none_some_and_all() {
        assert_eq!(
            share(0, 1_000_000, (0.0, 0.0, 3.689e-6), 0.95),
            "fewer than 4 in a million (95\u{A0}%)"
        );
        assert!(share(10, 10, (1.0, 0.6915, 1.0), 0.95).starts_with("all seen, at least 69"));
        assert!(share(200, 1_000_000, (2e-4, 1.73e-4, 2.3e-4), 0.95).contains("200 in a million"));
    }
}
