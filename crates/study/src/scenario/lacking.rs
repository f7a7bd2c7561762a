//! Outputs that are asked for and that the joint of the scenario cannot have.

use fit::{JointSizes, Missing, Output};

use crate::problem::id;
use crate::scenario::Scenario;
use crate::scenario::document::{Spot, Value};
use crate::scenario::scale::short;
use crate::scenario::walk::Section;
use crate::sizes::joint_sizes;

/// Refuses limits on outputs that no pairing has, and such outputs in a list of those to follow.
pub(crate) fn check(head: &Section<'_, '_>, scenario: &Scenario) {
    let sizes = joint_sizes(scenario);
    settling_of_an_unknown_bolt(head, scenario, &sizes);
    settling_out_of_reason(head, scenario);
    keys_of_a_cone(head, scenario);
    if let Some(limits) = head.has("limits").then(|| head.section("limits")).flatten() {
        for limit in &scenario.limits {
            let name = limit.output.name();
            let spot = limits.key_spot_of(name);
            refuse(&limits, spot, &limits.path_of(name), &sizes, limit.output);
        }
    }
    if let Some(run) = head.has("run").then(|| head.section("run")).flatten() {
        followed(&run, &sizes);
    }
}

/// Refuses faces that settle when it is not known what that takes off the bolt load.
fn settling_of_an_unknown_bolt(head: &Section<'_, '_>, scenario: &Scenario, sizes: &JointSizes) {
    if scenario.spacer.settling.is_some()
        && sizes.bolt.stiffness.is_none()
        && let Some(spacer) = head.section("spacer")
    {
        spacer.bad(
            &id::CONTRADICTION,
            "settling",
            "faces that settle, and a bolt of unknown stiffness",
            "the bolt's stiffness, for what settling takes off its load",
            "state bolt.stiffness, or bolt.material, bolt.head_at and bolt.thread_at",
        );
    }
}

/// Most that faces settle (mm): beyond it a unit has slipped.
const MOST_SETTLING: f64 = 0.5;

fn settling_out_of_reason(head: &Section<'_, '_>, scenario: &Scenario) {
    let thickness = scenario.spacer.thickness.nominal;
    for (table, settling) in [
        ("spacer", &scenario.spacer.settling),
        ("bolt", &scenario.bolt.settling),
    ] {
        let most = MOST_SETTLING.min(0.1 * thickness);
        let Some(settling) = settling else {
            continue;
        };
        let largest = settling.process.quantile(1.0 - 1e-9).max(settling.nominal);
        if largest > most
            && let Some(section) = head.section(table)
        {
            section.bad(
                &id::RANGE,
                "settling",
                &format!("settling of up to {} mm", short(largest)),
                &format!(
                    "at most {} mm (half a millimetre, and a tenth of the spacer)",
                    short(most)
                ),
                "faces settle by micrometres; check the unit",
            );
        }
    }
}

/// Refuses what a tapered spline states and nothing computes with.
fn keys_of_a_cone(head: &Section<'_, '_>, scenario: &Scenario) {
    if scenario.cones().is_some() {
        return;
    }
    for (table, key, stated) in [
        ("contact", "face_friction", scenario.contact.face.is_some()),
        (
            "joint",
            "runout_radius",
            scenario.runout_radius_mm.is_some(),
        ),
    ] {
        if stated && let Some(section) = head.section(table) {
            section.bad(
                &id::CONTRADICTION,
                key,
                &format!("{table}.{key} and joint.seat = \"tapered_spline\""),
                "one of the two: torque capacity and runout are defined for cones",
                "leave it out",
            );
        }
    }
}

fn followed(run: &Section<'_, '_>, sizes: &JointSizes) {
    let Some(entry) = run.get("outputs") else {
        return;
    };
    let Value::List(items) = &entry.node.value else {
        return;
    };
    for item in items {
        let Value::Text(name) = &item.value else {
            continue;
        };
        if let Some(output) = Output::from_name(name) {
            refuse(run, item.spot, &run.path_of("outputs"), sizes, output);
        }
    }
}

fn refuse(section: &Section<'_, '_>, spot: Spot, path: &str, sizes: &JointSizes, output: Output) {
    let Some(missing) = sizes.missing(output) else {
        return;
    };
    let found = format!("{}, and {}", output.name(), missing.reason());
    let hint = match missing {
        Missing::OfCones | Missing::OfSplines => "leave it out",
        other => other.hint(),
    };
    section.walk.report(
        &id::CONTRADICTION,
        spot,
        path,
        &found,
        "an output that this joint has",
        hint,
    );
}
