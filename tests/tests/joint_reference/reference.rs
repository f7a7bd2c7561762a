//! The reference: exact rings, fine quadrature, scans and bisection.

use std::f64::consts::PI;

use fit::{ConeSizes, INPUTS, Input, JointSizes, OUTPUTS, Output, Pairing, Spacer, Verdict};

const PANELS: usize = 20;
const POINTS: [(f64, f64); 4] = [
    (-0.861_136_311_594_052_6, 0.347_854_845_137_453_85),
    (-0.339_981_043_584_856_26, 0.652_145_154_862_546_1),
    (0.339_981_043_584_856_26, 0.652_145_154_862_546_1),
    (0.861_136_311_594_052_6, 0.347_854_845_137_453_85),
];

/// The reference for one pairing.
pub struct Reference<'a> {
    sizes: &'a JointSizes,
    cone: &'a ConeSizes,
    tan_m: f64,
    tan_f: f64,
    /// Mean half-angle (rad).
    alpha: f64,
    pairing: [f64; INPUTS],
}

/// Where the hub stops.
struct Stop {
    stand_off: f64,
    closing_load: f64,
    open: bool,
}

/// The joint at rest under its bolt.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rest {
    /// Bolt load (N).
    pub bolt_load: f64,
    /// Final stand-off (mm).
    pub stand_off: f64,
    /// A gap is left.
    pub open: bool,
    /// Load on the spacer (N).
    pub clamp_load: f64,
}

impl<'a> Reference<'a> {
    /// The reference for a pairing of a joint.
    pub fn new(sizes: &'a JointSizes, pairing: &Pairing) -> Reference<'a> {
        let (am, af) = (
            pairing.get(Input::MaleHalfAngle),
            pairing.get(Input::FemaleHalfAngle),
        );
        let cone = acceptance::joints::cone(sizes);
        Reference {
            sizes,
            cone,
            tan_m: libm::tan(am),
            tan_f: libm::tan(af),
            alpha: 0.5 * (am + af),
            pairing: pairing.0,
        }
    }

    fn get(&self, input: Input) -> f64 {
        self.pairing[input.index()]
    }

    /// Radial clearance at `x`, straight from the two diameters.
    pub fn clearance(&self, x: f64, h: f64) -> f64 {
        let d_f =
            self.get(Input::FemaleSize) - 2.0 * (x - h - self.get(Input::FemalePlane)) * self.tan_f;
        let d_m = self.get(Input::MaleSize) - 2.0 * (x - self.get(Input::MalePlane)) * self.tan_m;
        0.5 * (d_f - d_m)
    }

    pub fn overlap(&self, h: f64) -> Option<(f64, f64)> {
        let lo = self.cone.male_flank.0.max(h + self.cone.female_flank.0);
        let hi = self.cone.male_flank.1.min(h + self.cone.female_flank.1);
        (hi > lo).then_some((lo, hi))
    }

    /// Largest stand-off at which the smallest clearance is `-allowance`, by bisection over the travel of the
    /// hub from where it enters to where it runs off; the verdict when there is none.
    fn touch(&self, allowance: f64) -> Result<f64, Verdict> {
        let enter = self.cone.male_flank.1 - self.cone.female_flank.0;
        let leave = self.cone.male_flank.0 - self.cone.female_flank.1;
        let inside = 1e-9 * (enter - leave);
        // The clearance is linear along the overlap, so it is smallest at one of its ends.
        let smallest = |h: f64| {
            let (lo, hi) = self.overlap(h).expect("within the travel");
            self.clearance(lo, h).min(self.clearance(hi, h)) + allowance
        };
        if smallest(enter - inside) <= 0.0 {
            return Err(Verdict::NeverSeats);
        }
        if smallest(leave + inside) > 0.0 {
            return Err(Verdict::ConesFree);
        }
        Ok(bisect(|h| -smallest(h), leave + inside, enter - inside))
    }

    /// Nominal radius of the male cone at `x` (mm).
    pub fn radius(&self, x: f64) -> f64 {
        let nominal = |input: Input| self.sizes.nominal[input.index()];
        0.5 * nominal(Input::MaleSize)
            - (x - nominal(Input::MalePlane)) * libm::tan(nominal(Input::MaleHalfAngle))
    }

    /// Interference per pressure and radius of the rings at `x` (1/MPa).
    pub fn compliance(&self, x: f64) -> f64 {
        let (s, r) = (self.cone, self.radius(x));
        let (ro2, ri2, r2) = (s.outside_radius.powi(2), s.bore_radius.powi(2), r * r);
        ((ro2 + r2) / (ro2 - r2) + s.hub_poisson) / s.hub_modulus
            + ((r2 + ri2) / (r2 - ri2) - s.shaft_poisson) / s.shaft_modulus
    }

    /// Radial pressure of the rings at `x`.
    fn pressure(&self, x: f64, h: f64) -> f64 {
        let interference = -self.clearance(x, h) - 0.5 * self.cone.smoothing;
        interference.max(0.0) / (self.radius(x) * self.compliance(x))
    }

    /// The exact patch: the interference is linear, so its edge follows from the two ends.
    fn patch(&self, h: f64) -> Option<(f64, f64)> {
        let (lo, hi) = self.overlap(h)?;
        let half = 0.5 * self.cone.smoothing;
        let (a, b) = (-self.clearance(lo, h) - half, -self.clearance(hi, h) - half);
        let edge = lo + (hi - lo) * a / (a - b);
        match (a > 0.0, b > 0.0) {
            (true, true) => Some((lo, hi)),
            (true, false) => Some((lo, edge)),
            (false, true) => Some((edge, hi)),
            (false, false) => None,
        }
    }

    fn integral(&self, h: f64, f: impl Fn(f64) -> f64) -> f64 {
        self.patch(h).map_or(0.0, |patch| quadrature(patch, f))
    }

    fn radial_load(&self, h: f64) -> f64 {
        self.integral(h, |x| self.radius(x) * self.pressure(x, h))
    }

    /// Axial load of the cones while sliding on.
    fn cones(&self, h: f64) -> f64 {
        self.push_on() * self.radial_load(h)
    }

    /// Axial load per radial load while sliding on, `2 pi tan(alpha + phi)`.
    pub fn push_on(&self) -> f64 {
        2.0 * PI * libm::tan(self.alpha + libm::atan(self.get(Input::Friction)))
    }

    /// Slip torque (N·m) per integral of `r^2 p` (N·mm per radian).
    pub fn slip(&self) -> f64 {
        let mu = self.get(Input::Friction);
        2e-3 * PI * mu / (1.0 - mu * libm::tan(self.alpha)) / libm::cos(self.alpha)
    }

    /// Axial load per radial load that lets go, `2 pi tan(phi - alpha)`.
    pub fn release(&self) -> f64 {
        2.0 * PI * libm::tan(libm::atan(self.get(Input::Friction)) - self.alpha)
    }

    fn largest(&self, h: f64, f: impl Fn(f64) -> f64) -> f64 {
        self.patch(h)
            .map_or(0.0, |(start, end)| f(highest(&f, start, end)))
    }

    fn stop(&self, bears: Option<f64>, t: f64, bolt: f64) -> Stop {
        let mut closing_load = 0.0;
        let inner = t.max(self.cone.male_flank.0 - self.cone.female_flank.1);
        if let Some(outer) = bears.filter(|&outer| outer > inner) {
            let load = |h: f64| self.cones(h);
            let peak = highest(load, inner, outer);
            closing_load = load(peak);
            if closing_load > bolt {
                let stand_off = bisect(|h| load(h) - bolt, peak, outer);
                return Stop {
                    stand_off,
                    closing_load,
                    open: true,
                };
            }
        }
        let spring = match self.sizes.spacer {
            Spacer::Rigid => {
                return Stop {
                    stand_off: t,
                    closing_load,
                    open: false,
                };
            }
            Spacer::Stiffness(k) => k,
            Spacer::Ring(ea) => ea / t,
        };
        let cones = |h: f64| if bears.is_some() { self.cones(h) } else { 0.0 };
        let balance = |h: f64| cones(h) + spring * (t - h) - bolt;
        let at = |i: i32| t - bolt / spring * f64::from(i) / 200.0;
        let first = (1..200).find(|&i| balance(at(i)) >= 0.0).unwrap_or(200);
        let stand_off = bisect(balance, at(first), at(first - 1));
        Stop {
            stand_off,
            closing_load,
            open: false,
        }
    }

    fn bolt_load(&self) -> f64 {
        self.get(Input::Torque) / (self.get(Input::NutFactor) * self.sizes.bolt.turn.nut_factor)
    }

    /// Stand-off from which the smoothed cones bear, if they ever touch.
    fn bears(&self) -> Option<f64> {
        let touch = self.touch(0.0).ok();
        touch.and_then(|_| self.touch(0.5 * self.cone.smoothing).ok())
    }

    /// Load on the cones at stand-off `h` while sliding on (N).
    pub fn seat_load(&self, h: f64) -> f64 {
        if self.bears().is_some() {
            self.cones(h)
        } else {
            0.0
        }
    }

    /// Where the hub stops; an error when it cannot be pushed on.
    pub fn at_rest(&self) -> Result<Rest, Verdict> {
        if self.touch(0.0) == Err(Verdict::NeverSeats) {
            return Err(Verdict::NeverSeats);
        }
        let bolt_load = self.bolt_load();
        let stop = self.stop(self.bears(), self.get(Input::Thickness), bolt_load);
        let seat = self.seat_load(stop.stand_off);
        Ok(Rest {
            bolt_load,
            stand_off: stop.stand_off,
            open: stop.open,
            clamp_load: if stop.open {
                0.0
            } else {
                (bolt_load - seat).max(0.0)
            },
        })
    }

    /// All outputs, and the verdict without limits.
    pub fn solve(&self) -> ([Option<f64>; OUTPUTS], Verdict) {
        let mut out = [None; OUTPUTS];
        let mut put = |o: Output, v: f64| out[o.index()] = Some(v);
        let (t, mu) = (self.get(Input::Thickness), self.get(Input::Friction));
        let bolt = self.bolt_load();
        put(Output::BoltLoad, bolt);
        let touch = self.touch(0.0);
        if touch == Err(Verdict::NeverSeats) {
            return (out, Verdict::NeverSeats);
        }
        if let Ok(h0) = touch {
            put(Output::FirstTouch, h0);
            put(Output::DrawUp, h0 - t);
            let (lo, hi) = self.overlap(h0).expect("touching");
            let opening = (self.tan_m - self.tan_f).abs() * (hi - lo);
            put(
                Output::BlueShare,
                (self.cone.blue_film / opening.max(1e-300)).min(1.0),
            );
        }
        let bears = self.bears();
        let Stop {
            stand_off: h,
            closing_load,
            open,
        } = self.stop(bears, t, bolt);
        put(Output::ClosingLoad, closing_load);
        let set = self.sizes.nominal[Input::Torque.index()];
        put(Output::ClosingTorque, 1e-3 * set * closing_load / bolt);
        put(Output::StandOff, h);
        put(Output::Gap, if open { h - t } else { 0.0 });
        let patch = if bears.is_some() { self.patch(h) } else { None };
        let seat = if patch.is_some() { self.cones(h) } else { 0.0 };
        put(Output::SeatLoad, seat);
        put(
            Output::ClampLoad,
            if open { 0.0 } else { (bolt - seat).max(0.0) },
        );
        let overlap = self.overlap(h);
        let (mut share, mut mean, mut most, mut stress, mut slip, mut release) =
            (0.0, 0.0, 0.0, 0.0, 0.0, 0.0);
        if let (Some((start, end)), Some((lo, hi))) = (patch, overlap) {
            let ro2 = self.cone.outside_radius.powi(2);
            let pressure = |x: f64| self.pressure(x, h);
            share = (end - start) / (hi - lo);
            mean = self.integral(h, pressure) / (end - start);
            most = self.largest(h, pressure);
            stress = self.largest(h, |x| {
                2.0 * pressure(x) * ro2 / (ro2 - self.radius(x).powi(2))
            });
            let torque = self.integral(h, |x| self.radius(x).powi(2) * pressure(x));
            slip = self.slip() * torque;
            release = self.release() * self.radial_load(h);
            let ends = self.clearance(lo, h).min(self.clearance(hi, h)) + 0.5 * self.cone.smoothing;
            put(
                Output::MismatchRatio,
                (self.tan_m - self.tan_f).abs() * (hi - lo) / -ends,
            );
        }
        put(Output::ContactShare, share);
        put(Output::PressureMean, mean);
        put(Output::PressureMax, most);
        put(Output::BoreStress, stress);
        put(Output::SlipTorque, slip);
        put(Output::ReleaseLoad, release);
        let margin = (libm::atan(mu) - self.alpha).to_degrees();
        put(Output::SelfLockingMargin, margin);
        let free = !open && patch.is_none();
        match overlap {
            _ if !free => put(Output::RockAngle, 0.0),
            Some((lo, hi)) => {
                let sum = self.clearance(lo, h).max(0.0) + self.clearance(hi, h).max(0.0);
                put(Output::RockAngle, (2.0 * sum / (hi - lo)).to_degrees());
            }
            None => {}
        }
        let verdict = match (open, free) {
            (true, _) => Verdict::GapLeft,
            (false, true) => Verdict::ConesFree,
            (false, false) => Verdict::Good,
        };
        (out, verdict)
    }
}

/// Composite Gauss-Legendre quadrature of `f` from `start` to `end`.
pub fn quadrature((start, end): (f64, f64), f: impl Fn(f64) -> f64) -> f64 {
    let width = (end - start) / PANELS as f64;
    let mut sum = 0.0;
    for panel in 0..PANELS {
        let centre = start + width * (panel as f64 + 0.5);
        for (node, weight) in POINTS {
            sum += weight * f(centre + 0.5 * width * node);
        }
    }
    0.5 * width * sum
}

/// Root of `f`, which is positive at `inner` and not at `outer`.
pub fn bisect(f: impl Fn(f64) -> f64, inner: f64, outer: f64) -> f64 {
    let (mut a, mut b) = (inner, outer);
    for _ in 0..200 {
        let middle = 0.5 * (a + b);
        if f(middle) > 0.0 {
            a = middle
        } else {
            b = middle
        }
    }
    0.5 * (a + b)
}

/// Place of the largest value of `f` between `a` and `b`: a scan, then golden section.
fn highest(f: impl Fn(f64) -> f64, a: f64, b: f64) -> f64 {
    const STEPS: i32 = 100;
    const GOLDEN: f64 = 0.618_033_988_749_894_9;
    let at = |i: i32| a + (b - a) * f64::from(i) / f64::from(STEPS);
    let value = |i: &i32| f(at(*i));
    let best = (0..=STEPS)
        .max_by(|i, j| value(i).total_cmp(&value(j)))
        .expect("some steps");
    let (mut low, mut high) = (at((best - 1).max(0)), at((best + 1).min(STEPS)));
    for _ in 0..60 {
        let (c, d) = (high - GOLDEN * (high - low), low + GOLDEN * (high - low));
        if f(c) > f(d) { high = d } else { low = c }
    }
    let inside = 0.5 * (low + high);
    [a, b, inside]
        .into_iter()
        .max_by(|x, y| f(*x).total_cmp(&f(*y)))
        .expect("three places")
}
