//! A folder name from any scenario name: lower-case letters, digits, dashes, whatever was typed.

use sha2::{Digest, Sha256};

/// Longest slug without its hash.
const LONGEST: usize = 64;

/// Names that some systems keep for devices.
const RESERVED: [&str; 6] = ["con", "prn", "aux", "nul", "com", "lpt"];

/// The folder name for a scenario name.
///
/// Letters become lower case; blanks, dots and underscores become dashes. Where more than that is lost,
/// the first eight digits of the name's SHA-256 are put behind, so that two odd names stay apart.
pub fn slug(name: &str) -> String {
    let mut slug = String::new();
    let mut lossy = false;
    for c in name.chars() {
        match c.to_ascii_lowercase() {
            c @ ('a'..='z' | '0'..='9') => slug.push(c),
            '-' | '_' | ' ' | '.' => slug.push('-'),
            _ => {
                lossy = true;
                slug.push('-');
            }
        }
    }
    let joined = slug
        .split('-')
        .filter(|part| !part.is_empty())
        .collect::<Vec<_>>()
        .join("-");
    // A name that begins or ends with a separator is odd too.
    lossy |=
        joined.is_empty() || joined.len() > LONGEST || slug.starts_with('-') || slug.ends_with('-');
    lossy |= reserved(&joined);
    if !lossy {
        return joined;
    }
    let short: String = joined.chars().take(LONGEST).collect();
    let digest = Sha256::digest(name.as_bytes());
    let hash: String = digest
        .iter()
        .take(4)
        .map(|byte| format!("{byte:02x}"))
        .collect();
    match short.trim_matches('-') {
        "" => format!("scenario-{hash}"),
        short => format!("{short}-{hash}"),
    }
}

/// `con`, `nul-csv` (from `NUL.csv`), `com1` …
fn reserved(slug: &str) -> bool {
    let first = slug.split('-').next().unwrap_or(slug);
    RESERVED.contains(&first.trim_end_matches(|c: char| c.is_ascii_digit()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_clean_name_is_kept() {
        assert_eq!(slug("pump-impeller"), "pump-impeller");
        assert_eq!(slug("Winch_Drum 2"), "winch-drum-2");
        assert_eq!(slug("fan.v2"), "fan-v2");
    }

    #[test]
    fn a_hostile_name_stays_one_plain_folder_name() {
        let long = "x".repeat(300);
        let names = [
            "",
            ".",
            "..",
            "../../x",
            "/etc/passwd",
            "C:\\x",
            "CON",
            "NUL.csv",
            "com1",
            "x.",
            " x ",
            "🦀",
            "泵轮",
            "a\0b",
            "a\nb",
            "\u{202e}gpj",
            "=1+1",
            "<script>",
            "-rf",
            "~",
            "$(id)",
            &long,
        ];
        for name in names {
            let slug = slug(name);
            assert!(
                !slug.is_empty() && slug.len() <= LONGEST + 9,
                "{name:?}: {slug}"
            );
            assert!(
                slug.bytes()
                    .all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-'),
                "{name:?}: {slug}"
            );
            assert!(
                !slug.starts_with('-') && slug.rsplit('-').next().is_some_and(|h| h.len() == 8)
            );
        }
    }

    #[test]
    fn odd_names_stay_apart() {
        assert_ne!(slug("泵"), slug("轮"));
        assert_ne!(slug("../x"), slug("x"));
    }
}
