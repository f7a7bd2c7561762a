//! How the study of a measured lot was computed, and how far it may be trusted.

use record::LotStudy;

use super::super::paragraph;
use crate::figure;

/// The terms a reader may stumble over.
const TERMS: [(&str, &str); 15] = [
    (
        "Cp, Pp",
        "Width of the tolerance over six standard deviations: what the process could do if it were centred.",
    ),
    (
        "Cpk, Ppk",
        "Distance from the mean to the nearer limit over three standard deviations. Cpk takes the spread within subgroups, Ppk that of all readings.",
    ),
    (
        "percentile form",
        "The same with the 0.135 %, 50 % and 99.865 % quantiles of the leading shape in place of mean and standard deviations.",
    ),
    (
        "demonstrated",
        "The lower bound that the index exceeds with 95 % confidence. It grows with the number of parts measured.",
    ),
    (
        "interval",
        "Range that covers the true value in the stated per cent of such studies.",
    ),
    (
        "subgroup",
        "Readings of parts made close together, under the same conditions.",
    ),
    (
        "steady, drift, shifts",
        "Steady: the order shows nothing beyond chance. Drift: a slope. Shifts: levels that differ.",
    ),
    (
        "p",
        "How often chance alone gives a statistic at least as extreme.",
    ),
    (
        "AIC",
        "Akaike's criterion: how well a shape fits, with a price for each parameter. Up to 2 above the best is as good, more than 10 is not.",
    ),
    (
        "tails",
        "Readings seen below the 2.5 % and above the 97.5 % quantile of the shape, and how many it expects at each end.",
    ),
    (
        "largest distance",
        "Largest difference between the share of readings below a value and the share that the shape gives (Kolmogorov).",
    ),
    (
        "ppm, DPU",
        "ppm: parts outside among a million parts. DPU: faults for each part; a part can have several.",
    ),
    (
        "repeatability",
        "Spread of one appraiser who reads the same part again with the same gauge.",
    ),
    (
        "reproducibility",
        "Spread between appraisers who read the same parts.",
    ),
    (
        "distinct categories",
        "Classes of parts that the gauge tells apart: 1.41 times parts over gauge, rounded down. Below 5 it hardly serves for control.",
    ),
];

/// The body of the section.
pub fn body(study: &LotStudy) -> String {
    let level = figure::confidence(study.confidence);
    let estimators = [
        "Mean: sum over number. Standard deviation: from all readings, with n − 1; within subgroups: squares pooled over their degrees of freedom.".to_owned(),
        "Cp and Cpk take the standard deviation within subgroups, Pp and Ppk that of all readings. With one limit there is no Cp and no Pp.".to_owned(),
        "Shapes are fitted by greatest likelihood and ranked by Akaike's criterion, corrected for few readings; the percentile form uses the shape that leads.".to_owned(),
        "Readings are compared with the shape at their places in the order of size. Tails count the readings beyond the fitted 2.5 % and 97.5 % quantiles.".to_owned(),
        "A gauge study splits the spread by an analysis of variance into equipment, appraisers and parts; beside it by average and range.".to_owned(),
    ];
    let intervals = [
        format!("Intervals are two-sided at {level}. What an index demonstrates is a one-sided lower bound at 95 %."),
        "For readings judged normal the bound is exact: noncentral t for an index against one limit, chi-square for the width of the tolerance. It holds for random readings of a steady process, and not for others.".to_owned(),
    ];
    let tests = [
        "Shape: Anderson and Darling, Shapiro and Wilk. Order: runs about the median and a straight line. Subgroups: analysis of variance for means, Bartlett and Levene for spreads.".to_owned(),
        "Each table gives p, so that a reader can hold it against a level of his own; the verdicts in words stand with the answer. With several tests one of them is more likely to alarm by chance, and on few readings none sees much.".to_owned(),
        "Readings far from the others are flagged, never removed.".to_owned(),
    ];
    let mut body = String::new();
    for (heading, items) in [
        ("Estimators", &estimators[..]),
        ("Intervals", &intervals[..]),
        ("Tests", &tests[..]),
    ] {
        let items: String = items.iter().map(|i| format!("<li>{i}</li>\n")).collect();
        body.push_str(&format!("<h3>{heading}</h3>\n<ul>\n{items}</ul>\n"));
    }
    body.push_str("<h3>Cautions</h3>\n");
    body.push_str(&paragraph(
        "These numbers describe the parts that were measured, by shapes that are models. They support a decision, they do not take it. \
         They say nothing of parts from another machine, tool or lot, nor of what the gauge does not see. \
         Where they differ, the drawings, tests on real parts, the standards and codes that apply at the place of use and the judgement of a licensed engineer come first. \
         A part whose failure can hurt someone is released only after a physical test.",
    ));
    body.push_str("<h3>Terms</h3>\n<dl class=\"terms small\">\n");
    for (term, meaning) in TERMS {
        body.push_str(&format!("<div><dt>{term}</dt><dd>{meaning}</dd></div>\n"));
    }
    body + "</dl>\n"
}
