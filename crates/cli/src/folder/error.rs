//! Why a report folder is not written.

use std::path::PathBuf;

use crate::output::plain::shown;

/// Why a report folder is not written.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum FolderError {
    /// Something like `.` or `/`.
    #[error(
        "{}: cannot be a report folder\n  expected: a folder of its own, for example out/pump",
        shown(path)
    )]
    NotAName {
        /// The destination.
        path: PathBuf,
    },
    /// A symbolic link.
    #[error(
        "{}: is a symbolic link to {}; links are not followed\n  hint: name that folder itself with --out",
        shown(path),
        shown(target)
    )]
    Link {
        /// The destination.
        path: PathBuf,
        /// What the link points to.
        target: PathBuf,
    },
    /// A file, a pipe, a device.
    #[error(
        "{}: is {kind}, not a folder\n  hint: name another place with --out",
        shown(path)
    )]
    NotAFolder {
        /// The destination.
        path: PathBuf,
        /// What it is.
        kind: &'static str,
    },
    /// A folder with other contents.
    #[error(
        "{}: the folder exists and holds {holds}\n  hint: name another place with --out, or replace it with --force",
        shown(path)
    )]
    Taken {
        /// The destination.
        path: PathBuf,
        /// What is in it.
        holds: &'static str,
    },
    /// The system refuses: no rights, no room.
    #[error("{}: cannot be written: {reason}", shown(path))]
    Unwritable {
        /// The destination.
        path: PathBuf,
        /// What the system says.
        reason: String,
    },
}
