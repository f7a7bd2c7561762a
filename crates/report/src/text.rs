//! Text of a record on its way into markup: it is shown, it is never obeyed.

use std::fmt::Write;

/// Opens an isolated run of text in an SVG, so that right-to-left letters move nothing around it.
const FIRST_STRONG_ISOLATE: char = '\u{2068}';
/// Closes an isolated run.
const POP_ISOLATE: char = '\u{2069}';

/// The text with every control, direction and forbidden character written out as `[U+202E]`.
pub fn visible(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        if is_hidden(c) {
            let _ = write!(out, "[U+{:04X}]", u32::from(c));
        } else {
            out.push(c);
        }
    }
    out
}

/// The text with the five characters of markup escaped.
pub fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            _ => out.push(c),
        }
    }
    out
}

/// Text of a record for HTML: made visible, escaped and isolated.
pub fn html(text: &str) -> String {
    format!("<bdi>{}</bdi>", escape(&visible(text)))
}

/// Text of a record for HTML that may run over several lines.
pub fn html_lines(text: &str) -> String {
    let lines: Vec<String> = text.lines().map(html).collect();
    lines.join("<br/>")
}

/// Text of a record for a label of a chart: made visible, isolated, cut to `longest` characters.
pub fn label(text: &str, longest: usize) -> String {
    let shown = short(text, longest);
    if shown.is_ascii() {
        return shown;
    }
    format!("{FIRST_STRONG_ISOLATE}{shown}{POP_ISOLATE}")
}

/// Text of a record made visible and cut to `longest` characters.
pub fn short(text: &str, longest: usize) -> String {
    let shown = visible(text);
    if shown.chars().count() <= longest {
        return shown;
    }
    let kept: String = shown.chars().take(longest.saturating_sub(1)).collect();
    format!("{kept}…")
}

/// First letter in upper case.
pub fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    match letters.next() {
        Some(first) => first.to_uppercase().chain(letters).collect(),
        None => String::new(),
    }
}

/// A word as a POSIX shell reads it back: quoted only where it must be.
pub fn shell_word(word: &str) -> String {
    let plain = |c: char| c.is_ascii_alphanumeric() || "_-./=:,+%@".contains(c);
    if !word.is_empty() && word.chars().all(plain) {
        return word.to_owned();
    }
    format!("'{}'", word.replace('\'', "'\\''"))
}

fn is_hidden(c: char) -> bool {
    c.is_control()
        || matches!(c,
            '\u{061C}' | '\u{200B}' | '\u{200E}' | '\u{200F}' | '\u{2028}'..='\u{202E}'
            | '\u{2060}'..='\u{206F}' | '\u{FEFF}' | '\u{FFF9}'..='\u{FFFB}')
        || u32::from(c) & 0xFFFE == 0xFFFE
        || ('\u{FDD0}'..='\u{FDEF}').contains(&c)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn markup_and_hidden_characters_become_plain_text() {
        assert_eq!(
            html("</title><b a=\"1\" c='2'>&\u{202E}\u{1}\n\u{FFFE}"),
            "<bdi>&lt;/title&gt;&lt;b a=&quot;1&quot; c=&#39;2&#39;&gt;&amp;\
             [U+202E][U+0001][U+000A][U+FFFE]</bdi>"
        );
    }

    #[test]
    fn labels_are_cut_and_isolated() {
        assert_eq!(label("abcdef", 4), "\u{2068}abc…\u{2069}");
        assert_eq!(label("abcd", 4), "abcd");
    }

    #[test]
    fn shell_words_are_quoted_only_where_needed() {
        assert_eq!(shell_word("a.toml"), "a.toml");
        assert_eq!(shell_word("it's; rm"), "'it'\\''s; rm'");
    }
}
