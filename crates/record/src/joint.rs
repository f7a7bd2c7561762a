//! The joint at its nominal sizes, for the drawing and the page's head.

use serde::{Deserialize, Serialize};

/// The joint. Axial positions on the shaft count from the shoulder, in the hub from its clamping face.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Joint {
    /// Kind of seat: `cone`.
    pub seat: String,
    /// Elastic law: `rings`.
    pub elastic_law: String,
    /// The shaft.
    pub shaft: Shaft,
    /// The hub.
    pub hub: Hub,
    /// The spacer.
    pub spacer: Spacer,
    /// The bolt.
    pub bolt: Bolt,
    /// Friction on the cone, nominal.
    pub friction: f64,
    /// Smoothing allowance on diameter (mm).
    pub smoothing_mm: f64,
    /// Clearance below which blue transfers (mm).
    pub blue_film_mm: f64,
}

/// The shaft with its male cone.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Shaft {
    /// Material in words.
    pub material: String,
    /// Elastic modulus (MPa).
    pub modulus_mpa: f64,
    /// Poisson's ratio.
    pub poisson: f64,
    /// Bore diameter, 0 when solid (mm).
    pub bore_diameter_mm: f64,
    /// Flank of the cone from the shoulder: large end, small end (mm).
    pub flank_mm: [f64; 2],
    /// Gauge plane from the shoulder (mm).
    pub gauge_plane_mm: f64,
    /// Diameter at the gauge plane (mm).
    pub gauge_diameter_mm: f64,
    /// Half-angle (degrees).
    pub half_angle_deg: f64,
    /// Taper as the scenario states it, for example `1:20`.
    pub taper_stated: String,
}

/// The hub with its female cone.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Hub {
    /// Material in words.
    pub material: String,
    /// Elastic modulus (MPa).
    pub modulus_mpa: f64,
    /// Poisson's ratio.
    pub poisson: f64,
    /// Outside diameter (mm).
    pub outside_diameter_mm: f64,
    /// Flank of the cone from the clamping face: large end, small end (mm).
    pub flank_mm: [f64; 2],
    /// Gauge plane from the clamping face (mm).
    pub gauge_plane_mm: f64,
    /// Diameter at the gauge plane (mm).
    pub gauge_diameter_mm: f64,
    /// Half-angle (degrees).
    pub half_angle_deg: f64,
    /// Taper as the scenario states it.
    pub taper_stated: String,
}

/// The spacer.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Spacer {
    /// Nominal thickness (mm).
    pub thickness_mm: f64,
    /// Outside diameter, when given (mm).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub outside_diameter_mm: Option<f64>,
    /// Inside diameter, when given (mm).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub inside_diameter_mm: Option<f64>,
    /// Axial stiffness at nominal thickness (N/mm); left out for a rigid spacer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stiffness_n_per_mm: Option<f64>,
}

/// The bolt.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Bolt {
    /// Size as stated, for example `M12`.
    pub size: String,
    /// Nominal diameter (mm).
    pub diameter_mm: f64,
    /// Torque set on the wrench (N·m).
    pub torque_nm: f64,
}
