//! Measured parts in separate files: one for shafts, one for hubs, one for spacers.
//!
//! Which part a file holds is found from its columns. Contact and bolt belong to a pairing, not to a part, so they
//! have no place here.

use std::collections::HashMap;
use std::path::{Path, PathBuf};

use super::{Known, PartRow, Sheet, read_text};
use crate::problem::escape::quoted;
use crate::problem::id;
use crate::problem::{Problem, Problems};
use crate::scenario::source::{self, PARTS};

/// A part that may have a file of its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    /// Shafts with the male cone.
    Shaft,
    /// Hubs with the female cone.
    Hub,
    /// Spacers.
    Spacer,
}

impl Part {
    const ALL: [Part; 3] = [Part::Shaft, Part::Hub, Part::Spacer];

    /// The word for one of them, which is also the first part of its paths.
    pub const fn word(self) -> &'static str {
        match self {
            Part::Shaft => "shaft",
            Part::Hub => "hub",
            Part::Spacer => "spacer",
        }
    }

    /// The part that a dotted path belongs to.
    fn of(path: &str) -> Option<Part> {
        let (first, _) = path.split_once('.')?;
        Part::ALL.into_iter().find(|part| part.word() == first)
    }
}

/// The parts of one file. Every row has a name, and no name stands twice.
#[derive(Debug, Clone, PartialEq)]
pub struct PartList {
    /// The file as the user named it.
    pub file: String,
    /// What was measured of each.
    pub rows: Vec<PartRow>,
    /// Name of each row: its own, or the part's word and the row.
    pub names: Vec<String>,
}

/// The files, by part.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct PartLists {
    /// Shafts.
    pub shafts: Option<PartList>,
    /// Hubs.
    pub hubs: Option<PartList>,
    /// Spacers.
    pub spacers: Option<PartList>,
}

/// Reads all files of separate parts; `known` is what their columns may state.
///
/// # Errors
/// All [`Problems`] of all files at once.
pub(crate) fn read(paths: &[PathBuf], known: &Known) -> Result<PartLists, Problems> {
    let mut lists = PartLists::default();
    let mut problems = Vec::new();
    for path in paths {
        match list(path, known) {
            Ok((part, list)) => {
                let slot = match part {
                    Part::Shaft => &mut lists.shafts,
                    Part::Hub => &mut lists.hubs,
                    Part::Spacer => &mut lists.spacers,
                };
                match slot {
                    Some(first) => problems.push(twice(part, first, &list)),
                    None => *slot = Some(list),
                }
            }
            Err(more) => problems.extend(more.list),
        }
    }
    if problems.is_empty() {
        Ok(lists)
    } else {
        Err(Problems::new(problems))
    }
}

fn list(path: &Path, known: &Known) -> Result<(Part, PartList), Problems> {
    let text = source::read(path, &PARTS)?;
    let file = path.to_string_lossy();
    sorted(&file, read_text(&file, &text, known)?)
}

/// The one part that all columns belong to, and its rows under their names.
fn sorted(file: &str, sheet: Sheet) -> Result<(Part, PartList), Problems> {
    let columns = || sheet.headings.iter().filter(|(path, _)| path != "name");
    let Some(part) = columns().find_map(|(path, _)| Part::of(path)) else {
        return Err(no_part(file, &sheet));
    };
    let mixed: Vec<Problem> = columns()
        .filter(|(path, _)| Part::of(path) != Some(part))
        .map(|(path, place)| foreign(file, part, path, *place))
        .collect();
    if !mixed.is_empty() {
        return Err(Problems::new(mixed));
    }
    let names: Vec<String> = sheet
        .rows
        .iter()
        .map(|row| match &row.name {
            Some(name) => name.clone(),
            None => format!("{} {}", part.word(), row.row),
        })
        .collect();
    let doubled = same_names(file, &sheet.rows, &names);
    if !doubled.is_empty() {
        return Err(Problems::new(doubled));
    }
    let file = file.to_owned();
    let rows = sheet.rows;
    Ok((part, PartList { file, rows, names }))
}

fn no_part(file: &str, sheet: &Sheet) -> Problems {
    let paths: Vec<&str> = sheet.headings.iter().map(|(p, _)| p.as_str()).collect();
    let place = sheet.headings.first().map(|(_, place)| *place);
    Problem::new(
        &id::PARTS_MIXED,
        file,
        "",
        &format!("no column of a part, only {}", paths.join(", ")),
        "columns of one part: shaft.…, hub.… or spacer.…",
    )
    .at(place)
    .hint("what belongs to a pairing is set with --set, or stands in one file with whole pairings")
    .into()
}

fn foreign(file: &str, part: Part, path: &str, place: (usize, usize)) -> Problem {
    let hint = match Part::of(path) {
        Some(other) => format!("put the {}s into a file of their own", other.word()),
        None => "what belongs to a pairing is set with --set".to_owned(),
    };
    Problem::new(
        &id::PARTS_MIXED,
        file,
        path,
        &format!("the column {} in a file of {}s", quoted(path), part.word()),
        "the columns of one part in each file when several are given, or with --all",
    )
    .at(Some(place))
    .hint(&hint)
}

fn twice(part: Part, first: &PartList, second: &PartList) -> Problem {
    Problem::new(
        &id::PARTS_TWICE,
        &second.file,
        "",
        &format!("a second file of {}s", part.word()),
        "one file for each part",
    )
    .hint(&format!(
        "the first is {}; put all rows into one",
        quoted(&first.file)
    ))
}

fn same_names(file: &str, rows: &[PartRow], names: &[String]) -> Vec<Problem> {
    let mut lines: HashMap<&str, usize> = HashMap::new();
    let mut problems = Vec::new();
    for (row, name) in rows.iter().zip(names) {
        if let Some(first) = lines.insert(name, row.line) {
            lines.insert(name, first);
            let problem = Problem::new(
                &id::PARTS_SAME_NAME,
                file,
                "name",
                &format!("the name {}, which line {first} has already", quoted(name)),
                "a name of its own for every part",
            );
            problems.push(problem.at(Some((row.line, 1))));
        }
    }
    problems
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::tests::cone;

    fn of(text: &str) -> Result<(Part, PartList), Problems> {
        sorted("p.csv", read_text("p.csv", text, &cone())?)
    }

    #[test]
    fn the_columns_say_which_part_a_file_holds() {
        let (part, list) = of("name,hub.taper,hub.gauge_plane [mm]\nA,1:10,4\n,1:10,4.01\n")
            .unwrap_or_else(|p| panic!("{p}"));
        assert_eq!(part, Part::Hub);
        assert_eq!(list.names, ["A", "hub 2"]);
        let (part, _) = of("spacer.thickness [mm]\n6\n").unwrap_or_else(|p| panic!("{p}"));
        assert_eq!(part, Part::Spacer);
    }

    #[test]
    fn columns_of_another_part_are_all_named_with_their_places() {
        let text = "shaft.taper,hub.taper,contact.friction\n1:10,1:10,0.1\n";
        let problems = of(text).unwrap_err();
        let places: Vec<_> = problems.list.iter().filter_map(|p| p.place).collect();
        assert_eq!(places, [(1, 13), (1, 23)], "{problems}");
        assert_eq!(problems.exit_code, 4);
    }

    #[test]
    fn a_file_without_a_part_is_refused() {
        let problems = of("name,bolt.torque [N*m]\na,60\n").unwrap_err();
        assert_eq!(problems.list[0].id, "parts-015", "{problems}");
    }

    #[test]
    fn a_name_stands_once_even_when_it_is_one_that_is_given() {
        let problems = of("name,hub.taper\n\"hub 2\",1:10\n,1:10\n\"hub 2\",1:10\n").unwrap_err();
        let places: Vec<_> = problems.list.iter().filter_map(|p| p.place).collect();
        assert_eq!(places, [(3, 1), (4, 1)], "{problems}");
        assert!(problems.list[1].found.contains("line 2"), "{problems}");
    }
}
