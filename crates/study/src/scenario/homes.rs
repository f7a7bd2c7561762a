//! Where a key belongs that was written into another table.

/// The table in which a key belongs, for keys that stand in one table only.
pub(crate) fn home(key: &str) -> Option<&'static str> {
    const HOMES: [(&str, &[&str]); 10] = [
        (
            "run",
            &[
                "pairings",
                "until",
                "seed",
                "confidence",
                "target_yield",
                "outputs",
            ],
        ),
        ("joint", &["seat", "elastic_law", "runout_radius"]),
        ("teeth", &["count", "flank_half_angle", "engaged_length"]),
        ("temperature", &["assembly", "service"]),
        ("shaft", &["bore_diameter", "tooth_thickness"]),
        ("hub", &["space_width"]),
        ("spacer", &["thickness", "inside_diameter", "settling"]),
        (
            "contact",
            &[
                "friction",
                "smoothing",
                "blue_film",
                "face_friction",
                "face_radius",
            ],
        ),
        (
            "bolt",
            &[
                "size",
                "pitch",
                "torque",
                "nut_factor",
                "thread_friction",
                "head_friction",
                "head_diameter",
                "property_class",
                "yield_strength",
                "head_at",
                "thread_at",
            ],
        ),
        ("bolt.torque.process", &["tightening_factor", "at_sds"]),
    ];
    HOMES
        .iter()
        .find(|(_, keys)| keys.contains(&key))
        .map(|(table, _)| *table)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn homes_are_given_only_for_keys_of_one_table() {
        assert_eq!(home("torque"), Some("bolt"));
        assert_eq!(home("material"), None);
    }
}
