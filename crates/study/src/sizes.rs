//! The sizes of the joint that a scenario states, as the solver wants them.

use fit::fastener::{StressPerLoad, TorquePerLoad};
use fit::{
    BoltSizes, BoltStress, ConeSizes, Growth, Input, JointSizes, Service, SplineSizes,
    TANGENT_REACH_RAD, Turn,
};

use crate::inputs;
use crate::scenario::{
    Characteristic, Cones, Give, Material, Scenario, Seat, Spline, Temperature, Tightening,
};

/// Temperature at which sizes are stated (°C): ISO 1.
const REFERENCE: f64 = 20.0;

/// The sizes of the joint that a scenario states.
pub fn joint_sizes(scenario: &Scenario) -> JointSizes {
    JointSizes {
        seat: match &scenario.seat {
            Seat::Cone(cones) => fit::Seat::Cone(cone(scenario, cones)),
            Seat::Spline(spline) => fit::Seat::Spline(teeth(spline)),
        },
        spacer: spacer(scenario),
        bolt: bolt(scenario),
        face_radius: scenario.contact.face.as_ref().map(|face| face.radius_mm),
        runout_radius: scenario.runout_radius_mm,
        growth: growth(scenario),
        settles: scenario.spacer.settling.is_some() || scenario.bolt.settling.is_some(),
        service: scenario.temperature.and_then(|t| service(scenario, &t)),
        angle_reach: angle_reach(scenario),
        nominal: inputs::by_input(scenario, 0.0, |c| c.nominal),
    }
}

/// How far a half-angle may be drawn from its nominal value (rad), with room for measured parts near it.
fn angle_reach(scenario: &Scenario) -> f64 {
    const LEAST: f64 = 0.0015;
    /// A tail that no run meets; a float has no shorter one at its upper end.
    const TAIL: f64 = f64::EPSILON;
    let reach = |c: &Characteristic| {
        [TAIL, 1.0 - TAIL]
            .map(|p| 1.05 * (c.process.quantile(p) - c.nominal).abs())
            .into_iter()
            .fold(LEAST, f64::max)
    };
    inputs::inputs(scenario)
        .into_iter()
        .filter(|(input, _)| matches!(input, Input::MaleHalfAngle | Input::FemaleHalfAngle))
        .map(|(_, c)| reach(c))
        .fold(LEAST, f64::max)
        .min(TANGENT_REACH_RAD)
}

fn cone(scenario: &Scenario, cones: &Cones) -> ConeSizes {
    let (shaft, hub) = (&scenario.shaft, &scenario.hub);
    ConeSizes {
        male_flank: (cones.shaft.large_end_mm, cones.shaft.small_end_mm),
        female_flank: (cones.hub.large_end_mm, cones.hub.small_end_mm),
        outside_radius: 0.5 * hub.outside_diameter_mm,
        bore_radius: 0.5 * shaft.bore_diameter_mm,
        hub_modulus: hub.material.modulus_mpa,
        hub_poisson: hub.material.poisson,
        shaft_modulus: shaft.material.modulus_mpa,
        shaft_poisson: shaft.material.poisson,
        smoothing: scenario.contact.smoothing_mm,
        blue_film: scenario.contact.blue_film_mm,
    }
}

fn teeth(spline: &Spline) -> SplineSizes {
    SplineSizes {
        teeth: spline.teeth as usize,
        stiffness: spline.stiffness_n_per_mm2,
        length: spline.engaged_length_mm,
    }
}

fn spacer(scenario: &Scenario) -> fit::Spacer {
    match &scenario.spacer.give {
        Give::Rigid => fit::Spacer::Rigid,
        Give::Stiffness(k) => fit::Spacer::Stiffness(*k),
        Give::Ring {
            outside_mm,
            inside_mm,
            material,
        } => {
            let area =
                0.25 * std::f64::consts::PI * (outside_mm * outside_mm - inside_mm * inside_mm);
            fit::Spacer::Ring(material.modulus_mpa * area)
        }
    }
}

/// The bolt: torque per load, stress per load, stiffness.
fn bolt(scenario: &Scenario) -> BoltSizes {
    let bolt = &scenario.bolt;
    let (turn, per_load) = match (&bolt.tightening, &bolt.thread) {
        (
            Tightening::Friction {
                head_diameter_mm, ..
            },
            Some(thread),
        ) => {
            let relation = TorquePerLoad::new(thread, *head_diameter_mm);
            (
                Turn::by_friction(&relation),
                Some(StressPerLoad::tightened(thread)),
            )
        }
        (_, thread) => (
            Turn::by_nut_factor(bolt.diameter_mm),
            thread.as_ref().map(StressPerLoad::tension_alone),
        ),
    };
    let stress = per_load.zip(bolt.yield_strength_mpa);
    BoltSizes {
        turn,
        stress: stress.map(|(per_load, yield_strength)| BoltStress {
            per_load,
            yield_strength,
        }),
        stiffness: bolt.stiffness_n_per_mm.or_else(|| cylinder(scenario)),
    }
}

/// Stiffness of the bolt as a plain cylinder from its head to its first loaded thread, at the nominal thickness (N/mm).
fn cylinder(scenario: &Scenario) -> Option<f64> {
    let bolt = &scenario.bolt;
    let (thread, material) = (bolt.thread?, bolt.material.as_ref()?);
    let length = scenario.spacer.thickness.nominal + bolt.head_at_mm? - bolt.thread_at_mm?;
    Some(thread.cylinder_stiffness(material.modulus_mpa, length))
}

/// Growth of a part of this material when it is `rise` kelvin warmer. A part that stays needs no expansion.
fn strain(material: Option<&Material>, rise: f64) -> f64 {
    match material.and_then(|m| m.expansion_per_k) {
        Some(expansion) if rise != 0.0 => expansion * rise,
        _ => 0.0,
    }
}

fn growth(scenario: &Scenario) -> Growth {
    let Some(temperature) = scenario.temperature else {
        return Growth::NONE;
    };
    let at = temperature.assembly;
    let grown = |material, at: f64| 1.0 + strain(material, at - REFERENCE);
    Growth {
        shaft: grown(Some(&scenario.shaft.material), at.shaft),
        hub: grown(Some(&scenario.hub.material), at.hub),
        spacer: grown(scenario.spacer.material.as_ref(), at.spacer),
    }
}

/// The way to the service temperatures. The bolt is tightened at the temperature of the shaft it is screwed into.
fn service(scenario: &Scenario, temperature: &Temperature) -> Option<Service> {
    let (from, to) = (temperature.assembly, temperature.service?);
    let bolt = &scenario.bolt;
    Some(Service {
        shaft: strain(Some(&scenario.shaft.material), to.shaft - from.shaft),
        hub: strain(Some(&scenario.hub.material), to.hub - from.hub),
        spacer: strain(scenario.spacer.material.as_ref(), to.spacer - from.spacer),
        bolt: strain(bolt.material.as_ref(), to.bolt - from.shaft),
        head_at: bolt.head_at_mm?,
        thread_at: bolt.thread_at_mm?,
    })
}
