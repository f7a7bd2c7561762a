//! All limits that every lane breaks. Which of them gives the verdict: [`Criteria::verdict`].

use crate::block::Block;
use crate::criteria::{CONES_FREE, Criteria, FIRST_SIDE, GAP_LEFT, NEVER_SEATS, Side};
use crate::lanes::LANES;
use crate::seat::{ENTERS, OPEN};

/// Fills in the broken limits of every lane.
#[inline(always)]
pub(crate) fn broken(block: &mut Block, criteria: &Criteria) {
    for i in 0..LANES {
        let state = block.work.state[i];
        let gap = if state & OPEN != 0 { GAP_LEFT } else { 0 };
        let rocks = if block.work.radial[i] <= 0.0 {
            CONES_FREE
        } else {
            0
        };
        let seated = if gap != 0 { gap } else { rocks };
        block.broken[i] = if state & ENTERS != 0 {
            seated
        } else {
            NEVER_SEATS
        };
    }
    for (side, place) in criteria.sides().iter().zip(FIRST_SIDE..) {
        match (
            side.minimum,
            block.any_absent >> side.output.index() & 1 == 1,
        ) {
            (false, false) => beyond::<false, false>(block, side, 1 << place),
            (false, true) => beyond::<false, true>(block, side, 1 << place),
            (true, false) => beyond::<true, false>(block, side, 1 << place),
            (true, true) => beyond::<true, true>(block, side, 1 << place),
        }
    }
}

/// One side of a limit. A pairing without the output cannot break it.
#[inline(always)]
fn beyond<const MINIMUM: bool, const ABSENT: bool>(block: &mut Block, side: &Side, bit: u32) {
    let output = side.output.index();
    let column = &block.outputs[output];
    for i in 0..LANES {
        let outside = if MINIMUM {
            column[i] < side.value
        } else {
            column[i] > side.value
        };
        let counts = !ABSENT | (block.absent[i] >> output & 1 == 0);
        block.broken[i] |= if outside & counts { bit } else { 0 };
    }
}
