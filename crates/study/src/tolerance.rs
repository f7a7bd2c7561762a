//! Tolerances of drawings by their names: classes of ISO 286 for sizes, grades of cone angles.
//!
//! Limits are always worked out from the tables of grades and deviations beside this file, never typed.

mod cone;
mod fit;

pub use cone::{GradeError, cone_angle};
pub use fit::{ClassError, agreeing, is_hole, limits};

/// The number in the row of this name and the column whose range holds the size: `over < size <= to` (mm).
fn cell(table: &str, row: &str, size_mm: f64) -> Option<f64> {
    let mut lines = table.lines().filter(|line| !line.starts_with('#'));
    let column = lines.next()?.split(',').position(|range| {
        let ends = range.split_once('-');
        let ends = ends.and_then(|(over, to)| over.parse().ok().zip(to.parse().ok()));
        ends.is_some_and(|(over, to): (f64, f64)| over < size_mm && size_mm <= to)
    })?;
    let mut cells = lines
        .map(|line| line.split(','))
        .find(|cells| cells.clone().next() == Some(row))?;
    cells.nth(column)?.parse().ok()
}

/// The largest size that a table reaches (mm).
fn reach(table: &str) -> f64 {
    let head = table.lines().find(|line| !line.starts_with('#'));
    let last = head.and_then(|line| line.rsplit('-').next());
    last.and_then(|to| to.parse().ok()).unwrap_or(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    const TABLE: &str = "# a remark\nname,0-3,3-6\na,1,2\nb,-3,4.5\n";

    #[test]
    fn a_range_begins_above_its_first_number_and_holds_its_second() {
        assert_eq!(cell(TABLE, "a", 3.0), Some(1.0));
        assert_eq!(cell(TABLE, "a", 3.000_001), Some(2.0));
        assert_eq!(cell(TABLE, "b", 6.0), Some(4.5));
        assert_eq!(cell(TABLE, "b", 6.1), None);
        assert_eq!(cell(TABLE, "b", 0.0), None);
        assert_eq!(cell(TABLE, "c", 1.0), None);
        assert_eq!(reach(TABLE), 6.0);
    }
}
