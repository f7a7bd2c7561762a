//! Chooses the vector unit at run time. The bits of a result do not depend on the choice: the kernel uses
//! only `+ - * / sqrt` and fused multiply-add in an order that the source fixes, and Rust never contracts.
//!
//! This is the one module that may hold unsafe code: calling a function that was compiled for a vector unit
//! is unsafe because the unit might be missing. [`Instructions`] can only be made by asking the processor.

#![allow(
    unsafe_code,
    reason = "functions compiled for a vector unit, called only after the processor was asked"
)]

use capability::masks::MaskCounts;
use capability::tally::{Frame, Sums};

use crate::kernel::{self, Workspace};
use crate::plan::Plan;

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

/// Runs one chunk on the given vector unit.
pub fn chunk(
    unit: Instructions,
    plan: &Plan,
    frames: &[Frame],
    number: u64,
    work: &mut Workspace,
) -> Vec<Sums> {
    match unit.0 {
        Unit::Baseline => kernel::chunk(plan, frames, number, work),
        // SAFETY: a value of `Instructions` with this unit exists only if the processor said it has it.
        #[cfg(target_arch = "x86_64")]
        Unit::Avx2 => unsafe { chunk_avx2(plan, frames, number, work) },
        // SAFETY: as above.
        #[cfg(target_arch = "x86_64")]
        Unit::Avx512 => unsafe { chunk_avx512(plan, frames, number, work) },
    }
}

/// Counts the sets of broken limits at another torque on the given vector unit.
pub fn at_torque(unit: Instructions, plan: &Plan, factor: f64, of: u64) -> MaskCounts {
    match unit.0 {
        Unit::Baseline => kernel::at_torque(plan, factor, of),
        // SAFETY: a value of `Instructions` with this unit exists only if the processor said it has it.
        #[cfg(target_arch = "x86_64")]
        Unit::Avx2 => unsafe { at_torque_avx2(plan, factor, of) },
        // SAFETY: as above.
        #[cfg(target_arch = "x86_64")]
        Unit::Avx512 => unsafe { at_torque_avx512(plan, factor, of) },
    }
}

#[cfg(target_arch = "x86_64")]
#[target_feature(enable = "avx2,fma")]
fn at_torque_avx2(plan: &Plan, factor: f64, of: u64) -> MaskCounts {
    kernel::at_torque(plan, factor, of)
}

#[cfg(target_arch = "x86_64")]
#[target_feature(enable = "avx512f,avx512dq,avx512vl,avx512bw,avx512cd,avx2,fma")]
fn at_torque_avx512(plan: &Plan, factor: f64, of: u64) -> MaskCounts {
    kernel::at_torque(plan, factor, of)
}

#[cfg(target_arch = "x86_64")]
#[target_feature(enable = "avx2,fma")]
fn chunk_avx2(plan: &Plan, frames: &[Frame], number: u64, work: &mut Workspace) -> Vec<Sums> {
    kernel::chunk(plan, frames, number, work)
}

#[cfg(target_arch = "x86_64")]
#[target_feature(enable = "avx512f,avx512dq,avx512vl,avx512bw,avx512cd,avx2,fma")]
fn chunk_avx512(plan: &Plan, frames: &[Frame], number: u64, work: &mut Workspace) -> Vec<Sums> {
    kernel::chunk(plan, frames, number, work)
}
