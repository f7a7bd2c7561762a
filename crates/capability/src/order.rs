//! Whether a process was steady: its readings in the order of production.

use distributions::normal;

use crate::moments::{Moments, lag1_autocorrelation};
use crate::quantiles;
use crate::sum::Compensated;
use crate::test::Test;

/// Fewest readings whose order is judged.
const FEWEST: usize = 12;

/// Fewest readings on either side of the median for the normal law of the number of runs.
const SIDE: usize = 6;

/// Chance at which the order of a steady process is called something else.
const CHANCE: f64 = 0.05;

/// What the order of readings shows.
#[derive(Debug, Clone, PartialEq)]
pub struct Order {
    /// Runs above and below the median: see [`runs`].
    pub runs: Option<Test>,
    /// The straight line along the order: see [`trend`].
    pub trend: Option<Trend>,
    /// How far a reading leads to the next: see [`neighbours`].
    pub neighbours: Option<Neighbours>,
    /// The three together.
    pub verdict: Verdict,
}

/// What the order of production tells of a process.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Verdict {
    /// Nothing beyond chance.
    Steady,
    /// A straight line is among what chance does not explain. One lasting step within the lot looks like a line to this test.
    Drift {
        /// Change along the line from the first to the last reading, in the unit of the readings.
        change: f64,
    },
    /// No line, but readings stand together, or take turns, more than chance explains.
    Shifts,
    /// Fewer than twelve readings, or none of the tests can be made of them.
    TooFew,
}

impl Order {
    /// Studies readings in the order in which they were made.
    ///
    /// The verdict takes the tests together by S. Holm's steps (Scand. J. Stat. 6 (1979) 65-70, recalled): the smallest of
    /// `m` probabilities against 0.05/m, the next against 0.05/(m - 1), and so on up to the first that is not below. So a
    /// steady normal process is called something else in at most about 5 of 100 studies, however the tests hang together.
    pub fn of(readings: &[f64]) -> Self {
        let mut order = Self {
            runs: runs(readings),
            trend: trend(readings),
            neighbours: neighbours(readings),
            verdict: Verdict::TooFew,
        };
        if readings.len() >= FEWEST {
            order.verdict = order.judged();
        }
        order
    }

    fn judged(&self) -> Verdict {
        let found = holm([
            self.trend.map(|trend| trend.test.p),
            self.runs.map(|test| test.p),
            self.neighbours.map(|neighbours| neighbours.p),
        ]);
        match (self.trend, found) {
            (None, _) => Verdict::TooFew,
            (Some(trend), [true, ..]) => Verdict::Drift {
                change: trend.change,
            },
            (_, [false, false, false]) => Verdict::Steady,
            _ => Verdict::Shifts,
        }
    }
}

/// Which of the tests find something beyond chance, all taken together.
fn holm(p: [Option<f64>; 3]) -> [bool; 3] {
    let mut rising: Vec<(f64, usize)> = p
        .iter()
        .enumerate()
        .filter_map(|(place, p)| Some(((*p)?, place)))
        .collect();
    rising.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut found = [false; 3];
    for (rank, (p, place)) in rising.iter().enumerate() {
        if *p >= CHANCE / (rising.len() - rank) as f64 {
            break;
        }
        found[*place] = true;
    }
    found
}

/// Runs above and below the median (A. Wald and J. Wolfowitz, Ann. Math. Stat. 11 (1940) 147-162, recalled).
///
/// Readings at the median are left out. With `a` above, `b` below and `r` runs of either kind, a random order gives
///
/// ```text
/// mean r = 1 + 2 a b/(a + b),   variance = 2 a b (2 a b - a - b)/((a + b)^2 (a + b - 1))
/// ```
///
/// and `statistic` is `(r - mean r)` over its standard deviation, nearly standard normal: negative when readings stand
/// together, positive when they take turns. Holds for any shape. None with fewer than six readings on a side.
pub fn runs(readings: &[f64]) -> Option<Test> {
    let mut sorted = readings.to_vec();
    sorted.sort_by(f64::total_cmp);
    let median = quantiles::of_sorted(&sorted, 0.5)?;
    let sides: Vec<bool> = readings
        .iter()
        .filter(|x| **x != median)
        .map(|x| *x > median)
        .collect();
    let above = sides.iter().filter(|above| **above).count();
    let below = sides.len() - above;
    if above < SIDE || below < SIDE {
        return None;
    }
    let runs = 1 + sides.windows(2).filter(|pair| pair[0] != pair[1]).count();
    let n = sides.len() as f64;
    let twice = 2.0 * above as f64 * below as f64;
    let variance = twice * (twice - n) / (n * n * (n - 1.0));
    Test::of_z((runs as f64 - 1.0 - twice / n) / libm::sqrt(variance))
}

/// The straight line of least squares through readings against their place in the order.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trend {
    /// Slope, in the unit of the readings from one reading to the next.
    pub slope: f64,
    /// Change along the line from the first to the last reading, in the unit of the readings.
    pub change: f64,
    /// Student's test of the slope with `n - 2` degrees of freedom, both sides.
    pub test: Test,
}

/// Fits the straight line along the order and tests its slope.
///
/// ```text
/// slope = Sxy/Sxx,   t = slope sqrt((n - 2) Sxx/(Syy - slope Sxy))
/// ```
///
/// with `x` the place 1 to n (any text on regression, recalled). The test supposes independent normal scatter about the line.
/// None below three readings or without spread. Readings on the line itself count as off it by their rounding, so that the
/// statistic stays a number.
pub fn trend(readings: &[f64]) -> Option<Trend> {
    let n = readings.len();
    if n < 3 {
        return None;
    }
    let moments = Moments::of(readings);
    let (mean, sd) = (moments.mean()?, moments.sd()?);
    let count = n as f64;
    let yy = sd * sd * (count - 1.0);
    let largest = readings
        .iter()
        .fold(0.0, |most: f64, x| most.max(libm::fabs(*x)));
    let rounding = 4.0 * f64::EPSILON * largest;
    let noise = rounding * rounding * count;
    if !(yy > noise && yy.is_finite()) {
        return None;
    }
    let middle = 0.5 * (count - 1.0);
    let off = |i: usize| i as f64 - middle;
    let products = readings
        .iter()
        .enumerate()
        .map(|(i, y)| off(i) * (y - mean));
    // Places 0 to n - 1 about their middle: sum of squares n (n^2 - 1)/12.
    let xx = count * (count * count - 1.0) / 12.0;
    let slope = Compensated::of(products) / xx;
    let left = readings.iter().enumerate().map(|(i, y)| {
        let apart = (y - mean) - slope * off(i);
        apart * apart
    });
    let freedom = count - 2.0;
    let left = Compensated::of(left).max(noise);
    Some(Trend {
        slope,
        change: slope * (count - 1.0),
        test: Test::of_t(slope * libm::sqrt(freedom * xx / left), freedom)?,
    })
}

/// How far a reading leads to the next one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Neighbours {
    /// Lag-1 autocorrelation, -1 to 1: see [`lag1_autocorrelation`].
    pub correlation: f64,
    /// Between these it lies for 95 of 100 steady lots.
    pub limits: (f64, f64),
    /// Probability of one at least as far from its mean by chance.
    pub p: f64,
}

/// Lag-1 autocorrelation and its limits under independence.
///
/// For independent normal readings its mean is `-1/n` and its variance `(n - 2)^2/(n^2 (n - 1))`, both exact (P. A. P. Moran,
/// Biometrika 35 (1948) 255-260, recalled), and its law nearly normal from about ten readings on. None below four readings
/// or without spread.
pub fn neighbours(readings: &[f64]) -> Option<Neighbours> {
    let n = readings.len() as f64;
    if n < 4.0 {
        return None;
    }
    let correlation = lag1_autocorrelation(readings).filter(|value| value.is_finite())?;
    let (mean, sd) = (-1.0 / n, (n - 2.0) / (n * libm::sqrt(n - 1.0)));
    let reach = sd * normal::upper_quantile(0.5 * CHANCE);
    Some(Neighbours {
        correlation,
        limits: (mean - reach, mean + reach),
        p: Test::of_z((correlation - mean) / sd)?.p,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn scores(seed: u64) -> impl Iterator<Item = f64> {
        // A linear congruential generator (D. E. Knuth's MMIX constants, recalled), upper 53 bits.
        let mut state = seed;
        std::iter::repeat_with(move || {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            normal::quantile(((state >> 11) as f64 + 0.5) / 9_007_199_254_740_992.0)
        })
    }

    #[test]
    fn verified_runs_by_hand() {
        // Twelve readings that take turns, six above and six below: twelve runs; mean 7, variance 72 * 60/(144 * 11).
        let turns: Vec<f64> = (0..12).map(|i| f64::from(i % 2)).collect();
        let got = runs(&turns).unwrap();
        assert!((got.statistic - 5.0 / libm::sqrt(72.0 * 60.0 / (144.0 * 11.0))).abs() < 1e-12);
        // Seven low, one at the median, seven high: two runs of fourteen; mean 8, variance 98 * 84/(196 * 13).
        let two: Vec<f64> = (0..15).map(f64::from).collect();
        let got = runs(&two).unwrap();
        assert!((got.statistic + 6.0 / libm::sqrt(98.0 * 84.0 / (196.0 * 13.0))).abs() < 1e-12);
    }

    #[test]
    fn verified_trend_by_hand() {
        // 1, 3, 2, 4: slope 4/5, change 12/5, left 5 - 16/5 = 9/5, t = 0.8 sqrt(2 * 5/1.8).
        let got = trend(&[1.0, 3.0, 2.0, 4.0]).unwrap();
        assert!((got.slope - 0.8).abs() < 1e-15 && (got.change - 2.4).abs() < 1e-14);
        let t: f64 = 0.8 * libm::sqrt(10.0 / 1.8);
        assert!((got.test.statistic - t).abs() < 1e-14, "{got:?}");
        // Two degrees of freedom: p = 1 - t/sqrt(2 + t^2).
        let p = 1.0 - t / libm::sqrt(2.0 + t * t);
        assert!((got.test.p - p).abs() < 1e-14, "{got:?}");
    }

    #[test]
    fn readings_on_a_line_drift_by_it() {
        for (first, step) in [(0.0, 1.0), (30.0, -0.001), (1e9, 0.1)] {
            let line: Vec<f64> = (0..50).map(|i| first + step * f64::from(i)).collect();
            let order = Order::of(&line);
            let Verdict::Drift { change } = order.verdict else {
                panic!("{order:?}");
            };
            assert!((change / (49.0 * step) - 1.0).abs() < 1e-6, "{order:?}");
            assert!(order.trend.is_some_and(|trend| trend.test.p < 1e-50));
        }
    }

    #[test]
    fn levels_that_come_and_go_are_shifts_and_so_is_taking_turns() {
        let level = |i: u32| f64::from(u8::from((i / 12).is_multiple_of(2)));
        let levels: Vec<f64> = (0..36)
            .map(|i| level(i) * 10.0 + f64::from(i * 7 % 5))
            .collect();
        assert_eq!(Order::of(&levels).verdict, Verdict::Shifts);
        let turns: Vec<f64> = (0..30).map(|i| f64::from(i % 2)).collect();
        assert_eq!(Order::of(&turns).verdict, Verdict::Shifts);
    }

    #[test]
    fn few_or_equal_readings_are_not_judged() {
        for readings in [&[][..], &[1.0], &[1.0, 2.0, 3.0], &[0.1; 50]] {
            assert_eq!(Order::of(readings).verdict, Verdict::TooFew);
        }
        let eleven: Vec<f64> = (0..11).map(f64::from).collect();
        assert_eq!(Order::of(&eleven).verdict, Verdict::TooFew);
        let huge: Vec<f64> = (0..20).map(|i| f64::from(i) * 1e300).collect();
        assert_eq!(Order::of(&huge).verdict, Verdict::TooFew);
    }

    #[test]
    fn verified_moments_of_the_autocorrelation_of_independent_normal_readings() {
        // 40 000 lots of 8: mean -1/8, variance 36/(64 * 7); four standard errors are 0.0057 and 0.0023.
        let mut scores = scores(8);
        let lots = 40_000;
        let all: Vec<f64> = (0..lots)
            .map(|_| scores.by_ref().take(8).collect::<Vec<f64>>())
            .map(|lot| neighbours(&lot).unwrap().correlation)
            .collect();
        let moments = Moments::of(&all);
        let (mean, sd) = (moments.mean().unwrap(), moments.sd().unwrap());
        assert!((mean + 0.125).abs() < 0.0057, "{mean}");
        assert!((sd * sd - 36.0 / 448.0).abs() < 0.0023, "{}", sd * sd);
    }

    #[test]
    fn a_steady_process_is_called_otherwise_in_about_one_of_twenty_lots() {
        let mut scores = scores(3);
        for n in [12, 30, 125] {
            let lots = 4000;
            let other = (0..lots)
                .map(|_| scores.by_ref().take(n).collect::<Vec<f64>>())
                .filter(|lot| Order::of(lot).verdict != Verdict::Steady)
                .count();
            let share = other as f64 / f64::from(lots);
            println!("n {n}: {share}");
            assert!((0.02..0.06).contains(&share), "n {n}: {share}");
        }
    }

    #[test]
    fn the_steps_stop_at_the_first_probability_that_chance_explains() {
        assert_eq!(holm([Some(0.016), Some(0.024), Some(0.049)]), [true; 3]);
        assert_eq!(holm([Some(0.017), Some(0.02), Some(0.02)]), [false; 3]);
        assert_eq!(holm([Some(0.03), None, Some(0.001)]), [true, false, true]);
        assert_eq!(holm([None, None, None]), [false; 3]);
    }
}
