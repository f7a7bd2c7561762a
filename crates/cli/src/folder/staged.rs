//! A folder of files on its way to its place.

use std::fs::OpenOptions;
use std::io::{self, Write};
use std::path::Path;

use tempfile::TempDir;

/// One file of a report.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct File {
    /// Name without folder.
    pub name: String,
    /// Contents.
    pub bytes: Vec<u8>,
}

/// A folder beside the destination, complete and synced. It goes away if it is not renamed.
#[derive(Debug)]
pub struct Staged(TempDir);

impl Staged {
    /// Writes the files into a new folder in `parent`.
    pub fn write(parent: &Path, files: &[File]) -> io::Result<Staged> {
        let staged = Staged(new_folder(parent)?);
        for file in files {
            write_new(&staged.0.path().join(&file.name), &file.bytes)?;
        }
        sync_folder(staged.0.path())?;
        Ok(staged)
    }

    /// Tries whether `parent` can be written: makes a folder with a file in it and takes it away.
    pub fn probe(parent: &Path) -> io::Result<()> {
        let probe = File {
            name: "probe".to_owned(),
            bytes: vec![0; 4096],
        };
        Staged::write(parent, &[probe])?.0.close()
    }

    /// Brings the folder to its place.
    pub fn rename(self, to: &Path) -> io::Result<()> {
        std::fs::rename(self.0.path(), to)?;
        // Nothing is left to be cleaned up under the old name.
        let _ = self.0.keep();
        Ok(())
    }
}

/// Makes what was renamed in a folder last.
pub fn sync_folder(folder: &Path) -> io::Result<()> {
    if cfg!(unix) {
        std::fs::File::open(folder)?.sync_all()
    } else {
        Ok(())
    }
}

/// A new folder of a name that nobody has, with the rights that the user's mask gives.
fn new_folder(parent: &Path) -> io::Result<TempDir> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(".seatyield-").suffix(".tmp");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        builder.permissions(std::fs::Permissions::from_mode(0o777));
    }
    builder.tempdir_in(parent)
}

/// Writes a file that must not exist yet, down to the disk.
fn write_new(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let mut file = OpenOptions::new().write(true).create_new(true).open(path)?;
    file.write_all(bytes)?;
    file.flush()?;
    file.sync_all()?;
    if file.metadata()?.len() == bytes.len() as u64 {
        Ok(())
    } else {
        Err(io::Error::other(
            "the file is not as long as what was written",
        ))
    }
}
