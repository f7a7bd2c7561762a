//! Reads the bolt's size: a thread by name, or a diameter with or without a pitch.

use fit::fastener::{self, Thread};

use crate::problem::escape::quoted;
use crate::problem::id;
use crate::scenario::document::Value;
use crate::scenario::quantity::Measure;
use crate::scenario::walk::Section;

/// A size as stated: a thread by name, or a diameter with or without a pitch.
pub(crate) struct Size {
    /// As stated.
    pub(crate) text: String,
    /// Nominal diameter (mm).
    pub(crate) diameter_mm: f64,
    /// The thread, where name or pitch give it.
    pub(crate) thread: Option<Thread>,
}

/// Reads `size` and `pitch`; `None` when something was reported.
pub(crate) fn size(section: &Section<'_, '_>) -> Option<Size> {
    let expected = "M4 to M42, a fine thread such as M12x1.25, or a diameter such as \"12 mm\"";
    if !section.has("size") {
        section.missing(
            "size",
            &format!("the bolt's size: {expected}"),
            "size = \"M12\"",
        );
    }
    let pitch = section.quantity("pitch", &[Measure::Length]);
    let entry = section.get("size")?;
    let Value::Text(text) = &entry.node.value else {
        section.wrong_type(entry, &entry.node.value, expected);
        return None;
    };
    let text = text.trim();
    if text.starts_with(['M', 'm']) {
        let thread = Thread::metric(text);
        let Some(thread) = thread else {
            let hint = size_hint(text);
            section.bad(&id::WORD, "size", &quoted(text), expected, &hint);
            return None;
        };
        if section.has("pitch") {
            let found = format!(
                "pitch, and the size {text} with its pitch of {} mm",
                thread.pitch()
            );
            let expected = "pitch only with a diameter as the size";
            let fine = fastener::fine_names(thread.diameter());
            section.bad(
                &id::CONTRADICTION,
                "pitch",
                &found,
                expected,
                &format!("fine threads have names: {fine}"),
            );
        }
        return Some(Size {
            text: text.to_owned(),
            diameter_mm: thread.diameter(),
            thread: Some(thread),
        });
    }
    let typed = section.quantity("size", &[Measure::Length])?;
    if typed.value <= 0.0 {
        section.bad(
            &id::GEOMETRY,
            "size",
            &typed.canonical(),
            "a diameter above 0",
            "",
        );
        return None;
    }
    let thread = match pitch.map(|pitch| Thread::new(typed.value, pitch.value)) {
        None => None,
        Some(Ok(thread)) => Some(thread),
        Some(Err(error)) => {
            let expected = "a pitch above 0 that leaves the bolt a core";
            let hint = "the coarse pitch of M12 is 1.75 mm";
            section.bad(&id::GEOMETRY, "pitch", &error.to_string(), expected, hint);
            return None;
        }
    };
    Some(Size {
        text: typed.canonical(),
        diameter_mm: typed.value,
        thread,
    })
}

/// What to write instead of a size that is no listed thread.
fn size_hint(text: &str) -> String {
    let plain = text.replace(['X', '\u{d7}'], "x").replace([' ', 'm'], "");
    let plain = format!("M{}", plain.trim_start_matches('M'));
    if Thread::metric(&plain).is_some() {
        return format!("write {}", quoted(&plain));
    }
    let coarse = plain.split('x').next().and_then(Thread::metric);
    match coarse {
        Some(coarse) => format!(
            "fine threads of this diameter: {}; any other by  size = \"{} mm\"  and pitch",
            fastener::fine_names(coarse.diameter()),
            coarse.diameter()
        ),
        None => format!(
            "state the diameter for a size that is none of {}",
            fastener::coarse_names()
        ),
    }
}

/// Reports the missing pitch of a bolt that is stated by its diameter, when a key needs the thread.
pub(crate) fn pitch_is_needed(section: &Section<'_, '_>) {
    let needing = [
        "thread_friction",
        "head_friction",
        "property_class",
        "yield_strength",
        "material",
    ];
    if section.has("pitch") {
        return;
    }
    if let Some(key) = needing.into_iter().find(|key| section.has(key)) {
        let what = format!("the thread's pitch, which {key} needs where the size is a diameter");
        section.missing("pitch", &what, "pitch = \"1.75 mm\"");
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_hint_leads_to_the_name_that_is_read() {
        for (typed, hint) in [
            ("M12X1.25", "write \"M12x1.25\""),
            ("m12 \u{d7} 1.25", "write \"M12x1.25\""),
            ("M12 x 1.25 mm", "write \"M12x1.25\""),
        ] {
            assert_eq!(size_hint(typed), hint);
        }
        assert!(
            size_hint("M12x1.6").starts_with("fine threads of this diameter: M12x1.5, M12x1.25")
        );
        assert!(size_hint("M13").ends_with("M36, M39, M42"));
        assert!(size_hint("m\u{e4}").contains("M4"));
    }
}
