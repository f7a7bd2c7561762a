//! Roots of rising functions inside a bracket.

/// Root of a rising function between `low` and `high`: Newton's method kept inside the bracket, halving where it does not
/// gain.
///
/// `function` gives value and slope; `resolution` is the step below which the next one would no longer matter. A function
/// that is flat around its root (the empty valley between two far components) gives a point of the flat.
pub(crate) fn rising_root(
    mut low: f64,
    mut high: f64,
    start: f64,
    resolution: f64,
    function: impl Fn(f64) -> (f64, f64),
) -> f64 {
    let mut t = if start > low && start < high {
        start
    } else {
        0.5 * (low + high)
    };
    let mut last = high - low;
    for _ in 0..200 {
        let (value, slope) = function(t);
        if value == 0.0 {
            return t;
        }
        if value < 0.0 {
            low = t;
        } else {
            high = t;
        }
        let step = -value / slope;
        let newton = t + step;
        let gains = libm::fabs(step) <= 0.7 * libm::fabs(last) && newton >= low && newton <= high;
        let next = if gains { newton } else { 0.5 * (low + high) };
        last = next - t;
        let least = resolution + 2.0 * f64::EPSILON * libm::fabs(next);
        if libm::fabs(last) <= least || high - low <= least {
            return next;
        }
        t = next;
    }
    t
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_a_root_where_newton_alone_runs_away() {
        let root = rising_root(-1e3, 1e4, 9e3, 1e-13, |t| {
            (libm::atan(t - 2.0), 1.0 / (1.0 + (t - 2.0) * (t - 2.0)))
        });
        assert!((root - 2.0).abs() < 1e-13, "{root}");
    }

    #[test]
    fn finds_a_root_without_slopes_and_at_infinite_values() {
        let root = rising_root(-5.0, 5.0, -4.9, 1e-13, |t| {
            (libm::log(t.max(0.0)) - 1.0, f64::NAN)
        });
        assert!((root - std::f64::consts::E).abs() < 1e-12, "{root}");
    }
}
