//! The solver's later states against their references: settling, service, and assembly at other temperatures.

use acceptance::joints::cone;
use fit::{Criteria, Growth, Input, Joint, JointSizes, Output, Pairing, Service, Spacer};

use crate::reference::Reference;
use crate::service::{BoltSpan, Strains, in_service};
use crate::settle::{Settling, settle};
use crate::temperature::{Warmth, warmed};
use crate::{Dice, random_case, scale};

/// Largest error of scale.
const ERROR: f64 = 1e-6;

/// Error of `got` as a share of `want`, or of the scale below which an error counts absolutely.
fn error(output: Output, got: Option<f64>, want: f64, floor: f64) -> f64 {
    let got = got.unwrap_or_else(|| panic!("{} is absent", output.key()));
    (got - want).abs() / want.abs().max(scale(output)).max(floor)
}

#[test]
fn verified_loads_after_settling_agree_with_the_reference_over_random_joints() {
    let mut dice = Dice(31);
    let (mut cases, mut held, mut lost, mut worst) = (0, 0, 0, 0.0_f64);
    while cases < 3_000 {
        let (mut sizes, mut pairing) = random_case(&mut dice);
        let Ok(plain) = Joint::new(sizes) else {
            continue;
        };
        let bolt_load = plain.solve(&pairing, &Criteria::default());
        let Some(load) = bolt_load.get(Output::BoltLoad) else {
            continue;
        };
        let settling = Settling {
            spacer: 1e-3 * dice.one_of(&[0.0, 1.0, 4.0, 10.0]),
            bolt: 1e-3 * dice.one_of(&[0.0, 3.0, 8.0]),
            // A bolt that stretches 0.02 to 0.4 mm under its load.
            stiffness: load / dice.between(0.02, 0.4),
        };
        sizes.bolt.stiffness = Some(settling.stiffness);
        sizes.settles = true;
        pairing.0[Input::FaceSettling.index()] = settling.spacer;
        pairing.0[Input::BoltSettling.index()] = settling.bolt;
        let Some(want) = settle(&sizes, &pairing, &settling) else {
            continue;
        };
        cases += 1;
        let joint = Joint::new(sizes).expect("as before");
        let got = joint.solve(&pairing, &Criteria::default());
        for (output, value) in [
            (Output::SettledBoltLoad, want.bolt_load),
            (Output::SettledClampLoad, want.clamp_load),
        ] {
            let off = error(output, got.get(output), value, 0.0);
            worst = worst.max(off);
            assert!(
                off <= ERROR,
                "{}: got {:?}, expected {value}\n{sizes:#?}\n{pairing:?}\n{settling:?}",
                output.key(),
                got.get(output)
            );
        }
        held += u32::from(want.clamp_load > 0.0);
        lost += u32::from(want.clamp_load == 0.0);
    }
    println!("settling: worst {worst:e}, {held} held, {lost} without clamp load");
    assert!(held > 300 && lost > 300, "{held} held, {lost} lost");
}

/// Random strains of service, and where the bolt holds.
fn random_service(dice: &mut Dice, sizes: &JointSizes) -> (Strains, BoltSpan) {
    let mut strain = || 1e-3 * dice.between(-1.0, 1.5);
    let strains = Strains {
        shaft: strain(),
        hub: strain(),
        spacer: strain(),
        bolt: strain(),
    };
    let bolt = BoltSpan {
        stiffness: dice.between(5e4, 1e6),
        hub_length: cone(sizes).female_flank.1 + dice.between(0.0, 10.0),
        first_thread: cone(sizes).male_flank.1 - dice.between(0.0, 20.0),
    };
    (strains, bolt)
}

#[test]
fn verified_loads_in_service_agree_with_the_reference_over_random_joints() {
    let mut dice = Dice(32);
    let (mut cases, mut ways, mut worst) = (0, [0_u32; 3], 0.0_f64);
    while cases < 2_000 {
        let (mut sizes, pairing) = random_case(&mut dice);
        if sizes.spacer == Spacer::Rigid || Joint::new(sizes).is_err() {
            continue;
        }
        let (strains, bolt) = random_service(&mut dice, &sizes);
        let Some(want) = in_service(&sizes, &pairing, strains, bolt) else {
            continue;
        };
        cases += 1;
        sizes.bolt.stiffness = Some(bolt.stiffness);
        sizes.service = Some(Service {
            shaft: strains.shaft,
            hub: strains.hub,
            spacer: strains.spacer,
            bolt: strains.bolt,
            head_at: bolt.hub_length,
            thread_at: bolt.first_thread,
        });
        let joint = Joint::new(sizes).expect("as before");
        let got = joint.solve(&pairing, &Criteria::default());
        // Three loads in balance: an error of one counts against the largest.
        let floor = want.bolt_load.max(want.clamp_load);
        for (output, value) in [
            (Output::ServiceBoltLoad, want.bolt_load),
            (Output::ServiceClampLoad, want.clamp_load),
            (Output::ServiceSeatLoad, want.reaction),
            (Output::ServiceSlipTorque, want.slip_torque),
        ] {
            let floor = if output.unit() == "N" { floor } else { 0.0 };
            let off = error(output, got.get(output), value, floor);
            worst = worst.max(off);
            assert!(
                off <= ERROR,
                "{}: got {:?}, expected {value}\n{sizes:#?}\n{pairing:?}\n{want:?}",
                output.key(),
                got.get(output)
            );
        }
        ways[want.slide as usize] += 1;
    }
    println!("service: worst {worst:e}; locked, in, out {ways:?}");
    assert!(ways.iter().all(|&n| n > 50), "locked, in, out: {ways:?}");
}

/// A joint assembled at other temperatures, and the same joint with the sizes that it has there.
fn assembled(dice: &mut Dice) -> Option<(JointSizes, Pairing, JointSizes, Pairing)> {
    let (mut sizes, pairing) = random_case(dice);
    let mut warmth = || Warmth {
        expansion: 1e-6 * dice.between(8.0, 25.0),
        celsius: dice.between(-40.0, 160.0),
    };
    let (shaft, hub, spacer) = (warmth(), warmth(), warmth());
    let (grown, grown_pairing) = warmed(&sizes, &pairing, shaft, hub, spacer);
    let factor = |w: &Warmth| 1.0 + w.expansion * (w.celsius - 20.0);
    sizes.growth = Growth {
        shaft: factor(&shaft),
        hub: factor(&hub),
        spacer: factor(&spacer),
    };
    Joint::new(sizes).ok()?;
    Some((sizes, pairing, grown, grown_pairing))
}

#[test]
fn verified_assembly_at_other_temperatures_is_assembly_of_the_grown_parts() {
    let mut dice = Dice(33);
    let mut cases = 0;
    while cases < 600 {
        let Some((sizes, pairing, grown, grown_pairing)) = assembled(&mut dice) else {
            continue;
        };
        cases += 1;
        let joint = Joint::new(sizes).expect("as before");
        let got = joint.solve(&pairing, &Criteria::default());
        let (expected, verdict) = Reference::new(&grown, &grown_pairing).solve();
        assert_eq!(got.verdict, verdict, "{sizes:#?}\n{pairing:?}");
        for output in Output::ALL {
            let Some(want) = expected[output.index()] else {
                continue;
            };
            let off = error(output, got.get(output), want, 0.0);
            assert!(
                off <= ERROR,
                "{}: got {:?}, expected {want}\n{sizes:#?}\n{pairing:?}",
                output.key(),
                got.get(output)
            );
        }
    }
}
