//! Reads `[temperature]`: of the parts while they are put together, and in service.

use crate::problem::id;
use crate::scenario::document::Value;
use crate::scenario::quantity::Measure;
use crate::scenario::scale::short;
use crate::scenario::seat::Stated;
use crate::scenario::walk::Section;
use crate::scenario::{
    Give, Material, PartTemperatures, Scenario, ServiceTemperatures, Temperature,
};

/// Temperature at which sizes are stated (°C): ISO 1.
const REFERENCE: f64 = 20.0;

/// Lowest and highest temperature of a part (°C).
const RANGE: (f64, f64) = (-200.0, 600.0);

/// The parts whose temperature may be stated; the bolt's counts in service only.
const PARTS: [&str; 4] = ["shaft", "hub", "spacer", "bolt"];

/// Reads the table: the outer `None` when something was reported, the inner when there is none.
pub(crate) fn temperature(head: &Section<'_, '_>, stated: Stated) -> Option<Option<Temperature>> {
    if !head.has("temperature") {
        return Some(None);
    }
    let section = head.section("temperature")?;
    let before = section.walk.count();
    if !section.has("assembly") && !section.has("service") {
        let what = "the temperature of the parts while they are put together, in service, or both";
        section.missing("assembly", what, "assembly = \"20 degC\"");
    }
    if stated.spline && section.has("service") {
        section.bad(
            &id::CONTRADICTION,
            "service",
            "service and joint.seat = \"tapered_spline\"",
            "one of the two: only a cone is followed to its service temperature",
            "the temperature of assembly may be stated for both",
        );
    }
    let [shaft, hub, spacer, _] = assembly(&section).unwrap_or([REFERENCE; 4]);
    let service = service(&section);
    let good = section.walk.count() == before;
    section.finish();
    good.then_some(Some(Temperature {
        assembly: PartTemperatures { shaft, hub, spacer },
        service,
    }))
}

/// Temperatures of assembly: one for all, or one each; a part left out of the table is at 20 °C.
fn assembly(section: &Section<'_, '_>) -> Option<[f64; 4]> {
    let entry = section.get("assembly")?;
    if !matches!(entry.node.value, Value::Table(_)) {
        return degrees(section, "assembly").map(|all| [all; 4]);
    }
    let table = section.section("assembly")?;
    table.stray(
        "bolt",
        "temperatures of assembly",
        "the bolt is tightened as it is; its temperature counts in service",
    );
    let stated = PARTS.map(|part| (part != "bolt" && table.has(part)).then_some(part));
    if stated == [None; 4] {
        let what = "the temperature of a part; those left out are at 20 degC";
        table.missing("hub", what, "hub = \"60 degC\"");
    }
    let read = stated.map(|part| part.map_or(Some(REFERENCE), |part| degrees(&table, part)));
    table.finish();
    all(read)
}

/// Temperatures in service: one for all, or one each.
fn service(section: &Section<'_, '_>) -> Option<ServiceTemperatures> {
    let entry = section.get("service")?;
    let read = if matches!(entry.node.value, Value::Table(_)) {
        let table = section.section("service")?;
        let read = PARTS.map(|part| {
            if !table.has(part) {
                let what = "the temperature of every part: shaft, hub, spacer and bolt";
                table.missing(part, what, &format!("{part} = \"80 degC\""));
            }
            degrees(&table, part)
        });
        table.finish();
        all(read)?
    } else {
        [degrees(section, "service")?; 4]
    };
    let [shaft, hub, spacer, bolt] = read;
    Some(ServiceTemperatures {
        shaft,
        hub,
        spacer,
        bolt,
    })
}

fn all([a, b, c, d]: [Option<f64>; 4]) -> Option<[f64; 4]> {
    Some([a?, b?, c?, d?])
}

/// A temperature in °C that metal parts can have.
fn degrees(section: &Section<'_, '_>, key: &'static str) -> Option<f64> {
    let typed = section.quantity(key, &[Measure::Temperature])?;
    if !(RANGE.0..=RANGE.1).contains(&typed.value) {
        section.bad(
            &id::RANGE,
            key,
            &typed.canonical(),
            "a temperature from -200 degC to 600 degC",
            "the model holds where modulus and expansion are those at 20 degC",
        );
        return None;
    }
    Some(typed.value)
}

/// Checks the temperatures against the materials and the spacer.
pub(crate) fn check(head: &Section<'_, '_>, scenario: &Scenario) {
    let Some(temperature) = &scenario.temperature else {
        return;
    };
    let (assembly, service) = (&temperature.assembly, temperature.service.as_ref());
    let spacer = scenario.spacer.material.as_ref();
    expansion(
        head,
        "shaft",
        Some(&scenario.shaft.material),
        assembly.shaft,
        service.map(|s| s.shaft),
    );
    expansion(
        head,
        "hub",
        Some(&scenario.hub.material),
        assembly.hub,
        service.map(|s| s.hub),
    );
    expansion(
        head,
        "spacer",
        spacer,
        assembly.spacer,
        service.map(|s| s.spacer),
    );
    if service.is_some() {
        bolt(head, scenario, assembly.shaft);
    }
    if service.is_some()
        && scenario.spacer.give == Give::Rigid
        && let Some(section) = head.section("temperature")
    {
        section.bad(
            &id::CONTRADICTION,
            "service",
            "temperature.service and a rigid spacer",
            "a spacer that gives: what it grows by must go somewhere",
            "state [spacer] stiffness, or its outside_diameter, inside_diameter and material",
        );
    }
}

/// Refuses a service temperature when it is not known where the bolt holds, how it gives or how it expands.
fn bolt(head: &Section<'_, '_>, scenario: &Scenario, assembled: f64) {
    let bolt = &scenario.bolt;
    let (Some(section), Some(temperature)) = (head.section("bolt"), scenario.temperature) else {
        return;
    };
    let gives = bolt.stiffness_n_per_mm.is_some() || bolt.material.is_some();
    let expands = bolt
        .material
        .as_ref()
        .is_some_and(|m| m.expansion_per_k.is_some());
    let warms = temperature.service.is_some_and(|s| s.bolt != assembled);
    for (lacks, key, what, example) in [
        (
            !gives || (warms && !expands),
            "material",
            "the bolt's material, for its stiffness and expansion",
            "material = \"steel\"",
        ),
        (
            bolt.head_at_mm.is_none(),
            "head_at",
            "where the bolt's head bears, from the hub's clamping face",
            "head_at = \"30 mm\"",
        ),
        (
            bolt.thread_at_mm.is_none(),
            "thread_at",
            "the first loaded thread, from the shoulder",
            "thread_at = \"20 mm\"",
        ),
    ] {
        if lacks {
            section.missing(key, &format!("{what} (for temperature.service)"), example);
        }
    }
}

/// Refuses a part that leaves 20 °C, or changes in service, and whose expansion is not known.
fn expansion(
    head: &Section<'_, '_>,
    part: &'static str,
    material: Option<&Material>,
    assembly: f64,
    service: Option<f64>,
) {
    let known = material.is_some_and(|material| material.expansion_per_k.is_some());
    let (key, degrees) = match service {
        _ if known => return,
        _ if assembly != REFERENCE => ("assembly", assembly),
        Some(service) if service != assembly => ("service", service),
        _ => return,
    };
    let (Some(section), Some(section_of_part)) = (head.section("temperature"), head.section(part))
    else {
        return;
    };
    let lacks = if material.is_some() {
        let place = section.walk.where_is(section_of_part.spot_of("material"));
        format!("{part}.material ({place}) without expansion")
    } else {
        format!("no {part}.material")
    };
    section.bad(
        &id::MISSING_KEY,
        key,
        &format!(
            "the {part} at {} degC (temperature.{key}), and {lacks}",
            short(degrees)
        ),
        &format!("the expansion of the {part}'s material"),
        if material.is_some() {
            "add it to the material, for example  expansion = \"11.5 um/m/K\""
        } else {
            "a material by name has one, for example  material = \"steel\""
        },
    );
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::read::scenario_of;

    const GOOD: &str = include_str!("../../../../tests/bad/good.toml");

    fn read(table: &str) -> Result<Option<Temperature>, Vec<String>> {
        let text = GOOD
            .replace("[contact]", &format!("[temperature]\n{table}\n[contact]"))
            .replace(
                "poisson = 0.33",
                "poisson = 0.33, expansion = \"22e-6 1/K\"",
            )
            .replace(
                "[bolt]",
                "[bolt]\nmaterial = \"steel\"\nhead_at = \"30 mm\"\nthread_at = \"15 mm\"",
            );
        let (scenario, problems) = scenario_of(&text);
        let shown: Vec<_> = problems.iter().map(ToString::to_string).collect();
        match scenario {
            Some(scenario) if shown.is_empty() => {
                let material = &scenario.hub.material;
                assert_eq!(material.expansion_per_k, Some(22e-6));
                Ok(scenario.temperature)
            }
            _ => Err(shown),
        }
    }

    #[test]
    fn one_temperature_holds_for_every_part_and_a_table_for_each() {
        let warm = read("assembly = \"35 degC\"").unwrap().unwrap();
        let parts = warm.assembly;
        assert_eq!((parts.shaft, parts.hub, parts.spacer), (35.0, 35.0, 35.0));
        assert_eq!(warm.service, None);
        let table = "assembly = { hub = \"60 \u{b0}C\" }\n\
                     service = { shaft = \"80 degC\", hub = \"-5 degC\", spacer = \"0 degC\", bolt = \"90 degC\" }";
        let each = read(table).unwrap().unwrap();
        assert_eq!((each.assembly.shaft, each.assembly.hub), (20.0, 60.0));
        let service = each.service.expect("stated");
        assert_eq!(
            (service.hub, service.spacer, service.bolt),
            (-5.0, 0.0, 90.0)
        );
    }

    #[test]
    fn a_service_temperature_alone_starts_from_20_degrees() {
        let read = read("service = \"120 degC\"").unwrap().unwrap();
        assert_eq!(read.assembly.spacer, REFERENCE);
        assert_eq!(read.service.map(|s| s.bolt), Some(120.0));
    }

    #[test]
    fn temperatures_out_of_range_and_in_other_units_are_refused() {
        for table in [
            "assembly = \"300 K\"",
            "assembly = \"-201 degC\"",
            "assembly = \"601 degC\"",
            "assembly = 20",
            "assembly = {}",
            "service = { shaft = \"80 degC\", hub = \"80 degC\", spacer = \"80 degC\" }",
            "",
        ] {
            assert!(read(table).is_err(), "{table}");
        }
    }
}
