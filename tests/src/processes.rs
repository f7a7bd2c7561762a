//! The pictures of `scenarios/processes`: a density for some parameters of every kind of shape.

use std::sync::Arc;

use distributions::{Kind, Mixture, Shape, Sum};
use report::{Curve, render_curves};

/// Points of a curve.
const POINTS: usize = 241;

/// A shape with the words beside its curve.
type Example = (String, Arc<dyn Shape>);

/// Parameters of the examples of a kind, in the order of its own parameters, or mean, standard deviation and what follows.
fn parameters(kind: &str) -> &'static [&'static [f64]] {
    match kind {
        "normal" => &[&[10.0, 1.0], &[10.0, 2.0]],
        "truncated_normal" => &[&[10.0, 2.0, 8.0, 13.0], &[7.0, 2.0, 8.0, 13.0]],
        "uniform" => &[&[8.0, 12.0]],
        "triangular" => &[&[8.0, 12.0, 10.0], &[8.0, 12.0, 8.5]],
        "lognormal" => &[&[10.0, 1.0, 7.0], &[10.0, 2.0, 7.0]],
        "weibull" => &[&[1.5, 2.0, 8.0], &[2.0, 2.0, 8.0], &[3.6, 2.0, 8.0]],
        "gamma" => &[&[1.5, 1.0, 8.0], &[3.0, 1.0, 8.0], &[9.0, 0.5, 8.0]],
        "beta" => &[
            &[2.0, 5.0, 8.0, 12.0],
            &[3.0, 3.0, 8.0, 12.0],
            &[5.0, 1.5, 8.0, 12.0],
        ],
        "folded_normal" => &[&[2.0, 0.0, 0.0], &[2.0, 3.0, 0.0]],
        "rayleigh" => &[&[1.0, 0.0], &[2.0, 0.0]],
        "skew_normal" => &[&[10.0, 1.0, -0.9], &[10.0, 1.0, 0.3], &[10.0, 1.0, 0.9]],
        "two_part_normal" => &[&[10.0, 0.5, 1.5], &[10.0, 1.0, 0.7]],
        _ => &[],
    }
}

/// The examples of a kind.
///
/// # Panics
/// When a kind has no example, or its parameters are refused: a new kind needs a line above.
fn examples(kind: &Kind) -> Vec<Example> {
    let sets = parameters(kind.name);
    assert!(!sets.is_empty(), "{} has no example", kind.name);
    let example = |values: &&[f64]| {
        let (keys, shape) = match (&kind.by_parameters, &kind.by_moments) {
            (Some(way), _)
                if way.parameters.len() == values.len() && kind.name != "skew_normal" =>
            {
                (keys(way.parameters), (way.build)(values))
            }
            (_, Some(way)) => {
                let more = keys(way.extra);
                (
                    [vec!["mean", "sd"], more].concat(),
                    (way.build)(values[0], values[1], &values[2..]),
                )
            }
            _ => panic!("{} cannot be built", kind.name),
        };
        let words: Vec<String> = keys
            .iter()
            .zip(*values)
            .map(|(k, v)| format!("{k} {v}"))
            .collect();
        (
            words.join(", ").replace('_', " "),
            shape.unwrap_or_else(|error| panic!("{}: {error}", kind.name)),
        )
    };
    sets.iter().map(example).collect()
}

fn keys(parameters: &[distributions::kind::Parameter]) -> Vec<&'static str> {
    parameters.iter().map(|parameter| parameter.key).collect()
}

fn kind(name: &str, values: &[f64]) -> Arc<dyn Shape> {
    let kind = Kind::named(name).unwrap_or_else(|| panic!("{name} is a kind"));
    let way = kind
        .by_moments
        .unwrap_or_else(|| panic!("{name} has moments"));
    (way.build)(values[0], values[1], &values[2..]).unwrap_or_else(|error| panic!("{error}"))
}

/// Names of the files and their SVG.
///
/// # Panics
/// When a picture cannot be drawn.
pub fn pictures() -> Vec<(String, String)> {
    let mut all: Vec<(String, Vec<Example>)> = distributions::KINDS
        .iter()
        .map(|kind| (kind.name.to_owned(), examples(kind)))
        .collect();
    let mixture = Mixture::new(vec![
        (0.6, kind("normal", &[9.0, 0.6])),
        (0.4, kind("normal", &[11.5, 0.8])),
    ])
    .unwrap_or_else(|error| panic!("{error}"));
    all.push((
        "mixture".to_owned(),
        vec![(
            "60 % mean 9, sd 0.6; 40 % mean 11.5, sd 0.8".to_owned(),
            Arc::new(mixture) as Arc<dyn Shape>,
        )],
    ));
    all.push(("slow".to_owned(), slow()));
    all.into_iter()
        .map(|(name, examples)| {
            let shape = match name.as_str() {
                "slow" => "lots and wear".to_owned(),
                name => name.replace('_', " "),
            };
            let title = format!("Density: {shape}");
            let words = [
                title.as_str(),
                "height: share of parts in an equal step of the value",
                "value",
            ];
            let chart = render_curves(&name, words, &curves(&examples))
                .unwrap_or_else(|error| panic!("{name}: {error}"));
            (chart.file_name, chart.svg)
        })
        .collect()
}

/// A process with lots, one with wear, and the scatter within.
fn slow() -> Vec<Example> {
    let within = kind("normal", &[10.0, 0.6]);
    let sum = |slow: Vec<distributions::Slow>| -> Arc<dyn Shape> {
        Arc::new(Sum::new(within.clone(), slow).unwrap_or_else(|error| panic!("{error}")))
    };
    vec![
        ("within: sd 0.6".to_owned(), within.clone()),
        (
            "with lot means of sd 1".to_owned(),
            sum(vec![distributions::Slow::Normal { sd: 1.0 }]),
        ),
        (
            "with wear of 4 from tool change to tool change".to_owned(),
            sum(vec![distributions::Slow::Uniform { width: 4.0 }]),
        ),
    ]
}

fn curves(examples: &[Example]) -> Vec<Curve> {
    let ends = |(_, shape): &Example| (shape.quantile(1e-3), shape.upper_quantile(1e-3));
    let low = examples
        .iter()
        .map(|e| ends(e).0)
        .fold(f64::INFINITY, f64::min);
    let high = examples
        .iter()
        .map(|e| ends(e).1)
        .fold(f64::NEG_INFINITY, f64::max);
    let margin = 0.05 * (high - low);
    let place =
        |i: usize| low - margin + (high - low + 2.0 * margin) * i as f64 / (POINTS - 1) as f64;
    let curve = |(label, shape): &Example| Curve {
        label: label.clone(),
        points: (0..POINTS)
            .map(|i| (place(i), shape.density(place(i))))
            .collect(),
    };
    examples.iter().map(curve).collect()
}
