//! The joint of a scenario as a record shows it: everything at nominal, in the units of a drawing.

use fit::JointSizes;

use crate::scenario::{
    Cone, Give, PartTemperatures, Scenario, Seat, ServiceTemperatures, Spline, SplinePart,
    Tightening,
};

/// The joint, with the sizes that the plan made of it.
pub fn joint(scenario: &Scenario, sizes: &JointSizes) -> record::Joint {
    let (cones, spline) = match &scenario.seat {
        Seat::Cone(cones) => (Some(cones), None),
        Seat::Spline(spline) => (None, Some(spline)),
    };
    let (shaft, hub, contact) = (&scenario.shaft, &scenario.hub, &scenario.contact);
    record::Joint {
        seat: seat(scenario).to_owned(),
        elastic_law: cones.map_or("teeth", |_| "rings").to_owned(),
        shaft: record::Shaft {
            material: shaft.material.name.clone(),
            modulus_mpa: shaft.material.modulus_mpa,
            poisson: shaft.material.poisson,
            end: shaft.end.clone(),
            bore_diameter_mm: shaft.bore_diameter_mm,
            cone: cones.map(|cones| cone(&cones.shaft)),
            spline: spline.map(|spline| half(&spline.shaft)),
        },
        hub: record::Hub {
            material: hub.material.name.clone(),
            modulus_mpa: hub.material.modulus_mpa,
            poisson: hub.material.poisson,
            end: hub.end.clone(),
            outside_diameter_mm: cones.map(|_| hub.outside_diameter_mm),
            cone: cones.map(|cones| cone(&cones.hub)),
            spline: spline.map(|spline| half(&spline.hub)),
        },
        teeth: spline.map(teeth),
        spacer: spacer(scenario, sizes.spacer),
        bolt: bolt(scenario, sizes),
        friction: contact.friction.nominal,
        smoothing_mm: cones.map(|_| contact.smoothing_mm),
        blue_film_mm: cones.map(|_| contact.blue_film_mm),
        face_radius_mm: sizes.face_radius,
        runout_radius_mm: sizes.runout_radius,
        temperature: scenario.temperature.map(|t| record::Temperature {
            assembly_c: assembly(t.assembly),
            service_c: t.service.map(service),
        }),
    }
}

/// Kind of seat.
pub fn seat(scenario: &Scenario) -> &'static str {
    match scenario.seat {
        Seat::Cone(_) => "cone",
        Seat::Spline(_) => "tapered_spline",
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

fn half(part: &SplinePart) -> record::SplineHalf {
    record::SplineHalf {
        gauge_plane_mm: part.gauge_plane.nominal,
        size_mm: part.size.nominal,
    }
}

fn teeth(spline: &Spline) -> record::Teeth {
    record::Teeth {
        count: spline.teeth,
        flank_half_angle_deg: spline.flank_half_angle.nominal.to_degrees(),
        engaged_length_mm: spline.engaged_length_mm,
        stiffness_n_per_mm2: spline.stiffness_n_per_mm2,
    }
}

fn spacer(scenario: &Scenario, give: fit::Spacer) -> record::Spacer {
    let thickness_mm = scenario.spacer.thickness.nominal;
    let (outside_diameter_mm, inside_diameter_mm) = match &scenario.spacer.give {
        Give::Ring {
            outside_mm,
            inside_mm,
            ..
        } => (Some(*outside_mm), Some(*inside_mm)),
        Give::Rigid | Give::Stiffness(_) => (None, None),
    };
    let stiffness_n_per_mm = match give {
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

fn bolt(scenario: &Scenario, sizes: &JointSizes) -> record::Bolt {
    let bolt = &scenario.bolt;
    let head_diameter_mm = match &bolt.tightening {
        Tightening::NutFactor(_) => None,
        Tightening::Friction {
            head_diameter_mm, ..
        } => Some(*head_diameter_mm),
    };
    let thread = head_diameter_mm.and(bolt.thread.as_ref());
    record::Bolt {
        size: bolt.size.clone(),
        diameter_mm: bolt.diameter_mm,
        torque_nm: bolt.torque.nominal * 1e-3,
        pitch_mm: thread.map(fit::fastener::Thread::pitch),
        head_diameter_mm,
        property_class: bolt.property_class.map(|class| class.name().to_owned()),
        yield_strength_mpa: bolt.yield_strength_mpa,
        stiffness_n_per_mm: sizes.bolt.stiffness,
    }
}

fn assembly(at: PartTemperatures) -> record::PartTemperatures {
    record::PartTemperatures {
        shaft: at.shaft,
        hub: at.hub,
        spacer: at.spacer,
        bolt: None,
    }
}

fn service(at: ServiceTemperatures) -> record::PartTemperatures {
    record::PartTemperatures {
        shaft: at.shaft,
        hub: at.hub,
        spacer: at.spacer,
        bolt: Some(at.bolt),
    }
}
