//! A thousand small joints in a field, the bad ones by cause, readable across a table.

use record::Record;

use super::stamp;
use crate::apportion::{Field, JOINTS};
use crate::drawing::{Anchor, Drawing, Layout, Picture};
use crate::face;
use crate::figure;
use crate::mark::Mark;
use crate::mode::Mode;
use crate::seat::Seat;

/// One kind of joint in the field.
struct Kind {
    joints: u32,
    label: String,
    hue: &'static str,
    mark: Mark,
    is_good: bool,
}

/// Draws the field.
pub fn draw(record: &Record, layout: Layout) -> Picture {
    let field = Field::of(record);
    let mut d = Drawing::titled(
        "field",
        layout,
        &title(record, &field),
        "Each mark is one joint in a thousand of those simulated. Light dots are good; a bad joint carries the mark of its first cause.",
    );
    let kinds = kinds(&field, Seat::of(record));
    let rows = if layout.is_narrow() { 25 } else { 20 };
    let columns = JOINTS as usize / rows;
    let label_room = if layout.is_narrow() { 0.0 } else { 190.0 };
    let pitch = ((layout.width() - label_room) / columns as f64).min(10.4);
    let top = d.y + 4.0;
    let place = |i: usize| {
        [
            pitch * ((i / rows) as f64 + 0.5),
            top + pitch * ((i % rows) as f64 + 0.5),
        ]
    };
    let mut next = 0;
    let mut middles = Vec::new();
    for kind in &kinds {
        let until = (next + kind.joints as usize).min(JOINTS as usize);
        let centres: Vec<[f64; 2]> = (next..until).map(place).collect();
        let r = if kind.is_good {
            pitch * 0.30
        } else {
            pitch * 0.40
        };
        if !centres.is_empty() {
            d.marks(kind.mark, &centres, r, kind.hue);
        }
        middles.push(centres.iter().map(|c| c[1]).sum::<f64>() / centres.len().max(1) as f64);
        next = until;
    }
    let bottom = top + pitch * rows as f64;
    if layout.is_narrow() {
        d.y = bottom + 4.0;
        for kind in &kinds {
            d.y += face::LINE;
            let y = d.y;
            key(&mut d, kind, 0.0, y);
        }
    } else {
        let left = pitch * columns as f64 + 18.0;
        let first = (bottom + top) / 2.0 - face::LINE * kinds.len() as f64 / 2.0;
        for (i, kind) in kinds.iter().enumerate() {
            key(&mut d, kind, left, first + face::LINE * (i as f64 + 0.8));
        }
        d.y = bottom.max(first + face::LINE * (kinds.len() as f64 + 0.5));
    }
    let described: Vec<String> = kinds.iter().map(|k| k.label.clone()).collect();
    d.finish(
        &format!("A field of 1000 marks. {}.", described.join(", ")),
        &format!(
            "{} Apportioned by largest remainder.",
            stamp(record, record.yield_.pairings)
        ),
    )
}

/// The finding: how many of a thousand are good, never more than the numbers say.
fn title(record: &Record, field: &Field) -> String {
    let seen = seen(record, field);
    match record.doubt {
        Some(_) => format!("{seen}, if the processes are exactly as read"),
        None => seen,
    }
}

fn seen(record: &Record, field: &Field) -> String {
    let y = &record.yield_;
    if y.pairings == 0 {
        return "No joint was simulated".to_owned();
    }
    if y.good == y.pairings {
        let all = if y.pairings == 1 {
            "The one joint simulated is good".to_owned()
        } else {
            format!(
                "All {} joints simulated are good",
                figure::count(y.pairings)
            )
        };
        return format!(
            "{all}: {} bad ({})",
            figure::fewer_than(1.0 - y.low),
            figure::confidence(y.confidence)
        );
    }
    if y.good == 0 {
        return match y.pairings {
            1 => "The one joint simulated is bad".to_owned(),
            n => format!("None of {} joints simulated is good", figure::count(n)),
        };
    }
    match (field.good, field.bad()) {
        (_, 0) => "Fewer than one joint in a thousand is bad".to_owned(),
        (0, _) => "Fewer than one joint in a thousand is good".to_owned(),
        (good, _) => format!(
            "{} of 1\u{202F}000 joints {} good",
            figure::count(good.into()),
            if good == 1 { "is" } else { "are" }
        ),
    }
}

fn kinds(field: &Field, seat: Seat) -> Vec<Kind> {
    let mut kinds = Vec::new();
    if field.good > 0 {
        kinds.push(Kind {
            joints: field.good,
            label: format!("{} good", figure::count(field.good.into())),
            hue: "good",
            mark: Mark::Dot,
            is_good: true,
        });
    }
    for (reject, joints) in field.causes.iter().filter(|(_, joints)| *joints > 0) {
        let mode = Mode::of(&reject.mode, seat);
        kinds.push(Kind {
            joints: *joints,
            label: format!("{} {}", figure::count((*joints).into()), mode.label),
            hue: mode.hue,
            mark: mode.mark,
            is_good: false,
        });
    }
    if field.pooled > 0 {
        kinds.push(Kind {
            joints: field.pooled,
            label: format!("{} by rarer causes", field.pooled),
            hue: "ink",
            mark: Mark::Ring,
            is_good: false,
        });
    }
    kinds
}

fn key(d: &mut Drawing, kind: &Kind, x: f64, y: f64) {
    d.mark(kind.mark, [x + 6.0, y - 4.5], 5.0, kind.hue);
    let class = if kind.is_good {
        "f-ink".to_owned()
    } else {
        format!("f-{} bold", kind.hue)
    };
    let room = d.width() - x - 18.0;
    d.text(
        x + 18.0,
        y,
        Anchor::Start,
        &class,
        &face::cut(&kind.label, room, !kind.is_good),
    );
}
