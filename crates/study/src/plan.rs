//! The plan: what was typed becomes what will run.

use capability::tally::Frame;
use fit::{
    Block, Criteria, INPUTS, Input, Joint, JointSizes, Output, Outputs, Pairing, Side, Spacer,
};
use sampling::{BLOCK, Process, Stream, StreamId};

use crate::dispatch::{self, Instructions};
use crate::scenario::{Characteristic, Give, Scenario, Seat};

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
    /// Pairings to run.
    pub pairings: u64,
    processes: [Process; INPUTS],
    streams: [Stream; INPUTS],
}

/// The inputs that a scenario's seat has, each with its characteristic, in the order of the inputs.
pub fn characteristics(scenario: &Scenario) -> Vec<(Input, &Characteristic)> {
    let of = |input| -> Option<&Characteristic> {
        let (cones, spline) = match &scenario.seat {
            Seat::Cone(cones) => (Some(cones), None),
            Seat::Spline(spline) => (None, Some(spline)),
        };
        match input {
            Input::MalePlane => cones
                .map(|c| &c.shaft.gauge_plane)
                .or(spline.map(|s| &s.shaft.gauge_plane)),
            Input::FemalePlane => cones
                .map(|c| &c.hub.gauge_plane)
                .or(spline.map(|s| &s.hub.gauge_plane)),
            Input::MaleDiameter => cones.map(|c| &c.shaft.gauge_diameter),
            Input::MaleHalfAngle => cones.map(|c| &c.shaft.half_angle),
            Input::FemaleDiameter => cones.map(|c| &c.hub.gauge_diameter),
            Input::FemaleHalfAngle => cones.map(|c| &c.hub.half_angle),
            Input::Thickness => Some(&scenario.spacer.thickness),
            Input::Friction => Some(&scenario.contact.friction),
            Input::Torque => Some(&scenario.bolt.torque),
            Input::NutFactor => Some(&scenario.bolt.nut_factor),
        }
    };
    let known = |input| of(input).map(|characteristic| (input, characteristic));
    Input::ALL.into_iter().filter_map(known).collect()
}

/// Name of an input's stream. It never changes, whatever a scenario calls the characteristic.
const fn stream_name(input: Input) -> &'static str {
    match input {
        Input::MalePlane => "shaft.gauge_plane",
        Input::MaleDiameter => "shaft.gauge_diameter",
        Input::MaleHalfAngle => "shaft.half_angle",
        Input::FemalePlane => "hub.gauge_plane",
        Input::FemaleDiameter => "hub.gauge_diameter",
        Input::FemaleHalfAngle => "hub.half_angle",
        Input::Thickness => "spacer.thickness",
        Input::Friction => "contact.friction",
        Input::Torque => "bolt.torque",
        Input::NutFactor => "bolt.nut_factor",
    }
}

/// The sizes of the joint that a scenario states; `None` for a tapered spline, which has no cone.
pub fn joint_sizes(scenario: &Scenario) -> Option<JointSizes> {
    let cones = scenario.cones()?;
    let (shaft, hub) = (&scenario.shaft, &scenario.hub);
    let mut nominal = [0.0; INPUTS];
    for (input, characteristic) in characteristics(scenario) {
        nominal[input.index()] = characteristic.nominal;
    }
    Some(JointSizes {
        male_flank: (cones.shaft.large_end_mm, cones.shaft.small_end_mm),
        female_flank: (cones.hub.large_end_mm, cones.hub.small_end_mm),
        outside_radius: 0.5 * hub.outside_diameter_mm,
        bore_radius: 0.5 * shaft.bore_diameter_mm,
        hub_modulus: hub.material.modulus_mpa,
        hub_poisson: hub.material.poisson,
        shaft_modulus: shaft.material.modulus_mpa,
        shaft_poisson: shaft.material.poisson,
        spacer: match &scenario.spacer.give {
            Give::Rigid => Spacer::Rigid,
            Give::Stiffness(k) => Spacer::Stiffness(*k),
            Give::Ring {
                outside_mm,
                inside_mm,
                material,
            } => {
                let area =
                    0.25 * std::f64::consts::PI * (outside_mm * outside_mm - inside_mm * inside_mm);
                Spacer::Ring(material.modulus_mpa * area)
            }
        },
        smoothing: scenario.contact.smoothing_mm,
        blue_film: scenario.contact.blue_film_mm,
        bolt_diameter: scenario.bolt.diameter_mm,
        nominal,
    })
}

impl Plan {
    /// The plan of a checked scenario.
    ///
    /// # Errors
    /// A sentence, when the sizes contradict each other in a way that reading the scenario did not catch.
    pub fn new(scenario: &Scenario) -> Result<Plan, String> {
        let sizes = joint_sizes(scenario).ok_or("a tapered spline, which is not solved")?;
        let joint = Joint::new(sizes).map_err(|error| error.to_string())?;
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
        let nothing = Process::constant(0.0).map_err(|error| error.to_string())?;
        let mut processes = std::array::from_fn(|_| nothing.clone());
        for (input, characteristic) in characteristics(scenario) {
            processes[input.index()] = characteristic.process.clone();
        }
        let judged = scenario.limits.iter().map(|limit| limit.output);
        let followed = scenario.run.outputs.iter().copied();
        Ok(Plan {
            joint,
            criteria,
            outputs: scenario.run.outputs.clone(),
            wanted: Outputs::of(followed.chain(judged.clone())),
            judged: Outputs::of(judged),
            pairings: scenario.run.pairings,
            processes,
            streams: Input::ALL.map(|input| {
                Stream::new(StreamId {
                    seed: scenario.run.seed,
                    point: None,
                    characteristic: stream_name(input),
                    attempt: 0,
                })
            }),
        })
    }

    /// Draws the parts of one block of pairings.
    #[inline(always)]
    pub fn draw(&self, number: u64, block: &mut Block) {
        let mut scores = [0.0; BLOCK];
        for (i, column) in block.inputs.iter_mut().enumerate() {
            if !self.processes[i].is_constant() {
                sampling::fill_scores(&self.streams[i], number, &mut scores);
            }
            self.processes[i].fill(&scores, column);
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
        const PILOT_BLOCKS: u64 = 64;
        let nominal = self.joint.solve(&self.nominal(), &self.criteria);
        let mut values =
            vec![Vec::with_capacity(PILOT_BLOCKS as usize * BLOCK); self.outputs.len()];
        let mut block = Block::new();
        for number in 0..PILOT_BLOCKS {
            dispatch::draw(instructions, self, number, &mut block);
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
