//! Rows of cells: physical lines put together where a quoted cell holds a line end, quotes checked, cells split by the csv library.

use super::dialect::Separator;

/// Longest cell (bytes).
pub(super) const LONGEST_CELL: usize = 64 * 1024;

/// One row as it stands in the file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct RawRow {
    /// First line, from 1.
    pub(super) line: usize,
    /// Its text, lines joined by a line feed.
    pub(super) text: String,
}

/// What is wrong with the quotes of a row: line and column.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum QuoteError {
    /// Text behind a closing quote.
    TextAfter(usize, usize),
    /// A quote behind blanks, which would not open a cell.
    Behind(usize, usize),
}

/// Puts lines together to rows.
#[derive(Debug)]
pub(super) struct Assembler {
    separator: char,
    row: Option<RawRow>,
    state: State,
    /// Where the quote was opened that is open now.
    pub(super) opened: (usize, usize),
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum State {
    /// At the beginning of a cell; only blanks so far, if any.
    Start,
    /// In a cell without quotes.
    Bare,
    /// Between quotes.
    Quoted,
    /// Behind a quote inside quotes: the end of the cell, or the first of two.
    Closing,
    /// Behind the closing quote and a blank.
    Closed,
}

impl Assembler {
    pub(super) fn new(separator: Separator) -> Assembler {
        Assembler {
            separator: char::from(separator.sign()),
            row: None,
            state: State::Start,
            opened: (0, 0),
        }
    }

    /// Whether a quote is open.
    pub(super) fn is_open(&self) -> bool {
        self.state == State::Quoted
    }

    /// Bytes of the row at hand.
    pub(super) fn len(&self) -> usize {
        self.row.as_ref().map_or(0, |row| row.text.len())
    }

    /// Takes a line; gives the row when it ends with this line.
    pub(super) fn push(&mut self, number: usize, line: &str) -> Result<Option<RawRow>, QuoteError> {
        match &mut self.row {
            Some(row) => {
                row.text.push('\n');
                row.text.push_str(line);
            }
            None => {
                self.state = State::Start;
                self.row = Some(RawRow {
                    line: number,
                    text: line.to_owned(),
                });
            }
        }
        let fault = self.scan(number, line);
        if fault.is_some() || !self.is_open() {
            let row = self.row.take();
            return match fault {
                Some(fault) => Err(fault),
                None => Ok(row),
            };
        }
        Ok(None)
    }

    /// Goes through the characters of a line; a fault ends the row.
    fn scan(&mut self, number: usize, line: &str) -> Option<QuoteError> {
        let mut blank_before = false;
        let mut fault = None;
        for (place, c) in line.chars().enumerate() {
            let here = (number, place + 1);
            let is_separator = c == self.separator;
            let is_blank = matches!(c, ' ' | '\t') && !is_separator;
            self.state = match self.state {
                State::Quoted if c == '"' => State::Closing,
                State::Quoted => State::Quoted,
                State::Closing if c == '"' => State::Quoted,
                _ if is_separator => State::Start,
                State::Closing | State::Closed if is_blank => State::Closed,
                State::Closing | State::Closed => {
                    fault = fault.or(Some(QuoteError::TextAfter(here.0, here.1)));
                    State::Bare
                }
                State::Start if c == '"' => {
                    if blank_before {
                        fault = fault.or(Some(QuoteError::Behind(here.0, here.1)));
                    }
                    self.opened = here;
                    State::Quoted
                }
                State::Start if is_blank => State::Start,
                State::Start | State::Bare => State::Bare,
            };
            blank_before = is_blank;
        }
        if self.state != State::Quoted || fault.is_some() {
            self.state = State::Start;
        }
        fault
    }
}

/// Splits rows into cells, in one go of the library.
///
/// # Errors
/// When the library sees other rows than we do, which is a defect.
pub(super) fn split(rows: &[RawRow], separator: Separator) -> Result<Vec<Vec<String>>, String> {
    let mut text = String::with_capacity(rows.iter().map(|row| row.text.len() + 1).sum());
    for row in rows {
        text.push_str(&row.text);
        text.push('\n');
    }
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(separator.sign())
        .has_headers(false)
        .flexible(true)
        .terminator(csv::Terminator::Any(b'\n'))
        .from_reader(text.as_bytes());
    let mut all = Vec::with_capacity(rows.len());
    for record in reader.records() {
        let record = record.map_err(|error| error.to_string())?;
        let cell = |cell: &str| cell.trim_matches([' ', '\t']).to_owned();
        all.push(record.iter().map(cell).collect());
    }
    if all.len() == rows.len() {
        Ok(all)
    } else {
        Err(format!("{} rows where {} stand", all.len(), rows.len()))
    }
}

/// Line and column where a cell of a row begins: its quote or its first letter.
pub(super) fn place(row: &RawRow, cell: usize, separator: Separator) -> (usize, usize) {
    let separator = char::from(separator.sign());
    let (mut line, mut column, mut at, mut quoted) = (row.line, 0, 0, false);
    // Only a quote at the beginning of a cell opens one; another one is a letter.
    let (mut begun, mut fresh) = (None, true);
    for c in row.text.chars() {
        column += 1;
        if c == '\n' {
            line += 1;
            column = 0;
        } else if c == '"' && (quoted || fresh) {
            quoted = !quoted;
        }
        let is_separator = c == separator && !quoted;
        fresh = is_separator || (fresh && matches!(c, ' ' | '\t')) || (c == '"' && !quoted);
        if at == cell {
            if begun.is_none() && (is_separator || !matches!(c, ' ' | '\t')) {
                begun = Some((line, column));
            }
            if is_separator {
                break;
            }
        }
        if is_separator {
            at += 1;
        }
    }
    begun.unwrap_or((line, column + 1))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rows(lines: &[&str], separator: Separator) -> Vec<Result<RawRow, QuoteError>> {
        let mut assembler = Assembler::new(separator);
        let mut all = vec![];
        for (i, line) in lines.iter().enumerate() {
            match assembler.push(i + 1, line) {
                Ok(None) => {}
                Ok(Some(row)) => all.push(Ok(row)),
                Err(error) => all.push(Err(error)),
            }
        }
        all
    }

    #[test]
    fn a_quoted_cell_may_hold_a_line_end_and_the_separator() {
        let rows: Vec<RawRow> = rows(&["a,\"b", "c, d\",e", "f,g,h"], Separator::Comma)
            .into_iter()
            .map(|row| row.expect("good quotes"))
            .collect();
        assert_eq!(rows[1].line, 3);
        let cells = split(&rows, Separator::Comma).expect("agrees");
        assert_eq!(cells, [vec!["a", "b\nc, d", "e"], vec!["f", "g", "h"]]);
        let places = [0, 1, 2].map(|cell| place(&rows[0], cell, Separator::Comma));
        assert_eq!(places, [(1, 1), (1, 3), (2, 7)]);
        assert_eq!(place(&rows[1], 2, Separator::Comma), (3, 5));
    }

    #[test]
    fn text_behind_a_quote_and_quotes_behind_blanks_are_faults_with_their_place() {
        assert_eq!(
            rows(&["1,\"2.5\"1,3"], Separator::Comma)[0],
            Err(QuoteError::TextAfter(1, 8))
        );
        assert_eq!(
            rows(&["1, \"2\""], Separator::Comma)[0],
            Err(QuoteError::Behind(1, 4))
        );
        assert!(rows(&["1,5\" pipe"], Separator::Comma)[0].is_ok());
        assert!(rows(&["\"a\"\"b\",\"\""], Separator::Comma)[0].is_ok());
        assert!(rows(&["\"a\" ;2"], Separator::Semicolon)[0].is_ok());
    }

    #[test]
    fn a_quote_inside_a_bare_cell_is_a_letter() {
        let row = RawRow {
            line: 1,
            text: "1,5\" pipe,\"a \"\"b\"\", c\",7".to_owned(),
        };
        let cells = split(std::slice::from_ref(&row), Separator::Comma).expect("agrees");
        assert_eq!(cells[0], ["1", "5\" pipe", "a \"b\", c", "7"]);
        let places = [0, 1, 2, 3].map(|cell| place(&row, cell, Separator::Comma));
        assert_eq!(places, [(1, 1), (1, 3), (1, 11), (1, 24)]);
    }

    #[test]
    fn places_of_empty_cells_are_where_they_would_stand() {
        let row = RawRow {
            line: 4,
            text: "a,, ,".to_owned(),
        };
        let places = [0, 1, 2, 3].map(|cell| place(&row, cell, Separator::Comma));
        assert_eq!(places, [(4, 1), (4, 3), (4, 5), (4, 6)]);
    }
}
