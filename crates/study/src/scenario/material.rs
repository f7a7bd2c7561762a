//! Reads a material: a name, or constants of its own.

use crate::problem::escape::quoted;
use crate::problem::id;
use crate::scenario::Material;
use crate::scenario::document::Value;
use crate::scenario::quantity::Measure;
use crate::scenario::walk::{Section, nearest};

/// A material that is known by its name.
struct Known {
    name: &'static str,
    modulus_mpa: f64,
    poisson: f64,
    expansion_per_k: f64,
}

const fn known(name: &'static str, modulus_mpa: f64, poisson: f64, expansion_per_k: f64) -> Known {
    Known {
        name,
        modulus_mpa,
        poisson,
        expansion_per_k,
    }
}

/// Materials at 20 °C: handbook values. Moduli, Poisson's ratios and expansions are from memory, but for the
/// expansions of grey iron (10 to 11 um/m/K) and bronze (17), which a handbook's table for press fits gives. Stainless
/// steel is austenitic, titanium the alloy with 6 % aluminium and 4 % vanadium; the same table has 11 for carbon steel
/// and 21 for aluminium alloys, which vary more than others: a design that hangs on them states its own.
const KNOWN: [Known; 8] = [
    known("steel", 210_000.0, 0.30, 11.5e-6),
    known("stainless_steel", 200_000.0, 0.30, 17.3e-6),
    known("aluminium", 70_000.0, 0.33, 23.6e-6),
    known("titanium", 114_000.0, 0.34, 8.6e-6),
    known("grey_cast_iron", 110_000.0, 0.26, 10.5e-6),
    known("ductile_iron", 170_000.0, 0.28, 11.5e-6),
    known("bronze", 110_000.0, 0.34, 17.0e-6),
    known("brass", 100_000.0, 0.35, 19.0e-6),
];

/// Largest expansion of a material that a joint is made of (1/K); plastics reach about 2e-4.
const MOST_EXPANSION: f64 = 3.0e-4;

/// Reads the key `material`, which must be there.
pub(crate) fn material(section: &Section<'_, '_>) -> Option<Material> {
    let names: Vec<_> = KNOWN.iter().map(|known| known.name).collect();
    let expected = format!(
        "one of {}, or {{ modulus = \"210 GPa\", poisson = 0.30 }}",
        names.join(", ")
    );
    let Some(entry) = section.get("material") else {
        section.missing("material", &expected, "material = \"steel\"");
        return None;
    };
    match &entry.node.value {
        Value::Text(name) => {
            let known = KNOWN.iter().find(|known| known.name == name);
            if known.is_none() {
                let hint = nearest(name, &names).map_or_else(
                    || "state the modulus and Poisson's ratio of another material".to_owned(),
                    |n| format!("did you mean {}?", quoted(n)),
                );
                section.bad(&id::WORD, "material", &quoted(name), &expected, &hint);
            }
            known.map(|known| Material {
                name: known.name.replace('_', " "),
                modulus_mpa: known.modulus_mpa,
                poisson: known.poisson,
                expansion_per_k: Some(known.expansion_per_k),
            })
        }
        Value::Table(_) => own(section.section("material")?),
        other => {
            section.wrong_type(entry, other, &expected);
            None
        }
    }
}

/// A material stated by its constants.
fn own(section: Section<'_, '_>) -> Option<Material> {
    let before = section.walk.count();
    let name = section.text("name").unwrap_or("stated by its constants");
    if name.trim().is_empty() || name.chars().count() > 200 || name.chars().any(char::is_control) {
        section.bad(
            &id::TEXT,
            "name",
            &quoted(name),
            "text of 1 to 200 characters without control characters",
            "",
        );
    }
    for (key, what, example) in [
        ("modulus", "the elastic modulus", "modulus = \"210 GPa\""),
        ("poisson", "Poisson's ratio", "poisson = 0.30"),
    ] {
        if !section.has(key) {
            section.missing(key, what, example);
        }
    }
    let modulus = section.quantity("modulus", &[Measure::Stress]);
    let poisson = section.quantity("poisson", &[Measure::Plain]);
    if let Some(typed) = modulus.filter(|m| !(10.0..=2.0e6).contains(&m.value)) {
        section.bad(
            &id::RANGE,
            "modulus",
            &typed.canonical(),
            "an elastic modulus from 10 MPa to 2000 GPa",
            "check the unit: steel has 210 GPa = 210000 MPa",
        );
    }
    if let Some(typed) = poisson.filter(|p| !(0.0..0.5).contains(&p.value)) {
        section.bad(
            &id::RANGE,
            "poisson",
            &typed.canonical(),
            "Poisson's ratio from 0 to below 0.5",
            "",
        );
    }
    let expansion = section.quantity("expansion", &[Measure::Expansion]);
    if let Some(typed) = expansion.filter(|a| !(0.0..=MOST_EXPANSION).contains(&a.value)) {
        section.bad(
            &id::RANGE,
            "expansion",
            &typed.canonical(),
            "a linear expansion from 0 to 300 um/m/K",
            "check the unit: steel has 11.5 um/m/K = 11.5e-6 1/K",
        );
    }
    let good = section.walk.count() == before;
    section.finish();
    let (modulus, poisson) = (modulus?.value, poisson?.value);
    good.then(|| Material {
        name: name.to_owned(),
        modulus_mpa: modulus,
        poisson,
        expansion_per_k: expansion.map(|typed| typed.value),
    })
}
