//! Checks that need more than one key: whether the parts can be, and can meet.

use crate::problem::id;
use crate::scenario::bolt;
use crate::scenario::scale::short;
use crate::scenario::walk::Section;
use crate::scenario::{Cone, Cones, Scenario, Seat};

/// Radius of a cone at a distance from its face or shoulder (mm): `D/2 - (x - a) tan(alpha)`, from nominal values.
fn radius(cone: &Cone, x: f64) -> f64 {
    let slope = libm::tan(cone.half_angle.nominal);
    0.5 * cone.gauge_diameter.nominal - (x - cone.gauge_plane.nominal) * slope
}

/// Checks a scenario as a whole.
pub(crate) fn check(head: &Section<'_, '_>, scenario: &Scenario) {
    match &scenario.seat {
        Seat::Cone(cones) => check_cones(head, scenario, cones),
        Seat::Spline(_) => {}
    }
    bolt::grip(head, scenario);
}

fn check_cones(head: &Section<'_, '_>, scenario: &Scenario, cones: &Cones) {
    let (Some(shaft), Some(hub)) = (head.section("shaft"), head.section("hub")) else {
        return;
    };
    let (male, female) = (&cones.shaft, &cones.hub);
    let runs_out = [(&shaft, male, "shaft cone"), (&hub, female, "hub bore")]
        .map(|(section, cone, words)| runs_out(section, cone, words));
    if runs_out == [false, false] {
        bore(&shaft, male, scenario.shaft.bore_diameter_mm);
        outside(&hub, cones, scenario.hub.outside_diameter_mm);
    }
    friction(head, scenario, cones);
}

/// Refuses a cone whose diameter reaches 0 before its small end.
fn runs_out(section: &Section<'_, '_>, cone: &Cone, words: &str) -> bool {
    let small = radius(cone, cone.small_end_mm);
    if small <= 0.0 {
        let (diameter, end) = (short(2.0 * small), short(cone.small_end_mm));
        let found = format!(
            "a {words} whose diameter falls to {diameter} mm at its small end, at {end} mm"
        );
        let hint = "check gauge_diameter, gauge_plane, flank and the taper together";
        section.bad(
            &id::GEOMETRY,
            "flank",
            &found,
            "a diameter above 0 along the whole flank",
            hint,
        );
    }
    small <= 0.0
}

/// Refuses a shaft whose bore breaks out of its cone.
fn bore(shaft: &Section<'_, '_>, cone: &Cone, bore: f64) {
    let small = 2.0 * radius(cone, cone.small_end_mm);
    if small <= bore {
        let found = format!(
            "a bore of {} mm, and a cone of {} mm at its small end",
            short(bore),
            short(small)
        );
        shaft.bad(
            &id::GEOMETRY,
            "bore_diameter",
            &found,
            "a bore smaller than the cone along its whole flank",
            "",
        );
    }
}

/// Refuses a hub that is not larger than the cones along both flanks.
fn outside(hub: &Section<'_, '_>, cones: &Cones, outside: f64) {
    for (cone, words) in [
        (&cones.hub, "its own bore"),
        (&cones.shaft, "the shaft cone"),
    ] {
        let large = 2.0 * radius(cone, cone.large_end_mm);
        if large >= outside {
            let found = format!(
                "an outside diameter of {} mm, and {words} of {} mm at the large end",
                short(outside),
                short(large)
            );
            hub.bad(
                &id::GEOMETRY,
                "outside_diameter",
                &found,
                "a hub larger than the cone along its whole flank",
                "",
            );
            return;
        }
    }
}

/// The handbook formula divides by `1 - mu tan(alpha)`.
fn friction(head: &Section<'_, '_>, scenario: &Scenario, cones: &Cones) {
    let friction = &scenario.contact.friction;
    let steepest = (cones.shaft.half_angle.nominal).max(cones.hub.half_angle.nominal);
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
