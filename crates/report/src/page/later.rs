//! After settling and in service: what is left of the loads.

use record::{Output, Record};

use super::{paragraph, section};
use crate::chart::{self, Figures};
use crate::figure;
use crate::text::html;
use crate::unit::Unit;

/// Writes the section; nothing when the record tells of neither.
pub fn write(record: &Record, figures: &Figures) -> String {
    if !chart::has_later(record) {
        return String::new();
    }
    let mut body = figures.later.as_ref().map(|f| f.html()).unwrap_or_default();
    let has = |name| record.output(name).is_some();
    if has("settled_clamp_load") && has("service_clamp_load") {
        body.push_str(&paragraph(
            "Both states start from the joint as assembled: what settling takes and what temperature takes are not added up.",
        ));
    }
    if let Some(o) = record.output("service_seat_load") {
        let sign = if o.min.is_some_and(|least| least < 0.0) {
            " Where it is negative the seat holds the hub back against the spacer."
        } else {
            ""
        };
        body.push_str(&paragraph(&format!(
            "Seat load in service: {}.{sign}",
            spread(o)
        )));
    }
    if let Some(o) = record.output("service_slip_torque") {
        body.push_str(&paragraph(&format!(
            "Slip torque of the seat in service: {}.",
            spread(o)
        )));
    }
    section("After settling and in service", &body)
}

/// Median and the interval of 99.73 % of the joints in words.
pub fn spread(output: &Output) -> String {
    let at = |share: &str| output.quantiles.get(share).map(|q| q.value);
    let (Some(low), Some(middle), Some(high)) = (at("0.00135"), at("0.5"), at("0.99865")) else {
        return "no pairing has it".to_owned();
    };
    let unit = Unit::of(&output.unit, low.abs().max(high.abs()));
    let decimals = usize::try_from(2 - figure::exponent(middle * unit.factor))
        .unwrap_or(0)
        .min(3);
    let [low, middle, high] = [low, middle, high].map(|v| figure::fixed(v * unit.factor, decimals));
    format!(
        "median {}; 99.73\u{A0}% of the joints lie between {} and {}",
        html(&figure::with_unit(&middle, &unit.text)),
        html(&low),
        html(&figure::with_unit(&high, &unit.text))
    )
}
