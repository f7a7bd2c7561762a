//! Verified: tests of normality and of subgroups against tables made with an independent library.

mod readings;

use capability::Test;
use capability::normality::{anderson_darling, shapiro_wilk};
use capability::subgroups::Subgroups;
use readings::readings;

/// Fields of the rows of a table, without its comments and its head.
fn rows(table: &'static str) -> Vec<Vec<&'static str>> {
    table
        .lines()
        .filter(|line| !line.starts_with('#'))
        .skip(1)
        .map(|line| line.split(',').collect())
        .collect()
}

fn whole(field: &str) -> usize {
    field.parse().unwrap()
}

/// The readings that the first four fields name.
fn named(row: &[&str]) -> Vec<f64> {
    readings(
        row[0],
        whole(row[1]) as u64,
        whole(row[2]),
        whole(row[3]) as u64,
    )
}

/// Largest differences seen, over all rows.
#[derive(Debug, Default)]
struct Worst {
    statistic: f64,
    p: f64,
}

impl Worst {
    /// Takes in the relative difference of a statistic and the difference of a probability, relative where it is below 0.01.
    fn take(&mut self, got: Option<Test>, statistic: &str, p: Option<&str>, row: &[&str]) {
        let Some(got) = got else {
            assert_eq!(statistic, "", "{row:?}: no test, expected {statistic}");
            return;
        };
        let number = |text: &str| text.parse::<f64>().unwrap_or(f64::NAN);
        let off = (got.statistic / number(statistic) - 1.0).abs();
        assert!(off.is_finite(), "{row:?}: {got:?}, expected {statistic:?}");
        self.statistic = self.statistic.max(off);
        if let Some(p) = p.map(number) {
            let off = (got.p - p).abs() / if p < 0.01 { p } else { 1.0 };
            assert!(off.is_finite(), "{row:?}: {got:?}, expected {p}");
            self.p = self.p.max(off);
        }
    }
}

#[test]
fn verified_normality_of_3_to_5000_readings() {
    let table = rows(include_str!("golden/normality.csv"));
    assert_eq!(table.len(), 36);
    let (mut shapiro, mut anderson) = (Worst::default(), Worst::default());
    for row in &table {
        let lot = named(row);
        shapiro.take(shapiro_wilk(&lot), row[4], Some(row[5]), row);
        anderson.take(anderson_darling(&lot), row[6], None, row);
    }
    println!("Shapiro-Wilk {shapiro:?}; Anderson-Darling {anderson:?}");
    // The library's scores carry about nine digits: the same formulas with scores of sixteen (in Python) differ from it by
    // just as much.
    assert!(shapiro.statistic < 2e-9 && shapiro.p < 4e-6);
    assert!(anderson.statistic < 5e-11);
}

#[test]
fn verified_means_and_spreads_of_subgroups() {
    let table = rows(include_str!("golden/subgroups.csv"));
    assert_eq!(table.len(), 28);
    let [mut means, mut bartlett, mut levene] = [0; 3].map(|_| Worst::default());
    for row in &table {
        let lot = named(row);
        let groups: Vec<&[f64]> = lot.chunks(whole(row[4])).collect();
        let got = Subgroups::of(&groups).unwrap();
        means.take(got.means_equal, row[5], Some(row[6]), row);
        bartlett.take(got.spreads_equal_bartlett, row[7], Some(row[8]), row);
        levene.take(got.spreads_equal_levene, row[9], Some(row[10]), row);
    }
    println!("means {means:?}; Bartlett {bartlett:?}; Levene {levene:?}");
    for worst in [means, bartlett, levene] {
        assert!(worst.statistic < 1e-12 && worst.p < 1e-12);
    }
}
