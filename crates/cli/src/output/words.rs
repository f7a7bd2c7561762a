//! The trade's words for what a record states by key.

pub use report::Seat;

use super::plain::plain;

/// A verdict in words.
pub fn verdict(key: &str, seat: Seat) -> String {
    match key {
        "good" => "good",
        "cones_free" if seat == Seat::Teeth => "teeth free (the hub is loose on them)",
        "seat_low" if seat == Seat::Teeth => "seat load too low",
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
pub fn broken_limit(name: &str, seat: Seat) -> String {
    match name.rsplit_once('.') {
        Some((output, "min")) => format!("{} below its minimum", spaced(output)),
        Some((output, "max")) => format!("{} above its maximum", spaced(output)),
        _ => verdict(name, seat),
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
        "gap" => "play of the spacer".to_owned(),
        "runout" => "runout of a rocking hub".to_owned(),
        "tooth_load_share" => "load share of the most loaded tooth".to_owned(),
        "self_locking_margin" => "self-locking margin".to_owned(),
        other => {
            let words = match (
                other.strip_prefix("settled_"),
                other.strip_prefix("service_"),
            ) {
                (Some(rest), _) => format!("{rest} after settling"),
                (_, Some(rest)) => format!("{rest} in service"),
                _ => other.to_owned(),
            };
            plain(&words.replace('_', " "))
        }
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
        assert_eq!(output("gap_mm"), ("play of the spacer".to_owned(), "mm"));
        assert_eq!(
            output("service_clamp_load_n"),
            ("clamp load in service".to_owned(), "N")
        );
    }

    #[test]
    fn broken_limits_say_their_side() {
        assert_eq!(
            broken_limit("clamp_load.min", Seat::Cone),
            "clamp load below its minimum"
        );
        assert_eq!(
            broken_limit("bore_stress.max", Seat::Cone),
            "bore stress above its maximum"
        );
        assert_eq!(
            broken_limit("gap_left", Seat::Cone),
            "gap left at the spacer"
        );
        assert_eq!(
            broken_limit("cones_free", Seat::Teeth),
            "teeth free (the hub is loose on them)"
        );
    }
}
