//! Reads a process: its shape, in the way in which the shape describes itself, and its slow parts.
//!
//! Names and keys of shapes come from [`distributions::KINDS`] alone; only a constant and a mixture are read in a way of their
//! own.

use std::sync::Arc;

use distributions::{KINDS, Kind, Shape};
use sampling::Process;

use crate::problem::escape::quoted;
use crate::problem::id;
use crate::scenario::characteristic::{Drawing, Spec};
use crate::scenario::mixture::{self, Member};
use crate::scenario::parameters::Parameters;
use crate::scenario::refused::refuse;
use crate::scenario::scale::Scale;
use crate::scenario::slow::{self, SlowParts};
use crate::scenario::stated::{self, Moments, has_factor};
use crate::scenario::tightening_factor::TighteningFactor;
use crate::scenario::walk::{Section, nearest};

/// The shape without scatter.
pub(crate) const CONSTANT: &str = "constant";

/// A process as typed.
#[derive(Debug, Clone)]
pub(crate) struct Typed {
    shape: TypedShape,
    slow: SlowParts,
}

/// The scatter from part to part as typed.
#[derive(Debug, Clone)]
pub(crate) enum TypedShape {
    /// None: the same value always.
    Constant(Moments),
    /// A kind of shape by mean and standard deviation, with its further parameters.
    ByMoments(&'static Kind, Moments, Parameters),
    /// A kind of shape by parameters of its own.
    ByParameters(&'static Kind, Parameters),
    /// Several kinds at once.
    Mixture(Vec<Member>),
}

/// The scatter from part to part in the unit of the inside.
#[derive(Debug)]
pub(crate) enum Built {
    /// The same value always.
    Constant(f64),
    /// A shape with its name.
    Shape(&'static str, Arc<dyn Shape>),
}

impl Typed {
    /// Reads the table; `None` when something was reported.
    pub(crate) fn read(section: &Section<'_, '_>, scale: Scale) -> Option<Typed> {
        let before = section.walk.count();
        let shape = read_name(section, &names(true))
            .map(|name| TypedShape::read(section, scale, name, &slow::KEYS));
        let slow = match shape {
            Some(Some(TypedShape::Constant(_))) => SlowParts::default(),
            _ => SlowParts::read(section, scale),
        };
        let shape = shape?;
        let typed = shape.map(|shape| Typed { shape, slow });
        typed.filter(|_| section.walk.count() == before)
    }

    /// The process in the unit of the inside, and how it was stated in words.
    pub(crate) fn build(
        &self,
        section: &Section<'_, '_>,
        spec: &Spec,
        drawing: &Drawing,
    ) -> Option<(Process, String)> {
        let slow = self.slow.build(section, spec, drawing)?;
        let (built, stated) = self.shape.build(section, spec, drawing, slow::sd(&slow))?;
        let made = match built {
            Built::Constant(value) => Process::constant(value),
            Built::Shape(name, shape) => Ok(Process::shaped(name, shape)),
        };
        made.and_then(|process| process.with_slow(slow))
            .map_err(|error| refuse(section, spec, drawing.nominal, &error))
            .ok()
            .map(|process| (process, stated))
    }
}

impl TypedShape {
    /// Reads the keys of a shape; `also` are keys that may stand beside them.
    pub(crate) fn read(
        section: &Section<'_, '_>,
        scale: Scale,
        name: &'static str,
        also: &[&'static str],
    ) -> Option<TypedShape> {
        let keys = keys_of(name);
        refuse_foreign(section, scale, name, &keys, also);
        if name == CONSTANT {
            return Some(TypedShape::Constant(Moments::read_mean(section, scale)));
        }
        if name == mixture::NAME {
            return mixture::read(section, scale).map(TypedShape::Mixture);
        }
        let kind = Kind::named(name)?;
        let by_moments = states_moments(section, scale, kind)?;
        Some(match (kind.by_moments, kind.by_parameters) {
            (Some(moments), _) if by_moments => TypedShape::ByMoments(
                kind,
                Moments::read(section, scale, name),
                Parameters::read(section, scale, moments.extra),
            ),
            (_, Some(own)) => {
                TypedShape::ByParameters(kind, Parameters::read(section, scale, own.parameters))
            }
            _ => return None,
        })
    }

    /// The shape in the unit of the inside, and how it was stated in words. `slow_sd` is the standard deviation of the slow
    /// parts of the process.
    pub(crate) fn build(
        &self,
        section: &Section<'_, '_>,
        spec: &Spec,
        drawing: &Drawing,
        slow_sd: f64,
    ) -> Option<(Built, String)> {
        let built = match self {
            TypedShape::Constant(moments) => {
                let value = moments.mean_of(section, spec, drawing)?;
                Ok((Built::Constant(value), "no scatter".to_owned()))
            }
            TypedShape::ByMoments(kind, moments, extra) => {
                let (mean, sd, stated) = moments.mean_and_sd(section, spec, drawing, slow_sd)?;
                let values = extra.values(section, spec, drawing)?;
                if sd == 0.0 && extra.spans(&values, mean) {
                    return Some((Built::Constant(mean), stated_with(stated, extra, "cut at")));
                }
                let shape = (kind.by_moments?.build)(mean, sd, &values);
                shape.map(|shape| {
                    // A shape that keeps the stated standard deviation is not cut: it ends there.
                    let kept = libm::fabs(shape.sd() - sd) <= 1e-9 * sd;
                    let ends = if kept { "inside" } else { "cut at" };
                    let stated = stated_with(stated, extra, ends);
                    (Built::Shape(kind.name, shape), stated)
                })
            }
            TypedShape::ByParameters(kind, own) => {
                let values = own.values(section, spec, drawing)?;
                let shape = (kind.by_parameters?.build)(&values);
                shape.map(|shape| (Built::Shape(kind.name, shape), filled(own)))
            }
            TypedShape::Mixture(members) => mixture::build(members, section, spec, drawing)?,
        };
        built
            .map_err(|error| refuse(section, spec, drawing.nominal, &error))
            .ok()
    }
}

/// How mean and standard deviation were stated, and the further parameters.
fn stated_with(stated: String, extra: &Parameters, ends: &str) -> String {
    let range = extra.range().map(|range| format!("{ends} the {range}"));
    let parts = std::iter::once(stated).chain(extra.words()).chain(range);
    parts.collect::<Vec<_>>().join(", ")
}

/// How parameters were stated.
fn filled(own: &Parameters) -> String {
    let range = own.range().map(|range| format!("fills the {range}"));
    let parts = range.into_iter().chain(own.words());
    parts.collect::<Vec<_>>().join(", ")
}

/// The names of all shapes in the order of the alphabet.
pub(crate) fn names(mixture_too: bool) -> Vec<&'static str> {
    let mut names: Vec<_> = KINDS.iter().map(|kind| kind.name).collect();
    if mixture_too {
        names.extend([CONSTANT, mixture::NAME]);
    }
    names.sort_unstable();
    names
}

/// The keys that belong to a shape, without those of a torque.
fn keys_of(name: &str) -> Vec<&'static str> {
    if name == CONSTANT {
        return stated::OF_MEAN.to_vec();
    }
    if name == mixture::NAME {
        return mixture::KEYS.to_vec();
    }
    let Some(kind) = Kind::named(name) else {
        return vec![];
    };
    let moments = kind.by_moments.map_or(&[][..], |_| &stated::KEYS);
    let mut keys = moments.to_vec();
    for key in parameter_keys(kind) {
        if !keys.contains(&key) {
            keys.push(key);
        }
    }
    keys
}

/// Keys of all parameters of a kind.
fn parameter_keys(kind: &Kind) -> impl Iterator<Item = &'static str> {
    let extra = kind.by_moments.map_or(&[][..], |way| way.extra);
    let own = kind.by_parameters.map_or(&[][..], |way| way.parameters);
    extra.iter().chain(own).map(|parameter| parameter.key)
}

/// Refuses keys that belong to other shapes.
fn refuse_foreign(
    section: &Section<'_, '_>,
    scale: Scale,
    name: &str,
    keys: &[&'static str],
    also: &[&'static str],
) {
    let of_shapes = KINDS.iter().flat_map(|kind| parameter_keys(kind));
    let known = stated::KEYS
        .into_iter()
        .chain(of_shapes)
        .chain(mixture::KEYS)
        .chain(slow::KEYS);
    let mut seen = vec![];
    for key in known {
        let belongs = keys.contains(&key) || (also.contains(&key) && name != CONSTANT);
        if belongs || seen.contains(&key) || !section.has_foreign(key) {
            continue;
        }
        seen.push(key);
        let found = format!("{key} with the shape {}", quoted(name));
        let expected = format!("only {} with this shape", keys.join(", "));
        let hint = match slow::KEYS.contains(&key) {
            true => "for slow parts alone write shape = \"normal\" with sd = \"0 um\"",
            false => "",
        };
        section.bad(&id::CONTRADICTION, key, &found, &expected, hint);
    }
    if has_factor(scale) && !keys.contains(&"sd") {
        TighteningFactor::read(section, name, false);
    }
}

/// Whether a kind is stated by mean and standard deviation, as its keys tell; `None` when it is stated in both ways.
fn states_moments(section: &Section<'_, '_>, scale: Scale, kind: &Kind) -> Option<bool> {
    let (Some(moments), Some(own)) = (kind.by_moments, kind.by_parameters) else {
        return Some(kind.by_moments.is_some());
    };
    let of = |parameters: &'static [distributions::kind::Parameter]| {
        parameters.iter().map(|parameter| parameter.key)
    };
    let shared =
        |key: &&str| of(moments.extra).any(|k| k == *key) && of(own.parameters).any(|k| k == *key);
    let torque = stated::OF_TORQUE.into_iter().filter(|_| has_factor(scale));
    let first = stated::KEYS
        .into_iter()
        .chain(torque)
        .chain(of(moments.extra))
        .filter(|key| !shared(key))
        .find(|key| section.has(key));
    let second = of(own.parameters)
        .filter(|key| !shared(key))
        .find(|key| section.has(key));
    if let Some((first, second)) = first.zip(second) {
        let why = "mean and standard deviation, or the parameters of the shape";
        section.exclude(first, second, why);
        return None;
    }
    Some(second.is_none())
}

/// Reads the name of the shape. Without one that is known no other key is called unknown.
pub(crate) fn read_name(section: &Section<'_, '_>, names: &[&'static str]) -> Option<&'static str> {
    if !section.has("shape") {
        section.missing(
            "shape",
            &format!("the shape of the distribution: {}", names.join(", ")),
            "shape = \"normal\"",
        );
    }
    let name = word(section, "shape", names);
    if name.is_none() {
        ignore_keys(section);
    }
    name
}

/// Lets no key of any shape be called unknown, where the shape is not known.
pub(crate) fn ignore_keys(section: &Section<'_, '_>) {
    let of_shapes = KINDS.iter().flat_map(|kind| parameter_keys(kind));
    let of_moments = stated::KEYS.into_iter().chain(stated::OF_TORQUE);
    for key in of_moments.chain(mixture::KEYS).chain(of_shapes) {
        section.has_foreign(key);
    }
}

/// One of a few words under a key.
pub(crate) fn word(
    section: &Section<'_, '_>,
    key: &'static str,
    words: &[&'static str],
) -> Option<&'static str> {
    let typed = section.text(key)?;
    let known = words.iter().copied().find(|w| *w == typed);
    if known.is_none() {
        let hint = nearest(typed, words)
            .map_or_else(String::new, |w| format!("did you mean {}?", quoted(w)));
        section.bad(&id::WORD, key, &quoted(typed), &one_of(words), &hint);
    }
    known
}

/// `one of a, b`, or the only word.
fn one_of(words: &[&str]) -> String {
    match words {
        [only] => quoted(only),
        words => format!("one of {}", words.join(", ")),
    }
}
