//! The study of a gauge by averages and ranges.

use super::{Components, Study, mean};

impl Study {
    /// The same by averages and ranges:
    ///
    /// ```text
    /// equipment = K1 mean range of the cells,   parts = K3 range of the means of the parts
    /// appraisers^2 = (K2 range of the means of the appraisers)^2 - equipment^2/(parts trials), at least 0
    /// ```
    ///
    /// with the constants of Measurement Systems Analysis (recalled): 2 or 3 trials, up to 3 appraisers, 2 to 10 parts; none
    /// beyond. It has no interaction, and squeezes less from the readings than [`Study::anova`].
    pub fn by_range(&self) -> Option<Components> {
        let of = |factors: &[f64], n: usize| factors.get(n.checked_sub(2)?).copied();
        let (k1, k3) = (of(&K1, self.trials)?, of(&K3, self.parts)?);
        let k2 = if self.appraisers == 1 {
            0.0
        } else {
            of(&K2, self.appraisers)?
        };
        let (of_parts, of_appraisers) = self.margins(&self.means());
        let ranges: Vec<f64> = self.cells.iter().map(|cell| range(cell)).collect();
        let repeatability = mean(&ranges) * k1;
        let own = repeatability * repeatability / (self.parts * self.trials) as f64;
        let seen = range(&of_appraisers) * k2;
        let reproducibility = libm::sqrt((seen * seen - own).max(0.0));
        let components = Components::of(repeatability, reproducibility, range(&of_parts) * k3);
        (components.total > 0.0 && components.total.is_finite()).then_some(components)
    }
}

/// From the mean range of 2 or 3 trials to a standard deviation, from many cells.
const K1: [f64; 2] = [0.8862, 0.5908];

/// From the range of 2 or 3 appraisers' means to a standard deviation, from one such range.
#[expect(clippy::approx_constant, reason = "the published constant is rounded")]
const K2: [f64; 2] = [0.7071, 0.5231];

/// From the range of 2 to 10 parts' means to a standard deviation, from one such range.
#[expect(clippy::approx_constant, reason = "the published constant is rounded")]
const K3: [f64; 9] = [
    0.7071, 0.5231, 0.4467, 0.4030, 0.3742, 0.3534, 0.3375, 0.3249, 0.3146,
];

fn range(values: &[f64]) -> f64 {
    let least = values.iter().copied().fold(f64::INFINITY, f64::min);
    let most = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    most - least
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verified_one_appraiser_by_hand() {
        // Means 1, 5; every range 2.
        let study = Study::of(&[vec![vec![0.0, 2.0]], vec![vec![4.0, 6.0]]]).unwrap();
        let got = study.by_range().unwrap();
        assert!((got.repeatability - 2.0 * K1[0]).abs() < 1e-15, "{got:?}");
        assert!((got.parts - 4.0 * K3[0]).abs() < 1e-15, "{got:?}");
        assert_eq!(got.reproducibility, 0.0);
    }

    #[test]
    fn the_range_method_ends_where_its_constants_end() {
        let study = |p: usize, a: usize, t: usize| {
            let reading = |i: usize| (i * 7 % 11) as f64;
            let cell =
                |part: usize, who: usize| (0..t).map(|k| reading(part + 3 * who + 5 * k)).collect();
            let cells: Vec<Vec<Vec<f64>>> = (0..p)
                .map(|part| (0..a).map(|who| cell(part, who)).collect())
                .collect();
            Study::of(&cells).unwrap().by_range().is_some()
        };
        assert!(study(10, 3, 3) && study(2, 1, 2));
        assert!(!study(11, 3, 3) && !study(10, 4, 3) && !study(10, 3, 4));
    }
}
