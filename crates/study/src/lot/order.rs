//! Whether the process was steady: the readings in the order of production.

use capability::order::{Order, Verdict};
use record::{ProductionOrder, Subgroups, Trend};

use super::characteristic::{points, shifts};
use super::recorded;
use super::words::{readings_are, short};

/// Judges the order of readings.
pub(super) fn studied(values: &[f64], unit: &str) -> ProductionOrder {
    let order = Order::of(values);
    let (verdict, words) = judged(values.len(), &order, unit);
    ProductionOrder {
        points: points(values),
        runs: recorded(order.runs),
        trend: order.trend.map(|trend| Trend {
            change: trend.change,
            p: trend.test.p,
        }),
        lag1: order.neighbours.map(|neighbours| neighbours.correlation),
        verdict: verdict.to_owned(),
        words,
    }
}

fn judged(n: usize, order: &Order, unit: &str) -> (&'static str, String) {
    let rows = "The rows are taken as the order of production";
    match order.verdict {
        Verdict::TooFew => (
            "too_few",
            format!(
                "{rows}; {} too few, or too alike, to judge it.",
                readings_are(n as u64)
            ),
        ),
        Verdict::Drift { change } => {
            let p = order.trend.map_or(0.0, |trend| trend.test.p);
            let way = if change > 0.0 { "rise" } else { "fall" };
            let by = format!("{} {unit}", short(libm::fabs(change)));
            let (by, p) = (by.trim_end(), short(p));
            (
                "drift",
                format!("{rows}: along it the readings {way} by {by} (by chance: p = {p})."),
            )
        }
        Verdict::Shifts => ("shifts", format!("{rows}: {}.", shifting(order))),
        Verdict::Steady => (
            "steady",
            format!("{rows}: no drift and no shift beyond chance."),
        ),
    }
}

/// What speaks of shifts: the runs, or readings that follow their neighbours, whichever is rarer by chance.
fn shifting(order: &Order) -> String {
    let by_runs = order
        .runs
        .map(|runs| (runs.p, runs.statistic < 0.0, "runs"));
    let by_lag = order
        .neighbours
        .map(|lag| (lag.p, lag.correlation > 0.0, "neighbours"));
    let rarer = [by_runs, by_lag]
        .into_iter()
        .flatten()
        .min_by(|a, b| a.0.total_cmp(&b.0));
    let (p, together, test) = rarer.unwrap_or((0.0, true, "runs"));
    let what = match (test, together) {
        ("runs", true) => {
            "readings above and below the median stand together more than chance gives"
        }
        ("runs", false) => "readings above and below the median take turns more than chance gives",
        (_, true) => "a reading is like the one before it more than chance gives",
        (_, false) => "a reading turns away from the one before it more than chance gives",
    };
    format!("{what} ({test}, p = {})", short(p))
}

/// Subgroups whose means differ make an order that looked steady one with shifts.
pub(super) fn with_subgroups(order: &mut ProductionOrder, subgroups: Option<&Subgroups>) {
    let differing = subgroups
        .filter(|groups| shifts(groups))
        .and_then(|groups| groups.means_equal);
    if let Some(test) = differing.filter(|_| order.verdict == "steady") {
        order.verdict = "shifts".to_owned();
        order.words = format!(
            "No drift along the rows, but the means of the subgroups differ by more than chance (p = {}).",
            short(test.p)
        );
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_rising_lot_drifts_and_two_levels_shift() {
        let rising: Vec<f64> = (0..40)
            .map(|i| f64::from(i) + f64::from(i * 7 % 5))
            .collect();
        let got = studied(&rising, "um");
        assert_eq!(got.verdict, "drift");
        assert!(got.trend.expect("a trend").change > 35.0);
        let levels: Vec<f64> = (0..36)
            .map(|i| f64::from(u8::from(i / 12 % 2 == 0)) * 10.0 + f64::from(i * 7 % 5))
            .collect();
        assert_eq!(studied(&levels, "um").verdict, "shifts");
    }

    #[test]
    fn few_or_equal_readings_are_not_judged() {
        assert_eq!(studied(&[1.0, 2.0, 3.0], "").verdict, "too_few");
        assert_eq!(studied(&[1.0; 50], "").verdict, "too_few");
        assert_eq!(studied(&[], "").verdict, "too_few");
    }
}
