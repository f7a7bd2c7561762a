//! Reads `[joint]`, and shaft and hub by the kind of seat that it states.

use crate::problem::id;
use crate::scenario::joint::length;
use crate::scenario::process::word;
use crate::scenario::walk::Section;
use crate::scenario::{Hub, Seat, Shaft, cone, spline};

/// The kinds of seat, by the word of the key `seat`.
const SEATS: [&str; 2] = ["cone", "tapered_spline"];

/// What `[joint]` states.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Stated {
    /// Whether the seat is a tapered spline; else a cone.
    pub(crate) spline: bool,
    /// Radius at which run-out is stated (mm).
    pub(crate) runout_radius_mm: Option<f64>,
}

/// Shaft, hub and their seat; what could not be read is missing.
pub(crate) type Parts = (Option<Seat>, Option<Shaft>, Option<Hub>);

/// Reads `[joint]`, which may be missing, and holds it against `[teeth]`.
pub(crate) fn joint(head: &Section<'_, '_>) -> Stated {
    let section = head.has("joint").then(|| head.section("joint")).flatten();
    let Some(section) = section else {
        teeth_of_a_cone(head, "no seat in [joint], which means a cone");
        return Stated {
            spline: false,
            runout_radius_mm: None,
        };
    };
    let seat = word(&section, "seat", &SEATS);
    // Behind a word that is not known, teeth tell what was meant.
    let unknown = seat.is_none() && section.has("seat");
    let spline = seat == Some("tapered_spline") || (unknown && head.has("teeth"));
    if spline {
        section.stray(
            "elastic_law",
            "a tapered spline",
            "it says how the rings of a cone give; teeth give by [teeth] stiffness",
        );
    } else {
        elastic_law(&section);
    }
    if seat == Some("cone") {
        let place = section.walk.where_is(section.spot_of("seat"));
        teeth_of_a_cone(head, &format!("joint.seat = \"cone\" ({place})"));
    } else if !section.has("seat") {
        teeth_of_a_cone(head, "no seat in [joint], which means a cone");
    }
    let what = "the radius at which run-out is stated";
    let runout_radius_mm = if section.has("runout_radius") {
        length(
            &section,
            "runout_radius",
            f64::MIN_POSITIVE,
            what,
            "\"20 mm\"",
        )
    } else {
        None
    };
    section.finish();
    Stated {
        spline,
        runout_radius_mm,
    }
}

/// Checks the law of a cone: only that of rings is read by this version.
fn elastic_law(section: &Section<'_, '_>) {
    if section.peek_text("elastic_law") == Some("coupled") {
        let found = "\"coupled\", which this version does not read";
        section.bad(&id::NOT_YET, "elastic_law", found, "\"rings\"", "");
    } else {
        let _ = word(section, "elastic_law", &["rings"]);
    }
}

/// Refuses `[teeth]` beside a cone.
fn teeth_of_a_cone(head: &Section<'_, '_>, seat: &str) {
    if head.has("teeth") {
        let place = head.walk.where_is(head.key_spot_of("teeth"));
        head.bad(
            &id::CONTRADICTION,
            "teeth",
            &format!("[teeth] ({place}) and {seat}"),
            "one of the two: teeth, or a cone",
            "teeth belong to  [joint] seat = \"tapered_spline\"",
        );
    }
}

/// Reads the shaft, the hub and what wedges them.
pub(crate) fn parts(head: &Section<'_, '_>, stated: Stated) -> Parts {
    if stated.spline {
        spline::parts(head)
    } else {
        cone::parts(head)
    }
}
