//! What every answer must do when one input or one size grows: laws of order, each with its proof.
//!
//! Write `c(x; h)` for the clearance, `F(h)` for the load on the cones, `N(h)` for the load on the spacer. The hub comes
//! from outside and stops at the first `h` where `F + N` reaches `B` (rigid spacer: at the first `h > t` where `F`
//! reaches `B`, else at `t`). Three facts carry every proof.
//!
//! 1. *First crossing.* `F + N` is continuous and starts below `B`. If it grows for every `h`, or `B` falls, the first
//!    crossing moves outward or stays. Nothing is said of `F` falling with `h`.
//! 2. *Clamp.* `N = k_c max(0, t - h)` falls with `h`; with a rigid spacer `N = B - F(t)`, or 0 when a gap is left.
//! 3. *Touch.* `h0` is the largest `h` at which the smallest clearance is 0; if `c` falls for every `x` and `h`, `h0` moves
//!    outward. The closing load is the largest `F(h)` from `t` outward, as the hub has to come through all of them.
//!
//! Where a proof needs that `F` falls with `h` (written "F falls"), [`falls`] checks a sufficient condition first:
//! `dA/dh <= -tan a_f int_P W + d(hi) W(hi)` with `A` the radial load, `W = 1/K`, `P` the patch, `d <= s tan a_f` the
//! interference, `s = h0 - h`. Either `P` is the whole overlap, of length `L0 - s` at least, or it ends inside and has the
//! length `d(hi)/|k|`. With `w` the largest `W` over the smallest, both are negative if `s (1 + w) < L0` and `|k| w < tan a_f`.

use acceptance::joints::cone;
use fit::{Input, Joint, Output, Pairing, RingParts, Solution, Spacer, Verdict};

use crate::random::Case;
use acceptance::joints::with;

/// What an output does when the input grows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Turn {
    /// It does not change.
    Same,
    /// It does not fall.
    Up,
    /// It does not rise.
    Down,
    /// It does not fall where `F` falls with `h`.
    UpIfFalls,
}
use Turn::{Down, Same, Up, UpIfFalls};

impl Turn {
    fn holds(self, before: f64, after: f64, tolerance: f64) -> bool {
        let rise = after - before;
        match self {
            Same => rise.abs() <= tolerance,
            Up | UpIfFalls => rise >= -tolerance,
            Down => rise <= tolerance,
        }
    }
}

/// What a growing input does to the answer.
#[derive(Debug, Clone, Copy)]
pub struct Law {
    /// What grows.
    pub what: &'static str,
    /// First touch; a hub that passes the cone touches nowhere, one that never seats infinitely far out.
    pub touch: Turn,
    /// Closing load.
    pub closing: Turn,
    /// Stand-off.
    pub stand_off: Turn,
    /// Gap left.
    pub gap: Turn,
    /// Clamp load.
    pub clamp: Turn,
    /// Seat load where it is not the bolt load less the clamp load of an unchanged bolt.
    pub seat: Option<Turn>,
}

/// More torque, or a smaller nut factor. `F` and `N` as functions of `h` stay, `B` grows: the first crossing moves inward,
/// `N` grows (rigid: `N = B - F(t)`). The seat load grows with an open gap (`F = B`), stays under a rigid spacer, and grows
/// under an elastic one where F falls.
const BOLT: Law = Law {
    what: "bolt load",
    touch: Same,
    closing: Same,
    stand_off: Down,
    gap: Down,
    clamp: Up,
    seat: Some(UpIfFalls),
};

/// A larger shaft diameter, or its gauge plane further out: `c` falls everywhere by the same amount, so the touch moves out
/// and `F` grows for every `h`. The wider bore and the hub's plane further in (`a_f` larger) do the reverse.
const TIGHTER: Law = Law {
    what: "tightness",
    touch: Up,
    closing: Up,
    stand_off: Up,
    gap: Up,
    clamp: Down,
    seat: None,
};

/// More friction on the cone, a stiffer hub or shaft: `F` grows for every `h` by `tan(alpha + phi)` or `1/K`, the touch
/// stays. A thicker hub makes `K` smaller, a larger bore of the shaft makes it larger; more smoothing takes the same off
/// `d` everywhere and leaves the touch, which is without force.
const STIFFER: Law = Law {
    touch: Same,
    what: "stiffness of the cone",
    ..TIGHTER
};

/// A thicker spacer: `N` grows for every `h` (constant `k_c`: by `k_c dt`; ring: `E A (1 - h/t)` grows with `t`), so the hub
/// stops further out or where it did. An open joint has the same `h`, so its gap shrinks; a closed one cannot open, as the
/// largest `F` from the larger `t` outward is no larger. The clamp load `B - F(h)` grows where F falls.
const THICKER: Law = Law {
    what: "thickness of the spacer",
    touch: Same,
    closing: Down,
    stand_off: Up,
    gap: Down,
    clamp: UpIfFalls,
    seat: None,
};

/// A stiffer spacer: `N` grows for every `h < t`; an open joint does not see it. The clamp load grows where F falls.
const HARDER: Law = Law {
    what: "stiffness of the spacer",
    touch: Same,
    closing: Same,
    stand_off: Up,
    gap: Same,
    clamp: UpIfFalls,
    seat: None,
};

/// Which way the input works: with the law when it grows, or against it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sense {
    /// More of it is more of what the law names.
    With,
    /// More of it is less of what the law names.
    Against,
}
use Sense::{Against, With};

/// The laws for one input of the pairing each, growing.
pub fn input_laws() -> [(Input, Law, Sense); 8] {
    [
        (Input::Torque, BOLT, With),
        (Input::MaleSize, TIGHTER, With),
        (Input::MalePlane, TIGHTER, With),
        (Input::FemaleSize, TIGHTER, Against),
        (Input::FemalePlane, TIGHTER, Against),
        (Input::Friction, STIFFER, With),
        (Input::Thickness, THICKER, With),
        (Input::NutFactor, BOLT, Against),
    ]
}

/// The laws for one size of the joint each, growing.
pub fn size_laws(case: &Case) -> Vec<(Case, Law, Sense)> {
    let changed = |what, change: &dyn Fn(&mut Case), law: Law, sense: Sense| {
        let mut other = case.clone();
        change(&mut other);
        (other, Law { what, ..law }, sense)
    };
    let mut laws = vec![
        changed(
            "modulus of the hub",
            &|c| c.shape.hub.0 *= 1.1,
            STIFFER,
            With,
        ),
        changed(
            "modulus of the shaft",
            &|c| c.shape.shaft.0 *= 1.1,
            STIFFER,
            With,
        ),
        changed(
            "outside radius of the hub",
            &|c| c.shape.outside_radius *= 1.05,
            STIFFER,
            With,
        ),
        changed(
            "wall of the hollow shaft",
            &|c| c.shape.bore_radius *= 0.9,
            STIFFER,
            With,
        ),
        changed(
            "smoothing",
            &|c| c.shape.smoothing += 0.002,
            STIFFER,
            Against,
        ),
    ];
    match case.shape.spacer {
        Spacer::Rigid => {}
        Spacer::Stiffness(k) => {
            laws.push(changed(
                "stiffness of the spacer",
                &|c| c.shape.spacer = Spacer::Stiffness(1.2 * k),
                HARDER,
                With,
            ));
            laws.push(changed(
                "a spacer made rigid",
                &|c| c.shape.spacer = Spacer::Rigid,
                HARDER,
                With,
            ));
        }
        Spacer::Ring(k) => {
            laws.push(changed(
                "stiffness of the ring",
                &|c| c.shape.spacer = Spacer::Ring(1.2 * k),
                HARDER,
                With,
            ));
            laws.push(changed(
                "a spacer made rigid",
                &|c| c.shape.spacer = Spacer::Rigid,
                HARDER,
                With,
            ));
        }
    }
    laws
}

/// The pairing with one input grown: a fifth more torque or nut factor, a tenth more friction, micrometres to tenths of a
/// millimetre for lengths and diameters.
pub fn grown(pairing: &Pairing, input: Input, length: f64) -> Pairing {
    let value = pairing.get(input);
    let more = match input {
        Input::Torque | Input::NutFactor => 1.2 * value,
        Input::Friction => 1.1 * value,
        _ => value + length,
    };
    with(pairing, &[(input, more)])
}

/// The place of first touch with its two ways to miss at either end.
pub fn place(solution: &Solution) -> f64 {
    match (solution.verdict, solution.get(Output::FirstTouch)) {
        (Verdict::NeverSeats, _) => f64::INFINITY,
        (_, Some(touch)) => touch,
        (_, None) => f64::NEG_INFINITY,
    }
}

/// `F` certainly falls with `h` from `deepest` outward: the sufficient condition above.
fn falls(joint: &Joint, pairing: &Pairing, solution: &Solution, deepest: f64) -> bool {
    let Some(touch) = solution.get(Output::FirstTouch) else {
        return true;
    };
    let sizes = joint.sizes();
    let (x, u) = (cone(sizes).male_flank, cone(sizes).female_flank);
    let overlap = x.1.min(touch + u.1) - x.0.max(touch + u.0);
    let parts: RingParts = *joint.cone().expect("a cone").ring_parts();
    let radii = (0..=40).map(|i| parts.radius(x.0 + (x.1 - x.0) * f64::from(i) / 40.0));
    let compliances: Vec<f64> = radii.map(|r| parts.compliance(r)).collect();
    let largest = compliances.iter().copied().fold(0.0, f64::max);
    let least = compliances.iter().copied().fold(f64::INFINITY, f64::min);
    let spread = 1.02 * largest / least;
    let (male, female) = (
        libm::tan(pairing.get(Input::MaleHalfAngle)),
        libm::tan(pairing.get(Input::FemaleHalfAngle)),
    );
    (touch - deepest) * (1.0 + spread) < overlap && (male - female).abs() * spread < female
}

/// A joint, one pairing of it, and what became of it.
pub type Solved<'a> = (&'a Joint, &'a Pairing, &'a Solution);

/// What the law says of two answers, the second with the input grown; counts the outputs that were compared because
/// `F` falls.
///
/// # Errors
/// The first output that breaks the law.
pub fn check(law: &Law, sense: Sense, before: Solved, after: Solved) -> Result<usize, String> {
    let (before, after) = match sense {
        With => (before, after),
        Against => (after, before),
    };
    let (a, b) = (before.2, after.2);
    let wrong = |what: &str, turn: Turn, a: f64, b: f64| {
        format!(
            "{} grows: {what} {a} -> {b}, but it goes {turn:?}",
            law.what
        )
    };
    let (from, to) = (place(a), place(b));
    let still = from == to || (from - to).abs() <= 1e-9;
    if !(still || (law.touch == Up && to > from) || (law.touch == Down && to < from)) {
        return Err(wrong("first touch", law.touch, from, to));
    }
    let value = |s: &Solution, output: Output| s.get(output).unwrap_or(f64::NAN);
    if a.verdict == Verdict::NeverSeats || b.verdict == Verdict::NeverSeats {
        return Ok(0);
    }
    let scale = value(a, Output::BoltLoad).max(value(b, Output::BoltLoad));
    let deepest = value(a, Output::StandOff).min(value(b, Output::StandOff));
    let ordered = [before, after]
        .iter()
        .all(|(joint, pairing, solution)| falls(joint, pairing, solution, deepest));
    let rows = [
        (
            Output::ClosingLoad,
            law.closing,
            scale.max(value(a, Output::ClosingLoad)),
        ),
        (Output::StandOff, law.stand_off, 1.0),
        (Output::Gap, law.gap, 1.0),
        (Output::ClampLoad, law.clamp, scale),
        (Output::SeatLoad, law.seat.unwrap_or(UpIfFalls), scale),
    ];
    let mut conditional = 0;
    for (output, turn, scale) in rows {
        if output == Output::SeatLoad && law.seat.is_none() || turn == UpIfFalls && !ordered {
            continue;
        }
        let (x, y) = (value(a, output), value(b, output));
        if !turn.holds(x, y, 1e-7 * scale) {
            return Err(wrong(output.name(), turn, x, y));
        }
        conditional += usize::from(turn == UpIfFalls);
    }
    Ok(conditional)
}
