//! The scenario as a record shows it: processes and subject in the units of a drawing. The joint: [`crate::depict`].

use record::Basis;
use sampling::Slow;

use crate::scenario::scale::short;
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
    let slow = !process.slow().is_empty();
    let overall = process.shape().map(|shape| indices(c, shape));
    let within = process.within_shape().map(|shape| indices(c, shape));
    let (pp, ppk) = overall.filter(|_| slow).unwrap_or_default();
    let (cp, cpk) = within.unwrap_or_default();
    record::Process {
        shape: process.shape_name().to_owned(),
        stated: in_micrometres(&c.stated),
        basis: match c.from_lot {
            Some(_) => Basis::Measured,
            None => Basis::Assumed,
        },
        mean: show(process.mean()),
        sd: show(process.sd()),
        p0_135: show(process.quantile(0.001_35)),
        p50: show(process.quantile(0.5)),
        p99_865: show(process.quantile(0.998_65)),
        share_below: c.lower.map(|lower| process.below(lower)),
        share_above: c.upper.map(|upper| process.above(upper)),
        cp,
        cpk,
        pp,
        ppk,
        sd_within: slow.then(|| show(process.within_sd())),
        slow: c.slow_words(),
        readings: c.from_lot.as_ref().map(|from| from.readings.len() as u64),
        density: density(c),
    }
}

/// Cp and Cpk of a distribution by its percentiles (ISO 22514-2, recalled); none where it has no spread on a side.
fn indices(c: &Characteristic, shape: &dyn distributions::Shape) -> (Option<f64>, Option<f64>) {
    let (low, middle, high) = (
        shape.quantile(0.001_35),
        shape.quantile(0.5),
        shape.quantile(0.998_65),
    );
    let finite = |index: &f64| index.is_finite();
    let upper = c
        .upper
        .map(|upper| (upper - middle) / (high - middle))
        .filter(finite);
    let lower = c
        .lower
        .map(|lower| (middle - lower) / (middle - low))
        .filter(finite);
    let both = c
        .lower
        .zip(c.upper)
        .map(|(lower, upper)| (upper - lower) / (high - low));
    let worse = [upper, lower].into_iter().flatten().reduce(f64::min);
    (both.filter(finite).filter(|_| worse.is_some()), worse)
}

impl Characteristic {
    /// What moves the mean of the process, in words.
    pub fn slow_words(&self) -> Vec<String> {
        let slow = self.process.slow().iter();
        slow.map(|slow| slow_words(self, slow)).collect()
    }
}

/// Words as typed with the unit as it is printed.
pub(crate) fn in_micrometres(typed: &str) -> String {
    typed.replace(" um", " µm")
}

fn slow_words(c: &Characteristic, slow: &Slow) -> String {
    let unit = c.shown_in.unit();
    let (factor, unit) = if unit == "mm" {
        (1e3, "µm")
    } else {
        (1.0, unit)
    };
    let shown = |value: f64| {
        let text = format!("{} {unit}", short(c.shown_in.show(value) * factor));
        text.trim_end().to_owned()
    };
    match *slow {
        Slow::Lots { sd, size } => format!("lot means with sd {}, lots of {size}", shown(sd)),
        Slow::Wear { ramp, parts } => {
            format!(
                "wear of {} in {parts} parts, from tool change to tool change",
                shown(ramp)
            )
        }
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
