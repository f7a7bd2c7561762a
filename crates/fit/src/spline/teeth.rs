//! The errors of the teeth of a block of pairings, and their two sides.

use crate::lanes::{Column, LANES, larger};
use crate::spline::flanks::{self, Row, STRIP, Strip};

/// Strips in a block.
const STRIPS: usize = LANES / STRIP;

/// Errors of every flank of every lane.
///
/// An error is normal to the flank (mm), positive where it touches later.
#[derive(Debug, Clone, PartialEq)]
pub struct Teeth {
    plus: Side,
    minus: Side,
}

/// Flanks that face one way.
#[derive(Debug, Clone, PartialEq)]
struct Side {
    /// By tooth.
    errors: Vec<Column>,
    /// Running means of the sorted errors, strip after strip, see [`flanks`].
    means: Vec<Row>,
}

impl Side {
    fn new(teeth: usize) -> Side {
        Side {
            errors: vec![[0.0; LANES]; teeth],
            means: vec![[0.0; STRIP]; teeth * STRIPS],
        }
    }

    /// Means of the strip from lane `start`.
    #[inline(always)]
    fn strip(&self, start: usize) -> &[Row] {
        let (teeth, number) = (self.errors.len(), start / STRIP);
        &self.means[number * teeth..(number + 1) * teeth]
    }

    #[inline(always)]
    fn sort(&mut self, inverse: &[f64]) {
        let teeth = self.errors.len();
        for number in 0..STRIPS {
            let rows = &mut self.means[number * teeth..(number + 1) * teeth];
            for (row, column) in rows.iter_mut().zip(&self.errors) {
                row.copy_from_slice(&column[number * STRIP..(number + 1) * STRIP]);
            }
            flanks::sorted_means(rows, inverse);
        }
    }
}

/// Errors of one pairing's teeth: both flanks of each tooth (mm).
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ToothErrors(pub Vec<(f64, f64)>);

impl Teeth {
    /// Perfect teeth.
    pub fn new(teeth: usize) -> Teeth {
        Teeth {
            plus: Side::new(teeth),
            minus: Side::new(teeth),
        }
    }

    /// Number of teeth.
    pub fn count(&self) -> usize {
        self.plus.errors.len()
    }

    /// Makes all teeth perfect.
    #[inline(always)]
    pub fn clear(&mut self) {
        for column in self.plus.errors.iter_mut().chain(&mut self.minus.errors) {
            *column = [0.0; LANES];
        }
    }

    /// Adds one part's errors of a tooth: its index error, which closes one flank and opens the other, and the profile
    /// errors of its two flanks (mm).
    #[inline(always)]
    pub fn add(&mut self, tooth: usize, index: &Column, profiles: [&Column; 2]) {
        let (plus, minus) = (&mut self.plus.errors[tooth], &mut self.minus.errors[tooth]);
        for i in 0..LANES {
            plus[i] += profiles[0][i] + index[i];
            minus[i] += profiles[1][i] - index[i];
        }
    }

    /// Gives every lane the same errors; teeth that are not named are perfect.
    pub fn fill(&mut self, errors: &ToothErrors) {
        self.clear();
        let sides = self.plus.errors.iter_mut().zip(&mut self.minus.errors);
        for ((plus, minus), &(e_plus, e_minus)) in sides.zip(&errors.0) {
            (*plus, *minus) = ([e_plus; LANES], [e_minus; LANES]);
        }
    }

    /// Gives one lane these errors; teeth that are not named are perfect.
    pub fn fill_lane(&mut self, lane: usize, errors: &ToothErrors) {
        let sides = self.plus.errors.iter_mut().zip(&mut self.minus.errors);
        for (tooth, (plus, minus)) in sides.enumerate() {
            (plus[lane], minus[lane]) = errors.0.get(tooth).copied().unwrap_or_default();
        }
    }

    #[inline(always)]
    pub(crate) fn sort(&mut self, inverse: &[f64]) {
        self.plus.sort(inverse);
        self.minus.sort(inverse);
    }

    /// Sum of the smallest errors of both sides of lane `i` (mm).
    #[inline(always)]
    pub(crate) fn first(&self, i: usize) -> f64 {
        let start = i - i % STRIP;
        self.plus.strip(start)[0][i % STRIP] + self.minus.strip(start)[0][i % STRIP]
    }

    /// What each side carries, see [`flanks::share`].
    #[inline(always)]
    pub(crate) fn share(&self, strip: &mut Strip, inverse: &[f64], start: usize) {
        flanks::share(
            strip,
            self.plus.strip(start),
            self.minus.strip(start),
            inverse,
        );
    }

    /// Sum of what both sides are pressed by when each carries `share` (mm).
    #[inline(always)]
    pub(crate) fn pressed(&self, share: &Row, inverse: &[f64], start: usize) -> Row {
        let mut sum = flanks::line(self.plus.strip(start), inverse, share).pressed;
        let minus = flanks::line(self.minus.strip(start), inverse, share).pressed;
        for l in 0..STRIP {
            sum[l] += minus[l];
        }
        sum
    }

    /// Teeth with a flank in contact, and the load on the most loaded tooth (mm, as `W`).
    #[inline(always)]
    pub(crate) fn contact(&self, share: &Row, inverse: &[f64], start: usize) -> (Row, Row) {
        let plus = flanks::line(self.plus.strip(start), inverse, share).pressed;
        let minus = flanks::line(self.minus.strip(start), inverse, share).pressed;
        let (mut count, mut most) = ([0.0; STRIP], [0.0; STRIP]);
        for (e_plus, e_minus) in self.plus.errors.iter().zip(&self.minus.errors) {
            for l in 0..STRIP {
                let a = larger(plus[l] - e_plus[start + l], 0.0);
                let b = larger(minus[l] - e_minus[start + l], 0.0);
                count[l] += if a + b > 0.0 { 1.0 } else { 0.0 };
                most[l] = larger(most[l], a + b);
            }
        }
        (count, most)
    }
}
