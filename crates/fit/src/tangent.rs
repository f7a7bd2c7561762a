//! The tangent of an angle near a fixed one, by its power series.

/// `tan` about a centre.
///
/// `t(e) = tan(c + e)` obeys `t' = 1 + t^2`, so its power series follows from
/// `(n + 1) a[n+1] = [n = 0] + sum a[i] a[n-i]`. Eleven terms keep the error for
/// `|e| <= 0.05 rad` below 2e-14 up to a half-angle of 30 degrees, below 3e-13 up to 45 degrees. Angles that scatter by
/// minutes of arc need fewer terms for the same.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tangent {
    centre: f64,
    terms: [f64; TERMS],
    needed: Needed,
}

/// Most terms.
pub(crate) const TERMS: usize = 11;

/// How many terms an angle's reach asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Needed {
    Five,
    Eleven,
}

/// Error of the series, as an angle's tangent, that is taken as none.
const NOTHING: f64 = 1e-14;

/// Largest distance from the centre for which [`Tangent`] is good (rad).
pub const TANGENT_REACH_RAD: f64 = 0.05;

impl Tangent {
    /// The series about `centre` for angles up to `reach` from it (rad).
    pub fn about(centre: f64, reach: f64) -> Tangent {
        let mut a = [0.0; TERMS];
        a[0] = libm::tan(centre);
        for n in 0..TERMS - 1 {
            let square: f64 = (0..=n).map(|i| a[i] * a[n - i]).sum();
            a[n + 1] = (square + if n == 0 { 1.0 } else { 0.0 }) / (n as f64 + 1.0);
        }
        // The first term left out, and twice that for those behind it.
        let left_out = 3.0 * a[5] * (0..5).fold(1.0, |power, _| power * reach);
        Tangent {
            centre,
            terms: a,
            needed: if left_out.abs() < NOTHING {
                Needed::Five
            } else {
                Needed::Eleven
            },
        }
    }

    /// How many terms [`Tangent::with`] must use.
    #[inline(always)]
    pub(crate) fn needed(&self) -> Needed {
        self.needed
    }

    /// `tan(angle)` from the first `N` terms, `angle` in rad.
    #[inline(always)]
    pub(crate) fn with<const N: usize>(&self, angle: f64) -> f64 {
        let e = angle - self.centre;
        let mut sum = self.terms[N - 1];
        for k in (0..N - 1).rev() {
            sum = sum.mul_add(e, self.terms[k]);
        }
        sum
    }

    /// `tan(angle)`, `angle` in rad.
    #[inline(always)]
    pub fn of(&self, angle: f64) -> f64 {
        self.with::<TERMS>(angle)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verified_series_agrees_with_libm_within_its_reach() {
        for (centre, error) in [
            (0.005, 2e-14),
            (0.025, 2e-14),
            (0.14, 2e-14),
            (0.5, 2e-14),
            (0.78, 3e-13),
        ] {
            let tangent = Tangent::about(centre, TANGENT_REACH_RAD);
            assert_eq!(tangent.needed(), Needed::Eleven);
            for step in -100..=100 {
                let angle = centre + TANGENT_REACH_RAD * f64::from(step) / 100.0;
                let (got, expected) = (tangent.of(angle), libm::tan(angle));
                assert!(
                    (got - expected).abs() < error,
                    "tan {angle}: {got} for {expected}"
                );
            }
        }
    }

    #[test]
    fn verified_five_terms_agree_with_libm_where_they_are_enough() {
        for centre in [0.005, 0.025, 0.14, 0.5, 0.78] {
            let reach = [0.004, 0.002, 0.001, 0.0005]
                .into_iter()
                .find(|&reach| Tangent::about(centre, reach).needed() == Needed::Five)
                .expect("a reach for which five terms do");
            let tangent = Tangent::about(centre, reach);
            for step in -100..=100 {
                let angle = centre + reach * f64::from(step) / 100.0;
                let (got, expected) = (tangent.with::<5>(angle), libm::tan(angle));
                assert!(
                    (got - expected).abs() < 1e-14,
                    "tan {angle}: {got} for {expected}"
                );
            }
        }
    }
}
