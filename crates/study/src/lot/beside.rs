//! What must stand beside an index so that a reader can judge it: filled from the readings and from what was stated, and
//! `not stated` where nothing is known.

use record::{Gauge, LotCharacteristic};

use super::words::{percent, short};

/// Where nothing is known.
const NOT_STATED: &str = "not stated";

/// What is asked for beside the readings: the words of the list, and the keys of `--about` that answer it.
const STATED: [(&str, &[&str]); 9] = [
    (
        "drawing issue",
        &["drawing issue", "drawing", "issue", "revision"],
    ),
    ("supplier", &["supplier"]),
    (
        "how often samples were taken",
        &["sampling frequency", "frequency", "sampling"],
    ),
    ("dates", &["dates", "date"]),
    ("machines", &["machines", "machine"]),
    ("cavities", &["cavities", "cavity"]),
    ("tools", &["tools", "tool"]),
    (
        "lots of material",
        &["lots", "lot", "material lot", "batch"],
    ),
    ("target", &["target"]),
];

/// The list for one characteristic that is otherwise complete.
pub(super) fn list(of: &LotCharacteristic, about: &[(String, String)]) -> Vec<(String, String)> {
    let mut list = vec![
        row("characteristic", &of.name),
        row("limits", &known(&of.limits_stated)),
        row("sides", sides(of)),
        row("readings", &of.n.to_string()),
        row("subgroups", &subgroups(of)),
    ];
    list.extend(STATED.iter().map(|(words, keys)| {
        let value = match *words {
            "target" => stated(about, keys).or_else(|| of.nominal.map(|n| target(n, &of.unit))),
            _ => stated(about, keys),
        };
        row(words, &value.unwrap_or_else(|| NOT_STATED.to_owned()))
    }));
    list.extend([
        row("spread", &spread(of)),
        row("stability", &of.order.words),
        row("distribution and test", &of.normality.words),
        row("tails", &tails(of)),
        row("method", &method(of)),
        row("doubt of the index", &doubt(of)),
        row("gauge", &gauge(of, about)),
        row("resolution", &resolution(of)),
        row("outliers", &outliers(of)),
    ]);
    list
}

fn row(what: &str, known: &str) -> (String, String) {
    (what.to_owned(), known.to_owned())
}

fn known(text: &str) -> String {
    if text.is_empty() { NOT_STATED } else { text }.to_owned()
}

/// The first of these keys that was stated.
fn stated(about: &[(String, String)], keys: &[&str]) -> Option<String> {
    keys.iter().find_map(|key| {
        let found = about
            .iter()
            .find(|(name, _)| name.trim().to_lowercase() == *key);
        found.map(|(_, value)| value.clone())
    })
}

fn target(nominal: f64, unit: &str) -> String {
    format!("the nominal, {nominal} {unit}")
        .trim_end()
        .to_owned()
}

fn sides(of: &LotCharacteristic) -> &'static str {
    match (of.lower, of.upper) {
        (Some(_), Some(_)) => "two limits",
        (Some(_), None) => "one limit, below",
        (None, Some(_)) => "one limit, above",
        (None, None) => NOT_STATED,
    }
}

fn subgroups(of: &LotCharacteristic) -> String {
    of.subgroups.as_ref().map_or_else(
        || NOT_STATED.to_owned(),
        |groups| {
            let (least, most) = groups.size;
            let size = if least == most {
                format!("{least}")
            } else {
                format!("{least} to {most}")
            };
            format!("{} of {size}, {}", groups.count, groups.stated)
        },
    )
}

fn spread(of: &LotCharacteristic) -> String {
    let total = format!("{} {} of all readings", short(of.sd), of.unit);
    let within = of
        .subgroups
        .as_ref()
        .map(|groups| format!("; {} {} within subgroups", short(groups.sd_within), of.unit));
    total + &within.unwrap_or_default()
}

fn tails(of: &LotCharacteristic) -> String {
    let fit = of.chosen.and_then(|place| of.fits.get(place));
    let fit = fit.or_else(|| of.fits.iter().find(|fit| fit.shape == "normal"));
    let Some(fit) = fit else {
        return "no shape was fitted".to_owned();
    };
    let expected = 0.025 * of.n as f64;
    let seen = fit.tails.map(|ratio| (ratio * expected).round());
    let outside = fit
        .outside
        .map(|share| format!("; {} outside the limits by that shape", percent(share)));
    format!(
        "beyond the 2.5 % and 97.5 % quantile of {}: {} and {} readings, {} expected on each side{}",
        fit.shape,
        seen[0],
        seen[1],
        short(expected),
        outside.unwrap_or_default()
    )
}

fn method(of: &LotCharacteristic) -> String {
    match &of.capability {
        Some(capability) => format!("{}. {}", capability.leads.0, capability.leads.1),
        None => "no index: there are no limits to hold the readings against".to_owned(),
    }
}

fn doubt(of: &LotCharacteristic) -> String {
    let Some(capability) = &of.capability else {
        return NOT_STATED.to_owned();
    };
    let index = match capability.leads.0.as_str() {
        "Cpk" => capability.cpk,
        "Ppk" => capability.ppk,
        _ => capability.ppk_percentile,
    };
    let Some(index) = index else {
        return "cannot be estimated".to_owned();
    };
    let interval = format!(
        "{:.2}, from {:.2} to {:.2}",
        index.value, index.low, index.high
    );
    match capability.demonstrated {
        Some(bound) => format!("{interval}; {bound:.2} demonstrated at 95 %, one-sided"),
        None => interval,
    }
}

fn gauge(of: &LotCharacteristic, about: &[(String, String)]) -> String {
    let named = stated(about, &["gauge", "instrument", "uncertainty"]);
    let studied = of.gauge.as_ref().filter(|gauge| gauge.reason.is_empty());
    match (named, studied.map(scatter)) {
        (Some(named), Some(scatter)) => format!("{named}; {scatter}"),
        (Some(one), None) | (None, Some(one)) => one,
        (None, None) => NOT_STATED.to_owned(),
    }
}

fn scatter(gauge: &Gauge) -> String {
    let share = gauge.of_tolerance.map_or_else(String::new, |share| {
        format!(", {} of the tolerance", percent(share))
    });
    format!(
        "gauge scatter {} of the total{share}, {} categories",
        percent(gauge.of_total),
        gauge.categories
    )
}

fn resolution(of: &LotCharacteristic) -> String {
    let resolution = &of.resolution;
    match (resolution.step, resolution.of_tolerance) {
        (Some(step), Some(share)) => format!(
            "step {} {}, {} of the tolerance{}",
            short(step),
            of.unit,
            percent(share),
            if resolution.coarse { ": coarse" } else { "" }
        ),
        (Some(step), None) => format!("step {} {}", short(step), of.unit)
            .trim_end()
            .to_owned(),
        (None, _) => format!("no common step; {} different readings", resolution.distinct),
    }
}

fn outliers(of: &LotCharacteristic) -> String {
    match of.outliers.len() {
        0 => "none flagged".to_owned(),
        1 => "1 flagged and kept in every number".to_owned(),
        n => format!("{n} flagged and kept in every number"),
    }
}
