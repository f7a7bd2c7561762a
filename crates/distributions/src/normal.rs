//! The standard normal distribution (density, tails, quantile), and a normal process.

use std::sync::Arc;

use crate::fitting::Readings;
use crate::kind::{ByMoments, FitError, Fitted, Kind, Role};
use crate::shape::{Shape, ShapeError, check_finite, check_positive_sd};

/// `sqrt(2)`.
const SQRT_2: f64 = std::f64::consts::SQRT_2;

/// `1 / sqrt(2 pi)`.
const INV_SQRT_TAU: f64 = 0.398_942_280_401_432_7;

/// Standard-normal density at `z`: `exp(-z^2 / 2) / sqrt(2 pi)`.
pub fn density(z: f64) -> f64 {
    INV_SQRT_TAU * libm::exp(-0.5 * z * z)
}

/// Probability of a standard-normal value at or below `z`, right in the far lower tail.
///
/// `Phi(z) = erfc(-z / sqrt 2) / 2` (any textbook; `libm::erfc` is good to 1.5e-16 relative). The upper tail is
/// `below(-z)`, never `1 - below(z)`.
pub fn below(z: f64) -> f64 {
    0.5 * libm::erfc(-z / SQRT_2)
}

/// The standard-normal value with probability `p` below it.
///
/// Algorithm AS 241 (PPND16) of M. J. Wichura, Applied Statistics 37 (1988) 477-484; coefficients recalled and held
/// against 40-digit values down to `p = 1e-300`. Three rational functions: one in `0.180625 - (p - 1/2)^2` for the
/// middle, two in `sqrt(-ln p)` for the tails. Minus and plus infinity at 0 and 1, NaN outside `[0, 1]`.
pub fn quantile(p: f64) -> f64 {
    let q = p - 0.5;
    if libm::fabs(q) <= 0.425 {
        let r = 0.180_625 - q * q;
        return q * horner(&CENTRE_TOP, r) / horner(&CENTRE_BOTTOM, r);
    }
    if q < 0.0 {
        lower_tail(p)
    } else {
        -lower_tail(1.0 - p)
    }
}

/// The standard-normal value with probability `q` above it: `-quantile(q)`, right for tiny `q`.
pub fn upper_quantile(q: f64) -> f64 {
    -quantile(q)
}

/// `quantile(p)` for `p < 0.075`.
fn lower_tail(p: f64) -> f64 {
    if p == 0.0 {
        return f64::NEG_INFINITY;
    }
    let r = libm::sqrt(-libm::log(p));
    if r <= 5.0 {
        let s = r - 1.6;
        -horner(&NEAR_TOP, s) / horner(&NEAR_BOTTOM, s)
    } else {
        let s = r - 5.0;
        -horner(&FAR_TOP, s) / horner(&FAR_BOTTOM, s)
    }
}

/// Value of a polynomial, coefficients from the constant upwards.
fn horner(coefficients: &[f64; 8], x: f64) -> f64 {
    coefficients.iter().rev().fold(0.0, |sum, c| sum * x + c)
}

const CENTRE_TOP: [f64; 8] = [
    3.387_132_872_796_366_5,
    1.331_416_678_917_843_8e2,
    1.971_590_950_306_551_3e3,
    1.373_169_376_550_946e4,
    4.592_195_393_154_987e4,
    6.726_577_092_700_87e4,
    3.343_057_558_358_813e4,
    2.509_080_928_730_122_7e3,
];
const CENTRE_BOTTOM: [f64; 8] = [
    1.0,
    4.231_333_070_160_091e1,
    6.871_870_074_920_579e2,
    5.394_196_021_424_751e3,
    2.121_379_430_158_659_7e4,
    3.930_789_580_009_271e4,
    2.872_908_573_572_194_3e4,
    5.226_495_278_852_545e3,
];
const NEAR_TOP: [f64; 8] = [
    1.423_437_110_749_683_5,
    4.630_337_846_156_546,
    5.769_497_221_460_691,
    3.647_848_324_763_204_5,
    1.270_458_252_452_368_4,
    2.417_807_251_774_506e-1,
    2.272_384_498_926_918_4e-2,
    7.745_450_142_783_414e-4,
];
const NEAR_BOTTOM: [f64; 8] = [
    1.0,
    2.053_191_626_637_759,
    1.676_384_830_183_803_8,
    6.897_673_349_851e-1,
    1.481_039_764_274_800_8e-1,
    1.519_866_656_361_645_7e-2,
    5.475_938_084_995_345e-4,
    1.050_750_071_644_416_9e-9,
];
const FAR_TOP: [f64; 8] = [
    6.657_904_643_501_104,
    5.463_784_911_164_114,
    1.784_826_539_917_291_3,
    2.965_605_718_285_048_7e-1,
    2.653_218_952_657_612_4e-2,
    1.242_660_947_388_078_4e-3,
    2.711_555_568_743_487_6e-5,
    2.010_334_399_292_288_1e-7,
];
const FAR_BOTTOM: [f64; 8] = [
    1.0,
    5.998_322_065_558_88e-1,
    1.369_298_809_227_358e-1,
    1.487_536_129_085_061_5e-2,
    7.868_691_311_456_133e-4,
    1.846_318_317_510_054_8e-5,
    1.421_511_758_316_446e-7,
    2.044_263_103_389_939_8e-15,
];

/// A normal process: mean and standard deviation in the unit of the value.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Normal {
    mean: f64,
    sd: f64,
}

impl Normal {
    /// A normal process; the standard deviation must be above zero (a value without spread is a constant, not a shape).
    pub fn new(mean: f64, sd: f64) -> Result<Self, ShapeError> {
        check_finite("mean", mean)?;
        check_positive_sd(sd)?;
        Ok(Self { mean, sd })
    }
}

impl Shape for Normal {
    fn as_normal(&self) -> Option<Normal> {
        Some(*self)
    }
    fn density(&self, x: f64) -> f64 {
        density((x - self.mean) / self.sd) / self.sd
    }
    fn below(&self, x: f64) -> f64 {
        below((x - self.mean) / self.sd)
    }
    fn above(&self, x: f64) -> f64 {
        below((self.mean - x) / self.sd)
    }
    fn quantile(&self, p: f64) -> f64 {
        self.from_score(quantile(p))
    }
    fn upper_quantile(&self, q: f64) -> f64 {
        self.from_score(upper_quantile(q))
    }
    fn mean(&self) -> f64 {
        self.mean
    }
    fn sd(&self) -> f64 {
        self.sd
    }
    fn support(&self) -> (f64, f64) {
        (f64::NEG_INFINITY, f64::INFINITY)
    }
    fn from_score(&self, z: f64) -> f64 {
        self.mean + self.sd * z
    }
}

/// The normal distribution of largest likelihood: mean and root mean square deviation of the readings.
fn fit(readings: &[f64]) -> Result<Fitted, FitError> {
    let readings = Readings::new(readings, 2)?;
    let shape = Normal::new(readings.mean, readings.sd).map_err(|_| FitError::Unsuited)?;
    Ok(Fitted {
        shape: Arc::new(shape),
        stated: vec![
            ("mean", Role::Place, readings.mean),
            ("sd", Role::Spread, readings.sd),
        ],
        free: 2,
        log_likelihood: -readings.n * (libm::log(readings.sd / INV_SQRT_TAU) + 0.5),
    })
}

/// How a scenario states it.
pub const KIND: Kind = Kind {
    name: "normal",
    words: "many small causes add up",
    by_moments: Some(ByMoments {
        extra: &[],
        build: |mean, sd, _| Ok(Arc::new(Normal::new(mean, sd)?)),
    }),
    by_parameters: None,
    fit: Some(fit),
};

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantile_undoes_below_over_the_whole_range() {
        for i in 0..=3700 {
            let z = -37.0 + f64::from(i) * 0.01;
            let back = quantile(below(z));
            // A relative error e of the probability moves z by about e / |z|.
            assert!(
                (back - z).abs() <= 1e-14 * z.abs().max(0.05),
                "z {z}, back {back}"
            );
        }
    }

    #[test]
    fn quantile_is_odd_and_ends_at_infinity() {
        assert_eq!(quantile(0.5), 0.0);
        assert_eq!(quantile(0.25), -quantile(0.75));
        assert_eq!(quantile(0.0), f64::NEG_INFINITY);
        assert_eq!(quantile(1.0), f64::INFINITY);
        assert!(quantile(f64::NAN).is_nan() && quantile(-0.1).is_nan() && quantile(1.1).is_nan());
    }

    #[test]
    fn quantile_agrees_with_an_independent_library() {
        use statrs::distribution::ContinuousCDF;
        let peer = statrs::distribution::Normal::standard();
        for p in [
            1e-300, 1e-100, 1e-12, 1e-3, 0.07, 0.08, 0.3, 0.499_999, 0.6, 0.95,
        ] {
            let (ours, theirs) = (quantile(p), peer.inverse_cdf(p));
            assert!(
                (ours - theirs).abs() <= 2e-15 * theirs.abs(),
                "p {p}: ours {ours}, peer {theirs}"
            );
        }
    }

    #[test]
    fn a_process_without_spread_is_refused() {
        assert_eq!(
            Normal::new(1.0, 0.0),
            Err(ShapeError::NotPositiveSd { sd: 0.0 })
        );
        assert!(matches!(
            Normal::new(f64::NAN, 1.0),
            Err(ShapeError::NotFinite { name: "mean", .. })
        ));
    }
}
