//! Checks of the sketch.

use super::*;

fn sketch_of(values: &[f64], atom: Option<f64>) -> Sketch {
    let mut sketch = Sketch::new(0.0, 10.0, 1000, atom).unwrap();
    values.iter().for_each(|&x| sketch.add(x));
    sketch
}

#[test]
fn quantiles_of_an_even_spread_lie_within_a_bin() {
    let values: Vec<f64> = (0..100_000)
        .map(|i| 1.0 + 7.0 * (f64::from(i) + 0.5) / 100_000.0)
        .collect();
    let sketch = sketch_of(&values, None);
    for p in [0.0, 0.001_35, 0.3, 0.5, 0.998_65, 1.0] {
        let (got, expected) = (sketch.quantile(p).unwrap(), 1.0 + 7.0 * p);
        assert!(
            (got - expected).abs() < 2e-4,
            "p {p}: got {got}, expected {expected}"
        );
        let back = sketch.share_below(got).unwrap();
        assert!((back - p).abs() < 1e-12, "p {p}: share {back}");
    }
    assert_eq!(sketch.extremes(), Some((values[0], values[99_999])));
}

#[test]
fn an_atom_is_a_step() {
    let mut values = vec![0.0; 30];
    values.extend((0..70).map(|i| 2.0 + f64::from(i) * 0.1));
    let sketch = sketch_of(&values, Some(0.0));
    assert_eq!(
        (sketch.quantile(0.0), sketch.quantile(0.3)),
        (Some(0.0), Some(0.0))
    );
    assert!(sketch.quantile(0.31).unwrap() >= 2.0);
    assert_eq!(
        (sketch.share_below(-1e-9), sketch.share_below(0.0)),
        (Some(0.0), Some(0.3))
    );
    assert_eq!(sketch.atom_share(), 0.3);
    // An atom in the middle of the values, not a neighbour's.
    let mut values: Vec<f64> = (0..50).map(|i| f64::from(i) * 0.1).collect();
    values.extend([5.05; 50]);
    values.extend((51..101).map(|i| f64::from(i) * 0.1));
    let sketch = sketch_of(&values, Some(5.05));
    assert_eq!(
        (
            sketch.quantile(0.34),
            sketch.quantile(0.5),
            sketch.quantile(0.66)
        ),
        (Some(5.05), Some(5.05), Some(5.05))
    );
    assert!(sketch.quantile(0.3).unwrap() < 4.6 && sketch.quantile(0.7).unwrap() > 5.1);
}

#[test]
fn quantiles_without_the_atom_are_those_of_the_other_values() {
    let others: Vec<f64> = (0..70).map(|i| 2.0 + f64::from(i) * 0.1).collect();
    let mut values = vec![0.0; 30];
    values.extend(&others);
    let whole = sketch_of(&values, Some(0.0));
    let (off, alone) = (whole.without_atom(), sketch_of(&others, Some(0.0)));
    assert_eq!((off.total(), off.atom_share()), (70, 0.0));
    for p in [0.05, 0.5, 0.95] {
        let (got, expected) = (off.quantile(p).unwrap(), alone.quantile(p).unwrap());
        assert!(
            (got - expected).abs() < 1e-12,
            "p {p}: got {got}, expected {expected}"
        );
    }
    assert_eq!(off.extremes(), Some((2.0, 8.9)));
    // An atom at the upper end, values inside an open range below it.
    let shares = sketch_of(&[4.003, 5.0, 9.0, 9.0], Some(9.0)).without_atom();
    let (least, most) = shares.extremes().unwrap();
    assert!(least == 4.003 && (5.0..5.02).contains(&most), "{most}");
    // Without others nothing is left; without an atom nothing changes.
    assert_eq!(
        sketch_of(&[0.0, 0.0], Some(0.0)).without_atom().extremes(),
        None
    );
    assert_eq!(alone.without_atom(), alone);
}

#[test]
fn what_falls_outside_the_range_still_counts() {
    let sketch = sketch_of(&[-5.0, -1.0, 1.0, 2.0, 3.0, 4.0, 11.0, 30.0], None);
    assert_eq!((sketch.total(), sketch.outside()), (8, (2, 2)));
    assert_eq!(
        (sketch.quantile(0.0), sketch.quantile(1.0)),
        (Some(-5.0), Some(30.0))
    );
    assert_eq!(
        (sketch.quantile(0.25), sketch.quantile(0.125)),
        (Some(0.0), Some(-2.5))
    );
    assert_eq!(
        (sketch.share_below(0.0), sketch.share_below(10.0)),
        (Some(0.25), Some(0.75))
    );
    // Six values: the median's interval is the whole sample, ends taken outwards.
    let few = sketch_of(&[-5.0, 1.0, 2.0, 3.0, 4.0, 30.0], None);
    assert_eq!(
        few.quantile_interval(0.5, 0.95),
        Some(Interval {
            low: -5.0,
            high: 30.0
        })
    );
    assert_eq!(few.quantile_interval(0.25, 0.95), None);
}

#[test]
fn merged_parts_equal_the_whole() {
    let values: Vec<f64> = (0..1000)
        .map(|i| f64::from(i * 7919 % 1301) * 0.01 - 1.0)
        .collect();
    let whole = sketch_of(&values, Some(2.0));
    let mut merged = Sketch::new(0.0, 10.0, 1000, Some(2.0)).unwrap();
    values
        .chunks(130)
        .rev()
        .for_each(|part| merged.merge(&sketch_of(part, Some(2.0))));
    assert_eq!(merged, whole);
}

#[test]
fn coarse_bins_keep_every_count() {
    let values: Vec<f64> = (0..500).map(|i| 3.0 + f64::from(i) * 0.004).collect();
    let h = sketch_of(&values, None).coarse(40);
    assert!(
        h.counts.len() <= 40 && h.counts.iter().sum::<u64>() == 500,
        "{h:?}"
    );
    assert!(
        (h.from - 3.0).abs() < 0.011 && h.to >= 4.996 && h.to < 5.2,
        "{h:?}"
    );
}

#[test]
fn an_impossible_layout_is_refused_and_an_empty_sketch_says_nothing() {
    assert_eq!(
        Sketch::new(1.0, 1.0, 10, None),
        Err(SketchError::Range { from: 1.0, to: 1.0 })
    );
    assert_eq!(Sketch::new(0.0, 1.0, 0, None), Err(SketchError::NoBins));
    assert!(matches!(
        Sketch::new(0.0, 1.0, 1, Some(f64::NAN)),
        Err(SketchError::Atom { .. })
    ));
    let empty = sketch_of(&[], None);
    assert_eq!(
        (
            empty.quantile(0.5),
            empty.share_below(1.0),
            empty.extremes()
        ),
        (None, None, None)
    );
}
