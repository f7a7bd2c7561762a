//! Reads a text file without trusting it: kind of file, size and encoding are known before the text is.

use std::fs::{self, File};
use std::io::{ErrorKind, Read};
use std::path::Path;

use crate::problem::escape::quoted;
use crate::problem::id::{self, Id};
use crate::problem::{Problem, Problems};

/// What differs between a scenario and a file of parts.
#[derive(Debug)]
pub(crate) struct Kind {
    /// `a scenario`, for messages.
    pub(crate) words: &'static str,
    /// Largest size in bytes.
    pub(crate) limit: u64,
    /// The size in words.
    pub(crate) limit_words: &'static str,
    /// Where to read how such a file looks.
    pub(crate) example: &'static str,
    missing: &'static Id,
    not_a_file: &'static Id,
    empty: &'static Id,
    encoding: &'static Id,
}

/// A scenario file: at most 1 MiB.
pub(crate) const SCENARIO: Kind = Kind {
    words: "a scenario file in TOML",
    limit: 1 << 20,
    limit_words: "1 MiB",
    example: "scenarios/README.md describes a scenario; the files beside it are examples",
    missing: &id::MISSING,
    not_a_file: &id::NOT_A_FILE,
    empty: &id::EMPTY,
    encoding: &id::ENCODING,
};

/// A file of measured parts: at most 16 MiB.
pub(crate) const PARTS: Kind = Kind {
    words: "a CSV file of measured parts",
    limit: 16 << 20,
    limit_words: "16 MiB",
    example: "scenarios/README.md describes a file of parts",
    missing: &id::PARTS_MISSING,
    not_a_file: &id::PARTS_NOT_A_FILE,
    empty: &id::PARTS_EMPTY,
    encoding: &id::PARTS_ENCODING,
};

/// A file of readings: at most 1 GiB, read line by line.
pub(crate) const READINGS: Kind = Kind {
    words: "a CSV file of readings",
    limit: 1 << 30,
    limit_words: "1 GiB",
    example: "scenarios/README.md describes a file of readings",
    missing: &id::LOT_MISSING,
    not_a_file: &id::LOT_NOT_A_FILE,
    empty: &id::LOT_EMPTY,
    encoding: &id::LOT_ENCODING,
};

/// The byte order mark of UTF-8.
const BOM: &str = "\u{feff}";

/// The text without a byte order mark.
pub(crate) fn without_bom(text: &str) -> &str {
    text.strip_prefix(BOM).unwrap_or(text)
}

/// Looks at a file before it is opened: it must be there, be a file, and not be too large.
///
/// # Errors
/// The one problem that stands in the way.
pub(crate) fn inspect(path: &Path, kind: &Kind) -> Result<(), Problems> {
    let shown = path.to_string_lossy();
    let problem =
        |id: &Id, found: &str, expected: &str| Problem::new(id, &shown, "", found, expected);
    let meta = fs::metadata(path).map_err(|e| match e.kind() {
        ErrorKind::PermissionDenied => no_permission(path, &shown),
        ErrorKind::NotFound | ErrorKind::NotADirectory => missing(path, &shown, kind),
        _ => problem(&id::READ, &e.to_string(), kind.words),
    })?;
    if !meta.is_file() {
        let found = if meta.is_dir() {
            "a folder"
        } else {
            "a pipe or device, not a file"
        };
        let problem = problem(kind.not_a_file, found, kind.words);
        let problem = if meta.is_dir() {
            problem.hint(&inside(path))
        } else {
            problem.hint("save the text to a file first; pipes and devices are not read, for they may never end")
        };
        return Err(problem.into());
    }
    if meta.len() > kind.limit {
        return Err(too_large(&shown, meta.len(), kind).into());
    }
    Ok(())
}

/// Reads a file whole.
///
/// # Errors
/// The one problem that stands in the way.
pub(crate) fn read(path: &Path, kind: &Kind) -> Result<String, Problems> {
    inspect(path, kind)?;
    let shown = path.to_string_lossy();
    let problem =
        |id: &Id, found: &str, expected: &str| Problem::new(id, &shown, "", found, expected);
    let mut bytes = Vec::new();
    let read = File::open(path).and_then(|file| file.take(kind.limit + 1).read_to_end(&mut bytes));
    read.map_err(|e| match e.kind() {
        ErrorKind::PermissionDenied => no_permission(path, &shown),
        _ => problem(
            &id::READ,
            &format!("an error while reading: {e}"),
            kind.words,
        ),
    })?;
    if bytes.len() as u64 > kind.limit {
        return Err(too_large(&shown, bytes.len() as u64, kind).into());
    }
    decode(&shown, bytes, kind)
}

/// Checks a text that did not come from a file of its own.
pub(crate) fn check_text(file: &str, text: &str, kind: &Kind) -> Result<(), Problems> {
    if text.len() as u64 > kind.limit {
        return Err(too_large(file, text.len() as u64, kind).into());
    }
    if without_bom(text).trim().is_empty() {
        let found = if text.is_empty() {
            "an empty file"
        } else {
            "an empty file (only blanks)"
        };
        let problem = Problem::new(kind.empty, file, "", found, kind.words);
        return Err(problem.hint(kind.example).into());
    }
    Ok(())
}

/// The text of bytes in UTF-8.
///
/// # Errors
/// The first byte that is not.
fn decode(file: &str, bytes: Vec<u8>, kind: &Kind) -> Result<String, Problems> {
    let wide = match bytes.as_slice() {
        [0xff, 0xfe, 0, 0, ..] => Some("UTF-32, little end first"),
        [0, 0, 0xfe, 0xff, ..] => Some("UTF-32, big end first"),
        [0xff, 0xfe, ..] => Some("UTF-16, little end first"),
        [0xfe, 0xff, ..] => Some("UTF-16, big end first"),
        _ => None,
    };
    if let Some(name) = wide {
        let found = format!("text in {name} (by its byte order mark)");
        return Err(encoding(file, &found, kind).at(Some((1, 1))).into());
    }
    let text = match String::from_utf8(bytes) {
        Ok(text) => text,
        Err(e) => {
            let valid = e.utf8_error().valid_up_to();
            let bytes = e.into_bytes();
            return Err(bad_byte(file, &bytes, valid, kind).into());
        }
    };
    check_text(file, &text, kind)?;
    Ok(text)
}

fn bad_byte(file: &str, bytes: &[u8], at: usize, kind: &Kind) -> Problem {
    let before = String::from_utf8_lossy(bytes.get(..at).unwrap_or_default());
    let before = without_bom(&before);
    let line = before.matches('\n').count() + 1;
    let column = before.rsplit('\n').next().unwrap_or("").chars().count() + 1;
    let byte = bytes.get(at).copied().unwrap_or(0);
    let guess = match byte {
        0xb5 => "; in Latin-1 that would be the micro sign",
        0xb0 => "; in Latin-1 that would be the degree sign",
        0xa0..=0xff => "; the file looks like Latin-1 or Windows-1252",
        _ => "",
    };
    let found = format!("byte 0x{byte:02X} at offset {at}, which is not UTF-8{guess}");
    encoding(file, &found, kind).at(Some((line, column)))
}

fn encoding(file: &str, found: &str, kind: &Kind) -> Problem {
    Problem::new(
        kind.encoding,
        file,
        "",
        found,
        &format!("{}, encoded as UTF-8", kind.words),
    )
    .hint("save it again with the encoding UTF-8 (in most editors: Save As, Encoding, UTF-8)")
}

fn too_large(file: &str, size: u64, kind: &Kind) -> Problem {
    let found = format!("a file of {size} bytes");
    Problem::new(
        &id::TOO_LARGE,
        file,
        "",
        &found,
        &format!(
            "{} of at most {} ({} bytes)",
            kind.words, kind.limit_words, kind.limit
        ),
    )
    .hint("the file was not read; is it the right one?")
}

#[cfg(unix)]
pub(crate) fn no_permission(path: &Path, file: &str) -> Problem {
    use std::os::unix::fs::MetadataExt;
    let found = match fs::metadata(path) {
        Ok(m) => format!(
            "no permission to read it (owner {}, mode {:o})",
            m.uid(),
            m.mode() & 0o7777
        ),
        Err(_) => "no permission to look into its folder".to_owned(),
    };
    Problem::new(
        &id::PERMISSION,
        file,
        "",
        &found,
        "a file that this user may read",
    )
    .hint("change its mode or owner, or copy it")
}

#[cfg(not(unix))]
pub(crate) fn no_permission(_path: &Path, file: &str) -> Problem {
    Problem::new(
        &id::PERMISSION,
        file,
        "",
        "no permission to read it",
        "a file that this user may read",
    )
    .hint("change its permissions, or copy it")
}

fn missing(path: &Path, file: &str, kind: &Kind) -> Problem {
    let folder = match path.parent() {
        Some(p) if p.as_os_str().is_empty() => Path::new("."),
        Some(p) => p,
        None => Path::new("."),
    };
    let problem = Problem::new(kind.missing, file, "", "no such file", kind.words);
    if !folder.is_dir() {
        return problem.hint(&format!(
            "the folder {} does not exist either",
            quoted(&folder.to_string_lossy())
        ));
    }
    let wanted = path
        .file_name()
        .map(|n| n.to_string_lossy().into_owned())
        .unwrap_or_default();
    match nearest_name(folder, &wanted) {
        Some(name) => problem.hint(&format!(
            "the folder exists; did you mean {}?",
            quoted(&name)
        )),
        None => problem.hint("the folder exists, but holds no file with a similar name"),
    }
}

/// The name in a folder that is closest to the one wanted.
fn nearest_name(folder: &Path, wanted: &str) -> Option<String> {
    let names = fs::read_dir(folder).ok()?.flatten().take(10_000);
    let names = names.map(|entry| entry.file_name().to_string_lossy().into_owned());
    let scored = names.map(|name| {
        (
            strsim::jaro_winkler(&name.to_lowercase(), &wanted.to_lowercase()),
            name,
        )
    });
    let best = scored
        .filter(|(score, _)| *score > 0.85)
        .max_by(|a, b| a.0.total_cmp(&b.0).then_with(|| b.1.cmp(&a.1)));
    best.map(|(_, name)| name)
}

/// Names a scenario inside a folder that was given instead of a file.
fn inside(folder: &Path) -> String {
    let mut names: Vec<_> = fs::read_dir(folder)
        .into_iter()
        .flatten()
        .flatten()
        .take(10_000)
        .map(|e| e.file_name().to_string_lossy().into_owned())
        .filter(|n| n.ends_with(".toml") || n.ends_with(".csv"))
        .collect();
    names.sort();
    match names.first() {
        Some(first) => format!(
            "name a file inside it, for example {}",
            quoted(&folder.join(first).to_string_lossy())
        ),
        None => "name a file; the folder holds none that ends in .toml or .csv".to_owned(),
    }
}
