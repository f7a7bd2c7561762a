//! The inputs of a pairing: everything that may differ from joint to joint.

/// One input of a pairing. The order is the order of the columns of a block.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[repr(u8)]
pub enum Input {
    /// Gauge plane of the male cone from the shoulder, `a_m` (mm).
    MalePlane,
    /// Diameter of the male cone at its gauge plane, `D_m` (mm).
    MaleDiameter,
    /// Half-angle of the male cone, `alpha_m` (rad).
    MaleHalfAngle,
    /// Gauge plane of the female cone from the clamping face, `a_f` (mm).
    FemalePlane,
    /// Diameter of the female cone at its gauge plane, `D_f` (mm).
    FemaleDiameter,
    /// Half-angle of the female cone, `alpha_f` (rad).
    FemaleHalfAngle,
    /// Thickness of the spacer, `t` (mm).
    Thickness,
    /// Friction coefficient on the cone, `mu`.
    Friction,
    /// Torque that really turns the bolt, `T` (N·mm).
    Torque,
    /// Nut factor `k` in `B = T / (k d)`.
    NutFactor,
}

/// Number of inputs.
pub const INPUTS: usize = 10;

impl Input {
    /// All inputs, in order.
    pub const ALL: [Input; INPUTS] = [
        Input::MalePlane,
        Input::MaleDiameter,
        Input::MaleHalfAngle,
        Input::FemalePlane,
        Input::FemaleDiameter,
        Input::FemaleHalfAngle,
        Input::Thickness,
        Input::Friction,
        Input::Torque,
        Input::NutFactor,
    ];

    /// Place in the columns of a block.
    pub const fn index(self) -> usize {
        self as usize
    }
}
