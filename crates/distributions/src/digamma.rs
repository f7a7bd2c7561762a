//! The slope of the logarithm of the gamma function.

/// Digamma, the slope of `ln Gamma(x)`, for `x > 0`.
///
/// Below 12 by the recurrence `psi(x) = psi(x + 1) - 1 / x`, above by the asymptotic series (Abramowitz and Stegun 6.3.18,
/// recalled).
pub(crate) fn digamma(x: f64) -> f64 {
    let (mut x, mut sum) = (x, 0.0);
    while x < 12.0 {
        sum -= 1.0 / x;
        x += 1.0;
    }
    let r = 1.0 / (x * x);
    let series = r
        * (1.0 / 12.0
            - r * (1.0 / 120.0
                - r * (1.0 / 252.0
                    - r * (1.0 / 240.0 - r * (1.0 / 132.0 - r * (691.0 / 32_760.0 - r / 12.0))))));
    sum + libm::log(x) - 0.5 / x - series
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn meet_their_closed_forms_at_one_and_one_half() {
        let euler = 0.577_215_664_901_532_9;
        for (got, expected) in [
            (digamma(1.0), -euler),
            (digamma(0.5), -euler - 2.0 * std::f64::consts::LN_2),
            (digamma(20.0), 2.970_523_992_242_149),
        ] {
            assert!(
                (got - expected).abs() < 4e-15,
                "got {got}, expected {expected}"
            );
        }
    }
}
