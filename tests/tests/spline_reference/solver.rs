//! The solver against the reference: random splines of 4 to 120 teeth.

use fit::{
    BoltSizes, Criteria, Growth, INPUTS, Input, Joint, JointSizes, Output, Pairing, Seat, Solution,
    Spacer, SplineSizes, TANGENT_REACH_RAD, Turn,
};

use crate::Dice;
use crate::reference::{Seated, Spline, ToothErrors};

/// Largest error, as a share of the value or of the scale of its unit.
const ERROR: f64 = 1e-6;

/// Flanks nearer to just touching than this are in rounding: whether they count is not asked (mm).
const DOUBT: f64 = 1e-9;

/// The same spline for the solver.
fn solved(spline: &Spline) -> Solution {
    let mut nominal = [0.0; INPUTS];
    for (input, value) in [
        (Input::MalePlane, spline.male_plane),
        (Input::MaleSize, spline.tooth_thickness),
        (Input::MaleHalfAngle, spline.half_angle),
        (Input::FemalePlane, spline.female_plane),
        (Input::FemaleSize, spline.space_width),
        (Input::Thickness, spline.thickness),
        (Input::Friction, spline.friction),
        (Input::Torque, spline.bolt_load * 0.2 * 16.0),
        (Input::NutFactor, 0.2),
    ] {
        nominal[input.index()] = value;
    }
    let joint = Joint::new(JointSizes {
        seat: Seat::Spline(SplineSizes {
            teeth: spline.teeth.len(),
            stiffness: spline.flank_stiffness,
            length: spline.engaged,
        }),
        spacer: spline.spacer.map_or(Spacer::Rigid, Spacer::Stiffness),
        bolt: BoltSizes {
            turn: Turn::by_nut_factor(16.0),
            stress: None,
            stiffness: None,
        },
        face_radius: None,
        runout_radius: None,
        growth: Growth::NONE,
        settles: false,
        service: None,
        angle_reach: TANGENT_REACH_RAD,
        nominal,
    })
    .expect("a possible joint");
    let flanks = |tooth: &ToothErrors| {
        let index = tooth.male_index + tooth.female_index;
        (
            tooth.male_profile.0 + tooth.female_profile.0 + index,
            tooth.male_profile.1 + tooth.female_profile.1 - index,
        )
    };
    let errors = fit::ToothErrors(spline.teeth.iter().map(flanks).collect());
    joint.solve_with(&Pairing(nominal), &errors, &Criteria::default())
}

/// A random spline: 4 to 120 teeth, flank half-angles from 0.5 to 15 degrees, errors from none to more than the
/// draw-up, joints that leave a gap, close or stay free.
fn random(dice: &mut Dice) -> Spline {
    let n = 4 + (dice.unit() * 117.0) as usize;
    let half_angle = f64::to_radians(0.5 * libm::pow(30.0, dice.unit()));
    let (sine, cosine) = (libm::sin(half_angle), libm::cos(half_angle));
    let (width, friction) = (2.0 + 6.0 * dice.unit(), 0.04 + 0.26 * dice.unit());
    let press = 0.02 * dice.unit();
    let draw_up = press / sine;
    let (stiffness, engaged) = (14_000.0, 8.0 + 40.0 * dice.unit());
    let (male_plane, female_plane) = (4.0 * dice.unit(), 4.0 * dice.unit());
    let thickness = 3.0 + 5.0 * dice.unit();
    let perfect = thickness + draw_up * (1.3 - 1.7 * dice.unit());
    let slack = 2.0 * libm::tan(half_angle) * (perfect - male_plane + female_plane);
    let kind = dice.unit();
    let sd = if kind < 0.1 { 0.0 } else { 0.02 * kind * kind };
    let mut draw = |share: f64| share * sd * dice.normal();
    let teeth = (0..n)
        .map(|_| ToothErrors {
            male_profile: (draw(0.5), draw(0.5)),
            female_profile: (draw(0.5), draw(0.5)),
            male_index: draw(1.0),
            female_index: draw(0.7),
        })
        .collect();
    let full = 2.0 * n as f64 * stiffness * engaged * press * (sine + friction * cosine);
    let bolt_load = full * libm::pow(10.0, 1.3 - 2.0 * dice.unit());
    Spline {
        tooth_thickness: width + slack,
        space_width: width,
        male_plane,
        female_plane,
        half_angle,
        friction,
        flank_stiffness: stiffness,
        engaged,
        teeth,
        bolt_load,
        thickness,
        spacer: (dice.unit() < 0.5).then(|| libm::pow(10.0, 4.5 + 2.0 * dice.unit())),
    }
}

#[test]
fn verified_every_output_agrees_with_plain_sums_over_random_splines() {
    let mut dice = Dice(20_261_126);
    let (mut open, mut partial, mut free, mut doubtful) = (0, 0, 0, 0);
    let mut worst = 0.0_f64;
    for case in 0..1_200 {
        let spline = random(&mut dice);
        let want: Seated = spline.solve();
        let got = solved(&spline);
        let mut compare = |output: Output, want: f64, floor: f64| {
            let value = got.get(output).expect("present");
            let off = (value - want).abs() / want.abs().max(floor);
            worst = worst.max(off);
            assert!(
                off <= ERROR,
                "case {case}, {}: got {value}, expected {want}\n{spline:?}\n{want:?}",
                output.key()
            );
        };
        for (output, value, floor) in [
            (Output::BoltLoad, spline.bolt_load, 1e3),
            (Output::FirstTouch, want.first_touch, 0.01),
            (Output::DrawUp, want.draw_up, 0.01),
            (Output::ClosingLoad, want.closing_load, 1e3),
            (Output::StandOff, want.stand_off, 0.01),
            (Output::Gap, want.gap, 0.01),
            (Output::ClampLoad, want.clamp_load, 1e3),
            (Output::SeatLoad, want.seat_load, 1e3),
            (Output::ReleaseLoad, want.release_load, 1e3),
        ] {
            compare(output, value, floor);
        }
        if want.doubt > DOUBT && want.seat_load > 0.0 {
            compare(Output::TeethInContact, want.teeth_in_contact as f64, 1.0);
            compare(Output::ContactShare, want.contact_share, 0.01);
        } else {
            doubtful += 1;
        }
        match want.most_loaded_share {
            Some(share) if want.seat_load > 1e-3 * spline.bolt_load => {
                compare(Output::ToothLoadShare, share, 0.01);
            }
            Some(_) => {}
            None => assert_eq!(got.get(Output::ToothLoadShare), None, "case {case}"),
        }
        // Bisection leaves a rounding error of load on a hub that is free.
        let seated = want.seat_load > 1e-12 * spline.bolt_load;
        let verdict = match (want.gap > 0.0, seated) {
            (true, _) => fit::Verdict::GapLeft,
            (false, true) => fit::Verdict::Good,
            (false, false) => fit::Verdict::ConesFree,
        };
        assert_eq!(got.verdict, verdict, "case {case}: {want:?}");
        open += usize::from(want.gap > 0.0);
        partial += usize::from(want.contact_share < 1.0 && want.contact_share > 0.0);
        free += usize::from(!seated);
    }
    println!(
        "worst {worst:e}; {open} open, {partial} in partial contact, {free} free, {doubtful} with a doubtful flank"
    );
    assert!(open > 200 && partial > 300 && free > 20 && doubtful < 300);
}
