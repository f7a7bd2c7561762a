//! Verified: Clopper-Pearson intervals against a table computed with 40 digits and more.

use capability::binomial;

/// Count, trials, confidence, low, high.
fn rows() -> Vec<(u64, u64, f64, f64, f64)> {
    include_str!("golden/binomial.csv")
        .lines()
        .filter(|line| !line.starts_with('#'))
        .skip(1)
        .map(|line| {
            let f: Vec<&str> = line.split(',').collect();
            let number = |i: usize| f[i].parse::<f64>().unwrap();
            (
                f[0].parse().unwrap(),
                f[1].parse().unwrap(),
                number(2),
                number(3),
                number(4),
            )
        })
        .collect()
}

#[test]
fn verified_interval_ends_to_1e_12_for_up_to_1e12_trials() {
    let rows = rows();
    assert_eq!(rows.len(), 38);
    for (count, of, confidence, low, high) in rows {
        let got = binomial::interval(count, of, confidence);
        let off = |got: f64, expected: f64| {
            (got - expected).abs() / if expected == 0.0 { 1.0 } else { expected }
        };
        assert!(
            off(got.low, low) < 1e-12,
            "{count} of {of}: low {}, expected {low}",
            got.low
        );
        assert!(
            off(got.high, high) < 1e-12,
            "{count} of {of}: high {}, expected {high}",
            got.high
        );
    }
}
