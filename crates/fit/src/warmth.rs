//! Temperatures: what they make of the sizes, at assembly and in service.
//!
//! Sizes are stated at 20 °C (ISO 1). A part of expansion `a` at the temperature `T` has every length `1 + a (T - 20)`
//! times as long; its angles stay.

/// Growth of every length of a part from 20 °C to assembly: `1 + a (T - 20)`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Growth {
    /// Shaft.
    pub shaft: f64,
    /// Hub.
    pub hub: f64,
    /// Spacer.
    pub spacer: f64,
}

impl Growth {
    /// Everything at 20 °C.
    pub const NONE: Growth = Growth {
        shaft: 1.0,
        hub: 1.0,
        spacer: 1.0,
    };
}

/// From assembly to service: thermal strain `a dT` of each part, and where the bolt holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Service {
    /// Shaft, `a_s dT_s`.
    pub shaft: f64,
    /// Hub, `a_h dT_h`.
    pub hub: f64,
    /// Spacer, `a_t dT_t`.
    pub spacer: f64,
    /// Bolt, `a_b dT_b`.
    pub bolt: f64,
    /// Bearing plane of the bolt's head from the hub's clamping face, `L_h` (mm).
    pub head_at: f64,
    /// First loaded thread from the shoulder, `x_b` (mm).
    pub thread_at: f64,
}
