//! The solver against an independent reference: exact rings, fine quadrature, scans and bisection.
//!
//! Nothing here is shared with the solver but the inputs and the names of the outputs. The reference is
//! slow and plain on purpose: `libm::tan`, `K(r)` at every point, composite Gauss-Legendre of 20 panels with
//! four points on the exact patch, a scan with a bisection for every root, and a scan with a golden-section
//! finish for every maximum.

mod reference;
mod sample;
mod service;
mod settle;
mod states;
mod temperature;

use std::f64::consts::PI;

use acceptance::joints::cone;
use fit::{
    ConeSizes, Criteria, INPUTS, Input, Joint, JointSizes, OUTPUTS, Output, Pairing, Side, Spacer,
    Verdict,
};
use reference::Reference;
use service::{BoltSpan, Slide, Strains, in_service};

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
        (Input::MaleSize, d),
        (Input::MaleHalfAngle, half_angle),
        (Input::FemalePlane, hub_plane),
        (
            Input::FemaleSize,
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
    let sizes = JointSizes::plain_cone(
        ConeSizes {
            male_flank: (x1, x2),
            female_flank: (u1, u2),
            outside_radius,
            bore_radius: dice.one_of(&[0.0, 0.0, 0.3, 0.6, 0.85]) * small_radius,
            hub_modulus,
            hub_poisson: dice.one_of(&[0.29, 0.33]),
            shaft_modulus: 210e3,
            shaft_poisson: 0.29,
            smoothing: dice.one_of(&[0.0, 0.0, 0.004]),
            blue_film: 0.005,
        },
        match (dice.unit() * 3.0) as u32 {
            0 => Spacer::Rigid,
            1 => Spacer::Ring(210e3 * 0.5 * d * d),
            _ => Spacer::Stiffness(dice.one_of(&[2e4, 2e5, 5e6])),
        },
        bolt,
        nominal,
    );
    let mut pairing = nominal;
    let miss = draw_up * dice.one_of(&[0.1, 1.0, 1.5]) * dice.between(-1.0, 1.0);
    pairing[Input::MaleSize.index()] += 2.0 * tangent * miss;
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

#[test]
fn the_service_reference_holds_every_reaction_within_its_bounds() {
    // The model's own conditions over random joints and strains: the reaction lies within the bounds of the new
    // pressure, a hub that slid lies on one, and all three ways are met.
    let mut dice = Dice(11);
    let mut ways = [0_usize; 3];
    for case in 0..1_200 {
        let (sizes, pairing) = random_case(&mut dice);
        let mut strain = || 1e-3 * dice.between(-1.0, 1.5);
        let strains = Strains {
            shaft: strain(),
            hub: strain(),
            spacer: strain(),
            bolt: strain(),
        };
        let bolt = BoltSpan {
            stiffness: dice.between(5e4, 1e6),
            hub_length: cone(&sizes).female_flank.1 + dice.between(0.0, 10.0),
            first_thread: cone(&sizes).male_flank.1 - dice.between(0.0, 20.0),
        };
        let Some(got) = in_service(&sizes, &pairing, strains, bolt) else {
            continue;
        };
        let reference = Reference::new(&sizes, &pairing);
        let scale = 1e-7 * got.bolt_load.max(got.clamp_load).max(1.0);
        let push_on = reference.push_on() * got.radial_load;
        let release = -reference.release() * got.radial_load;
        assert!(
            got.reaction <= push_on + scale && got.reaction >= release - scale,
            "case {case}: {got:?}, bounds {release} to {push_on}"
        );
        let bound = match got.slide {
            Slide::Locked => got.reaction,
            Slide::In => push_on,
            Slide::Out => release,
        };
        assert!(
            (got.reaction - bound).abs() <= scale,
            "case {case}: {got:?}"
        );
        assert!((got.bolt_load - got.clamp_load - got.reaction).abs() <= scale);
        ways[got.slide as usize] += 1;
    }
    assert!(ways.iter().all(|&n| n > 50), "locked, in, out: {ways:?}");
}
