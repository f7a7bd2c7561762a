//! Whatever stands in a scenario or a file of parts, reading it neither panics nor takes long.

use std::fs;
use std::time::{Duration, Instant};

use proptest::prelude::*;
use study::record::Override;
use study::{Loaded, PairOptions};

/// A good scenario, to be spoiled.
const GOOD: &str = include_str!("../bad/good.toml");

/// Reads a text and checks the time; the outcome does not matter.
fn survives(text: &str) -> Result<(), TestCaseError> {
    let start = Instant::now();
    if let Err(problems) = Loaded::from_text("fuzz.toml", "fuzz", text, &[]) {
        prop_assert!(!problems.list.is_empty());
        let text = problems.to_string();
        prop_assert!(
            text.chars().all(|c| c == '\n' || !c.is_control()),
            "{text:?}"
        );
        prop_assert!([3, 8].contains(&problems.exit_code));
    }
    prop_assert!(
        start.elapsed() < Duration::from_secs(1),
        "{:?}",
        start.elapsed()
    );
    Ok(())
}

/// What a mutation puts in: characters and words that mean something in a scenario.
const PIECES: [&str; 36] = [
    "",
    "\"",
    "'",
    "[",
    "]",
    "{",
    "}",
    "=",
    ".",
    ",",
    "#",
    "\n",
    "\r\n",
    "\r",
    "\\",
    "\"\"\"",
    "'''",
    "-",
    "0",
    "1e309",
    "nan",
    "inf",
    "1:0",
    "0 mm",
    "-1 um",
    "%",
    "\u{2212}",
    "\u{a0}",
    "\u{201c}",
    "\u{0}",
    "\u{feff}",
    "\u{202e}",
    "[hub]",
    "a.b.c = 1\n",
    "sd = \"1 um\"",
    "\\u0000",
];

proptest! {
    #![proptest_config(ProptestConfig { cases: 1500, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn mutated_scenarios_never_panic_and_take_less_than_a_second(
        cuts in prop::collection::vec((0..GOOD.len(), 0..40usize, 0..PIECES.len()), 1..8),
    ) {
        let mut text = GOOD.to_owned();
        for (at, length, piece) in cuts {
            let at = (0..=at.min(text.len())).rev().find(|&i| text.is_char_boundary(i)).unwrap();
            let end = (at + length).min(text.len());
            let end = (0..=end).rev().find(|&i| text.is_char_boundary(i)).unwrap().max(at);
            text.replace_range(at..end, PIECES[piece]);
        }
        survives(&text)?;
    }

    #[test]
    fn arbitrary_text_never_panics(text in "\\PC{0,400}") {
        survives(&text)?;
    }

    #[test]
    fn arbitrary_parts_never_panic(text in "(shaft\\.gauge_diameter \\[mm\\]|name|hub\\.taper|[ ,\"'a-z0-9.:\\n\\[\\]\u{b5}-]){0,60}") {
        let temp = tempfile::NamedTempFile::new().unwrap();
        fs::write(temp.path(), &text).unwrap();
        let good = Loaded::from_text("good.toml", "good", GOOD, &[]).unwrap_or_else(|p| panic!("{p}"));
        let options = PairOptions { parts: Some(temp.path()), ..PairOptions::default() };
        let _ = study::pair(&good, &options);
    }
}

#[test]
fn one_mebibyte_of_anything_is_read_or_refused_within_a_second_and_within_the_stack() {
    let million = |piece: &str| piece.repeat((1 << 20) / piece.len());
    let keys: String = (0..50_000).map(|i| format!("k{i} = {i}\n")).collect();
    let twice: String = (0..60_000).map(|_| "[a]\nb = 1\n").collect();
    let deep = format!("{} = 1\n", vec!["k"; 79].join("."));
    let inline = format!(
        "a = {}1{}\n",
        "{ b.c.d.e.f.g.h.i = ".repeat(40),
        " }".repeat(40)
    );
    for text in [
        million("["),
        million("{"),
        million("a.b.c.d."),
        million("a = "),
        million("\""),
        million("\u{201c}"),
        million("a = 1\n"),
        million("[[a]]\n"),
        million("#"),
        million("x = \"\\u0000\"\n"),
        keys,
        twice,
        million(&deep),
        inline,
        million("a = [1,\n"),
        million("'''\n\"\"\"\n"),
        million("\r"),
        million("[a.b]\n"),
    ] {
        let start = Instant::now();
        let problems = Loaded::from_text("big.toml", "big", &text, &[]).unwrap_err();
        let shown = problems.to_string();
        let head: String = text.chars().take(20).collect();
        assert!(
            start.elapsed() < Duration::from_secs(1),
            "{head:?}: {:?}",
            start.elapsed()
        );
        assert!(shown.len() < 40_000, "{head:?}: {} bytes", shown.len());
    }
}

/// Sizes that no part has are refused, and at the bounds of what is accepted every output stays a finite number.
#[test]
fn no_size_that_is_read_gives_an_output_that_is_not_finite() {
    let sizes = [
        ("shaft.bore_diameter", "mm"),
        ("shaft.gauge_plane.nominal", "mm"),
        ("shaft.gauge_diameter.nominal", "mm"),
        ("shaft.taper.nominal", ""),
        ("hub.outside_diameter", "mm"),
        ("hub.gauge_plane", "mm"),
        ("hub.gauge_diameter", "mm"),
        ("spacer.thickness", "mm"),
        ("spacer.outside_diameter", "mm"),
        ("contact.friction", ""),
        ("contact.smoothing", "mm"),
        ("contact.blue_film", "mm"),
        ("bolt.size", "mm"),
        ("bolt.torque", "N*m"),
        ("bolt.nut_factor", ""),
    ];
    let mut read = 0;
    for (path, unit) in sizes {
        for number in [
            "1e-300", "1e-16", "1e-12", "1e-9", "1e-6", "1e3", "1e6", "1e9", "-1e9", "1e10",
            "1e160", "1e300",
        ] {
            let set = Override {
                path: path.to_owned(),
                value: format!("{number} {unit}").trim().to_owned(),
            };
            let Ok(loaded) =
                Loaded::from_text("good.toml", "good", GOOD, std::slice::from_ref(&set))
            else {
                continue;
            };
            assert!(
                !["1e-300", "1e-16", "1e10", "1e160", "1e300"].contains(&number),
                "{set:?} was read"
            );
            let pairs =
                study::pair(&loaded, &PairOptions::default()).unwrap_or_else(|p| panic!("{p}"));
            for (name, value) in &pairs[0].outputs {
                assert!(value.is_finite(), "{set:?}: {name} is {value}");
            }
            read += 1;
        }
    }
    assert!(read > 40, "only {read} were read");
}
