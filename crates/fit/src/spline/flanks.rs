//! One side of the teeth: how far it must be pressed to carry a load, and how two sides share.
//!
//! Flanks with the errors `e_1 <= e_2 <= … <= e_n`, pressed by `A`, carry `W = sum max(0, A - e_i)` (mm, per flank
//! stiffness). The sum over the flanks in contact is the largest of the sums over the first `j` flanks, because a flank
//! that is not reached would count negative. With `m_j` the mean of the first `j` errors this turns round to
//!
//! ```text
//! W = max_j  j (A - m_j)        A(W) = min_j (W/j + m_j)
//! ```
//!
//! so a sorted side needs its running means only, and no search. `A` is concave in `W`, and so is the sum of both
//! sides; each pair of lines, one of each side, gives a `W` that is not above the true one, so that Newton's method
//! climbs to it from below without ever passing it.
//!
//! Everything runs on strips of [`STRIP`] lanes. Sorting is Batcher's merge exchange (Knuth, The Art of Computer
//! Programming, volume 3, algorithm 5.2.2 M): the same steps whatever the numbers.

use crate::lanes::{larger, smaller};

/// Lanes solved together.
pub const STRIP: usize = 32;

/// One number for each lane of a strip.
pub type Row = [f64; STRIP];

/// What two sides share: lanes of one strip.
#[derive(Debug, Clone, Copy)]
pub struct Strip {
    /// Sum of what both sides are pressed by when they carry nothing, `2 s sin b` (mm).
    pub target: Row,
    /// By how much that sum falls per `W`, because the spacer gives.
    pub give: Row,
    /// The answer: `W` that each side carries (mm), 0 without contact.
    pub share: Row,
}

impl Default for Strip {
    fn default() -> Strip {
        Strip {
            target: [0.0; STRIP],
            give: [0.0; STRIP],
            share: [0.0; STRIP],
        }
    }
}

/// The line of a side that counts at some `W`: `A = W inverse + mean`.
#[derive(Debug, Clone, Copy)]
pub struct Line {
    /// `A` (mm).
    pub pressed: Row,
    /// `1/j`.
    pub inverse: Row,
    /// `m_j` (mm).
    pub mean: Row,
}

/// Sorts the rows lane by lane and leaves the running means in their place.
#[inline(always)]
pub fn sorted_means(rows: &mut [Row], inverse: &[f64]) {
    let n = rows.len();
    let mut p = n.next_power_of_two() / 2;
    let top = p;
    while p > 0 {
        let (mut q, mut r, mut d) = (top, 0, p);
        loop {
            for i in 0..n - d {
                if i & p == r {
                    exchange(rows, i, i + d);
                }
            }
            if q == p {
                break;
            }
            (d, q, r) = (q - p, q / 2, p);
        }
        p /= 2;
    }
    let mut sum = [0.0; STRIP];
    for (row, inverse) in rows.iter_mut().zip(inverse) {
        for l in 0..STRIP {
            sum[l] += row[l];
            row[l] = sum[l] * inverse;
        }
    }
}

/// Puts the smaller of each lane into row `i`, the larger into row `j`.
#[inline(always)]
fn exchange(rows: &mut [Row], i: usize, j: usize) {
    let (head, tail) = rows.split_at_mut(j);
    let (low, high) = (&mut head[i], &mut tail[0]);
    for l in 0..STRIP {
        let (a, b) = (low[l], high[l]);
        low[l] = smaller(a, b);
        high[l] = larger(a, b);
    }
}

/// How far a side is pressed at `share`, and the line that says so.
#[inline(always)]
pub fn line(means: &[Row], inverse: &[f64], share: &Row) -> Line {
    let mut line = Line {
        pressed: [f64::INFINITY; STRIP],
        inverse: [0.0; STRIP],
        mean: [0.0; STRIP],
    };
    for (row, &inverse) in means.iter().zip(inverse) {
        for l in 0..STRIP {
            let pressed = share[l].mul_add(inverse, row[l]);
            let less = pressed < line.pressed[l];
            line.pressed[l] = if less { pressed } else { line.pressed[l] };
            line.inverse[l] = if less { inverse } else { line.inverse[l] };
            line.mean[l] = if less { row[l] } else { line.mean[l] };
        }
    }
    line
}

/// Solves `A+(W) + A-(W) + give W = target` for `W`, 0 where the sides do not meet.
#[inline(always)]
pub fn share(strip: &mut Strip, plus: &[Row], minus: &[Row], inverse: &[f64]) {
    let last = plus.len() - 1;
    for l in 0..STRIP {
        let one = (strip.target[l] - (plus[0][l] + minus[0][l])) / (2.0 + strip.give[l]);
        let all = (strip.target[l] - (plus[last][l] + minus[last][l]))
            / 2.0f64.mul_add(inverse[last], strip.give[l]);
        strip.share[l] = larger(larger(one, all), 0.0);
    }
    // Each round takes at least one more flank in, so that it ends; far fewer are usual.
    for _ in 0..2 * plus.len() + 2 {
        let (a, b) = (
            line(plus, inverse, &strip.share),
            line(minus, inverse, &strip.share),
        );
        let mut grew = 0_u32;
        for l in 0..STRIP {
            let slope = (a.inverse[l] + b.inverse[l]) + strip.give[l];
            let root = (strip.target[l] - (a.mean[l] + b.mean[l])) / slope;
            let more = root > strip.share[l];
            grew |= u32::from(more);
            strip.share[l] = if more { root } else { strip.share[l] };
        }
        if grew == 0 {
            return;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn inverse(n: usize) -> Vec<f64> {
        (1..=n).map(|j| 1.0 / j as f64).collect()
    }

    fn rows(errors: &[f64]) -> Vec<Row> {
        errors.iter().map(|&e| [e; STRIP]).collect()
    }

    #[test]
    fn sorting_works_for_every_number_of_teeth() {
        for n in 1..=120 {
            let mut state = n as u64;
            let mut next = || {
                state = state
                    .wrapping_mul(6_364_136_223_846_793_005)
                    .wrapping_add(1);
                (state >> 40) as f64
            };
            let mut errors: Vec<f64> = (0..n).map(|_| next()).collect();
            let mut means = rows(&errors);
            sorted_means(&mut means, &inverse(n));
            errors.sort_by(f64::total_cmp);
            let mut sum = 0.0;
            for (j, (row, error)) in means.iter().zip(&errors).enumerate() {
                sum += error;
                let mean = sum / (j + 1) as f64;
                assert!((row[7] - mean).abs() <= 1e-9 * mean, "{n} teeth, {j}");
            }
        }
    }

    #[test]
    fn verified_two_flanks_by_hand() {
        // Errors 0 and 2 on one side, 1 and 1 on the other. Pressed by A+ = 4, A- = 4: W+ = 4 + 2 = 6, W- = 3 + 3 = 6.
        let inverse = inverse(2);
        let (mut plus, mut minus) = (rows(&[2.0, 0.0]), rows(&[1.0, 1.0]));
        sorted_means(&mut plus, &inverse);
        sorted_means(&mut minus, &inverse);
        let mut strip = Strip {
            target: [8.0; STRIP],
            ..Strip::default()
        };
        share(&mut strip, &plus, &minus, &inverse);
        assert_eq!(strip.share[0], 6.0);
        assert_eq!(line(&plus, &inverse, &strip.share).pressed[0], 4.0);
        assert_eq!(line(&minus, &inverse, &strip.share).pressed[0], 4.0);
        // One flank of each side: A+ = 1, A- = 1.5 carry W = 1.
        strip.target = [2.5; STRIP];
        share(&mut strip, &plus, &minus, &inverse);
        assert_eq!(strip.share[0], 1.0);
        // No contact below the sum of the two smallest errors.
        strip.target = [0.9; STRIP];
        share(&mut strip, &plus, &minus, &inverse);
        assert_eq!(strip.share[0], 0.0);
    }
}
