//! Looks over a scenario before the parser sees it: what would hurt the parser, or what it would explain badly.

use crate::problem::escape::forbidden_in_xml;

/// Deepest nesting: brackets that are open plus dots of the keys that lead there.
pub(crate) const DEPTH: usize = 80;

/// Something the parser shall not see.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Finding {
    /// A carriage return without a line feed, and how many there are.
    LoneCr(usize),
    /// A character that no text of a report may hold.
    Forbidden(char),
    /// A character outside quotes and comments that TOML does not know there.
    Stray(char),
    /// Brackets nested too deep.
    Deep,
    /// A dotted key with too many parts.
    Dotted,
}

/// A finding with its byte offset.
pub(crate) type Found = (usize, Finding);

/// What the scan found. With any of `fatal` the parser is not to be called.
#[derive(Debug, Default)]
pub(crate) struct Report {
    /// Findings that end the reading.
    pub(crate) fatal: Vec<Found>,
    /// Characters that are syntax errors, in order.
    pub(crate) stray: Vec<Found>,
    /// Offsets where a key or a table header begins at the start of a line.
    pub(crate) statements: Vec<usize>,
}

/// Scans a text without byte order mark.
pub(crate) fn scan(text: &str) -> Report {
    let mut report = Report::default();
    characters(text, &mut report);
    if !report.fatal.is_empty() {
        return report;
    }
    Scan {
        text,
        bytes: text.as_bytes(),
        at: 0,
        brackets: Vec::new(),
        bracket_dots: 0,
        dots: 0,
        header_dots: 0,
        in_header: false,
        fresh: true,
    }
    .run(&mut report);
    report
}

/// Characters that are refused wherever they stand.
fn characters(text: &str, report: &mut Report) {
    let lone = |i: usize| text.as_bytes()[i] == b'\r' && text.as_bytes().get(i + 1) != Some(&b'\n');
    let mut crs = (0..text.len()).filter(|&i| lone(i));
    if let Some(first) = crs.next() {
        report.fatal.push((first, Finding::LoneCr(1 + crs.count())));
    }
    let forbidden = text.char_indices().filter(|&(_, c)| forbidden_in_xml(c));
    report
        .fatal
        .extend(forbidden.take(20).map(|(i, c)| (i, Finding::Forbidden(c))));
}

struct Scan<'t> {
    text: &'t str,
    bytes: &'t [u8],
    at: usize,
    /// For every open bracket, the dots of the key that led to it.
    brackets: Vec<usize>,
    /// Their sum, kept so that a bracket costs the same however deep it stands.
    bracket_dots: usize,
    /// Dots of the key that is being read.
    dots: usize,
    /// Dots of the last table header.
    header_dots: usize,
    in_header: bool,
    /// Nothing but blanks so far on this line.
    fresh: bool,
}

impl Scan<'_> {
    fn run(mut self, report: &mut Report) {
        while let Some(&byte) = self.bytes.get(self.at) {
            if !matches!(byte, b' ' | b'\t' | b'\n' | b'\r' | b'#') && self.fresh {
                self.begin_statement(byte, report);
            }
            match byte {
                b'#' => self.skip_comment(),
                b'"' | b'\'' => self.skip_string(byte),
                b'\n' => self.end_line(),
                b'[' | b'{' => self.open(report),
                b']' | b'}' => self.close(),
                b'=' => self.in_header = false,
                b',' => self.dots = 0,
                b'.' => self.dot(report),
                0x80.. => self.stray(report),
                _ => {}
            }
            if !report.fatal.is_empty() {
                return;
            }
            self.at += 1;
        }
    }

    fn begin_statement(&mut self, byte: u8, report: &mut Report) {
        self.fresh = false;
        if self.brackets.is_empty() {
            report.statements.push(self.at);
            if byte == b'[' {
                self.in_header = true;
                self.header_dots = 0;
            }
        }
    }

    fn end_line(&mut self) {
        self.fresh = true;
        if self.in_header {
            self.in_header = false;
            self.header_dots = self.dots;
            self.brackets.clear();
            self.bracket_dots = 0;
        }
        if self.brackets.is_empty() {
            self.dots = 0;
        }
    }

    fn skip_comment(&mut self) {
        while self.bytes.get(self.at + 1).is_some_and(|&b| b != b'\n') {
            self.at += 1;
        }
    }

    /// Leaves `at` on the last byte of the text; a text that is not closed ends with its line.
    fn skip_string(&mut self, quote: u8) {
        let long = self.bytes[self.at..].starts_with(&[quote; 3]);
        let mut i = self.at + if long { 3 } else { 1 };
        while let Some(&byte) = self.bytes.get(i) {
            match byte {
                b'\\' if quote == b'"' => i += 1,
                b'\n' if !long => {
                    i -= 1;
                    break;
                }
                _ if byte == quote && !long => break,
                _ if byte == quote && self.bytes[i..].starts_with(&[quote; 3]) => {
                    i += 2;
                    while self.bytes.get(i + 1) == Some(&quote) {
                        i += 1;
                    }
                    break;
                }
                _ => {}
            }
            i += 1;
        }
        self.at = i;
    }

    fn depth(&self) -> usize {
        self.header_dots + self.dots + self.brackets.len() + self.bracket_dots
    }

    fn open(&mut self, report: &mut Report) {
        if self.in_header {
            return;
        }
        self.brackets.push(self.dots);
        self.bracket_dots += self.dots;
        self.dots = 0;
        if self.depth() > DEPTH {
            report.fatal.push((self.at, Finding::Deep));
        }
    }

    fn close(&mut self) {
        if !self.in_header {
            self.dots = self.brackets.pop().unwrap_or(0);
            self.bracket_dots = self.bracket_dots.saturating_sub(self.dots);
        }
    }

    fn dot(&mut self, report: &mut Report) {
        self.dots += 1;
        if self.dots >= DEPTH || self.depth() > DEPTH {
            report.fatal.push((self.at, Finding::Dotted));
        }
    }

    fn stray(&mut self, report: &mut Report) {
        if let Some(c) = self.text.get(self.at..).and_then(|t| t.chars().next()) {
            if report.stray.len() < 100 {
                report.stray.push((self.at, Finding::Stray(c)));
            }
            self.at += c.len_utf8() - 1;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn depth_of_eighty_passes_and_one_more_does_not() {
        let nest = |n: usize| format!("a = {}{}", "[".repeat(n), "]".repeat(n));
        assert!(scan(&nest(80)).fatal.is_empty());
        assert_eq!(scan(&nest(81)).fatal, [(84, Finding::Deep)]);
        let key = |parts: usize| format!("{} = 1", vec!["k"; parts].join("."));
        assert!(scan(&key(80)).fatal.is_empty());
        assert_eq!(scan(&key(81)).fatal, [(159, Finding::Dotted)]);
    }

    #[test]
    fn dotted_keys_inside_tables_count_together() {
        let half = vec!["k"; 45].join(".");
        let text = format!("[{half}]\n{half} = 1\n");
        assert!(!scan(&text).fatal.is_empty());
        let apart = format!("[{half}]\na = 1\n[b]\n{half} = 1\n");
        assert!(scan(&apart).fatal.is_empty());
    }

    #[test]
    fn quotes_and_comments_may_hold_anything_printable() {
        let text = "t = \"“x” [[[[ … \\\" ]\" # − “\nu = '''\n“ ' \n'''\nv = \"\"\"a\\\"\"\"\"\n";
        let report = scan(text);
        assert!(
            report.fatal.is_empty() && report.stray.is_empty(),
            "{report:?}"
        );
        assert_eq!(report.statements.len(), 3);
    }

    #[test]
    fn stray_characters_are_found_with_their_offset() {
        let report = scan("a = \u{201c}x\u{201d}\n");
        assert_eq!(
            report.stray,
            [
                (4, Finding::Stray('\u{201c}')),
                (8, Finding::Stray('\u{201d}'))
            ]
        );
    }

    #[test]
    fn lone_carriage_returns_are_counted_and_crlf_is_not() {
        assert_eq!(scan("a = 1\rb = 2\rc").fatal, [(5, Finding::LoneCr(2))]);
        assert!(scan("a = 1\r\nb = 2\r\n").fatal.is_empty());
    }
}
