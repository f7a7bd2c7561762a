//! The report folder: looked at before the run, written in one step after it.
//!
//! All files are written into a new folder beside the destination, synced, and brought into place by one
//! rename: a reader sees the old report or the new one, never a mixture. A symbolic link is never followed.

mod error;
mod occupant;
mod slug;
mod staged;

use std::io;
use std::path::{Path, PathBuf};

pub use error::FolderError;
pub use slug::slug;
pub use staged::File;

use occupant::Occupant;
use staged::{Staged, sync_folder};

/// The file of a report that holds the record.
pub const RECORD_FILE: &str = "result.json";

/// The file of a report on measured readings that holds the study.
pub const LOT_FILE: &str = "lot.json";

/// A destination that was found fit to be written.
#[derive(Debug)]
pub struct Folder {
    path: PathBuf,
    hash: String,
    force: bool,
    made: MadeParents,
}

impl Folder {
    /// Looks at the destination and tries a write beside it, so that no run is lost for want of a place.
    ///
    /// `hash` is the scenario's, or that of a file of readings: a report of the same is replaced without asking. With `force`
    /// any other real folder is replaced too; what is in it beside a report is kept (see [`Folder::write`]).
    ///
    /// # Errors
    /// [`FolderError`] when the place is taken or cannot be written.
    pub fn prepare(path: &Path, hash: &str, force: bool) -> Result<Folder, FolderError> {
        // Without a trailing slash, which would follow a link.
        let path: PathBuf = path.components().collect();
        if path.file_name().is_none() {
            return Err(FolderError::NotAName { path });
        }
        Occupant::of(&path)?.admitted(&path, hash, force)?;
        let made = MadeParents::of(&path)?;
        let folder = Folder {
            path,
            hash: hash.to_owned(),
            force,
            made,
        };
        Staged::probe(folder.parent()).map_err(|error| folder.unwritable(&error))?;
        Ok(folder)
    }

    /// Where the report goes.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Writes the files, all or none. Returns where an old folder was kept because it held files that are
    /// not part of a report.
    ///
    /// # Errors
    /// [`FolderError`]; the destination then is as it was.
    pub fn write(mut self, files: &[File]) -> Result<Option<PathBuf>, FolderError> {
        let staged =
            Staged::write(self.parent(), files).map_err(|error| self.unwritable(&error))?;
        // Looked at again: the run may have taken hours.
        let occupant = Occupant::of(&self.path)?;
        occupant.admitted(&self.path, &self.hash, self.force)?;
        let kept = match occupant {
            Occupant::Nothing => {
                staged
                    .rename(&self.path)
                    .map_err(|error| self.unwritable(&error))?;
                None
            }
            Occupant::Folder { .. } => self.replace(staged, files)?,
            Occupant::Link { .. } | Occupant::Other { .. } => None,
        };
        sync_folder(self.parent()).map_err(|error| self.unwritable(&error))?;
        self.made.keep();
        Ok(kept)
    }

    /// Moves the old folder aside, the new one into place, and removes the old one if it was only a report.
    fn replace(&self, staged: Staged, files: &[File]) -> Result<Option<PathBuf>, FolderError> {
        let aside = self.free_name()?;
        std::fs::rename(&self.path, &aside).map_err(|error| self.unwritable(&error))?;
        // Somebody may have put a link there since we looked.
        let moved = occupant::is_real_folder(&aside);
        let placed = if moved {
            staged.rename(&self.path)
        } else {
            Err(io::Error::other(
                "it was replaced while it was being written",
            ))
        };
        if let Err(error) = placed {
            let _ = std::fs::rename(&aside, &self.path);
            return Err(self.unwritable(&error));
        }
        let names: Vec<&str> = files.iter().map(|file| file.name.as_str()).collect();
        let gone = occupant::remove_report(&aside, &names);
        Ok((!gone).then_some(aside))
    }

    /// `<name>.old-N` with the first N that is free.
    fn free_name(&self) -> Result<PathBuf, FolderError> {
        (1..10_000)
            .map(|n| {
                let mut name = self.path.clone().into_os_string();
                name.push(format!(".old-{n}"));
                PathBuf::from(name)
            })
            .find(|path| path.symlink_metadata().is_err())
            .ok_or_else(|| self.unwritable(&io::Error::other("10,000 old folders beside it")))
    }

    fn parent(&self) -> &Path {
        parent_of(&self.path)
    }

    fn unwritable(&self, error: &io::Error) -> FolderError {
        FolderError::Unwritable {
            path: self.path.clone(),
            reason: error.to_string(),
        }
    }
}

/// The folder that holds `path`.
fn parent_of(path: &Path) -> &Path {
    match path.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    }
}

/// Folders above the destination that did not exist; taken away again when no report gets written.
#[derive(Debug)]
struct MadeParents(Vec<PathBuf>);

impl MadeParents {
    fn of(path: &Path) -> Result<MadeParents, FolderError> {
        let parent = parent_of(path);
        let missing = parent
            .ancestors()
            .take_while(|above| !above.as_os_str().is_empty() && !above.exists())
            .map(Path::to_owned)
            .collect();
        let made = MadeParents(missing);
        std::fs::create_dir_all(parent).map_err(|error| FolderError::Unwritable {
            path: parent.to_owned(),
            reason: error.to_string(),
        })?;
        Ok(made)
    }

    fn keep(&mut self) {
        self.0.clear();
    }
}

impl Drop for MadeParents {
    fn drop(&mut self) {
        for folder in &self.0 {
            // Goes only when it is empty.
            let _ = std::fs::remove_dir(folder);
        }
    }
}

#[cfg(test)]
mod tests;
