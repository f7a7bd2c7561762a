//! Turns what the guard and the parser found into problems that say what to type instead.

use std::collections::BTreeSet;

use toml::Spanned;
use toml::de::{DeTable, DeValue, Error};

use crate::problem::Problem;
use crate::problem::escape::{cut, escaped, named, quoted};
use crate::problem::id;
use crate::scenario::guard::{DEPTH, Finding, Found, Report};
use crate::scenario::lines::Lines;

/// Parser errors that are looked at; the rest follow from these.
const MOST: usize = 100;

/// A text with its name and its lines.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Place<'t> {
    /// Name of the file.
    pub(crate) file: &'t str,
    /// The text without byte order mark.
    pub(crate) text: &'t str,
    /// Its lines.
    pub(crate) lines: &'t Lines<'t>,
}

/// Problems of findings that end the reading.
pub(crate) fn fatal(place: Place<'_>, found: &[Found]) -> Vec<Problem> {
    found
        .iter()
        .map(|&(at, finding)| problem(place, at, finding))
        .collect()
}

fn problem(place: Place<'_>, at: usize, finding: Finding) -> Problem {
    let new = |id, found: &str, expected: &str| {
        Problem::new(id, place.file, "", found, expected).at(Some(place.lines.place(at)))
    };
    match finding {
        Finding::LoneCr(count) => new(
            &id::LONE_CR,
            &format!("a carriage return without line feed (U+000D), {count} in all"),
            "lines that end with LF or CRLF",
        )
        .hint("save the file again with Unix or Windows line ends"),
        Finding::Forbidden(c) => new(
            &id::CHARACTER,
            &format!("the character {}", named(c)),
            "text without control characters",
        ),
        Finding::Deep => new(
            &id::DEPTH,
            &format!("more than {DEPTH} nested brackets and dotted parts"),
            "a scenario of ordinary depth: tables in tables, at most 80 deep",
        ),
        Finding::Dotted => new(
            &id::DEPTH,
            &format!("a dotted key that leads more than {DEPTH} deep"),
            "dotted keys of at most 80 parts",
        ),
        Finding::Stray(c) => {
            let problem = new(
                &id::CHARACTER,
                &format!("the character {} outside quotes", named(c)),
                "plain ASCII outside quotes and comments",
            );
            with_excerpt(place, at, problem).hint(stray_hint(c))
        }
    }
}

fn stray_hint(c: char) -> &'static str {
    match c {
        '\u{201c}'..='\u{201f}' | '\u{ab}' | '\u{bb}' => "replace it by a plain double quote (\")",
        '\u{2018}'..='\u{201b}' => "replace it by a plain quote (')",
        '\u{2010}'..='\u{2015}' | '\u{2212}' => "replace it by a hyphen-minus (-)",
        c if c.is_whitespace() || c == '\u{200b}' || c == '\u{feff}' => {
            "replace it by an ordinary space"
        }
        _ => "texts and quantities stand in quotes",
    }
}

/// Problems of syntax, one a line, with the lines they stand in.
pub(crate) fn problems(
    place: Place<'_>,
    report: &Report,
    tree: &DeTable<'_>,
    errors: &[Error],
) -> (Vec<Problem>, BTreeSet<usize>) {
    let mut lines = BTreeSet::new();
    let mut problems = Vec::new();
    for &(at, finding) in &report.stray {
        if lines.insert(place.lines.place(at).0) {
            problems.push(problem(place, at, finding));
        }
    }
    let mut inside = false;
    for error in errors.iter().take(MOST) {
        let at = error.span().map_or(place.text.len(), |span| span.start);
        let follows = inside && is_inside_brackets(error.message());
        inside |= is_inside_brackets(error.message());
        if lines.insert(place.lines.place(at).0) && !follows {
            problems.push(match error.message() {
                "duplicate key" => duplicate(place, report, tree, error, at),
                message => syntax(place, report, message, at),
            });
        }
    }
    (problems, lines)
}

fn with_excerpt(place: Place<'_>, at: usize, problem: Problem) -> Problem {
    let (line, column) = place.lines.place(at);
    let text: String = place
        .lines
        .line(line)
        .chars()
        .map(|c| if c == '\t' { ' ' } else { c })
        .collect();
    let skipped = column.saturating_sub(60);
    let shown: String = text.chars().skip(skipped).collect();
    let (before, after) = shown.split_at(
        shown
            .char_indices()
            .nth(column - 1 - skipped)
            .map_or(shown.len(), |(i, _)| i),
    );
    let before = escaped(before);
    let column = before.chars().count() + 1;
    problem.excerpt(&cut(&format!("{before}{}", escaped(after)), 100), column)
}

fn syntax(place: Place<'_>, report: &Report, message: &str, at: usize) -> Problem {
    let (number, column) = place.lines.place(at);
    let line = place.lines.line(number);
    let (found, expected) = in_words(message, line);
    let problem = Problem::new(&id::SYNTAX, place.file, "", &found, &expected);
    let problem = with_excerpt(place, at, problem.at(Some((number, column))));
    match report
        .statements
        .iter()
        .rev()
        .find(|&&start| start <= at)
        .map(|&start| place.lines.place(start).0)
    {
        Some(first) if first < number && is_inside_brackets(message) => problem.hint(&format!(
            "a bracket opened in line {first} or below is not closed"
        )),
        _ => problem.hint(&syntax_hint(line)),
    }
}

/// Whether the parser thinks that it stands inside a list or an inline table: one such error brings many.
fn is_inside_brackets(message: &str) -> bool {
    ["array", "key-value pairs", "inline table"]
        .iter()
        .any(|word| message.contains(word))
}

/// What was found and what is expected, where the parser's own words would not help.
fn in_words(message: &str, line: &str) -> (String, String) {
    let (what, expected) = message.split_once(", expected ").unwrap_or((message, ""));
    let after = line.split_once('=').map(|(_, value)| value.trim_start());
    let pair = |found: &str, expected: &str| (found.to_owned(), expected.to_owned());
    match what {
        _ if after.is_some_and(|value| value.is_empty() || value.starts_with('#')) => pair(
            "no value after the equals sign",
            "a value: a number, or a text or quantity in quotes",
        ),
        "string values must be quoted" | "invalid literal string" => pair(
            "a value that is neither number nor text in quotes",
            "a number, or a text or quantity in quotes",
        ),
        "invalid basic string" => pair(
            "a text whose quote is not closed",
            "a closing quote in the same line",
        ),
        "unexpected key or value" => pair(
            "something after the value",
            "the end of the line, or a comment after #",
        ),
        "unclosed table" | "unclosed array table" => pair(
            "a table header that is not closed",
            "a closing bracket: [name]",
        ),
        "key with no value" => pair("a key without a value", "key = value"),
        _ => (
            format!("a syntax error: {what}"),
            if expected.is_empty() {
                "TOML: key = value on a line".to_owned()
            } else {
                format!("TOML: {expected}")
            },
        ),
    }
}

/// The line without what stands between quotes and without its comment; the quotes themselves stay.
fn without_texts(line: &str) -> String {
    let mut quote = None;
    let mut out = String::new();
    for c in line.chars() {
        match quote {
            Some(q) if c == q => {
                quote = None;
                out.push(c);
            }
            Some(_) => {}
            None if c == '"' || c == '\'' => {
                quote = Some(c);
                out.push(c);
            }
            None if c == '#' => break,
            None => out.push(c),
        }
    }
    out
}

/// What was likely meant by a line that is no TOML.
fn syntax_hint(line: &str) -> String {
    let bare = without_texts(line);
    let bytes = bare.as_bytes();
    let comma = bytes
        .windows(3)
        .any(|w| w[0].is_ascii_digit() && w[1] == b',' && w[2].is_ascii_digit());
    if comma && !bare.contains('[') {
        return "use a decimal point: 2.5, not 2,5".to_owned();
    }
    let value = line.split_once('=').map_or("", |(_, value)| value.trim());
    let number = value.trim_start_matches(['+', '-']);
    let unit = number.trim_start_matches(|c: char| c.is_ascii_digit() || matches!(c, '.' | ' '));
    let starts = number.starts_with(|c: char| c.is_ascii_digit());
    if starts && unit.starts_with(|c: char| c.is_alphabetic() || c == '%' || c == ':') {
        return format!(
            "quantities stand in quotes: {}",
            quoted(value.split(['#', ',']).next().unwrap_or(value).trim())
        );
    }
    if !starts && value.starts_with(char::is_alphabetic) {
        return "texts stand in quotes".to_owned();
    }
    String::new()
}

/// A key or table that stands twice, with the line of the first.
fn duplicate(
    place: Place<'_>,
    report: &Report,
    tree: &DeTable<'_>,
    error: &Error,
    at: usize,
) -> Problem {
    let end = error.span().map_or(at, |span| span.end);
    let key = place.text.get(at..end).unwrap_or("");
    let first = inline_key(tree, at, key).or_else(|| first_statement(place, report, at));
    let found = match first {
        Some(first) => format!(
            "{} a second time; the first is in line {}",
            quoted(key),
            place.lines.place(first).0
        ),
        None => format!("{} a second time", quoted(key)),
    };
    let problem = Problem::new(
        &id::DUPLICATE,
        place.file,
        key,
        &found,
        "every key and every table once",
    );
    problem
        .at(Some(place.lines.place(at)))
        .hint("remove one of the two")
}

/// The first place of a key in the innermost inline table around an offset.
fn inline_key(table: &DeTable<'_>, at: usize, key: &str) -> Option<usize> {
    table
        .iter()
        .find_map(|(_, value)| inline_in(value, at, key))
}

fn inline_in(value: &Spanned<DeValue<'_>>, at: usize, key: &str) -> Option<usize> {
    match value.get_ref() {
        DeValue::Table(inner) => inline_key(inner, at, key).or_else(|| {
            let around = value.span().contains(&at);
            let (first, _) = inner.iter().find(|(k, _)| k.get_ref() == key)?;
            (around && first.span().start < at).then(|| first.span().start)
        }),
        DeValue::Array(items) => items.iter().find_map(|item| inline_in(item, at, key)),
        _ => None,
    }
}

/// The first statement that sets the same path as the one around an offset.
fn first_statement(place: Place<'_>, report: &Report, at: usize) -> Option<usize> {
    let mut header: Vec<String> = Vec::new();
    let mut seen: Vec<(Vec<String>, usize)> = Vec::new();
    for (i, &start) in report.statements.iter().enumerate().take(100_000) {
        let end = report
            .statements
            .get(i + 1)
            .copied()
            .unwrap_or(place.text.len());
        let (number, _) = place.lines.place(start);
        let line = place.lines.line(number).trim_start();
        let path = if line.starts_with('[') {
            header = path_of(line.trim_start_matches('[').split(']').next()?)?;
            header.clone()
        } else {
            let mut path = header.clone();
            path.extend(path_of(line.split('=').next()?)?);
            path
        };
        if (start..end).contains(&at) {
            return seen
                .into_iter()
                .find(|(other, _)| other.starts_with(&path))
                .map(|(_, first)| first);
        }
        seen.push((path, start));
    }
    None
}

/// The parts of a dotted key.
fn path_of(key: &str) -> Option<Vec<String>> {
    let text = format!("{key} = 0");
    let parsed = DeTable::parse(&text).ok()?;
    let mut table = parsed.get_ref();
    let mut path = Vec::new();
    while let Some((key, value)) = table.iter().next() {
        path.push(key.get_ref().to_string());
        match value.get_ref() {
            DeValue::Table(inner) => table = inner,
            _ => break,
        }
    }
    Some(path)
}
