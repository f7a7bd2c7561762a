//! The joint at its nominal sizes, for the drawing and the page's head.

use serde::{Deserialize, Serialize};

/// The joint. Axial positions on the shaft count from the shoulder, in the hub from its clamping face.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Joint {
    /// Kind of seat: `cone` or `tapered_spline`.
    pub seat: String,
    /// Elastic law: `rings` for a cone, `teeth` for a tapered spline.
    pub elastic_law: String,
    /// The shaft.
    pub shaft: Shaft,
    /// The hub.
    pub hub: Hub,
    /// The teeth of a tapered spline.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub teeth: Option<Teeth>,
    /// The spacer.
    pub spacer: Spacer,
    /// The bolt.
    pub bolt: Bolt,
    /// Friction on the seat, nominal.
    pub friction: f64,
    /// Smoothing allowance on diameter (mm); a cone's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub smoothing_mm: Option<f64>,
    /// Clearance below which blue transfers (mm); a cone's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub blue_film_mm: Option<f64>,
    /// Mean friction radius of the pinched faces, when torque capacity is asked for (mm).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub face_radius_mm: Option<f64>,
    /// Radius at which the runout of a rocking hub is read, when it is asked for (mm).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub runout_radius_mm: Option<f64>,
    /// Temperatures, when they are stated.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub temperature: Option<Temperature>,
}

/// The shaft with its half of the seat.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Shaft {
    /// Material in words.
    pub material: String,
    /// Elastic modulus (MPa).
    pub modulus_mpa: f64,
    /// Poisson's ratio.
    pub poisson: f64,
    /// The standard shaft end whose sizes it takes where nothing else is stated.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub end: Option<String>,
    /// Bore diameter, 0 when solid (mm).
    pub bore_diameter_mm: f64,
    /// The male cone.
    #[serde(flatten, default, skip_serializing_if = "Option::is_none")]
    pub cone: Option<Cone>,
    /// The male half of a tapered spline.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub spline: Option<SplineHalf>,
}

/// The hub with its half of the seat.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Hub {
    /// Material in words.
    pub material: String,
    /// Elastic modulus (MPa).
    pub modulus_mpa: f64,
    /// Poisson's ratio.
    pub poisson: f64,
    /// The standard end whose sizes it takes where nothing else is stated.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub end: Option<String>,
    /// Outside diameter, which a cone needs (mm).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub outside_diameter_mm: Option<f64>,
    /// The female cone.
    #[serde(flatten, default, skip_serializing_if = "Option::is_none")]
    pub cone: Option<Cone>,
    /// The female half of a tapered spline.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub spline: Option<SplineHalf>,
}

/// A cone on a part.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Cone {
    /// Flank of the cone: large end, small end (mm).
    pub flank_mm: [f64; 2],
    /// Gauge plane (mm).
    pub gauge_plane_mm: f64,
    /// Diameter at the gauge plane (mm).
    pub gauge_diameter_mm: f64,
    /// Half-angle (degrees).
    pub half_angle_deg: f64,
    /// Taper as the scenario states it, for example `1:20`.
    pub taper_stated: String,
}

/// One part's half of a tapered spline.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SplineHalf {
    /// Gauge plane (mm).
    pub gauge_plane_mm: f64,
    /// Tooth thickness or space width at the gauge plane (mm).
    pub size_mm: f64,
}

/// What both halves of a tapered spline have in common.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Teeth {
    /// Number of teeth.
    pub count: u32,
    /// Half-angle of the flanks (degrees).
    pub flank_half_angle_deg: f64,
    /// Engaged length (mm).
    pub engaged_length_mm: f64,
    /// Stiffness of a tooth pair per mm of engaged length (N/mm per mm).
    pub stiffness_n_per_mm2: f64,
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
    /// Pitch, when torque and load are related by the frictions of thread and head (mm).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pitch_mm: Option<f64>,
    /// Mean bearing diameter of the head, when torque and load are related by friction (mm).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub head_diameter_mm: Option<f64>,
    /// Property class, when it is stated.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub property_class: Option<String>,
    /// Yield strength Rp0.2, when it is known (MPa).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub yield_strength_mpa: Option<f64>,
    /// Axial stiffness, when it is known (N/mm).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stiffness_n_per_mm: Option<f64>,
}

/// Temperatures of the parts (degrees Celsius).
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Temperature {
    /// At assembly.
    pub assembly_c: PartTemperatures,
    /// In service, when it is asked for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub service_c: Option<PartTemperatures>,
}

/// One temperature for each part (degrees Celsius).
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PartTemperatures {
    /// Shaft.
    pub shaft: f64,
    /// Hub.
    pub hub: f64,
    /// Spacer.
    pub spacer: f64,
    /// Bolt; in service only.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bolt: Option<f64>,
}

#[cfg(test)]
mod tests {
    use super::*;

    fn committed() -> Joint {
        let text = include_str!("../../../reports/pump-impeller/result.json");
        let record = crate::Record::from_json(text).expect("a committed record");
        record.joint
    }

    #[test]
    fn a_cone_keeps_its_keys_beside_those_of_its_part() {
        let joint = committed();
        let cone = joint.shaft.cone.clone().expect("a cone");
        let value = serde_json::to_value(&joint).expect("plain data");
        for part in ["shaft", "hub"] {
            assert!(value[part].get("cone").is_none(), "{part}");
            for key in [
                "flank_mm",
                "gauge_plane_mm",
                "gauge_diameter_mm",
                "half_angle_deg",
                "taper_stated",
            ] {
                assert!(value[part].get(key).is_some(), "{part}.{key}");
            }
        }
        assert_eq!(value["shaft"]["half_angle_deg"], cone.half_angle_deg);
        let read: Joint = serde_json::from_value(value).expect("reads back");
        assert_eq!(read, joint);
    }

    #[test]
    fn a_joint_without_cones_reads_back_without_cones() {
        let mut joint = committed();
        joint.seat = "tapered_spline".to_owned();
        (joint.shaft.cone, joint.hub.cone) = (None, None);
        joint.hub.outside_diameter_mm = None;
        joint.shaft.spline = Some(SplineHalf {
            gauge_plane_mm: 2.0,
            size_mm: 1.1 + 0.2,
        });
        joint.teeth = Some(Teeth {
            count: 36,
            flank_half_angle_deg: 30.0,
            engaged_length_mm: 14.0,
            stiffness_n_per_mm2: 14_000.0,
        });
        let text = serde_json::to_string(&joint).expect("plain data");
        assert!(
            !text.contains("null") && !text.contains("flank_mm"),
            "{text}"
        );
        assert_eq!(
            serde_json::from_str::<Joint>(&text).expect("reads back"),
            joint
        );
    }
}
