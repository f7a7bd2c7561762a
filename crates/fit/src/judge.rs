//! The verdict of every lane: all broken limits, and the first of them.

use crate::block::Block;
use crate::criteria::{CONES_FREE, Criteria, FIRST_SIDE, GAP_LEFT, NEVER_SEATS};
use crate::lanes::LANES;
use crate::seat::{ENTERS, OPEN};
use crate::verdict::Verdict;

/// Fills in the broken limits and the verdict of every lane.
#[inline(always)]
pub(crate) fn verdicts(block: &mut Block, criteria: &Criteria) {
    for i in 0..LANES {
        let enters = block.work.state[i] & ENTERS != 0;
        let open = block.work.state[i] & OPEN != 0;
        let free = enters & !open & (block.work.radial[i] <= 0.0);
        let never = if enters { 0 } else { NEVER_SEATS };
        let gap = if enters & open { GAP_LEFT } else { 0 };
        let rocks = if free { CONES_FREE } else { 0 };
        block.broken[i] = never | gap | rocks;
        let rank = if free {
            Verdict::ConesFree as u32
        } else {
            Verdict::Good as u32
        };
        let rank = if gap != 0 {
            Verdict::GapLeft as u32
        } else {
            rank
        };
        block.verdict[i] = if enters {
            rank
        } else {
            Verdict::NeverSeats as u32
        };
    }
    for (side, place) in criteria.sides().iter().zip(FIRST_SIDE..) {
        let output = side.output.index();
        let rank = side.verdict() as u32;
        let column = &block.outputs[output];
        for (i, &value) in column.iter().enumerate() {
            let outside = if side.minimum {
                value < side.value
            } else {
                value > side.value
            };
            let broken = outside & (block.absent[i] >> output & 1 == 0);
            block.broken[i] |= u32::from(broken) << place;
            let verdict = block.verdict[i];
            block.verdict[i] = if broken & (rank < verdict) {
                rank
            } else {
                verdict
            };
        }
    }
}
