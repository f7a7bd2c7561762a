//! A block of pairings as columns, and the way through it.

use crate::approach::{AngleColumns, Pass};
use crate::cone::FlankColumns;
use crate::criteria::Criteria;
use crate::input::INPUTS;
use crate::joint::{Joint, Ready};
use crate::lanes::{Column, LANES};
use crate::output::{OUTPUTS, Output};
use crate::picked::Picked;
use crate::rings::RingLaw;
use crate::seat::{ConeSeat, Seating};
use crate::spline::Teeth;
use crate::{bolt, judge, loads, seat, settling};

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

    /// Whether any of these outputs belongs to the set.
    #[inline(always)]
    pub const fn any(self, outputs: &[Output]) -> bool {
        let mut i = 0;
        while i < outputs.len() {
            if self.has(outputs[i]) {
                return true;
            }
            i += 1;
        }
        false
    }
}

/// A block: inputs go in, outputs and broken limits come out.
///
/// Laid out as written and from the start of a line of the cache: a vector that lies across two lines is loaded twice, and
/// where the heap puts a block is chance.
#[derive(Debug, Clone)]
#[repr(C, align(64))]
pub struct Block {
    /// One column for each [`crate::Input`].
    pub inputs: [Column; INPUTS],
    /// One column for each [`Output`] that was wanted; 0 where it is absent.
    pub outputs: [Column; OUTPUTS],
    /// Bit `o` of a lane is set when output `o` is not defined for that pairing.
    pub absent: [u32; LANES],
    /// Every broken limit, one bit each (see [`Criteria::names`]).
    pub broken: [u32; LANES],
    pub(crate) work: Work,
    /// Which outputs are not defined for some pairing: all lanes of `absent` together.
    pub any_absent: u32,
    /// Errors of the teeth; none for a cone.
    pub teeth: Teeth,
}

/// Columns that the steps hand to each other.
#[derive(Debug, Clone)]
pub(crate) struct Work {
    /// The two flanks.
    pub flanks: FlankColumns,
    /// Stand-off at which the smoothed flanks begin to bear (mm).
    pub bears_at: Column,
    /// Axial load per radial load, 0 for a hub that never meets the seat: `2 pi tan(alpha + phi)` of a cone, `2 K (sin b + mu cos b)` of teeth.
    pub thrust: Column,
    /// Radial load at the final stand-off: `A` of a cone, `W` of teeth.
    pub radial: Column,
    /// Rate of the radial load with the stand-off, at `h = t`.
    pub rate: Column,
    /// What a column is needed for in passing.
    pub passing: Column,
    /// Thickness of the spacer at the temperature of assembly (mm).
    pub thickness: Column,
    /// Stiffness of the spacer (N/mm), infinite when rigid.
    pub spring: Column,
    /// Stand-off at which perfect teeth touch (mm).
    pub perfect: Column,
    /// Sine of the half-angle of the teeth.
    pub sine: Column,
    /// Cosine of the half-angle of the teeth.
    pub cosine: Column,
    /// What sizes do not change, for a block that is solved again.
    pub angles: AngleColumns,
    /// Lanes that need more steps than the block, picked out.
    pub picked: Picked,
    /// What is known of the lane so far: bits of [`crate::seat`].
    pub state: [u32; LANES],
}

impl Block {
    /// An empty block on the heap, with as many teeth as the joint has ([`Joint::teeth`]).
    pub fn new(teeth: usize) -> Box<Block> {
        let zero = [0.0; LANES];
        // Into room that is there already: optimised, this saves a copy on the stack of every thread.
        let room = Box::new_uninit();
        Box::write(
            room,
            Block {
                inputs: [zero; INPUTS],
                teeth: Teeth::new(teeth),
                outputs: [zero; OUTPUTS],
                absent: [0; LANES],
                broken: [0; LANES],
                any_absent: 0,
                work: Work {
                    flanks: FlankColumns {
                        tan_f: zero,
                        k: zero,
                        inverse_k: zero,
                        clearance: zero,
                    },
                    bears_at: zero,
                    thrust: zero,
                    radial: zero,
                    rate: zero,
                    passing: zero,
                    thickness: zero,
                    spring: zero,
                    perfect: zero,
                    sine: zero,
                    cosine: zero,
                    angles: AngleColumns::new(),
                    picked: Picked::new(),
                    state: [0; LANES],
                },
            },
        )
    }

    /// Solves all pairings of the block: inputs to outputs and broken limits.
    ///
    /// Only the outputs in `wanted`, those under a limit and those that others are made from are filled in.
    ///
    /// # Panics
    /// When the block has fewer or more teeth than the joint.
    #[inline(always)]
    pub fn solve(&mut self, joint: &Joint, criteria: &Criteria, wanted: Outputs) {
        self.solve_pass(joint, criteria, wanted, Pass::Only);
    }

    /// [`Block::solve`] for a block that is solved several times with other sizes: see [`Pass`]. The bits are the same.
    ///
    /// # Panics
    /// When the block has fewer or more teeth than the joint.
    #[inline(always)]
    pub fn solve_pass(&mut self, joint: &Joint, criteria: &Criteria, wanted: Outputs, pass: Pass) {
        assert_eq!(self.teeth.count(), joint.teeth(), "teeth of the block");
        let firm = joint.firm;
        match &joint.ready {
            Ready::Cone(cone) => match cone.law() {
                RingLaw::Short(law) => {
                    self.seat(&ConeSeat { cone, law, firm }, joint, wanted, pass)
                }
                RingLaw::Middle(law) => {
                    self.seat(&ConeSeat { cone, law, firm }, joint, wanted, pass)
                }
                RingLaw::Long(law) => self.seat(&ConeSeat { cone, law, firm }, joint, wanted, pass),
                RingLaw::Longest(law) => {
                    self.seat(&ConeSeat { cone, law, firm }, joint, wanted, pass)
                }
            },
            Ready::Spline(spline) => self.seat(spline, joint, wanted, pass),
        }
        if wanted.has(Output::BoltUtilisation) {
            bolt::utilisation(self, joint);
        }
        loads::clear_absent(self, wanted);
        judge::broken(self, criteria);
    }

    /// From first touch to the outputs of one kind of seat. The balance comes last of the states, so that the block is
    /// left as assembled.
    #[inline(always)]
    fn seat<S: Seating>(&mut self, seat: &S, joint: &Joint, wanted: Outputs, pass: Pass) {
        if pass != Pass::Again {
            seat::spacers(self, joint);
        }
        seat.approach(self, joint, pass);
        let settles = settling::asked(joint, wanted);
        let mut kept = None;
        for state in if settles { 0..2 } else { 1..2 } {
            let settled = state == 0;
            if settled {
                kept = Some(settling::before(self, joint));
            }
            seat.equilibrium(self, !settled || self.work.spring[0].is_finite());
            if let Some(kept) = kept.take() {
                settling::after(self, joint, &kept);
            }
        }
        if settles {
            settling::gap_left(self, joint);
        }
        loads::positions(self, joint, wanted);
        seat.outputs(self, joint, wanted);
    }
}
