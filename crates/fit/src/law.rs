//! The elastic law of the cone: what presses where once the cones overlap.

use crate::cone::{Ends, FlankColumns};
use crate::lanes::{Column, LANES, clamped};

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

/// The overlaps of all lanes of a block, each at a stand-off of its own.
#[derive(Debug, Clone, Copy)]
pub struct Overlaps<'a> {
    pub(crate) flanks: &'a FlankColumns,
    pub(crate) ends: Ends,
    /// Stand-off (mm).
    pub(crate) stand_off: &'a Column,
    /// Friction while sliding on.
    pub(crate) friction: &'a Column,
}

impl Overlaps<'_> {
    /// The overlap of lane `i`.
    #[inline(always)]
    pub fn at(&self, i: usize) -> Overlap {
        let flanks = self.flanks.lane(i, self.ends);
        flanks.at(self.stand_off[i])
    }

    /// How it moves with the stand-off.
    #[inline(always)]
    pub fn rates(&self, i: usize) -> Rates {
        let flanks = self.flanks.lane(i, self.ends);
        flanks.rates(self.stand_off[i])
    }
}

/// An elastic law: from the interferences at the two ends of the overlap to what presses there.
///
/// Every implementation is homogeneous of degree one: twice the interference gives twice the load, torque,
/// pressure and stress. `friction` is the coefficient while sliding on; a law may ignore it.
///
/// The solver asks for whole columns (the methods in the plural); only a lane that needs a search is asked for by itself.
/// A law states what happens in one lane; one that looks its answers up may do better with a column and state that too,
/// as long as both give the same bits.
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

    /// [`ElasticLaw::radial_load`] of every lane.
    #[inline(always)]
    fn radial_loads(&self, overlaps: &Overlaps<'_>, load: &mut Column) {
        for i in 0..LANES {
            load[i] = self.radial_load(&overlaps.at(i), overlaps.friction[i]);
        }
    }

    /// [`ElasticLaw::radial_load_and_rate`] of every lane.
    #[inline(always)]
    fn radial_loads_and_rates(
        &self,
        overlaps: &Overlaps<'_>,
        load: &mut Column,
        rate: &mut Column,
    ) {
        for i in 0..LANES {
            let (overlap, rates) = (overlaps.at(i), overlaps.rates(i));
            (load[i], rate[i]) = self.radial_load_and_rate(&overlap, &rates, overlaps.friction[i]);
        }
    }

    /// Length of [`ElasticLaw::bearing`] of every lane (mm).
    #[inline(always)]
    fn bearings(&self, overlaps: &Overlaps<'_>, length: &mut Column) {
        for i in 0..LANES {
            let (start, end) = self.bearing(&overlaps.at(i), overlaps.friction[i]);
            length[i] = end - start;
        }
    }

    /// [`ElasticLaw::bearings`] and [`ElasticLaw::bore_stresses`] at once: they share most of their work.
    #[inline(always)]
    fn bearings_and_bore_stresses(
        &self,
        overlaps: &Overlaps<'_>,
        length: &mut Column,
        stress: &mut Column,
    ) {
        for i in 0..LANES {
            let (overlap, friction) = (overlaps.at(i), overlaps.friction[i]);
            let (start, end) = self.bearing(&overlap, friction);
            length[i] = end - start;
            stress[i] = self.bore_stress(&overlap, friction);
        }
    }

    /// [`ElasticLaw::torque_integral`] of every lane.
    #[inline(always)]
    fn torque_integrals(&self, overlaps: &Overlaps<'_>, integral: &mut Column) {
        for i in 0..LANES {
            integral[i] = self.torque_integral(&overlaps.at(i), overlaps.friction[i]);
        }
    }

    /// [`ElasticLaw::pressure`] of every lane.
    #[inline(always)]
    fn pressures(&self, overlaps: &Overlaps<'_>, mean: &mut Column, largest: &mut Column) {
        for i in 0..LANES {
            (mean[i], largest[i]) = self.pressure(&overlaps.at(i), overlaps.friction[i]);
        }
    }

    /// [`ElasticLaw::bore_stress`] of every lane.
    #[inline(always)]
    fn bore_stresses(&self, overlaps: &Overlaps<'_>, stress: &mut Column) {
        for i in 0..LANES {
            stress[i] = self.bore_stress(&overlaps.at(i), overlaps.friction[i]);
        }
    }
}
