//! Reference for settling: the model's formulas, word for word, with the loads of the fine quadrature.
//!
//! Settling `f_s` at the faces of the spacer and `f_b` at head and thread, bolt stiffness `k_b`:
//!
//! ```text
//! B' = max(0, B - k_b (f_s + f_b))
//! rigid spacer     h' = min(h, t - f_s),  N' = max(0, B' - F(h'))
//! elastic spacer   F(h') + N'(h') = B' with t - f_s in place of t
//! gap left         h' = h, N' = 0, B' = max(0, B - k_b f_b): there are no faces to settle
//! ```
//!
//! `F` stays on its sliding-on branch, so `N'` is a lower bound. A ring's stiffness is that of the settled thickness,
//! `E A / (t - f_s)`.

use fit::{Input, JointSizes, Pairing, Spacer, Verdict};

use crate::reference::Reference;

/// What settles, and how stiff the bolt is.
#[derive(Debug, Clone, Copy)]
pub struct Settling {
    /// At the faces of the spacer `f_s` (mm).
    pub spacer: f64,
    /// At head and thread `f_b` (mm).
    pub bolt: f64,
    /// Axial stiffness of the bolt `k_b` (N/mm).
    pub stiffness: f64,
}

/// The joint after settling.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Settled {
    /// Bolt load (N).
    pub bolt_load: f64,
    /// Stand-off (mm).
    pub stand_off: f64,
    /// Clamp load, a lower bound (N).
    pub clamp_load: f64,
}

/// The pairing after settling; none when the hub never seats.
pub fn settle(sizes: &JointSizes, pairing: &Pairing, settling: &Settling) -> Option<Settled> {
    let reference = Reference::new(sizes, pairing);
    let before = reference.at_rest().ok()?;
    let t = pairing.get(Input::Thickness);
    let lost = |by: f64| (before.bolt_load - settling.stiffness * by).max(0.0);
    if before.open {
        return Some(Settled {
            bolt_load: lost(settling.bolt),
            stand_off: before.stand_off,
            clamp_load: 0.0,
        });
    }
    let bolt_load = lost(settling.spacer + settling.bolt);
    if sizes.spacer == Spacer::Rigid {
        let stand_off = before.stand_off.min(t - settling.spacer);
        return Some(Settled {
            bolt_load,
            stand_off,
            clamp_load: (bolt_load - reference.seat_load(stand_off)).max(0.0),
        });
    }
    let mut after = *pairing;
    after.0[Input::Thickness.index()] = t - settling.spacer;
    after.0[Input::Torque.index()] *= bolt_load / before.bolt_load;
    match Reference::new(sizes, &after).at_rest() {
        Ok(rest) => Some(Settled {
            bolt_load,
            stand_off: rest.stand_off,
            clamp_load: rest.clamp_load,
        }),
        Err(Verdict::NeverSeats) => None,
        Err(other) => panic!("a place of rest is there unless {other:?}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sample::{THICKNESS, close, rate, straight};

    const SETTLING: Settling = Settling {
        spacer: 0.004,
        bolt: 0.006,
        stiffness: 2e5,
    };

    fn settled(spacer: Spacer, draw_up: f64, bolt: f64, settling: &Settling) -> Settled {
        let (sizes, pairing) = straight(spacer, draw_up, bolt);
        settle(&sizes, &pairing, settling).expect("it seats")
    }

    #[test]
    fn verified_a_rigid_spacer_follows_its_faces_in_and_the_cones_take_more() {
        // Closed form: B' = B - 2000 N, h' = t - 0.004, N' = B' - rate (draw-up + 0.004).
        let bolt = 0.5 * rate();
        let got = settled(Spacer::Rigid, 0.3, bolt, &SETTLING);
        close("bolt", got.bolt_load, bolt - 2_000.0, 1e-12);
        close("stand-off", got.stand_off, THICKNESS - 0.004, 1e-14);
        let clamp = bolt - 2_000.0 - 0.304 * rate();
        close("clamp", got.clamp_load, clamp, 1e-9);
        // What is left of the bolt is less than the cones take on their way in: no clamp load is certain.
        let weak = settled(Spacer::Rigid, 0.3, 0.301 * rate(), &SETTLING);
        assert_eq!(weak.clamp_load, 0.0);
        // Nor is a bolt ever pushed.
        let soft = Settling {
            stiffness: 1e9,
            ..SETTLING
        };
        assert_eq!(settled(Spacer::Rigid, 0.3, bolt, &soft).bolt_load, 0.0);
    }

    #[test]
    fn verified_an_elastic_spacer_gives_the_settling_back_in_part() {
        // Closed form: rate (t + draw-up - h') + k_c (t - 0.004 - h') = B - 2000 N, linear in h'.
        let (spring, bolt) = (4e5, 0.6 * rate());
        let got = settled(Spacer::Stiffness(spring), 0.3, bolt, &SETTLING);
        let inward = (bolt - 2_000.0 - 0.3 * rate() + 0.004 * spring) / (rate() + spring);
        close("stand-off", got.stand_off, THICKNESS - inward, 1e-12);
        close("clamp", got.clamp_load, spring * (inward - 0.004), 1e-8);
    }

    #[test]
    fn verified_an_open_joint_keeps_its_gap_and_loses_bolt_load_at_head_and_thread_only() {
        for spacer in [Spacer::Rigid, Spacer::Stiffness(4e5)] {
            let got = settled(spacer, 0.3, 0.2 * rate(), &SETTLING);
            close("gap", got.stand_off - THICKNESS, 0.1, 1e-9);
            close("bolt", got.bolt_load, 0.2 * rate() - 1_200.0, 1e-12);
            assert_eq!(got.clamp_load, 0.0);
        }
    }

    #[test]
    fn nothing_settles_when_nothing_settles() {
        let none = Settling {
            spacer: 0.0,
            bolt: 0.0,
            stiffness: 2e5,
        };
        for spacer in [Spacer::Rigid, Spacer::Stiffness(4e5), Spacer::Ring(8e7)] {
            for (draw_up, bolt) in [(0.3, 0.5), (0.3, 0.1), (-0.2, 0.4)] {
                let (sizes, pairing) = straight(spacer, draw_up, bolt * rate());
                let before = Reference::new(&sizes, &pairing).at_rest().expect("seats");
                let after = settle(&sizes, &pairing, &none).expect("seats");
                close("stand-off", after.stand_off, before.stand_off, 1e-13);
                close("clamp", after.clamp_load, before.clamp_load, 1e-9);
                close("bolt", after.bolt_load, before.bolt_load, 1e-13);
            }
        }
    }
}
