//! Independent movements of a mean, centred on zero: normal, evenly spread, or the sum of both.

use crate::normal;
use crate::quadrature::{panel, panels};
use crate::truncated_normal::between;

/// What is added to a value.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Blur {
    /// Normal with this standard deviation.
    Normal(f64),
    /// Evenly spread over this width.
    Uniform(f64),
    /// Normal with standard deviation `sd`, plus evenly spread over `width`.
    Both {
        /// Standard deviation of the normal part.
        sd: f64,
        /// Width of the evenly spread part.
        width: f64,
    },
}

impl Blur {
    /// Standard deviation.
    pub(crate) fn sd(self) -> f64 {
        let even = |width: f64| width / libm::sqrt(12.0);
        match self {
            Self::Normal(sd) => sd,
            Self::Uniform(width) => even(width),
            Self::Both { sd, width } => libm::hypot(sd, even(width)),
        }
    }

    /// Half the width of the evenly spread part.
    pub(crate) fn half_width(self) -> f64 {
        match self {
            Self::Normal(_) => 0.0,
            Self::Uniform(width) | Self::Both { width, .. } => 0.5 * width,
        }
    }

    /// Probability of a movement at or below `u`; above `u` it is that of `-u`.
    pub(crate) fn below(self, u: f64) -> f64 {
        match self {
            Self::Normal(sd) => normal::below(u / sd),
            Self::Uniform(width) => (0.5 + u / width).clamp(0.0, 1.0),
            Self::Both { sd, width } => {
                if u > 0.0 {
                    1.0 - average_below((-u - 0.5 * width) / sd, (-u + 0.5 * width) / sd)
                } else {
                    average_below((u - 0.5 * width) / sd, (u + 0.5 * width) / sd)
                }
            }
        }
    }

    /// Density at `u`.
    pub(crate) fn density(self, u: f64) -> f64 {
        match self {
            Self::Normal(sd) => normal::density(u / sd) / sd,
            Self::Uniform(width) => {
                if libm::fabs(u) <= 0.5 * width {
                    1.0 / width
                } else {
                    0.0
                }
            }
            Self::Both { sd, width } => {
                let (from, to) = ((u - 0.5 * width) / sd, (u + 0.5 * width) / sd);
                between(from, to, width / sd) / width
            }
        }
    }
}

/// Mean of `Phi` over the scores from `from` to `to`, where `from + to <= 0`.
///
/// `[G(to) - G(from)] / (to - from)` with `G(z) = z Phi(z) + phi(z)`, the integral of `Phi`; by one panel where the
/// difference would cancel.
fn average_below(from: f64, to: f64) -> f64 {
    if to - from <= 2.0 {
        panel(0.0, 1.0, |part| normal::below(from + part * (to - from)))
    } else {
        (integral_below(to) - integral_below(from)) / (to - from)
    }
}

/// `z Phi(z) + phi(z)`; in the lower tail by `phi(z)` times the integral of `w exp(z w - w^2 / 2)` over `w >= 0`.
fn integral_below(z: f64) -> f64 {
    if z > -3.0 {
        return z * normal::below(z) + normal::density(z);
    }
    let reach = 90.0 / (libm::sqrt(z * z + 90.0) - z);
    normal::density(z) * panels(0.0, reach, 4, |w| w * libm::exp(w * (z - 0.5 * w)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn integral_of_the_normal_tail_meets_its_direct_form() {
        for z in [-3.0, -3.5, -4.0] {
            let direct = z * normal::below(z) + normal::density(z);
            let got = integral_below(z - 1e-300);
            assert!((got / direct - 1.0).abs() < 1e-13, "{z}");
        }
        // z^-2 (1 - 3 / z^2 + 15 / z^4 - 105 / z^6 + ...) times the density.
        let r = 1.0 / 900.0;
        let far = integral_below(-30.0) / normal::density(-30.0);
        let series = r * (1.0 - r * (3.0 - r * (15.0 - r * (105.0 - r * 945.0))));
        assert!((far / series - 1.0).abs() < 1e-10, "{far}");
    }

    #[test]
    fn panel_and_difference_meet() {
        for (from, to) in [(-2.0, 0.0), (-9.0, -7.0), (-1.0, 1.0)] {
            let difference = (integral_below(to) - integral_below(from)) / (to - from);
            let got = average_below(from, to);
            assert!((got / difference - 1.0).abs() < 1e-13, "{from}");
        }
    }
}
