//! Joint geometry and mechanics: where a pairing seats, whether the clamp closes, and the verdict.
//!
//! No randomness, no files, no threads: the physics can be checked by hand. The way through a block is short, for each
//! kind of seat the same: first touch without force, the balance under the bolt, the outputs, the verdict. One pairing runs
//! through the same equations as a block. A page for each mechanism states its equations, symbols with units, signs, when
//! it holds, and sources:
//!
//! | page | mechanism |
//! |---|---|
//! | [`approach`] | first touch of two cones |
//! | [`seat`], [`picked`], [`search`] | balance of bolt, seat and spacer |
//! | [`rings`], [`trust`] | the elastic law of a cone, and how far it may be trusted |
//! | [`spline`], [`spline::flanks`] | tapered teeth |
//! | [`loads`] | gap, closing torque, contact and blue share |
//! | [`capacity`] | slip torque, torque capacity, release, self-locking |
//! | [`play`] | rock angle, runout, play of the spacer |
//! | [`bolt`], [`fastener`] | torque, load, utilisation and stiffness of the bolt |
//! | [`settling`] | what flattens after tightening |
//! | [`service`] | other temperatures in service |
//! | [`judge`] | the limits that are broken |
//!
//! Units inside: mm, N, MPa, rad, N·mm. Axial positions on the shaft count from the shoulder toward the free
//! end, in the hub from its clamping face.

#![allow(
    clippy::needless_range_loop,
    reason = "lane loops read and write many columns at one index; the plain form is what the compiler vectorises"
)]

pub mod approach;
mod block;
pub mod bolt;
pub mod capacity;
mod cone;
mod criteria;
pub mod fastener;
mod input;
mod joint;
pub mod judge;
mod lanes;
mod law;
pub mod loads;
mod missing;
mod output;
mod pairing;
pub mod picked;
pub mod play;
pub mod rings;
pub mod search;
pub mod seat;
pub mod service;
pub mod settling;
pub mod spline;
mod tangent;
pub mod trust;
mod verdict;
mod warmth;

pub use approach::Pass;
pub use block::{Block, Outputs};
pub use bolt::{BoltSizes, BoltStress, Turn};
pub use cone::{Cone, ConeSizes};
pub use criteria::{CONES_FREE, Criteria, CriteriaError, FIRST_SIDE, GAP_LEFT, NEVER_SEATS, Side};
pub use input::{INPUTS, Input};
pub use joint::{Joint, JointError, JointSizes, Seat, Spacer};
pub use lanes::{Column, LANES};
pub use law::{ElasticLaw, Overlap, Rates};
pub use missing::Missing;
pub use output::{OUTPUTS, Output};
pub use pairing::{Pairing, Solution};
pub use rings::{LAW_ERROR, RingLaw, RingParts, Rings, SURFACE_ERROR};
pub use spline::{SplineSizes, TEETH, Teeth, ToothErrors};
pub use tangent::{TANGENT_REACH_RAD, Tangent};
pub use verdict::{VERDICTS, Verdict};
pub use warmth::{Growth, Service};
