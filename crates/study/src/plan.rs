//! The plan: what was typed becomes what will run.

use capability::tally::Frame;
use fit::fastener::{StressPerLoad, Thread, TorquePerLoad};
use fit::{
    Block, BoltSizes, BoltStress, ConeSizes, Criteria, Growth, INPUTS, Input, Joint, JointSizes,
    Output, Outputs, Pairing, Seat, Side, Spacer, Turn,
};
use sampling::{BLOCK, Process, Stream, StreamId};

use crate::dispatch::{self, Instructions};
use crate::scenario::{Characteristic, Give, Scenario, Tightening};

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

/// The characteristics of a scenario with the input that each of them is, in the order of the inputs.
pub fn characteristics(scenario: &Scenario) -> Vec<(Input, &Characteristic)> {
    let (bolt, mut all) = (
        &scenario.bolt,
        vec![
            (Input::MalePlane, &scenario.shaft.cone.gauge_plane),
            (Input::MaleSize, &scenario.shaft.cone.gauge_diameter),
            (Input::MaleHalfAngle, &scenario.shaft.cone.half_angle),
            (Input::FemalePlane, &scenario.hub.cone.gauge_plane),
            (Input::FemaleSize, &scenario.hub.cone.gauge_diameter),
            (Input::FemaleHalfAngle, &scenario.hub.cone.half_angle),
            (Input::Thickness, &scenario.spacer.thickness),
            (Input::Friction, &scenario.contact.friction),
            (Input::Torque, &scenario.bolt.torque),
        ],
    );
    match &bolt.tightening {
        Tightening::NutFactor(factor) => all.push((Input::NutFactor, factor)),
        Tightening::Friction { thread, head, .. } => {
            all.push((Input::ThreadFriction, thread));
            all.push((Input::HeadFriction, head));
        }
    }
    all.extend(bolt.settling.iter().map(|s| (Input::BoltSettling, s)));
    all
}

/// Name of an input's stream. It never changes, whatever a scenario calls the characteristic.
const fn stream_name(input: Input) -> &'static str {
    match input {
        Input::MalePlane => "shaft.gauge_plane",
        Input::MaleSize => "shaft.gauge_diameter",
        Input::MaleHalfAngle => "shaft.half_angle",
        Input::FemalePlane => "hub.gauge_plane",
        Input::FemaleSize => "hub.gauge_diameter",
        Input::FemaleHalfAngle => "hub.half_angle",
        Input::Thickness => "spacer.thickness",
        Input::Friction => "contact.friction",
        Input::Torque => "bolt.torque",
        Input::NutFactor => "bolt.nut_factor",
        Input::ThreadFriction => "bolt.thread_friction",
        Input::HeadFriction => "bolt.head_friction",
        Input::FaceFriction => "contact.face_friction",
        Input::FaceSettling => "spacer.settling",
        Input::BoltSettling => "bolt.settling",
    }
}

/// The sizes of the joint that a scenario states.
pub fn joint_sizes(scenario: &Scenario) -> JointSizes {
    let (shaft, hub) = (&scenario.shaft, &scenario.hub);
    let cone = ConeSizes {
        male_flank: (shaft.cone.large_end_mm, shaft.cone.small_end_mm),
        female_flank: (hub.cone.large_end_mm, hub.cone.small_end_mm),
        outside_radius: 0.5 * hub.outside_diameter_mm,
        bore_radius: 0.5 * shaft.bore_diameter_mm,
        hub_modulus: hub.material.modulus_mpa,
        hub_poisson: hub.material.poisson,
        shaft_modulus: shaft.material.modulus_mpa,
        shaft_poisson: shaft.material.poisson,
        smoothing: scenario.contact.smoothing_mm,
        blue_film: scenario.contact.blue_film_mm,
    };
    JointSizes {
        seat: Seat::Cone(cone),
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
        bolt: bolt_sizes(scenario),
        face_radius: None,
        runout_radius: None,
        growth: Growth::NONE,
        service: None,
        nominal: by_input(scenario, 0.0, |c| c.nominal),
    }
}

/// The bolt: torque per load, stress per load, stiffness.
fn bolt_sizes(scenario: &Scenario) -> BoltSizes {
    let bolt = &scenario.bolt;
    let stress_per_load = |thread: &Thread| match bolt.tightening {
        Tightening::NutFactor(_) => StressPerLoad::tension_alone(thread),
        Tightening::Friction { .. } => StressPerLoad::tightened(thread),
    };
    let turn = match (&bolt.tightening, &bolt.thread) {
        (
            Tightening::Friction {
                head_diameter_mm, ..
            },
            Some(thread),
        ) => Turn::by_friction(&TorquePerLoad::new(thread, *head_diameter_mm)),
        _ => Turn::by_nut_factor(bolt.diameter_mm),
    };
    BoltSizes {
        turn,
        stress: bolt
            .thread
            .zip(bolt.yield_strength_mpa)
            .map(|(thread, yield_strength)| BoltStress {
                per_load: stress_per_load(&thread),
                yield_strength,
            }),
        stiffness: bolt.stiffness_n_per_mm.or_else(|| cylinder(scenario)),
    }
}

/// Stiffness of the bolt as a plain cylinder from its head to its first loaded thread, at the nominal thickness (N/mm).
fn cylinder(scenario: &Scenario) -> Option<f64> {
    let bolt = &scenario.bolt;
    let (thread, material) = (bolt.thread?, bolt.material.as_ref()?);
    let length = scenario.spacer.thickness.nominal + bolt.head_at_mm? - bolt.thread_at_mm?;
    Some(thread.cylinder_stiffness(material.modulus_mpa, length))
}

/// A value of each characteristic by input; `none` for inputs that the scenario does not have.
pub fn by_input<T: Clone>(
    scenario: &Scenario,
    none: T,
    value: impl Fn(&Characteristic) -> T,
) -> [T; INPUTS] {
    let mut values = std::array::from_fn(|_| none.clone());
    for (input, characteristic) in characteristics(scenario) {
        values[input.index()] = value(characteristic);
    }
    values
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
        let nothing = Process::constant(0.0).map_err(|error| error.to_string())?;
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
            processes: by_input(scenario, nothing, |c| c.process.clone()),
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
        let mut block = Block::new(self.joint.teeth());
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
