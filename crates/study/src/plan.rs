//! The plan: what was typed becomes what will run.

use capability::tally::Frame;
use fit::{Block, Criteria, Joint, Output, Outputs, Pairing, Side};
use sampling::{BLOCK, Order, Part};

use crate::dispatch::{self, Instructions};
use crate::scenario::{Scenario, Seat};
use crate::sizes::joint_sizes;
use crate::supply::{Supply, parts};
use crate::teeth::PartTeeth;
use crate::until::Until;

const _: () = assert!(BLOCK == fit::LANES, "a block has one length");

/// What every pairing of a run is made with and judged by.
#[derive(Debug, Clone)]
pub struct Plan {
    /// The joint.
    pub joint: Joint,
    /// The limits.
    pub criteria: Criteria,
    /// Outputs to follow, in their fixed order.
    pub outputs: Vec<Output>,
    /// Outputs to compute: those followed and those under a limit.
    pub wanted: Outputs,
    /// Outputs under a limit.
    pub judged: Outputs,
    /// Pairings to run; the most of them where `until` can end the run.
    pub pairings: u64,
    /// The rule that ends the run, where one is stated.
    pub until: Option<Until>,
    /// What is drawn, part by part.
    pub parts: Vec<Part>,
    teeth: Vec<PartTeeth>,
}

impl Plan {
    /// The plan of a checked scenario.
    ///
    /// # Errors
    /// A sentence, when the sizes contradict each other in a way that reading the scenario did not catch.
    pub fn new(scenario: &Scenario) -> Result<Plan, String> {
        let joint = Joint::new(joint_sizes(scenario)).map_err(|error| error.to_string())?;
        let sides = scenario.limits.iter().flat_map(|limit| {
            let side = |minimum, value: Option<f64>| {
                value.map(|value| Side {
                    output: limit.output,
                    minimum,
                    value,
                })
            };
            [side(true, limit.min), side(false, limit.max)]
                .into_iter()
                .flatten()
        });
        let criteria = Criteria::new(sides.collect()).map_err(|error| error.to_string())?;
        let judged = scenario.limits.iter().map(|limit| limit.output);
        let mut outputs = scenario.run.outputs.clone();
        outputs.retain(|&output| joint.missing(output).is_none());
        let followed = outputs.clone().into_iter();
        Ok(Plan {
            joint,
            criteria,
            outputs,
            wanted: Outputs::of(followed.chain(judged.clone())),
            judged: Outputs::of(judged),
            pairings: scenario.run.pairings,
            until: scenario.run.until.clone(),
            parts: parts(scenario),
            teeth: teeth(scenario),
        })
    }

    /// The same plan with parts from the processes of another scenario of the same joint.
    pub fn with_parts_of(&self, scenario: &Scenario) -> Plan {
        Plan {
            parts: parts(scenario),
            ..self.clone()
        }
    }

    /// A block for [`Plan::draw`]: inputs that never vary are filled in here, once.
    pub fn block(&self) -> Box<Block> {
        let mut block = Block::new(self.joint.teeth());
        for characteristic in self.parts.iter().flat_map(Part::characteristics) {
            if characteristic.process.is_constant() {
                let column = &mut block.inputs[characteristic.column];
                *column = [characteristic.process.mean(); BLOCK];
            }
        }
        block
    }

    /// Draws the parts of one block of pairings into a block that [`Plan::block`] made; of those, `len` count.
    #[inline(always)]
    pub fn draw(&self, number: u64, len: usize, supply: &mut Supply, block: &mut Block) {
        for part in 0..self.parts.len() {
            self.draw_part(part, number, len, supply, block);
        }
        self.draw_teeth(number, block);
    }

    /// Draws one kind of part.
    #[inline(always)]
    pub(crate) fn draw_part(
        &self,
        part: usize,
        number: u64,
        len: usize,
        supply: &mut Supply,
        block: &mut Block,
    ) {
        self.parts[part].fill(
            number,
            len,
            supply.order,
            &mut block.inputs,
            &mut supply.scratch,
            &mut supply.counts[part],
        );
    }

    /// Draws the errors of the teeth.
    #[inline(always)]
    pub(crate) fn draw_teeth(&self, number: u64, block: &mut Block) {
        if !self.teeth.is_empty() {
            block.teeth.clear();
        }
        for part in &self.teeth {
            part.add(number, &mut block.teeth);
        }
    }

    /// The bit of a limit in the sets of broken limits, when it is set.
    pub fn bit(&self, output: Output, minimum: bool) -> Option<u32> {
        let sides = self.criteria.sides();
        let place = sides
            .iter()
            .position(|side| side.output == output && side.minimum == minimum)?;
        Some(1 << (fit::FIRST_SIDE + place))
    }

    /// The pairing with every characteristic at nominal.
    pub fn nominal(&self) -> Pairing {
        Pairing(self.joint.sizes().nominal)
    }

    /// Bins and shifts for the outputs, from the first pairings of the run.
    pub fn frames(&self, instructions: Instructions) -> Vec<Frame> {
        const PILOT_BLOCKS: u64 = 16_384 / BLOCK as u64;
        let nominal = self.joint.solve(&self.nominal(), &self.criteria);
        let mut values =
            vec![Vec::with_capacity(PILOT_BLOCKS as usize * BLOCK); self.outputs.len()];
        let mut block = self.block();
        let mut supply = Supply::new(self, Order::Stock);
        for number in 0..PILOT_BLOCKS {
            dispatch::draw(instructions, self, number, BLOCK, &mut supply, &mut block);
            dispatch::solve(instructions, self, self.wanted, &mut block);
            for (output, values) in self.outputs.iter().zip(&mut values) {
                for (lane, &value) in block.outputs[output.index()].iter().enumerate() {
                    let present = block.absent[lane] >> output.index() & 1 == 0;
                    if present && Some(value) != output.atom() {
                        values.push(value);
                    }
                }
            }
        }
        let frame = |(output, values): (&Output, &mut Vec<f64>)| {
            Frame::around(values, nominal.get(*output).unwrap_or(0.0), output.atom())
        };
        self.outputs.iter().zip(&mut values).map(frame).collect()
    }
}

/// The parts whose teeth carry errors.
fn teeth(scenario: &Scenario) -> Vec<PartTeeth> {
    let Seat::Spline(spline) = &scenario.seat else {
        return vec![];
    };
    [("shaft", &spline.shaft), ("hub", &spline.hub)]
        .map(|(part, half)| {
            PartTeeth::new(
                scenario.run.seed,
                part,
                spline.teeth as usize,
                &half.index_error.process,
                &half.profile_error.process,
            )
        })
        .into()
}
