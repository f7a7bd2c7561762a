//! Plain text in columns: the first to the left, the others as asked.

/// Side to which a column is set.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// Words.
    Left,
    /// Numbers.
    Right,
}

/// Sets rows into columns two blanks apart, each line indented by two and without trailing blanks.
pub fn set(sides: &[Side], rows: &[Vec<String>]) -> String {
    let width = |column: usize| {
        rows.iter()
            .filter_map(|row| row.get(column))
            .map(|cell| cell.chars().count())
            .max()
            .unwrap_or(0)
    };
    let widths: Vec<usize> = (0..sides.len()).map(width).collect();
    rows.iter().map(|row| line(sides, &widths, row)).collect()
}

fn line(sides: &[Side], widths: &[usize], row: &[String]) -> String {
    let cells = row
        .iter()
        .zip(sides.iter().zip(widths))
        .map(|(cell, (side, width))| match side {
            Side::Left => format!("{cell:<width$}"),
            Side::Right => format!("{cell:>width$}"),
        });
    let text = cells.collect::<Vec<_>>().join("  ");
    format!("  {}\n", text.trim_end())
}

/// Longest line of running text, in characters.
const LINE: usize = 100;

/// Running text, indented by two, with the following lines indented by four.
pub fn wrapped(text: &str) -> String {
    let mut lines = String::new();
    let mut line = String::from(" ");
    for word in text.split(' ') {
        let longer = line.chars().count() + 1 + word.chars().count();
        if longer > LINE && !line.trim().is_empty() {
            lines.push_str(&line);
            lines.push('\n');
            line = String::from("   ");
        }
        line.push(' ');
        line.push_str(word);
    }
    lines.push_str(&line);
    lines.push('\n');
    lines
}

/// A row from words.
pub fn row<const N: usize>(cells: [&str; N]) -> Vec<String> {
    cells.iter().map(|cell| (*cell).to_owned()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn running_text_is_broken_between_words() {
        let text = wrapped(&"word ".repeat(30));
        let lines: Vec<&str> = text.lines().collect();
        assert_eq!(lines.len(), 2);
        assert!(lines[0].starts_with("  word") && lines[0].chars().count() <= LINE);
        assert!(lines[1].starts_with("    word"));
        assert_eq!(wrapped("short"), "  short\n");
    }

    #[test]
    fn columns_line_up_in_characters_not_bytes() {
        let rows = [row(["torque", "7", "N·m"]), row(["gap", "123", "µm"])];
        assert_eq!(
            set(&[Side::Left, Side::Right, Side::Left], &rows),
            "  torque    7  N·m\n  gap     123  µm\n"
        );
    }
}
