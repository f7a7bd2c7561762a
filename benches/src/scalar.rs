//! The scalar path: the same joint, one pairing at a time, as one would write it without a thought of vector units.
//!
//! It is the yardstick of what the vector units bring, and a second reading of the closed formulas. It knows a cone of plain
//! rings at 20 °C with a spacer that gives as a ring, a bolt by nut factor, normal characteristics, and the limits that the
//! benchmark's scenario sets; it refuses every other joint.
//!
//! Symbols as in `fit`: `h` stand-off, `t` thickness of the spacer, `k = tan a_m - tan a_f`, radial clearance
//! `c(x) = c0 + h tan a_f + k x` (mm), `W = 1/K`, `V` Tresca stress at the bore per interference, `F` load of the cones,
//! `B` bolt load, `N` clamp load (N). Plain `*` and `+`: a fused multiply-add is a call into a library in a baseline build.

mod cubic;
mod tally;

use std::f64::consts::TAU;

use fit::{ConeSizes, Growth, INPUTS, Input, Output, RingParts, Seat, Spacer, Verdict};
use study::Plan;

pub use cubic::{Cubic, Tangent};
pub use tally::{Tally, simulate};

/// What comes out of one pairing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Answer {
    /// Draw-up to close (mm), clamp load (N), contact share, bore stress (MPa).
    pub outputs: [f64; 4],
    /// Good, or the first broken limit.
    pub verdict: Verdict,
    /// All broken limits, one bit each.
    pub broken: usize,
}

/// Sets that six limits can make.
pub const SETS: usize = 1 << 6;

/// The outputs of an [`Answer`], in its order.
pub const OUTPUTS: [Output; 4] = [
    Output::DrawUp,
    Output::ClampLoad,
    Output::ContactShare,
    Output::BoreStress,
];

/// Place of the two Gauss points.
const INVERSE_ROOT_3: f64 = 0.577_350_269_189_625_8;

/// Everything that the pairings have in common.
#[derive(Debug, Clone)]
pub struct ScalarJoint {
    x1: f64,
    x2: f64,
    u1: f64,
    u2: f64,
    load: Cubic,
    stress: Cubic,
    male: Tangent,
    female: Tangent,
    /// `E A` of the spacer (N).
    ring: f64,
    bolt_diameter: f64,
    clamp_min: f64,
    share_min: f64,
    stress_max: f64,
    /// What scatters: input, mean, standard deviation.
    normals: Vec<(usize, f64, f64)>,
    /// Inputs before the draws.
    constant: [f64; INPUTS],
}

/// One pairing's flanks and thrust.
#[derive(Debug, Clone, Copy)]
struct Flanks {
    tan_f: f64,
    k: f64,
    c0: f64,
    /// `2 pi tan(alpha + phi)`.
    thrust: f64,
}

/// Where the cones overlap and touch at one stand-off.
#[derive(Debug, Clone, Copy)]
struct Patch {
    h: f64,
    low: f64,
    high: f64,
    start: f64,
    end: f64,
    /// Interference at `x = 0`: `d(x) = d0 - k x`.
    d0: f64,
}

impl ScalarJoint {
    /// The joint of a plan.
    ///
    /// # Errors
    /// A sentence, when the scenario states something that this path does not know.
    pub fn new(plan: &Plan) -> Result<ScalarJoint, String> {
        let sizes = plan.joint.sizes();
        let (Seat::Cone(cone), Spacer::Ring(ring)) = (sizes.seat, sizes.spacer) else {
            return Err("a cone and a spacer that gives as a ring are needed".into());
        };
        let plain = cone.smoothing == 0.0 && sizes.growth == Growth::NONE && !sizes.settles;
        let turn = sizes.bolt.turn;
        if !plain || turn.constant != 0.0 || turn.thread_friction != 0.0 {
            return Err("a plain joint at 20 °C with a nut factor is needed".into());
        }
        let nominal = |input: Input| sizes.nominal[input.index()];
        let parts = rings(&cone, &nominal);
        let load = |x: f64| 1.0 / parts.compliance(parts.radius(x));
        let stress = |x: f64| {
            let r = parts.radius(x);
            parts.stress_per_pressure(r) / r * load(x)
        };
        let (normals, constant) = draws(plan)?;
        let (clamp_min, share_min, stress_max) = limits(plan)?;
        Ok(ScalarJoint {
            x1: cone.male_flank.0,
            x2: cone.male_flank.1,
            u1: cone.female_flank.0,
            u2: cone.female_flank.1,
            load: Cubic::through(load, cone.male_flank),
            stress: Cubic::through(stress, cone.male_flank),
            male: Tangent::about(nominal(Input::MaleHalfAngle)),
            female: Tangent::about(nominal(Input::FemaleHalfAngle)),
            ring,
            bolt_diameter: turn.nut_factor,
            clamp_min,
            share_min,
            stress_max,
            normals,
            constant,
        })
    }

    /// Solves one pairing; `inputs` in the order of [`Input`].
    pub fn solve(&self, inputs: &[f64; INPUTS]) -> Answer {
        let get = |input: Input| inputs[input.index()];
        let tan_m = self.male.of(get(Input::MaleHalfAngle));
        let tan_f = self.female.of(get(Input::FemaleHalfAngle));
        let difference = tan_m - tan_f;
        let k = if difference.abs() < 1e-15 {
            1e-15
        } else {
            difference
        };
        let c0 = 0.5 * (get(Input::FemaleSize) - get(Input::MaleSize))
            + get(Input::FemalePlane) * tan_f
            - get(Input::MalePlane) * tan_m;
        let (x, u) = if k > 0.0 {
            (self.x1, self.u1)
        } else {
            (self.x2, self.u2)
        };
        let first = (-(c0 + k * u) / tan_m).min(-(c0 + k * x) / tan_f);
        let t = get(Input::Thickness);
        let bolt = get(Input::Torque) / (get(Input::NutFactor) * self.bolt_diameter);
        let mu = get(Input::Friction);
        let tan_mean = 0.5 * (tan_m + tan_f);
        let flanks = Flanks {
            tan_f,
            k,
            c0,
            thrust: TAU * (tan_mean + mu) / (1.0 - mu * tan_mean),
        };
        let closed = self.load(&flanks, &self.patch(&flanks, t));
        let open = closed.0 > bolt;
        let (clamp, stopped) = if open {
            (0.0, self.gap_left(&flanks, bolt, t, first, closed))
        } else {
            self.pinched(&flanks, bolt, t, closed)
        };
        let length = stopped.end - stopped.start;
        let bears = length > 0.0;
        let share = if bears {
            length / (stopped.high - stopped.low)
        } else {
            0.0
        };
        let stress = if bears {
            self.largest_stress(&flanks, &stopped)
        } else {
            0.0
        };
        let enters = first < self.x2 - self.u1;
        let (verdict, broken) = self.judged(enters, open, bears, clamp, share, stress);
        Answer {
            outputs: [first - t, clamp, share, stress],
            verdict,
            broken,
        }
    }

    /// A pinched spacer, `k_c = E A / t`: a Newton step from `h = t` and one more with the same slope. Where that one is no
    /// correction but a move (flanks so nearly parallel that the patch grows within a micrometre) Newton goes on.
    fn pinched(&self, flanks: &Flanks, bolt: f64, t: f64, closed: (f64, f64)) -> (f64, Patch) {
        let spring = self.ring / t;
        let slope = 1.0 / (spring - closed.1);
        let mut h = t - (bolt - closed.0) * slope;
        let (load, _) = self.load(flanks, &self.patch(flanks, h));
        let mut step = (bolt - load - spring * (t - h)) * slope;
        h -= step;
        for _ in 0..20 {
            if step.abs() < 1e-9 {
                break;
            }
            let (load, rate) = self.load(flanks, &self.patch(flanks, h));
            step = (bolt - load - spring * (t - h)) / (spring - rate);
            h -= step;
        }
        (spring * (t - h), self.patch(flanks, h))
    }

    /// A gap left: out from `h = t`, where the load is above the bolt's, to where it has fallen to it. The load falls ever
    /// more slowly on that way, so that Newton comes from one side.
    fn gap_left(
        &self,
        flanks: &Flanks,
        bolt: f64,
        t: f64,
        first: f64,
        closed: (f64, f64),
    ) -> Patch {
        let (mut h, (mut load, mut rate)) = (t, closed);
        for _ in 0..30 {
            let step = (bolt - load) / rate;
            h = (h + step).clamp(t, first);
            if step.abs() < 1e-10 * h {
                break;
            }
            (load, rate) = self.load(flanks, &self.patch(flanks, h));
        }
        self.patch(flanks, h)
    }

    /// Overlap and contact patch at stand-off `h`.
    #[inline]
    fn patch(&self, flanks: &Flanks, h: f64) -> Patch {
        let Flanks { tan_f, k, c0, .. } = *flanks;
        let low = self.x1.max(h + self.u1);
        let high = self.x2.min(h + self.u2).max(low);
        let d0 = -(c0 + h * tan_f);
        let edge = (d0 / k).max(low).min(high);
        let (start, end) = if k > 0.0 { (low, edge) } else { (edge, high) };
        Patch {
            h,
            low,
            high,
            start,
            end,
            d0,
        }
    }

    /// Load of the cones and its rate with the stand-off: two Gauss points.
    #[inline]
    fn load(&self, flanks: &Flanks, patch: &Patch) -> (f64, f64) {
        let Patch { start, end, d0, .. } = *patch;
        if end <= start {
            return (0.0, 0.0);
        }
        let k = flanks.k;
        let (middle, half) = (0.5 * (start + end), 0.5 * (end - start));
        let reach = half * INVERSE_ROOT_3;
        let (a, b) = (middle - reach, middle + reach);
        let (wa, wb) = (self.load.at(a), self.load.at(b));
        let load = half * ((d0 - k * a) * wa + (d0 - k * b) * wb);
        let mut rate = -half * flanks.tan_f * (wa + wb);
        // The ends of the overlap that the hub takes along.
        let (d_low, d_high) = (d0 - k * patch.low, d0 - k * patch.high);
        if d_low > 0.0 && patch.h + self.u1 > self.x1 {
            rate -= d_low * self.load.at(patch.low);
        }
        if d_high > 0.0 && patch.h + self.u2 < self.x2 {
            rate += d_high * self.load.at(patch.high);
        }
        (flanks.thrust * load, flanks.thrust * rate)
    }

    /// Largest `d V`: at both ends, and at the Newton step from the middle.
    fn largest_stress(&self, flanks: &Flanks, patch: &Patch) -> f64 {
        let k = flanks.k;
        let value = |x: f64| (patch.d0 - k * x) * self.stress.at(x);
        let ends = value(patch.start).max(value(patch.end)).max(0.0);
        let middle = 0.5 * (patch.start + patch.end);
        let (v, v1, v2) = self.stress.with_derivatives(middle);
        let d = patch.d0 - k * middle;
        let first = d * v1 - k * v;
        let second = d * v2 - 2.0 * k * v1;
        if second < 0.0 {
            let top = (middle - first / second).max(patch.start).min(patch.end);
            ends.max(value(top))
        } else {
            ends
        }
    }

    /// The verdict, and the set of all broken limits.
    fn judged(
        &self,
        enters: bool,
        open: bool,
        bears: bool,
        clamp: f64,
        share: f64,
        stress: f64,
    ) -> (Verdict, usize) {
        let broken = [
            (!enters, Verdict::NeverSeats),
            (open, Verdict::GapLeft),
            (clamp < self.clamp_min, Verdict::ClampLow),
            (!bears, Verdict::ConesFree),
            (share < self.share_min, Verdict::ContactLow),
            (stress > self.stress_max, Verdict::BoreOverstressed),
        ];
        let mut set = 0;
        let mut first = None;
        for (bit, (is_broken, verdict)) in broken.into_iter().enumerate() {
            set |= usize::from(is_broken) << bit;
            if is_broken && first.is_none() {
                first = Some(verdict);
            }
        }
        (first.unwrap_or(Verdict::Good), set)
    }
}

/// The rings along the nominal cone.
fn rings(cone: &ConeSizes, nominal: &impl Fn(Input) -> f64) -> RingParts {
    let fall = libm::tan(nominal(Input::MaleHalfAngle));
    let large =
        0.5 * nominal(Input::MaleSize) - (cone.male_flank.0 - nominal(Input::MalePlane)) * fall;
    RingParts {
        outside_radius: cone.outside_radius,
        bore_radius: cone.bore_radius,
        hub_modulus: cone.hub_modulus,
        hub_poisson: cone.hub_poisson,
        shaft_modulus: cone.shaft_modulus,
        shaft_poisson: cone.shaft_poisson,
        flank: cone.male_flank,
        large_radius: large,
        fall,
    }
}

/// The normal characteristics by input, and the values of the others.
type Draws = (Vec<(usize, f64, f64)>, [f64; INPUTS]);

fn draws(plan: &Plan) -> Result<Draws, String> {
    let (mut normals, mut constant) = (vec![], [0.0; INPUTS]);
    for c in plan.parts.iter().flat_map(|part| part.characteristics()) {
        if c.process.is_constant() {
            constant[c.column] = c.process.mean();
        } else if c.process.shape_name() == "normal"
            && c.gate.is_none()
            && c.process.slow().is_empty()
        {
            normals.push((c.column, c.process.mean(), c.process.sd()));
        } else {
            return Err(format!("{}: a plain normal process is needed", c.name));
        }
    }
    Ok((normals, constant))
}

/// Least clamp load (N), least contact share, largest stress (MPa).
fn limits(plan: &Plan) -> Result<(f64, f64, f64), String> {
    let mut limits = (f64::NEG_INFINITY, f64::NEG_INFINITY, f64::INFINITY);
    for side in plan.criteria.sides() {
        match (side.output, side.minimum) {
            (Output::ClampLoad, true) => limits.0 = side.value,
            (Output::ContactShare, true) => limits.1 = side.value,
            (Output::BoreStress, false) => limits.2 = side.value,
            _ => {
                return Err(format!(
                    "{}: a limit that this path does not know",
                    side.name()
                ));
            }
        }
    }
    Ok(limits)
}

#[cfg(test)]
mod tests {
    use super::*;
    use sampling::{BLOCK, Order};
    use study::Supply;

    /// The benchmark's scenario through both solvers; scales as in the reference of the joint: 1 mm of draw-up, 25 kN, all
    /// of the overlap, 160 MPa.
    #[test]
    fn twenty_thousand_pairings_agree_with_the_block() {
        let plan = crate::plan(20_096).expect("the benchmark's scenario");
        let joint = ScalarJoint::new(&plan).expect("a joint that this path knows");
        let (mut block, mut supply) = (plan.block(), Supply::new(&plan, Order::Stock));
        let mut seen = [0; fit::VERDICTS];
        for number in 0..157 {
            plan.draw(number, BLOCK, &mut supply, &mut block);
            block.solve(&plan.joint, &plan.criteria, plan.wanted);
            for lane in 0..BLOCK {
                let inputs = std::array::from_fn(|input| block.inputs[input][lane]);
                let answer = joint.solve(&inputs);
                let verdict = plan.criteria.verdict(block.broken[lane]);
                assert_eq!(answer.verdict, verdict, "block {number}, lane {lane}");
                assert_eq!(
                    answer.broken.count_ones(),
                    block.broken[lane].count_ones(),
                    "block {number}, lane {lane}: as many limits broken"
                );
                seen[verdict.index()] += 1;
                for ((output, got), scale) in OUTPUTS
                    .iter()
                    .zip(answer.outputs)
                    .zip([1.0, 25e3, 1.0, 160.0])
                {
                    let want = block.outputs[output.index()][lane];
                    let allowed = 1e-6 * want.abs().max(scale);
                    assert!(
                        (got - want).abs() <= allowed,
                        "{} of block {number}, lane {lane}: {got} for {want}",
                        output.name()
                    );
                }
            }
        }
        for verdict in [
            Verdict::GapLeft,
            Verdict::ClampLow,
            Verdict::ConesFree,
            Verdict::ContactLow,
            Verdict::BoreOverstressed,
            Verdict::Good,
        ] {
            assert!(seen[verdict.index()] > 20, "{verdict:?} is met: {seen:?}");
        }
    }

    #[test]
    fn a_joint_that_it_does_not_know_is_refused() {
        let plan = crate::plan_of("winch-drum-spline", 1).expect("a scenario");
        assert!(ScalarJoint::new(&plan).is_err());
        let plan = crate::plan_of("coupling-supply", 1).expect("a scenario");
        assert!(ScalarJoint::new(&plan).is_err());
    }
}
