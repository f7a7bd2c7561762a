//! Play of a joint that is not right: a hub that rocks on free cones, a spacer that is loose.
//!
//! ```text
//! rock angle = 2 (c_lo + c_hi)/L          full swing
//! runout     = rock angle * R             full axial reading at the radius R
//! play of the spacer = max(0, h - t)
//! ```
//!
//! `c_lo`, `c_hi` radial clearances at the two ends of the overlap of length `L` (mm), without the smoothing allowance;
//! they are 0 where the cones touch. The hub tilts until it touches at opposite ends of the overlap, either way, so the
//! swing is twice the sum of the clearances over the length; small angles. A joint whose cones press has neither rock nor
//! runout. The runout is that of a hub that lies anyhow within its play; nothing is said of the runout of a seated hub.
//! Source: geometry.

use std::f64::consts::PI;

use crate::block::Block;
use crate::cone::Cone;
use crate::joint::Joint;
use crate::lanes::{LANES, larger};
use crate::loads::{bit, stopped};
use crate::output::Output;

/// Rock angle and runout of hubs whose cones are free.
#[inline(always)]
pub(crate) fn rock(block: &mut Block, cone: &Cone, joint: &Joint) {
    let radius = joint.sizes().runout_radius.unwrap_or(0.0);
    let (work, outputs) = (&block.work, &mut block.outputs);
    for i in 0..LANES {
        let overlap = stopped(work, outputs, i, cone.ends);
        let length = overlap.hi - overlap.lo;
        let free = work.radial[i] <= 0.0;
        let clearance = |interference: f64| larger(-interference - cone.half_smoothing, 0.0);
        let clearances = clearance(overlap.d_lo) + clearance(overlap.d_hi);
        let lies_over = length > 0.0;
        let swing = 2.0 * clearances / if lies_over { length } else { 1.0 };
        let swing = if free { swing } else { 0.0 };
        outputs[Output::RockAngle.index()][i] = swing * (180.0 / PI);
        outputs[Output::Runout.index()][i] = swing * radius;
        block.absent[i] |= if free & !lies_over {
            bit(Output::RockAngle) | bit(Output::Runout)
        } else {
            0
        };
    }
}
