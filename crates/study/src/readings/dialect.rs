//! How a file of readings is written, and where that is stated.

/// What stands between two cells.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Separator {
    /// `,`
    Comma,
    /// `;`
    Semicolon,
    /// A tabulator.
    Tab,
}

/// The sign before the decimals.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Decimal {
    /// `1.5`
    #[default]
    Point,
    /// `1,5`
    Comma,
}

/// How the letters are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Encoding {
    /// UTF-8, with or without byte order mark.
    #[default]
    Utf8,
    /// Windows-1252, which holds Latin-1.
    Windows1252,
}

/// What is done with a reading that is missing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Missing {
    /// The file is refused.
    #[default]
    Refuse,
    /// It is left out and listed.
    Drop,
}

/// How a file of readings is written. Nothing here is guessed from the file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Dialect {
    /// What stands between two cells; a comma where nothing is stated.
    pub separator: Option<Separator>,
    /// The sign before the decimals.
    pub decimal: Decimal,
    /// How the letters are written.
    pub encoding: Encoding,
    /// What is done with a reading that is missing.
    pub missing: Missing,
    /// Lines above the headings that are not read.
    pub skip_rows: usize,
    /// Whether serial numbers may repeat.
    pub repeated_names: bool,
}

/// Where a dialect is stated, so that a hint can say how to change it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum SetBy {
    /// In the table of a lot in a scenario.
    Scenario {
        /// The scenario as the user named it.
        file: String,
        /// Name of the lot.
        lot: String,
        /// Line of its table.
        line: usize,
    },
    /// By options on the command line.
    Options,
}

impl Separator {
    /// All of them.
    pub const ALL: [Separator; 3] = [Separator::Comma, Separator::Semicolon, Separator::Tab];

    /// The sign itself, which is ASCII.
    pub const fn sign(self) -> u8 {
        match self {
            Separator::Comma => b',',
            Separator::Semicolon => b';',
            Separator::Tab => b'\t',
        }
    }

    /// The word by which it is stated.
    pub const fn word(self) -> &'static str {
        match self {
            Separator::Comma => "comma",
            Separator::Semicolon => "semicolon",
            Separator::Tab => "tab",
        }
    }

    /// The separator with this word.
    pub fn named(word: &str) -> Option<Separator> {
        Separator::ALL.into_iter().find(|s| s.word() == word)
    }
}

impl Dialect {
    /// The separator that holds.
    pub fn separator(&self) -> Separator {
        self.separator.unwrap_or(Separator::Comma)
    }

    /// How it is written, in words for a report.
    pub fn words(&self) -> String {
        let separator = match self.separator() {
            Separator::Comma => "commas",
            Separator::Semicolon => "semicolons",
            Separator::Tab => "tabulators",
        };
        let decimal = match self.decimal {
            Decimal::Point => "decimal point",
            Decimal::Comma => "decimal comma",
        };
        let encoding = match self.encoding {
            Encoding::Utf8 => "UTF-8",
            Encoding::Windows1252 => "Windows-1252",
        };
        format!("{separator} between cells, {decimal}, {encoding}")
    }
}

impl SetBy {
    /// How to set these keys, each with its value: `decimal = ","` or `--decimal ,`.
    pub(crate) fn set(&self, settings: &[(&str, &str)]) -> String {
        let one = |(key, value): &(&str, &str)| match self {
            SetBy::Scenario { .. } if value.parse::<u64>().is_ok() || *value == "true" => {
                format!("{key} = {value}")
            }
            SetBy::Scenario { .. } => format!("{key} = \"{value}\""),
            SetBy::Options if *value == "true" => format!("--{}", key.replace('_', "-")),
            SetBy::Options => format!("--{} {value}", key.replace('_', "-")),
        };
        let all: Vec<String> = settings.iter().map(one).collect();
        match self {
            SetBy::Scenario { file, lot, line } => {
                format!(
                    "set  {}  in [lots.{lot}] ({file}, line {line})",
                    all.join("  and  ")
                )
            }
            SetBy::Options => format!("add  {}", all.join(" ")),
        }
    }
}
