//! The bolt by itself: thread geometry, torque and stress per bolt load, stiffness. Plain numbers, no pairing.
//!
//! The relations hold for the metric 60-degree thread with a single start, tightened by torque in the elastic range.
//! Those that hold a friction are split into a constant and a coefficient per friction, because the frictions scatter
//! from joint to joint and the rest does not.
//!
//! Units: mm, N, MPa; a torque per load has the unit of a length, a stress per load that of one over an area.

use std::f64::consts::{PI, TAU};

/// Square root of 3: `2 cos 30` of the 60-degree thread.
const ROOT_3: f64 = 1.732_050_807_568_877_2;

/// A metric size: nominal diameter (mm), coarse pitch (mm), usual fine pitches (mm), bearing diameter `dw` of the
/// hexagon head (mm), clearance hole `dh` (mm).
struct Size {
    diameter: u8,
    coarse: f64,
    fine: &'static [f64],
    bearing: f64,
    hole: f64,
}

const fn size(diameter: u8, coarse: f64, fine: &'static [f64], bearing: f64, hole: f64) -> Size {
    Size {
        diameter,
        coarse,
        fine,
        bearing,
        hole,
    }
}

/// Pitches: ISO 261, from memory; of the fine ones those in common use. `dh`: ISO 273 medium, `dw`: hexagon head of
/// ISO 4014, product grade A to M24 and B above, least value. Both are from memory; those of M8, M10, M12, M16 and M20
/// are held by published pairs of torque and preload (`tests/tests/published_bolts.rs`).
const SIZES: [Size; 18] = [
    size(4, 0.7, &[0.5], 5.9, 4.5),
    size(5, 0.8, &[0.5], 6.9, 5.5),
    size(6, 1.0, &[0.75], 8.9, 6.6),
    size(8, 1.25, &[1.0, 0.75], 11.6, 9.0),
    size(10, 1.5, &[1.25, 1.0, 0.75], 14.6, 11.0),
    size(12, 1.75, &[1.5, 1.25, 1.0], 16.6, 13.5),
    size(14, 2.0, &[1.5, 1.25, 1.0], 19.6, 15.5),
    size(16, 2.0, &[1.5, 1.0], 22.5, 17.5),
    size(18, 2.5, &[2.0, 1.5, 1.0], 25.3, 20.0),
    size(20, 2.5, &[2.0, 1.5, 1.0], 28.2, 22.0),
    size(22, 2.5, &[2.0, 1.5, 1.0], 31.7, 24.0),
    size(24, 3.0, &[2.0, 1.5, 1.0], 33.6, 26.0),
    size(27, 3.0, &[2.0, 1.5, 1.0], 38.0, 30.0),
    size(30, 3.5, &[3.0, 2.0, 1.5, 1.0], 42.8, 33.0),
    size(33, 3.5, &[3.0, 2.0, 1.5], 46.6, 36.0),
    size(36, 4.0, &[3.0, 2.0, 1.5], 51.1, 39.0),
    size(39, 4.0, &[3.0, 2.0, 1.5], 55.9, 42.0),
    size(42, 4.5, &[4.0, 3.0, 2.0, 1.5], 60.0, 45.0),
];

/// The fine pitches of a coarse size, as names: `M12x1.5, M12x1.25, M12x1`. Empty for a size that is not listed.
pub fn fine_names(diameter_mm: f64) -> String {
    let found = SIZES.iter().find(|s| f64::from(s.diameter) == diameter_mm);
    let names = found.map_or(&[][..], |s| s.fine).iter();
    let names: Vec<_> = names.map(|p| format!("M{diameter_mm}x{p}")).collect();
    names.join(", ")
}

/// The coarse sizes, as names: `M4, M5, ...`.
pub fn coarse_names() -> String {
    SIZES.map(|s| format!("M{}", s.diameter)).join(", ")
}

/// Mean bearing diameter of a hexagon head on a medium clearance hole (mm): `(dw + dh)/2`.
///
/// `dw` bearing diameter of the head, `dh` clearance hole. It is the lever of the head friction for a bearing face that
/// wears in evenly. Source: VDI 2230 (`D_Km`), sizes as stated beside the table. `None` for a diameter that is not listed.
pub fn head_bearing_diameter(diameter_mm: f64) -> Option<f64> {
    let found = SIZES
        .iter()
        .find(|s| f64::from(s.diameter) == diameter_mm)?;
    Some(0.5 * (found.bearing + found.hole))
}

/// A metric 60-degree thread: nominal diameter `d` and pitch `P`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Thread {
    diameter: f64,
    pitch: f64,
}

/// Why a thread was refused.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum ThreadError {
    /// A size is not finite or not above 0.
    #[error("a thread of diameter {diameter} mm and pitch {pitch} mm: both must be above 0")]
    NotPositive {
        /// Nominal diameter (mm).
        diameter: f64,
        /// Pitch (mm).
        pitch: f64,
    },
    /// The thread cuts through the bolt.
    #[error("a pitch of {pitch} mm, which leaves no core in a bolt of {diameter} mm")]
    NoCore {
        /// Nominal diameter (mm).
        diameter: f64,
        /// Pitch (mm).
        pitch: f64,
    },
}

impl Thread {
    /// A thread of a diameter and a pitch (mm).
    ///
    /// # Errors
    /// When a size is not above 0, or when the core diameter would not be.
    pub fn new(diameter: f64, pitch: f64) -> Result<Thread, ThreadError> {
        let above_zero = |x: f64| x.is_finite() && x > 0.0;
        if !(above_zero(diameter) && above_zero(pitch)) {
            return Err(ThreadError::NotPositive { diameter, pitch });
        }
        let thread = Thread { diameter, pitch };
        if thread.core_diameter() <= 0.0 {
            return Err(ThreadError::NoCore { diameter, pitch });
        }
        Ok(thread)
    }

    /// The thread of a name: `M12` coarse, `M12x1.25` fine (the coarse pitch may be written too). `None` for others.
    pub fn metric(name: &str) -> Option<Thread> {
        let rest = name.strip_prefix('M')?;
        let (diameter, pitch) = match rest.split_once('x') {
            Some((diameter, pitch)) => (diameter, Some(pitch)),
            None => (rest, None),
        };
        let size = SIZES.iter().find(|s| s.diameter.to_string() == diameter)?;
        let pitch = match pitch {
            None => size.coarse,
            Some(text) => {
                let all = size.fine.iter().chain([&size.coarse]);
                *all.into_iter().find(|p| p.to_string() == text)?
            }
        };
        Some(Thread {
            diameter: f64::from(size.diameter),
            pitch,
        })
    }

    /// Nominal diameter `d` (mm).
    pub const fn diameter(&self) -> f64 {
        self.diameter
    }

    /// Pitch `P` (mm).
    pub const fn pitch(&self) -> f64 {
        self.pitch
    }

    /// Pitch diameter (mm): `d2 = d - 3/4 H = d - 0.649519 P`, with the height of the sharp profile
    /// `H = P sqrt(3)/2`. Source: ISO 724.
    pub fn pitch_diameter(&self) -> f64 {
        self.diameter - 0.375 * ROOT_3 * self.pitch
    }

    /// Core diameter of the bolt (mm): `d3 = d - 17/12 H = d - 1.226869 P`. Source: ISO 724, ISO 68-1.
    pub fn core_diameter(&self) -> f64 {
        self.diameter - 17.0 / 24.0 * ROOT_3 * self.pitch
    }

    /// Diameter of the stress area (mm): `ds = (d2 + d3)/2`. Source: ISO 898-1.
    pub fn stress_diameter(&self) -> f64 {
        0.5 * (self.pitch_diameter() + self.core_diameter())
    }

    /// Stress area (mm2): `As = pi ds^2/4`. Source: ISO 898-1.
    pub fn stress_area(&self) -> f64 {
        let ds = self.stress_diameter();
        0.25 * PI * ds * ds
    }

    /// Axial stiffness of the bolt as a plain cylinder of the stress area (N/mm): `k_b = E As / l`.
    ///
    /// `E` modulus (MPa), `l` length between the head's bearing face and the first loaded thread (mm). Left out: head and
    /// engaged thread, whose give makes a bolt softer, and a shank thicker than the thread, which makes it stiffer.
    /// Source: bar in tension, handbook.
    pub fn cylinder_stiffness(&self, modulus: f64, length: f64) -> f64 {
        modulus * self.stress_area() / length
    }
}

/// Tightening torque per bolt load (mm): `T/B = constant + mu_thread x per_thread_friction + mu_head x per_head_friction`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TorquePerLoad {
    /// What stretches the bolt (mm).
    pub constant: f64,
    /// Per coefficient of friction in the thread (mm).
    pub per_thread_friction: f64,
    /// Per coefficient of friction under the head (mm).
    pub per_head_friction: f64,
}

impl TorquePerLoad {
    /// `T/B = P/(2 pi) + mu_thread d2/(2 cos 30) + mu_head D_head/2`.
    ///
    /// `T` tightening torque (N mm), `B` bolt load (N), `P` pitch, `d2` pitch diameter, `D_head` mean bearing diameter of
    /// the head (mm). Small lead angles: the product of the tangents of lead and friction angle is neglected against 1,
    /// which takes less than 1.5 % off the thread's part for the listed threads at frictions up to 0.2. Source: VDI 2230.
    pub fn new(thread: &Thread, head_diameter: f64) -> TorquePerLoad {
        TorquePerLoad {
            constant: thread.pitch() / TAU,
            per_thread_friction: thread.pitch_diameter() / ROOT_3,
            per_head_friction: 0.5 * head_diameter,
        }
    }

    /// Torque per bolt load (mm) at these frictions.
    #[inline(always)]
    pub fn at(&self, thread_friction: f64, head_friction: f64) -> f64 {
        let thread = thread_friction.mul_add(self.per_thread_friction, self.constant);
        head_friction.mul_add(self.per_head_friction, thread)
    }
}

/// Equivalent stress in the thread per bolt load (1/mm2), while the bolt is tightened.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StressPerLoad {
    /// Tension per bolt load (1/mm2): `1/As`.
    pub tension: f64,
    /// Shear over tension at no friction in the thread.
    pub twist: f64,
    /// Shear over tension per coefficient of friction in the thread.
    pub twist_per_thread_friction: f64,
}

impl StressPerLoad {
    /// Tension on the stress area together with the torsion of the thread, by von Mises:
    ///
    /// ```text
    /// s_eq/B = (1/As) sqrt(1 + 3 (tau/sigma)^2)
    /// tau/sigma = (3/2) (d2/ds) ( P/(pi d2) + mu_thread/cos 30 )
    /// ```
    ///
    /// The factor 3/2 belongs to a section that yields throughout under torsion, with the moment of resistance
    /// `pi ds^3/12`. Symbols as in [`Thread`]. Source: VDI 2230.
    pub fn tightened(thread: &Thread) -> StressPerLoad {
        let (d2, ds) = (thread.pitch_diameter(), thread.stress_diameter());
        StressPerLoad {
            tension: 1.0 / thread.stress_area(),
            twist: 1.5 * thread.pitch() / (PI * ds),
            twist_per_thread_friction: 1.5 * d2 / ds * (2.0 / ROOT_3),
        }
    }

    /// Tension alone, `s/B = 1/As`: for a nut factor, which does not say how much of the torque the thread carries.
    /// It lies below the equivalent stress during tightening.
    pub fn tension_alone(thread: &Thread) -> StressPerLoad {
        StressPerLoad {
            tension: 1.0 / thread.stress_area(),
            twist: 0.0,
            twist_per_thread_friction: 0.0,
        }
    }

    /// Stress per bolt load (1/mm2) at this friction in the thread.
    #[inline(always)]
    pub fn at(&self, thread_friction: f64) -> f64 {
        let twist = thread_friction.mul_add(self.twist_per_thread_friction, self.twist);
        self.tension * (3.0 * twist).mul_add(twist, 1.0).sqrt()
    }
}

/// Property class of a steel bolt.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PropertyClass {
    /// 8.8.
    Class8_8,
    /// 10.9.
    Class10_9,
    /// 12.9.
    Class12_9,
}

impl PropertyClass {
    /// Every class, the softest first.
    pub const ALL: [PropertyClass; 3] = [
        PropertyClass::Class8_8,
        PropertyClass::Class10_9,
        PropertyClass::Class12_9,
    ];

    /// The name on the head: `8.8`.
    pub const fn name(self) -> &'static str {
        match self {
            PropertyClass::Class8_8 => "8.8",
            PropertyClass::Class10_9 => "10.9",
            PropertyClass::Class12_9 => "12.9",
        }
    }

    /// Least 0.2 % yield strength `Rp0.2` (MPa) of a bolt of this nominal diameter (mm): 8.8 has 640 to 16 mm and 660
    /// above. Source: ISO 898-1, VDI 2230; from memory, the class 8.8 held by published preloads.
    pub fn yield_strength(self, diameter_mm: f64) -> f64 {
        match self {
            PropertyClass::Class8_8 if diameter_mm <= 16.0 => 640.0,
            PropertyClass::Class8_8 => 660.0,
            PropertyClass::Class10_9 => 940.0,
            PropertyClass::Class12_9 => 1100.0,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_read_with_coarse_and_fine_pitch_and_others_do_not() {
        let read = |name| Thread::metric(name).map(|t| (t.diameter(), t.pitch()));
        assert_eq!(read("M12"), Some((12.0, 1.75)));
        assert_eq!(read("M12x1.25"), Some((12.0, 1.25)));
        assert_eq!(read("M12x1.75"), Some((12.0, 1.75)));
        assert_eq!(read("M16x1"), Some((16.0, 1.0)));
        for other in [
            "M12x",
            "M12x1.3",
            "M13",
            "M",
            "12",
            "m12",
            "M012",
            "M12 ",
            "M12x1.250",
        ] {
            assert_eq!(read(other), None, "{other}");
        }
    }

    #[test]
    fn every_listed_name_reads_and_fine_pitches_are_finer() {
        for name in coarse_names().split(", ") {
            let coarse = Thread::metric(name).unwrap_or_else(|| panic!("{name}"));
            assert!(head_bearing_diameter(coarse.diameter()) > Some(coarse.diameter()));
            for name in fine_names(coarse.diameter()).split(", ") {
                let fine = Thread::metric(name).unwrap_or_else(|| panic!("{name}"));
                assert_eq!(fine.diameter(), coarse.diameter());
                assert!(fine.pitch() < coarse.pitch(), "{name}");
            }
        }
        assert_eq!(head_bearing_diameter(12.5), None);
        assert_eq!(fine_names(12.5), "");
    }

    #[test]
    fn impossible_threads_are_refused() {
        assert!(Thread::new(12.0, 1.75).is_ok());
        for (d, p) in [(0.0, 1.0), (12.0, 0.0), (-12.0, 1.0), (12.0, f64::NAN)] {
            let error = Thread::new(d, p).unwrap_err();
            assert!(matches!(error, ThreadError::NotPositive { .. }), "{error}");
        }
        assert!(matches!(
            Thread::new(12.0, 10.0),
            Err(ThreadError::NoCore { .. })
        ));
    }

    #[test]
    fn split_relations_add_up_to_the_whole_ones() {
        let thread = Thread::metric("M10").unwrap();
        let (d2, ds, pitch) = (thread.pitch_diameter(), thread.stress_diameter(), 1.5);
        let (mu_thread, mu_head, head) = (0.11, 0.13, 12.8);
        let cos = libm::cos(PI / 6.0);
        let whole = pitch / TAU + mu_thread * d2 / (2.0 * cos) + mu_head * head / 2.0;
        let split = TorquePerLoad::new(&thread, head).at(mu_thread, mu_head);
        assert!((split / whole - 1.0).abs() < 1e-14);

        let load = 25_000.0;
        let twisting = load * (pitch / TAU + mu_thread * d2 / (2.0 * cos));
        let (sigma, tau) = (
            load / thread.stress_area(),
            twisting / (PI * ds * ds * ds / 12.0),
        );
        let whole = (sigma * sigma + 3.0 * tau * tau).sqrt();
        let split = load * StressPerLoad::tightened(&thread).at(mu_thread);
        assert!((split / whole - 1.0).abs() < 1e-14);
        assert_eq!(
            load * StressPerLoad::tension_alone(&thread).at(mu_thread),
            load * (1.0 / thread.stress_area())
        );
    }
}
