//! Fits by maximum likelihood: that they find the maximum, that what they state builds the same shape, that they refuse
//! what cannot be fitted.

use std::sync::Arc;

use distributions::{
    FitError, Fitted, FoldedNormal, Gamma, KINDS, Kind, Lognormal, Normal, Rayleigh, Shape,
    SkewNormal, TwoPartNormal, Weibull,
};

/// Evenly spread quantiles of a shape, rounded as a gauge rounds them.
fn readings_of(shape: &dyn Shape, n: u32, step: f64) -> Vec<f64> {
    (0..n)
        .map(|i| shape.quantile((f64::from(i) + 0.5) / f64::from(n)))
        .map(|x| (x / step).round() * step)
        .collect()
}

/// Readings that suit every kind that is fitted.
fn suited(name: &str) -> Vec<f64> {
    let shape: Arc<dyn Shape> = match name {
        "normal" => Arc::new(Normal::new(30.0, 0.004).unwrap()),
        "lognormal" => Arc::new(Lognormal::with_moments(0.14, 0.02, 0.05).unwrap()),
        "weibull" => Arc::new(Weibull::new(2.2, 0.02, 0.01).unwrap()),
        "gamma" => Arc::new(Gamma::new(3.0, 0.01, 0.1).unwrap()),
        "folded_normal" => Arc::new(FoldedNormal::new(0.008, 0.006, 0.0).unwrap()),
        "rayleigh" => Arc::new(Rayleigh::new(0.01, 0.0).unwrap()),
        "skew_normal" => Arc::new(SkewNormal::new(30.0, 0.005, 3.0).unwrap()),
        "two_part_normal" => Arc::new(TwoPartNormal::new(30.0, 0.003, 0.006).unwrap()),
        _ => panic!("no readings for {name}"),
    };
    readings_of(&*shape, 120, 0.000_5)
}

/// The shape built again from what the fit states.
fn rebuilt(kind: &Kind, fitted: &Fitted) -> Arc<dyn Shape> {
    let keys: Vec<&str> = fitted.stated.iter().map(|s| s.0).collect();
    let values: Vec<f64> = fitted.stated.iter().map(|s| s.2).collect();
    if let Some(by) = kind.by_parameters
        && by.parameters.iter().map(|p| p.key).eq(keys.iter().copied())
    {
        for (parameter, stated) in by.parameters.iter().zip(&fitted.stated) {
            assert_eq!(parameter.role, stated.1, "{} {}", kind.name, stated.0);
        }
        return (by.build)(&values).unwrap();
    }
    let by = kind.by_moments.unwrap();
    let expected = ["mean", "sd"]
        .into_iter()
        .chain(by.extra.iter().map(|p| p.key));
    assert!(expected.eq(keys.iter().copied()), "{} {keys:?}", kind.name);
    (by.build)(values[0], values[1], &values[2..]).unwrap()
}

fn log_likelihood(shape: &dyn Shape, readings: &[f64]) -> f64 {
    readings.iter().map(|x| libm::log(shape.density(*x))).sum()
}

#[test]
fn what_a_fit_states_builds_the_same_shape_with_the_likelihood_it_says() {
    let mut count = 0;
    for kind in KINDS {
        let Some(fit) = kind.fit else { continue };
        let readings = suited(kind.name);
        let fitted = fit(&readings).unwrap_or_else(|error| panic!("{}: {error}", kind.name));
        let again = rebuilt(kind, &fitted);
        assert_eq!(format!("{again:?}"), format!("{:?}", fitted.shape));
        let direct = log_likelihood(&*fitted.shape, &readings);
        assert!(
            (direct - fitted.log_likelihood).abs() < 1e-8,
            "{}: direct {direct}, said {}",
            kind.name,
            fitted.log_likelihood
        );
        count += 1;
    }
    assert_eq!(count, 8);
}

#[test]
fn no_stated_number_can_be_moved_to_a_higher_likelihood() {
    for kind in KINDS {
        let Some(fit) = kind.fit else { continue };
        let readings = suited(kind.name);
        let fitted = fit(&readings).unwrap();
        let spread = fitted.shape.sd();
        for moved in 0..fitted.stated.len() {
            if fitted.stated[moved].2 == 0.0 {
                // An origin held at zero.
                continue;
            }
            for by in [-1e-3, 1e-3] {
                let mut other = fitted.clone();
                other.stated[moved].2 += match other.stated[moved].1 {
                    distributions::kind::Role::Plain => by * other.stated[moved].2,
                    _ => by * spread,
                };
                let height = log_likelihood(&*rebuilt(kind, &other), &readings);
                assert!(
                    height < fitted.log_likelihood,
                    "{} {:?}: {height} beats {}",
                    kind.name,
                    other.stated[moved],
                    fitted.log_likelihood
                );
            }
        }
    }
}

#[test]
fn every_fit_refuses_too_few_equal_and_endless_readings() {
    for kind in KINDS {
        let Some(fit) = kind.fit else { continue };
        let refused = |readings: &[f64]| fit(readings).err();
        assert!(
            matches!(refused(&[1.0]), Some(FitError::TooFew { n: 1, .. })),
            "{}",
            kind.name
        );
        assert_eq!(
            refused(&[2.0; 30]),
            Some(FitError::NoSpread),
            "{}",
            kind.name
        );
        let endless = [1.0, 2.0, 3.0, f64::NAN, 5.0];
        assert_eq!(refused(&endless), Some(FitError::Unsuited), "{}", kind.name);
    }
}

#[test]
fn shapes_without_negative_values_refuse_negative_readings() {
    let readings = [-1.0, 2.0, 3.0, 5.0, 4.0];
    for name in ["rayleigh", "folded_normal"] {
        let fit = Kind::named(name).unwrap().fit.unwrap();
        assert_eq!(fit(&readings).err(), Some(FitError::Unsuited), "{name}");
    }
}

#[test]
fn coarsely_rounded_readings_never_give_nonsense() {
    for kind in KINDS {
        let Some(fit) = kind.fit else { continue };
        for readings in [
            vec![1.0, 1.0, 1.0, 1.0, 2.0],
            vec![1.0, 1.0, 2.0, 2.0, 2.0, 2.0],
            vec![1.0, 2.0, 2.0, 2.0, 2.0, 2.0, 2.0, 3.0],
            vec![30.0, 30.001, 30.001, 30.002, 30.001, 30.0, 30.0],
        ] {
            if let Ok(fitted) = fit(&readings) {
                assert!(
                    fitted.log_likelihood.is_finite(),
                    "{} {readings:?} {fitted:?}",
                    kind.name
                );
                assert!(fitted.shape.sd() > 0.0 && fitted.shape.mean().is_finite());
                assert!(fitted.stated.iter().all(|stated| stated.2.is_finite()));
            }
        }
    }
}

#[test]
fn the_origin_is_found_where_the_readings_show_one_and_zero_where_they_do_not() {
    let weibull = Kind::named("weibull").unwrap().fit.unwrap();
    let far = readings_of(&Weibull::new(2.2, 0.02, 30.0).unwrap(), 200, 1e-6);
    let fitted = weibull(&far).unwrap();
    assert_eq!(fitted.free, 3);
    assert!((fitted.stated[2].2 - 30.0).abs() < 0.001, "{fitted:?}");
    // An exponential: the likelihood grows as the origin nears the smallest reading.
    let steep = readings_of(&Weibull::new(0.9, 0.02, 0.0).unwrap(), 200, 1e-6);
    let fitted = weibull(&steep).unwrap();
    assert_eq!((fitted.free, fitted.stated[2].2), (2, 0.0), "{fitted:?}");
    let below: Vec<f64> = steep.iter().map(|x| x - 1.0).collect();
    assert_eq!(weibull(&below).err(), Some(FitError::NoMaximum));
}

/// Rows of a table below its comment and its line of column names.
fn rows(table: &'static str) -> impl Iterator<Item = Vec<&'static str>> {
    table
        .lines()
        .filter(|line| !line.starts_with('#'))
        .skip(1)
        .map(|line| line.split(',').collect())
}

#[test]
fn verified_likelihoods_against_a_direct_search_on_six_sets_of_readings() {
    let number = |text: &str| -> f64 { text.parse().unwrap() };
    let mut count = 0;
    for row in rows(include_str!("golden/fits.csv")) {
        let [set, name] = [row[0], row[1]];
        let readings: Vec<f64> = rows(include_str!("golden/readings.csv"))
            .find(|row| row[0] == set)
            .map(|row| row[1].split(' ').map(number).collect())
            .unwrap();
        let free: usize = row[2].parse().unwrap();
        let fitted = Kind::named(name).unwrap().fit.unwrap()(&readings);
        if free == 0 {
            assert_eq!(fitted.err(), Some(FitError::NoMaximum), "{set} {name}");
        } else {
            let fitted = fitted.unwrap_or_else(|error| panic!("{set} {name}: {error}"));
            let short = number(row[3]) - fitted.log_likelihood;
            println!("{set} {name}: short of the direct search by {short:.1e}");
            assert_eq!(fitted.free, free, "{set} {name}");
            assert!(short.abs() < 1e-6, "{set} {name}: short by {short:e}");
        }
        count += 1;
    }
    assert_eq!(count, 48);
}
