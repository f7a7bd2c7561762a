//! A joint on a tapered spline: half section, a few teeth laid flat, and the strip of the clamping face.
//!
//! A record states the teeth, the gauge planes, the spacer and the bolt. Radii, and where along the shaft the teeth engage,
//! it does not state: those are drawn to look right, and the picture says so.

mod flat;

use record::{Joint, Record, SplineHalf, Teeth};

use super::callout::{self, Name, Place};
use super::{half_section, stamp, strip};
use crate::drawing::{Drawing, Layout, Picture};
use crate::face;
use crate::figure;
use crate::mode::Hatch;
use crate::text;

/// What the picture needs of a record: both halves of a spline.
#[derive(Clone, Copy)]
pub struct Spline<'a> {
    joint: &'a Joint,
    teeth: &'a Teeth,
    male: &'a SplineHalf,
    female: &'a SplineHalf,
    /// Stand-off with every size at nominal (mm).
    h: f64,
}

impl Spline<'_> {
    /// The spline of a record, if it states one.
    pub fn of(record: &Record) -> Option<Spline<'_>> {
        let joint = &record.joint;
        Some(Spline {
            joint,
            teeth: joint.teeth.as_ref()?,
            male: joint.shaft.spline.as_ref()?,
            female: joint.hub.spline.as_ref()?,
            h: record
                .nominal
                .get("stand_off_mm")
                .copied()
                .unwrap_or(joint.spacer.thickness_mm),
        })
    }

    /// Where the teeth engage, from the shoulder (mm): about the gauge planes, but not before the hub begins.
    fn engaged(&self) -> [f64; 2] {
        let length = self.teeth.engaged_length_mm;
        let middle = (self.male.gauge_plane_mm + self.h + self.female.gauge_plane_mm) / 2.0;
        // A gauge plane may lie far off the teeth.
        let from = (middle - length / 2.0).clamp(self.h, self.h + length);
        [from, from + length]
    }

    fn tangent(&self) -> f64 {
        libm::tan(self.teeth.flank_half_angle_deg.to_radians()).max(1e-6)
    }

    /// Mean radius of teeth as thick as their spaces are wide (mm).
    fn radius(&self) -> f64 {
        f64::from(self.teeth.count) * self.male.size_mm / std::f64::consts::PI
    }
}

/// Draws both views and the strip.
pub fn draw(record: &Record, spline: Spline, layout: Layout) -> Picture {
    let mut d = Drawing::titled(
        "joint",
        layout,
        &half_section::title(record),
        &subtitle(spline),
    );
    let top = d.y;
    let sizes = Section::of(spline);
    let per_mm = section(&mut d, spline, &sizes, layout, strip::height(record));
    if layout.is_narrow() {
        d.y += 14.0;
        let at = d.y;
        strip::draw(&mut d, record, [4.0, 350.0], at, per_mm);
        d.y = at + strip::height(record);
    } else {
        strip::draw(&mut d, record, [446.0, 696.0], top + 20.0, per_mm);
        d.y = d.y.max(top + 20.0 + strip::height(record));
    }
    d.y += 14.0;
    flat::draw(&mut d, spline, layout);
    let note = format!(
        "To scale at nominal: spacer thickness, gauge planes, engaged length, tooth thickness, space width and flank angle. Drawn to look right: all radii, the pitch of the teeth, where along the shaft they engage, cap and bolt head. {}",
        stamp(record, record.yield_.pairings)
    );
    d.finish(&described(spline), &note)
}

fn subtitle(spline: Spline) -> String {
    let spacer = if spline.joint.spacer.stiffness_n_per_mm.is_some() {
        "spacer elastic"
    } else {
        "spacer rigid"
    };
    format!(
        "Half section at nominal sizes, {spacer}, and a few of the {} teeth laid flat. Strip: where the clamping face ends up against the spacer's face, from the 0.135 % to the 99.865 % quantile.",
        spline.teeth.count
    )
}

fn described(s: Spline) -> String {
    format!(
        "Half section and developed teeth: {} teeth, flank half-angle {}°, engaged over {} mm; shaft tooth {} mm thick at its gauge plane, hub space {} mm wide at its own; spacer {} mm thick; bolt {}.",
        s.teeth.count,
        figure::stated(s.teeth.flank_half_angle_deg),
        figure::stated(s.teeth.engaged_length_mm),
        figure::stated(s.male.size_mm),
        figure::stated(s.female.size_mm),
        figure::stated(s.joint.spacer.thickness_mm),
        text::label(&s.joint.bolt.size, 30),
    )
}

/// Sizes of the half section (mm).
struct Section {
    /// Foot and tip of the teeth.
    teeth: [f64; 2],
    /// Outside of the hub.
    outer: f64,
    spacer: [f64; 2],
    engaged: [f64; 2],
    hub_end: f64,
    shaft_end: f64,
    cap_end: f64,
    head_end: f64,
    left: f64,
}

impl Section {
    fn of(s: Spline) -> Section {
        let (joint, mean) = (s.joint, s.radius());
        let depth = (0.45 * s.male.size_mm).min(0.2 * mean);
        let teeth = [mean - depth, mean + depth];
        let outer = joint
            .hub
            .outside_diameter_mm
            .map_or(0.0, |d| d / 2.0)
            .max(teeth[1] + 0.35 * mean);
        let inner = joint
            .spacer
            .inside_diameter_mm
            .map_or(teeth[1] + 0.06 * mean, |d| d / 2.0);
        let rim = joint
            .spacer
            .outside_diameter_mm
            .map_or(inner + 0.6 * (outer - inner), |d| d / 2.0);
        let engaged = s.engaged();
        let hub_end = engaged[1];
        let shaft_end = hub_end - 0.08 * mean;
        let cap_end = hub_end + 0.24 * mean;
        Section {
            teeth,
            outer,
            spacer: [inner, rim],
            engaged,
            hub_end,
            shaft_end,
            cap_end,
            head_end: cap_end + 0.65 * joint.bolt.diameter_mm,
            left: -0.5 * mean,
        }
    }
}

/// Draws the half section from the next free line down and gives its pixels a millimetre.
fn section(d: &mut Drawing, spline: Spline, s: &Section, layout: Layout, strip_height: f64) -> f64 {
    let wide = if layout.is_narrow() {
        d.width() - 6.0
    } else {
        410.0
    };
    let tallest = if layout.is_narrow() { 170.0 } else { 185.0 };
    let per_mm = ((wide - 6.0) / (s.head_end - s.left).max(1e-6)).min(tallest / s.outer.max(1e-6));
    let names = names(spline, s);
    let (above, below): (Vec<&Name>, Vec<&Name>) = names.iter().partition(|n| n.is_above);
    let (top, first) = (d.y, 3.0 - s.left * per_mm);
    // Beside the strip there is less room than in a picture of its own.
    let stairs = !layout.is_narrow()
        && names.iter().all(|n| {
            let start = first + n.x * per_mm + 5.0;
            start >= 0.0 && start + face::width(&n.label, false) <= 430.0
        });
    let head_room = if stairs {
        face::LINE * above.len() as f64 + 12.0
    } else {
        34.0
    };
    let room = if layout.is_narrow() {
        0.0
    } else {
        strip_height - 60.0
    };
    let place = Place {
        x0: first,
        centre: top + head_room + (s.outer * per_mm).max(room - head_room),
        per_mm,
    };
    parts(d, spline, s, place);
    if stairs {
        callout::stairs_above(d, &above, place, top);
        callout::stairs_below(d, &below, place, place.centre + 8.0);
    } else {
        callout::letters(d, &names, place, top, place.centre);
    }
    half_section::scale_bar(d, per_mm);
    per_mm
}

fn hatch(angle: f64, pitch: f64) -> Hatch {
    Hatch {
        angle,
        pitch,
        crossed: false,
    }
}

fn parts(d: &mut Drawing, spline: Spline, s: &Section, p: Place) {
    let joint = spline.joint;
    let bore = joint.shaft.bore_diameter_mm / 2.0;
    let [foot, tip] = s.teeth;
    let shoulder = (s.spacer[0] + s.spacer[1]) / 2.0;
    let shaft = [
        p.at(s.left, bore),
        p.at(s.left, shoulder),
        p.at(0.0, shoulder),
        p.at(0.0, tip),
        p.at(s.shaft_end, tip),
        p.at(s.shaft_end, bore),
    ];
    d.area(&shaft, "f-metal", None);
    d.polyline(&shaft[1..], "s-ink line");
    half_section::break_line(d, p, s.left, [bore, shoulder]);
    d.line(p.at(0.0, foot), p.at(s.shaft_end, foot), "s-ink hairline");
    let cut = d.hatch_lines("hub", ["muted", "paper"], hatch(45.0, 7.0));
    let hub = [
        p.at(spline.h, tip),
        p.at(spline.h, s.outer),
        p.at(s.hub_end, s.outer),
        p.at(s.hub_end, tip),
    ];
    d.area(&hub, "s-ink line", Some(&cut));
    let cut = d.hatch_lines("spacer", ["blue", "paper"], hatch(135.0, 4.0));
    let t = joint.spacer.thickness_mm;
    let spacer = [
        p.at(0.0, s.spacer[0]),
        p.at(0.0, s.spacer[1]),
        p.at(t, s.spacer[1]),
        p.at(t, s.spacer[0]),
    ];
    d.area(&spacer, "s-ink line", Some(&cut));
    let [from, to] = s.engaged;
    let both = d.hatch_lines("engaged", ["violet", "paper"], hatch(90.0, 3.0));
    let zone = [
        p.at(from, foot),
        p.at(from, tip),
        p.at(to.min(s.shaft_end), tip),
        p.at(to.min(s.shaft_end), foot),
    ];
    d.area(&zone, "s-violet hairline", Some(&both));
    cap_and_bolt(d, joint, s, p);
    d.line(
        p.at(s.left - 1.0, 0.0),
        p.at(s.head_end + 1.0, 0.0),
        "s-muted hairline chain",
    );
}

fn cap_and_bolt(d: &mut Drawing, joint: &Joint, s: &Section, p: Place) {
    let bolt = (joint.bolt.diameter_mm / 2.0).min(0.8 * s.teeth[0]);
    let rim = (s.teeth[1] + s.outer) / 2.0;
    let cut = d.hatch_lines("cap", ["muted", "paper"], hatch(135.0, 7.0));
    let cap = [
        p.at(s.hub_end, bolt),
        p.at(s.hub_end, rim),
        p.at(s.cap_end, rim),
        p.at(s.cap_end, bolt),
    ];
    d.area(&cap, "s-ink line", Some(&cut));
    let deep = (s.shaft_end - 4.0 * bolt).max(0.0);
    let shank = [
        p.at(deep, 0.0),
        p.at(deep, bolt),
        p.at(s.cap_end, bolt),
        p.at(s.cap_end, 0.0),
    ];
    d.area(&shank, "f-band", None);
    d.polyline(&shank[..3], "s-ink line");
    let head = [
        p.at(s.cap_end, 0.0),
        p.at(s.cap_end, bolt * 1.6),
        p.at(s.head_end, bolt * 1.6),
        p.at(s.head_end, 0.0),
    ];
    d.area(&head, "f-band", None);
    d.polyline(&head, "s-ink line");
}

fn mm(v: f64) -> String {
    figure::with_unit(&figure::stated(v), "mm")
}

/// What the leaders say, from left to right on either side.
fn names(spline: Spline, s: &Section) -> Vec<Name> {
    let joint = spline.joint;
    let name = |x, r, label, is_above| Name {
        x,
        r,
        label,
        is_above,
    };
    let outside = joint
        .hub
        .outside_diameter_mm
        .map_or(String::new(), |d| format!(", Ø\u{A0}{}", mm(d)));
    let mut names = vec![
        name(
            joint.spacer.thickness_mm / 2.0,
            s.spacer[1],
            format!("spacer, {} thick", mm(joint.spacer.thickness_mm)),
            true,
        ),
        name(
            spline.h + 0.5 * (s.hub_end - spline.h),
            s.outer,
            format!(
                "hub, {}{outside}",
                half_section::material(&joint.hub.material, joint.hub.modulus_mpa)
            ),
            true,
        ),
        name(
            0.5 * s.left,
            0.25 * s.spacer[0],
            format!(
                "shaft, {}",
                half_section::material(&joint.shaft.material, joint.shaft.modulus_mpa)
            ),
            false,
        ),
        name(
            s.engaged[0] + 0.3 * spline.teeth.engaged_length_mm,
            s.teeth[0],
            format!(
                "{} teeth, {} engaged",
                spline.teeth.count,
                mm(spline.teeth.engaged_length_mm)
            ),
            false,
        ),
        name(
            (s.cap_end + s.head_end) / 2.0,
            0.3 * joint.bolt.diameter_mm,
            format!(
                "bolt {}, {}",
                text::label(&joint.bolt.size, 16),
                figure::with_unit(&figure::stated(joint.bolt.torque_nm), "N·m")
            ),
            false,
        ),
    ];
    names.sort_by(|a, b| a.x.total_cmp(&b.x));
    names
}
