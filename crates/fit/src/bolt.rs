//! The bolt as the solver needs it: torque per load, stress per load, stiffness.
//!
//! ```text
//! B = T / turn
//! turn = P/(2 pi) + mu_thread d2/(2 cos 30 deg) + mu_head D_head/2       thread and head
//! turn = k d                                                             nut factor
//! utilisation = B (stress per load) / Rp0.2
//! ```
//!
//! `B` bolt load (N), `T` torque (N·mm), `P` pitch, `d2` pitch diameter, `D_head` mean bearing diameter, `d` nominal
//! diameter (mm), `k` nut factor, `Rp0.2` yield strength (MPa). Stress is that of tension and torsion together with the
//! relation of thread and head, of tension alone with a nut factor, which does not say how much of the torque the thread
//! carries. Where the numbers come from: [`crate::fastener`].

use crate::block::Block;
use crate::fastener::{StressPerLoad, TorquePerLoad};
use crate::input::{INPUTS, Input};
use crate::joint::Joint;
use crate::lanes::{Column, LANES};
use crate::output::Output;

/// Torque per bolt load as a sum: `constant + nut_factor k + thread_friction mu_t + head_friction mu_h` (mm).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Turn {
    /// `P/(2 pi)`, 0 with a nut factor (mm).
    pub constant: f64,
    /// Nominal diameter with a nut factor, else 0 (mm).
    pub nut_factor: f64,
    /// `d2/(2 cos 30 deg)`, 0 with a nut factor (mm).
    pub thread_friction: f64,
    /// `D_head/2`, 0 with a nut factor (mm).
    pub head_friction: f64,
}

impl Turn {
    /// The relation of a nut factor, `T = k d B`, for a nominal diameter (mm).
    pub const fn by_nut_factor(diameter: f64) -> Turn {
        Turn {
            constant: 0.0,
            nut_factor: diameter,
            thread_friction: 0.0,
            head_friction: 0.0,
        }
    }

    /// The relation of thread and head.
    pub const fn by_friction(relation: &TorquePerLoad) -> Turn {
        Turn {
            constant: relation.constant,
            nut_factor: 0.0,
            thread_friction: relation.per_thread_friction,
            head_friction: relation.per_head_friction,
        }
    }

    /// Torque per load (mm) at these factors.
    #[inline(always)]
    pub fn of(&self, nut_factor: f64, thread_friction: f64, head_friction: f64) -> f64 {
        let friction = thread_friction.mul_add(
            self.thread_friction,
            head_friction.mul_add(self.head_friction, self.constant),
        );
        nut_factor.mul_add(self.nut_factor, friction)
    }
}

/// Stress in the bolt per load, and the strength that it is compared with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BoltStress {
    /// Stress per load (1/mm2).
    pub per_load: StressPerLoad,
    /// Yield strength Rp0.2 (MPa).
    pub yield_strength: f64,
}

impl BoltStress {
    /// Equivalent stress as a share of the yield strength at a bolt load (N).
    #[inline(always)]
    pub fn utilisation(&self, load: f64, thread_friction: f64) -> f64 {
        load * self.per_load.at(thread_friction) / self.yield_strength
    }
}

/// The bolt.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BoltSizes {
    /// Torque per load.
    pub turn: Turn,
    /// Stress per load, when the strength is known.
    pub stress: Option<BoltStress>,
    /// Axial stiffness `k_b` (N/mm), when it is known.
    pub stiffness: Option<f64>,
}

/// Torque per load of lane `i` (mm).
#[inline(always)]
pub(crate) fn turn(inputs: &[Column; INPUTS], turn: &Turn, i: usize) -> f64 {
    turn.of(
        inputs[Input::NutFactor.index()][i],
        inputs[Input::ThreadFriction.index()][i],
        inputs[Input::HeadFriction.index()][i],
    )
}

/// Fills in the bolt's utilisation.
#[inline(always)]
pub(crate) fn utilisation(block: &mut Block, joint: &Joint) {
    let Some(stress) = joint.sizes().bolt.stress else {
        return;
    };
    for i in 0..LANES {
        let load = block.outputs[Output::BoltLoad.index()][i];
        let friction = block.inputs[Input::ThreadFriction.index()][i];
        block.outputs[Output::BoltUtilisation.index()][i] = stress.utilisation(load, friction);
    }
}
