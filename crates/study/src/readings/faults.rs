//! What is wrong with a file of readings, in words.

use super::dialect::{Decimal, Encoding, Separator};
use super::lines::{LONGEST_LINE, LineError};
use super::number::NoNumber;
use super::reader::Reader;
use super::rows::{QuoteError, RawRow};
use super::suspect;
use crate::problem::escape::{named, quoted};
use crate::problem::{Problem, id};
use crate::scenario::source::READINGS;
use crate::scenario::walk::nearest;

impl Reader<'_> {
    pub(super) fn line_error(&self, error: LineError) -> Problem {
        match error {
            LineError::Byte(line, column, byte) => self.bad_byte(line, column, byte),
            LineError::Character(line, column, c) => self
                .problem(
                    &id::LOT_CHARACTER,
                    "",
                    &format!("the character {}", named(c)),
                    "text without control characters",
                )
                .at(Some((line, column))),
            LineError::TooLong(line) => self
                .problem(
                    &id::TOO_LARGE,
                    "",
                    &format!("a line of more than {LONGEST_LINE} bytes"),
                    "lines of at most 1 MiB",
                )
                .at(Some((line, 1)))
                .hint("is it a CSV file, one part a row?"),
            LineError::TooLarge => self
                .problem(
                    &id::TOO_LARGE,
                    "",
                    "more than 1 GiB",
                    "a file of at most 1 GiB",
                )
                .hint("split it into several files"),
            LineError::Read(error) => self.problem(
                &id::READ,
                "",
                &format!("an error while reading: {error}"),
                READINGS.words,
            ),
        }
    }

    pub(super) fn bad_byte(&self, line: usize, column: usize, byte: u8) -> Problem {
        let guess = match byte {
            0xb5 => "; in Windows-1252 that is the micro sign",
            0xb0 => "; in Windows-1252 that is the degree sign",
            _ => "",
        };
        let (encoding, hint) = match self.dialect.encoding {
            Encoding::Utf8 => (
                "UTF-8",
                self.set_by.set(&[("encoding", "windows-1252")]) + ", or save the file as UTF-8",
            ),
            Encoding::Windows1252 => (
                "Windows-1252",
                "save the file as UTF-8 and leave the encoding out".to_owned(),
            ),
        };
        self.problem(
            &id::LOT_ENCODING,
            "",
            &format!("byte 0x{byte:02X}, which is not {encoding}{guess}"),
            &format!("text in {encoding}"),
        )
        .at(Some((line, column)))
        .hint(&hint)
    }

    pub(super) fn quote_fault(&self, fault: QuoteError) -> Problem {
        let (place, found, hint) = match fault {
            QuoteError::TextAfter(line, column) => (
                (line, column),
                "text behind a closing quote",
                "a quote inside quotes is written twice: \"\"",
            ),
            QuoteError::Behind(line, column) => (
                (line, column),
                "a quote behind a blank",
                "take out the blanks before the quote",
            ),
        };
        self.problem(
            &id::LOT_QUOTE,
            "",
            found,
            "a cell that is quoted from end to end, or not at all",
        )
        .at(Some(place))
        .hint(hint)
    }

    /// The problem that the cells are divided by something else than what is stated, when they are.
    pub(super) fn other_dialect(&self, first: &[String]) -> Option<Problem> {
        let other = suspect::other_separator(first, self.separator)?;
        let word = match other {
            Separator::Comma => "commas",
            Separator::Semicolon => "semicolons",
            Separator::Tab => "tabulators",
        };
        let head = first.first()?;
        let problem = self.problem(
            &id::LOT_DIALECT,
            "",
            &format!("a line divided by {word}: {}", quoted(head)),
            &format!(
                "headings divided by the separator {}",
                quoted(self.separator.word())
            ),
        );
        let line = self.looked_at.first().copied().unwrap_or(1);
        Some(
            problem
                .at(Some((line, 1)))
                .hint(&suspect::settings(first, other, self.set_by)),
        )
    }

    pub(super) fn no_column(&self, name: &str) -> Problem {
        let known: Vec<&str> = self.sheet.columns.iter().map(|c| c.name.as_str()).collect();
        let hint = nearest(name, &known).map_or_else(String::new, |near| {
            format!("did you mean {}?", quoted(near))
        });
        let place = self.sheet.columns.first().map(|column| column.place);
        self.problem(
            &id::LOT_COLUMN,
            name,
            &format!("no column {}", quoted(name)),
            &format!("one of {}", known.join(", ")),
        )
        .at(place)
        .hint(&hint)
    }

    pub(super) fn cell_fault(
        &self,
        place: (usize, usize),
        i: usize,
        cell: &str,
        fault: &NoNumber,
    ) -> Problem {
        let (sign, example) = match self.dialect.decimal {
            Decimal::Point => ("point", "2.512"),
            Decimal::Comma => ("comma", "2,512"),
        };
        let words = fault.words();
        let found = match fault {
            NoNumber::Missing(_) => words,
            _ if words.is_empty() => quoted(cell),
            _ => format!("{}, {words}", quoted(cell)),
        };
        let hint = match fault {
            NoNumber::Missing(_) => self.set_by.set(&[("missing", "drop")]) + "  to leave such readings out",
            NoNumber::DecimalComma => self.set_by.set(&[("decimal", ",")]),
            NoNumber::DecimalPoint => self.set_by.set(&[("decimal", ".")]),
            NoNumber::Thousands => "write the number without signs between thousands; they cannot be told from decimals".to_owned(),
            NoNumber::Unit(unit) => format!("the unit belongs in the heading: {} [{unit}]", self.sheet.columns[i].name),
            NoNumber::Formula => "save the values of the cells, not their formulas".to_owned(),
            NoNumber::Character(_) => "type blanks, digits and signs from the keyboard".to_owned(),
            NoNumber::Range(_) | NoNumber::Text => String::new(),
        };
        self.problem(
            match fault {
                NoNumber::Missing(_) => &id::LOT_NO_READING,
                NoNumber::DecimalComma | NoNumber::DecimalPoint => &id::LOT_DIALECT,
                _ => &id::LOT_NUMBER,
            },
            &self.sheet.columns[i].name,
            &found,
            &format!("a number with a decimal {sign}, for example {example}"),
        )
        .at(Some(place))
        .hint(&hint)
    }

    pub(super) fn ragged(&self, row: &RawRow, cells: &[String], due: usize) -> Problem {
        let splits = cells.len() > due && self.may_be_split(cells);
        let hint = if splits {
            format!(
                "a decimal comma splits the value where commas also divide the cells: write the file with another separator, then {}",
                self.set_by
                    .set(&[("separator", "semicolon"), ("decimal", ",")])
            )
        } else if cells.len() < due {
            "is the file cut off, or the line broken?".to_owned()
        } else {
            "a cell that holds the separator is written in quotes".to_owned()
        };
        self.problem(
            &id::LOT_ROW,
            "",
            &format!("{} cells", cells.len()),
            &format!("{due} cells, as many as headings"),
        )
        .at(Some((row.line, 1)))
        .hint(&hint)
    }

    pub(super) fn repeats(&self) -> Problem {
        let pairs: Vec<String> = self
            .repeated
            .iter()
            .take(5)
            .map(|(name, first, second)| format!("{} in lines {first} and {second}", quoted(name)))
            .collect();
        let more = self.repeated.len().saturating_sub(5);
        let more = if more > 0 {
            format!(", and {more} more")
        } else {
            String::new()
        };
        self.problem(
            &id::LOT_REPEATED,
            "",
            &format!(
                "serial numbers that stand twice: {}{more}",
                pairs.join("; ")
            ),
            "a serial number of its own for every part",
        )
        .at(self.repeated.first().map(|(_, _, line)| (*line, 1)))
        .hint(
            &(self.set_by.set(&[("repeated_names", "true")])
                + "  when a part may stand in several rows"),
        )
    }

    /// Whether a decimal comma may have split a value into two cells of this row.
    pub(super) fn may_be_split(&self, cells: &[String]) -> bool {
        let whole = |cell: &String| !cell.is_empty() && cell.bytes().all(|b| b.is_ascii_digit());
        let signed = |cell: &String| {
            let digits = cell.strip_prefix(['+', '-']).unwrap_or(cell);
            !digits.is_empty() && digits.bytes().all(|b| b.is_ascii_digit())
        };
        self.separator == Separator::Comma
            && self.dialect.decimal == Decimal::Point
            && cells
                .windows(2)
                .any(|pair| signed(&pair[0]) && whole(&pair[1]))
    }
}
