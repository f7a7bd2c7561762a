//! Why joints are rejected: bars by first cause, with intervals and what else is broken.

use record::{Record, Reject};

use super::{axis, stamp};
use crate::drawing::{Anchor, Drawing, Layout, Picture};
use crate::face;
use crate::figure;
use crate::mode::{self, Mode};
use crate::scale::Scale;
use crate::seat::Seat;

/// Draws the bars.
pub fn draw(record: &Record, layout: Layout) -> Picture {
    let seen: Vec<&Reject> = record.rejects.iter().filter(|r| r.count > 0).collect();
    let mut d = Drawing::titled(
        "rejects",
        layout,
        &title(record),
        "Bars: share of all joints by the first limit broken. Solid part: those that break a second limit too. Whiskers: interval.",
    );
    let most = seen
        .iter()
        .map(|r| r.high.max(r.fraction))
        .fold(0.0, f64::max);
    // The axis counts as the words beside the bars do.
    let largest = seen.iter().map(|r| r.fraction).fold(0.0, f64::max);
    let (factor, unit) = if largest >= 1e-3 {
        (100.0, "% of all joints")
    } else {
        (1e6, "joints in a million")
    };
    let x = Scale::over(&[0.0, most * factor * 1.02], 18.0, d.width() - 18.0);
    for reject in &seen {
        row(&mut d, record, reject, &x, factor);
    }
    let base = d.y + 4.0;
    axis::below(&mut d, &x, base, unit);
    let described: Vec<String> = seen
        .iter()
        .map(|r| {
            format!(
                "{}: {}",
                Mode::of(&r.mode, Seat::of(record)).label,
                counted(record, r)
            )
        })
        .collect();
    d.finish(
        &described.join(". "),
        &stamp(record, record.yield_.pairings),
    )
}

/// The finding. `Most` is said only of more than half, `more often` only when the intervals are apart.
pub fn title(record: &Record) -> String {
    let mut seen: Vec<&Reject> = record.rejects.iter().filter(|r| r.count > 0).collect();
    seen.sort_by_key(|r| std::cmp::Reverse(r.count));
    let total: u64 = seen.iter().map(|r| r.count).sum();
    let seat = Seat::of(record);
    let Some(first) = seen.first() else {
        return "No joint was rejected".to_owned();
    };
    let mode = Mode::of(&first.mode, seat);
    match seen.get(1) {
        None if total == 1 => format!("The one reject: {}", mode.label),
        None => format!("All rejects {}", mode.title),
        Some(second)
            if first.low > second.high && u128::from(first.count) * 2 > u128::from(total) =>
        {
            format!("Most rejects {}", mode.title)
        }
        Some(second) if first.low > second.high => {
            format!(
                "No cause makes up half of the rejects; the most frequent is {}",
                mode.label
            )
        }
        Some(second) => format!(
            "No single cause leads: {} and {} cannot be told apart in frequency",
            mode.label,
            Mode::of(&second.mode, seat).label
        ),
    }
}

fn counted(record: &Record, r: &Reject) -> String {
    figure::share(
        r.count,
        record.yield_.pairings,
        (r.fraction, r.low, r.high),
        record.confidence,
    )
}

fn row(d: &mut Drawing, record: &Record, reject: &Reject, x: &Scale, factor: f64) {
    let mode = Mode::of(&reject.mode, Seat::of(record));
    let hatch = d.hatch(&mode);
    d.y += face::LINE + 6.0;
    let y = d.y;
    d.mark(mode.mark, [6.0, y - 4.5], 5.0, mode.hue);
    d.text(
        18.0,
        y,
        Anchor::Start,
        &format!("f-{} bold", mode.hue),
        &mode.label,
    );
    let share = counted(record, reject);
    let after = 18.0 + face::width(&mode.label, true) + 12.0;
    if after + face::width(&share, false) < d.width() {
        d.text(after, y, Anchor::Start, "f-ink", &share);
    } else {
        d.y += face::LINE;
        let y = d.y;
        d.text(18.0, y, Anchor::Start, "f-ink", &share);
    }
    let top = d.y + 6.0;
    let bar = |from: f64, to: f64| {
        [
            [x.at(from), top],
            [x.at(to), top],
            [x.at(to), top + 14.0],
            [x.at(from), top + 14.0],
        ]
    };
    let value = reject.fraction * factor;
    let both = value * (reject.also_broken as f64 / reject.count.max(1) as f64).min(1.0);
    d.area(
        &bar(both, value),
        &format!("s-{} hairline", mode.hue),
        Some(&hatch),
    );
    d.area(&bar(0.0, both), &format!("f-{}", mode.hue), None);
    let (low, high, middle) = (
        x.at(reject.low * factor),
        x.at(reject.high * factor),
        top + 7.0,
    );
    d.line([low, middle], [high, middle], "s-ink line");
    for end in [low, high] {
        d.line([end, middle - 5.0], [end, middle + 5.0], "s-ink line");
    }
    d.line(
        [x.start, top - 3.0],
        [x.start, top + 17.0],
        "s-ink hairline",
    );
    d.y = top + 16.0;
    for line in face::wrap(&also(reject, Seat::of(record)), d.width() - 20.0, false) {
        d.y += face::LINE;
        let y = d.y;
        d.text(18.0, y - 1.0, Anchor::Start, "f-muted", &line);
    }
    d.y += 4.0;
}

fn also(reject: &Reject, seat: Seat) -> String {
    if reject.also_broken == 0 {
        return "none of them breaks a second limit".to_owned();
    }
    let mut others: Vec<(&String, &u64)> = reject.also.iter().filter(|(_, n)| **n > 0).collect();
    others.sort_by_key(|(name, n)| (std::cmp::Reverse(**n), (*name).clone()));
    let named: Vec<String> = others
        .iter()
        .take(3)
        .map(|(name, n)| format!("{} {}", mode::limit_words(name, seat), figure::count(**n)))
        .collect();
    let list = if named.is_empty() {
        String::new()
    } else {
        format!(": {}", named.join(", "))
    };
    format!(
        "{} of {} break{} a second limit{list}",
        figure::count(reject.also_broken),
        figure::count(reject.count),
        if reject.also_broken == 1 { "s" } else { "" },
    )
}
