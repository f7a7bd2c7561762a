//! The elastic law of the cone: what presses where once the cones overlap.

use crate::lanes::clamped;

/// How the two cones overlap at one stand-off.
///
/// Axial positions count from the shoulder (mm); the interference is radial (mm), positive where the cones
/// press, negative where they are apart, and linear in between: `d(x) = d_lo - k (x - lo)`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Overlap {
    /// Stand-off (mm).
    pub stand_off: f64,
    /// End toward the shoulder, the large end (mm).
    pub lo: f64,
    /// End toward the free end, the small end (mm), never below `lo`.
    pub hi: f64,
    /// Radial interference at `lo` (mm).
    pub d_lo: f64,
    /// Radial interference at `hi` (mm).
    pub d_hi: f64,
    /// Mismatch `tan a_m - tan a_f`: the rate at which the interference falls with `x`.
    pub k: f64,
    /// `1 / k`.
    pub inverse_k: f64,
}

/// How fast things move with the stand-off (per mm of stand-off).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rates {
    /// Interference at a fixed place: `-tan a_f`.
    pub interference: f64,
    /// End `lo`: 1 when the hub limits the overlap there, else 0.
    pub lo: f64,
    /// End `hi`: 1 when the hub limits the overlap there, else 0.
    pub hi: f64,
}

impl Overlap {
    /// The contact patch: the part of the overlap where the interference is positive.
    #[inline(always)]
    pub fn patch(&self) -> (f64, f64) {
        let edge = clamped(self.d_lo.mul_add(self.inverse_k, self.lo), self.lo, self.hi);
        if self.k > 0.0 {
            (self.lo, edge)
        } else {
            (edge, self.hi)
        }
    }

    /// Interference at `x` (mm).
    #[inline(always)]
    pub fn interference(&self, x: f64) -> f64 {
        (self.lo - x).mul_add(self.k, self.d_lo)
    }
}

/// An elastic law: from the interferences at the two ends of the overlap to what presses there.
///
/// Every implementation is homogeneous of degree one: twice the interference gives twice the load, torque,
/// pressure and stress. `friction` is the coefficient while sliding on; a law may ignore it.
pub trait ElasticLaw: Sync {
    /// `A = integral of r p dx` over the patch (N per radian): `2 pi A` is the radial load on the cone.
    fn radial_load(&self, overlap: &Overlap, friction: f64) -> f64;

    /// `A` and `dA/dh`, its rate with the stand-off (N per radian, and per mm).
    fn radial_load_and_rate(&self, overlap: &Overlap, rates: &Rates, friction: f64) -> (f64, f64);

    /// Start and end of the stretch that bears (mm from the shoulder).
    fn bearing(&self, overlap: &Overlap, friction: f64) -> (f64, f64);

    /// `M = integral of r^2 p dx` over the patch (N·mm per radian).
    fn torque_integral(&self, overlap: &Overlap, friction: f64) -> f64;

    /// Mean over the patch and largest nominal pressure (MPa); both 0 without a patch.
    fn pressure(&self, overlap: &Overlap, friction: f64) -> (f64, f64);

    /// Largest equivalent stress (Tresca) at the hub bore (MPa).
    fn bore_stress(&self, overlap: &Overlap, friction: f64) -> f64;
}
