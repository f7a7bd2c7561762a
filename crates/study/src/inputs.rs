//! Which characteristic of a scenario is which input of a pairing.

use fit::{INPUTS, Input};

use crate::scenario::{Characteristic, Cones, Scenario, Seat, Spline, Tightening};

/// The inputs that a scenario has, each with its characteristic, in the order of the inputs.
pub fn inputs(scenario: &Scenario) -> Vec<(Input, &Characteristic)> {
    let mut all = match &scenario.seat {
        Seat::Cone(cones) => of_cones(cones),
        Seat::Spline(spline) => of_spline(spline),
    };
    all.push((Input::Thickness, &scenario.spacer.thickness));
    all.push((Input::Friction, &scenario.contact.friction));
    all.push((Input::Torque, &scenario.bolt.torque));
    match &scenario.bolt.tightening {
        Tightening::NutFactor(factor) => all.push((Input::NutFactor, factor)),
        Tightening::Friction { thread, head, .. } => {
            all.push((Input::ThreadFriction, thread));
            all.push((Input::HeadFriction, head));
        }
    }
    let face = scenario.contact.face.as_ref();
    all.extend(face.map(|face| (Input::FaceFriction, &face.friction)));
    let faces = scenario.spacer.settling.as_ref();
    all.extend(faces.map(|settling| (Input::FaceSettling, settling)));
    let others = scenario.bolt.settling.as_ref();
    all.extend(others.map(|settling| (Input::BoltSettling, settling)));
    all
}

fn of_cones(cones: &Cones) -> Vec<(Input, &Characteristic)> {
    vec![
        (Input::MalePlane, &cones.shaft.gauge_plane),
        (Input::MaleSize, &cones.shaft.gauge_diameter),
        (Input::MaleHalfAngle, &cones.shaft.half_angle),
        (Input::FemalePlane, &cones.hub.gauge_plane),
        (Input::FemaleSize, &cones.hub.gauge_diameter),
        (Input::FemaleHalfAngle, &cones.hub.half_angle),
    ]
}

fn of_spline(spline: &Spline) -> Vec<(Input, &Characteristic)> {
    vec![
        (Input::MalePlane, &spline.shaft.gauge_plane),
        (Input::MaleSize, &spline.shaft.size),
        (Input::MaleHalfAngle, &spline.flank_half_angle),
        (Input::FemalePlane, &spline.hub.gauge_plane),
        (Input::FemaleSize, &spline.hub.size),
    ]
}

/// A value of each characteristic by input; `none` for inputs that the scenario does not have.
pub fn by_input<T: Clone>(
    scenario: &Scenario,
    none: T,
    value: impl Fn(&Characteristic) -> T,
) -> [T; INPUTS] {
    let mut values = std::array::from_fn(|_| none.clone());
    for (input, characteristic) in inputs(scenario) {
        values[input.index()] = value(characteristic);
    }
    values
}

/// Name of an input's stream. It never changes, whatever a scenario calls the characteristic.
pub const fn stream_name(input: Input) -> &'static str {
    match input {
        Input::MalePlane => "shaft.gauge_plane",
        Input::MaleSize => "shaft.gauge_diameter",
        Input::MaleHalfAngle => "shaft.half_angle",
        Input::FemalePlane => "hub.gauge_plane",
        Input::FemaleSize => "hub.gauge_diameter",
        Input::FemaleHalfAngle => "hub.half_angle",
        Input::Thickness => "spacer.thickness",
        Input::Friction => "contact.friction",
        Input::Torque => "bolt.torque",
        Input::NutFactor => "bolt.nut_factor",
        Input::ThreadFriction => "bolt.thread_friction",
        Input::HeadFriction => "bolt.head_friction",
        Input::FaceFriction => "contact.face_friction",
        Input::FaceSettling => "spacer.settling",
        Input::BoltSettling => "bolt.settling",
    }
}
