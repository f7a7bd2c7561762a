//! One pairing, solved by the same equations as a block.

use crate::block::{Block, Outputs};
use crate::criteria::Criteria;
use crate::input::{INPUTS, Input};
use crate::joint::Joint;
use crate::lanes::LANES;
use crate::missing::Missing;
use crate::output::{OUTPUTS, Output};
use crate::spline::ToothErrors;
use crate::verdict::Verdict;

/// The sizes, frictions and torque of one pairing, in the order of [`Input`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pairing(pub [f64; INPUTS]);

impl Pairing {
    /// The value of one input.
    pub fn get(&self, input: Input) -> f64 {
        self.0[input.index()]
    }
}

/// What becomes of one pairing.
#[derive(Debug, Clone, PartialEq)]
pub struct Solution {
    outputs: [Option<f64>; OUTPUTS],
    missing: [Option<Missing>; OUTPUTS],
    /// The verdict.
    pub verdict: Verdict,
    /// Every broken limit, one bit each (see [`Criteria::names`]).
    pub broken: u32,
}

impl Solution {
    /// The value of an output, or `None` when it is not defined for this pairing.
    pub fn get(&self, output: Output) -> Option<f64> {
        self.outputs[output.index()]
    }

    /// Why an output is not defined.
    pub fn reason(&self, output: Output) -> Option<&'static str> {
        if self.get(output).is_some() {
            return None;
        }
        if let Some(missing) = self.missing[output.index()] {
            return Some(missing.reason());
        }
        Some(match (self.verdict, output) {
            (Verdict::NeverSeats, _) => "the hub cannot be pushed onto the cone",
            (_, Output::MismatchRatio) => "the cones do not press",
            (_, Output::ToothLoadShare) => "the teeth do not press",
            (_, Output::RockAngle | Output::Runout) => "the hub does not lie over the cone",
            _ => "the hub passes the cone without touching it",
        })
    }
}

impl Joint {
    /// Solves one pairing; a spline has perfect teeth. An answer of the physics is not an error: see [`Verdict`].
    pub fn solve(&self, pairing: &Pairing, criteria: &Criteria) -> Solution {
        self.solve_with(pairing, &ToothErrors::default(), criteria)
    }

    /// Solves one pairing of a spline with these errors of its teeth; a cone has none.
    pub fn solve_with(
        &self,
        pairing: &Pairing,
        errors: &ToothErrors,
        criteria: &Criteria,
    ) -> Solution {
        let joint = self.about_angles(
            pairing.get(Input::MaleHalfAngle),
            pairing.get(Input::FemaleHalfAngle),
        );
        let mut block = Block::new(joint.teeth());
        block.teeth.fill(errors);
        for (column, value) in block.inputs.iter_mut().zip(pairing.0) {
            *column = [value; LANES];
        }
        block.solve(&joint, criteria, Outputs::ALL);
        block.solution(&joint, criteria, 0)
    }
}

impl Block {
    /// The solution of one lane of a block that was solved for this joint and these criteria.
    pub fn solution(&self, joint: &Joint, criteria: &Criteria, lane: usize) -> Solution {
        let absent = self.absent[lane];
        Solution {
            outputs: std::array::from_fn(|o| (absent >> o & 1 == 0).then(|| self.outputs[o][lane])),
            missing: Output::ALL.map(|output| joint.missing(output)),
            verdict: criteria.verdict(self.broken[lane]),
            broken: self.broken[lane],
        }
    }
}
