//! The trade's words for what a record states by key.

use super::plain::plain;

/// A verdict in words.
pub fn verdict(key: &str) -> String {
    match key {
        "good" => "good",
        "gap_left" => "gap left at the spacer",
        "clamp_low" => "clamp load too low",
        "cones_free" => "cones free (the hub can rock)",
        "seat_low" => "seat load or slip torque too low",
        "contact_low" => "contact too small",
        "bore_overstressed" => "hub bore over-stressed",
        "position_out" => "axial position out of limits",
        "other_limit" => "another limit broken",
        "never_seats" => "never seats",
        other => return plain(other),
    }
    .to_owned()
}

/// A broken limit in words: `clamp_load.min` becomes `clamp load below its minimum`.
pub fn broken_limit(name: &str) -> String {
    match name.rsplit_once('.') {
        Some((output, "min")) => format!("{} below its minimum", spaced(output)),
        Some((output, "max")) => format!("{} above its maximum", spaced(output)),
        _ => verdict(name),
    }
}

/// A unit as people write it, and the factor that brings a value there.
pub fn unit(unit: &str) -> (f64, String) {
    match unit {
        "N" => (1e-3, "kN".to_owned()),
        "N*m" => (1.0, "N·m".to_owned()),
        "deg" => (1.0, "°".to_owned()),
        other => (1.0, plain(other)),
    }
}

/// Words and unit (as in a record) of an output's key: `closing_load_n` is the closing load in N.
pub fn output(key: &str) -> (String, &'static str) {
    let suffixes = [
        ("_nm", "N*m"),
        ("_mpa", "MPa"),
        ("_deg", "deg"),
        ("_mm", "mm"),
        ("_n", "N"),
    ];
    for (suffix, unit) in suffixes {
        if let Some(name) = key.strip_suffix(suffix) {
            return (spaced(name), unit);
        }
    }
    (spaced(key), "")
}

fn spaced(name: &str) -> String {
    match name {
        "draw_up" => "draw-up to close".to_owned(),
        "stand_off" => "stand-off".to_owned(),
        other => plain(&other.replace('_', " ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_become_words_with_units() {
        assert_eq!(output("closing_load_n"), ("closing load".to_owned(), "N"));
        assert_eq!(output("slip_torque_nm"), ("slip torque".to_owned(), "N*m"));
        assert_eq!(output("draw_up_mm"), ("draw-up to close".to_owned(), "mm"));
        assert_eq!(output("contact_share"), ("contact share".to_owned(), ""));
    }

    #[test]
    fn broken_limits_say_their_side() {
        assert_eq!(
            broken_limit("clamp_load.min"),
            "clamp load below its minimum"
        );
        assert_eq!(
            broken_limit("bore_stress.max"),
            "bore stress above its maximum"
        );
        assert_eq!(broken_limit("gap_left"), "gap left at the spacer");
    }
}
