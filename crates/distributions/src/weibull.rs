//! A Weibull process: the smallest of many, above a smallest possible value.

use std::sync::Arc;

use crate::digamma::digamma;
use crate::fitting::{Readings, origin_or_zero};
use crate::kind::{
    ByMoments, ByParameters, FitError, Fitted, Kind, ORIGIN, Role, SCALE, SHAPE_PARAMETER,
};
use crate::shape::{
    Shape, ShapeError, check_between, check_finite, check_moments, check_positive,
    check_positive_sd,
};
use crate::solve::rising_root;

/// Smallest and largest shape parameter taken.
const SHAPES: (f64, f64) = (0.05, 1e7);

/// `origin + scale (-ln u)^(1 / k)` with `u` evenly spread over `(0, 1)`; `k` is the shape parameter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weibull {
    k: f64,
    scale: f64,
    origin: f64,
    mean: f64,
    sd: f64,
}

impl Weibull {
    /// A Weibull process by shape parameter (a plain number), scale (unit of the value) and smallest possible value.
    ///
    /// `mean = origin + scale Gamma(1 + 1/k)`, `sd = scale sqrt(Gamma(1 + 2/k) - Gamma(1 + 1/k)^2)` (any textbook).
    pub fn new(shape_parameter: f64, scale: f64, origin: f64) -> Result<Self, ShapeError> {
        check_between("shape parameter", shape_parameter, SHAPES.0, SHAPES.1)?;
        check_positive("scale", scale)?;
        check_finite("origin", origin)?;
        let distance = scale * libm::tgamma(1.0 + 1.0 / shape_parameter);
        let (mean, sd) = (origin + distance, distance * variation(shape_parameter));
        check_moments(mean, sd)?;
        Ok(Self {
            k: shape_parameter,
            scale,
            origin,
            mean,
            sd,
        })
    }

    /// A Weibull process by mean and standard deviation of the value and its smallest possible value.
    ///
    /// The coefficient of variation `sd / (mean - origin)` decides the shape parameter alone.
    pub fn with_moments(mean: f64, sd: f64, origin: f64) -> Result<Self, ShapeError> {
        check_finite("mean", mean)?;
        check_finite("origin", origin)?;
        check_positive_sd(sd)?;
        let distance = mean - origin;
        if distance <= 0.0 {
            return Err(ShapeError::MeanNotAboveOrigin { mean, origin });
        }
        let ratio = sd / distance;
        if !(ratio < variation(SHAPES.0) && ratio > variation(SHAPES.1)) {
            return Err(ShapeError::TooExtreme);
        }
        let (low, high) = (libm::log(SHAPES.0), libm::log(SHAPES.1));
        let guess = -1.086 * libm::log(ratio);
        let log_k = rising_root(low, high, guess, 1e-15, |t| {
            let e = libm::exp(-t);
            let log_square = log_square_ratio(e);
            let slope = e * (digamma(1.0 + 2.0 * e) - digamma(1.0 + e));
            (
                libm::log(ratio) - 0.5 * libm::log(libm::expm1(log_square)),
                slope / -libm::expm1(-log_square),
            )
        });
        let k = libm::exp(log_k);
        let scale = distance / libm::tgamma(1.0 + 1.0 / k);
        check_moments(mean, sd)?;
        check_positive("scale", scale)?;
        Ok(Self {
            k,
            scale,
            origin,
            mean,
            sd,
        })
    }

    /// `((x - origin) / scale)^k` for a value above the origin.
    fn exponent(&self, x: f64) -> f64 {
        libm::pow((x - self.origin) / self.scale, self.k)
    }

    /// The value with this exponent.
    fn value(&self, exponent: f64) -> f64 {
        self.origin + self.scale * libm::pow(exponent, 1.0 / self.k)
    }
}

/// `ln [Gamma(1 + 2 e) / Gamma(1 + e)^2]`: by the Taylor series `sum of (-1)^n zeta(n) / n (2^n - 2) e^n` where the
/// difference of the log-gammas would cancel (Abramowitz and Stegun 6.1.33, recalled).
fn log_square_ratio(e: f64) -> f64 {
    if e > 0.1 {
        return libm::lgamma(1.0 + 2.0 * e) - 2.0 * libm::lgamma(1.0 + e);
    }
    let (mut sum, mut power, mut double, mut sign) = (0.0, e, 2.0 * e, 1.0);
    for (n, zeta) in (2..).zip(ZETA) {
        power *= e;
        double *= 2.0 * e;
        sum += sign * zeta / f64::from(n) * (double - 2.0 * power);
        sign = -sign;
    }
    sum
}

/// Riemann's zeta function at 2, 3, ... (computed to 30 digits).
const ZETA: [f64; 28] = [
    1.644_934_066_848_226_4,
    1.202_056_903_159_594_2,
    1.082_323_233_711_138_1,
    1.036_927_755_143_37,
    1.017_343_061_984_449_2,
    1.008_349_277_381_923,
    1.004_077_356_197_944_4,
    1.002_008_392_826_082_1,
    1.000_994_575_127_818,
    1.000_494_188_604_119_4,
    1.000_246_086_553_308,
    1.000_122_713_347_578_5,
    1.000_061_248_135_058_8,
    1.000_030_588_236_307,
    1.000_015_282_259_408_6,
    1.000_007_637_197_637_9,
    1.000_003_817_293_265,
    1.000_001_908_212_716_5,
    1.000_000_953_962_033_8,
    1.000_000_476_932_986_9,
    1.000_000_238_450_502_7,
    1.000_000_119_219_926,
    1.000_000_059_608_189,
    1.000_000_029_803_503_4,
    1.000_000_014_901_554_9,
    1.000_000_007_450_711_8,
    1.000_000_003_725_334,
    1.000_000_001_862_659_8,
];

/// Standard deviation over the mean distance from the origin.
fn variation(k: f64) -> f64 {
    libm::sqrt(libm::expm1(log_square_ratio(1.0 / k)))
}

impl Shape for Weibull {
    fn density(&self, x: f64) -> f64 {
        if x < self.origin {
            return 0.0;
        }
        let u = (x - self.origin) / self.scale;
        self.k / self.scale * libm::pow(u, self.k - 1.0) * libm::exp(-self.exponent(x))
    }
    fn below(&self, x: f64) -> f64 {
        if x > self.origin {
            -libm::expm1(-self.exponent(x))
        } else {
            0.0
        }
    }
    fn above(&self, x: f64) -> f64 {
        if x > self.origin {
            libm::exp(-self.exponent(x))
        } else {
            1.0
        }
    }
    fn quantile(&self, p: f64) -> f64 {
        self.value(-libm::log1p(-p))
    }
    fn upper_quantile(&self, q: f64) -> f64 {
        self.value(-libm::log(q))
    }
    fn mean(&self) -> f64 {
        self.mean
    }
    fn sd(&self) -> f64 {
        self.sd
    }
    fn support(&self) -> (f64, f64) {
        (self.origin, f64::INFINITY)
    }
}

/// The Weibull distribution of largest likelihood, its origin by [`origin_or_zero`].
fn fit(readings: &[f64]) -> Result<Fitted, FitError> {
    let readings = Readings::new(readings, 2)?;
    let mut logs = Vec::with_capacity(readings.values.len());
    let mut guess = None;
    let (origin, free) = origin_or_zero(&readings, 2, |origin| {
        let best = Best::at(&readings, origin, guess, &mut logs);
        guess = Some(best.k);
        best.log_likelihood
    })?;
    let best = Best::at(&readings, origin, None, &mut logs);
    let shape = Weibull::new(best.k, best.scale, origin).map_err(|_| FitError::NoMaximum)?;
    Ok(Fitted {
        shape: Arc::new(shape),
        stated: vec![
            ("shape_parameter", Role::Plain, best.k),
            ("scale", Role::Spread, best.scale),
            ("origin", Role::Place, origin),
        ],
        free,
        log_likelihood: best.log_likelihood,
    })
}

/// The best parameters with the origin given.
struct Best {
    k: f64,
    scale: f64,
    log_likelihood: f64,
}

impl Best {
    /// With `r` the logarithms of the distances from their mean `g`, the shape parameter solves
    /// `sum r exp(k r) / sum exp(k r) = 1 / k`; then `scale^k = exp(k g) mean exp(k r)`, and the logarithm of the
    /// likelihood is `n (ln k - g - ln mean exp(k r) - 1)`.
    fn at(readings: &Readings, origin: f64, guess: Option<f64>, logs: &mut Vec<f64>) -> Self {
        logs.clear();
        logs.extend(readings.values.iter().map(|x| libm::log(x - origin)));
        let centre = logs.iter().sum::<f64>() / readings.n;
        let mut squares = 0.0;
        for log in logs.iter_mut() {
            *log -= centre;
            squares += *log * *log;
        }
        // The logarithm of a Weibull value has the standard deviation pi / sqrt(6) / k.
        let mut k = guess.unwrap_or(1.28 / libm::sqrt(squares / readings.n));
        let mut mean = 1.0;
        for _ in 0..60 {
            let (mut s0, mut s1, mut s2) = (0.0, 0.0, 0.0);
            for r in logs.iter() {
                let e = libm::exp(k * r);
                s0 += e;
                s1 += r * e;
                s2 += r * r * e;
            }
            mean = s0 / readings.n;
            let first = s1 / s0;
            let slope = s2 / s0 - first * first + 1.0 / (k * k);
            let step = ((1.0 / k - first) / slope).clamp(-0.5 * k, k);
            // The likelihood is stationary in k: the square of this step is what it misses.
            if step.is_nan() || libm::fabs(step) <= 1e-9 * k {
                break;
            }
            k += step;
        }
        Self {
            k,
            scale: libm::exp(centre + libm::log(mean) / k),
            log_likelihood: readings.n * (libm::log(k) - centre - libm::log(mean) - 1.0),
        }
    }
}

/// How a scenario states it.
pub const KIND: Kind = Kind {
    name: "weibull",
    words: "the weakest of many decides, above a smallest possible value",
    by_moments: Some(ByMoments {
        extra: &[ORIGIN],
        build: |mean, sd, extra| Ok(Arc::new(Weibull::with_moments(mean, sd, extra[0])?)),
    }),
    by_parameters: Some(ByParameters {
        parameters: &[SHAPE_PARAMETER, SCALE, ORIGIN],
        build: |p| Ok(Arc::new(Weibull::new(p[0], p[1], p[2])?)),
    }),
    fit: Some(fit),
};

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shape_two_is_the_rayleigh_distribution_in_its_moments() {
        let w = Weibull::new(2.0, 1.0, 0.0).unwrap();
        let pi = std::f64::consts::PI;
        assert!((w.mean() - 0.5 * libm::sqrt(pi)).abs() < 1e-15);
        assert!((w.sd() - libm::sqrt(1.0 - pi / 4.0)).abs() < 1e-15);
    }

    #[test]
    fn moments_lead_back_to_the_parameters() {
        for k in [0.06, 0.5, 1.0, 2.0, 3.6, 9.9, 10.1, 300.0, 1e6] {
            let w = Weibull::new(k, 2.0, 1.0).unwrap();
            let back = Weibull::with_moments(w.mean(), w.sd(), 1.0).unwrap();
            assert!((back.k / k - 1.0).abs() < 1e-13, "{k}: {back:?}");
            assert!((back.scale / 2.0 - 1.0).abs() < 1e-12, "{k}: {back:?}");
        }
    }

    #[test]
    fn impossible_parameters_are_refused() {
        assert_eq!(
            Weibull::new(2.0, 0.0, 0.0),
            Err(ShapeError::NotPositive {
                name: "scale",
                value: 0.0
            })
        );
        assert!(matches!(
            Weibull::new(f64::NAN, 1.0, 0.0),
            Err(ShapeError::NotFinite { .. })
        ));
        assert!(matches!(
            Weibull::new(-1.0, 1.0, 0.0),
            Err(ShapeError::ParameterOutside { .. })
        ));
        assert!(matches!(
            Weibull::with_moments(1.0, 0.1, 1.0),
            Err(ShapeError::MeanNotAboveOrigin { .. })
        ));
        assert_eq!(
            Weibull::with_moments(1.0, 1e-12, 0.0),
            Err(ShapeError::TooExtreme)
        );
    }
}
