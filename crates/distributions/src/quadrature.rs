//! Integrals of smooth functions by Gauss-Legendre panels, and the tail of a log-concave density by them.
//!
//! Every distribution here with a log-concave density in a suitable variable (beta in the logit, gamma in the logarithm)
//! has a tail of one form: the density at the point, times the integral of `exp(-g(w))` over the distance `w` walked
//! away from the bulk, where `g(0) = 0` and `g` is convex and rising. All terms are positive, nothing cancels, and the
//! effort does not grow with the parameters.

/// Positive nodes and weights of the 16-point Gauss-Legendre rule on `[-1, 1]` (computed to 30 digits).
const GAUSS_16: [(f64, f64); 8] = [
    (0.095_012_509_837_637_44, 0.189_450_610_455_068_5),
    (0.281_603_550_779_258_9, 0.182_603_415_044_923_6),
    (0.458_016_777_657_227_4, 0.169_156_519_395_002_54),
    (0.617_876_244_402_643_7, 0.149_595_988_816_576_73),
    (0.755_404_408_355_003, 0.124_628_971_255_533_87),
    (0.865_631_202_387_831_7, 0.095_158_511_682_492_78),
    (0.944_575_023_073_232_6, 0.062_253_523_938_647_894),
    (0.989_400_934_991_649_9, 0.027_152_459_411_754_095),
];

/// Integral of `f` from `from` to `to` by one 16-point panel: exact for polynomials to degree 31.
pub(crate) fn panel(from: f64, to: f64, f: impl Fn(f64) -> f64) -> f64 {
    let (centre, half) = (0.5 * (from + to), 0.5 * (to - from));
    let sum: f64 = GAUSS_16
        .iter()
        .map(|&(node, weight)| weight * (f(centre - half * node) + f(centre + half * node)))
        .sum();
    half * sum
}

/// Calls `f` with every node of a 16-point panel and its weight, from `from` to `to`.
pub(crate) fn for_each_node(from: f64, to: f64, mut f: impl FnMut(f64, f64)) {
    let (centre, half) = (0.5 * (from + to), 0.5 * (to - from));
    for &(node, weight) in GAUSS_16.iter().rev() {
        f(centre - half * node, half * weight);
    }
    for &(node, weight) in &GAUSS_16 {
        f(centre + half * node, half * weight);
    }
}

/// Integral of `f` from `from` to `to` by equal panels.
pub(crate) fn panels(from: f64, to: f64, count: u32, f: impl Fn(f64) -> f64) -> f64 {
    let width = (to - from) / f64::from(count);
    (0..count)
        .map(|i| {
            panel(
                from + width * f64::from(i),
                from + width * f64::from(i + 1),
                &f,
            )
        })
        .sum()
}

/// Integral of a positive `f` from `from` to `to`, halved where one panel and two do not agree.
///
/// Good to about `1e-13` of the whole where `f` has kinks or steps, too; these are narrowed down by halving.
pub(crate) fn halving_panels(from: f64, to: f64, f: impl Fn(f64) -> f64) -> f64 {
    let mut open = vec![(from, to, panel(from, to, &f))];
    let mut done = 0.0;
    let mut scale = open[0].2;
    while let Some((from, to, whole)) = open.pop() {
        let middle = 0.5 * (from + to);
        let (left, right) = (panel(from, middle, &f), panel(middle, to, &f));
        let finer = left + right;
        scale = scale.max(finer);
        let cannot_halve = !(middle > from && middle < to) || open.len() > 60;
        if libm::fabs(finer - whole) <= 2e-14 * scale || cannot_halve {
            done += finer;
        } else {
            open.push((middle, to, right));
            open.push((from, middle, left));
        }
    }
    done
}

/// Logarithm below which a value nears the smallest number; probabilities are powers of the value there, so their
/// logarithm goes on as a straight line.
pub(crate) const SMALLEST_LOG: f64 = -650.0;

/// Beyond this exponent the rest of a tail is below one part in `1e18`.
const FAR: f64 = 42.0;

/// Integral of `exp(-g(w))` over `w >= 0` for a convex rising `g` with `g(0) = 0`.
///
/// `slope` and `curvature` are `g'(0)` and `g''(0)`; they only give the first guess of the reach. Panels are doubled until
/// two sums agree to `2e-15` of their value.
pub(crate) fn tail(slope: f64, curvature: f64, g: impl Fn(f64) -> f64) -> f64 {
    let mut reach = 2.0 * FAR / (slope + libm::sqrt(slope * slope + 2.0 * FAR * curvature));
    while g(reach) > 1.7 * FAR && reach > f64::MIN_POSITIVE {
        reach *= 0.8;
    }
    while g(reach) < FAR && reach < f64::MAX {
        reach *= 1.25;
    }
    let mut count = 4;
    let mut sum = panels(0.0, reach, count, |w| libm::exp(-g(w)));
    while count < 512 {
        count *= 2;
        let finer = panels(0.0, reach, count, |w| libm::exp(-g(w)));
        let settled = libm::fabs(finer - sum) <= 2e-15 * finer;
        sum = finer;
        if settled {
            break;
        }
    }
    sum
}

/// Root of a rising concave `log_probability(t) = target` by Newton's method.
///
/// `log_probability` gives value and slope. Newton on a rising concave function comes from the left after at most one
/// step and then never overshoots, so no bracket is needed; `scale` is the size below which a step no longer matters
/// (a ten-billionth of it, the next error being its square).
pub(crate) fn solve_rising_concave(
    start: f64,
    scale: f64,
    target: f64,
    log_probability: impl Fn(f64) -> (f64, f64),
) -> f64 {
    let mut t = start;
    for _ in 0..100 {
        let (value, slope) = log_probability(t);
        let step = (target - value) / slope;
        t += step;
        if step.is_nan() || libm::fabs(step) <= 1e-10 * scale + 2.0 * f64::EPSILON * libm::fabs(t) {
            break;
        }
    }
    t
}

/// `ln(1 + u) - u` without cancellation.
///
/// With `s = u / (2 + u)`: `ln(1 + u) = 2 atanh s` and `2 s - u = -u s`, so the difference is
/// `-u s + 2 s^3 (1/3 + s^2/5 + s^4/7 + ...)`.
pub(crate) fn log1p_minus(u: f64) -> f64 {
    if libm::fabs(u) > 0.5 {
        return libm::log1p(u) - u;
    }
    let s = u / (2.0 + u);
    let square = s * s;
    let (mut power, mut sum, mut odd) = (1.0, 0.0, 3.0);
    loop {
        let term = power / odd;
        sum += term;
        if term <= 1e-17 * sum {
            break;
        }
        power *= square;
        odd += 2.0;
    }
    -u * s + 2.0 * s * square * sum
}

/// `exp(w) - 1 - w` without cancellation.
pub(crate) fn expm1_minus(w: f64) -> f64 {
    if libm::fabs(w) > 0.5 {
        return libm::expm1(w) - w;
    }
    let (mut term, mut sum, mut k) = (0.5 * w * w, 0.0, 2.0);
    while libm::fabs(term) > 1e-17 * libm::fabs(sum) {
        sum += term;
        k += 1.0;
        term *= w / k;
    }
    sum
}

/// Error of Stirling's formula: `ln Gamma(z) - [(z - 1/2) ln z - z + ln(2 pi) / 2]` for `z > 0`.
///
/// Below 10 by the recurrence `(z + 1/2) ln(1 + 1/z) - 1`, above by the asymptotic series (Abramowitz and Stegun 6.1.41,
/// recalled). Multiplied out, it replaces differences of log-gammas, which lose all digits for large shapes.
pub(crate) fn stirling_error(z: f64) -> f64 {
    let (mut z, mut sum) = (z, 0.0);
    while z < 10.0 {
        sum += (z + 0.5) * libm::log1p(1.0 / z) - 1.0;
        z += 1.0;
    }
    let r = 1.0 / (z * z);
    let series = 1.0 / 12.0
        - r * (1.0 / 360.0
            - r * (1.0 / 1260.0
                - r * (1.0 / 1680.0
                    - r * (1.0 / 1188.0
                        - r * (691.0 / 360_360.0 - r * (1.0 / 156.0 - r * 3617.0 / 122_400.0))))));
    sum + series / z
}

/// `a ln(a / expected) + expected - a`, the deviance of `a` from `expected`, given `excess = a - expected`.
pub(crate) fn deviance(a: f64, expected: f64, excess: f64) -> f64 {
    let u = excess / expected;
    if libm::fabs(u) <= 0.5 {
        a * log1p_minus(u) + excess * u
    } else {
        a * libm::log1p(u) - excess
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn panel_is_exact_for_a_polynomial_of_degree_31() {
        let got = panel(0.0, 2.0, |x| libm::pow(x, 31.0));
        let expected = libm::pow(2.0, 32.0) / 32.0;
        assert!(
            (got - expected).abs() <= 1e-14 * expected,
            "got {got}, expected {expected}"
        );
    }

    #[test]
    fn halving_finds_kinks_and_steps() {
        let kink = halving_panels(0.0, 1.0, |x| (x - 0.3).max(0.0));
        assert!((kink - 0.245).abs() < 1e-14, "{kink}");
        let step = halving_panels(0.0, 1.0, |x| if x < 0.3 { 0.0 } else { 1.0 });
        assert!((step - 0.7).abs() < 1e-12, "{step}");
    }

    #[test]
    fn stirling_error_agrees_with_log_gamma_where_that_is_small() {
        for i in 1..200 {
            let z = 0.1 * f64::from(i);
            let direct = libm::lgamma(z) - ((z - 0.5) * libm::log(z) - z + 0.918_938_533_204_672_8);
            let got = stirling_error(z);
            assert!(
                (got - direct).abs() <= 2e-14,
                "z {z}: got {got}, direct {direct}"
            );
        }
    }

    #[test]
    fn small_differences_meet_the_direct_forms_where_these_are_good() {
        for u in [-0.5, -0.4, 0.3, 0.5] {
            let direct = libm::log1p(u) - u;
            assert!((log1p_minus(u) - direct).abs() <= 2e-16, "u {u}");
            let direct = libm::expm1(u) - u;
            assert!((expm1_minus(u) - direct).abs() <= 2e-16, "w {u}");
        }
        // Leading terms of the series.
        assert!((log1p_minus(1e-9) / -5e-19 - 1.0).abs() < 1e-9);
        assert!((expm1_minus(-1e-9) / 5e-19 - 1.0).abs() < 1e-9);
    }

    #[test]
    fn tail_of_a_half_normal_is_the_root_of_half_pi() {
        let got = tail(0.0, 1.0, |w| 0.5 * w * w);
        let expected = libm::sqrt(std::f64::consts::FRAC_PI_2);
        assert!(
            (got - expected).abs() <= 4e-15,
            "got {got}, expected {expected}"
        );
    }
}
