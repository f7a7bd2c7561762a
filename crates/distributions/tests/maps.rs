//! The table of the map from scores to values against the map itself, for every shape that a scenario can state, and against
//! quantiles of 34 digits.

use std::sync::Arc;

use distributions::{
    Beta, FoldedNormal, Gamma, KINDS, Lognormal, Mixture, Normal, QuantileTable, Rayleigh, Shape,
    SkewNormal, Triangular, TruncatedNormal, TwoPartNormal, Uniform, Weibull, normal,
};

/// Largest error of a table in standard deviations, between the places where it was measured too; a hundred times below
/// what a score itself is right to.
const ALLOWED: f64 = 1.05e-10;

/// Shapes of every kind by the kind's name: usual ones, and ones with kinks, cuts and singular ends.
fn shapes() -> Vec<(&'static str, Arc<dyn Shape>)> {
    vec![
        ("normal", Arc::new(Normal::new(30.0, 0.004).unwrap())),
        (
            "truncated_normal",
            Arc::new(TruncatedNormal::new(0.14, 0.015, 0.08, 0.22).unwrap()),
        ),
        (
            "truncated_normal",
            Arc::new(TruncatedNormal::new(60.0, 2.4, 59.0, 66.0).unwrap()),
        ),
        (
            "truncated_normal",
            Arc::new(TruncatedNormal::new(0.0, 1.0, -0.2, 0.1).unwrap()),
        ),
        (
            "truncated_normal",
            Arc::new(TruncatedNormal::new(0.0, 1.0, 6.0, 9.0).unwrap()),
        ),
        ("uniform", Arc::new(Uniform::new(5.97, 6.03).unwrap())),
        (
            "triangular",
            Arc::new(Triangular::new(5.96, 6.0, 6.04).unwrap()),
        ),
        (
            "triangular",
            Arc::new(Triangular::new(0.1, 0.12, 0.2).unwrap()),
        ),
        (
            "triangular",
            Arc::new(Triangular::new(0.0, 0.999, 1.0).unwrap()),
        ),
        (
            "triangular",
            Arc::new(Triangular::new(0.0, 0.0, 1.0).unwrap()),
        ),
        (
            "lognormal",
            Arc::new(Lognormal::with_moments(0.14, 0.02, 0.05).unwrap()),
        ),
        (
            "lognormal",
            Arc::new(Lognormal::with_moments(1.0, 0.8, 0.0).unwrap()),
        ),
        ("weibull", Arc::new(Weibull::new(1.5, 0.01, 30.0).unwrap())),
        ("weibull", Arc::new(Weibull::new(30.0, 0.14, 0.0).unwrap())),
        ("gamma", Arc::new(Gamma::new(0.3, 2.0, 0.0).unwrap())),
        ("gamma", Arc::new(Gamma::new(20.0, 0.001, 30.0).unwrap())),
        ("beta", Arc::new(Beta::new(0.5, 0.5, 0.0, 1.0).unwrap())),
        ("beta", Arc::new(Beta::new(8.0, 1.5, 29.9, 30.1).unwrap())),
        (
            "folded_normal",
            Arc::new(FoldedNormal::new(0.001, 0.002, 30.0).unwrap()),
        ),
        ("rayleigh", Arc::new(Rayleigh::new(0.003, 0.0).unwrap())),
        (
            "skew_normal",
            Arc::new(SkewNormal::new(30.0, 0.004, -3.0).unwrap()),
        ),
        (
            "two_part_normal",
            Arc::new(TwoPartNormal::new(5.0, 0.1, 3.0).unwrap()),
        ),
        (
            "two_part_normal",
            Arc::new(TwoPartNormal::new(30.0, 0.004, 0.001).unwrap()),
        ),
        (
            "mixture",
            Arc::new(
                Mixture::new(vec![
                    (
                        0.4,
                        Arc::new(SkewNormal::with_moments(0.002, 0.0032, 0.6).unwrap()),
                    ),
                    (0.6, Arc::new(Normal::new(-0.004, 0.003).unwrap())),
                ])
                .unwrap(),
            ),
        ),
    ]
}

#[test]
fn tables_of_every_kind_of_shape_follow_the_map_to_a_ten_billionth_of_the_sd() {
    let shapes = shapes();
    for kind in KINDS {
        let known = shapes.iter().any(|(name, _)| *name == kind.name);
        assert!(known, "{} is not among the shapes of this test", kind.name);
    }
    for (name, shape) in shapes {
        let Some(table) = QuantileTable::new(&*shape) else {
            panic!("{name} has no table: {shape:?}");
        };
        let mut worst = 0.0_f64;
        for i in 0..=7_400 {
            let z = -7.4 + 14.8 * f64::from(i) / 7_400.0;
            let (got, exact) = (table.value(z), shape.from_score(z));
            let rounding = 2.0 * f64::EPSILON * exact.abs();
            worst = worst.max(((got - exact).abs() - rounding) / shape.sd());
        }
        println!("{name:20} {:6} pieces {worst:.1e}", table.pieces());
        assert!(worst <= ALLOWED, "{shape:?}: {worst:e}");
    }
}

#[test]
fn a_column_is_filled_with_the_bits_of_single_values() {
    let z: [f64; 128] = std::array::from_fn(|i| (i as f64 - 63.3) * 0.13);
    for (name, shape) in shapes() {
        let Some(table) = QuantileTable::new(&*shape) else {
            panic!("{name} has no table: {shape:?}");
        };
        let mut column = [0.0; 128];
        table.fill(&z, &mut column);
        for (value, z) in column.iter().zip(&z) {
            assert_eq!(value.to_bits(), table.value(*z).to_bits(), "{name}, {z}");
        }
    }
}

/// `tests/golden/shape_values.csv` holds quantiles computed with 34 digits (mpmath); only those of scores within 7.4 count.
#[test]
fn verified_tables_against_quantiles_of_34_digits() {
    let mut count = 0;
    let mut made: Option<(&str, Arc<dyn Shape>, QuantileTable)> = None;
    for row in include_str!("golden/shape_values.csv").lines() {
        let fields: Vec<&str> = row.split(',').collect();
        let sign = match fields.get(1) {
            Some(&"quantile") => 1.0,
            Some(&"upper_quantile") => -1.0,
            _ => continue,
        };
        let (p, expected): (f64, f64) = (fields[2].parse().unwrap(), fields[3].parse().unwrap());
        let z = sign * normal::quantile(p);
        if made.as_ref().is_none_or(|(text, ..)| *text != fields[0]) {
            made = single(fields[0]).map(|shape| {
                let table = QuantileTable::new(&*shape).unwrap();
                (fields[0], shape, table)
            });
        }
        let Some((text, shape, table)) = &made else {
            continue;
        };
        if *text != fields[0] || z.abs() > 7.4 {
            continue;
        }
        let rounding = 4.0 * f64::EPSILON * expected.abs();
        let off = ((table.value(z) - expected).abs() - rounding) / shape.sd();
        assert!(off <= ALLOWED, "{row}: {off:e}");
        count += 1;
    }
    assert!(count >= 100, "{count} quantiles compared");
}

/// A shape of one kind by its text in the table; none for mixtures, sums and kinds that are not in this list.
fn single(text: &str) -> Option<Arc<dyn Shape>> {
    if text.contains([' ', '/', '+']) && (text.contains(" / ") || text.contains(" + ")) {
        return None;
    }
    let mut words = text.split(' ');
    let name = words.next()?;
    let p: Vec<f64> = words.map(|word| word.parse().unwrap()).collect();
    Some(match name {
        "weibull" => Arc::new(Weibull::new(p[0], p[1], p[2]).unwrap()),
        "gamma" => Arc::new(Gamma::new(p[0], p[1], p[2]).unwrap()),
        "beta" => Arc::new(Beta::new(p[0], p[1], p[2], p[3]).unwrap()),
        "folded_normal" => Arc::new(FoldedNormal::new(p[0], p[1], p[2]).unwrap()),
        "rayleigh" => Arc::new(Rayleigh::new(p[0], p[1]).unwrap()),
        "skew_normal" => Arc::new(SkewNormal::new(p[0], p[1], p[2]).unwrap()),
        "two_part_normal" => Arc::new(TwoPartNormal::new(p[0], p[1], p[2]).unwrap()),
        _ => return None,
    })
}
