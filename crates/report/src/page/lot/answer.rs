//! The answer: counts first, then what the index demonstrates, then what stands in its way.

use record::{LotCapability, LotCharacteristic, LotStudy};

use super::{drawn_words, name, overview, said, warnings};
use crate::chart::lot::{Reader, demonstrates, leading, two};
use crate::figure;
use crate::text::{self, escape, html};

/// Below so many readings ISO 22514-3 does not hold a machine performance study suitable.
const FEWEST: u64 = 30;

/// The sentences of the answer for the terminal; with several characteristics each begins with the name.
pub fn findings(study: &LotStudy) -> Vec<String> {
    let is_single = study.characteristics.len() == 1;
    let of = |c: &LotCharacteristic| {
        let mut said = of_one(c, study.confidence);
        if !is_single && let Some(first) = said.first_mut() {
            *first = format!("{}: {first}", text::short(&name(c), 60));
        }
        said
    };
    study.characteristics.iter().flat_map(of).collect()
}

/// The body of the section; so many characteristics are drawn.
pub fn section_body(study: &LotStudy, drawn: usize) -> String {
    let body = match study.characteristics.as_slice() {
        [] => said("The file holds no characteristic to study."),
        [only] => sentences(study, only),
        several => {
            let lead = format!("<p class=\"lead\">{}</p>\n", escape(&overall(several)));
            lead + &drawn_words(study, drawn) + &overview::all(several)
        }
    };
    body + &warnings(study.warnings.iter())
}

/// The sentences of one characteristic, the counts largest.
pub fn sentences(study: &LotStudy, c: &LotCharacteristic) -> String {
    let said = of_one(c, study.confidence);
    let (first, rest) = said
        .split_first()
        .map_or(("", &[][..]), |(f, r)| (f.as_str(), r));
    let mut body = format!("<p class=\"lead\">{}</p>\n", html(first));
    body.extend(rest.iter().map(|words| format!("<p>{}</p>\n", html(words))));
    body + &warnings(c.notes.iter())
}

/// All characteristics in two sentences.
fn overall(all: &[LotCharacteristic]) -> String {
    let of = all.len();
    let limited = all.iter().filter(|c| has_limits(c)).count();
    if limited == 0 {
        return format!("{of} characteristics were studied; no drawing limit is stated for any.");
    }
    let out = all.iter().filter(|c| c.outside.0 + c.outside.1 > 0).count();
    let noun = if limited == 1 {
        "characteristic"
    } else {
        "characteristics"
    };
    let have = match out {
        0 => "none has readings".to_owned(),
        1 => "1 has readings".to_owned(),
        n => format!("{n} have readings"),
    };
    let counted = format!("Of {limited} {noun} with drawing limits, {have} outside the drawing.");
    let weakest = all
        .iter()
        .filter_map(|c| Some((c, leading(c.capability.as_ref()?)?)))
        .min_by(|a, b| a.1.1.value.total_cmp(&b.1.1.value));
    match weakest {
        Some((c, (index, seen))) => format!(
            "{counted} The lowest leading index is {index} {} of {}.",
            two(seen.value),
            text::short(&name(c), 60)
        ),
        None => counted,
    }
}

fn has_limits(c: &LotCharacteristic) -> bool {
    c.lower.is_some() || c.upper.is_some()
}

/// The sentences of one characteristic.
fn of_one(c: &LotCharacteristic, confidence: f64) -> Vec<String> {
    if c.n == 0 {
        return vec!["Nothing was measured.".to_owned()];
    }
    let mut said = vec![counts(c)];
    said.extend(
        c.capability
            .as_ref()
            .and_then(|cap| expected(cap, confidence)),
    );
    if let Some(cap) = &c.capability {
        said.extend(index(c, cap, confidence));
    }
    said.extend(few(c));
    said.extend(order(c));
    said.extend(Some(c.normality.words.clone()).filter(|w| !w.is_empty() && c.n > 1));
    said.extend(resolution(c));
    said.push(gauge(c));
    said.extend(outliers(c));
    said
}

/// Readings of a gauge study are not parts: each part was read several times.
fn noun(c: &LotCharacteristic) -> [&'static str; 2] {
    match has_gauge(c) {
        true => ["reading", "readings"],
        false => ["part measured", "parts measured"],
    }
}

fn has_gauge(c: &LotCharacteristic) -> bool {
    c.gauge.as_ref().is_some_and(|g| g.reason.is_empty())
}

/// `100 parts measured`.
fn counted(c: &LotCharacteristic) -> String {
    let [one, many] = noun(c);
    format!(
        "{} {}",
        figure::count(c.n),
        if c.n == 1 { one } else { many }
    )
}

/// How many lie outside the drawing.
fn counts(c: &LotCharacteristic) -> String {
    if !has_limits(c) {
        return format!(
            "{}; no drawing limit is stated, so none can be called good or bad.",
            counted(c)
        );
    }
    let reader = Reader::of(c);
    let (below, above) = c.outside;
    let limit = |limit: Option<f64>| limit.map_or(String::new(), |l| reader.stated(l));
    let places = match (below, above) {
        (_, 0) => format!("below {}", limit(c.lower)),
        (0, _) => format!("above {}", limit(c.upper)),
        (b, a) => format!(
            "{} below {}, {} above {}",
            figure::count(b),
            limit(c.lower),
            figure::count(a),
            limit(c.upper)
        ),
    };
    match below + above {
        0 if c.n == 1 => format!("The one {} lies inside the drawing.", noun(c)[0]),
        0 => format!("Of {}, none lies outside the drawing.", counted(c)),
        out if out == c.n && c.n == 1 => {
            format!("The one {} lies outside the drawing, {places}.", noun(c)[0])
        }
        out if out == c.n => format!("All {} lie outside the drawing, {places}.", counted(c)),
        1 => format!("Of {}, 1 lies outside the drawing, {places}.", counted(c)),
        out => format!(
            "Of {}, {} lie outside the drawing, {places}.",
            counted(c),
            figure::count(out)
        ),
    }
}

/// What the leading shape says of such parts.
fn expected(cap: &LotCapability, confidence: f64) -> Option<String> {
    let share = cap.outside?;
    let level = figure::confidence(confidence);
    if share.value <= 0.0 {
        let bound = figure::fewer_than(share.high);
        return Some(format!(
            "By the shape that leads, {bound} would lie outside ({level})."
        ));
    }
    let words = if share.value < 1e-3 {
        let i = figure::in_a_million(share.value, share.low, share.high);
        format!(
            "{} in a million ({level} interval {} to {})",
            i.value, i.low, i.high
        )
    } else {
        let i = figure::percent(share.value, share.low, share.high);
        let percent = |x: &str| figure::with_unit(x, "%");
        format!(
            "{} ({level} interval {} to {})",
            percent(&i.value),
            percent(&i.low),
            percent(&i.high)
        )
    };
    Some(format!(
        "By the shape that leads, {words} of such parts lie outside, if the process stays as it was."
    ))
}

/// The leading index and what it demonstrates.
fn index(c: &LotCharacteristic, cap: &LotCapability, confidence: f64) -> Vec<String> {
    let on = counted(c).replace(" measured", "");
    let Some((name, seen)) = leading(cap) else {
        let mut said: Vec<&str> = Vec::new();
        for reason in cap
            .absent
            .values()
            .map(|reason| reason.trim_end_matches('.'))
        {
            if !said.contains(&reason) && !reason.starts_with("No index") {
                said.push(reason);
            }
        }
        let why = if said.is_empty() { "" } else { ": " };
        return vec![format!("No index is given{why}{}.", said.join(". "))];
    };
    let value = two(seen.value);
    let first = match cap.demonstrated {
        Some(bound) if bound > 0.0 => format!(
            "{name} {value} seen on {on} {}: with 95\u{A0}% confidence it is at least that.",
            demonstrates(bound)
        ),
        Some(bound) => format!(
            "{name} {value} seen on {on} {} at 95\u{A0}% confidence.",
            demonstrates(bound)
        ),
        None => format!(
            "{name} {value} seen on {on}; its interval at {} runs from {} to {}.",
            figure::confidence(confidence),
            two(seen.low),
            two(seen.high)
        ),
    };
    let presumed = (cap.demonstrated.is_some() && !c.normality.normal).then(|| {
        "That bound presumes normal readings, and these are judged not normal.".to_owned()
    });
    let why = Some(cap.leads.1.clone()).filter(|why| !why.is_empty());
    std::iter::once(first).chain(presumed).chain(why).collect()
}

fn few(c: &LotCharacteristic) -> Option<String> {
    let given = c
        .capability
        .as_ref()
        .is_some_and(|cap| leading(cap).is_some());
    (c.n < FEWEST).then(|| {
        let first = format!("Machine performance studies are not suitable below {FEWEST} values (ISO 22514-3), and here are {}", figure::count(c.n));
        if given { format!("{first}: take the index for a first impression.") } else { format!("{first}.") }
    })
}

/// The order of production, and what it does to the index.
fn order(c: &LotCharacteristic) -> Vec<String> {
    let given = c
        .capability
        .as_ref()
        .is_some_and(|cap| leading(cap).is_some());
    let found = match c.order.verdict.as_str() {
        "drift" => Some("drift"),
        "shifts" => Some("shifts"),
        _ => None,
    };
    let no_forecast = found.filter(|_| given).map(|what| format!(
        "The order shows {what}: the index is not a forecast. It describes these parts; what comes next depends on where the process moves."
    ));
    let words = Some(c.order.words.clone()).filter(|w| !w.is_empty());
    no_forecast.into_iter().chain(words).collect()
}

fn resolution(c: &LotCharacteristic) -> Option<String> {
    let step = c.resolution.step.filter(|_| c.resolution.coarse)?;
    let part = c.resolution.of_tolerance.map_or(String::new(), |part| {
        format!(
            ", {} of the tolerance",
            figure::with_unit(&figure::significant(part * 100.0, 2), "%")
        )
    });
    Some(format!(
        "The readings are coarse: they step by {}{part}. Spread and index carry that step.",
        Reader::of(c).spread(step)
    ))
}

/// What is known of the gauge.
fn gauge(c: &LotCharacteristic) -> String {
    match &c.gauge {
        None => "No gauge study is stated: how much of the spread is the gauge's own is not known."
            .to_owned(),
        Some(g) if !g.reason.is_empty() => {
            format!("No gauge study: {}.", g.reason.trim_end_matches('.'))
        }
        Some(g) => {
            let percent = |x: f64| figure::with_unit(&figure::significant(x * 100.0, 3), "%");
            let tolerance = g.of_tolerance.map_or(String::new(), |t| {
                format!(", {} of the tolerance", percent(t))
            });
            let kinds = if g.categories == 1 {
                "category"
            } else {
                "categories"
            };
            format!(
                "Gauge: {} of the total spread{tolerance}; it tells {} {kinds} of parts apart.",
                percent(g.of_total),
                figure::count(g.categories)
            )
        }
    }
}

fn outliers(c: &LotCharacteristic) -> Option<String> {
    match c.outliers.len() {
        0 => None,
        1 => Some(
            "1 reading lies far from the others; it is flagged and kept in every number."
                .to_owned(),
        ),
        n => Some(format!(
            "{n} readings lie far from the others; they are flagged and kept in every number."
        )),
    }
}
