//! A scenario: one file, one question. What was typed, checked, in the units of the inside (mm, N, MPa, rad).

mod bolt;
mod canonical;
mod capability;
mod characteristic;
mod characteristics;
mod class;
mod cone;
mod correlation;
mod document;
mod drawn;
mod ends;
mod face;
pub(crate) mod from_lot;
mod grade;
mod guard;
mod head;
mod homes;
mod inspection;
mod joint;
mod lacking;
mod limits;
pub(crate) mod lines;
mod lot;
mod lots;
mod material;
mod mixture;
mod nearest;
mod overrides;
mod parameters;
mod process;
pub(crate) mod quantity;
pub(crate) mod read;
mod refused;
pub(crate) mod scale;
mod seat;
mod sense;
mod slow;
pub(crate) mod source;
mod spline;
mod stated;
mod syntax;
mod temperature;
mod thread;
mod tightening_factor;
pub(crate) mod unit;
pub(crate) mod until;
pub(crate) mod value;
pub(crate) mod walk;

use std::collections::BTreeMap;

use fit::Output;
use fit::fastener::{PropertyClass, Thread};
use sampling::Process;

pub use correlation::{Correlation, CorrelationKind};
pub use inspection::{Check, Inspection};
pub use lot::{FromLot, Lot, LotColumn, UseOfReadings};
pub use lots::{LotSource, WantedLot};

use crate::until::Until;

/// Pairings where none are stated.
pub const DEFAULT_PAIRINGS: u64 = 1_000_000;

/// Most pairings of a run that a rule may end, when they are not stated.
pub const DEFAULT_MOST_PAIRINGS: u64 = 1_000_000_000;

/// Seed where none is stated.
pub const DEFAULT_SEED: u64 = 1;

/// Confidence of intervals where none is stated.
pub const DEFAULT_CONFIDENCE: f64 = 0.95;

/// A checked scenario. A value that exists is valid: sizes are finite and possible, limits are in order.
#[derive(Debug, Clone)]
pub struct Scenario {
    /// What it is about.
    pub subject: Subject,
    /// How much to run.
    pub run: Run,
    /// What the hub is wedged on.
    pub seat: Seat,
    /// The shaft.
    pub shaft: Shaft,
    /// The hub.
    pub hub: Hub,
    /// The spacer.
    pub spacer: Spacer,
    /// The contact of the cones.
    pub contact: Contact,
    /// The bolt and its tightening.
    pub bolt: Bolt,
    /// Temperatures, where they are not 20 °C all the time.
    pub temperature: Option<Temperature>,
    /// Radius at which the run-out of the hub's face is stated (mm).
    pub runout_radius_mm: Option<f64>,
    /// What makes a joint good, in the order of the outputs.
    pub limits: Vec<Limit>,
    /// Correlations between characteristics of one part.
    pub correlations: Vec<Correlation>,
    /// Measured lots that processes use.
    pub lots: Vec<Lot>,
}

impl Scenario {
    /// The same scenario with another number of pairings.
    pub(crate) fn with_pairings(&self, pairings: u64) -> Scenario {
        let mut same = self.clone();
        same.run.pairings = pairings;
        same
    }
}

/// Free text from the head of the file.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Subject {
    /// Title.
    pub title: String,
    /// Drawing numbers by part.
    pub drawings: BTreeMap<String, String>,
    /// Supplier.
    pub supplier: Option<String>,
    /// Lot.
    pub lot: Option<String>,
    /// Notes.
    pub notes: Option<String>,
}

/// How much to run, and what to follow.
#[derive(Debug, Clone, PartialEq)]
pub struct Run {
    /// Pairings, 1..=2^53; the most of them where `until` can end the run.
    pub pairings: u64,
    /// The rule that ends the run, where one is stated.
    pub until: Option<Until>,
    /// Seed of the random stream.
    pub seed: u64,
    /// Two-sided confidence of every interval, in (0.5, 1).
    pub confidence: f64,
    /// The yield that is asked for, as a fraction.
    pub target_yield: Option<f64>,
    /// Outputs to follow, in their fixed order; always holds the judged ones.
    pub outputs: Vec<Output>,
}

/// Elastic constants of a part.
#[derive(Debug, Clone, PartialEq)]
pub struct Material {
    /// Name in words, for example `steel`.
    pub name: String,
    /// Elastic modulus (MPa).
    pub modulus_mpa: f64,
    /// Poisson's ratio.
    pub poisson: f64,
    /// Coefficient of linear thermal expansion (1/K), where it is known.
    pub expansion_per_k: Option<f64>,
}

/// A cone on a part. Axial positions count from the shoulder (shaft) or from the clamping face (hub).
#[derive(Debug, Clone)]
pub struct Cone {
    /// Axial position of the large end of the flank (mm).
    pub large_end_mm: f64,
    /// Axial position of the small end of the flank (mm).
    pub small_end_mm: f64,
    /// Axial position of the gauge plane (mm).
    pub gauge_plane: Characteristic,
    /// Diameter at the gauge plane (mm).
    pub gauge_diameter: Characteristic,
    /// Half-angle (rad), however it was stated.
    pub half_angle: Characteristic,
    /// How the angle was stated, for example `1:20`.
    pub taper_stated: String,
}

/// What the hub is wedged on.
#[derive(Debug, Clone)]
#[expect(
    clippy::large_enum_variant,
    reason = "there is one in a scenario; it is never moved about in numbers"
)]
pub enum Seat {
    /// A cone in a conical bore.
    Cone(Cones),
    /// Tapered teeth between tapered teeth.
    Spline(Spline),
}

/// The two cones of a joint.
#[derive(Debug, Clone)]
pub struct Cones {
    /// The male cone.
    pub shaft: Cone,
    /// The female cone.
    pub hub: Cone,
}

/// Equal teeth that grow thinner toward the free end, and the spaces between the teeth of the hub.
#[derive(Debug, Clone)]
pub struct Spline {
    /// Number of teeth.
    pub teeth: u32,
    /// Half-angle of the wedge that the two flanks of a tooth make (rad).
    pub flank_half_angle: Characteristic,
    /// Length over which the teeth are engaged (mm).
    pub engaged_length_mm: f64,
    /// Stiffness of a tooth pair per mm of engaged length (N/mm per mm).
    pub stiffness_n_per_mm2: f64,
    /// The teeth of the shaft.
    pub shaft: SplinePart,
    /// The spaces of the hub.
    pub hub: SplinePart,
}

/// The teeth of the shaft or the spaces of the hub. Axial positions count from the shoulder (shaft) or from the
/// clamping face (hub).
#[derive(Debug, Clone)]
pub struct SplinePart {
    /// Axial position of the gauge plane (mm).
    pub gauge_plane: Characteristic,
    /// Tooth thickness (shaft) or space width (hub) at the gauge plane (mm).
    pub size: Characteristic,
    /// Error of a tooth's place around the shaft (mm): enters its two flanks with opposite signs.
    pub index_error: Characteristic,
    /// Error of one flank, normal to it (mm); positive touches later.
    pub profile_error: Characteristic,
}

/// The shaft.
#[derive(Debug, Clone)]
pub struct Shaft {
    /// Material.
    pub material: Material,
    /// Bore diameter (mm): 0 when solid, and for a tapered spline, which states none.
    pub bore_diameter_mm: f64,
    /// The standard end that gives the sizes which are not stated, and how its sizes are known.
    pub end: Option<String>,
}

/// The hub.
#[derive(Debug, Clone)]
pub struct Hub {
    /// Material.
    pub material: Material,
    /// Outside diameter (mm): 0 for a tapered spline, which states none.
    pub outside_diameter_mm: f64,
    /// The standard end that gives the sizes which are not stated, and how its sizes are known.
    pub end: Option<String>,
}

/// The spacer.
#[derive(Debug, Clone)]
pub struct Spacer {
    /// Thickness (mm).
    pub thickness: Characteristic,
    /// How it yields under load.
    pub give: Give,
    /// Its material: that of the ring, or one that is stated for its expansion alone.
    pub material: Option<Material>,
    /// What its two faces settle by together after tightening (mm), 0 or more.
    pub settling: Option<Characteristic>,
}

/// How the spacer yields under load.
#[derive(Debug, Clone, PartialEq)]
pub enum Give {
    /// Not at all.
    Rigid,
    /// By a stated axial stiffness (N/mm).
    Stiffness(f64),
    /// As a plain ring: stiffness `E A / t`.
    Ring {
        /// Outside diameter (mm).
        outside_mm: f64,
        /// Inside diameter (mm).
        inside_mm: f64,
        /// Material.
        material: Material,
    },
}

/// The contact of the cones.
#[derive(Debug, Clone)]
pub struct Contact {
    /// Friction coefficient.
    pub friction: Characteristic,
    /// Smoothing allowance on diameter (mm).
    pub smoothing_mm: f64,
    /// Radial clearance below which blue transfers at hand force (mm).
    pub blue_film_mm: f64,
    /// The faces of the pinched spacer, where they are to carry torque.
    pub face: Option<Face>,
}

/// The faces of the pinched spacer, through which the clamp load carries torque: `mu_face N r_face`.
#[derive(Debug, Clone)]
pub struct Face {
    /// Friction coefficient.
    pub friction: Characteristic,
    /// Radius at which the friction acts (mm).
    pub radius_mm: f64,
}

/// The bolt and its tightening.
#[derive(Debug, Clone)]
pub struct Bolt {
    /// Size as stated, for example `M12`.
    pub size: String,
    /// Nominal diameter (mm).
    pub diameter_mm: f64,
    /// The thread; unknown where the size is a diameter without a pitch.
    pub thread: Option<Thread>,
    /// Tightening torque (N·mm).
    pub torque: Characteristic,
    /// Whether the scatter of the torque is stated by a tightening factor, which is that of the preload.
    pub torque_by_factor: bool,
    /// How torque becomes bolt load.
    pub tightening: Tightening,
    /// Property class, where one is stated.
    pub property_class: Option<PropertyClass>,
    /// 0.2 % yield strength (MPa), as stated or by the property class.
    pub yield_strength_mpa: Option<f64>,
    /// Settling at head and thread, 0 or more (mm).
    pub settling: Option<Characteristic>,
    /// Stated axial stiffness (N/mm).
    pub stiffness_n_per_mm: Option<f64>,
    /// Material of the bolt as a plain cylinder; with it the thread and both places below are known.
    pub material: Option<Material>,
    /// Where the head bears, from the hub's clamping face (mm).
    pub head_at_mm: Option<f64>,
    /// First loaded thread, from the shoulder (mm).
    pub thread_at_mm: Option<f64>,
}

/// How torque becomes bolt load.
#[derive(Debug, Clone)]
#[expect(
    clippy::large_enum_variant,
    reason = "there is one in a scenario; it is never moved about in numbers"
)]
pub enum Tightening {
    /// By a nut factor.
    NutFactor(Characteristic),
    /// By the frictions in the thread and under the head; the thread is known.
    Friction {
        /// Friction coefficient of the thread.
        thread: Characteristic,
        /// Friction coefficient under the head.
        head: Characteristic,
        /// Mean bearing diameter of the head (mm).
        head_diameter_mm: f64,
    },
}

/// Temperatures of the parts. Sizes are those at 20 °C (ISO 1).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Temperature {
    /// While the joint is put together.
    pub assembly: PartTemperatures,
    /// In service, where it is asked for.
    pub service: Option<ServiceTemperatures>,
}

/// Temperatures while the joint is put together (°C).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PartTemperatures {
    /// Of the shaft.
    pub shaft: f64,
    /// Of the hub.
    pub hub: f64,
    /// Of the spacer.
    pub spacer: f64,
}

/// Temperatures in service (°C).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ServiceTemperatures {
    /// Of the shaft.
    pub shaft: f64,
    /// Of the hub.
    pub hub: f64,
    /// Of the spacer.
    pub spacer: f64,
    /// Of the bolt.
    pub bolt: f64,
}

/// One limit on an output, in the output's own unit.
#[derive(Debug, Clone, PartialEq)]
pub struct Limit {
    /// The output.
    pub output: Output,
    /// Smallest value of a good joint.
    pub min: Option<f64>,
    /// Largest value of a good joint.
    pub max: Option<f64>,
}

/// One characteristic: nominal, drawing limits and process, in the units of the inside.
#[derive(Debug, Clone)]
pub struct Characteristic {
    /// Dotted path, for example `shaft.gauge_diameter`.
    pub path: &'static str,
    /// Nominal.
    pub nominal: f64,
    /// Lower drawing limit, absolute.
    pub lower: Option<f64>,
    /// Upper drawing limit, absolute.
    pub upper: Option<f64>,
    /// What really comes off the machine.
    pub process: Process,
    /// How the process was stated, in words.
    pub stated: String,
    /// The class or grade that gave the drawing limits, for example `H7`.
    pub class: Option<String>,
    /// The readings behind the process.
    pub from_lot: Option<FromLot>,
    /// How it is inspected before assembly.
    pub inspection: Option<Inspection>,
    /// How a person reads the value.
    pub shown_in: Shown,
}

/// The unit in which a characteristic is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shown {
    /// mm as it is.
    Millimetre,
    /// rad as degrees of half-angle.
    HalfAngleDegree,
    /// N·mm as N·m.
    NewtonMetre,
    /// A plain ratio.
    Ratio,
}
