//! What is wrong with an input: where, what was found, what was expected, and a hint.

pub(crate) mod escape;
pub(crate) mod id;

use std::fmt;

use escape::{cut, escaped};
use id::Id;

/// Problems shown in full; the rest are only counted.
const SHOWN: usize = 20;

/// Longest `found`, `expected` or `hint` that is printed, in characters.
const LONGEST: usize = 300;

/// One thing that is wrong with an input.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// File as the user named it, escaped for a terminal.
    pub file: String,
    /// Physical line and column, counted from 1, when the problem has a place.
    pub place: Option<(usize, usize)>,
    /// Dotted key or column name; empty when there is none.
    pub key: String,
    /// What was found.
    pub found: String,
    /// The line of the file and a caret under the place, when that helps; else empty.
    pub excerpt: String,
    /// What was expected.
    pub expected: String,
    /// What to do about it; empty when there is nothing to add.
    pub hint: String,
    /// Stable id, for example `scenario-012`.
    pub id: &'static str,
    /// The exit code of problems of this kind.
    pub exit_code: u8,
}

impl Problem {
    /// A problem of a kind; all texts are escaped for a terminal here.
    pub(crate) fn new(id: &Id, file: &str, key: &str, found: &str, expected: &str) -> Problem {
        Problem {
            file: escaped(file),
            place: None,
            key: cut(&escaped(key), LONGEST),
            found: cut(&escaped(found), LONGEST),
            excerpt: String::new(),
            expected: cut(&escaped(expected), LONGEST),
            hint: String::new(),
            id: id.name,
            exit_code: id.exit_code,
        }
    }

    /// The same problem at a physical line and column.
    pub(crate) fn at(mut self, place: Option<(usize, usize)>) -> Problem {
        self.place = place;
        self
    }

    /// The same problem with a hint.
    pub(crate) fn hint(mut self, hint: &str) -> Problem {
        self.hint = cut(&escaped(hint), LONGEST);
        self
    }

    /// The same problem with the line it stands in (already escaped) and a caret under `column`.
    pub(crate) fn excerpt(mut self, line: &str, column: usize) -> Problem {
        self.excerpt = format!("  | {line}\n  | {}^", " ".repeat(column.saturating_sub(1)));
        self
    }

    fn write(&self, f: &mut fmt::Formatter<'_>, exit_code: u8) -> fmt::Result {
        write!(f, "{}", self.file)?;
        if let Some((line, column)) = self.place {
            write!(f, ":{line}:{column}")?;
        }
        if !self.key.is_empty() {
            write!(f, "  {}", self.key)?;
        }
        writeln!(f, ": found {}", self.found)?;
        if !self.excerpt.is_empty() {
            writeln!(f, "{}", self.excerpt)?;
        }
        writeln!(f, "  expected: {}", self.expected)?;
        if !self.hint.is_empty() {
            writeln!(f, "  hint: {}", self.hint)?;
        }
        write!(
            f,
            "  nothing was run, no file was written ({}, exit {exit_code})",
            self.id
        )
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.write(f, self.exit_code)
    }
}

/// Everything that is wrong with an input, in the order of the file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problems {
    /// The problems; never empty.
    pub list: Vec<Problem>,
    /// The program's exit code for them.
    pub exit_code: u8,
}

impl Problems {
    /// The problems sorted by place, those without a place first, with the exit code of the kind that ranks highest:
    /// over a limit (8), reading (5), readings (4), scenario (3).
    pub(crate) fn new(mut list: Vec<Problem>) -> Problems {
        let exit_code = list.iter().map(|p| p.exit_code).max().unwrap_or(70);
        list.sort_by(|a, b| (&a.file, a.place).cmp(&(&b.file, b.place)));
        list.dedup();
        Problems { list, exit_code }
    }
}

impl From<Problem> for Problems {
    fn from(problem: Problem) -> Problems {
        Problems::new(vec![problem])
    }
}

impl fmt::Display for Problems {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, problem) in self.list.iter().take(SHOWN).enumerate() {
            if i > 0 {
                writeln!(f)?;
            }
            problem.write(f, self.exit_code)?;
        }
        match self.list.len() {
            0 | 1 => Ok(()),
            n if n <= SHOWN => write!(f, "\n{n} problems"),
            n => write!(f, "\n{n} problems; the first {SHOWN} are listed"),
        }
    }
}

impl std::error::Error for Problems {}

#[cfg(test)]
mod tests {
    use super::*;

    fn problem(line: usize, id: &Id) -> Problem {
        Problem::new(id, "a.toml", "run.seed", "\"x\"", "a whole number").at(Some((line, 3)))
    }

    #[test]
    fn message_states_place_key_found_expected_hint_and_state_of_the_work() {
        let text = problem(4, &id::WRONG_TYPE)
            .hint("drop the quotes")
            .to_string();
        assert_eq!(
            text,
            "a.toml:4:3  run.seed: found \"x\"\n  expected: a whole number\n  hint: drop the quotes\n  nothing was run, no file was written (scenario-021, exit 3)"
        );
    }

    #[test]
    fn first_twenty_are_listed_in_order_and_the_total_said() {
        let all = Problems::new(
            (1..=25)
                .rev()
                .map(|n| problem(n, &id::WRONG_TYPE))
                .collect(),
        );
        let text = all.to_string();
        assert!(text.starts_with("a.toml:1:3"), "{text}");
        assert_eq!(text.matches("nothing was run").count(), 20);
        assert!(
            text.ends_with("25 problems; the first 20 are listed"),
            "{text}"
        );
    }

    #[test]
    fn one_exit_code_for_all_is_that_of_the_highest_kind() {
        let all = Problems::new(vec![
            problem(1, &id::WRONG_TYPE),
            problem(2, &id::TOO_LARGE),
        ]);
        assert_eq!(all.exit_code, 8);
        assert_eq!(all.to_string().matches("exit 8").count(), 2);
    }

    #[test]
    fn terminal_controls_and_line_ends_in_any_text_are_escaped() {
        let p = Problem::new(&id::WRONG_TYPE, "a\u{1b}[2J", "k\u{202e}", "x\ny", "z");
        let text = p.hint("h\u{7}").to_string();
        assert!(
            text.chars().all(|c| c == '\n' || !c.is_control()),
            "{text:?}"
        );
        assert!(
            text.contains("a\\u{1b}[2J  k\\u{202e}: found x\\u{a}y"),
            "{text}"
        );
    }
}
