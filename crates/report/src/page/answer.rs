//! The answer: counts first, then the share with its interval, then the index, then the verdict.

use record::Record;

use super::head::SIMULATED;
use super::{doubt, paragraph, section};
use crate::apportion::Field;
use crate::chart::{self, Figure};
use crate::figure;
use crate::mode::Mode;
use crate::seat::Seat;
use crate::text::{escape, html};

/// Writes the answer.
pub fn write(record: &Record, field: &Figure) -> String {
    let mut body = match &record.doubt {
        Some(doubt) => doubt::lead(record, doubt, &lead(record)),
        None => format!("<p class=\"lead\">{}</p>\n", lead(record)),
    };
    let rare = rare(record);
    if !rare.is_empty() {
        body.push_str(&paragraph(&rare));
    }
    body.push_str(&paragraph(&share(record)));
    body.push_str(&index(record));
    body.push_str(&verdict(record));
    for warning in &record.warnings {
        body.push_str(&format!(
            "<p class=\"warn\"><strong>Warning.</strong> {}</p>\n",
            html(warning)
        ));
    }
    body.push_str(&field.html());
    section("Answer", &body)
}

/// The sentence in counts.
fn lead(record: &Record) -> String {
    let y = &record.yield_;
    let level = figure::confidence(y.confidence);
    if y.pairings == 0 {
        return "No joint was simulated.".to_owned();
    }
    if y.good == y.pairings {
        let all = match y.pairings {
            1 => "The one simulated joint is good".to_owned(),
            n => format!("All {} simulated joints are good", figure::count(n)),
        };
        return format!(
            "{all}. So many can only show that {} are bad ({level}).",
            figure::fewer_than(1.0 - y.low)
        );
    }
    let field = Field::of(record);
    let causes: Vec<String> = field
        .causes
        .iter()
        .filter(|(_, joints)| *joints > 0)
        .map(|(reject, joints)| escape(&Mode::of(&reject.mode, Seat::of(record)).phrase(*joints)))
        .chain((field.pooled > 0).then(|| rarer(&field)))
        .collect();
    let causes = if causes.is_empty() {
        String::new()
    } else {
        format!(" {}.", causes.join(", "))
    };
    if y.good == 0 {
        return match y.pairings {
            1 => "The one simulated joint is bad.".to_owned() + &causes_of_one(record),
            n => format!(
                "None of {} simulated joints is good. Of 1\u{202F}000 joints:{causes}",
                figure::count(n)
            ),
        };
    }
    match (field.good, field.bad()) {
        (_, 0) => "Of 1\u{202F}000 joints fewer than one is bad.".to_owned(),
        (0, _) => format!("Of 1\u{202F}000 joints fewer than one is good.{causes}"),
        (good, _) => format!(
            "Of 1\u{202F}000 joints, {} {} good.{causes}",
            figure::count(good.into()),
            if good == 1 { "is" } else { "are" }
        ),
    }
}

fn rarer(field: &Field) -> String {
    let verb = if field.pooled == 1 { "fails" } else { "fail" };
    format!("{}\u{A0}{verb} for rarer causes", field.pooled)
}

fn causes_of_one(record: &Record) -> String {
    record
        .rejects
        .iter()
        .find(|r| r.count > 0)
        .map_or(String::new(), |r| {
            format!(" It {}.", escape(&Mode::of(&r.mode, Seat::of(record)).one))
        })
}

/// Causes under half a joint in a thousand, in words.
fn rare(record: &Record) -> String {
    let field = Field::of(record);
    if field.rare.is_empty() {
        return String::new();
    }
    let listed: Vec<String> = field
        .rare
        .iter()
        .map(|r| {
            let share = figure::share(
                r.count,
                record.yield_.pairings,
                (r.fraction, r.low, r.high),
                record.confidence,
            );
            format!(
                "{}: {share}",
                escape(&Mode::of(&r.mode, Seat::of(record)).label)
            )
        })
        .collect();
    format!(
        "Under half a joint in 1\u{202F}000, too rare for a mark in the field: {}.",
        listed.join("; ")
    )
}

/// The share with its interval.
fn share(record: &Record) -> String {
    let y = &record.yield_;
    let level = figure::confidence(y.confidence);
    let seen = format!(
        "{} of {} pairings {SIMULATED} simulated are good",
        figure::count(y.good),
        figure::count(y.pairings)
    );
    if y.good == y.pairings {
        return format!(
            "Yield: at least {} ({level}); {seen}.{}",
            figure::at_least(y.low),
            alone(record)
        );
    }
    if y.good == 0 {
        return format!(
            "Yield: {} ({level}); {seen}.{}",
            figure::fewer_than(y.high),
            alone(record)
        );
    }
    let i = figure::percent(y.fraction, y.low, y.high);
    let percent = |text: &str| figure::with_unit(text, "%");
    let (value, covers) = match &record.doubt {
        // The wide interval alone is in bold.
        Some(doubt) => (percent(&i.value), doubt::covered(doubt)),
        None => (
            format!("<strong>{}</strong>", percent(&i.value)),
            "The interval covers the draw of a finite number of pairings, not an error in what was assumed.".to_owned(),
        ),
    };
    format!(
        "Yield: {value}, {level} interval {} to {}; {seen}. {covers}",
        percent(&i.low),
        percent(&i.high)
    )
}

/// What the interval of the simulation covers, where there is a wider one.
fn alone(record: &Record) -> String {
    record
        .doubt
        .as_ref()
        .map_or(String::new(), |d| format!(" {}", doubt::covered(d)))
}

/// The lowest index.
fn index(record: &Record) -> String {
    let Some((output, index)) = chart::weakest(record) else {
        return String::new();
    };
    let i = figure::index(index.value, index.low, index.high);
    let form = if output.shape_normal {
        "normal form"
    } else {
        "percentile form"
    };
    paragraph(&format!(
        "Lowest index of the judged outputs: {}, Ppk {} ({}, {form}).",
        html(&output.words),
        i.value,
        i.ends()
    ))
}

/// The verdict against the target, by interval ends.
fn verdict(record: &Record) -> String {
    let Some(target) = record.target_yield else {
        return paragraph("No target was set for the yield.");
    };
    let asked = figure::with_unit(&figure::stated(target * 100.0), "%");
    if record.doubt.is_some() {
        return doubt::verdict(record, target, &asked);
    }
    let y = &record.yield_;
    let words = if y.low >= target {
        format!(
            "<strong>Meets the target of {asked}:</strong> the whole interval lies at or above it."
        )
    } else if y.high < target {
        format!("<strong>Misses the target of {asked}:</strong> the whole interval lies below it.")
    } else {
        format!(
            "<strong>Cannot be told against the target of {asked}:</strong> the interval reaches to both sides of it; more pairings would narrow it."
        )
    };
    paragraph(&words)
}
