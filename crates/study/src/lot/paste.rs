//! Lines to paste into a scenario: a process that says what was measured, and the readings themselves as a process.

use record::Subgroups;

use super::shapes::Candidate;
use super::words::{decimals_for_spread, quantity};
use crate::readings::{Decimal, Dialect, Encoding, Missing, Separator};

/// What the lines are made from.
pub(super) struct Proposal<'a> {
    /// Name of the file without folder.
    pub(super) file: &'a str,
    pub(super) dialect: &'a Dialect,
    pub(super) column: &'a str,
    /// Unit of the column; empty for a plain one.
    pub(super) unit: &'a str,
    /// Whether the unit was said on the command line because the heading has none.
    pub(super) unit_said: bool,
    pub(super) n: u64,
    pub(super) mean: f64,
    pub(super) sd: f64,
    /// Subgroups whose means differ by more than chance.
    pub(super) shifting: Option<&'a Subgroups>,
    /// The shape that takes the place of the normal.
    pub(super) chosen: Option<&'a Candidate>,
}

/// The lines, each process on a line of its own.
pub(super) fn lines(of: &Proposal<'_>) -> String {
    let name = lot_name(of.file);
    let mut text = format!(
        "# {} readings of {}: paste one of the two processes into the characteristic.\n",
        of.n, of.column
    );
    text += &format!("process = {}\n", process(of));
    if of.shifting.is_some() && of.chosen.is_none() {
        text += "# size is the readings in a subgroup: put the parts of a real lot in its place.\n";
    }
    let unit = match of.unit_said {
        true => format!(", unit = {}", text_of(of.unit)),
        false => String::new(),
    };
    text += &format!(
        "\n# Or the readings themselves, drawn again; the file is looked for beside the scenario.\n\
         process = {{ lot = {}, column = {}, use = \"resample\"{unit} }}\n\n{}",
        text_of(&name),
        text_of(of.column),
        lot(of, &name)
    );
    text
}

/// The stated process.
fn process(of: &Proposal<'_>) -> String {
    if let Some(chosen) = of.chosen {
        let stated = chosen.parameters(of.unit).into_iter();
        let keys: Vec<String> = stated
            .map(|(key, value)| format!("{key} = {}", value_of(&value, of.unit)))
            .collect();
        return format!(
            "{{ shape = {}, {} }}",
            text_of(chosen.kind.name),
            keys.join(", ")
        );
    }
    let sd = of.shifting.map_or(of.sd, |groups| groups.sd_within);
    let decimals = decimals_for_spread(of.sd);
    let value = |value: f64| value_of(&quantity(value, decimals, of.unit), of.unit);
    if of.sd == 0.0 {
        return format!(
            "{{ shape = \"constant\", mean = {} }}",
            value_of(&quantity(of.mean, 12, of.unit), of.unit)
        );
    }
    let lots = of.shifting.map_or_else(String::new, |groups| {
        let size = (of.n / groups.count.max(1)).max(2);
        format!(
            ", lots = {{ sd = {}, size = {size} }}",
            value(groups.sd_between)
        )
    });
    format!(
        "{{ shape = \"normal\", mean = {}, sd = {}{lots} }}",
        value(of.mean),
        value(sd)
    )
}

/// The table of the file: only what differs from the usual.
fn lot(of: &Proposal<'_>, name: &str) -> String {
    let dialect = of.dialect;
    let mut text = format!("[lots.{name}]\nfile = {}\n", text_of(of.file));
    let mut key = |key: &str, value: &str| text += &format!("{key} = {value}\n");
    if dialect.decimal == Decimal::Comma {
        key("decimal", "\",\"");
    }
    match dialect.separator() {
        Separator::Comma => {}
        Separator::Semicolon => key("separator", "\"semicolon\""),
        Separator::Tab => key("separator", "\"tab\""),
    }
    if dialect.encoding == Encoding::Windows1252 {
        key("encoding", "\"windows-1252\"");
    }
    if dialect.missing == Missing::Drop {
        key("missing", "\"drop\"");
    }
    if dialect.skip_rows > 0 {
        key("skip_rows", &dialect.skip_rows.to_string());
    }
    if dialect.repeated_names {
        key("repeated_names", "true");
    }
    text
}

/// A quantity as a value of TOML: text with a unit, a bare number without.
fn value_of(text: &str, unit: &str) -> String {
    if unit.is_empty() || !text.ends_with(unit) {
        text.to_owned()
    } else {
        text_of(text)
    }
}

/// A text as a value of TOML, in double quotes.
fn text_of(text: &str) -> String {
    let escaped: String = text
        .chars()
        .map(|c| match c {
            '"' | '\\' => format!("\\{c}"),
            c if c.is_control() => format!("\\u{:04X}", u32::from(c)),
            c => c.to_string(),
        })
        .collect();
    format!("\"{escaped}\"")
}

/// A name for the lot: that of the file, in letters, digits and underscores.
fn lot_name(file: &str) -> String {
    let stem = file.rsplit_once('.').map_or(file, |(stem, _)| stem);
    let name: String = stem
        .chars()
        .map(|c| match c.to_ascii_lowercase() {
            c if c.is_ascii_alphanumeric() => c,
            _ => '_',
        })
        .collect();
    match name.trim_matches('_') {
        "" => "measured".to_owned(),
        name => name.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_lot_takes_a_plain_name_from_its_file() {
        assert_eq!(lot_name("Hub bores-3.csv"), "hub_bores_3");
        assert_eq!(lot_name("\u{6cf5}.csv"), "measured");
    }

    #[test]
    fn values_with_a_unit_are_text_and_others_are_bare() {
        assert_eq!(value_of("0.5 mm", "mm"), "\"0.5 mm\"");
        assert_eq!(value_of("2.5", "mm"), "2.5");
        assert_eq!(value_of("0.14", ""), "0.14");
        assert_eq!(text_of("a\"b\\c\t"), r#""a\"b\\c\u0009""#);
    }
}
