//! Standard shaft ends by name: nominal sizes of a cone that a scenario need not state.
//!
//! The standards themselves were not read. Each row says whether its sizes come from a page that quotes the standard or
//! are recalled; both are a start for a scenario, not a substitute for the drawing.

use crate::problem::escape::quoted;
use crate::problem::id;
use crate::scenario::walk::Section;

/// Where a gauge plane lies on a flank.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Plane {
    /// At its large end.
    LargeEnd,
    /// At its small end.
    SmallEnd,
    /// Behind its large end by a distance (mm).
    Behind(f64),
}

impl Plane {
    /// The axial position on a flank from its large end to its small end (mm).
    pub(crate) fn on(self, (large, small): (f64, f64)) -> f64 {
        match self {
            Plane::LargeEnd => large,
            Plane::SmallEnd => small,
            Plane::Behind(distance) => large + distance,
        }
    }
}

/// Nominal sizes of a cone on one part.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Gauge {
    /// Where the diameter is stated.
    pub(crate) plane: Plane,
    /// Diameter there (mm).
    pub(crate) diameter_mm: f64,
}

/// A standard shaft end.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct End {
    /// Name, for example `ISO/R 775 30 mm`.
    pub(crate) name: String,
    /// Taper in words, for example `1:10`.
    pub(crate) taper: &'static str,
    /// Half-angle (rad).
    pub(crate) half_angle: f64,
    /// The shaft's cone.
    pub(crate) shaft: Gauge,
    /// The hub's bore.
    pub(crate) hub: Gauge,
    /// Length of the shaft's cone (mm), where it is known.
    pub(crate) length_mm: Option<f64>,
    /// How the sizes are known.
    pub(crate) known: &'static str,
}

impl End {
    /// The name and how its sizes are known, for a report.
    pub(crate) fn in_words(&self) -> String {
        format!("{}, {}", self.name, self.known)
    }
}

const QUOTED: &str = "sizes from a page that quotes the standard";
const RECALLED: &str = "sizes recalled, not read in the standard";

const INCH: f64 = 25.4;

/// Families of shaft ends: the words before the size, and the sizes in short.
const FAMILIES: [(&str, &str); 5] = [
    ("ISO/R 775", "\"ISO/R 775 14 mm\" to \"ISO/R 775 100 mm\""),
    ("SAE J755", "\"SAE J755 0.75 in\" to \"SAE J755 8 in\""),
    ("SAE J501", "\"SAE J501 1 in\""),
    ("Morse", "\"Morse 0\" to \"Morse 6\""),
    ("7:24", "\"7:24 30\" to \"7:24 50\""),
];

/// ISO/R 775, long series, 1:10: diameter at the shoulder end of the cone and length of the cone (mm). Recalled.
const ISO_R_775: [(&str, f64, f64); 14] = [
    ("14 mm", 14.0, 18.0),
    ("16 mm", 16.0, 28.0),
    ("20 mm", 20.0, 36.0),
    ("24 mm", 24.0, 36.0),
    ("28 mm", 28.0, 42.0),
    ("30 mm", 30.0, 58.0),
    ("35 mm", 35.0, 58.0),
    ("40 mm", 40.0, 82.0),
    ("45 mm", 45.0, 82.0),
    ("50 mm", 50.0, 82.0),
    ("60 mm", 60.0, 105.0),
    ("70 mm", 70.0, 105.0),
    ("80 mm", 80.0, 130.0),
    ("100 mm", 100.0, 165.0),
];

/// SAE J755, propeller shaft ends, 1:16 up to 5.5 in: shaft diameter, length of the taper, and diameter of the hub at
/// its small end (in). The shaft is sized at its small end, `D - A/16`. From a page that quotes the table.
const SAE_J755: [(&str, f64, f64, f64); 8] = [
    ("0.75 in", 0.75, 2.0, 0.609),
    ("1 in", 1.0, 2.75, 0.813),
    ("1.5 in", 1.5, 4.25, 1.219),
    ("2 in", 2.0, 5.75, 1.625),
    ("2.5 in", 2.5, 7.25, 2.031),
    ("3 in", 3.0, 8.625, 2.438),
    ("4 in", 4.0, 11.625, 3.250),
    ("5 in", 5.0, 12.0, 4.219),
];

/// SAE J755 above 5.5 in, 1:12: shaft diameters (in). Taper from a page that quotes the standard, sizes recalled, lengths not
/// known: the shaft states its flank, and the diameter is that at its large end.
const SAE_J755_LARGE: [(&str, f64); 5] = [
    ("6 in", 6.0),
    ("6.5 in", 6.5),
    ("7 in", 7.0),
    ("7.5 in", 7.5),
    ("8 in", 8.0),
];

/// Morse tapers, ISO 296: gauge diameter at the large end (mm), taper (in per foot), the same in words, length (in).
/// Tapers 1 to 4 from pages that quote the standard; 0, 5 and 6 recalled.
const MORSE: [(&str, f64, f64, &str, f64, &str); 7] = [
    ("0", 9.045, 0.62460, "1:19.212", 2.0, RECALLED),
    ("1", 12.065, 0.59858, "1:20.047", 2.125, QUOTED),
    ("2", 17.780, 0.59941, "1:20.020", 2.5625, QUOTED),
    ("3", 23.825, 0.60235, "1:19.922", 3.1875, QUOTED),
    ("4", 31.267, 0.62326, "1:19.254", 4.0625, QUOTED),
    ("5", 44.399, 0.63151, "1:19.002", 5.1875, RECALLED),
    ("6", 63.348, 0.62565, "1:19.180", 7.25, RECALLED),
];

/// Steep tapers 7:24, ISO 7388: gauge diameter at the large end and length of the cone (mm). Recalled.
const STEEP: [(&str, f64, f64); 4] = [
    ("30", 31.75, 47.8),
    ("40", 44.45, 68.4),
    ("45", 57.15, 82.7),
    ("50", 69.85, 101.75),
];

/// An end whose shaft and hub are sized at the large end by the same diameter.
fn large_end(name: String, taper: (&'static str, f64), diameter_mm: f64, length_mm: f64) -> End {
    let gauge = Gauge {
        plane: Plane::LargeEnd,
        diameter_mm,
    };
    End {
        name,
        taper: taper.0,
        half_angle: libm::atan(0.5 * taper.1),
        shaft: gauge,
        hub: gauge,
        length_mm: Some(length_mm),
        known: RECALLED,
    }
}

/// Every shaft end.
pub(crate) fn all() -> Vec<End> {
    let [iso, propeller, output, morse, steep] = FAMILIES.map(|(family, _)| family);
    let named = |family: &str, size: &str| format!("{family} {size}");
    let mut all = Vec::new();
    for (size, diameter, length) in ISO_R_775 {
        all.push(large_end(
            named(iso, size),
            ("1:10", 1.0 / 10.0),
            diameter,
            length,
        ));
    }
    for (size, diameter, length, hub) in SAE_J755 {
        let at = |diameter: f64| Gauge {
            plane: Plane::SmallEnd,
            diameter_mm: diameter * INCH,
        };
        all.push(End {
            shaft: at(diameter - length / 16.0),
            hub: at(hub),
            known: QUOTED,
            ..large_end(
                named(propeller, size),
                ("1:16", 1.0 / 16.0),
                diameter,
                length * INCH,
            )
        });
    }
    for (size, diameter) in SAE_J755_LARGE {
        let name = named(propeller, size);
        all.push(End {
            length_mm: None,
            ..large_end(name, ("1:12", 1.0 / 12.0), diameter * INCH, 0.0)
        });
    }
    all.push(sae_j501(named(output, "1 in")));
    for (size, diameter, per_foot, taper, length, known) in MORSE {
        let taper = (taper, per_foot / 12.0);
        all.push(End {
            known,
            ..large_end(named(morse, size), taper, diameter, length * INCH)
        });
    }
    for (size, diameter, length) in STEEP {
        all.push(large_end(
            named(steep, size),
            ("7:24", 7.0 / 24.0),
            diameter,
            length,
        ));
    }
    all
}

/// SAE J501, 1 in, 1:8: 22.225 mm at the gauge plane, from a page that quotes the standard. The plane lies where a cone
/// that begins with the shaft's 25.4 mm has that diameter, 8 x 3.175 mm behind its large end; the length is not known.
fn sae_j501(name: String) -> End {
    let gauge = Gauge {
        plane: Plane::Behind(8.0 * (INCH - 22.225)),
        diameter_mm: 22.225,
    };
    End {
        shaft: gauge,
        hub: gauge,
        length_mm: None,
        known: QUOTED,
        ..large_end(name, ("1:8", 1.0 / 8.0), INCH, 0.0)
    }
}

/// Small letters, and one blank for many.
fn folded(text: &str) -> String {
    let words: Vec<_> = text.split_whitespace().collect();
    words.join(" ").to_lowercase()
}

/// The end that the key `end` names, where it is stated; the inner `None` when the name is not known.
pub(crate) fn stated(section: &Section<'_, '_>) -> Option<Option<End>> {
    if !section.has("end") {
        return None;
    }
    let Some(typed) = section.text("end") else {
        return Some(None);
    };
    let all = all();
    if let Some(end) = all.iter().find(|end| folded(&end.name) == folded(typed)) {
        return Some(Some(end.clone()));
    }
    let (expected, hint) = near(typed, &all);
    section.bad(&id::WORD, "end", &quoted(typed), &expected, &hint);
    Some(None)
}

/// What is expected instead of a name that is not known, and the nearest name.
fn near(typed: &str, all: &[End]) -> (String, String) {
    let typed: String = folded(typed).chars().take(64).collect();
    let family = FAMILIES
        .iter()
        .find_map(|(family, _)| Some((*family, typed.strip_prefix(&family.to_lowercase())?)));
    let (expected, nearest) = match family {
        Some((family, size)) => near_size(family, size, all),
        None => near_name(&typed, all),
    };
    let hint = nearest.map_or_else(
        || "state gauge_diameter, gauge_plane, flank and taper of another end".to_owned(),
        |end| format!("did you mean {}?", quoted(&end.name)),
    );
    (expected, hint)
}

/// The sizes of a family, and the end of the nearest size.
fn near_size<'e>(family: &str, typed: &str, all: &'e [End]) -> (String, Option<&'e End>) {
    let sizes: Vec<_> = all
        .iter()
        .filter_map(|end| Some((end, end.name.strip_prefix(family)?.trim_start())))
        .collect();
    let number = |size: &str| -> Option<f64> { size.split_whitespace().next()?.parse().ok() };
    let distance = |size: &str| -> Option<f64> { Some(libm::fabs(number(size)? - number(typed)?)) };
    let nearest = sizes
        .iter()
        .filter_map(|(end, size)| Some((distance(size)?, *end)))
        .min_by(|(a, _), (b, _)| a.total_cmp(b));
    let shown: Vec<_> = sizes.iter().map(|(_, size)| *size).collect();
    let expected = format!("{family} in one of its sizes: {}", shown.join(", "));
    (expected, nearest.map(|(_, end)| end))
}

/// The families, and the end of the nearest name.
fn near_name<'e>(typed: &str, all: &'e [End]) -> (String, Option<&'e End>) {
    let nearest = all
        .iter()
        .map(|end| {
            let distance = strsim::damerau_levenshtein(&folded(&end.name), typed);
            (distance, end)
        })
        .filter(|&(distance, end)| distance <= end.name.len() / 3)
        .min_by_key(|&(distance, _)| distance);
    let families: Vec<_> = FAMILIES.iter().map(|(_, words)| *words).collect();
    let expected = format!("a shaft end by its name: {}", families.join(", "));
    (expected, nearest.map(|(_, end)| end))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_name_is_found_by_itself_once_and_belongs_to_a_family() {
        let all = all();
        assert_eq!(all.len(), 39);
        for end in &all {
            let same = all.iter().filter(|e| folded(&e.name) == folded(&end.name));
            assert_eq!(same.count(), 1, "{}", end.name);
            let mut families = FAMILIES.iter();
            assert!(families.any(|(family, _)| end.name.starts_with(family)));
        }
    }

    #[test]
    fn the_words_of_every_taper_are_its_rate() {
        for end in all() {
            let (one, many) = end.taper.split_once(':').unwrap();
            let rate = one.parse::<f64>().unwrap() / many.parse::<f64>().unwrap();
            let error = 2.0 * libm::tan(end.half_angle) / rate - 1.0;
            assert!(error.abs() < 3e-5, "{}: {error}", end.name);
        }
    }

    #[test]
    fn wrong_names_are_told_the_near_ones() {
        let all = all();
        let (expected, hint) = near("SAE J755 9 in", &all);
        assert!(expected.contains("4 in, 5 in"), "{expected}");
        assert!(hint.contains("\"SAE J755 8 in\""), "{hint}");
        let (expected, hint) = near("ISO 775 30 mm", &all);
        assert!(
            expected.contains("Morse 0") && hint.contains("\"ISO/R 775 30 mm\""),
            "{hint}"
        );
        assert!(
            near("a plain journal", &all)
                .1
                .starts_with("state gauge_diameter")
        );
    }
}
