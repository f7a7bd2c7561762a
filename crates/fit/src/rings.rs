//! The law *rings*: the hub and the shaft as plane-stress rings side by side, without axial coupling.
//!
//! At the place `x` with nominal radius `r` a radial interference `d` gives the pressure
//!
//! ```text
//! p = d / (r K)
//! K = (1/E_h) [ (R_o^2 + r^2)/(R_o^2 - r^2) + nu_h ] + (1/E_s) [ (r^2 + R_i^2)/(r^2 - R_i^2) - nu_s ]
//! ```
//!
//! `E` modulus (MPa), `nu` Poisson's ratio, `R_o` outside radius of the hub, `R_i` bore radius of the shaft
//! (mm); h hub, s shaft. It is the thick-cylinder formula of the machine-design handbooks, exact for rings
//! with free faces. It holds to a few per cent of the load for equal angles and a hub that sits wholly on
//! the cone; under angle mismatch it overstates the contact share.
//!
//! For speed `W = 1/K`, `W/r` and the stress per interference are polynomials in the place along the male
//! flank; the number of coefficients `C` is chosen so that they are right to 4e-9 and 2e-8, and `N` Gauss points
//! integrate them exactly. A cubic `W` has its integral in closed form: with `D` the interference at the middle of a patch
//! of half-length `l`, and `W0`, `W1`, `W2`, `W3` the Taylor coefficients there,
//!
//! ```text
//! integral of W d dx = 2 l [ D W0 + l^2/3 (D W2 - k W1) - l^4/5 k W3 ]
//! integral of W dx   = 2 l [ W0 + l^2/3 W2 ]
//! ```

use crate::lanes::{Poly, clamped, larger, reciprocal};
use crate::law::{ElasticLaw, Overlap, Rates};

/// Elastic constants and radii of the two rings at every place of the male flank.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RingParts {
    /// Hub outside radius `R_o` (mm).
    pub outside_radius: f64,
    /// Shaft bore radius `R_i` (mm), 0 when solid.
    pub bore_radius: f64,
    /// Hub modulus (MPa).
    pub hub_modulus: f64,
    /// Hub Poisson's ratio.
    pub hub_poisson: f64,
    /// Shaft modulus (MPa).
    pub shaft_modulus: f64,
    /// Shaft Poisson's ratio.
    pub shaft_poisson: f64,
    /// Male flank: large end and small end from the shoulder (mm).
    pub flank: (f64, f64),
    /// Nominal radius at the large end of the flank (mm).
    pub large_radius: f64,
    /// Fall of the nominal radius per mm: `tan a_m`, nominal.
    pub fall: f64,
}

impl RingParts {
    /// Nominal radius at `x` (mm).
    #[inline(always)]
    pub fn radius(&self, x: f64) -> f64 {
        (self.flank.0 - x).mul_add(self.fall, self.large_radius)
    }

    /// Interference per pressure and radius `K` (1/MPa) at radius `r` (mm).
    pub fn compliance(&self, r: f64) -> f64 {
        let (square, outer, inner) = (
            r * r,
            self.outside_radius * self.outside_radius,
            self.bore_radius * self.bore_radius,
        );
        ((outer + square) / (outer - square) + self.hub_poisson) / self.hub_modulus
            + ((square + inner) / (square - inner) - self.shaft_poisson) / self.shaft_modulus
    }

    /// Equivalent stress at the bore per pressure: Tresca, `2 R_o^2 / (R_o^2 - r^2)`.
    pub fn stress_per_pressure(&self, r: f64) -> f64 {
        let outer = self.outside_radius * self.outside_radius;
        2.0 * outer / (outer - r * r)
    }
}

/// The law with polynomials of `C` coefficients for the load and of `S` for pressure and stress, and `N` Gauss points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rings<const C: usize, const S: usize, const N: usize> {
    middle: f64,
    large_end: f64,
    large_radius: f64,
    fall: f64,
    /// `1/K` (MPa).
    load: Poly<C>,
    /// `1/(r K)` (MPa/mm): pressure per interference.
    pressure: Poly<S>,
    /// Tresca stress per interference (MPa/mm).
    stress: Poly<S>,
    nodes: [f64; N],
    weights: [f64; N],
}

impl<const C: usize, const S: usize, const N: usize> Rings<C, S, N> {
    /// The law for these parts, and the largest relative error of its polynomials over what is allowed.
    pub fn new(parts: &RingParts) -> (Self, f64) {
        let middle = 0.5 * (parts.flank.0 + parts.flank.1);
        let half = 0.5 * (parts.flank.1 - parts.flank.0);
        let radius = |y: f64| parts.radius(middle + half * y);
        let (load, load_error) = Poly::fit(|y| 1.0 / parts.compliance(radius(y)));
        let (pressure, pressure_error) = Poly::fit(|y| {
            let r = radius(y);
            1.0 / (r * parts.compliance(r))
        });
        let (stress, stress_error) = Poly::fit(|y| {
            let r = radius(y);
            parts.stress_per_pressure(r) / (r * parts.compliance(r))
        });
        let (nodes, weights) = gauss_legendre();
        let rings = Rings {
            middle,
            large_end: parts.flank.0,
            large_radius: parts.large_radius,
            fall: parts.fall,
            load: load.scaled(1.0 / half),
            pressure: pressure.scaled(1.0 / half),
            stress: stress.scaled(1.0 / half),
            nodes,
            weights,
        };
        let surface_error = pressure_error.max(stress_error);
        let share = (load_error / LAW_ERROR).max(surface_error / SURFACE_ERROR);
        (rings, share)
    }

    #[inline(always)]
    fn place(&self, x: f64) -> f64 {
        x - self.middle
    }

    /// Whether the load's polynomial is a cubic, and that of pressure and stress little more.
    const CUBIC: bool = C == 4;

    /// Integrals of `W d` and of `W` over a patch, `W` a cubic.
    #[inline(always)]
    fn cubic_integrals(&self, overlap: &Overlap) -> (f64, f64) {
        let (start, end) = overlap.patch();
        let (centre, half) = (0.5 * (start + end), 0.5 * (end - start));
        let w = self.load.about(self.place(centre)).0;
        let (d, k) = (overlap.interference(centre), overlap.k);
        let square = half * half;
        let third = square * (1.0 / 3.0);
        let first = d.mul_add(w[2], -k * w[1]);
        let last = (square * square) * (-0.2 * w[C - 1]) * k;
        let load = d.mul_add(w[0], third.mul_add(first, last));
        let weight = third.mul_add(w[2], w[0]);
        ((end - start) * load, (end - start) * weight)
    }

    /// Integrals of `W d` and of `W` over a patch by the Gauss points.
    #[inline(always)]
    fn integrals(&self, overlap: &Overlap) -> (f64, f64) {
        let (start, end) = overlap.patch();
        let (centre, half) = (0.5 * (start + end), 0.5 * (end - start));
        let (mut load, mut weight) = (0.0, 0.0);
        for j in 0..N {
            let x = half.mul_add(self.nodes[j], centre);
            let weighted = self.weights[j] * self.load.at(self.place(x));
            load = overlap.interference(x).mul_add(weighted, load);
            weight += weighted;
        }
        (half * load, half * weight)
    }

    /// Gauss sum over the patch of `f(x, interference)`.
    #[inline(always)]
    fn over_patch(&self, overlap: &Overlap, f: impl Fn(f64, f64) -> f64) -> f64 {
        let (start, end) = overlap.patch();
        let (centre, half) = (0.5 * (start + end), 0.5 * (end - start));
        let mut sum = 0.0;
        for j in 0..N {
            let x = half.mul_add(self.nodes[j], centre);
            sum = self.weights[j].mul_add(f(x, overlap.interference(x)), sum);
        }
        half * sum
    }

    /// Largest value of `d(x) g(x)` over the patch; it may lie inside.
    #[inline(always)]
    fn largest(&self, overlap: &Overlap, g: &Poly<S>) -> f64 {
        if Self::CUBIC {
            self.largest_of_gentle(overlap, g)
        } else {
            self.largest_of_any(overlap, g)
        }
    }

    /// The two ends, and where one step of Chebyshev's method leads from the middle: enough for the gentle `g` that few terms
    /// follow. With `g0`, `g1`, ... the Taylor coefficients of `g` there and `D` the interference, those of `d g` are
    /// `f1 = D g1 - k g0`, `f2 = D g2 - k g1`, `f3 = D g3 - k g2`; `n = -f1/(2 f2)` is Newton's step to where the slope is 0,
    /// `n (1 - 3/2 n f3/f2)` the one of third order.
    #[inline(always)]
    fn largest_of_gentle(&self, overlap: &Overlap, g: &Poly<S>) -> f64 {
        let (start, end) = overlap.patch();
        let (centre, half) = (0.5 * (start + end), 0.5 * (end - start));
        let g = g.about(self.place(centre));
        let (d, k) = (overlap.interference(centre), overlap.k);
        let slope = d.mul_add(g.0[1], -k * g.0[0]);
        let bend = d.mul_add(g.0[2], -k * g.0[1]);
        let twist = d.mul_add(g.0[3], -k * g.0[2]);
        let bends_down = bend < 0.0;
        let inverse = 1.0 / if bends_down { bend } else { 1.0 };
        let newton = (-0.5 * slope) * inverse;
        let factor = clamped((newton * twist * inverse).mul_add(-1.5, 1.0), 0.5, 1.5);
        let blind = if slope > 0.0 { half } else { -half };
        let step = if bends_down { newton * factor } else { blind };
        let step = clamped(step, -half, half);
        let inside = (-k).mul_add(step, d) * g.at(step);
        let (even, odd) = g.even_and_odd(half);
        let start = k.mul_add(half, d) * (even - odd);
        let end = (-k).mul_add(half, d) * (even + odd);
        larger(larger(larger(start, end), inside), 0.0)
    }

    /// The two ends, and five Newton steps, none longer than an eighth of the patch, from the best of three
    /// inner points.
    #[inline(always)]
    fn largest_of_any(&self, overlap: &Overlap, g: &Poly<S>) -> f64 {
        let (start, end) = overlap.patch();
        let value = |x: f64| overlap.interference(x) * g.at(self.place(x));
        let mut place = 0.5 * (start + end);
        let mut best = value(place);
        for share in [0.25, 0.75] {
            let x = (end - start).mul_add(share, start);
            let v = value(x);
            place = if v > best { x } else { place };
            best = larger(best, v);
        }
        let reach = 0.125 * (end - start);
        // Written out, not a loop: the lanes around it are what the compiler has to see.
        let climb = |from: f64| clamped(from + self.uphill(overlap, g, from, reach), start, end);
        let place = climb(climb(climb(climb(climb(place)))));
        best = larger(best, value(place));
        larger(larger(best, 0.0), larger(value(start), value(end)))
    }
}

impl<const C: usize, const S: usize, const N: usize> Rings<C, S, N> {
    /// One Newton step toward the top of `d(x) g(x)`, no longer than `reach`; just uphill where it bends upward.
    #[inline(always)]
    fn uphill(&self, overlap: &Overlap, g: &Poly<S>, place: f64, reach: f64) -> f64 {
        let g = g.about(self.place(place)).0;
        let d = overlap.interference(place);
        let first = d.mul_add(g[1], -overlap.k * g[0]);
        let second = 2.0 * d.mul_add(g[2], -overlap.k * g[1]);
        let blind = if first > 0.0 { reach } else { -reach };
        let bends_down = second < 0.0;
        let newton = -first / if bends_down { second } else { 1.0 };
        clamped(if bends_down { newton } else { blind }, -reach, reach)
    }
}

impl<const C: usize, const S: usize, const N: usize> ElasticLaw for Rings<C, S, N> {
    #[inline(always)]
    fn radial_load(&self, overlap: &Overlap, _friction: f64) -> f64 {
        if Self::CUBIC {
            return self.cubic_integrals(overlap).0;
        }
        self.over_patch(overlap, |x, d| d * self.load.at(self.place(x)))
    }

    #[inline(always)]
    fn radial_load_and_rate(&self, overlap: &Overlap, rates: &Rates, _friction: f64) -> (f64, f64) {
        let (load, weight) = if Self::CUBIC {
            self.cubic_integrals(overlap)
        } else {
            self.integrals(overlap)
        };
        let at_lo = larger(overlap.d_lo, 0.0) * self.load.at(self.place(overlap.lo));
        let at_hi = larger(overlap.d_hi, 0.0) * self.load.at(self.place(overlap.hi));
        let inside = weight * rates.interference;
        let open = if overlap.hi > overlap.lo { 1.0 } else { 0.0 };
        let ends = open * at_hi.mul_add(rates.hi, -at_lo * rates.lo);
        (load, inside + ends)
    }

    #[inline(always)]
    fn bearing(&self, overlap: &Overlap, _friction: f64) -> (f64, f64) {
        overlap.patch()
    }

    #[inline(always)]
    fn torque_integral(&self, overlap: &Overlap, _friction: f64) -> f64 {
        self.over_patch(overlap, |x, d| {
            let r = (self.large_end - x).mul_add(self.fall, self.large_radius);
            d * r * self.load.at(self.place(x))
        })
    }

    #[inline(always)]
    fn pressure(&self, overlap: &Overlap, _friction: f64) -> (f64, f64) {
        let (start, end) = overlap.patch();
        let length = end - start;
        let sum = self.over_patch(overlap, |x, d| d * self.pressure.at(self.place(x)));
        // Worked out either way and chosen after: a branch here would cost the loop around it its vectors.
        let largest = self.largest(overlap, &self.pressure);
        let bears = length > 0.0;
        let mean = sum * reciprocal(if bears { length } else { 1.0 });
        let mean = if bears { mean } else { 0.0 };
        let largest = if bears { largest } else { 0.0 };
        (mean, largest)
    }

    #[inline(always)]
    fn bore_stress(&self, overlap: &Overlap, _friction: f64) -> f64 {
        let (start, end) = overlap.patch();
        let largest = self.largest(overlap, &self.stress);
        if end > start { largest } else { 0.0 }
    }
}

/// Nodes and weights of `N`-point Gauss-Legendre quadrature on `[-1, 1]`, by Newton's method on `P[N]`.
fn gauss_legendre<const N: usize>() -> ([f64; N], [f64; N]) {
    let (mut nodes, mut weights) = ([0.0; N], [0.0; N]);
    let n = N as f64;
    for i in 0..N {
        let mut x = -libm::cos(std::f64::consts::PI * (i as f64 + 0.75) / (n + 0.5));
        let mut slope = 1.0;
        for _ in 0..20 {
            let (mut before, mut now) = (1.0, x);
            for k in 2..=N {
                let k = k as f64;
                (before, now) = (now, ((2.0 * k - 1.0) * x * now - (k - 1.0) * before) / k);
            }
            slope = n * (x * now - before) / (x * x - 1.0);
            x -= now / slope;
        }
        nodes[i] = x;
        weights[i] = 2.0 / ((1.0 - x * x) * slope * slope);
    }
    (nodes, weights)
}

/// The law rings with as many coefficients as the parts need.
#[allow(
    clippy::large_enum_variant,
    reason = "one a joint, and the hot loop wants it in place"
)]
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum RingLaw {
    /// Four coefficients, five for the surface: solid shafts, fine tapers.
    Short(Rings<4, 5, 3>),
    /// Six coefficients, four points.
    Middle(Rings<6, 6, 4>),
    /// Ten coefficients, six points.
    Long(Rings<10, 10, 6>),
    /// Twenty coefficients, eleven points: steep tapers, thin walls.
    Longest(Rings<20, 20, 11>),
}

/// Largest relative error that the polynomial of the load may have.
pub const LAW_ERROR: f64 = 4e-9;

/// Largest relative error that the polynomials of pressure and stress may have.
pub const SURFACE_ERROR: f64 = 2e-8;

impl RingLaw {
    /// The shortest law that is right to [`LAW_ERROR`] and [`SURFACE_ERROR`], or the longest; and its error as a multiple of
    /// what these allow.
    pub fn new(parts: &RingParts) -> (RingLaw, f64) {
        let (short, error) = Rings::new(parts);
        if error <= 1.0 {
            return (RingLaw::Short(short), error);
        }
        let (middle, error) = Rings::new(parts);
        if error <= 1.0 {
            return (RingLaw::Middle(middle), error);
        }
        let (long, error) = Rings::new(parts);
        if error <= 1.0 {
            return (RingLaw::Long(long), error);
        }
        let (longest, error) = Rings::new(parts);
        (RingLaw::Longest(longest), error)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verified_gauss_points_of_three_and_four() {
        // Abramowitz and Stegun, table 25.4, from memory.
        let (x, w) = gauss_legendre::<3>();
        assert!((x[2] - 0.774_596_669_241_483_4).abs() < 1e-15 && (w[1] - 8.0 / 9.0).abs() < 1e-15);
        let (x, w) = gauss_legendre::<4>();
        assert!((x[3] - 0.861_136_311_594_052_6).abs() < 1e-15);
        assert!((w[3] - 0.347_854_845_137_453_85).abs() < 1e-15);
    }

    #[test]
    fn longer_laws_follow_thinner_walls_until_none_can() {
        let law = |outside_radius: f64, fall: f64| {
            RingLaw::new(&RingParts {
                outside_radius,
                bore_radius: 0.0,
                hub_modulus: 210e3,
                hub_poisson: 0.3,
                shaft_modulus: 210e3,
                shaft_poisson: 0.3,
                flank: (0.0, 30.0),
                large_radius: 15.0,
                fall,
            })
        };
        assert!(matches!(law(27.0, 0.025), (RingLaw::Short(_), share) if share <= 1.0));
        assert!(matches!(law(16.0, 0.05), (RingLaw::Middle(_), share) if share <= 1.0));
        assert!(matches!(law(16.0, 0.125), (RingLaw::Long(_), share) if share <= 1.0));
        assert!(matches!(law(15.001, 0.125), (RingLaw::Longest(_), share) if share <= 1.0));
        // A wall of a hundredth of a millimetre at one end, nearly 12 mm at the other.
        assert!(law(15.01, 0.4).1 > 25.0);
    }
}
