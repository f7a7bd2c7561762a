//! The solver against an independent reference: exact rings, fine quadrature, scans and bisection.
//!
//! Nothing here is shared with the solver but the inputs and the names of the outputs. The reference is
//! slow and plain on purpose: `libm::tan`, `K(r)` at every point, composite Gauss-Legendre of 20 panels with
//! four points on the exact patch, a scan with a bisection for every root, and a scan with a golden-section
//! finish for every maximum.

use std::f64::consts::PI;

use fit::{
    Criteria, INPUTS, Input, Joint, JointSizes, OUTPUTS, Output, Pairing, Side, Spacer, Verdict,
};

const PANELS: usize = 20;
const POINTS: [(f64, f64); 4] = [
    (-0.861_136_311_594_052_6, 0.347_854_845_137_453_85),
    (-0.339_981_043_584_856_26, 0.652_145_154_862_546_1),
    (0.339_981_043_584_856_26, 0.652_145_154_862_546_1),
    (0.861_136_311_594_052_6, 0.347_854_845_137_453_85),
];

/// The reference for one pairing.
struct Reference<'a> {
    sizes: &'a JointSizes,
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

impl<'a> Reference<'a> {
    fn new(sizes: &'a JointSizes, pairing: &Pairing) -> Reference<'a> {
        let (am, af) = (
            pairing.get(Input::MaleHalfAngle),
            pairing.get(Input::FemaleHalfAngle),
        );
        Reference {
            sizes,
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
    fn clearance(&self, x: f64, h: f64) -> f64 {
        let d_f = self.get(Input::FemaleDiameter)
            - 2.0 * (x - h - self.get(Input::FemalePlane)) * self.tan_f;
        let d_m =
            self.get(Input::MaleDiameter) - 2.0 * (x - self.get(Input::MalePlane)) * self.tan_m;
        0.5 * (d_f - d_m)
    }

    fn overlap(&self, h: f64) -> Option<(f64, f64)> {
        let lo = self.sizes.male_flank.0.max(h + self.sizes.female_flank.0);
        let hi = self.sizes.male_flank.1.min(h + self.sizes.female_flank.1);
        (hi > lo).then_some((lo, hi))
    }

    /// Largest stand-off at which the smallest clearance is `-allowance`, by bisection over the travel of the
    /// hub from where it enters to where it runs off; the verdict when there is none.
    fn touch(&self, allowance: f64) -> Result<f64, Verdict> {
        let enter = self.sizes.male_flank.1 - self.sizes.female_flank.0;
        let leave = self.sizes.male_flank.0 - self.sizes.female_flank.1;
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

    fn radius(&self, x: f64) -> f64 {
        let nominal = |input: Input| self.sizes.nominal[input.index()];
        0.5 * nominal(Input::MaleDiameter)
            - (x - nominal(Input::MalePlane)) * libm::tan(nominal(Input::MaleHalfAngle))
    }

    /// Radial pressure of the rings at `x`.
    fn pressure(&self, x: f64, h: f64) -> f64 {
        let (s, r) = (self.sizes, self.radius(x));
        let (ro2, ri2, r2) = (s.outside_radius.powi(2), s.bore_radius.powi(2), r * r);
        let k = ((ro2 + r2) / (ro2 - r2) + s.hub_poisson) / s.hub_modulus
            + ((r2 + ri2) / (r2 - ri2) - s.shaft_poisson) / s.shaft_modulus;
        (-self.clearance(x, h) - 0.5 * s.smoothing).max(0.0) / (r * k)
    }

    /// The exact patch: the interference is linear, so its edge follows from the two ends.
    fn patch(&self, h: f64) -> Option<(f64, f64)> {
        let (lo, hi) = self.overlap(h)?;
        let half = 0.5 * self.sizes.smoothing;
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
        let Some((start, end)) = self.patch(h) else {
            return 0.0;
        };
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

    fn radial_load(&self, h: f64) -> f64 {
        self.integral(h, |x| self.radius(x) * self.pressure(x, h))
    }

    /// Axial load of the cones while sliding on.
    fn cones(&self, h: f64) -> f64 {
        let phi = libm::atan(self.get(Input::Friction));
        2.0 * PI * libm::tan(self.alpha + phi) * self.radial_load(h)
    }

    fn largest(&self, h: f64, f: impl Fn(f64) -> f64) -> f64 {
        self.patch(h)
            .map_or(0.0, |(start, end)| f(highest(&f, start, end)))
    }

    fn stop(&self, bears: Option<f64>, t: f64, bolt: f64) -> Stop {
        let mut closing_load = 0.0;
        let inner = t.max(self.sizes.male_flank.0 - self.sizes.female_flank.1);
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

    /// All outputs, and the verdict without limits.
    fn solve(&self) -> ([Option<f64>; OUTPUTS], Verdict) {
        let mut out = [None; OUTPUTS];
        let mut put = |o: Output, v: f64| out[o.index()] = Some(v);
        let (t, mu) = (self.get(Input::Thickness), self.get(Input::Friction));
        let bolt =
            self.get(Input::Torque) / (self.get(Input::NutFactor) * self.sizes.bolt_diameter);
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
                (self.sizes.blue_film / opening.max(1e-300)).min(1.0),
            );
        }
        let bears = touch
            .ok()
            .and_then(|_| self.touch(0.5 * self.sizes.smoothing).ok());
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
            let ro2 = self.sizes.outside_radius.powi(2);
            let pressure = |x: f64| self.pressure(x, h);
            share = (end - start) / (hi - lo);
            mean = self.integral(h, pressure) / (end - start);
            most = self.largest(h, pressure);
            stress = self.largest(h, |x| {
                2.0 * pressure(x) * ro2 / (ro2 - self.radius(x).powi(2))
            });
            let torque = self.integral(h, |x| self.radius(x).powi(2) * pressure(x));
            slip = 2e-3 * PI * mu * torque
                / (1.0 - mu * libm::tan(self.alpha))
                / libm::cos(self.alpha);
            release = 2.0 * PI * libm::tan(libm::atan(mu) - self.alpha) * self.radial_load(h);
            let ends =
                self.clearance(lo, h).min(self.clearance(hi, h)) + 0.5 * self.sizes.smoothing;
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

/// Root of `f`, which is positive at `inner` and not at `outer`.
fn bisect(f: impl Fn(f64) -> f64, inner: f64, outer: f64) -> f64 {
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

/// SplitMix64, so that the cases are the same everywhere.
struct Dice(u64);

impl Dice {
    fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    fn one_of(&mut self, choices: &[f64]) -> f64 {
        choices[(self.unit() * choices.len() as f64) as usize]
    }
}

/// A random joint that draws up by a plausible pressure, and a random pairing of it that may miss either way.
fn random_case(dice: &mut Dice) -> (JointSizes, Pairing) {
    let taper = dice.one_of(&[
        3.0,
        24.0 / 7.0,
        5.0,
        8.0,
        10.0,
        12.0,
        16.0,
        20.0,
        30.0,
        50.0,
        100.0,
    ]);
    let tangent = 0.5 / taper;
    let half_angle = libm::atan(tangent);
    let d = dice.between(8.0, 120.0);
    let length = (d * dice.between(0.3, 1.5)).min(0.5 * d * taper);
    let (x1, u1) = (
        dice.between(0.0, 0.2) * d,
        dice.one_of(&[0.0, 0.0, 0.1]) * d,
    );
    let x2 = x1 + length;
    let u2 = u1 + length * dice.one_of(&[0.7, 1.0, 1.3]);
    // Hubs that hang over, stand back, or run level with the ends of the shaft's cone.
    let t = (x1 - u1 + dice.between(-0.15, 0.25) * length).max(0.05 * d);
    let small_radius = 0.5 * d - length * tangent;
    let outside_radius = (0.5 * d + 0.2 * d * tangent) * dice.between(1.15, 3.0);
    let hub_modulus = dice.one_of(&[70e3, 118e3, 210e3]);
    let friction = dice.between(0.04, 0.3);
    let pressure = dice.between(2.0, 60.0);
    let k = {
        let (ro2, r2) = (outside_radius * outside_radius, 0.25 * d * d);
        ((ro2 + r2) / (ro2 - r2) + 0.3) / hub_modulus + 0.8 / 210e3
    };
    let draw_up = pressure * 0.5 * d * k / tangent;
    let bolt_load = PI * d * length * pressure * libm::tan(half_angle + libm::atan(friction));
    let (plane, hub_plane) = (
        x1 + dice.between(0.0, 0.3) * length,
        u1 + dice.between(0.0, 0.3) * length,
    );
    let (bolt, nut_factor) = (0.4 * d, dice.between(0.12, 0.3));
    let mut nominal = [0.0; INPUTS];
    for (input, value) in [
        (Input::MalePlane, plane),
        (Input::MaleDiameter, d),
        (Input::MaleHalfAngle, half_angle),
        (Input::FemalePlane, hub_plane),
        (
            Input::FemaleDiameter,
            d - 2.0 * tangent * (t + draw_up - plane + hub_plane),
        ),
        (Input::FemaleHalfAngle, half_angle),
        (Input::Thickness, t),
        (Input::Friction, friction),
        (
            Input::Torque,
            bolt_load * dice.between(0.3, 2.5) * nut_factor * bolt,
        ),
        (Input::NutFactor, nut_factor),
    ] {
        nominal[input.index()] = value;
    }
    let sizes = JointSizes {
        male_flank: (x1, x2),
        female_flank: (u1, u2),
        outside_radius,
        bore_radius: dice.one_of(&[0.0, 0.0, 0.3, 0.6, 0.85]) * small_radius,
        hub_modulus,
        hub_poisson: dice.one_of(&[0.29, 0.33]),
        shaft_modulus: 210e3,
        shaft_poisson: 0.29,
        spacer: match (dice.unit() * 3.0) as u32 {
            0 => Spacer::Rigid,
            1 => Spacer::Ring(210e3 * 0.5 * d * d),
            _ => Spacer::Stiffness(dice.one_of(&[2e4, 2e5, 5e6])),
        },
        smoothing: dice.one_of(&[0.0, 0.0, 0.004]),
        blue_film: 0.005,
        bolt_diameter: bolt,
        nominal,
    };
    let mut pairing = nominal;
    let miss = draw_up * dice.one_of(&[0.1, 1.0, 1.5]) * dice.between(-1.0, 1.0);
    pairing[Input::MaleDiameter.index()] += 2.0 * tangent * miss;
    pairing[Input::Thickness.index()] += dice.between(-0.03, 0.03);
    let mismatch = dice.one_of(&[0.0, 1e-5, 2e-4, 1e-3, 3e-3]);
    pairing[Input::MaleHalfAngle.index()] += mismatch * dice.between(-1.0, 1.0);
    pairing[Input::FemaleHalfAngle.index()] += mismatch * dice.between(-1.0, 1.0);
    pairing[Input::Torque.index()] *= dice.between(0.8, 1.2);
    (sizes, Pairing(pairing))
}

/// The scale below which an error counts absolutely: 0.01 mm, 1 kN, 1 N·m, 1 MPa, 0.01, 0.01 degrees.
fn scale(output: Output) -> f64 {
    match output.unit() {
        "N" => 1000.0,
        "N*m" | "MPa" => 1.0,
        _ => 0.01,
    }
}

#[test]
fn verified_every_output_agrees_with_fine_quadrature_over_random_pairings() {
    let mut dice = Dice(20_261_125);
    let mut worst = [(0.0_f64, 0_usize); OUTPUTS];
    let mut verdicts = [0_usize; fit::VERDICTS];
    let (mut cases, mut tried) = (0, 0);
    while cases < 12_000 {
        tried += 1;
        assert!(
            tried < 20_000,
            "too few of the random joints are possible: {cases} of {tried}"
        );
        let (sizes, pairing) = random_case(&mut dice);
        let Ok(joint) = Joint::new(sizes) else {
            continue;
        };
        cases += 1;
        let solution = joint.solve(&pairing, &Criteria::default());
        let (expected, verdict) = Reference::new(&sizes, &pairing).solve();
        let story = || format!("case {tried}\n{sizes:#?}\n{pairing:?}\n{expected:?}");
        assert_eq!(solution.verdict, verdict, "{}", story());
        verdicts[verdict.index()] += 1;
        for output in Output::ALL {
            let (got, want) = (solution.get(output), expected[output.index()]);
            assert_eq!(
                got.is_some(),
                want.is_some(),
                "{}: {}",
                output.key(),
                story()
            );
            let (Some(got), Some(want)) = (got, want) else {
                continue;
            };
            let error = (got - want).abs() / want.abs().max(scale(output));
            assert!(
                error <= 1e-6,
                "{}: got {got}, expected {want}, error {error:e}; {}",
                output.key(),
                story()
            );
            if error > worst[output.index()].0 {
                worst[output.index()] = (error, tried);
            }
        }
    }
    for (output, (error, case)) in Output::ALL.into_iter().zip(worst) {
        println!("{:20} {error:9.2e} (case {case})", output.key());
    }
    println!("{tried} tried, {cases} solved; verdicts {verdicts:?}");
    for verdict in [Verdict::GapLeft, Verdict::ConesFree, Verdict::Good] {
        assert!(
            verdicts[verdict.index()] > 300,
            "{} is hardly tried: {verdicts:?}",
            verdict.key()
        );
    }
}

#[test]
fn limits_claim_a_pairing_in_their_stated_order() {
    let mut dice = Dice(3);
    let mut seen = [0_usize; fit::VERDICTS];
    for _ in 0..2_000 {
        let (sizes, pairing) = random_case(&mut dice);
        let Ok(joint) = Joint::new(sizes) else {
            continue;
        };
        let free = joint.solve(&pairing, &Criteria::default());
        let bolt = free.get(Output::BoltLoad).unwrap_or(0.0);
        let side = |output, minimum, value| Side {
            output,
            minimum,
            value,
        };
        let criteria = Criteria::new(vec![
            side(Output::BoreStress, false, 60.0),
            side(Output::ClampLoad, true, 0.1 * bolt),
            side(Output::ContactShare, true, 0.6),
            side(Output::DrawUp, false, 0.5),
            side(Output::SeatLoad, true, 0.2 * bolt),
            side(Output::BoltLoad, false, 5e5),
        ])
        .expect("finite limits");
        let solution = joint.solve(&pairing, &criteria);
        let broken = criteria.verdicts().into_iter().enumerate();
        let broken: Vec<Verdict> = broken
            .filter(|(bit, _)| solution.broken >> bit & 1 == 1)
            .map(|(_, verdict)| verdict)
            .collect();
        let first = broken.iter().copied().min().unwrap_or(Verdict::Good);
        assert_eq!(solution.verdict, first, "{broken:?}");
        assert_eq!(
            broken.contains(&Verdict::GapLeft),
            free.verdict == Verdict::GapLeft
        );
        seen[first.index()] += 1;
    }
    assert!(seen.iter().filter(|&&n| n > 20).count() >= 7, "{seen:?}");
}
