//! The units that a scenario may use, and what they measure.

/// What a unit measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Measure {
    /// Length, inside in mm.
    Length,
    /// Angle, inside in rad.
    Angle,
    /// Force, inside in N.
    Force,
    /// Torque, inside in N·mm.
    Torque,
    /// Stress or modulus, inside in MPa.
    Stress,
    /// Axial stiffness, inside in N/mm.
    Stiffness,
    /// Stiffness of a tooth pair per length, inside in N/mm per mm.
    ToothStiffness,
    /// Linear thermal expansion, inside in 1/K.
    Expansion,
    /// Temperature, inside in degrees Celsius.
    Temperature,
    /// Parts in a hundred, inside as a fraction.
    Percent,
    /// A rate as `1:20`, inside as a fraction.
    Rate,
    /// A plain number.
    Plain,
}

impl Measure {
    /// The words for a message.
    pub(crate) const fn words(self) -> &'static str {
        match self {
            Measure::Length => "a length",
            Measure::Angle => "an angle",
            Measure::Force => "a force",
            Measure::Torque => "a torque",
            Measure::Stress => "a stress",
            Measure::Stiffness => "a stiffness",
            Measure::ToothStiffness => "a stiffness of teeth",
            Measure::Expansion => "a thermal expansion",
            Measure::Temperature => "a temperature",
            Measure::Percent => "a percentage",
            Measure::Rate => "a rate of taper",
            Measure::Plain => "a plain number",
        }
    }

    /// The usual unit, for an example.
    pub(crate) const fn usual(self) -> &'static str {
        match self {
            Measure::Length => "mm",
            Measure::Angle => "deg",
            Measure::Force => "N",
            Measure::Torque => "N*m",
            Measure::Stress => "MPa",
            Measure::Stiffness => "N/um",
            Measure::ToothStiffness => "N/(mm*um)",
            Measure::Expansion => "um/m/K",
            Measure::Temperature => "degC",
            Measure::Percent => "%",
            Measure::Rate | Measure::Plain => "",
        }
    }

    /// The units that are read, for a message.
    pub(crate) fn units(self) -> String {
        let names: Vec<_> = UNITS
            .iter()
            .filter(|u| u.measure == self)
            .map(|u| u.name)
            .collect();
        names.join(", ")
    }
}

/// A unit and the way to the unit of the inside: `value * times / over`, so that decimal units stay exact.
#[derive(Debug, PartialEq)]
pub(crate) struct Unit {
    /// Main name.
    pub(crate) name: &'static str,
    /// Other names.
    pub(crate) also: &'static [&'static str],
    /// What it measures.
    pub(crate) measure: Measure,
    /// Factor to the unit of the inside.
    pub(crate) times: f64,
    /// Divisor to the unit of the inside.
    pub(crate) over: f64,
}

/// Half a turn.
pub(crate) const PI: f64 = std::f64::consts::PI;

const fn unit(
    name: &'static str,
    also: &'static [&'static str],
    measure: Measure,
    times: f64,
    over: f64,
) -> Unit {
    Unit {
        name,
        also,
        measure,
        times,
        over,
    }
}

/// Every unit.
pub(crate) const UNITS: &[Unit] = &[
    unit("mm", &[], Measure::Length, 1.0, 1.0),
    unit("um", &["\u{b5}m", "\u{3bc}m"], Measure::Length, 1.0, 1000.0),
    unit("cm", &[], Measure::Length, 10.0, 1.0),
    unit("m", &[], Measure::Length, 1000.0, 1.0),
    unit("in", &[], Measure::Length, 25.4, 1.0),
    unit("deg", &["\u{b0}"], Measure::Angle, PI, 180.0),
    unit("arcmin", &[], Measure::Angle, PI, 10_800.0),
    unit("arcsec", &[], Measure::Angle, PI, 648_000.0),
    unit("rad", &[], Measure::Angle, 1.0, 1.0),
    unit("mrad", &[], Measure::Angle, 1.0, 1000.0),
    unit(
        "urad",
        &["\u{b5}rad", "\u{3bc}rad"],
        Measure::Angle,
        1.0,
        1.0e6,
    ),
    unit("N", &[], Measure::Force, 1.0, 1.0),
    unit("kN", &[], Measure::Force, 1000.0, 1.0),
    unit(
        "N*m",
        &["N m", "Nm", "N\u{b7}m", "N\u{22c5}m"],
        Measure::Torque,
        1000.0,
        1.0,
    ),
    unit("MPa", &[], Measure::Stress, 1.0, 1.0),
    unit("GPa", &[], Measure::Stress, 1000.0, 1.0),
    unit(
        "N/mm2",
        &["N/mm\u{b2}", "N/mm^2"],
        Measure::Stress,
        1.0,
        1.0,
    ),
    unit("N/mm", &[], Measure::Stiffness, 1.0, 1.0),
    unit(
        "N/um",
        &["N/\u{b5}m", "N/\u{3bc}m"],
        Measure::Stiffness,
        1000.0,
        1.0,
    ),
    unit("kN/mm", &[], Measure::Stiffness, 1000.0, 1.0),
    unit(
        "N/(mm*um)",
        &[
            "N/(mm\u{b7}um)",
            "N/(mm\u{b7}\u{b5}m)",
            "N/(mm\u{b7}\u{3bc}m)",
            "N/(mm*\u{b5}m)",
            "N/(mm*\u{3bc}m)",
            "N/(mm um)",
            "N/mm/um",
        ],
        Measure::ToothStiffness,
        1000.0,
        1.0,
    ),
    unit(
        "um/m/K",
        &[
            "\u{b5}m/m/K",
            "\u{3bc}m/m/K",
            "um/(m*K)",
            "\u{b5}m/(m*K)",
            "\u{3bc}m/(m*K)",
            "um/(m\u{b7}K)",
            "\u{b5}m/(m\u{b7}K)",
            "\u{3bc}m/(m\u{b7}K)",
            "um/(m K)",
        ],
        Measure::Expansion,
        1.0,
        1.0e6,
    ),
    unit("1/K", &["/K"], Measure::Expansion, 1.0, 1.0),
    unit(
        "degC",
        &["\u{b0}C", "\u{2103}"],
        Measure::Temperature,
        1.0,
        1.0,
    ),
    unit("%", &[], Measure::Percent, 1.0, 100.0),
];
