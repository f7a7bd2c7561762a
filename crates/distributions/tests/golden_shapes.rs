//! Verified: the shapes with parameters of their own, mixtures and sums, against a table computed with 50 digits
//! (`tests/golden/shape_values.csv`).

use std::collections::BTreeMap;
use std::sync::Arc;

use distributions::{
    Beta, FoldedNormal, Gamma, Lognormal, Mixture, Normal, Rayleigh, Shape, SkewNormal, Slow, Sum,
    Triangular, TwoPartNormal, Uniform, Weibull,
};

fn number(text: &str) -> f64 {
    text.parse()
        .unwrap_or_else(|_| panic!("not a number: {text:?}"))
}

/// A shape by its text in the table.
fn shape(text: &str) -> Arc<dyn Shape> {
    if text.contains(" / ") {
        let parts = text.split(" / ").map(|part| {
            let (share, rest) = part.split_once(' ').unwrap();
            (number(share), shape(rest))
        });
        return Arc::new(Mixture::new(parts.collect()).unwrap());
    }
    if let Some((within, slow)) = text.split_once(" + ") {
        let slow = slow.split(" + ").map(|part| match part.split_once(' ') {
            Some(("normal", sd)) => Slow::Normal { sd: number(sd) },
            Some(("uniform", width)) => Slow::Uniform {
                width: number(width),
            },
            _ => panic!("{part:?} does not move"),
        });
        return Arc::new(Sum::new(shape(within), slow.collect()).unwrap());
    }
    let mut words = text.split(' ');
    let name = words.next().unwrap();
    let p: Vec<f64> = words.map(number).collect();
    match name {
        "normal" => Arc::new(Normal::new(p[0], p[1]).unwrap()),
        "uniform" => Arc::new(Uniform::new(p[0], p[1]).unwrap()),
        "triangular" => Arc::new(Triangular::new(p[0], p[1], p[2]).unwrap()),
        "lognormal" => Arc::new(Lognormal::with_moments(p[0], p[1], p[2]).unwrap()),
        "weibull" => Arc::new(Weibull::new(p[0], p[1], p[2]).unwrap()),
        "gamma" => Arc::new(Gamma::new(p[0], p[1], p[2]).unwrap()),
        "beta" => Arc::new(Beta::new(p[0], p[1], p[2], p[3]).unwrap()),
        "folded_normal" => Arc::new(FoldedNormal::new(p[0], p[1], p[2]).unwrap()),
        "rayleigh" => Arc::new(Rayleigh::new(p[0], p[1]).unwrap()),
        "skew_normal" => Arc::new(SkewNormal::new(p[0], p[1], p[2]).unwrap()),
        "two_part_normal" => Arc::new(TwoPartNormal::new(p[0], p[1], p[2]).unwrap()),
        _ => panic!("no shape is called {name:?}"),
    }
}

/// One row: what is got, what is expected, and what a rounding of the value may change.
struct Check {
    got: f64,
    expected: f64,
    /// What an error is measured against.
    size: f64,
    rounding: f64,
}

/// Distance of a value from the end of the range on its side, or the standard deviation where that is smaller.
fn reach(shape: &dyn Shape, x: f64, lower: bool) -> f64 {
    let (low, high) = shape.support();
    let end = if lower { x - low } else { high - x };
    end.abs().min(shape.sd())
}

fn check(shape: &dyn Shape, quantity: &str, at: &str, expected: f64) -> Check {
    let roundings = 4.0 * f64::EPSILON;
    let value = |got: f64, lower: bool| Check {
        got,
        expected,
        size: reach(shape, expected, lower),
        rounding: roundings * expected.abs(),
    };
    match quantity {
        "quantile" => value(shape.quantile(number(at)), true),
        "upper_quantile" => value(shape.upper_quantile(number(at)), false),
        "mean" => Check {
            got: shape.mean(),
            expected,
            size: shape.sd(),
            rounding: roundings * expected.abs(),
        },
        "sd" => Check {
            got: shape.sd(),
            expected,
            size: expected,
            rounding: 0.0,
        },
        _ => {
            let x = number(at);
            let moved = roundings * x.abs();
            let slope = |f: &dyn Fn(f64) -> f64| {
                (f(x + moved) - f(x)).abs().max((f(x - moved) - f(x)).abs())
            };
            let f: Box<dyn Fn(f64) -> f64 + '_> = match quantity {
                "density" => Box::new(|x| shape.density(x)),
                "below" => Box::new(|x| shape.below(x)),
                "above" => Box::new(|x| shape.above(x)),
                _ => panic!("nothing is called {quantity:?}"),
            };
            Check {
                got: f(x),
                expected,
                size: expected,
                rounding: slope(&*f),
            }
        }
    }
}

/// What is allowed, as a share of the size.
const ALLOWED: f64 = 1e-12;

#[test]
fn verified_density_probabilities_quantiles_and_moments_of_shapes_mixtures_and_sums() {
    let mut count = 0;
    let mut worst: BTreeMap<(String, &str), f64> = BTreeMap::new();
    let mut failures = Vec::new();
    let mut made: BTreeMap<&str, Arc<dyn Shape>> = BTreeMap::new();
    let rows = include_str!("golden/shape_values.csv")
        .lines()
        .filter(|line| !line.starts_with('#'))
        .skip(1);
    for row in rows {
        let fields: Vec<&str> = row.split(',').collect();
        let [text, quantity, at] = [fields[0], fields[1], fields[2]];
        if quantity == "skewness" {
            continue;
        }
        let shape = made.entry(text).or_insert_with(|| shape(text)).clone();
        let check = check(&*shape, quantity, at, number(fields[3]));
        let error = match (check.got - check.expected).abs() {
            off if off <= check.rounding => 0.0,
            off => (off - check.rounding) / check.size,
        };
        let entry = worst.entry((text.to_owned(), quantity)).or_insert(0.0);
        *entry = entry.max(error);
        if error.is_nan() || error > ALLOWED {
            failures.push(format!(
                "{text}, {quantity}({at}): got {:e}, expected {:e}, error {error:e}",
                check.got, check.expected
            ));
        }
        count += 1;
    }
    for ((text, quantity), error) in &worst {
        println!("{text:50} {quantity:15} {error:.1e}");
    }
    assert!(failures.is_empty(), "{}", failures.join("\n"));
    assert_eq!(count, 1326);
}

#[test]
fn verified_skewness_of_skew_normals() {
    let mut count = 0;
    for row in include_str!("golden/shape_values.csv").lines() {
        let fields: Vec<&str> = row.split(',').collect();
        if fields.get(1) != Some(&"skewness") {
            continue;
        }
        let p: Vec<f64> = fields[0].split(' ').skip(1).map(number).collect();
        let got = SkewNormal::new(p[0], p[1], p[2]).unwrap();
        let expected = number(fields[3]);
        assert!((got.skewness() / expected - 1.0).abs() < 1e-13, "{row}");
        // And back from the moments.
        let back = SkewNormal::with_moments(got.mean(), got.sd(), expected).unwrap();
        for q in [1e-12, 0.5] {
            let off = (back.quantile(q) - got.quantile(q)).abs() / got.sd();
            assert!(off < 1e-9, "{row}: {off:e}");
        }
        count += 1;
    }
    assert_eq!(count, 5);
}
