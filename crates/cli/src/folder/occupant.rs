//! What stands at a destination already.

use std::fs::{self, FileType};
use std::io;
use std::path::{Path, PathBuf};

use super::error::FolderError;
use super::{LOT_FILE, RECORD_FILE};
use crate::input::record_file;

/// What stands at a destination already.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Occupant {
    /// Nothing.
    Nothing,
    /// A real folder.
    Folder {
        /// What is in it.
        holds: Holds,
    },
    /// A symbolic link, wherever it points.
    Link {
        /// Where it points.
        target: PathBuf,
    },
    /// Neither.
    Other {
        /// What it is.
        kind: &'static str,
    },
}

/// What is in a folder.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Holds {
    /// Nothing.
    Nothing,
    /// The report of a scenario, or of readings, with this hash.
    Report(String),
    /// Something else.
    Else,
}

impl Occupant {
    /// Looks without following a link.
    pub fn of(path: &Path) -> Result<Occupant, FolderError> {
        let unreadable = |error: io::Error| FolderError::Unwritable {
            path: path.to_owned(),
            reason: error.to_string(),
        };
        let kind = match fs::symlink_metadata(path) {
            Ok(found) => found.file_type(),
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(Occupant::Nothing),
            Err(error) => return Err(unreadable(error)),
        };
        if kind.is_symlink() {
            let target = fs::read_link(path).map_err(unreadable)?;
            return Ok(Occupant::Link { target });
        }
        if !kind.is_dir() {
            return Ok(Occupant::Other { kind: named(kind) });
        }
        let empty = fs::read_dir(path).map_err(unreadable)?.next().is_none();
        let holds = if empty {
            Holds::Nothing
        } else {
            hash_in(path).map_or(Holds::Else, Holds::Report)
        };
        Ok(Occupant::Folder { holds })
    }

    /// Says whether a report of the scenario, or of the readings, with this hash may take the place.
    pub fn admitted(&self, path: &Path, hash: &str, force: bool) -> Result<(), FolderError> {
        let path = path.to_owned();
        match self {
            Occupant::Nothing => Ok(()),
            Occupant::Link { target } => Err(FolderError::Link {
                path,
                target: target.clone(),
            }),
            Occupant::Other { kind } => Err(FolderError::NotAFolder { path, kind }),
            Occupant::Folder { holds } => match holds {
                Holds::Nothing => Ok(()),
                Holds::Report(other) if other == hash => Ok(()),
                _ if force => Ok(()),
                Holds::Report(_) => Err(FolderError::Taken {
                    path,
                    holds: "the report of another scenario or of other readings",
                }),
                Holds::Else => Err(FolderError::Taken {
                    path,
                    holds: "something else than a report",
                }),
            },
        }
    }
}

/// True for a folder that is not a link.
pub fn is_real_folder(path: &Path) -> bool {
    fs::symlink_metadata(path).is_ok_and(|found| found.is_dir())
}

/// Removes the files of a report, and the folder when nothing else was in it. True when it is gone.
///
/// When it holds anything else, it is left whole.
pub fn remove_report(folder: &Path, names: &[&str]) -> bool {
    let Ok(entries) = fs::read_dir(folder) else {
        return false;
    };
    let mut files = Vec::new();
    for entry in entries {
        let Ok(entry) = entry else { return false };
        let ours = entry.file_type().is_ok_and(|kind| kind.is_file())
            && names.iter().any(|name| entry.file_name() == *name);
        if !ours {
            return false;
        }
        files.push(entry.path());
    }
    files.iter().all(|file| fs::remove_file(file).is_ok()) && fs::remove_dir(folder).is_ok()
}

/// The hash of the scenario or of the readings whose report is in a folder; `None` when there is none that can be read.
fn hash_in(folder: &Path) -> Option<String> {
    let regular = |name: &str| {
        let file = folder.join(name);
        let found = fs::symlink_metadata(&file).is_ok_and(|found| found.is_file());
        found.then_some(file)
    };
    match (regular(RECORD_FILE), regular(LOT_FILE)) {
        (Some(file), None) => record_file::read(&file)
            .ok()
            .map(|record| record.scenario_hash),
        (None, Some(file)) => record_file::lot_hash(&file),
        _ => None,
    }
}

fn named(kind: FileType) -> &'static str {
    #[cfg(unix)]
    {
        use std::os::unix::fs::FileTypeExt;
        if kind.is_fifo() {
            return "a pipe";
        }
        if kind.is_socket() {
            return "a socket";
        }
        if kind.is_block_device() || kind.is_char_device() {
            return "a device";
        }
    }
    if kind.is_file() {
        "a file"
    } else {
        "something special"
    }
}
