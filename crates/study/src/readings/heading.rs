//! The heading of a column: a name, and a unit in brackets or behind the last underscore.

/// A heading.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Heading {
    /// Name without the unit in brackets.
    pub(super) name: String,
    /// The unit, where it states one.
    pub(super) unit: Option<String>,
}

/// Units that may stand behind the last underscore of a name.
const SUFFIXES: [&str; 12] = [
    "mm", "um", "m", "cm", "in", "mil", "deg", "arcmin", "arcsec", "rad", "mrad", "urad",
];

/// Reads a heading: `gauge_diameter [mm]`, `gauge_diameter (mm)`, `gauge_diameter_mm`, or a name alone.
pub(super) fn read(cell: &str) -> Heading {
    for (open, close) in [('[', ']'), ('(', ')')] {
        if let Some((name, unit)) = cell
            .strip_suffix(close)
            .and_then(|rest| rest.rsplit_once(open))
            && !name.trim().is_empty()
        {
            return Heading {
                name: name.trim().to_owned(),
                unit: Some(unit.trim().replace('μ', "µ")).filter(|unit| !unit.is_empty()),
            };
        }
    }
    let suffix = cell.rsplit_once('_').map(|(_, suffix)| suffix);
    Heading {
        name: cell.to_owned(),
        unit: suffix.filter(|s| SUFFIXES.contains(s)).map(str::to_owned),
    }
}

/// Whether a heading is that of a serial number.
pub(super) fn is_serial(name: &str) -> bool {
    const SERIAL: [&str; 6] = ["name", "serial", "part", "serial_no", "serial number", "id"];
    SERIAL.contains(&name.to_lowercase().as_str())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_stand_in_brackets_or_behind_the_last_underscore() {
        for (cell, name, unit) in [
            ("gauge_diameter [mm]", "gauge_diameter", Some("mm")),
            ("Bohrung (µm)", "Bohrung", Some("µm")),
            ("cone_angle_deg", "cone_angle_deg", Some("deg")),
            ("gauge_plane", "gauge_plane", None),
            ("friction []", "friction", None),
            ("[mm]", "[mm]", None),
        ] {
            let expected = Heading {
                name: name.to_owned(),
                unit: unit.map(str::to_owned),
            };
            assert_eq!(read(cell), expected, "{cell}");
        }
    }
}
