//! Text from outside, made safe to print: nothing in it moves the cursor or turns the line round.

/// Whether a character may not reach a terminal as it is.
fn is_unsafe(c: char) -> bool {
    c.is_control()
        || matches!(c,
            '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{206f}'
            | '\u{feff}' | '\u{fff9}'..='\u{fffb}' | '\u{fffe}' | '\u{ffff}')
}

/// The text with control characters, line ends and direction marks written as `\u{…}`.
pub(crate) fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        if is_unsafe(c) {
            out.extend(c.escape_unicode());
        } else {
            out.push(c);
        }
    }
    out
}

/// At most `longest` characters; what is left out is said by an ellipsis.
pub(crate) fn cut(text: &str, longest: usize) -> String {
    match text.char_indices().nth(longest) {
        None => text.to_owned(),
        Some((end, _)) => format!("{}…", &text[..end]),
    }
}

/// A value as found: in quotes, at most 60 characters.
pub(crate) fn quoted(text: &str) -> String {
    format!("\"{}\"", cut(text, 60))
}

/// A character by its code point and, where people meet it by accident, its name.
pub(crate) fn named(c: char) -> String {
    let name = match c {
        '\0' => "NUL",
        '\u{7}' => "bell",
        '\u{8}' => "backspace",
        '\t' => "tab",
        '\n' => "line feed",
        '\r' => "carriage return",
        '\u{1b}' => "escape",
        '\u{7f}' => "delete",
        '\u{a0}' => "non-breaking space",
        '\u{2007}' => "figure space",
        '\u{2009}' => "thin space",
        '\u{200b}' => "zero-width space",
        '\u{202f}' => "narrow non-breaking space",
        '\u{3000}' => "full-width space",
        '\u{feff}' => "byte order mark",
        '\u{2010}' | '\u{2011}' => "hyphen",
        '\u{2012}' | '\u{2013}' => "en dash",
        '\u{2014}' => "em dash",
        '\u{2212}' => "minus sign",
        '\u{2018}' => "left single quotation mark",
        '\u{2019}' => "right single quotation mark",
        '\u{201a}' => "low single quotation mark",
        '\u{201c}' => "left double quotation mark",
        '\u{201d}' => "right double quotation mark",
        '\u{201e}' => "low double quotation mark",
        '\u{ab}' | '\u{bb}' => "angle quotation mark",
        '\u{d7}' => "multiplication sign",
        '\u{b1}' => "plus-minus sign",
        '\u{b0}' => "degree sign",
        '\u{ff0b}' => "full-width plus",
        '\u{ff10}'..='\u{ff19}' => "full-width digit",
        _ => "",
    };
    let code = format!("U+{:04X}", u32::from(c));
    match name {
        "" if is_unsafe(c) => code,
        "" => format!("{code} {c}"),
        _ => format!("{code} ({name})"),
    }
}

/// Whether XML 1.0 forbids the character, so that no chart could carry it.
pub(crate) fn forbidden_in_xml(c: char) -> bool {
    matches!(c, '\0'..='\u{8}' | '\u{b}' | '\u{c}' | '\u{e}'..='\u{1f}' | '\u{fffe}' | '\u{ffff}')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn direction_marks_and_line_ends_are_written_out() {
        assert_eq!(
            escaped("a\u{202e}b\nc\u{2069}"),
            "a\\u{202e}b\\u{a}c\\u{2069}"
        );
        assert_eq!(escaped("Nabe µm 30°"), "Nabe µm 30°");
    }

    #[test]
    fn cutting_never_splits_a_character() {
        assert_eq!(cut("µµµ", 2), "µµ…");
        assert_eq!(cut("µµ", 2), "µµ");
    }

    #[test]
    fn characters_met_by_accident_have_names() {
        assert_eq!(named('\u{201c}'), "U+201C (left double quotation mark)");
        assert_eq!(named('é'), "U+00E9 é");
    }
}
