//! Whether readings agree with a normal distribution: Anderson-Darling and Shapiro-Wilk.

use capability::normality::{anderson_darling, shapiro_wilk};
use record::Normality;

use super::words::{readings_are, short};
use super::{CHANCE, recorded};

/// Fewest readings of the Anderson-Darling test.
const FEWEST: usize = 8;

/// Judges readings that rise: normal when neither test finds a difference beyond chance.
pub(super) fn judged(sorted: &[f64]) -> Normality {
    let enough = sorted.len() >= FEWEST;
    let anderson_darling = recorded(anderson_darling(sorted).filter(|_| enough));
    let shapiro_wilk = recorded(shapiro_wilk(sorted));
    let tests = [anderson_darling, shapiro_wilk];
    let smallest = tests.iter().flatten().map(|test| test.p).reduce(f64::min);
    let normal = smallest.is_some_and(|p| p >= CHANCE);
    Normality {
        anderson_darling,
        shapiro_wilk,
        normal,
        words: words(sorted.len(), smallest),
    }
}

fn words(n: usize, smallest: Option<f64>) -> String {
    let Some(p) = smallest else {
        return format!(
            "{} too few, or too alike, to test their shape.",
            readings_are(n as u64)
        );
    };
    if p < CHANCE {
        return format!(
            "The readings are not normal: a normal process would give such a lot with a chance of {} only.",
            short(p)
        );
    }
    // The skewness of n normal readings scatters with sqrt(6/n): twice that is seen about every second time.
    let seen = short(2.0 * libm::sqrt(6.0 / n as f64));
    format!(
        "Nothing speaks against a normal distribution (smaller p = {}); {n} readings would show a skewness of about {seen} or more, \
         not less, and nothing of the far tails.",
        short(p)
    )
}

#[cfg(test)]
mod tests {
    use distributions::normal;

    use super::*;

    #[test]
    fn equal_and_few_readings_are_not_tested() {
        assert_eq!(judged(&[1.0; 20]).shapiro_wilk, None);
        let two = judged(&[1.0, 2.0]);
        assert!(!two.normal && two.shapiro_wilk.is_none());
    }

    #[test]
    fn an_even_lot_of_scores_is_normal_and_an_exponential_one_is_not() {
        let scores: Vec<f64> = (0..60)
            .map(|i| normal::quantile((f64::from(i) + 0.5) / 60.0))
            .collect();
        assert!(judged(&scores).normal);
        let tail: Vec<f64> = (0..60)
            .map(|i| -libm::log1p(-(f64::from(i) + 0.5) / 60.0))
            .collect();
        assert!(!judged(&tail).normal);
    }
}
