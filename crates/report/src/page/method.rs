//! How this was computed, what it leaves out, and how far it may be trusted.

use record::{Joint, Record};

use super::head::{ASSUMED, MEASURED, SIMULATED};
use super::{mechanisms, paragraph, section, supply, until};
use crate::figure;
use crate::seat::Seat;
use crate::text::{html, shell_word};

/// The dozen terms a reader may stumble over.
const TERMS: [(&str, &str); 12] = [
    (
        "stand-off",
        "Distance from the shaft's shoulder to the hub's clamping face.",
    ),
    (
        "first touch",
        "The stand-off at which the cones meet when the hub is slid on without force.",
    ),
    (
        "draw-up to close",
        "How far the hub must be pulled past first touch until the spacer is pinched. Negative: the spacer is pinched before the cones touch.",
    ),
    (
        "pinched",
        "The spacer is held between shoulder and clamping face without gap.",
    ),
    (
        "closing load, closing torque",
        "The load the cones take, and the torque to be set on the wrench, by the time this very pairing pinches its spacer.",
    ),
    (
        "clamp load",
        "What is left of the bolt load for the spacer after the cones have taken theirs.",
    ),
    (
        "gap left",
        "The cones carry the whole bolt load before the faces meet; the spacer is loose.",
    ),
    (
        "cones free",
        "The spacer is tight but the cones do not bear; the hub can rock.",
    ),
    (
        "contact share",
        "Part of the overlap of the cones that bears under load; not the blue pattern, which is read at hand force.",
    ),
    (
        "interference",
        "How much larger the male cone is than the female one where they overlap.",
    ),
    (
        "Cp, Cpk",
        "Width of the limits, or distance to the nearer limit, against the spread within a lot. Pp and Ppk are the same against the whole spread.",
    ),
    (
        "interval",
        "Range that covers the true share or index in the stated per cent of such runs.",
    ),
];

/// Writes the section.
pub fn write(record: &Record) -> String {
    let mut body = String::new();
    body.push_str("<h3>The model</h3>\n");
    body.push_str(&list(&model(record)));
    body.push_str("<h3>What it leaves out</h3>\n");
    body.push_str(&paragraph(&mechanisms::left_out(record)));
    body.push_str(&trust(record));
    body.push_str("<h3>Intervals</h3>\n");
    body.push_str(&list(&intervals(record)));
    body.push_str("<h3>To make this page again</h3>\n");
    body.push_str(&commands(record));
    if !record.warnings.is_empty() {
        body.push_str("<h3>Warnings of the run</h3>\n");
        body.push_str(&list(
            &record.warnings.iter().map(|w| html(w)).collect::<Vec<_>>(),
        ));
    }
    body.push_str("<h3>Cautions</h3>\n");
    for caution in supply::cautions(record) {
        body.push_str(&paragraph(&caution));
    }
    body.push_str(&paragraph(
        "These numbers follow from the stated processes and from a calculation with simplified mechanics. They support a decision, they do not take it. \
         Where they differ, the drawings, tests on real parts, the fastener maker's limits, the codes that apply at the place of use and the judgement of a licensed engineer come first. \
         A joint that can hurt someone when it fails is released only after a physical test.",
    ));
    body.push_str("<h3>Terms</h3>\n<dl class=\"terms small\">\n");
    for (term, meaning) in TERMS {
        body.push_str(&format!("<div><dt>{term}</dt><dd>{meaning}</dd></div>\n"));
    }
    body.push_str("</dl>\n");
    section("How this was computed", &body)
}

fn list(items: &[String]) -> String {
    let items: String = items.iter().map(|i| format!("<li>{i}</li>\n")).collect();
    format!("<ul>\n{items}</ul>\n")
}

fn model(record: &Record) -> Vec<String> {
    let joint = &record.joint;
    let spacer = match joint.spacer.stiffness_n_per_mm {
        None => "The spacer is rigid.".to_owned(),
        Some(k) => format!(
            "The spacer is a spring of {}.",
            figure::with_unit(&figure::significant(k / 1e3, 3), "kN/mm")
        ),
    };
    let mut model = vec![format!(
        "{}: in each, every characteristic is drawn anew from its {ASSUMED} assumed or {MEASURED} measured process.",
        figure::pairings(record.pairings)
    )];
    if Seat::of(record) == Seat::Cone {
        model.extend(cone(joint));
    }
    model.push(format!(
        "The hub stops where {} and spacer together balance the bolt. {spacer}",
        Seat::of(record).nouns()
    ));
    model.extend(mechanisms::used(record));
    model.extend(supply::used(record));
    model.push(format!("A joint is good when no limit is broken. All broken limits are counted; the first in a fixed order names the {SIMULATED} simulated reject."));
    model
}

/// First touch and load of a cone.
fn cone(joint: &Joint) -> [String; 2] {
    let smoothing = match joint.smoothing_mm {
        Some(smoothing) if smoothing > 0.0 => format!(
            "an allowance of {} on diameter for smoothing",
            figure::with_unit(&figure::stated(smoothing * 1e3), "µm")
        ),
        _ => "no allowance for smoothing".to_owned(),
    };
    [
        "First touch is exact geometry: the stand-off at which the smallest clearance between the two cones, angles as drawn, becomes zero.".to_owned(),
        format!(
            "Under load the law named {} applies, with friction {} nominal on the cone and {smoothing}; pressure at an edge is nominal, not a peak.",
            html(&joint.elastic_law),
            figure::stated(joint.friction)
        ),
    ]
}

/// How far the ring law may be trusted.
fn trust(record: &Record) -> String {
    if record.joint.elastic_law != "rings" {
        return String::new();
    }
    let sentences = [
        "The ring law takes hub and shaft as separate thin rings. It was compared with finite-element contact solutions; below, <i>mismatch ratio</i> is the angle mismatch over the overlap divided by the interference at the end that touches first.",
        "Full contact and a hub that sits wholly on the male cone: push-on force within about 3 % (seen at taper 1:20, aluminium on steel, overlap as long as the diameter).",
        "A hub end that hangs past the cone's end, by up to a tenth of the diameter: force 3 to 7 % too low with usual friction, 8 to 11 % too low without, 11 % for a short hub; up to 16 % when there is angle mismatch and that end touches first.",
        "Partial contact, mismatch ratio 1 to 1.5: force up to 6 % too high with the hub wholly on the cone; with an overhang anything from 18 % too high to 31 % too low.",
        "Mismatch ratio above 2: do not use the force; finite elements gave from 0.87 to 1.9 times as much, and 2.5 times at ratios near 6.",
        "Contact share: right while contact is full, which ends at mismatch ratios of about 0.6 to 1.1, in short hubs from 0.3. In partial contact the law claims too much by 0.10 to 0.25; a limit of 0.5 lets shares of about 0.3 pass, so rejects for low contact are understated.",
        "Slip torque is off by the same part as force, within 1 % (5 % at taper 1:3). Bore stress away from edges carries 15 % uncertainty, 20 % at taper 1:3.",
    ];
    format!(
        "<h3>How far the ring law may be trusted</h3>\n{}",
        list(&sentences.map(str::to_owned))
    )
}

fn intervals(record: &Record) -> Vec<String> {
    let level = figure::confidence(record.confidence);
    let mut intervals = vec![
        format!("All intervals are two-sided at {level}, also where none or all were seen."),
        "Shares of pairings: exact binomial (Clopper and Pearson). A cause that was never seen is given as the upper end of its interval.".to_owned(),
        "Quantiles and percentile indices: order statistics. Normal indices: large-sample variance with the skewness and kurtosis found, because simulated outputs are not normal.".to_owned(),
        "The intervals tell how well so many pairings pin down the answer to the stated question. They do not cover the model, nor processes that were assumed wrongly.".to_owned(),
    ];
    intervals.extend(until::lines(record));
    intervals.extend(supply::intervals(record));
    intervals
}

fn commands(record: &Record) -> String {
    let mut run = format!(
        "seatyield run {} --seed {} --pairings {}",
        shell_word(&format!("{}.toml", record.scenario.name)),
        record.seed,
        record
            .until
            .as_ref()
            .map_or(record.pairings, |until| until.most_pairings)
    );
    run.push_str(&until::option(record));
    let is_said = |path: &str| ["run.seed", "run.pairings", until::PATH].contains(&path);
    for change in record
        .scenario
        .overrides
        .iter()
        .filter(|c| !is_said(&c.path))
    {
        run.push_str(&format!(
            " --set {}",
            shell_word(&format!("{}={}", change.path, change.value))
        ));
    }
    let files = match record.readings.len() {
        0 => "",
        1 => ", and the same file of readings",
        _ => ", and the same files of readings",
    };
    format!(
        "<p><code>{}</code> runs it again with the same numbers, given program version {} and stream version {}{files}.</p>\n\
         <p><code>seatyield redraw result.json</code> draws it again from the record, which holds the scenario.</p>\n",
        html(&run),
        html(&record.program_version),
        record.stream_version
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture;

    #[test]
    fn command_says_seed_and_pairings_once_and_keeps_other_changes() {
        let mut record = fixture::impeller();
        let change = |path: &str, value: &str| record::Override {
            path: path.to_owned(),
            value: value.to_owned(),
        };
        record.scenario.overrides = vec![
            change("run.pairings", "1000000"),
            change("bolt.torque.nominal", "65 N*m"),
        ];
        let said = commands(&record);
        assert_eq!(said.matches("1000000").count(), 1, "{said}");
        assert!(
            said.contains("--set &#39;bolt.torque.nominal=65 N*m&#39;"),
            "{said}"
        );
    }
}
