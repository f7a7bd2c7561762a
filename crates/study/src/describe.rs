//! The scenario as a record shows it: processes and subject in the units of a drawing. The joint: [`crate::depict`].

use record::Basis;

use crate::scenario::{Characteristic, Scenario, Shown};

/// Points of the small density pictures.
const DENSITY_POINTS: usize = 61;

impl Shown {
    /// Unit of the shown value; empty for a plain ratio.
    pub fn unit(self) -> &'static str {
        match self {
            Shown::Millimetre => "mm",
            Shown::HalfAngleDegree => "deg",
            Shown::NewtonMetre => "N*m",
            Shown::Ratio => "",
        }
    }

    /// The shown value of one in the units of the inside.
    pub fn show(self, inside: f64) -> f64 {
        inside * self.factor()
    }

    fn factor(self) -> f64 {
        match self {
            Shown::Millimetre | Shown::Ratio => 1.0,
            Shown::HalfAngleDegree => 180.0 / std::f64::consts::PI,
            Shown::NewtonMetre => 1e-3,
        }
    }
}

/// What the scenario is about.
pub fn subject(scenario: &Scenario) -> record::Subject {
    let subject = &scenario.subject;
    record::Subject {
        title: subject.title.clone(),
        drawings: subject.drawings.clone(),
        supplier: subject.supplier.clone(),
        lot: subject.lot.clone(),
        notes: subject.notes.clone(),
    }
}

/// Every characteristic.
pub fn characteristics(scenario: &Scenario) -> Vec<record::Characteristic> {
    let all = scenario.characteristics().into_iter();
    let teeth = scenario.cones().is_none();
    let words = |path| match path {
        "contact.friction" if teeth => "friction on the teeth",
        path => words(path),
    };
    all.map(|c| characteristic(words(c.path), c)).collect()
}

/// The words for a reader.
pub fn words(path: &str) -> &str {
    match path {
        "shaft.gauge_plane" => "shaft gauge plane",
        "shaft.gauge_diameter" => "shaft gauge diameter",
        "shaft.half_angle" => "shaft half-angle",
        "shaft.tooth_thickness" => "shaft tooth thickness",
        "shaft.index_error" => "shaft index error",
        "shaft.profile_error" => "shaft profile error",
        "hub.gauge_plane" => "hub gauge plane",
        "hub.gauge_diameter" => "hub gauge diameter",
        "hub.half_angle" => "hub half-angle",
        "hub.space_width" => "hub space width",
        "hub.index_error" => "hub index error",
        "hub.profile_error" => "hub profile error",
        "teeth.flank_half_angle" => "flank half-angle",
        "spacer.thickness" => "spacer thickness",
        "spacer.settling" => "settling of the spacer's faces",
        "contact.friction" => "friction on the cone",
        "contact.face_friction" => "friction at the pinched faces",
        "bolt.torque" => "tightening torque",
        "bolt.nut_factor" => "nut factor",
        "bolt.thread_friction" => "friction in the thread",
        "bolt.head_friction" => "friction under the head",
        "bolt.settling" => "settling at head and thread",
        other => other,
    }
}

fn characteristic(words: &str, c: &Characteristic) -> record::Characteristic {
    let show = |value: f64| c.shown_in.show(value);
    record::Characteristic {
        path: c.path.to_owned(),
        words: words.to_owned(),
        unit: c.shown_in.unit().to_owned(),
        nominal: show(c.nominal),
        lower: c.lower.map(show),
        upper: c.upper.map(show),
        class: c.class.clone(),
        process: process(c),
    }
}

fn process(c: &Characteristic) -> record::Process {
    let show = |value: f64| c.shown_in.show(value);
    let process = &c.process;
    let (low, middle, high) = (
        process.quantile(0.001_35),
        process.quantile(0.5),
        process.quantile(0.998_65),
    );
    let indices = (!process.is_constant()).then_some(()).and_then(|()| {
        let upper = c.upper.map(|upper| (upper - middle) / (high - middle));
        let lower = c.lower.map(|lower| (middle - lower) / (middle - low));
        let both = c
            .lower
            .zip(c.upper)
            .map(|(lower, upper)| (upper - lower) / (high - low));
        let worse = [upper, lower].into_iter().flatten().reduce(f64::min)?;
        Some((both, worse))
    });
    record::Process {
        shape: process.shape_name().to_owned(),
        stated: c.stated.clone(),
        basis: Basis::Assumed,
        mean: show(process.mean()),
        sd: show(process.sd()),
        p0_135: show(low),
        p50: show(middle),
        p99_865: show(high),
        share_below: c.lower.map(|lower| process.below(lower)),
        share_above: c.upper.map(|upper| process.above(upper)),
        cp: indices.and_then(|(both, _)| both),
        cpk: indices.map(|(_, worse)| worse),
        pp: None,
        ppk: None,
        sd_within: None,
        slow: vec![],
        readings: None,
        density: density(c),
    }
}

/// Points of the density from the 0.05 % to the 99.95 % quantile, per shown unit.
fn density(c: &Characteristic) -> Vec<[f64; 2]> {
    let Some(shape) = c.process.shape() else {
        return Vec::new();
    };
    let (from, to) = (shape.quantile(5e-4), shape.upper_quantile(5e-4));
    let factor = c.shown_in.show(1.0);
    (0..DENSITY_POINTS)
        .map(|i| {
            let x = from + (to - from) * i as f64 / (DENSITY_POINTS - 1) as f64;
            [c.shown_in.show(x), shape.density(x) / factor]
        })
        .collect()
}
