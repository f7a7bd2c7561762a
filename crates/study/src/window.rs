//! The window of draw-up in which a joint is good, read off the counts by verdict.

use fit::{VERDICTS, Verdict};
use record::Window;

use crate::kernel::DRAW_UP_BINS;

/// Joints that a bin must hold before it can end the window.
const ENOUGH: u64 = 10;

type Table = [[u64; DRAW_UP_BINS]];

/// The window around the bin with most good joints: it ends where the first bin with at least
/// [`ENOUGH`] joints has no more good ones than rejects. `None` without any good joint.
///
/// Cones are free below a draw-up of exactly 0 when the faces are not smoothed: an edge in the bin that
/// holds 0 is then put there.
pub fn of(table: &Table, from: f64, to: f64, free_below_zero: bool) -> Option<Window> {
    let good = &table[Verdict::Good.index()];
    let (best, &most) = good
        .iter()
        .enumerate()
        .max_by_key(|&(bin, &count)| (count, std::cmp::Reverse(bin)))?;
    if most == 0 {
        return None;
    }
    let total = |bin: usize| table.iter().map(|row| row[bin]).sum::<u64>();
    let ends = |bin: &usize| total(*bin) >= ENOUGH && 2 * good[*bin] <= total(*bin);
    let width = (to - from) / DRAW_UP_BINS as f64;
    let edge = |bins: f64| from + width * bins;
    let low = (0..best).rev().find(ends);
    let high = (best + 1..DRAW_UP_BINS).find(ends);
    let low_mode = low.and_then(|bin| cause(table, 0..=bin));
    let low_mm = low.map(|bin| {
        let at = edge(bin as f64 + 1.0);
        let free = low_mode == Some(Verdict::ConesFree);
        if free && free_below_zero && at.abs() <= width {
            0.0
        } else {
            at
        }
    });
    Some(Window {
        low_mm,
        low_mode: low_mode.map(|verdict| verdict.key().to_owned()),
        high_mm: high.map(|bin| edge(bin as f64)),
        high_mode: high
            .and_then(|bin| cause(table, bin..=DRAW_UP_BINS - 1))
            .map(|verdict| verdict.key().to_owned()),
    })
}

/// The most frequent cause of rejects in these bins.
fn cause(table: &Table, bins: std::ops::RangeInclusive<usize>) -> Option<Verdict> {
    let count = |verdict: &Verdict| table[verdict.index()][bins.clone()].iter().sum::<u64>();
    let causes = Verdict::ALL.into_iter().take(VERDICTS - 1);
    causes
        .filter(|verdict| count(verdict) > 0)
        .max_by_key(count)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn table(fill: impl Fn(usize) -> (Verdict, u64)) -> Vec<[u64; DRAW_UP_BINS]> {
        let mut table = vec![[0; DRAW_UP_BINS]; VERDICTS];
        (0..DRAW_UP_BINS).for_each(|bin| {
            let (verdict, count) = fill(bin);
            table[verdict.index()][bin] = count;
        });
        table
    }

    #[test]
    fn window_ends_where_rejects_take_over_and_names_them() {
        let table = table(|bin| match bin {
            0..32 => (Verdict::ConesFree, 50),
            32..96 => (Verdict::Good, 100),
            _ => (Verdict::GapLeft, 50),
        });
        let window = of(&table, -0.25, 0.75, true).expect("some are good");
        assert_eq!(window.low_mm, Some(0.0));
        assert_eq!(window.low_mode.as_deref(), Some("cones_free"));
        assert_eq!(window.high_mm, Some(0.5));
        assert_eq!(window.high_mode.as_deref(), Some("gap_left"));
    }

    #[test]
    fn a_few_stray_rejects_do_not_end_the_window() {
        let table = table(|bin| {
            if bin < 5 {
                (Verdict::GapLeft, 3)
            } else {
                (Verdict::Good, 100)
            }
        });
        let window = of(&table, 0.0, 1.0, true).expect("some are good");
        assert_eq!((window.low_mm, window.high_mm), (None, None));
    }

    #[test]
    fn no_good_joint_no_window() {
        assert_eq!(of(&table(|_| (Verdict::GapLeft, 9)), 0.0, 1.0, true), None);
    }
}
