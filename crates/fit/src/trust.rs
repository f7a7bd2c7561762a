//! How far the law [`crate::rings`] may be trusted.
//!
//! The law was held against a finite-element contact solution of hub and shaft (axisymmetric, quadratic elements, contact
//! by a mortar method, linear elastic, sharp edges), which itself met the exact thick cylinder to five figures. Ratios are
//! finite element over rings; `rho = |tan a_m - tan a_f| L / d` is the mismatch over the overlap per interference at the
//! touching end ([`crate::Output::MismatchRatio`]); base: 30 mm, 1:20, aluminium on steel, overlap as long as the diameter.
//!
//! | quantity | when | ratio |
//! |---|---|---|
//! | pressure at mid-length | whole hub on the cone | 0.965 at friction 0.14 |
//! | push-on load and its rate | full contact (`rho <= 1`), hub wholly on the cone | within 3 % |
//! | push-on load | full contact, one hub end hangs past the cone by up to a tenth of the diameter | 1.03 to 1.07 with friction 0.14, 1.08 to 1.11 without; short hub 1.11 |
//! | push-on load | the same, mismatch up to `rho = 1`, the hung-over end touching first | 1.13 to 1.16 |
//! | push-on load | partial contact, `rho` 1 to 1.5, wholly on the cone | 0.94 to 0.98 |
//! | push-on load | the same with an overhang | 0.89 to 1.25 (1:3: 0.82 to 1.31) |
//! | push-on load | `rho > 2` | not to be trusted: 0.87 to 1.9, 2.5 at 6 |
//! | contact share | full | right until `rho` of 0.6 to 1.1; short hub from 0.3 |
//! | contact share | partial | too large by 0.10 to 0.25 (0.43 claimed where 0.22 bears) |
//! | slip torque | as the push-on load | within 1 % of its ratio (1:3: 5 %) |
//! | hoop stress at the bore, away from the edges | equal angles | 0.95 to 1.15 (1:3: 1.20) |
//! | Tresca stress at the bore, away from the edges | equal angles | 0.95 to 1.07 |
//! | pressure at an edge | always | singular: the nominal value is no peak |
//!
//! Friction lowers the ratio of the load by about 0.25 per unit of friction, because the push shortens the hub and widens
//! it. An overhang adds about 2.5 % of load per mm with equal angles at 30 mm, 13 % per mm when that end touches first. A draw-up
//! for a given load carries the inverse of these errors: 5 % of 0.4 mm is 0.02 mm, the size of a spacer's tolerance.
//!
//! Not covered: yielding and rounding at edges, stick on release, ovality, washers that hold the hub's face, the spacer
//! pressing on it, keyways, errors of form, and a taper so coarse that the hub's own shortening counts (1:3: 2.5 %).
