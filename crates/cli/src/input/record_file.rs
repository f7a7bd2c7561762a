//! A record read from its file: size and kind are looked at before anything is read.

use std::fs::File;
use std::io::Read;
use std::path::Path;

use study::record::{LotStudy, Record};

use crate::exit::Failure;

/// A record is far smaller; anything above is not one.
pub const MOST_BYTES: u64 = 64 << 20;

/// Reads a record.
///
/// # Errors
/// [`Failure::Unreadable`] for the file, [`Failure::NotARecord`] for what is in it.
pub fn read(path: &Path) -> Result<Record, Failure> {
    let text = text(path)?;
    Record::from_json(&text).map_err(|error| not_a_record(path, error.to_string()))
}

/// The hash of the readings whose study a file holds; `None` when it is no study of readings.
pub fn lot_hash(path: &Path) -> Option<String> {
    let study: LotStudy = serde_json::from_str(&text(path).ok()?).ok()?;
    Some(study.file.sha256)
}

fn text(path: &Path) -> Result<String, Failure> {
    let unreadable = |reason: String| Failure::Unreadable {
        path: path.to_owned(),
        reason,
    };
    let kind = std::fs::metadata(path).map_err(|error| unreadable(error.to_string()))?;
    if kind.is_dir() {
        return Err(unreadable(
            "it is a folder\n  hint: name the result.json in it".to_owned(),
        ));
    }
    if !kind.is_file() {
        // A pipe would be waited for without end.
        return Err(unreadable("it is not a regular file".to_owned()));
    }
    let mut bytes = Vec::new();
    File::open(path)
        .and_then(|file| file.take(MOST_BYTES + 1).read_to_end(&mut bytes))
        .map_err(|error| unreadable(error.to_string()))?;
    if bytes.len() as u64 > MOST_BYTES {
        return Err(not_a_record(
            path,
            "not a record: larger than 64 MiB".to_owned(),
        ));
    }
    String::from_utf8(bytes)
        .map_err(|_| not_a_record(path, "not a record: not UTF-8 text".to_owned()))
}

fn not_a_record(path: &Path, reason: String) -> Failure {
    Failure::NotARecord {
        path: path.to_owned(),
        reason,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::exit::Exit;

    #[test]
    fn what_is_not_a_record_is_told_apart_from_what_cannot_be_read() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("result.json");
        assert_eq!(read(&file).unwrap_err().exit(), Exit::Files);
        assert_eq!(read(folder.path()).unwrap_err().exit(), Exit::Files);
        for text in [
            &b""[..],
            b"{}",
            b"\xff",
            b"{\"schema_version\": 999}",
            b"[1, 2",
        ] {
            std::fs::write(&file, text).unwrap();
            assert_eq!(read(&file).unwrap_err().exit(), Exit::NoMatch, "{text:?}");
        }
    }
}
