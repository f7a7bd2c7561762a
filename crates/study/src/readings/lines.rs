//! Physical lines of a file, read through a bounded buffer: numbers as an editor shows them, letters decoded.

use std::io::Read;

use sha2::{Digest, Sha256};

use super::dialect::Encoding;
use crate::problem::escape::forbidden_in_xml;

/// Bytes taken from the file at once.
const BUFFER: usize = 64 * 1024;

/// Longest line (bytes).
pub(super) const LONGEST_LINE: usize = 1 << 20;

/// Largest file (bytes).
pub(super) const LARGEST_FILE: u64 = 1 << 30;

/// Why there is no next line.
#[derive(Debug)]
pub(super) enum LineError {
    /// A byte that does not belong to the encoding: line, column, the byte.
    Byte(usize, usize, u8),
    /// A character that no text holds: line, column, the character.
    Character(usize, usize, char),
    /// A line that is too long.
    TooLong(usize),
    /// A file that is too large.
    TooLarge,
    /// The file could not be read.
    Read(std::io::Error),
}

/// Lines of a file, one after the other. LF, CRLF and lone CR end a line.
pub(super) struct LineReader<R> {
    file: R,
    encoding: Encoding,
    buffer: Vec<u8>,
    at: usize,
    ended: bool,
    hash: Sha256,
    bytes: u64,
    line: usize,
}

impl<R: Read> LineReader<R> {
    pub(super) fn new(file: R, encoding: Encoding) -> LineReader<R> {
        LineReader {
            file,
            encoding,
            buffer: Vec::new(),
            at: 0,
            ended: false,
            hash: Sha256::new(),
            bytes: 0,
            line: 0,
        }
    }

    /// The first bytes of the file, for a look at what it is.
    pub(super) fn beginning(&mut self) -> Result<&[u8], LineError> {
        self.more()?;
        Ok(&self.buffer[self.at..])
    }

    /// Number of the line read last, from 1.
    pub(super) fn line(&self) -> usize {
        self.line
    }

    /// Bytes read, and SHA-256 of all of them in hexadecimal; only whole when the file was read to its end.
    pub(super) fn finish(self) -> (u64, String) {
        let digest = self.hash.finalize();
        let hex = digest.iter().map(|byte| format!("{byte:02x}")).collect();
        (self.bytes, hex)
    }

    fn more(&mut self) -> Result<(), LineError> {
        if self.ended {
            return Ok(());
        }
        self.buffer.drain(..self.at);
        self.at = 0;
        let had = self.buffer.len();
        self.buffer.resize(had + BUFFER, 0);
        let read = loop {
            match self.file.read(&mut self.buffer[had..]) {
                Err(error) if error.kind() == std::io::ErrorKind::Interrupted => {}
                other => break other.map_err(LineError::Read)?,
            }
        };
        self.buffer.truncate(had + read);
        self.hash.update(&self.buffer[had..]);
        self.bytes += read as u64;
        self.ended = read == 0;
        if self.bytes > LARGEST_FILE {
            return Err(LineError::TooLarge);
        }
        Ok(())
    }

    /// The next line without its end, `None` at the end of the file. A line end at the very end begins no line.
    pub(super) fn next_line(&mut self) -> Result<Option<String>, LineError> {
        let mut from = self.at;
        let end = loop {
            let found = self.buffer[from..]
                .iter()
                .position(|b| matches!(b, b'\n' | b'\r'));
            if let Some(place) = found {
                break from + place;
            }
            if self.buffer.len() - self.at > LONGEST_LINE {
                return Err(LineError::TooLong(self.line + 1));
            }
            if self.ended {
                break self.buffer.len();
            }
            let scanned = self.buffer.len() - self.at;
            self.more()?;
            from = self.at + scanned;
        };
        if end == self.buffer.len() && end == self.at {
            return Ok(None);
        }
        let length = end - self.at;
        if length > LONGEST_LINE {
            return Err(LineError::TooLong(self.line + 1));
        }
        // A carriage return at the end of the buffer may be followed by a line feed.
        if self.buffer.get(end) == Some(&b'\r') && end + 1 == self.buffer.len() && !self.ended {
            self.more()?;
        }
        let end = self.at + length;
        let bytes = self.buffer[self.at..end].to_vec();
        let ending = match (self.buffer.get(end), self.buffer.get(end + 1)) {
            (Some(b'\r'), Some(b'\n')) => 2,
            (Some(_), _) => 1,
            (None, _) => 0,
        };
        self.at = end + ending;
        self.line += 1;
        self.decoded(bytes).map(Some)
    }

    fn decoded(&self, bytes: Vec<u8>) -> Result<String, LineError> {
        let bytes = match bytes.strip_prefix(b"\xef\xbb\xbf") {
            Some(rest) if self.line == 1 => rest.to_vec(),
            _ => bytes,
        };
        let text = match self.encoding {
            Encoding::Utf8 => String::from_utf8(bytes).map_err(|error| {
                let (good, all) = (error.utf8_error().valid_up_to(), error.as_bytes());
                let before = String::from_utf8_lossy(&all[..good]).chars().count();
                LineError::Byte(self.line, before + 1, all[good])
            })?,
            Encoding::Windows1252 => {
                let mut text = String::with_capacity(bytes.len());
                for (place, byte) in bytes.into_iter().enumerate() {
                    match windows_1252(byte) {
                        Some(c) => text.push(c),
                        None => return Err(LineError::Byte(self.line, place + 1, byte)),
                    }
                }
                text
            }
        };
        match text
            .chars()
            .enumerate()
            .find(|(_, c)| forbidden_in_xml(*c) || *c == '\u{feff}')
        {
            Some((place, c)) => Err(LineError::Character(self.line, place + 1, c)),
            None => Ok(text),
        }
    }
}

/// The character of a byte of Windows-1252; five places have none.
fn windows_1252(byte: u8) -> Option<char> {
    const UPPER: [u16; 32] = [
        0x20ac, 0, 0x201a, 0x192, 0x201e, 0x2026, 0x2020, 0x2021, 0x2c6, 0x2030, 0x160, 0x2039,
        0x152, 0, 0x17d, 0, 0, 0x2018, 0x2019, 0x201c, 0x201d, 0x2022, 0x2013, 0x2014, 0x2dc,
        0x2122, 0x161, 0x203a, 0x153, 0, 0x17e, 0x178,
    ];
    match byte {
        0x80..=0x9f => match UPPER[usize::from(byte - 0x80)] {
            0 => None,
            code => char::from_u32(u32::from(code)),
        },
        _ => Some(char::from(byte)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A file that gives a few bytes at a time.
    struct Slow<'b>(&'b [u8], usize);

    impl Read for Slow<'_> {
        fn read(&mut self, into: &mut [u8]) -> std::io::Result<usize> {
            let n = self.1.min(self.0.len()).min(into.len());
            into[..n].copy_from_slice(&self.0[..n]);
            self.0 = &self.0[n..];
            Ok(n)
        }
    }

    fn lines(bytes: &[u8], step: usize) -> Vec<String> {
        let mut reader = LineReader::new(Slow(bytes, step), Encoding::Utf8);
        let mut all = vec![];
        while let Some(line) = reader.next_line().expect("good lines") {
            all.push(line);
        }
        assert_eq!(reader.line(), all.len());
        assert_eq!(reader.finish().0, bytes.len() as u64);
        all
    }

    #[test]
    fn lines_end_with_any_of_the_three_ends_whatever_arrives_together() {
        let bytes = "\u{feff}a\r\nµb\rc\n\n\r\nd".as_bytes();
        for step in [1, 2, 3, 64] {
            assert_eq!(lines(bytes, step), ["a", "µb", "c", "", "", "d"], "{step}");
        }
        assert_eq!(lines(b"a\n", 1), ["a"]);
        assert_eq!(lines(b"", 1), Vec::<String>::new());
    }

    #[test]
    fn an_endless_line_is_refused_in_little_memory() {
        let mut reader = LineReader::new(std::io::repeat(b'x'), Encoding::Utf8);
        assert!(matches!(reader.next_line(), Err(LineError::TooLong(1))));
        assert!(reader.buffer.len() < LONGEST_LINE + 2 * BUFFER);
    }

    #[test]
    fn letters_of_both_encodings_are_known() {
        let mut reader = LineReader::new(&b"\xb5m \x80\n"[..], Encoding::Windows1252);
        assert_eq!(
            reader.next_line().expect("good").as_deref(),
            Some("µm \u{20ac}")
        );
        let mut reader = LineReader::new(&b"a\xb5m\n"[..], Encoding::Utf8);
        assert!(matches!(
            reader.next_line(),
            Err(LineError::Byte(1, 2, 0xb5))
        ));
    }
}
