//! What must hold within one answer, and between answers that are the same joint seen otherwise.

use acceptance::joints::with;
use fit::{Input, Joint, Output, Pairing, Solution, Spacer, Verdict};

use crate::random::Case;

/// The three outcomes that need no limit.
const OUTCOMES: u32 = fit::NEVER_SEATS | fit::GAP_LEFT | fit::CONES_FREE;

/// A gap is left.
pub fn is_open(solution: &Solution) -> bool {
    solution.broken & fit::GAP_LEFT != 0
}

fn fails(what: &str, solution: &Solution) -> String {
    format!("{what}: {solution:?}")
}

/// The laws within one answer, but for its limits.
///
/// # Errors
/// The first that is broken.
pub fn within_one(pairing: &Pairing, solution: &Solution, elastic: bool) -> Result<(), String> {
    for output in Output::ALL {
        if solution.get(output).is_some_and(|v| !v.is_finite()) {
            return Err(fails(output.name(), solution));
        }
    }
    let outcomes = solution.broken & OUTCOMES;
    if outcomes.count_ones() > 1 {
        return Err(fails("more than one outcome", solution));
    }
    if solution.verdict == Verdict::NeverSeats {
        return Ok(());
    }
    let get = |output: Output| solution.get(output).unwrap_or(f64::NAN);
    let (bolt, t) = (get(Output::BoltLoad), pairing.get(Input::Thickness));
    let (h, gap) = (get(Output::StandOff), get(Output::Gap));
    let (clamp, seat) = (get(Output::ClampLoad), get(Output::SeatLoad));
    let closing = get(Output::ClosingLoad);
    let (open, free) = (is_open(solution), outcomes == fit::CONES_FREE);
    let loaded = seat > 0.0;
    let near = |a: f64, b: f64, scale: f64| (a - b).abs() <= 1e-9 * scale;
    let laws = [
        (
            "clamp and seat make the bolt load",
            near(clamp + seat, bolt, bolt),
        ),
        ("a gap is left in an open joint only", (gap > 0.0) == open),
        ("an open joint clamps nothing", !open || clamp == 0.0),
        (
            "the gap is stand-off less spacer",
            !open || near(h - t, gap, 1.0),
        ),
        (
            "a closed joint stops at or in the spacer",
            open || h <= t * (1.0 + 1e-15),
        ),
        ("a rigid spacer does not yield", open || elastic || h == t),
        (
            "loads pull and press",
            clamp >= 0.0 && seat >= 0.0 && closing >= 0.0,
        ),
        (
            "more than the bolt is needed to close an open joint",
            !open || closing > bolt,
        ),
        (
            "the bolt has closed a closed joint",
            open || closing <= bolt * (1.0 + 1e-9),
        ),
        ("free cones carry nothing", (free) != (open || loaded)),
        (
            "a share bears exactly under load",
            (get(Output::ContactShare) > 0.0) == loaded,
        ),
        (
            "shares are shares",
            (0.0..=1.0).contains(&get(Output::ContactShare)),
        ),
        (
            "blue share",
            solution
                .get(Output::BlueShare)
                .is_none_or(|b| b > 0.0 && b <= 1.0),
        ),
        (
            "pressures in order",
            get(Output::PressureMax) >= get(Output::PressureMean) * (1.0 - 1e-9),
        ),
        // Tresca: 2 R^2/(R^2 - r^2) is more than 2.
        (
            "bore stress",
            get(Output::BoreStress) >= 2.0 * get(Output::PressureMax) * (1.0 - 1e-9),
        ),
        (
            "mismatch needs interference",
            solution.get(Output::MismatchRatio).is_some() == loaded,
        ),
        // The patch ends inside the overlap exactly when the far end has clearance: rho > 1.
        (
            "a mismatch below one bears all over",
            solution.get(Output::MismatchRatio).is_none_or(|rho| {
                (rho - 1.0).abs() < 1e-9 || (rho < 1.0) == (get(Output::ContactShare) == 1.0)
            }),
        ),
        (
            "only a free hub rocks",
            solution
                .get(Output::RockAngle)
                .is_none_or(|a| a == 0.0 || a > 0.0 && free),
        ),
        (
            "draw-up is touch less spacer",
            solution
                .get(Output::FirstTouch)
                .is_none_or(|h0| near(h0 - t, get(Output::DrawUp), h0.abs().max(t))),
        ),
        (
            "release against push-on",
            near(
                get(Output::ReleaseLoad),
                seat * release_ratio(pairing),
                bolt,
            ),
        ),
    ];
    laws.iter()
        .find(|(_, holds)| !holds)
        .map_or(Ok(()), |(what, _)| Err(fails(what, solution)))
}

/// `tan(phi - a) / tan(phi + a)`, `a` the mean half-angle.
fn release_ratio(pairing: &Pairing) -> f64 {
    let angle = 0.5 * (pairing.get(Input::MaleHalfAngle) + pairing.get(Input::FemaleHalfAngle));
    let phi = libm::atan(pairing.get(Input::Friction));
    libm::tan(phi - angle) / libm::tan(phi + angle)
}

/// By what an output is multiplied when lengths, loads and moduli are.
#[derive(Debug, Clone, Copy)]
pub struct Scale {
    length: f64,
    modulus: f64,
}

impl Scale {
    fn of(&self, output: Output) -> f64 {
        match output.unit() {
            "mm" => self.length,
            "N" => self.length * self.length * self.modulus,
            "N*m" => self.length.powi(3) * self.modulus,
            "MPa" => self.modulus,
            _ => 1.0,
        }
    }
}

/// The same joint twice the size, and of three times the moduli: mechanics knows no unit. The film of blue has one size,
/// so the blue share is left out.
pub fn scaled(case: &Case) -> (Case, Scale) {
    let scale = Scale {
        length: 2.0,
        modulus: 3.0,
    };
    let mut other = case.clone();
    let shape = &mut other.shape;
    for value in [
        &mut shape.male_flank.0,
        &mut shape.male_flank.1,
        &mut shape.female_flank.0,
        &mut shape.female_flank.1,
        &mut shape.outside_radius,
        &mut shape.bore_radius,
        &mut shape.smoothing,
        &mut shape.bolt_diameter,
    ] {
        *value *= scale.length;
    }
    shape.hub.0 *= scale.modulus;
    shape.shaft.0 *= scale.modulus;
    shape.spacer = match shape.spacer {
        Spacer::Rigid => Spacer::Rigid,
        Spacer::Stiffness(k) => Spacer::Stiffness(k * scale.length * scale.modulus),
        Spacer::Ring(ea) => Spacer::Ring(ea * scale.length * scale.length * scale.modulus),
    };
    for pairing in other.pairings.iter_mut().chain([&mut other.nominal]) {
        for input in [
            Input::MalePlane,
            Input::MaleSize,
            Input::FemalePlane,
            Input::FemaleSize,
            Input::Thickness,
        ] {
            pairing.0[input.index()] *= scale.length;
        }
        pairing.0[Input::Torque.index()] *= scale.length.powi(3) * scale.modulus;
    }
    (other, scale)
}

/// Two answers that must agree but for the scale.
///
/// # Errors
/// The first output that does not.
pub fn alike(a: &Solution, b: &Solution, scale: Scale) -> Result<(), String> {
    if a.broken & OUTCOMES != b.broken & OUTCOMES {
        return Err(format!("{a:?} became {b:?}"));
    }
    let bolt = a.get(Output::BoltLoad).unwrap_or(1.0);
    for output in Output::ALL {
        if output == Output::BlueShare {
            continue;
        }
        let (Some(x), Some(y)) = (a.get(output), b.get(output)) else {
            if a.get(output).is_some() != b.get(output).is_some() {
                return Err(format!("{}: {a:?} became {b:?}", output.name()));
            }
            continue;
        };
        // Lengths and loads may cancel; a ratio to a vanishing interference may not be asked for more than that.
        let size = match output.unit() {
            "N" => bolt.max(x.abs()),
            "N*m" => bolt.max(x.abs()),
            _ => x.abs().max(1.0),
        };
        let error = (y / scale.of(output) - x).abs();
        if error > 1e-6 * size {
            return Err(format!("{}: {x} became {y}, {:?}", output.name(), scale));
        }
    }
    Ok(())
}

/// The pairing with a millionth less and a millionth more torque than closes it, if any does.
///
/// The closing torque is what is set on the wrench; a pairing turns its own share of it.
pub fn about_closing(
    joint: &Joint,
    pairing: &Pairing,
    solution: &Solution,
) -> Option<[Pairing; 2]> {
    let get = |output: Output| solution.get(output).unwrap_or(0.0);
    let set = joint.sizes().nominal[Input::Torque.index()];
    let turned = 1e3 * get(Output::ClosingTorque) * pairing.get(Input::Torque) / set;
    let with_torque = |share: f64| with(pairing, &[(Input::Torque, turned * share)]);
    (get(Output::ClosingLoad) > 1e-3 * get(Output::BoltLoad))
        .then(|| [with_torque(1.0 - 1e-6), with_torque(1.0 + 1e-6)])
}

/// The closing torque closes: with a little less a gap is left, with a little more the spacer is pinched.
///
/// # Errors
/// The answer that contradicts.
pub fn closing_torque_closes(less: &Solution, more: &Solution) -> Result<(), String> {
    for (solution, open) in [(less, true), (more, false)] {
        if is_open(solution) != open {
            return Err(fails("about the closing torque", solution));
        }
    }
    Ok(())
}
