//! Reads one characteristic: nominal, drawing limits, process.

use crate::problem::id;
use crate::scenario::Characteristic;
use crate::scenario::document::{Entry, Value};
use crate::scenario::drawn;
use crate::scenario::process::Typed;
use crate::scenario::scale::{Scale, short};
use crate::scenario::value::read_quantity;
use crate::scenario::walk::Section;
use sampling::Process;

/// What a characteristic is, before it is read.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Spec {
    /// Key in its table.
    pub(crate) key: &'static str,
    /// Dotted path of the finished characteristic.
    pub(crate) path: &'static str,
    /// How it is typed.
    pub(crate) scale: Scale,
    /// Whether it must be above 0 on every part.
    pub(crate) positive: bool,
    /// The words for a message, with an article.
    pub(crate) words: &'static str,
    /// A value as an example.
    pub(crate) example: &'static str,
}

/// Probability of a value at or below 0 that is still accepted; draws are not cut there.
pub(crate) const REACH: f64 = 1.0e-9;

/// Nominal and drawing limits, in the unit of the inside.
#[derive(Debug, Clone)]
pub(crate) struct Drawing {
    /// Nominal.
    pub(crate) nominal: f64,
    /// Lower limit.
    pub(crate) lower: Option<f64>,
    /// Upper limit.
    pub(crate) upper: Option<f64>,
    /// The class or grade that gave the limits.
    pub(crate) class: Option<String>,
}

/// A nominal that holds where a scenario states none.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Usual<'u> {
    /// In the unit of the inside.
    pub(crate) nominal: f64,
    /// How the process is stated when the whole characteristic is left out.
    pub(crate) stated: &'u str,
}

/// Reads a characteristic that must be there.
pub(crate) fn read(section: &Section<'_, '_>, spec: &Spec) -> Option<Characteristic> {
    read_or(section, spec, None)
}

/// Reads a characteristic that may be left out, or leave out its nominal, where there is a usual one.
pub(crate) fn read_or(
    section: &Section<'_, '_>,
    spec: &Spec,
    usual: Option<Usual<'_>>,
) -> Option<Characteristic> {
    read_on(section, spec, usual, None)
}

/// The same for the angle of a cone, whose flank has this length along the axis (mm).
pub(crate) fn read_on(
    section: &Section<'_, '_>,
    spec: &Spec,
    usual: Option<Usual<'_>>,
    flank: Option<f64>,
) -> Option<Characteristic> {
    let Some(entry) = section.get(spec.key) else {
        if let Some(usual) = usual {
            return constant(spec, usual);
        }
        section.missing(
            spec.key,
            spec.words,
            &format!("{} = {}", spec.key, spec.example),
        );
        return None;
    };
    let before = section.walk.count();
    let (drawing, process, stated) = match &entry.node.value {
        Value::Table(_) => from_table(section.section(spec.key)?, spec, usual, flank)?,
        _ => from_quantity(section, entry, spec)?,
    };
    let found = Characteristic {
        path: spec.path,
        nominal: drawing.nominal,
        lower: drawing.lower,
        upper: drawing.upper,
        process,
        stated,
        class: drawing.class,
        from_lot: None,
        inspection: None,
        shown_in: spec.scale.shown_in(),
    };
    reach(section, spec, &found);
    (section.walk.count() == before).then_some(found)
}

/// A characteristic stated by its value alone: no drawing limits, no scatter.
fn from_quantity(
    section: &Section<'_, '_>,
    entry: &Entry,
    spec: &Spec,
) -> Option<(Drawing, Process, String)> {
    let path = section.path_of(spec.key);
    let typed = read_quantity(
        section.walk,
        &entry.node,
        &path,
        spec.scale.absolute_measures(),
    )?;
    let nominal = spec.scale.absolute(typed);
    if !check_nominal(section, spec.key, spec, nominal) {
        return None;
    }
    let process = Process::constant(nominal).ok()?;
    Some((
        Drawing {
            nominal,
            lower: None,
            upper: None,
            class: None,
        },
        process,
        "value alone, no scatter".to_owned(),
    ))
}

/// A characteristic at its usual nominal, without drawing limits and scatter.
fn constant(spec: &Spec, usual: Usual<'_>) -> Option<Characteristic> {
    Some(Characteristic {
        path: spec.path,
        nominal: usual.nominal,
        lower: None,
        upper: None,
        process: Process::constant(usual.nominal).ok()?,
        stated: usual.stated.to_owned(),
        class: None,
        from_lot: None,
        inspection: None,
        shown_in: spec.scale.shown_in(),
    })
}

fn from_table(
    table: Section<'_, '_>,
    spec: &Spec,
    usual: Option<Usual<'_>>,
    flank: Option<f64>,
) -> Option<(Drawing, Process, String)> {
    let nominal = read_nominal(&table, spec, usual);
    for (key, hint) in LATER {
        table.not_yet(key, hint);
    }
    let limits = drawn::read(&table, spec, nominal, flank);
    let typed = match table.get("process").map(|entry| &entry.node.value) {
        Some(_) => table
            .section("process")
            .map(|section| (Typed::read(&section, spec.scale), section)),
        None => {
            table.missing("process", "what the machine makes", "process = { shape = \"normal\", sd = \"2 %\" }, or { shape = \"constant\" } for no scatter");
            None
        }
    };
    table.finish();
    let drawing = nominal.zip(limits).map(|(nominal, limits)| Drawing {
        nominal,
        lower: limits.lower,
        upper: limits.upper,
        class: limits.class,
    });
    let (typed, section) = typed?;
    let built = typed
        .zip(drawing.as_ref())
        .and_then(|(typed, drawing)| typed.build(&section, spec, drawing));
    section.finish();
    let (process, stated) = built?;
    Some((drawing?, process, stated))
}

/// Keys of a later version, each with what to write instead.
const LATER: [(&str, &str); 1] = [("inspection", "state the process as it is after inspection")];

fn read_nominal(table: &Section<'_, '_>, spec: &Spec, usual: Option<Usual<'_>>) -> Option<f64> {
    let Some(entry) = table.get("nominal") else {
        if let Some(usual) = usual {
            return Some(usual.nominal);
        }
        table.missing(
            "nominal",
            spec.words,
            &format!("nominal = {}", spec.example),
        );
        return None;
    };
    let path = table.path_of("nominal");
    let typed = read_quantity(
        table.walk,
        &entry.node,
        &path,
        spec.scale.absolute_measures(),
    )?;
    let nominal = spec.scale.absolute(typed);
    check_nominal(table, "nominal", spec, nominal).then_some(nominal)
}

/// Refuses a nominal that no part can have.
fn check_nominal(section: &Section<'_, '_>, key: &str, spec: &Spec, nominal: f64) -> bool {
    let shown = spec.scale.show(nominal);
    if spec.scale.is_angle() {
        if nominal <= 0.0 {
            section.bad(&id::GEOMETRY, key, &shown, &format!("{} above 0", spec.words), "without a wedge nothing seats; a part grows thinner from the large end to the small end");
            return false;
        }
        if nominal >= std::f64::consts::FRAC_PI_4 {
            section.bad(
                &id::GEOMETRY,
                key,
                &shown,
                "an included angle below 90 deg (half-angle below 45 deg, rate below 2)",
                "a steeper one is no seat; check the unit",
            );
            return false;
        }
    } else if spec.positive && nominal <= 0.0 {
        section.bad(
            &id::GEOMETRY,
            key,
            &shown,
            &format!("{} above 0", spec.words),
            "",
        );
        return false;
    }
    true
}

/// Factors between two values that are more likely a unit slip than a choice.
const SLIPS: [(f64, &str); 3] = [
    (1000.0, "1000 times (um and mm?)"),
    (25.4, "25.4 times (mm and inch?)"),
    (57.295_779_513_082_32, "57.3 times (deg and rad?)"),
];

/// Refuses a value that is off the nominal by the factor of a unit slip.
pub(crate) fn check_slip(
    section: &Section<'_, '_>,
    key: &str,
    spec: &Spec,
    nominal: f64,
    value: f64,
) -> bool {
    let ratio = value / nominal;
    let slip = SLIPS.iter().find(|(factor, _)| {
        [ratio / factor, ratio * factor]
            .iter()
            .any(|r| (0.95..=1.05).contains(r))
    });
    if let Some((_, words)) = slip {
        let off = if ratio.abs() > 1.0 {
            "larger"
        } else {
            "smaller"
        };
        let found = format!(
            "{}, {words} {off} than the nominal {}",
            spec.scale.show(value),
            spec.scale.show(nominal)
        );
        section.bad(
            &id::SLIP,
            key,
            &found,
            "a value near the nominal",
            "check the units of both",
        );
    }
    slip.is_none()
}

/// Refuses a process that gives impossible parts: at or below 0, or an angle far off its nominal.
fn reach(section: &Section<'_, '_>, spec: &Spec, found: &Characteristic) {
    let process = &found.process;
    if spec.scale.is_angle() {
        let (low, high) = (
            process.mean() - 8.5 * process.sd(),
            process.mean() + 8.5 * process.sd(),
        );
        if low < found.nominal - ANGLE_REACH || high > found.nominal + ANGLE_REACH {
            let found = format!(
                "a half-angle from {} to {} (mean and 8.5 sd of the process)",
                Scale::HalfAngle.show(low),
                Scale::HalfAngle.show(high)
            );
            section.bad(
                &id::REACH,
                spec.key,
                &found,
                "a half-angle that stays within 0.05 rad of its nominal",
                "that is no seat; check the unit of the standard deviation",
            );
            return;
        }
    }
    if !(spec.positive || spec.scale.is_angle()) {
        return;
    }
    let lowest = process.quantile(REACH);
    if lowest <= 0.0 {
        let found = format!(
            "a process with mean {} and sd {} that gives 0 or less more often than once in 1e9 parts",
            spec.scale.show(process.mean()),
            short_sd(spec, found.nominal, process.sd())
        );
        section.bad(
            &id::REACH,
            spec.key,
            &found,
            &format!("{} above 0 on every part", spec.words),
            "use shape = \"truncated_normal\" with low and high, or \"lognormal\", or a smaller sd",
        );
    }
}

/// Furthest that a half-angle may stray from its nominal (rad).
const ANGLE_REACH: f64 = 0.05;

/// A standard deviation in the way it is typed, for a message.
pub(crate) fn short_sd(spec: &Spec, nominal: f64, sd: f64) -> String {
    match spec.scale {
        Scale::TaperRate => short(2.0 * (libm::tan(nominal + sd) - libm::tan(nominal))),
        scale => scale.show(sd),
    }
}
