//! The joint to scale in half section, with the magnified strip of the clamping face beside it.

use record::{Cone, Joint, Record};

use super::callout::{self, Name, Place};
use super::teeth::{self, Spline};
use super::{half_section, stamp, strip};
use crate::drawing::{Drawing, Layout, Picture};
use crate::face;
use crate::figure;
use crate::mode::Hatch;
use crate::text;

/// What the picture needs of a record: a seat on two cones.
#[derive(Clone, Copy)]
struct Cones<'a> {
    joint: &'a Joint,
    male: &'a Cone,
    female: &'a Cone,
    /// Radius of the hub (mm).
    outer: f64,
}

impl Cones<'_> {
    fn of(joint: &Joint) -> Option<Cones<'_>> {
        Some(Cones {
            joint,
            male: joint.shaft.cone.as_ref()?,
            female: joint.hub.cone.as_ref()?,
            outer: joint.hub.outside_diameter_mm? / 2.0,
        })
    }
}

/// Sizes of the section (mm), those of the record and those drawn to look right.
struct Section {
    /// Stand-off: shoulder to clamping face.
    h: f64,
    /// Rate of radius along the male and female cone.
    rate: [f64; 2],
    /// Radius of the shoulder.
    shoulder: f64,
    /// Inner and outer radius of the spacer.
    spacer: [f64; 2],
    /// Hub end face from the shoulder.
    hub_end: f64,
    /// Outer end of the cap, and of the bolt head.
    cap_end: f64,
    head_end: f64,
    /// Left end of what is drawn.
    left: f64,
}

/// Draws the section and the strip.
pub fn draw(record: &Record, layout: Layout) -> Picture {
    if let Some(cones) = Cones::of(&record.joint) {
        return on_cones(record, cones, layout);
    }
    match Spline::of(record) {
        Some(spline) => teeth::draw(record, spline, layout),
        None => strip_alone(record, layout),
    }
}

/// The strip without a section, for a record that does not state the sizes of its seat.
fn strip_alone(record: &Record, layout: Layout) -> Picture {
    let mut d = Drawing::titled(
        "joint",
        layout,
        &half_section::title(record),
        "Where the clamping face ends up against the spacer's face, from the 0.135 % to the 99.865 % quantile.",
    );
    let (top, end) = (d.y, d.width() - 8.0);
    strip::draw(&mut d, record, [4.0, end], top, f64::INFINITY);
    d.y = top + strip::height(record);
    d.finish(
        "The record does not state the sizes of the seat.",
        &stamp(record, record.yield_.pairings),
    )
}

fn on_cones(record: &Record, cones: Cones, layout: Layout) -> Picture {
    let joint = cones.joint;
    let mut d = Drawing::titled(
        "joint",
        layout,
        &half_section::title(record),
        subtitle(joint),
    );
    let section = Section::of(record, cones);
    let wide = if layout.is_narrow() {
        d.width() - 6.0
    } else {
        410.0
    };
    let span = (section.head_end - section.left).max(1e-6);
    let tall = cones.outer;
    let per_mm =
        ((wide - 6.0) / span).min(if layout.is_narrow() { 190.0 } else { 215.0 } / tall.max(1e-6));
    let names = names(cones, &section);
    let (above, below): (Vec<&Name>, Vec<&Name>) = names.iter().partition(|n| n.is_above);
    let top = d.y;
    let first = 3.0 - section.left * per_mm;
    let stairs = callout::fits(&d, &names, first, per_mm, layout);
    let head_room = if stairs {
        face::LINE * above.len() as f64 + 12.0
    } else {
        34.0
    };
    let strip_height = if layout.is_narrow() {
        0.0
    } else {
        strip::height(record)
    };
    let centre = top + head_room + (tall * per_mm).max(strip_height - 6.0);
    let place = Place {
        x0: first,
        centre,
        per_mm,
    };
    parts(&mut d, cones, &section, place);
    gauge_planes(&mut d, cones, &section, place);
    if !layout.is_narrow() {
        strip::draw(&mut d, record, [446.0, 696.0], top + head_room, per_mm);
    }
    d.y = centre + 8.0;
    if stairs {
        callout::stairs_above(&mut d, &above, place, top);
        callout::stairs_below(&mut d, &below, place, centre);
    } else {
        callout::letters(&mut d, &names, place, top, centre);
    }
    half_section::scale_bar(&mut d, per_mm);
    if layout.is_narrow() {
        d.y += 14.0;
        let at = d.y;
        strip::draw(&mut d, record, [4.0, 350.0], at, per_mm);
        d.y = at + strip::height(record);
    }
    let note = format!(
        "Cones, gauge planes, hub diameter and spacer thickness are to scale at nominal. Shoulder, cap, bolt head and lengths the scenario does not state are drawn to look right. {}",
        stamp(record, record.yield_.pairings)
    );
    d.finish(&described(cones), &note)
}

fn subtitle(joint: &Joint) -> &'static str {
    if joint.spacer.stiffness_n_per_mm.is_some() {
        "Half section at nominal sizes, spacer elastic. Strip: where the clamping face ends up against the spacer's face, from the 0.135 % to the 99.865 % quantile."
    } else {
        "Half section at nominal sizes, spacer rigid. Strip: where the clamping face ends up against the spacer's face, from the 0.135 % to the 99.865 % quantile."
    }
}

fn described(cones: Cones) -> String {
    let Cones {
        joint,
        male,
        female,
        outer,
    } = cones;
    format!(
        "Half section: shaft, {}, gauge diameter {} mm; hub, {}, gauge diameter {} mm, outside diameter {} mm; spacer {} mm thick; bolt {}.",
        taper(male),
        figure::stated(male.gauge_diameter_mm),
        taper(female),
        figure::stated(female.gauge_diameter_mm),
        figure::stated(2.0 * outer),
        figure::stated(joint.spacer.thickness_mm),
        text::label(&joint.bolt.size, 30),
    )
}

impl Section {
    fn of(record: &Record, cones: Cones) -> Section {
        let Cones {
            joint,
            male,
            female,
            outer: hub_radius,
        } = cones;
        let d = male.gauge_diameter_mm;
        let h = record
            .nominal
            .get("stand_off_mm")
            .copied()
            .unwrap_or(joint.spacer.thickness_mm);
        let rate = [male.half_angle_deg, female.half_angle_deg].map(|a| libm::tan(a.to_radians()));
        let neck = radius(male, rate[0], male.flank_mm[0]);
        let outer = joint
            .spacer
            .outside_diameter_mm
            .map_or(neck + 0.6 * (hub_radius - neck), |d| d / 2.0);
        let inner = joint
            .spacer
            .inside_diameter_mm
            .map_or(neck + 0.02 * d, |d| d / 2.0);
        let hub_end = h + female.flank_mm[1];
        let cap_end = hub_end.max(male.flank_mm[1] + 0.04 * d) + 0.14 * d;
        Section {
            h,
            rate,
            shoulder: neck + 0.75 * (outer - neck).max(0.1 * d),
            spacer: [inner, outer],
            hub_end,
            cap_end,
            head_end: cap_end + 0.65 * joint.bolt.diameter_mm,
            left: -0.32 * d,
        }
    }
}

/// Radius of a cone at a distance from the plane that its positions count from (mm).
fn radius(cone: &Cone, rate: f64, at: f64) -> f64 {
    cone.gauge_diameter_mm / 2.0 - (at - cone.gauge_plane_mm) * rate
}

fn parts(d: &mut Drawing, cones: Cones, s: &Section, p: Place) {
    let Cones {
        joint,
        male,
        female,
        outer,
    } = cones;
    let [x1, x2] = male.flank_mm;
    let [large, small] = [x1, x2].map(|x| radius(male, s.rate[0], x));
    let bore = joint.shaft.bore_diameter_mm / 2.0;
    let bolt = joint.bolt.diameter_mm / 2.0;
    // Shafts and bolts are not hatched when cut along their axis.
    let shaft = [
        p.at(s.left, bore),
        p.at(s.left, s.shoulder),
        p.at(0.0, s.shoulder),
        p.at(0.0, large),
        p.at(x1, large),
        p.at(x2, small),
        p.at(x2, bore),
    ];
    d.area(&shaft, "f-metal", None);
    d.polyline(&[&shaft[1..], &[]].concat(), "s-ink line");
    half_section::break_line(d, p, s.left, [bore, s.shoulder]);
    if bore > 0.0 {
        d.line(p.at(s.left, bore), p.at(x2, bore), "s-ink line");
    }
    let turn = |angle, pitch| Hatch {
        angle,
        pitch,
        crossed: false,
    };
    let cut = d.hatch_lines("hub", ["muted", "paper"], turn(45.0, 7.0));
    let [u1, u2] = female.flank_mm;
    let mouth = radius(female, s.rate[1], u1);
    let hub = [
        p.at(s.h, mouth),
        p.at(s.h, outer),
        p.at(s.hub_end, outer),
        p.at(s.hub_end, radius(female, s.rate[1], u2)),
        p.at(s.h + u1, mouth),
    ];
    d.area(&hub, "s-ink line", Some(&cut));
    let cut = d.hatch_lines("spacer", ["blue", "paper"], turn(135.0, 4.0));
    let t = joint.spacer.thickness_mm;
    let spacer = [
        p.at(0.0, s.spacer[0]),
        p.at(0.0, s.spacer[1]),
        p.at(t, s.spacer[1]),
        p.at(t, s.spacer[0]),
    ];
    d.area(&spacer, "s-ink line", Some(&cut));
    cap_and_bolt(d, cones, s, p, small, bolt, x2);
    d.line(
        p.at(s.left - 1.0, 0.0),
        p.at(s.head_end + 1.0, 0.0),
        "s-muted hairline chain",
    );
}

/// The cap that bears on the hub's end face and clears the shaft, and the bolt through it.
fn cap_and_bolt(
    d: &mut Drawing,
    cones: Cones,
    s: &Section,
    p: Place,
    small: f64,
    bolt: f64,
    x2: f64,
) {
    let Cones {
        joint,
        male,
        female,
        outer: hub_radius,
    } = cones;
    let scale = male.gauge_diameter_mm;
    let inner = (small + 0.06 * scale).max(radius(female, s.rate[1], female.flank_mm[1]));
    let outer = (inner + 0.14 * scale).min(hub_radius);
    let floor = s.cap_end - 0.14 * scale;
    let cut = d.hatch_lines(
        "cap",
        ["muted", "paper"],
        Hatch {
            angle: 135.0,
            pitch: 7.0,
            crossed: false,
        },
    );
    let mut cap = vec![
        p.at(s.hub_end, inner.min(outer)),
        p.at(s.hub_end, outer),
        p.at(s.cap_end, outer),
        p.at(s.cap_end, bolt),
        p.at(floor, bolt),
    ];
    if floor > s.hub_end {
        cap.push(p.at(floor, inner.min(outer)));
    }
    d.area(&cap, "s-ink line", Some(&cut));
    let deep = (x2 - 2.0 * joint.bolt.diameter_mm).max(male.flank_mm[0]);
    let shank = [
        p.at(deep, 0.0),
        p.at(deep, bolt),
        p.at(s.cap_end, bolt),
        p.at(s.cap_end, 0.0),
    ];
    d.area(&shank, "f-band", None);
    d.polyline(&shank[..3], "s-ink line");
    d.line(
        p.at(deep, bolt * 0.84),
        p.at(x2, bolt * 0.84),
        "s-ink hairline",
    );
    let head = [
        p.at(s.cap_end, 0.0),
        p.at(s.cap_end, bolt * 1.6),
        p.at(s.head_end, bolt * 1.6),
        p.at(s.head_end, 0.0),
    ];
    d.area(&head, "f-band", None);
    d.polyline(&head, "s-ink line");
}

fn gauge_planes(d: &mut Drawing, cones: Cones, s: &Section, p: Place) {
    let (x, r) = (
        cones.male.gauge_plane_mm,
        cones.male.gauge_diameter_mm / 2.0,
    );
    d.line(p.at(x, 0.0), p.at(x, r), "s-violet line chain");
    let x = s.h + cones.female.gauge_plane_mm;
    let r = cones.female.gauge_diameter_mm / 2.0;
    d.line(
        p.at(x, r),
        p.at(x, cones.outer.max(r)),
        "s-violet line chain",
    );
}

/// What the leaders say, from left to right on either side.
fn names(cones: Cones, s: &Section) -> Vec<Name> {
    let Cones {
        joint,
        male,
        female,
        outer: hub_radius,
    } = cones;
    let mm = |v: f64| figure::with_unit(&figure::stated(v), "mm");
    let t = joint.spacer.thickness_mm;
    let mut names = vec![
        Name {
            x: t / 2.0,
            r: s.spacer[1],
            label: format!("spacer, {} thick", mm(t)),
            is_above: true,
        },
        Name {
            x: s.h + female.gauge_plane_mm,
            r: hub_radius,
            label: format!(
                "hub gauge plane: Ø\u{A0}{}, {} from the clamping face",
                mm(female.gauge_diameter_mm),
                mm(female.gauge_plane_mm)
            ),
            is_above: true,
        },
        Name {
            x: s.h + 0.6 * (s.hub_end - s.h),
            r: hub_radius,
            label: format!(
                "hub, {}, Ø\u{A0}{}, {}",
                half_section::material(&joint.hub.material, joint.hub.modulus_mpa),
                mm(2.0 * hub_radius),
                taper(female)
            ),
            is_above: true,
        },
        Name {
            x: 0.5 * s.left,
            r: 0.25 * s.shoulder,
            label: format!(
                "shaft, {}, {}",
                half_section::material(&joint.shaft.material, joint.shaft.modulus_mpa),
                taper(male)
            ),
            is_above: false,
        },
        Name {
            x: male.gauge_plane_mm,
            r: 0.0,
            label: format!(
                "shaft gauge plane: Ø\u{A0}{}, {} from the shoulder",
                mm(male.gauge_diameter_mm),
                mm(male.gauge_plane_mm)
            ),
            is_above: false,
        },
        Name {
            x: (s.cap_end + s.head_end) / 2.0,
            r: 0.4 * joint.bolt.diameter_mm,
            label: format!(
                "bolt {}, {}",
                text::label(&joint.bolt.size, 16),
                figure::with_unit(&figure::stated(joint.bolt.torque_nm), "N·m")
            ),
            is_above: false,
        },
    ];
    names.sort_by(|a, b| a.x.total_cmp(&b.x));
    names
}

/// The taper as the drawing states it, or the half-angle where it states that.
fn taper(cone: &Cone) -> String {
    let stated = &cone.taper_stated;
    if stated.contains(':') {
        return format!("taper {}", text::label(stated, 16));
    }
    let rounded = libm::round(cone.half_angle_deg * 1e4) / 1e4;
    format!("half-angle {}°", figure::stated(rounded))
}
