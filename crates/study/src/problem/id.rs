//! The stable ids of problems, in one place. An id keeps its number and its meaning for ever; new ones are added.

/// One kind of problem.
#[derive(Debug)]
pub(crate) struct Id {
    /// Stable name.
    pub(crate) name: &'static str,
    /// Exit code: 3 scenario, 4 readings or parts, 5 reading a file, 8 over a limit.
    pub(crate) exit_code: u8,
}

macro_rules! ids {
    ($($(#[doc = $doc:literal])+ $constant:ident = $name:literal, $exit:literal;)+) => {
        $($(#[doc = $doc])+ pub(crate) const $constant: Id = Id { name: $name, exit_code: $exit };)+

        /// Every id, for the tests.
        #[cfg(test)]
        pub(crate) const ALL: &[Id] = &[$($constant),+];
    };
}

ids! {
    /// The scenario file is missing.
    MISSING = "scenario-001", 3;
    /// The scenario is a folder, pipe or device.
    NOT_A_FILE = "scenario-002", 3;
    /// The scenario is empty.
    EMPTY = "scenario-003", 3;
    /// The scenario is not UTF-8.
    ENCODING = "scenario-004", 3;
    /// A carriage return without a line feed.
    LONE_CR = "scenario-005", 3;
    /// A character that may not stand in a file, or not in a report.
    CHARACTER = "scenario-006", 3;
    /// Tables, arrays or dotted keys nested too deep.
    DEPTH = "scenario-007", 3;
    /// TOML syntax.
    SYNTAX = "scenario-010", 3;
    /// A key or table stands twice.
    DUPLICATE = "scenario-011", 3;
    /// A key that nothing reads.
    UNKNOWN_KEY = "scenario-012", 3;
    /// A key that is needed is missing.
    MISSING_KEY = "scenario-013", 3;
    /// A key of a later version of the program.
    NOT_YET = "scenario-014", 3;
    /// A scenario of a newer format.
    FORMAT = "scenario-015", 3;
    /// Two keys that exclude each other.
    CONTRADICTION = "scenario-016", 3;
    /// A value of the wrong type.
    WRONG_TYPE = "scenario-021", 3;
    /// A number that is not finite, overflows or underflows.
    NUMBER = "scenario-022", 3;
    /// A unit that is missing, unknown or of the wrong kind.
    UNIT = "scenario-023", 3;
    /// A value outside its range.
    RANGE = "scenario-024", 3;
    /// A word that is not one of the words allowed.
    WORD = "scenario-025", 3;
    /// A name or text that is empty, too long or holds control characters.
    TEXT = "scenario-026", 3;
    /// A lot, column or characteristic that is not there.
    REFERENCE = "scenario-027", 3;
    /// Limits out of order.
    ORDER = "scenario-031", 3;
    /// A process that cannot be.
    PROCESS = "scenario-032", 3;
    /// A process that can give an impossible part.
    REACH = "scenario-033", 3;
    /// A value that looks like a unit slip.
    SLIP = "scenario-034", 3;
    /// Geometry that cannot be.
    GEOMETRY = "scenario-035", 3;
    /// An override that cannot be applied.
    OVERRIDE = "scenario-041", 3;
    /// The parts file is missing.
    PARTS_MISSING = "parts-001", 4;
    /// The parts file is a folder, pipe or device.
    PARTS_NOT_A_FILE = "parts-002", 4;
    /// The parts file is empty or has no row.
    PARTS_EMPTY = "parts-003", 4;
    /// The parts file is not UTF-8.
    PARTS_ENCODING = "parts-004", 4;
    /// A carriage return without a line feed.
    PARTS_LONE_CR = "parts-005", 4;
    /// A character that may not stand in a file.
    PARTS_CHARACTER = "parts-006", 4;
    /// Quotes that are not closed, or text after them.
    PARTS_QUOTE = "parts-010", 4;
    /// A column that is unknown, doubled or has no unit.
    PARTS_COLUMN = "parts-011", 4;
    /// A row with too few or too many cells.
    PARTS_ROW = "parts-012", 4;
    /// A cell that is not a number.
    PARTS_CELL = "parts-013", 4;
    /// A value outside its range.
    PARTS_RANGE = "parts-014", 4;
    /// A column of another part, or of no part, in a file that holds one part.
    PARTS_MIXED = "parts-015", 4;
    /// Two files for one part.
    PARTS_TWICE = "parts-016", 4;
    /// Files whose rows should pair up and do not agree in number.
    PARTS_UNEVEN = "parts-017", 4;
    /// Two parts of one name.
    PARTS_SAME_NAME = "parts-018", 4;
    /// More or fewer rows than one where one pairing is due.
    PARTS_NOT_ONE = "parts-019", 4;
    /// Measured spacers and steps of a stock, of which only one can be chosen from.
    PARTS_AND_STEP = "parts-020", 4;
    /// A column of something that the scenario does not have.
    PARTS_NOT_STATED = "parts-021", 4;
    /// The file of readings is missing.
    LOT_MISSING = "lot-001", 4;
    /// The file of readings is a folder, pipe or device.
    LOT_NOT_A_FILE = "lot-002", 4;
    /// The file of readings is empty or has no row.
    LOT_EMPTY = "lot-003", 4;
    /// The file of readings is not in the stated encoding.
    LOT_ENCODING = "lot-004", 4;
    /// A character that no file of readings may hold.
    LOT_CHARACTER = "lot-005", 4;
    /// Something else under the name of a CSV file.
    LOT_KIND = "lot-006", 4;
    /// A quote that is not closed, or text beside a quoted cell.
    LOT_QUOTE = "lot-010", 4;
    /// A column that is missing, named twice or not at all.
    LOT_COLUMN = "lot-011", 4;
    /// A decimal sign or separator other than the stated one.
    LOT_DIALECT = "lot-012", 4;
    /// A row with too few or too many cells.
    LOT_ROW = "lot-013", 4;
    /// A cell that is no number.
    LOT_NUMBER = "lot-014", 4;
    /// A reading that is missing.
    LOT_NO_READING = "lot-015", 4;
    /// A serial number that stands twice.
    LOT_REPEATED = "lot-016", 4;
    /// The headings are not in the first line.
    LOT_HEADER = "lot-017", 4;
    /// The nominal pair has no draw-up that could be asked for.
    NO_DRAW_UP = "pair-001", 3;
    /// A file that may not be read.
    PERMISSION = "read-001", 5;
    /// A file that could not be read to its end.
    READ = "read-002", 5;
    /// A file over the size limit.
    TOO_LARGE = "limit-001", 8;
    /// More pairs than are solved at once.
    TOO_MANY_PAIRS = "limit-002", 8;
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_id_is_given_twice() {
        let mut names: Vec<_> = ALL.iter().map(|id| id.name).collect();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), ALL.len());
    }
}
