//! What the torque buys: shares of joints against the torque set on the wrench.

use serde::{Deserialize, Serialize};

use crate::share::Share;

/// Shares against torque; each pairing keeps its own relative torque error and frictions.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TorqueCurve {
    /// Pairings behind each point: the first of the run.
    pub pairings: u64,
    /// Torque that the scenario sets (N·m).
    pub set_nm: f64,
    /// 0.135 % quantile of the torque that is really applied at that setting (N·m).
    pub low_nm: f64,
    /// 99.865 % quantile of the torque that is really applied at that setting (N·m).
    pub high_nm: f64,
    /// True when the spacer is rigid: the bore stress then stays as it is once the spacer is pinched.
    pub rigid_spacer: bool,
    /// Points, lowest torque first.
    pub points: Vec<TorquePoint>,
}

/// One torque setting.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TorquePoint {
    /// Torque set on the wrench (N·m).
    pub torque_nm: f64,
    /// Joints whose spacer is pinched.
    pub pinched: Share,
    /// Joints with enough clamp load; left out without such a limit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clamped: Option<Share>,
    /// Joints whose bore is over-stressed; left out without such a limit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub overstressed: Option<Share>,
    /// Joints whose bolt is used beyond its limit; left out without such a limit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub overtightened: Option<Share>,
    /// Good joints.
    pub good: Share,
}
