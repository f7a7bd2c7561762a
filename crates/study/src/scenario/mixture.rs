//! Reads a mixture: shares of the parts with a shape each, such as the parts of several machines in one box.

use std::sync::Arc;

use distributions::{Mixture, Shape, ShapeError};

use crate::problem::escape::quoted;
use crate::problem::id;
use crate::scenario::characteristic::{Drawing, Spec};
use crate::scenario::document::{Node, Value};
use crate::scenario::process::{Built, CONSTANT, TypedShape, ignore_keys, names, read_name};
use crate::scenario::quantity::{Measure, Quantity};
use crate::scenario::scale::{Scale, short};
use crate::scenario::slow;
use crate::scenario::walk::Section;

/// Name of the shape.
pub(crate) const NAME: &str = "mixture";

/// Its keys.
pub(crate) const KEYS: [&str; 1] = ["of"];

/// Fewest and most members.
const MEMBERS: std::ops::RangeInclusive<usize> = 2..=16;

/// How far the sum of the shares may lie from 1.
const SUM: f64 = 1e-9;

/// A member as typed.
#[derive(Debug, Clone)]
pub(crate) struct Member {
    share: Quantity,
    shape: TypedShape,
}

/// Reads the list of members; `None` when something was reported.
pub(crate) fn read(section: &Section<'_, '_>, scale: Scale) -> Option<Vec<Member>> {
    let before = section.walk.count();
    let items = items(section)?;
    let members: Vec<_> = items
        .iter()
        .zip(1..)
        .filter_map(|(item, place)| member(section.item("of", place, item)?, scale))
        .collect();
    if section.walk.count() > before {
        return None;
    }
    let sum: f64 = members.iter().map(|member| member.share.value).sum();
    if libm::fabs(sum - 1.0) > SUM {
        section.bad(
            &id::PROCESS,
            "of",
            &format!("shares that add up to {}", short(sum)),
            "shares that add up to 1 (100 %)",
            "",
        );
        return None;
    }
    Some(members)
}

/// The list under `of`.
fn items<'w>(section: &Section<'w, '_>) -> Option<&'w [Node]> {
    let Some(entry) = section.get("of") else {
        section.missing(
            "of",
            "the members: a list of tables with a share and a shape each",
            "of = [{ share = \"60 %\", shape = \"normal\", sd = \"2 um\" }, { share = \"40 %\", shape = \"uniform\" }]",
        );
        return None;
    };
    let expected = "a list of 2 to 16 tables, each with a share and a shape";
    match &entry.node.value {
        Value::List(items) if MEMBERS.contains(&items.len()) => Some(items),
        other => {
            section.wrong_type(entry, other, expected);
            None
        }
    }
}

fn member(section: Section<'_, '_>, scale: Scale) -> Option<Member> {
    let share = share(&section);
    let shape = shape(&section, scale);
    section.finish();
    let (share, shape) = (share?, shape?);
    Some(Member { share, shape })
}

/// The shape of a member, which is no mixture and has no slow parts.
fn shape(section: &Section<'_, '_>, scale: Scale) -> Option<TypedShape> {
    let shape = match section.peek_text("shape") {
        Some(name @ (NAME | CONSTANT)) => {
            let hint = match name {
                NAME => "list the members of the inner one with their shares of the whole",
                _ => "a heap on one value is a uniform or normal with little scatter",
            };
            let found = format!("{} in a mixture", quoted(name));
            refuse(section, "shape", &found, "any other shape", hint);
            ignore_keys(section);
            None
        }
        _ => read_name(section, &names(false))
            .and_then(|name| TypedShape::read(section, scale, name, &slow::KEYS)),
    };
    for key in slow::KEYS {
        if section.has_foreign(key) {
            let found = format!("{key} in a member of a mixture");
            let expected = format!("{key} beside shape = \"mixture\", or not at all");
            let hint = "what stays the same for many parts in a row moves the whole mixture";
            refuse(section, key, &found, &expected, hint);
        }
    }
    shape
}

fn refuse(section: &Section<'_, '_>, key: &str, found: &str, expected: &str, hint: &str) {
    section.bad(&id::CONTRADICTION, key, found, expected, hint);
}

fn share(section: &Section<'_, '_>) -> Option<Quantity> {
    if !section.has("share") {
        let what = "the share of the parts that come out like this";
        section.missing("share", what, "share = \"60 %\"");
    }
    let share = section.quantity("share", &[Measure::Percent, Measure::Plain])?;
    if share.value <= 0.0 || share.value >= 1.0 {
        section.bad(
            &id::RANGE,
            "share",
            &share.canonical(),
            "a share above 0 and below 1 (100 %)",
            "",
        );
        return None;
    }
    Some(share)
}

/// The mixture in the unit of the inside, and how it was stated in words. The outer `None`: something was reported.
pub(crate) fn build(
    members: &[Member],
    section: &Section<'_, '_>,
    spec: &Spec,
    drawing: &Drawing,
) -> Option<Result<(Built, String), ShapeError>> {
    let items = items(section)?;
    let mut built: Vec<(f64, Arc<dyn Shape>)> = Vec::new();
    let mut words = Vec::new();
    for ((member, item), place) in members.iter().zip(items).zip(1..) {
        let table = section.item("of", place, item)?;
        let Some((shape, stated)) = member.shape.build(&table, spec, drawing, 0.0) else {
            continue;
        };
        match shape {
            Built::Constant(_) => refuse(
                &table,
                "sd",
                "a member without scatter",
                "a standard deviation above 0 in each member",
                "",
            ),
            Built::Shape(name, shape) => {
                let share = short(100.0 * member.share.value);
                words.push(format!("{share} % {name} ({stated})"));
                built.push((member.share.value, shape));
            }
        }
    }
    if built.len() < members.len() {
        return None;
    }
    let mixture = Mixture::new(built);
    Some(mixture.map(|mixture| {
        let shape = Built::Shape(NAME, Arc::new(mixture));
        (shape, words.join(", "))
    }))
}
