//! Published quantiles and moments of the shapes of processes (`published/shapes.csv`). The source stands beside each row.

use distributions::{Beta, Lognormal, Shape, SkewNormal, Triangular, Uniform, Weibull};

fn number(text: &str) -> f64 {
    text.parse()
        .unwrap_or_else(|_| panic!("not a number: {text:?}"))
}

fn shape(text: &str) -> Box<dyn Shape> {
    let mut words = text.split(' ');
    let name = words.next().expect("a name");
    let p: Vec<f64> = words.map(number).collect();
    match name {
        // Shape parameters, lower and upper end.
        "beta" => Box::new(Beta::new(p[0], p[1], p[2], p[3]).unwrap()),
        // Mean and standard deviation of the logarithm.
        "lognormal" => {
            let mean = libm::exp(p[0] + 0.5 * p[1] * p[1]);
            let sd = mean * libm::sqrt(libm::expm1(p[1] * p[1]));
            Box::new(Lognormal::with_moments(mean, sd, 0.0).unwrap())
        }
        // Location, scale, slant.
        "skew_normal" => Box::new(SkewNormal::new(p[0], p[1], p[2]).unwrap()),
        "triangular" => Box::new(Triangular::new(p[0], p[1], p[2]).unwrap()),
        "uniform" => Box::new(Uniform::new(p[0], p[1]).unwrap()),
        // Shape parameter, scale, origin.
        "weibull" => Box::new(Weibull::new(p[0], p[1], p[2]).unwrap()),
        _ => panic!("no shape is called {name:?}"),
    }
}

/// A standardised moment, by Simpson's rule over the whole range.
fn standardised(shape: &dyn Shape, power: i32) -> f64 {
    let (low, high) = shape.support();
    let n = 20_000;
    let step = (high - low) / f64::from(n);
    let sum: f64 = (0..=n)
        .map(|i| {
            let x = low + step * f64::from(i);
            let weight = match i {
                0 => 1.0,
                i if i == n => 1.0,
                i if i % 2 == 1 => 4.0,
                _ => 2.0,
            };
            weight * ((x - shape.mean()) / shape.sd()).powi(power) * shape.density(x)
        })
        .sum();
    sum * step / 3.0
}

fn compute(shape: &dyn Shape, quantity: &str, at: &str) -> f64 {
    let x: Vec<f64> = at
        .split(' ')
        .filter(|t| !t.is_empty())
        .map(number)
        .collect();
    // Percentiles of the natural spread.
    let (low, middle, high) = (
        shape.quantile(0.00135),
        shape.quantile(0.5),
        shape.upper_quantile(0.00135),
    );
    match quantity {
        "quantile" => shape.quantile(x[0]),
        "mean" => shape.mean(),
        "variance" => shape.sd() * shape.sd(),
        "skewness" => standardised(shape, 3),
        "excess_kurtosis" => standardised(shape, 4) - 3.0,
        // Lower and upper limit.
        "pp" => (x[1] - x[0]) / (high - low),
        "ppu" => (x[1] - middle) / (high - middle),
        "ppl" => (middle - x[0]) / (middle - low),
        _ => panic!("nothing is called {quantity:?}"),
    }
}

#[test]
fn verified_published_quantiles_and_moments_of_shapes() {
    let mut reader = csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .from_reader(include_str!("../published/shapes.csv").as_bytes());
    let mut count = 0;
    let failures: Vec<String> = reader
        .records()
        .filter_map(|record| {
            let row = record.expect("a row of eight fields");
            count += 1;
            let (expected, tolerance) = (number(&row[4]), number(&row[5]));
            let got = compute(&*shape(&row[1]), &row[2], &row[3]);
            let holds = (got - expected).abs() <= tolerance;
            (!holds).then(|| {
                format!(
                    "{} {} {}({}): expected {expected}, got {got}; {} ({})",
                    &row[0], &row[1], &row[2], &row[3], &row[6], &row[7]
                )
            })
        })
        .collect();
    assert!(failures.is_empty(), "{}", failures.join("\n"));
    assert_eq!(count, 30);
}
