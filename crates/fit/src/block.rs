//! A block of pairings as columns, and the way through it.

use crate::criteria::Criteria;
use crate::input::INPUTS;
use crate::joint::Joint;
use crate::lanes::{Column, LANES};
use crate::law::ElasticLaw;
use crate::output::{OUTPUTS, Output};
use crate::rings::RingLaw;
use crate::{approach, judge, loads, seat};

/// A set of outputs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Outputs(u32);

impl Outputs {
    /// Every output.
    pub const ALL: Outputs = Outputs((1 << OUTPUTS) - 1);

    /// These outputs.
    pub fn of(outputs: impl IntoIterator<Item = Output>) -> Outputs {
        Outputs(outputs.into_iter().fold(0, |bits, o| bits | 1 << o.index()))
    }

    /// Whether the output belongs to the set.
    #[inline(always)]
    pub const fn has(self, output: Output) -> bool {
        self.0 >> output.index() & 1 == 1
    }
}

/// A block: inputs go in, outputs and verdicts come out.
#[derive(Debug, Clone)]
pub struct Block {
    /// One column for each [`crate::Input`].
    pub inputs: [Column; INPUTS],
    /// One column for each [`Output`]; 0 where it is absent.
    pub outputs: [Column; OUTPUTS],
    /// Bit `o` of a lane is set when output `o` is not defined for that pairing.
    pub absent: [u32; LANES],
    /// Every broken limit, one bit each (see [`Criteria::names`]).
    pub broken: [u32; LANES],
    /// The verdict's index.
    pub verdict: [u32; LANES],
    pub(crate) work: Work,
}

/// Columns that the steps hand to each other.
#[derive(Debug, Clone)]
pub(crate) struct Work {
    /// `tan a_m`.
    pub tan_m: Column,
    /// `tan a_f`.
    pub tan_f: Column,
    /// Tangent of the mean half-angle.
    pub tan_mean: Column,
    /// `tan a_m - tan a_f`, never 0.
    pub k: Column,
    /// `1 / k`.
    pub inverse_k: Column,
    /// Radial clearance of the flanks extended to `x = 0` at `h = 0`, without smoothing (mm).
    pub clearance: Column,
    /// Stand-off at which the smoothed flanks begin to bear (mm).
    pub bears_at: Column,
    /// `2 pi tan(alpha + phi)`: axial load per radial load.
    pub thrust: Column,
    /// Radial load `A` at the final stand-off.
    pub radial: Column,
    /// Rate of the radial load with the stand-off at `h = t`.
    pub rate: Column,
    /// What is known of the lane so far: bits of [`crate::approach`] and [`crate::seat`].
    pub state: [u32; LANES],
}

impl Block {
    /// An empty block on the heap.
    pub fn new() -> Box<Block> {
        let zero = [0.0; LANES];
        Box::new(Block {
            inputs: [zero; INPUTS],
            outputs: [zero; OUTPUTS],
            absent: [0; LANES],
            broken: [0; LANES],
            verdict: [0; LANES],
            work: Work {
                tan_m: zero,
                tan_f: zero,
                tan_mean: zero,
                k: zero,
                inverse_k: zero,
                clearance: zero,
                bears_at: zero,
                thrust: zero,
                radial: zero,
                rate: zero,
                state: [0; LANES],
            },
        })
    }

    /// Solves all pairings of the block: inputs to outputs and verdicts.
    ///
    /// Only the outputs in `wanted`, those under a limit and those that others are made from are filled in.
    #[inline(always)]
    pub fn solve(&mut self, joint: &Joint, criteria: &Criteria, wanted: Outputs) {
        match joint.law() {
            RingLaw::Short(law) => self.solve_with(law, joint, criteria, wanted),
            RingLaw::Middle(law) => self.solve_with(law, joint, criteria, wanted),
            RingLaw::Long(law) => self.solve_with(law, joint, criteria, wanted),
            RingLaw::Longest(law) => self.solve_with(law, joint, criteria, wanted),
        }
    }

    #[inline(always)]
    fn solve_with<L: ElasticLaw>(
        &mut self,
        law: &L,
        joint: &Joint,
        criteria: &Criteria,
        wanted: Outputs,
    ) {
        approach::first_touch(self, joint);
        seat::equilibrium(self, law, joint);
        loads::outputs(self, law, joint, wanted);
        judge::verdicts(self, criteria);
    }
}
