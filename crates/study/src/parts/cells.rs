//! Splits one physical line into cells, with the column where each begins.

/// One cell: its text without quotes and outer blanks.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Cell {
    /// Column in characters, from 1.
    pub(super) column: usize,
    /// The text.
    pub(super) text: String,
}

/// Why a line has no cells.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub(super) enum CellError {
    /// A quote is opened and not closed in the line.
    #[error("a quote that is not closed in this line")]
    Open {
        /// Column of the opening quote.
        column: usize,
    },
    /// Text follows a closing quote.
    #[error("text after a closing quote")]
    TextAfter {
        /// Column of that text.
        column: usize,
    },
}

/// Splits a line at commas; a cell may stand in double quotes, with a quote inside written twice.
///
/// # Errors
/// [`CellError`]
pub(super) fn split(line: &str) -> Result<Vec<Cell>, CellError> {
    let chars: Vec<char> = line.chars().collect();
    let mut cells = Vec::new();
    let mut at = 0;
    loop {
        while matches!(chars.get(at), Some(' ' | '\t')) {
            at += 1;
        }
        let column = at + 1;
        let (text, end) = match chars.get(at) {
            Some('"') => quoted_cell(&chars, at)?,
            _ => bare_cell(&chars, at),
        };
        cells.push(Cell { column, text });
        if end >= chars.len() {
            return Ok(cells);
        }
        at = end + 1;
    }
}

/// Text up to the next comma, and where that is.
fn bare_cell(chars: &[char], start: usize) -> (String, usize) {
    let rest = chars.get(start..).unwrap_or_default();
    let length = rest.iter().position(|&c| c == ',').unwrap_or(rest.len());
    let text: String = rest[..length].iter().collect();
    (text.trim_matches([' ', '\t']).to_owned(), start + length)
}

/// Text between quotes, and where the next comma is.
fn quoted_cell(chars: &[char], start: usize) -> Result<(String, usize), CellError> {
    let mut text = String::new();
    let mut at = start + 1;
    loop {
        match (chars.get(at), chars.get(at + 1)) {
            (None, _) => return Err(CellError::Open { column: start + 1 }),
            (Some('"'), Some('"')) => {
                text.push('"');
                at += 2;
            }
            (Some('"'), _) => break,
            (Some(&c), _) => {
                text.push(c);
                at += 1;
            }
        }
    }
    at += 1;
    while matches!(chars.get(at), Some(' ' | '\t')) {
        at += 1;
    }
    match chars.get(at) {
        None | Some(',') => Ok((text.trim_matches([' ', '\t']).to_owned(), at)),
        Some(_) => Err(CellError::TextAfter { column: at + 1 }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn texts(line: &str) -> Result<Vec<String>, CellError> {
        split(line).map(|cells| cells.into_iter().map(|c| c.text).collect())
    }

    #[test]
    fn cells_are_split_as_the_csv_library_splits_them() {
        for line in [
            "a,b,c",
            "a,,",
            ",",
            "\"x, y\",z",
            "\"a \"\"b\"\"\",1",
            "1",
            "\"\",2",
        ] {
            let mut reader = csv::ReaderBuilder::new()
                .has_headers(false)
                .from_reader(line.as_bytes());
            let expected: Vec<String> = reader
                .records()
                .next()
                .unwrap()
                .unwrap()
                .iter()
                .map(str::to_owned)
                .collect();
            assert_eq!(texts(line), Ok(expected), "{line}");
        }
    }

    #[test]
    fn columns_are_those_of_the_cells_and_count_characters() {
        let cells = split("µm, b,\"c\",d").unwrap();
        let columns: Vec<_> = cells.iter().map(|c| c.column).collect();
        assert_eq!(columns, [1, 5, 7, 11]);
    }

    #[test]
    fn quotes_that_do_not_close_or_are_followed_by_text_are_refused() {
        assert_eq!(texts("1,\"2"), Err(CellError::Open { column: 3 }));
        assert_eq!(texts("\"2.5\"1,3"), Err(CellError::TextAfter { column: 6 }));
    }
}
