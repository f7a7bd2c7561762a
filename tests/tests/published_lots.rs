//! Published results about measured lots (`published/statistics_lots.csv` and the readings beside it). The source stands beside
//! each row.

use capability::Test;
use capability::gauge::{Anova, Components, Source, Study};
use capability::index::{
    Limits, LotIndices, lot_indices, measured_cp_interval, measured_lower_bound,
    needed_to_demonstrate,
};
use capability::moments::Moments;
use capability::normality::{anderson_darling, shapiro_wilk};
use capability::order::runs;
use capability::outliers;
use capability::subgroups::{Subgroups, c4, d2};

/// Lines of a table without its comments.
fn lines(table: &'static str) -> impl Iterator<Item = &'static str> {
    table.lines().filter(|line| !line.starts_with('#'))
}

fn numbers(text: &str, separator: char) -> Vec<f64> {
    let number = |field: &str| {
        field
            .parse::<f64>()
            .unwrap_or_else(|_| panic!("not a number: {field:?}"))
    };
    text.split(separator).map(number).collect()
}

/// Ten batches of gear diameters.
fn gear() -> Vec<Vec<f64>> {
    lines(include_str!("../published/gear.csv"))
        .map(|line| numbers(line, ','))
        .collect()
}

fn gear_subgroups() -> Subgroups {
    let batches = gear();
    let batches: Vec<&[f64]> = batches.iter().map(Vec::as_slice).collect();
    Subgroups::of(&batches).expect("ten batches of ten")
}

fn gear_indices() -> LotIndices {
    let limits = Limits {
        min: Some(0.98),
        max: Some(1.02),
    };
    let moments = Moments::of(&gear().concat());
    lot_indices(&moments, Some(&gear_subgroups()), limits, 0.95)
}

/// Ten parts, three appraisers, three trials.
fn gauge_study() -> Study {
    let mut cells = vec![Vec::new(); 10];
    for line in lines(include_str!("../published/gauge_study.csv")) {
        for (part, trials) in cells.iter_mut().zip(line.split(',').skip(1)) {
            part.push(numbers(trials, ' '));
        }
    }
    Study::of(&cells).expect("a balanced study")
}

fn gear_check(what: &str) -> f64 {
    let all = gear().concat();
    let moments = Moments::of(&all);
    let statistic = |test: Option<Test>| test.expect("a test").statistic;
    let p = |test: Option<Test>| test.expect("a test").p;
    match what {
        "mean" => moments.mean().expect("a mean"),
        "sd" => moments.sd().expect("a spread"),
        "sd_within" => gear_subgroups().sd_within,
        "f" => statistic(gear_subgroups().means_equal),
        "f_p" => p(gear_subgroups().means_equal),
        "bartlett" => statistic(gear_subgroups().spreads_equal_bartlett),
        "bartlett_p" => p(gear_subgroups().spreads_equal_bartlett),
        "levene" => statistic(gear_subgroups().spreads_equal_levene),
        "levene_p" => p(gear_subgroups().spreads_equal_levene),
        "anderson" => statistic(anderson_darling(&all)),
        "shapiro" => statistic(shapiro_wilk(&all)),
        "shapiro_p" => p(shapiro_wilk(&all)),
        "pp" => gear_indices().pp.expect("two limits").value,
        "ppk" => gear_indices().ppk.expect("two limits").value,
        "cp" => gear_indices().cp.expect("two limits").value,
        "cpk" => gear_indices().cpk.expect("two limits").value,
        _ => panic!("nothing of the gears is called {what:?}"),
    }
}

fn source(anova: &Anova, name: &str) -> Source {
    match name {
        "appraisers" => anova.appraisers.expect("three appraisers"),
        "parts" => anova.parts,
        "interaction" => anova.interaction.expect("three appraisers"),
        "equipment" => anova.equipment,
        "total" => anova.total,
        _ => panic!("no source is called {name:?}"),
    }
}

fn component(of: &Components, name: &str) -> f64 {
    match name {
        "repeatability" => of.repeatability,
        "reproducibility" => of.reproducibility,
        "gauge" => of.gauge,
        "parts" => of.parts,
        "total" => of.total,
        "of_total" => of.of_total,
        "categories" => of.categories.expect("a gauge with scatter") as f64,
        _ => panic!("no component is called {name:?}"),
    }
}

fn compute(check: &str, x: &[f64]) -> f64 {
    if let Some(what) = check.strip_prefix("gear_") {
        return gear_check(what);
    }
    let anova = || gauge_study().anova().expect("readings with scatter");
    if let Some(name) = check.strip_prefix("squares_") {
        return source(&anova(), name).squares;
    }
    if let Some(name) = check.strip_prefix("mean_square_") {
        return source(&anova(), name).mean_square;
    }
    if let Some(name) = check.strip_prefix("anova_") {
        return component(&anova().components, name);
    }
    if let Some(name) = check.strip_prefix("range_") {
        return component(&gauge_study().by_range().expect("constants"), name);
    }
    match check {
        "interaction_f" => anova().interaction_test.expect("a test").statistic,
        "interaction_p" => anova().interaction_test.expect("a test").p,
        "pooled" => f64::from(u8::from(anova().pooled)),
        // Number of readings.
        "d2" => d2(x[0] as u64).expect("2 to 100 readings"),
        "c4" => c4(x[0] as u64).expect("2 to 100 readings"),
        // Index, number of readings, confidence.
        "lower_bound" => measured_lower_bound(x[0], x[1] as u64, x[2]).expect("readings"),
        "needed" => needed_to_demonstrate(x[0], x[1] as u64, x[2]).expect("readings"),
        "cp_low" => {
            measured_cp_interval(x[0], x[1] as u64, x[2])
                .expect("readings")
                .low
        }
        // Statistic, degrees of freedom.
        "t_tails" => Test::of_t(x[0], x[1]).expect("a test").p,
        "chi_square_tail" => Test::of_chi_square(x[0], x[1]).expect("a test").p,
        "runs_lew" => {
            let readings: Vec<f64> = lines(include_str!("../published/strd/Lew.txt"))
                .flat_map(|line| numbers(line, ' '))
                .collect();
            runs(&readings).expect("a test").statistic
        }
        _ => panic!("no check is called {check:?}"),
    }
}

#[test]
fn verified_statistics_of_measured_lots() {
    let table = include_str!("../published/statistics_lots.csv");
    let (mut failures, mut count) = (Vec::new(), 0);
    for line in lines(table).skip(1) {
        let fields: Vec<&str> = line.split(',').collect();
        let [id, check, inputs, expected, tolerance, source, standing] = fields[..] else {
            panic!("not seven fields: {line}");
        };
        let (expected, tolerance) = (numbers(expected, ' ')[0], numbers(tolerance, ' ')[0]);
        let got = compute(check, &numbers(inputs, ' '));
        count += 1;
        let holds = (got - expected).abs() <= tolerance;
        if !holds {
            failures.push(format!(
                "{id} {check} {inputs}: expected {expected}, got {got}, tolerance {tolerance:e}; {source} ({standing})"
            ));
        }
    }
    assert!(failures.is_empty(), "{}", failures.join("\n"));
    assert_eq!(count, 90, "every row must be read");
}

#[test]
fn verified_far_readings_of_rosners_example() {
    let table: Vec<Vec<f64>> = lines(include_str!("../published/rosner.csv"))
        .map(|line| numbers(line.split_once(',').expect("a name and numbers").1, ' '))
        .collect();
    let [readings, deviates, critical] = &table[..] else {
        panic!("three lines, found {}", table.len());
    };
    assert_eq!(readings.len(), 54);
    let steps = outliers::steps(readings);
    assert_eq!((steps.len(), deviates.len(), critical.len()), (10, 10, 10));
    for ((step, deviate), critical) in steps.iter().zip(deviates).zip(critical) {
        // The handbook cuts after three decimals.
        let off = step.deviate - deviate;
        assert!((-1e-12..0.001).contains(&off), "{step:?}, {deviate}");
        assert_eq!(step.p < 0.05, deviate > critical, "{step:?}");
        // At the critical value the chance is 5 %; a thousandth of R moves it by half a percent of itself.
        let m = step.left as f64;
        let chance = |r: f64| {
            let t2 = m * (m - 2.0) * r * r / ((m - 1.0) * (m - 1.0) - m * r * r);
            m * Test::of_t(t2.sqrt(), m - 2.0).expect("a test").p
        };
        assert!(
            chance(critical + 0.001) < 0.05 && chance(critical - 1e-12) >= 0.05,
            "{m}: {}",
            chance(*critical)
        );
    }
    let far: Vec<f64> = outliers::far(readings).iter().map(|o| o.value).collect();
    assert_eq!(far, [5.34, 5.42, 6.01]);
}
