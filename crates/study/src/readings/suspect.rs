//! What a file is when it is no CSV file of the stated dialect: told from its first bytes or from the shape of its rows.

use super::dialect::{Decimal, Dialect, Separator, SetBy};
use super::number::number;

/// A file that is something else, by its first bytes: what it is, and how to get a CSV file from it.
pub(super) fn kind(bytes: &[u8]) -> Option<(&'static str, &'static str)> {
    const EXPORT: &str = "open it in a spreadsheet and save it as CSV (comma separated, UTF-8)";
    const UTF8: &str =
        "save it again as CSV in UTF-8 (in a spreadsheet: \"CSV UTF-8\", not \"Unicode text\")";
    let text = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let start: Vec<u8> = text
        .iter()
        .skip_while(|b| b.is_ascii_whitespace())
        .take(16)
        .map(u8::to_ascii_lowercase)
        .collect();
    let found = match bytes {
        [b'P', b'K', 3 | 5, 4 | 6, ..] => {
            ("a zip archive, which a workbook (.xlsx, .ods) is", EXPORT)
        }
        [0xd0, 0xcf, 0x11, 0xe0, ..] => ("an old binary workbook (.xls)", EXPORT),
        [0x1f, 0x8b, ..] => ("a gzip archive", "unpack it first"),
        [b'%', b'P', b'D', b'F', ..] => ("a PDF document", "ask for the readings as CSV"),
        [0xff, 0xfe, 0, 0, ..] | [0, 0, 0xfe, 0xff, ..] => ("text in UTF-32", UTF8),
        [0xff, 0xfe, ..] | [0xfe, 0xff, ..] => ("text in UTF-16", UTF8),
        [first, 0, second, 0, ..] if *first != 0 && *second != 0 => {
            ("text in UTF-16 without byte order mark", UTF8)
        }
        [0, first, 0, second, ..] if *first != 0 && *second != 0 => {
            ("text in UTF-16 without byte order mark", UTF8)
        }
        _ if start.starts_with(b"<!doctype")
            || start.starts_with(b"<html")
            || start.starts_with(b"<table") =>
        {
            ("an HTML page", EXPORT)
        }
        _ if start.starts_with(b"<?xml") => ("an XML document", EXPORT),
        _ if start.starts_with(b"{") || start.starts_with(b"[{") || start.starts_with(b"[[") => (
            "JSON",
            "write the readings as CSV: one part a row, one characteristic a column",
        ),
        _ => return None,
    };
    Some(found)
}

/// The separator that divides these lines evenly where the stated one does not, with how often.
pub(super) fn other_separator(lines: &[String], stated: Separator) -> Option<Separator> {
    let count = |separator: Separator| {
        let sign = char::from(separator.sign());
        let counts: Vec<usize> = lines.iter().map(|l| l.matches(sign).count()).collect();
        let first = counts.first().copied().unwrap_or(0);
        (first > 0 && counts.iter().all(|&c| c == first)).then_some(first)
    };
    Separator::ALL
        .into_iter()
        .filter(|&s| s != stated)
        .find(|&s| count(s).is_some())
}

/// The settings under which these lines would read better, as a hint: separator, and decimal comma when the cells need it.
pub(super) fn settings(lines: &[String], separator: Separator, set_by: &SetBy) -> String {
    let sign = char::from(separator.sign());
    let body = lines.iter().skip(1);
    let cells = body.flat_map(|line| line.split(sign));
    let cells: Vec<&str> = cells
        .map(|cell| cell.trim_matches([' ', '\t', '"']))
        .collect();
    let good = |decimal| {
        cells
            .iter()
            .filter(|cell| number(cell, decimal).is_ok())
            .count()
    };
    let mut settings = vec![];
    if separator != Separator::Comma {
        settings.push(("separator", separator.word()));
    }
    if good(Decimal::Comma) > good(Decimal::Point) {
        settings.push(("decimal", ","));
    }
    set_by.set(&settings)
}

/// The line that looks like the headings when the first one does not: the first with as many cells as the rows below it, none
/// of which is a number. Gives its number from 1.
pub(super) fn header_below(lines: &[String], dialect: &Dialect) -> Option<usize> {
    let sign = char::from(dialect.separator().sign());
    let cells = |line: &String| line.split(sign).count();
    let widest = lines.iter().map(cells).max().filter(|&most| most > 1)?;
    let words = |line: &&String| {
        let mut all = line
            .split(sign)
            .map(|cell| cell.trim_matches([' ', '\t', '"']));
        all.all(|cell| !cell.is_empty() && number(cell, dialect.decimal).is_err())
    };
    let place = lines
        .iter()
        .position(|line| cells(line) == widest && words(&line))?;
    (place > 0).then_some(place + 1)
}
