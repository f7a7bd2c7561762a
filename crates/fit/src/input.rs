//! The inputs of a pairing: everything that may differ from joint to joint.
//!
//! A joint uses those that its seat and its bolt have; the others stay at 0. Tooth errors of a spline are
//! many and stand beside the inputs, see [`crate::Teeth`].

/// One input of a pairing. The order is the order of the columns of a block.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[repr(u8)]
pub enum Input {
    /// Gauge plane of the shaft's seat from the shoulder, `a_m` (mm).
    MalePlane,
    /// Size of the shaft's seat at its gauge plane (mm): diameter of the cone `D_m`, tooth thickness `S_m`.
    MaleSize,
    /// Half-angle (rad): of the male cone `alpha_m`, of the flanks of a spline `beta`.
    MaleHalfAngle,
    /// Gauge plane of the hub's seat from the clamping face, `a_f` (mm).
    FemalePlane,
    /// Size of the hub's seat at its gauge plane (mm): diameter of the cone `D_f`, space width `S_f`.
    FemaleSize,
    /// Half-angle of the female cone, `alpha_f` (rad).
    FemaleHalfAngle,
    /// Thickness of the spacer, `t` (mm).
    Thickness,
    /// Friction coefficient on the seat, `mu`.
    Friction,
    /// Torque that really turns the bolt, `T` (N·mm).
    Torque,
    /// Nut factor `k` in `B = T / (k d)`.
    NutFactor,
    /// Friction coefficient in the bolt's thread.
    ThreadFriction,
    /// Friction coefficient under the bolt's head.
    HeadFriction,
    /// Friction coefficient at the pinched faces of the spacer.
    FaceFriction,
    /// Settling of the spacer's two faces together, `f_s` (mm).
    FaceSettling,
    /// Settling at the bolt's head and thread together, `f_b` (mm).
    BoltSettling,
}

/// Number of inputs.
pub const INPUTS: usize = 15;

impl Input {
    /// All inputs, in order.
    pub const ALL: [Input; INPUTS] = [
        Input::MalePlane,
        Input::MaleSize,
        Input::MaleHalfAngle,
        Input::FemalePlane,
        Input::FemaleSize,
        Input::FemaleHalfAngle,
        Input::Thickness,
        Input::Friction,
        Input::Torque,
        Input::NutFactor,
        Input::ThreadFriction,
        Input::HeadFriction,
        Input::FaceFriction,
        Input::FaceSettling,
        Input::BoltSettling,
    ];

    /// The sizes of the two parts that seat: neither angles nor forces hang on them.
    pub const SIZES: [Input; 4] = [
        Input::MalePlane,
        Input::MaleSize,
        Input::FemalePlane,
        Input::FemaleSize,
    ];

    /// Place in the columns of a block.
    pub const fn index(self) -> usize {
        self as usize
    }
}
