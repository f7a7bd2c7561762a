//! Reference for the assembly temperature: every length of a part scales, angles stay, and the solver of the
//! scaled joint does the rest.
//!
//! A part of expansion `a` at the temperature `T` has its lengths of 20 degrees Celsius times `1 + a (T - 20)`
//! (reference temperature: ISO 1). What belongs to no single part stays as stated: the smoothing allowance, the blue
//! film, the bolt and its torque, a spacer's stated stiffness. The stiffness of a plain ring, `E A / t`, scales by
//! its lengths.

use acceptance::joints::cone;
use fit::{Input, JointSizes, Pairing, Seat, Spacer};

/// One part's expansion (1/K) and temperature (degrees Celsius).
#[derive(Debug, Clone, Copy)]
pub struct Warmth {
    /// Coefficient of expansion.
    pub expansion: f64,
    /// Temperature.
    pub celsius: f64,
}

impl Warmth {
    /// By what every length of the part is multiplied.
    fn factor(&self) -> f64 {
        1.0 + self.expansion * (self.celsius - 20.0)
    }
}

/// The joint and the pairing as they are at the assembly's temperatures.
pub fn warmed(
    sizes: &JointSizes,
    pairing: &Pairing,
    shaft: Warmth,
    hub: Warmth,
    spacer: Warmth,
) -> (JointSizes, Pairing) {
    let (s, h, t) = (shaft.factor(), hub.factor(), spacer.factor());
    let mut sizes = *sizes;
    let mut cone = *cone(&sizes);
    cone.male_flank = (s * cone.male_flank.0, s * cone.male_flank.1);
    cone.bore_radius *= s;
    cone.female_flank = (h * cone.female_flank.0, h * cone.female_flank.1);
    cone.outside_radius *= h;
    sizes.seat = Seat::Cone(cone);
    if let Spacer::Ring(ea) = sizes.spacer {
        sizes.spacer = Spacer::Ring(ea * t * t);
    }
    let mut pairing = *pairing;
    for values in [&mut sizes.nominal, &mut pairing.0] {
        for (input, factor) in [
            (Input::MalePlane, s),
            (Input::MaleSize, s),
            (Input::FemalePlane, h),
            (Input::FemaleSize, h),
            (Input::Thickness, t),
        ] {
            values[input.index()] *= factor;
        }
    }
    (sizes, pairing)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reference::Reference;
    use crate::sample::{DIAMETER, TANGENT, THICKNESS, close, straight};
    use fit::{Criteria, Joint, Output};

    const STEEL: f64 = 11.5e-6;
    const ALUMINIUM: f64 = 23e-6;

    fn at(expansion: f64, celsius: f64) -> Warmth {
        Warmth { expansion, celsius }
    }

    #[test]
    fn verified_one_material_at_one_temperature_grows_alike() {
        // Closed form: every length times c; loads of a joint of equal shape times c^2 (K is a pure number over E).
        let warm = at(STEEL, 120.0);
        let c = 1.0 + 100.0 * STEEL;
        let (sizes, pairing) = straight(Spacer::Rigid, 0.3, 1e6);
        let (warm_sizes, warm_pairing) = warmed(&sizes, &pairing, warm, warm, warm);
        let (cold, _) = Reference::new(&sizes, &pairing).solve();
        let (hot, _) = Reference::new(&warm_sizes, &warm_pairing).solve();
        let value = |out: &[Option<f64>], o: Output| out[o.index()].expect("present");
        for (output, power) in [
            (Output::FirstTouch, c),
            (Output::DrawUp, c),
            (Output::StandOff, c),
            (Output::ClosingLoad, c * c),
            (Output::PressureMean, 1.0),
            (Output::BoreStress, 1.0),
            (Output::SlipTorque, c * c * c),
        ] {
            close(
                output.name(),
                value(&hot, output),
                power * value(&cold, output),
                1e-9,
            );
        }
    }

    #[test]
    fn verified_a_warm_hub_goes_on_further() {
        // Closed form: h0 = (D_m s - D_f h)/(2 tan a) + a_m s, with s, h the factors of shaft and hub.
        // An aluminium hub at 80 degrees on a steel shaft at 20: D_f grows by 0.0345 mm, 0.345 mm further on at 1:10.
        let (sizes, pairing) = straight(Spacer::Rigid, 0.3, 1e6);
        let (sizes, pairing) = warmed(
            &sizes,
            &pairing,
            at(STEEL, 20.0),
            at(ALUMINIUM, 80.0),
            at(STEEL, 50.0),
        );
        let female = (DIAMETER - 0.6 * TANGENT) * (1.0 + 60.0 * ALUMINIUM);
        let touch = (DIAMETER - female) / (2.0 * TANGENT) + THICKNESS;
        let draw_up = touch - THICKNESS * (1.0 + 30.0 * STEEL);
        let (reference, _) = Reference::new(&sizes, &pairing).solve();
        let joint = Joint::new(sizes).expect("a possible joint");
        let solution = joint.solve(&pairing, &Criteria::default());
        for (output, expected) in [(Output::FirstTouch, touch), (Output::DrawUp, draw_up)] {
            close(
                output.name(),
                reference[output.index()].expect("present"),
                expected,
                1e-9,
            );
            close(
                output.name(),
                solution.get(output).expect("present"),
                expected,
                1e-9,
            );
        }
    }
}
