//! Advance widths of one sans face, so that labels can be placed without a font at hand.
//!
//! The widths are those of the common grotesque that every system carries in one cut or another (the cuts
//! are made to agree in width); a small allowance covers those that run wider.

/// The faces asked for, all of nearly the same widths.
pub const FAMILY: &str = "Arial, 'Liberation Sans', 'Helvetica Neue', Helvetica, sans-serif";
/// Type size of every chart and of the page (px); 10.5 pt in print.
pub const SIZE: f64 = 14.0;
/// Distance between lines of text (px).
pub const LINE: f64 = 18.0;
/// From baseline to the top of the box of a line.
pub const ASCENT: f64 = 0.80 * SIZE;
/// From baseline to the bottom of the box of a line.
pub const DESCENT: f64 = 0.22 * SIZE;

const ALLOWANCE: f64 = 1.03;
const BOLD: f64 = 1.08;

/// Widths of U+0020..U+007E in thousandths of the type size.
const ASCII: [u16; 95] = [
    278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333, 278, 278, 556, 556, 556,
    556, 556, 556, 556, 556, 556, 556, 278, 278, 584, 584, 584, 556, 1015, 667, 667, 722, 722, 667,
    611, 778, 722, 278, 500, 667, 556, 833, 722, 778, 667, 778, 722, 667, 611, 722, 667, 944, 667,
    667, 611, 278, 278, 278, 469, 556, 333, 556, 556, 500, 556, 556, 278, 556, 556, 222, 222, 500,
    222, 833, 556, 556, 556, 556, 333, 500, 278, 556, 500, 722, 500, 500, 500, 334, 260, 334, 584,
];

/// Width of a line of text (px).
pub fn width(text: &str, bold: bool) -> f64 {
    let units: f64 = text.chars().map(advance).sum();
    let weight = if bold { BOLD } else { 1.0 };
    units / 1000.0 * SIZE * ALLOWANCE * weight
}

/// The text broken into lines no wider than `widest`; a single word that is wider is cut.
pub fn wrap(text: &str, widest: f64, bold: bool) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    for word in text.split(' ') {
        let longer = if line.is_empty() {
            word.to_owned()
        } else {
            format!("{line} {word}")
        };
        if width(&longer, bold) <= widest {
            line = longer;
            continue;
        }
        if !line.is_empty() {
            lines.push(std::mem::take(&mut line));
        }
        line = cut(word, widest, bold);
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
}

/// The text cut to a width, with an ellipsis when something is lost.
pub fn cut(text: &str, widest: f64, bold: bool) -> String {
    if width(text, bold) <= widest {
        return text.to_owned();
    }
    let mut kept = String::new();
    for c in text.chars() {
        if width(&format!("{kept}{c}…"), bold) > widest {
            break;
        }
        kept.push(c);
    }
    // An isolated run that lost its end is closed again.
    let is_open = kept.matches('\u{2068}').count() > kept.matches('\u{2069}').count();
    format!("{kept}…{}", if is_open { "\u{2069}" } else { "" })
}

fn advance(c: char) -> f64 {
    let code = u32::from(c);
    if (0x20..0x7F).contains(&code) {
        return f64::from(ASCII[(code - 0x20) as usize]);
    }
    match c {
        '\u{2068}' | '\u{2069}' => 0.0,
        '\u{A0}' | '\u{202F}' | '·' => 333.0,
        '°' | '\u{2032}' => 400.0,
        '−' | '×' | '±' | '–' | 'µ' | '≥' | '≤' => 590.0,
        '⁰'..='⁹' | '¹' | '²' | '³' | '⁻' => 400.0,
        '…' | '—' | '→' | '←' => 1000.0,
        'Ø' => 778.0,
        '\u{300}'..='\u{36F}' => 0.0,
        '\u{1100}'..='\u{115F}'
        | '\u{2E80}'..='\u{A4CF}'
        | '\u{AC00}'..='\u{D7A3}'
        | '\u{F900}'..='\u{FAFF}'
        | '\u{FE30}'..='\u{FE4F}'
        | '\u{FF00}'..='\u{FF60}' => 1000.0,
        _ if code > 0xFFFF => 1300.0,
        _ => 750.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn widths_add_up() {
        assert!((width("00", false) - 2.0 * 0.556 * SIZE * ALLOWANCE).abs() < 1e-9);
        assert!(width("MM", true) > width("MM", false));
    }

    #[test]
    fn wrapped_lines_fit_and_keep_every_word() {
        let text = "Most rejects lock on the cone before the spacer is pinched";
        let lines = wrap(text, 150.0, true);
        assert!(lines.len() > 1);
        assert!(lines.iter().all(|l| width(l, true) <= 150.0));
        assert_eq!(lines.join(" "), text);
    }

    #[test]
    fn endless_words_are_cut() {
        let line = wrap(&"x".repeat(900), 200.0, false);
        assert_eq!(line.len(), 1);
        assert!(width(&line[0], false) <= 200.0 && line[0].ends_with('…'));
    }
}
