//! Reads a material: a name, or elastic constants of its own.

use crate::problem::escape::quoted;
use crate::problem::id;
use crate::scenario::Material;
use crate::scenario::document::Value;
use crate::scenario::quantity::Measure;
use crate::scenario::walk::{Section, nearest};

/// Name, elastic modulus (MPa) and Poisson's ratio of materials at 20 °C: handbook values, from memory.
const KNOWN: [(&str, f64, f64); 8] = [
    ("steel", 210_000.0, 0.30),
    ("stainless_steel", 200_000.0, 0.30),
    ("aluminium", 70_000.0, 0.33),
    ("titanium", 114_000.0, 0.34),
    ("grey_cast_iron", 110_000.0, 0.26),
    ("ductile_iron", 170_000.0, 0.28),
    ("bronze", 110_000.0, 0.34),
    ("brass", 100_000.0, 0.35),
];

/// Reads the key `material`, which must be there.
pub(crate) fn material(section: &Section<'_, '_>) -> Option<Material> {
    let names: Vec<_> = KNOWN.iter().map(|(name, ..)| *name).collect();
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
            let known = KNOWN.iter().find(|(known, ..)| known == name);
            if known.is_none() {
                let hint = nearest(name, &names).map_or_else(
                    || "state the modulus and Poisson's ratio of another material".to_owned(),
                    |n| format!("did you mean {}?", quoted(n)),
                );
                section.bad(&id::WORD, "material", &quoted(name), &expected, &hint);
            }
            known.map(|&(name, modulus_mpa, poisson)| Material {
                name: name.replace('_', " "),
                modulus_mpa,
                poisson,
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
    section.not_yet("expansion", "sizes are those at 20 degrees Celsius");
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
    let good = section.walk.count() == before;
    section.finish();
    let (modulus, poisson) = (modulus?.value, poisson?.value);
    good.then(|| Material {
        name: name.to_owned(),
        modulus_mpa: modulus,
        poisson,
    })
}
