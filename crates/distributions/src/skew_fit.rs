//! The skew normal distribution of largest likelihood.

use std::sync::Arc;

use crate::fitting::Readings;
use crate::kind::{FitError, Fitted, Role};
use crate::normal;
use crate::skew_normal::SkewNormal;

/// Magnitude of the slant beyond which the likelihood is taken to have no maximum: the shape is then a half normal, and
/// small samples do run away to it (A. Azzalini 1985).
const RUNAWAY: f64 = 100.0;

/// Steps after which a search that has not settled is given up.
const STEPS: u32 = 200;

/// Location and scale as `u = b z + c` (`z` a reading in standard deviations from the mean), and the slant `a`; in these the
/// density is `2 b phi(u) Phi(a u)`.
type Point = [f64; 3];

/// Logarithm of the likelihood at a point, its slopes, and its curvatures (upper triangle: bb, bc, ba, cc, ca, aa).
struct Height {
    value: f64,
    slopes: [f64; 3],
    curvatures: [f64; 6],
}

/// Fits a skew normal: Newton's method on all three parameters, damped (K. Levenberg 1944), from the moments of the
/// readings and from a mild slant to either side; the highest maximum counts.
pub(crate) fn fit(readings: &[f64]) -> Result<Fitted, FitError> {
    let readings = Readings::new(readings, 3)?;
    let z: Vec<f64> = readings
        .values
        .iter()
        .map(|x| (x - readings.mean) / readings.sd)
        .collect();
    let skewness = z.iter().map(|z| z * z * z).sum::<f64>() / readings.n;
    let start = |skewness: f64| start_at(skewness.clamp(-0.9, 0.9));
    let mild = libm::copysign(0.3, skewness);
    let best = [skewness, mild, -mild]
        .iter()
        .filter_map(|skewness| climb(&z, start(*skewness)))
        .max_by(|one, other| one.1.total_cmp(&other.1))
        .ok_or(FitError::NoMaximum)?;
    let ([b, c, slant], height) = best;
    if libm::fabs(slant) > RUNAWAY {
        return Err(FitError::NoMaximum);
    }
    let scale = readings.sd / b;
    let location = readings.mean - scale * c;
    let shape = SkewNormal::new(location, scale, slant).map_err(|_| FitError::NoMaximum)?;
    Ok(Fitted {
        shape: Arc::new(shape),
        stated: vec![
            ("location", Role::Place, location),
            ("scale", Role::Spread, scale),
            ("slant", Role::Plain, slant),
        ],
        free: 3,
        log_likelihood: height - readings.n * libm::log(readings.sd),
    })
}

/// The point whose shape has mean 0, standard deviation 1 and this skewness.
fn start_at(skewness: f64) -> Point {
    let half_pi = std::f64::consts::FRAC_PI_2;
    let r = libm::cbrt(2.0 * skewness / (4.0 - std::f64::consts::PI));
    let slant = libm::sqrt(half_pi) * r / libm::sqrt(1.0 - (half_pi - 1.0) * r * r);
    let b = 1.0 / libm::sqrt(1.0 + r * r);
    [b, r * b, slant]
}

/// `phi(u) / Phi(u)`, and `ln Phi(u)`; far down by the asymptotic series of the tail.
fn ratio_and_log(u: f64) -> (f64, f64) {
    if u > -30.0 {
        let below = normal::below(u);
        return (normal::density(u) / below, libm::log(below));
    }
    let r = 1.0 / (u * u);
    let share = 1.0 - r * (1.0 - r * (3.0 - r * (15.0 - 105.0 * r)));
    (
        -u / share,
        -0.5 * u * u - libm::log(-u) - 0.5 * libm::log(std::f64::consts::TAU) + libm::log(share),
    )
}

fn value(z: &[f64], [b, c, a]: Point) -> f64 {
    let constant = 0.5 * libm::log(std::f64::consts::FRAC_2_PI) + libm::log(b);
    z.iter()
        .map(|z| {
            let u = b * z + c;
            ratio_and_log(a * u).1 - 0.5 * u * u
        })
        .sum::<f64>()
        + z.len() as f64 * constant
}

/// Height with slopes and curvatures.
///
/// For one reading with `w = phi(a u) / Phi(a u)` and `v = -w (a u + w)`: the slope in `u` is `a w - u`, in `a` it is
/// `u w`; the curvatures are `a^2 v - 1`, `w + a u v` and `u^2 v`.
fn height(z: &[f64], [b, c, a]: Point) -> Height {
    let n = z.len() as f64;
    let mut sum = n * (0.5 * libm::log(std::f64::consts::FRAC_2_PI) + libm::log(b));
    let mut slopes = [n / b, 0.0, 0.0];
    let mut curvatures = [-n / (b * b), 0.0, 0.0, 0.0, 0.0, 0.0];
    for &z in z {
        let u = b * z + c;
        let (w, log) = ratio_and_log(a * u);
        let v = -w * (a * u + w);
        sum += log - 0.5 * u * u;
        let (du, da) = (a * w - u, u * w);
        let (uu, ua, aa) = (a * a * v - 1.0, w + a * u * v, u * u * v);
        slopes = [slopes[0] + du * z, slopes[1] + du, slopes[2] + da];
        for (sum, more) in curvatures
            .iter_mut()
            .zip([uu * z * z, uu * z, ua * z, uu, ua, aa])
        {
            *sum += more;
        }
    }
    Height {
        value: sum,
        slopes,
        curvatures,
    }
}

/// The maximum reached from a point, or a point where the slant has run away, with its height; none where the search does
/// not settle.
fn climb(z: &[f64], start: Point) -> Option<(Point, f64)> {
    let n = z.len() as f64;
    let mut at = start;
    let mut here = height(z, at);
    let mut damping = 1e-3;
    for _ in 0..STEPS {
        let step = damped_step(&here, damping * n)?;
        let next = [at[0] + step[0], at[1] + step[1], at[2] + step[2]];
        let gain = if next[0] > 0.0 {
            value(z, next) - here.value
        } else {
            f64::NEG_INFINITY
        };
        if gain >= 0.0 {
            at = next;
            if libm::fabs(at[2]) > 2.0 * RUNAWAY {
                return Some((at, value(z, at)));
            }
            here = height(z, at);
            damping *= 0.1;
            let flat: f64 = (0..3).map(|i| here.slopes[i] * step[i]).sum();
            if gain <= 1e-11 * n && flat <= 1e-11 * n {
                return Some((at, here.value));
            }
        } else {
            damping *= 8.0;
            if damping > 1e12 {
                return Some((at, here.value));
            }
        }
    }
    None
}

/// Solves `(damping - curvature) step = slope`, the damping raised until this is positive definite.
fn damped_step(here: &Height, damping: f64) -> Option<Point> {
    let [bb, bc, ba, cc, ca, aa] = here.curvatures.map(|x| -x);
    let mut more = damping;
    for _ in 0..60 {
        // Cholesky factor of the 3 by 3 matrix.
        let l00 = libm::sqrt(bb + more);
        let (l10, l20) = (bc / l00, ba / l00);
        let l11 = libm::sqrt(cc + more - l10 * l10);
        let l21 = (ca - l20 * l10) / l11;
        let l22 = libm::sqrt(aa + more - l20 * l20 - l21 * l21);
        if l00 > 0.0 && l11 > 0.0 && l22 > 0.0 {
            let y0 = here.slopes[0] / l00;
            let y1 = (here.slopes[1] - l10 * y0) / l11;
            let y2 = (here.slopes[2] - l20 * y0 - l21 * y1) / l22;
            let a = y2 / l22;
            let c = (y1 - l21 * a) / l11;
            let b = (y0 - l10 * c - l20 * a) / l00;
            return Some([b, c, a]);
        }
        more = (2.0 * more).max(1e-9 * (libm::fabs(bb) + libm::fabs(cc) + libm::fabs(aa)));
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slopes_and_curvatures_are_those_of_the_height() {
        let z = [-1.2, -0.3, 0.1, 0.4, 2.0, 0.4];
        let at = [0.8, 0.5, -1.7];
        let here = height(&z, at);
        assert!((here.value - value(&z, at)).abs() < 1e-13);
        let index = [[0, 1, 2], [1, 3, 4], [2, 4, 5]];
        for i in 0..3 {
            let h = 1e-5;
            let moved = |by: f64| {
                let mut point = at;
                point[i] += by;
                height(&z, point)
            };
            let (up, down) = (moved(h), moved(-h));
            let slope = (up.value - down.value) / (2.0 * h);
            assert!((slope - here.slopes[i]).abs() < 1e-8, "{i}");
            for (j, &k) in index[i].iter().enumerate() {
                let curvature = (up.slopes[j] - down.slopes[j]) / (2.0 * h);
                assert!((curvature - here.curvatures[k]).abs() < 1e-7, "{i} {j}");
            }
        }
    }

    #[test]
    fn the_tail_ratio_goes_on_where_the_tail_underflows() {
        let (near, far) = (ratio_and_log(-29.999_999), ratio_and_log(-30.000_001));
        assert!((near.0 / far.0 - 1.0).abs() < 1e-7 && (near.1 - far.1 - 6e-5).abs() < 1e-6);
        assert!(ratio_and_log(-1e4).0.is_finite());
    }

    #[test]
    fn readings_of_a_half_normal_run_away() {
        let readings: Vec<f64> = (0..60)
            .map(|i| normal::quantile(0.5 + (f64::from(i) + 0.5) / 120.0))
            .collect();
        assert_eq!(fit(&readings).err(), Some(FitError::NoMaximum));
    }
}
