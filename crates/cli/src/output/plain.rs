//! Text from files and paths, made safe for a terminal: nothing in it can move the cursor, ring the
//! bell, change the title or turn the reading direction.

use std::ffi::OsStr;
use std::fmt::Write;

/// The text on one line, with control characters and direction marks escaped.
pub fn plain(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for c in text.chars() {
        push(&mut safe, c);
    }
    safe
}

/// The text with its line breaks, everything else as in [`plain`].
pub fn plain_lines(text: &str) -> String {
    text.split('\n').map(plain).collect::<Vec<_>>().join("\n")
}

/// A path as a person reads it; bytes that are not UTF-8 appear as `\xNN`.
pub fn shown(path: impl AsRef<OsStr>) -> String {
    let mut safe = String::new();
    for chunk in path.as_ref().as_encoded_bytes().utf8_chunks() {
        safe.push_str(&plain(chunk.valid()));
        for byte in chunk.invalid() {
            let _ = write!(safe, "\\x{byte:02x}");
        }
    }
    safe
}

fn push(safe: &mut String, c: char) {
    match c {
        '\n' | '\r' | '\t' => safe.extend(c.escape_default()),
        c if c.is_control() || steers(c) => safe.extend(c.escape_unicode()),
        c => safe.push(c),
    }
}

/// Characters without a picture that change how the text around them is read.
fn steers(c: char) -> bool {
    matches!(c,
        '\u{061c}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{206f}'
        | '\u{feff}' | '\u{fff9}'..='\u{fffb}' | '\u{fffe}' | '\u{ffff}' | '\u{e0000}'..='\u{e007f}')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_that_steers_a_terminal_passes() {
        let hostile = "a\u{1b}[31mred\u{7}\u{9b}2J\u{202e}txt\u{2066}\u{2028}\r\n\tb\u{0}\u{7f}";
        let safe = plain(hostile);
        assert!(
            safe.chars().all(|c| !c.is_control() && !steers(c)),
            "{safe}"
        );
        assert!(safe.contains(r"\u{1b}[31mred"));
        assert!(safe.contains(r"\u{202e}txt"));
        assert!(safe.contains(r"\r\n\tb"));
    }

    #[test]
    fn ordinary_text_passes_unchanged() {
        let text = "Pumpenlaufrad ø30 – 泵轮 µm \"α\" \\ 1:20";
        assert_eq!(plain(text), text);
        assert_eq!(plain_lines("a\nb"), "a\nb");
    }

    #[cfg(unix)]
    #[test]
    fn bytes_that_are_not_utf8_are_shown_as_numbers() {
        use std::os::unix::ffi::OsStrExt;
        assert_eq!(
            shown(OsStr::from_bytes(b"a\xff\x1b.toml")),
            r"a\xff\u{1b}.toml"
        );
    }
}
