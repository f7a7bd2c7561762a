//! The scenario as a record shows it: sizes, processes and subject in the units of a drawing.

use fit::Input;
use record::Basis;

use crate::plan;
use crate::scenario::{Characteristic, Cone, Give, Scenario, Shown};

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

/// The joint at its nominal sizes.
pub fn joint(scenario: &Scenario) -> record::Joint {
    let (shaft, hub, bolt) = (&scenario.shaft, &scenario.hub, &scenario.bolt);
    record::Joint {
        seat: "cone".to_owned(),
        elastic_law: "rings".to_owned(),
        shaft: record::Shaft {
            material: shaft.material.name.clone(),
            modulus_mpa: shaft.material.modulus_mpa,
            poisson: shaft.material.poisson,
            end: None,
            bore_diameter_mm: shaft.bore_diameter_mm,
            cone: Some(cone(&shaft.cone)),
            spline: None,
        },
        hub: record::Hub {
            material: hub.material.name.clone(),
            modulus_mpa: hub.material.modulus_mpa,
            poisson: hub.material.poisson,
            end: None,
            outside_diameter_mm: Some(hub.outside_diameter_mm),
            cone: Some(cone(&hub.cone)),
            spline: None,
        },
        teeth: None,
        spacer: spacer(scenario),
        bolt: record::Bolt {
            size: bolt.size.clone(),
            diameter_mm: bolt.diameter_mm,
            torque_nm: bolt.torque.nominal * 1e-3,
            pitch_mm: None,
            head_diameter_mm: None,
            property_class: None,
            yield_strength_mpa: None,
            stiffness_n_per_mm: None,
        },
        friction: scenario.contact.friction.nominal,
        smoothing_mm: Some(scenario.contact.smoothing_mm),
        blue_film_mm: Some(scenario.contact.blue_film_mm),
        face_radius_mm: None,
        runout_radius_mm: None,
        temperature: None,
    }
}

fn cone(cone: &Cone) -> record::Cone {
    record::Cone {
        flank_mm: [cone.large_end_mm, cone.small_end_mm],
        gauge_plane_mm: cone.gauge_plane.nominal,
        gauge_diameter_mm: cone.gauge_diameter.nominal,
        half_angle_deg: cone.half_angle.nominal.to_degrees(),
        taper_stated: cone.taper_stated.clone(),
    }
}

fn spacer(scenario: &Scenario) -> record::Spacer {
    let thickness_mm = scenario.spacer.thickness.nominal;
    let (outside_diameter_mm, inside_diameter_mm) = match &scenario.spacer.give {
        Give::Ring {
            outside_mm,
            inside_mm,
            ..
        } => (Some(*outside_mm), Some(*inside_mm)),
        Give::Rigid | Give::Stiffness(_) => (None, None),
    };
    let stiffness_n_per_mm = match plan::joint_sizes(scenario).spacer {
        fit::Spacer::Rigid => None,
        fit::Spacer::Stiffness(k) => Some(k),
        fit::Spacer::Ring(ea) => Some(ea / thickness_mm),
    };
    record::Spacer {
        thickness_mm,
        outside_diameter_mm,
        inside_diameter_mm,
        stiffness_n_per_mm,
    }
}

/// Every characteristic, in the order of the inputs.
pub fn characteristics(scenario: &Scenario) -> Vec<record::Characteristic> {
    plan::characteristics(scenario)
        .into_iter()
        .map(|(input, c)| characteristic(words(input), c))
        .collect()
}

/// The words for a reader.
pub fn words(input: Input) -> &'static str {
    match input {
        Input::MalePlane => "shaft gauge plane",
        Input::MaleSize => "shaft gauge diameter",
        Input::MaleHalfAngle => "shaft half-angle",
        Input::FemalePlane => "hub gauge plane",
        Input::FemaleSize => "hub gauge diameter",
        Input::FemaleHalfAngle => "hub half-angle",
        Input::Thickness => "spacer thickness",
        Input::Friction => "friction on the cone",
        Input::Torque => "tightening torque",
        Input::NutFactor => "nut factor",
        Input::ThreadFriction => "friction in the thread",
        Input::HeadFriction => "friction under the head",
        Input::FaceFriction => "friction at the pinched faces",
        Input::FaceSettling => "settling of the spacer's faces",
        Input::BoltSettling => "settling at head and thread",
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
