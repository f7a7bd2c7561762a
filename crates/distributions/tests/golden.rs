//! Verified: special functions and shapes against tables computed with 40 to 60 digits (`tests/golden/*.csv`).

use distributions::{
    Lognormal, Normal, Shape, Triangular, TruncatedNormal, Uniform, beta, gamma, normal,
};

/// Rows of a table below its comment and its line of column names.
fn rows(table: &'static str) -> impl Iterator<Item = Vec<&'static str>> {
    table
        .lines()
        .filter(|line| !line.starts_with('#'))
        .skip(1)
        .map(|line| line.split(',').collect())
}

fn number(text: &str) -> f64 {
    text.parse()
        .unwrap_or_else(|_| panic!("not a number: {text:?}"))
}

/// Relative difference; absolute where the expected value is zero.
fn off(got: f64, expected: f64) -> f64 {
    let difference = (got - expected).abs();
    if expected == 0.0 {
        difference
    } else {
        difference / expected.abs()
    }
}

#[test]
fn verified_normal_quantile_to_1e_14_down_to_1e_300() {
    let mut count = 0;
    for row in rows(include_str!("golden/normal.csv")) {
        let (p, z) = (number(row[0]), number(row[1]));
        let got = normal::quantile(p);
        assert!(off(got, z) < 1e-14, "p {p:e}: got {got}, expected {z}");
        assert_eq!(normal::upper_quantile(p), -got);
        count += 1;
    }
    assert_eq!(count, 25);
}

#[test]
fn verified_incomplete_beta_for_shapes_up_to_1e12() {
    let mut worst = (0.0, String::new());
    let mut count = 0;
    for row in rows(include_str!("golden/beta.csv")) {
        let [a, b, x, below, above] = [0, 1, 2, 3, 4].map(|i| number(row[i]));
        // The stated accuracy.
        let allowed = 1e-13 + 2e-15 * (a * b / (a + b)).sqrt();
        for (name, got, expected) in [
            ("below", beta::below(x, a, b), below),
            ("above", beta::above(x, a, b), above),
        ] {
            let error = off(got, expected) / allowed;
            if error > worst.0 {
                worst = (
                    error,
                    format!("{name}({x}; {a}, {b}): got {got:e}, expected {expected:e}"),
                );
            }
        }
        count += 1;
    }
    assert_eq!(count, 115);
    assert!(
        worst.0 < 1.0,
        "{} times what is allowed: {}",
        worst.0,
        worst.1
    );
}

#[test]
fn verified_beta_quantile_undoes_the_table() {
    for row in rows(include_str!("golden/beta.csv")) {
        let [a, b, x, below, above] = [0, 1, 2, 3, 4].map(|i| number(row[i]));
        let lower = below <= above;
        let got = if lower {
            beta::quantile(below, a, b)
        } else {
            beta::upper_quantile(above, a, b)
        };
        assert!(
            off(got, x) < 1e-13,
            "({a}, {b}), lower tail {lower}: got {got}, expected {x}"
        );
    }
}

#[test]
fn beta_quantile_encloses_its_probability_on_a_wide_grid() {
    let shapes = [0.5, 1.0, 1.7, 4.0, 51.0, 1e3, 1e5, 1e7, 1e9, 1e12];
    for a in shapes {
        for b in shapes {
            for p in [1e-300, 1e-30, 1e-9, 1e-3, 0.025, 0.5, 0.8] {
                let x = beta::quantile(p, a, b);
                if a == 0.5 && p == 1e-300 {
                    // The answer lies near p^2, below the smallest number.
                    assert_eq!(x, 0.0, "({a}, {b}), p {p:e}");
                    continue;
                }
                // Eight roundings either side of the answer must enclose the probability, within what a rounding of x does.
                let slack = 1e-11 + 1e-14 * (a * b / (a + b)).sqrt();
                let lower = beta::below(x * (1.0 - 8.0 * f64::EPSILON), a, b);
                let upper = beta::below((x * (1.0 + 8.0 * f64::EPSILON)).min(1.0), a, b);
                let holds = lower <= p * (1.0 + slack) && upper >= p * (1.0 - slack);
                assert!(
                    holds,
                    "({a}, {b}), p {p:e}: x {x:e}, {lower:e} to {upper:e}"
                );
            }
        }
    }
}

#[test]
fn verified_chi_square_quantiles_in_both_tails() {
    let mut count = 0;
    for row in rows(include_str!("golden/chi_square.csv")) {
        let [freedom, p, lower, upper] = [0, 1, 2, 3].map(|i| number(row[i]));
        let got = (
            gamma::chi_square_quantile(p, freedom),
            2.0 * gamma::upper_quantile(p, 0.5 * freedom),
        );
        assert!(
            off(got.0, lower) < 1e-13,
            "df {freedom}, p {p:e}: got {}, expected {lower}",
            got.0
        );
        assert!(
            off(got.1, upper) < 1e-13,
            "df {freedom}, q {p:e}: got {}, expected {upper}",
            got.1
        );
        count += 1;
    }
    assert_eq!(count, 28);
}

fn shape(name: &str, p: &[f64]) -> Box<dyn Shape> {
    match name {
        "normal" => Box::new(Normal::new(p[0], p[1]).unwrap()),
        "truncated_normal" => Box::new(TruncatedNormal::new(p[0], p[1], p[2], p[3]).unwrap()),
        "uniform" => Box::new(Uniform::new(p[0], p[1]).unwrap()),
        "triangular" => Box::new(Triangular::new(p[0], p[1], p[2]).unwrap()),
        "lognormal" => Box::new(Lognormal::with_moments(p[0], p[1], p[2]).unwrap()),
        _ => panic!("no shape is called {name:?}"),
    }
}

/// The shape of a row and its parameters.
fn shape_of(row: &[&str]) -> (Box<dyn Shape>, Vec<f64>) {
    let parameters: Vec<f64> = row[1..5]
        .iter()
        .filter(|text| !text.is_empty())
        .map(|text| number(text))
        .collect();
    (shape(row[0], &parameters), parameters)
}

#[test]
fn verified_density_and_probabilities_of_every_shape() {
    let mut count = 0;
    for row in rows(include_str!("golden/shape_points.csv")) {
        let (shape, parameters) = shape_of(&row);
        let [x, density, below, above] = [5, 6, 7, 8].map(|i| number(row[i]));
        // Roundings of the value and of its distance from the middle move a probability by the density times them.
        let rounding = 4.0 * f64::EPSILON * x.abs().max(shape.sd()) * density;
        for (name, got, expected, allowed) in [
            ("density", shape.density(x), density, 1e-12 * density),
            ("below", shape.below(x), below, 1e-12 * below + rounding),
            ("above", shape.above(x), above, 1e-12 * above + rounding),
        ] {
            assert!(
                (got - expected).abs() <= allowed,
                "{} {parameters:?}, {name}({x}): got {got:e}, expected {expected:e}",
                row[0]
            );
        }
        count += 1;
    }
    assert_eq!(count, 316);
}

#[test]
fn verified_mean_and_sd_of_every_shape() {
    let mut count = 0;
    for row in rows(include_str!("golden/shape_moments.csv")) {
        let (shape, parameters) = shape_of(&row);
        let [mean, sd] = [5, 6].map(|i| number(row[i]));
        assert!(
            (shape.mean() - mean).abs() <= 1e-15 * mean.abs() + 1e-13 * sd,
            "{} {parameters:?}: mean {}, expected {mean}",
            row[0],
            shape.mean()
        );
        assert!(
            off(shape.sd(), sd) <= 1e-12,
            "{} {parameters:?}: sd {}, expected {sd}",
            row[0],
            shape.sd()
        );
        count += 1;
    }
    assert_eq!(count, 20);
}

#[test]
fn verified_quantiles_of_every_shape_far_into_both_tails() {
    let mut count = 0;
    for row in rows(include_str!("golden/shapes.csv")) {
        let (shape, parameters) = shape_of(&row);
        let (p, lower, upper) = (number(row[5]), number(row[6]), number(row[7]));
        for (side, got, expected) in [
            ("lower", shape.quantile(p), lower),
            ("upper", shape.upper_quantile(p), upper),
        ] {
            // A value near zero between ends of order one keeps the absolute precision of its ends.
            let error = (got - expected).abs() / expected.abs().max(1e-3 * shape.sd());
            assert!(
                error < 1e-12,
                "{} {parameters:?}, {side} {p:e}: got {got}, expected {expected}",
                row[0]
            );
        }
        count += 1;
    }
    assert_eq!(count, 180);
}

#[test]
fn scores_agree_with_quantiles_and_rise_for_every_shape() {
    let shapes: [Box<dyn Shape>; 5] = [
        Box::new(Normal::new(30.0, 0.004).unwrap()),
        Box::new(TruncatedNormal::new(30.0, 0.004, 29.99, 30.008).unwrap()),
        Box::new(Uniform::new(0.08, 0.16).unwrap()),
        Box::new(Triangular::new(10.0, 11.0, 20.0).unwrap()),
        Box::new(Lognormal::with_moments(0.14, 0.02, 0.05).unwrap()),
    ];
    for shape in shapes {
        let mut before = f64::NEG_INFINITY;
        for i in -80..=80 {
            let z = f64::from(i) * 0.1;
            let value = shape.from_score(z);
            assert!(value >= before, "{shape:?} falls at score {z}");
            before = value;
            let expected = if z <= 0.0 {
                normal::below(z)
            } else {
                normal::below(-z)
            };
            let got = if z <= 0.0 {
                shape.below(value)
            } else {
                shape.above(value)
            };
            // One rounding of the value moves the probability by the density times that rounding.
            let rounding = 4.0 * f64::EPSILON * value.abs() * shape.density(value);
            assert!(
                (got - expected).abs() <= 1e-12 * expected + rounding,
                "{shape:?}, score {z}: got {got}, expected {expected}"
            );
        }
    }
}

#[test]
fn stated_mean_and_sd_are_those_of_the_quantiles() {
    let shapes: [Box<dyn Shape>; 6] = [
        Box::new(TruncatedNormal::new(30.0, 0.004, 29.99, 30.008).unwrap()),
        Box::new(TruncatedNormal::new(0.0, 1.0, 6.0, 9.0).unwrap()),
        Box::new(TruncatedNormal::new(0.0, 1.0, -30.0, -20.0).unwrap()),
        Box::new(Uniform::new(0.08, 0.16).unwrap()),
        Box::new(Triangular::new(10.0, 11.0, 20.0).unwrap()),
        Box::new(Lognormal::with_moments(0.14, 0.02, 0.05).unwrap()),
    ];
    for shape in shapes {
        // Mean of the values at 400 000 evenly spaced probabilities.
        let n = 400_000;
        let value = |i: u32| shape.quantile((f64::from(i) + 0.5) / f64::from(n));
        let centre = shape.mean();
        let mean = centre + (0..n).map(|i| value(i) - centre).sum::<f64>() / f64::from(n);
        let sd = ((0..n)
            .map(|i| (value(i) - mean) * (value(i) - mean))
            .sum::<f64>()
            / f64::from(n))
        .sqrt();
        assert!(
            (mean - shape.mean()).abs() < 1e-5 * shape.sd(),
            "{shape:?}: mean {mean}"
        );
        assert!(
            (sd / shape.sd() - 1.0).abs() < 1e-4,
            "{shape:?}: sd {sd}, stated {}",
            shape.sd()
        );
    }
}
