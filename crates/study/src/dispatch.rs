//! Chooses the vector unit at run time. The bits of a result do not depend on the choice: the kernel uses
//! only `+ - * / sqrt` and fused multiply-add in an order that the source fixes, and Rust never contracts.
//!
//! This is the one module that may hold unsafe code: calling a function that was compiled for a vector unit
//! is unsafe because the unit might be missing. [`Instructions`] can only be made by asking the processor.

#![allow(
    unsafe_code,
    reason = "functions compiled for a vector unit, called only after the processor was asked"
)]

use capability::powers::PowersAtWork;
use capability::sets::SetCounts;
use capability::tally::{Frame, Sums};
use fit::{Block, Outputs, Pass};
use sampling::Column;

use crate::kernel::{self, Workspace};
use crate::plan::Plan;
use crate::points::{self, Renewed};
use crate::supply::Supply;

/// A vector unit that this processor has.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Instructions(Unit);

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Unit {
    Baseline,
    #[cfg(target_arch = "x86_64")]
    Avx2,
    #[cfg(target_arch = "x86_64")]
    Avx512,
}

impl Instructions {
    /// All that this processor has, the plainest first.
    pub fn available() -> Vec<Instructions> {
        #[allow(unused_mut, reason = "other processors have the baseline only")]
        let mut units = vec![Unit::Baseline];
        #[cfg(target_arch = "x86_64")]
        {
            let avx2 = is_x86_feature_detected!("avx2") && is_x86_feature_detected!("fma");
            let avx512 = avx2
                && is_x86_feature_detected!("avx512f")
                && is_x86_feature_detected!("avx512dq")
                && is_x86_feature_detected!("avx512vl")
                && is_x86_feature_detected!("avx512bw")
                && is_x86_feature_detected!("avx512cd");
            if avx2 {
                units.push(Unit::Avx2);
            }
            if avx512 {
                units.push(Unit::Avx512);
            }
        }
        units.into_iter().map(Instructions).collect()
    }

    /// The widest that this processor has.
    pub fn best() -> Instructions {
        Instructions::available()
            .pop()
            .unwrap_or(Instructions(Unit::Baseline))
    }

    /// Name for a note on stderr; it never stands in a record.
    pub fn name(self) -> &'static str {
        match self.0 {
            Unit::Baseline => "baseline",
            #[cfg(target_arch = "x86_64")]
            Unit::Avx2 => "AVX2 with FMA",
            #[cfg(target_arch = "x86_64")]
            Unit::Avx512 => "AVX-512",
        }
    }
}

/// Makes one entry point: the same kernel function compiled for every vector unit, and the choice between them.
macro_rules! on_every_unit {
    ($(#[$doc:meta])* $seen:vis $home:ident::$name:ident, $avx2:ident, $avx512:ident, ($($argument:ident: $kind:ty),*)) => {
        $(#[$doc])*
        $seen fn $name(unit: Instructions, $($argument: $kind),*) {
            match unit.0 {
                Unit::Baseline => $home::$name($($argument),*),
                // SAFETY: a value of `Instructions` with this unit exists only if the processor has it.
                #[cfg(target_arch = "x86_64")]
                Unit::Avx2 => unsafe { $avx2($($argument),*) },
                // SAFETY: as above.
                #[cfg(target_arch = "x86_64")]
                Unit::Avx512 => unsafe { $avx512($($argument),*) },
            }
        }

        #[cfg(target_arch = "x86_64")]
        #[target_feature(enable = "avx2,fma")]
        fn $avx2($($argument: $kind),*) {
            $home::$name($($argument),*);
        }

        #[cfg(target_arch = "x86_64")]
        #[target_feature(enable = "avx512f,avx512dq,avx512vl,avx512bw,avx512cd,avx2,fma")]
        fn $avx512($($argument: $kind),*) {
            $home::$name($($argument),*);
        }
    };
}

/// Solves one block.
pub fn solve(unit: Instructions, plan: &Plan, wanted: Outputs, block: &mut Block) {
    solve_pass(unit, plan, wanted, Pass::Only, block);
}

on_every_unit!(
    /// Draws the parts of one block, of which `len` count.
    pub kernel::draw, draw_avx2, draw_avx512,
    (plan: &Plan, number: u64, len: usize, supply: &mut Supply, block: &mut Block)
);
on_every_unit!(
    /// Solves one block, perhaps again.
    pub(crate) kernel::solve_pass, solve_avx2, solve_avx512,
    (plan: &Plan, wanted: Outputs, pass: Pass, block: &mut Block)
);
on_every_unit!(
    /// Counts a solved block.
    pub kernel::count, count_avx2, count_avx512,
    (plan: &Plan, frames: &[Frame], len: usize, work: &mut Workspace, sums: &mut [Sums])
);
on_every_unit!(
    /// Draws the scores of one block that the points of a study share.
    pub(crate) points::scores, scores_avx2, scores_avx512,
    (plan: &Plan, slots: &[Vec<Option<usize>>], number: u64, scores: &mut [Column])
);
on_every_unit!(
    /// Makes the parts of one point of a study.
    pub(crate) points::make, make_avx2, make_avx512,
    (plan: &Plan, renewed: &Renewed, number: u64, scores: &[Column], supply: &mut Supply, block: &mut Block)
);
on_every_unit!(
    /// Adds a solved block to a point of a study.
    pub(crate) points::sum, sum_avx2, sum_avx512,
    (plan: &Plan, shifts: &[f64], len: usize, block: &Block, sets: &mut SetCounts, powers: &mut [PowersAtWork])
);
