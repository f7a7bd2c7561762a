//! Byte offsets to the line and column that a text editor shows.

/// Where the lines of a text begin.
#[derive(Debug, Clone)]
pub(crate) struct Lines<'t> {
    text: &'t str,
    starts: Vec<usize>,
}

impl<'t> Lines<'t> {
    /// The lines of a text without byte order mark; LF and CRLF end a line.
    pub(crate) fn new(text: &'t str) -> Lines<'t> {
        let ends = text.bytes().enumerate().filter(|&(_, b)| b == b'\n');
        let starts = std::iter::once(0).chain(ends.map(|(i, _)| i + 1)).collect();
        Lines { text, starts }
    }

    /// Line and column, both from 1; columns count characters.
    pub(crate) fn place(&self, offset: usize) -> (usize, usize) {
        let mut offset = offset.min(self.text.len());
        while !self.text.is_char_boundary(offset) {
            offset -= 1;
        }
        let line = self.starts.partition_point(|&start| start <= offset);
        let start = self.starts[line - 1];
        (line, self.text[start..offset].chars().count() + 1)
    }

    /// The line with this number, without its line end.
    pub(crate) fn line(&self, number: usize) -> &'t str {
        let Some(&start) = number.checked_sub(1).and_then(|n| self.starts.get(n)) else {
            return "";
        };
        let end = self
            .starts
            .get(number)
            .map_or(self.text.len(), |&next| next - 1);
        self.text[start..end].trim_end_matches('\r')
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_count_characters_not_bytes() {
        let lines = Lines::new("a\nµm = 1\n");
        assert_eq!(lines.place(2), (2, 1));
        assert_eq!(lines.place(4), (2, 2));
        assert_eq!(lines.place(9), (2, 7));
        assert_eq!(
            lines.place(3),
            (2, 1),
            "inside a character counts as its start"
        );
    }

    #[test]
    fn crlf_lines_have_the_numbers_of_the_editor() {
        let lines = Lines::new("a\r\nb\r\n\r\nc");
        assert_eq!(lines.place(3), (2, 1));
        assert_eq!(lines.place(8), (4, 1));
        assert_eq!(lines.line(2), "b");
        assert_eq!(lines.line(4), "c");
        assert_eq!(lines.line(9), "");
    }
}
