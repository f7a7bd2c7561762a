//! Reads the bolt: its tightening, its strength, and how it gives.

use fit::fastener::{self, PropertyClass};

use crate::problem::id;
use crate::scenario::characteristic::{self, REACH, Spec};
use crate::scenario::document::Value;
use crate::scenario::material::material;
use crate::scenario::process::word;
use crate::scenario::quantity::Measure;
use crate::scenario::scale::{Scale, short};
use crate::scenario::thread::{pitch_is_needed, size};
use crate::scenario::walk::Section;
use crate::scenario::{Bolt, Characteristic, Material, Scenario, Tightening};

const TORQUE: Spec = Spec {
    key: "torque",
    path: "bolt.torque",
    scale: Scale::Torque,
    positive: true,
    words: "a tightening torque",
    example: "\"60 N*m\"",
};
const NUT_FACTOR: Spec = Spec {
    key: "nut_factor",
    path: "bolt.nut_factor",
    scale: Scale::Ratio,
    positive: true,
    words: "a nut factor",
    example: "0.20",
};
const THREAD_FRICTION: Spec = Spec {
    key: "thread_friction",
    path: "bolt.thread_friction",
    scale: Scale::Ratio,
    positive: true,
    words: "a friction coefficient of the thread",
    example: "0.12",
};
const HEAD_FRICTION: Spec = Spec {
    key: "head_friction",
    path: "bolt.head_friction",
    scale: Scale::Ratio,
    positive: true,
    words: "a friction coefficient under the head",
    example: "0.12",
};
const SETTLING: Spec = Spec {
    key: "settling",
    path: "bolt.settling",
    scale: Scale::Length,
    positive: false,
    words: "settling at head and thread",
    example: "\"5 um\"",
};

/// Reads `[bolt]`.
pub(crate) fn bolt(head: &Section<'_, '_>) -> Option<Bolt> {
    let section = head.required_section("bolt", "size, torque and nut_factor")?;
    let bolt = read(&section);
    section.finish();
    bolt
}

/// Reads the keys of the bolt; `None` when something was reported.
fn read(section: &Section<'_, '_>) -> Option<Bolt> {
    let before = section.walk.count();
    let size = size(section);
    let diameter_mm = size.as_ref().map(|size| size.diameter_mm);
    let torque = characteristic::read(section, &TORQUE);
    let tightening = tightening(section, diameter_mm);
    let (property_class, yield_strength_mpa) = strength(section, diameter_mm);
    let settling = settling(section);
    let give = give(section);
    let gives = GIVE.map(|key| section.has(key)).contains(&true);
    if settling.is_some() && !gives {
        section.missing(
            "stiffness",
            "the bolt's stiffness, for what settling takes off the bolt load: stiffness, or material, head_at and thread_at",
            "stiffness = \"80 N/um\"",
        );
    }
    if size.as_ref().is_some_and(|size| size.thread.is_none()) {
        pitch_is_needed(section);
    }
    let (size, torque, tightening) = (size?, torque?, tightening?);
    let torque_by_factor = by_factor(section);
    let bolt = Bolt {
        size: size.text,
        diameter_mm: size.diameter_mm,
        thread: size.thread,
        torque,
        torque_by_factor,
        tightening,
        property_class,
        yield_strength_mpa,
        settling,
        stiffness_n_per_mm: give.stiffness_n_per_mm,
        material: give.material,
        head_at_mm: give.head_at_mm,
        thread_at_mm: give.thread_at_mm,
    };
    (section.walk.count() == before).then_some(bolt)
}

/// Whether the scatter of the torque is stated by a tightening factor.
fn by_factor(section: &Section<'_, '_>) -> bool {
    let Some(Value::Table(torque)) = section.get("torque").map(|entry| &entry.node.value) else {
        return false;
    };
    let process = torque.get("process").map(|entry| &entry.node.value);
    matches!(process, Some(Value::Table(process)) if process.get("tightening_factor").is_some())
}

/// The keys of tightening by friction.
const BY_FRICTION: [&str; 3] = ["thread_friction", "head_friction", "head_diameter"];

fn tightening(section: &Section<'_, '_>, diameter_mm: Option<f64>) -> Option<Tightening> {
    let why =
        "bolt load follows from torque by a nut factor, or by the frictions of thread and head";
    if BY_FRICTION
        .map(|key| section.exclude("nut_factor", key, why))
        .contains(&true)
    {
        return None;
    }
    if BY_FRICTION.map(|key| section.has(key)).contains(&true) {
        let thread = characteristic::read(section, &THREAD_FRICTION);
        let head = characteristic::read(section, &HEAD_FRICTION);
        let head_diameter_mm = head_diameter(section, diameter_mm);
        return Some(Tightening::Friction {
            thread: thread?,
            head: head?,
            head_diameter_mm: head_diameter_mm?,
        });
    }
    if !section.has("nut_factor") {
        let what = "how torque becomes bolt load: nut_factor, or thread_friction and head_friction";
        section.missing("nut_factor", what, "nut_factor = 0.20");
        return None;
    }
    characteristic::read(section, &NUT_FACTOR).map(Tightening::NutFactor)
}

/// The mean bearing diameter of the head (mm): as stated, or that of a hexagon head of the size.
fn head_diameter(section: &Section<'_, '_>, diameter_mm: Option<f64>) -> Option<f64> {
    if !section.has("head_diameter") {
        let usual = fastener::head_bearing_diameter(diameter_mm?);
        if usual.is_none() {
            let what = "the mean bearing diameter of the head, (bearing face + hole)/2: no usual head is known for this size";
            section.missing("head_diameter", what, "head_diameter = \"15 mm\"");
        }
        return usual;
    }
    let typed = section.quantity("head_diameter", &[Measure::Length])?;
    if typed.value <= diameter_mm? {
        let found = format!(
            "{} on a bolt of {} mm",
            typed.canonical(),
            short(diameter_mm?)
        );
        let expected = "a mean bearing diameter larger than the bolt";
        section.bad(
            &id::GEOMETRY,
            "head_diameter",
            &found,
            expected,
            "it is the mean of the bearing face and the hole",
        );
        return None;
    }
    Some(typed.value)
}

/// Property class and yield strength `Rp0.2` (MPa), the latter from the former where a class is stated.
fn strength(
    section: &Section<'_, '_>,
    diameter_mm: Option<f64>,
) -> (Option<PropertyClass>, Option<f64>) {
    let why = "the property class gives the yield strength";
    if section.exclude("property_class", "yield_strength", why) {
        return (None, None);
    }
    if section.has("yield_strength") {
        let typed = section.quantity("yield_strength", &[Measure::Stress]);
        if let Some(typed) = typed.filter(|s| !(50.0..=3000.0).contains(&s.value)) {
            section.bad(
                &id::RANGE,
                "yield_strength",
                &typed.canonical(),
                "0.2 % yield strength from 50 to 3000 MPa",
                "class 8.8 has 640 MPa",
            );
        }
        return (None, typed.map(|typed| typed.value));
    }
    let name = word(
        section,
        "property_class",
        &PropertyClass::ALL.map(PropertyClass::name),
    );
    let class = PropertyClass::ALL
        .into_iter()
        .find(|class| Some(class.name()) == name);
    let strength = class
        .zip(diameter_mm)
        .map(|(class, d)| class.yield_strength(d));
    (class, strength)
}

/// Settling at head and thread; 0 is allowed, less is not.
fn settling(section: &Section<'_, '_>) -> Option<Characteristic> {
    if !section.has("settling") {
        return None;
    }
    let settling = characteristic::read(section, &SETTLING)?;
    let shown = |mm: f64| SETTLING.scale.show(mm);
    if settling.nominal < 0.0 {
        let expected = "settling of 0 or more: it shortens what the bolt clamps";
        section.bad(
            &id::GEOMETRY,
            "settling",
            &shown(settling.nominal),
            expected,
            "",
        );
    } else if settling.process.quantile(REACH) < 0.0 {
        let found = format!(
            "a process with mean {} and sd {} that gives less than 0 more often than once in 1e9 joints",
            shown(settling.process.mean()),
            shown(settling.process.sd())
        );
        let hint =
            "use shape = \"truncated_normal\" with low and high, or \"lognormal\", or a smaller sd";
        section.bad(
            &id::REACH,
            "settling",
            &found,
            "settling of 0 or more in every joint",
            hint,
        );
    }
    Some(settling)
}

/// The keys of how the bolt gives.
const GIVE: [&str; 4] = ["stiffness", "material", "head_at", "thread_at"];

/// How the bolt gives: nothing known, a stated stiffness, or the facts of a plain cylinder.
#[derive(Debug)]
struct Give {
    stiffness_n_per_mm: Option<f64>,
    material: Option<Material>,
    head_at_mm: Option<f64>,
    thread_at_mm: Option<f64>,
}

fn give(section: &Section<'_, '_>) -> Give {
    let stated = section.has("stiffness");
    let whole = !stated && GIVE.map(|key| section.has(key)).contains(&true);
    let stiffness = section.quantity("stiffness", &[Measure::Stiffness]);
    if let Some(typed) = stiffness.filter(|k| k.value <= 0.0) {
        section.bad(
            &id::GEOMETRY,
            "stiffness",
            &typed.canonical(),
            "a stiffness above 0",
            "",
        );
    }
    if whole {
        for (key, what, example) in [
            (
                "head_at",
                "where the head bears, from the hub's clamping face (for the bolt as a cylinder)",
                "head_at = \"30 mm\"",
            ),
            (
                "thread_at",
                "the first loaded thread, from the shoulder (for the bolt as a cylinder)",
                "thread_at = \"20 mm\"",
            ),
        ] {
            if !section.has(key) {
                section.missing(key, what, example);
            }
        }
    }
    let head_at = section.quantity("head_at", &[Measure::Length]);
    if let Some(typed) = head_at.filter(|at| at.value <= 0.0) {
        let expected = "a length above 0 from the hub's clamping face to where the head bears";
        section.bad(&id::GEOMETRY, "head_at", &typed.canonical(), expected, "");
    }
    let thread_at = section.quantity("thread_at", &[Measure::Length]);
    Give {
        stiffness_n_per_mm: stiffness.map(|k| k.value),
        material: if whole || section.has("material") {
            material(section)
        } else {
            None
        },
        head_at_mm: head_at.map(|at| at.value),
        thread_at_mm: thread_at.map(|at| at.value),
    }
}

/// Refuses a bolt whose head would bear inside the shaft's cone.
fn inside_the_shaft(head: &Section<'_, '_>, scenario: &Scenario, at: f64) {
    let Some(cones) = scenario.cones() else {
        return;
    };
    let end = cones.shaft.small_end_mm;
    if at <= end
        && let Some(section) = head.section("bolt")
    {
        let found = format!(
            "a head {} mm from the shoulder (spacer and head_at together), and a shaft whose flank ends at {} mm",
            short(at),
            short(end)
        );
        section.bad(
            &id::GEOMETRY,
            "head_at",
            &found,
            "a head beyond the small end of the shaft's flank",
            "head_at counts from the hub's clamping face: shaft.flank, spacer.thickness and head_at do not agree",
        );
    }
}

/// Refuses a bolt whose first loaded thread lies beyond its head when the spacer is just pinched.
pub(crate) fn grip(head: &Section<'_, '_>, scenario: &Scenario) {
    let bolt = &scenario.bolt;
    let thickness = scenario.spacer.thickness.nominal;
    if let Some(head_at) = bolt.head_at_mm {
        inside_the_shaft(head, scenario, thickness + head_at);
    }
    let Some((head_at, thread_at)) = bolt.head_at_mm.zip(bolt.thread_at_mm) else {
        return;
    };
    let length = thickness + head_at - thread_at;
    if length <= 0.0
        && let Some(section) = head.section("bolt")
    {
        let found = format!(
            "a head {} mm and a thread {} mm from the shoulder (spacer {} mm)",
            short(thickness + head_at),
            short(thread_at),
            short(thickness)
        );
        section.bad(
            &id::GEOMETRY,
            "thread_at",
            &found,
            "a first loaded thread nearer to the shoulder than the head",
            "head_at counts from the hub's clamping face, thread_at from the shoulder",
        );
    }
}

#[cfg(test)]
mod tests {
    use toml::de::DeTable;

    use super::*;
    use crate::scenario::document::{self, Spot};
    use crate::scenario::lines::Lines;
    use crate::scenario::walk::Walk;

    /// The bolt of a table, and the keys of what was reported.
    fn of(text: &str) -> (Option<Bolt>, Vec<String>) {
        let parsed = DeTable::parse(text).unwrap();
        let table = document::table(parsed.get_ref(), &Spot::File);
        let lines = Lines::new(text);
        let walk = Walk::new("bolt.toml", &lines);
        let section = Section::head(&walk, &table);
        let bolt = read(&section);
        section.finish();
        let problems = walk.into_problems();
        (bolt, problems.into_iter().map(|p| p.key).collect())
    }

    fn good(text: &str) -> Bolt {
        let text = format!("torque = \"60 N*m\"\n{text}");
        let (bolt, problems) = of(&text);
        bolt.unwrap_or_else(|| panic!("{text}: {problems:?}"))
    }

    #[test]
    fn a_nut_factor_needs_no_more_than_a_diameter() {
        let bolt = good("size = \"12 mm\"\nnut_factor = 0.2");
        assert_eq!((bolt.diameter_mm, bolt.thread), (12.0, None));
        let Tightening::NutFactor(factor) = &bolt.tightening else {
            panic!("{bolt:?}");
        };
        assert_eq!((factor.path, factor.nominal), ("bolt.nut_factor", 0.2));
        assert!(bolt.settling.is_none() && bolt.yield_strength_mpa.is_none());
    }

    #[test]
    fn frictions_take_the_head_of_the_size_unless_one_is_stated() {
        let frictions = "thread_friction = 0.12\nhead_friction = { nominal = 0.14, process = { shape = \"normal\", sd = \"8 %\" } }\n";
        for (more, expected) in [
            ("size = \"M12x1.25\"", 15.05),
            ("size = \"M12x1.25\"\nhead_diameter = \"17 mm\"", 17.0),
            ("size = \"12 mm\"\npitch = \"1.25 mm\"", 15.05),
        ] {
            let bolt = good(&format!("{frictions}{more}"));
            assert_eq!(
                bolt.thread.map(|t| (t.diameter(), t.pitch())),
                Some((12.0, 1.25))
            );
            let Tightening::Friction {
                thread,
                head,
                head_diameter_mm,
            } = bolt.tightening
            else {
                panic!("{more}");
            };
            assert_eq!((thread.nominal, head.nominal), (0.12, 0.14));
            assert!((head.process.sd() - 0.0112).abs() < 1e-15);
            assert!((head_diameter_mm - expected).abs() < 1e-12, "{more}");
        }
    }

    #[test]
    fn strength_comes_from_the_class_or_as_stated() {
        let strength = |size: &str, text: &str| {
            let bolt = good(&format!("size = \"{size}\"\nnut_factor = 0.2\n{text}"));
            (
                bolt.property_class.map(PropertyClass::name),
                bolt.yield_strength_mpa,
            )
        };
        assert_eq!(
            strength("M16", "property_class = \"8.8\""),
            (Some("8.8"), Some(640.0))
        );
        assert_eq!(
            strength("M18", "property_class = \"8.8\""),
            (Some("8.8"), Some(660.0))
        );
        assert_eq!(
            strength("M18", "property_class = \"12.9\""),
            (Some("12.9"), Some(1100.0))
        );
        assert_eq!(
            strength("M18", "yield_strength = \"0.7 GPa\""),
            (None, Some(700.0))
        );
    }

    #[test]
    fn settling_may_be_nothing_and_goes_with_either_way_to_a_stiffness() {
        let base = "size = \"M12\"\nnut_factor = 0.2\nsettling = \"0 um\"\n";
        let bolt = good(&format!("{base}stiffness = \"80 N/um\""));
        assert_eq!(bolt.stiffness_n_per_mm, Some(80_000.0));
        assert_eq!(bolt.settling.map(|s| s.nominal), Some(0.0));
        let cylinder = "material = \"steel\"\nhead_at = \"30 mm\"\nthread_at = \"-8 mm\"";
        let bolt = good(&format!("{base}{cylinder}"));
        assert_eq!(bolt.material.map(|m| m.modulus_mpa), Some(210_000.0));
        assert_eq!(
            (bolt.head_at_mm, bolt.thread_at_mm),
            (Some(30.0), Some(-8.0))
        );
    }

    #[test]
    fn what_is_incomplete_is_reported_by_the_key_to_add() {
        for (text, keys) in [
            ("size = \"M12\"", &["nut_factor"][..]),
            ("size = \"M12\"\nhead_friction = 0.1", &["thread_friction"]),
            (
                "size = \"12 mm\"\nnut_factor = 0.2\nproperty_class = \"8.8\"",
                &["pitch"],
            ),
            (
                "size = \"12.5 mm\"\npitch = \"1 mm\"\nthread_friction = 0.1\nhead_friction = 0.1",
                &["head_diameter"],
            ),
            (
                "size = \"M12\"\nnut_factor = 0.2\nsettling = \"4 um\"",
                &["stiffness"],
            ),
            (
                "size = \"M12\"\nnut_factor = 0.2\nmaterial = \"steel\"",
                &["head_at", "thread_at"],
            ),
            (
                "size = \"M12\"\nnut_factor = 0.2\nhead_at = \"30 mm\"",
                &["thread_at", "material"],
            ),
        ] {
            let (bolt, problems) = of(&format!("torque = \"60 N*m\"\n{text}"));
            assert!(bolt.is_none(), "{text}");
            assert_eq!(problems, keys, "{text}");
        }
    }
}
