//! Checks that need more than one key: whether the parts can be, and can meet.

use crate::problem::id;
use crate::scenario::scale::short;
use crate::scenario::walk::Section;
use crate::scenario::{Cone, Scenario};

/// Radius of a cone at a distance from its face or shoulder (mm): `D/2 - (x - a) tan(alpha)`, from nominal values.
fn radius(cone: &Cone, x: f64) -> f64 {
    let slope = libm::tan(cone.half_angle.nominal);
    0.5 * cone.gauge_diameter.nominal - (x - cone.gauge_plane.nominal) * slope
}

/// Checks a scenario as a whole.
pub(crate) fn check(head: &Section<'_, '_>, scenario: &Scenario) {
    let (Some(shaft), Some(hub)) = (head.section("shaft"), head.section("hub")) else {
        return;
    };
    let bore = 0.5 * scenario.shaft.bore_diameter_mm;
    let outside = 0.5 * scenario.hub.outside_diameter_mm;
    for (section, cone, words) in [
        (&shaft, &scenario.shaft.cone, "shaft cone"),
        (&hub, &scenario.hub.cone, "hub bore"),
    ] {
        let (large, small) = (
            radius(cone, cone.large_end_mm),
            radius(cone, cone.small_end_mm),
        );
        if small <= 0.0 {
            let found = format!(
                "a {words} whose diameter falls to {} mm at the small end, {} mm away",
                short(2.0 * small),
                short(cone.small_end_mm)
            );
            section.bad(
                &id::GEOMETRY,
                "flank",
                &found,
                "a diameter above 0 along the whole flank",
                "check gauge_diameter, gauge_plane, flank and the taper together",
            );
            continue;
        }
        if small <= bore {
            let found = format!(
                "bore {} mm ({}), and a {words} of {} mm at its small end",
                short(2.0 * bore),
                section.walk.where_is(shaft.spot_of("bore_diameter")),
                short(2.0 * small)
            );
            shaft.bad(
                &id::GEOMETRY,
                "bore_diameter",
                &found,
                &format!("a shaft bore smaller than the {words} along its whole flank"),
                "",
            );
        }
        if large >= outside {
            let found = format!(
                "outside diameter {} mm ({}), and a {words} of {} mm at its large end",
                short(2.0 * outside),
                section.walk.where_is(hub.spot_of("outside_diameter")),
                short(2.0 * large)
            );
            hub.bad(
                &id::GEOMETRY,
                "outside_diameter",
                &found,
                &format!("a hub larger than the {words} along its whole flank"),
                "",
            );
        }
    }
    friction(head, scenario);
}

/// The handbook formula divides by `1 - mu tan(alpha)`.
fn friction(head: &Section<'_, '_>, scenario: &Scenario) {
    let friction = &scenario.contact.friction;
    let steepest = scenario
        .shaft
        .cone
        .half_angle
        .nominal
        .max(scenario.hub.cone.half_angle.nominal);
    let highest = friction
        .nominal
        .max(friction.process.quantile(1.0 - 1.0e-9));
    if highest * libm::tan(steepest) >= 1.0
        && let Some(contact) = head.section("contact")
    {
        let found = format!(
            "friction up to {} on a half-angle of {} rad",
            short(highest),
            short(steepest)
        );
        contact.bad(
            &id::GEOMETRY,
            "friction",
            &found,
            "friction x tan(half-angle) below 1",
            "friction coefficients of metal cones lie from 0.05 to 0.3",
        );
    }
}
