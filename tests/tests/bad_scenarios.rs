//! Bad scenarios and bad files of parts: one file per fault in `bad/`, the message a person gets beside it.
//!
//! `NAME.toml` is read as a scenario. `NAME.set` holds overrides of the good scenario, one a line. `NAME.csv` holds
//! parts for the good scenario. With the environment variable `UPDATE_GOLDEN=1` the `.txt` files are written anew: read
//! every changed one before it is committed.

use std::fs;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use study::record::Override;
use study::{Loaded, PairOptions, Problems};

/// A good scenario, to be spoiled.
const GOOD: &str = include_str!("../bad/good.toml");

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("bad")
}

fn good() -> Loaded {
    Loaded::from_text("good.toml", "good", GOOD, &[]).unwrap_or_else(|p| panic!("{p}"))
}

fn problems(file: &str) -> Result<(), Problems> {
    let path = folder().join(file);
    if file.ends_with(".csv") {
        let options = PairOptions {
            parts: Some(&path),
            ..PairOptions::default()
        };
        return study::pair(&good(), &options).map(|_| ());
    }
    if file.ends_with(".set") {
        return Loaded::from_text("good.toml", "good", GOOD, &overrides(&path)).map(|_| ());
    }
    Loaded::from_file(&path, &[]).map(|_| ())
}

/// Exit code and message of a file, with the folder left out of the text.
fn message(file: &str) -> String {
    match problems(file) {
        Ok(()) => format!("{file} was read without a problem"),
        Err(problems) => {
            let folder = format!("{}/", folder().display());
            format!(
                "exit {}\n{}\n",
                problems.exit_code,
                problems.to_string().replace(&folder, "")
            )
        }
    }
}

fn overrides(path: &Path) -> Vec<Override> {
    let text = fs::read_to_string(path).unwrap();
    let pair = |line: &str| {
        let (path, value) = line.split_once('=').unwrap();
        Override {
            path: path.to_owned(),
            value: value.to_owned(),
        }
    };
    text.lines().filter(|l| !l.is_empty()).map(pair).collect()
}

/// Names of the files with an ending, sorted; without the good ones.
fn files(endings: &[&str]) -> Vec<String> {
    let names = fs::read_dir(folder())
        .unwrap()
        .map(|e| e.unwrap().file_name().into_string().unwrap());
    let wanted =
        |n: &String| !n.starts_with("good") && endings.iter().any(|ending| n.ends_with(ending));
    let mut names: Vec<_> = names.filter(wanted).collect();
    names.sort();
    names
}

#[test]
fn pinned_message_of_every_bad_file() {
    let files = files(&[".toml", ".set", ".csv"]);
    let mut wrong = Vec::new();
    for file in &files {
        let text = message(file);
        let expected = folder().join(file).with_extension("txt");
        if std::env::var_os("UPDATE_GOLDEN").is_some() {
            fs::write(&expected, &text).unwrap();
        }
        let expected = fs::read_to_string(&expected).unwrap_or_default();
        if text != expected {
            wrong.push(format!("{file}: expected\n{expected}\ngot\n{text}"));
        }
    }
    assert!(
        wrong.is_empty(),
        "{} of {} differ\n\n{}",
        wrong.len(),
        files.len(),
        wrong.join("\n\n")
    );
    assert!(files.len() >= 290, "only {} bad files", files.len());
}

#[test]
fn every_message_is_short_and_names_place_found_expected_state_id_and_exit_code() {
    for file in files(&[".txt"]) {
        let text = fs::read_to_string(folder().join(&file)).unwrap();
        let (exit, text) = text.split_once('\n').unwrap();
        let last = format!("{exit})");
        let mut lines = 0;
        for line in text.lines() {
            lines += 1;
            if line.ends_with(&last) {
                assert!(
                    line.starts_with("  nothing was run, no file was written ("),
                    "{file}: {line}"
                );
                assert!(lines <= 8, "{file}: a message of {lines} lines");
                lines = 0;
            }
        }
        assert!(
            text.contains(": found ") && text.contains("\n  expected: "),
            "{file}"
        );
        assert!(
            text.chars().all(|c| c == '\n' || !c.is_control()),
            "{file}: control characters"
        );
    }
}

#[test]
fn the_good_scenario_reads_with_every_line_end_and_mark_to_the_same_hash() {
    let base = good().hash;
    for text in [
        GOOD.replace('\n', "\r\n"),
        format!("\u{feff}{GOOD}"),
        GOOD.replace(" = ", "="),
    ] {
        let loaded =
            Loaded::from_text("good.toml", "good", &text, &[]).unwrap_or_else(|p| panic!("{p}"));
        let notes = loaded.scenario.subject.notes.unwrap_or_default();
        assert_eq!(notes.trim(), "Sizes and processes are invented.");
        if !text.contains('\r') {
            assert_eq!(loaded.hash, base);
        }
    }
}

#[test]
fn values_come_out_in_the_units_of_the_inside() {
    let s = good().scenario;
    assert_eq!(s.run.pairings, 100_000);
    assert_eq!((s.run.confidence, s.run.target_yield), (0.95, Some(0.995)));
    let d = &s.cones().unwrap().shaft.gauge_diameter;
    assert_eq!(
        (d.nominal, d.lower, d.upper),
        (25.0, Some(24.987), Some(25.0))
    );
    let sd = 0.013 / (6.0 * 1.33);
    assert!((d.process.sd() - sd).abs() < 1e-14);
    assert!(
        (25.0 - d.process.mean() - 3.0 * 1.1 * sd).abs() < 1e-12,
        "Cpk is met at the upper limit"
    );
    let angle = &s.cones().unwrap().shaft.half_angle;
    assert_eq!(angle.nominal, libm::atan(0.5 / 16.0));
    let minute = std::f64::consts::PI / 10_800.0;
    assert!(
        (angle.upper.unwrap() - angle.nominal - minute).abs() < 1e-15,
        "2 arcmin of the included cone"
    );
    assert!((angle.process.sd() - 0.15 * minute).abs() < 1e-18);
    assert_eq!(s.bolt.torque.nominal, 40_000.0);
    assert_eq!(s.bolt.torque.process.sd(), 1600.0);
    let limit = |name: &str| s.limits.iter().find(|l| l.output.name() == name).unwrap();
    assert_eq!(limit("clamp_load").min, Some(5000.0));
    assert_eq!(limit("closing_torque").max, Some(35.0));
    assert!(
        s.run.outputs.iter().any(|o| o.name() == "bore_stress"),
        "judged outputs are followed"
    );
}

#[test]
fn overrides_act_as_if_they_stood_in_the_file() {
    let set = |path: &str, value: &str| Override {
        path: path.to_owned(),
        value: value.to_owned(),
    };
    let sets = [
        set("bolt.torque.nominal", "44 N*m"),
        set("run.pairings", "1e4"),
        set("hub.gauge_plane", "3.1 mm"),
    ];
    let read =
        Loaded::from_text("good.toml", "good", GOOD, &sets).unwrap_or_else(|p| panic!("{p}"));
    assert_eq!(read.scenario.bolt.torque.nominal, 44_000.0);
    assert_eq!(
        read.scenario.bolt.torque.process.sd(),
        1760.0,
        "4 % of the new nominal"
    );
    assert_eq!(read.scenario.run.pairings, 10_000);
    let edited = GOOD
        .replace("40 N*m", "44 N*m")
        .replace("1e5", "10_000")
        .replace("gauge_plane = \"3 mm\"", "gauge_plane = \"3100 um\"");
    let edited =
        Loaded::from_text("good.toml", "good", &edited, &[]).unwrap_or_else(|p| panic!("{p}"));
    assert_eq!(
        read.scenario.cones().unwrap().hub.gauge_plane.nominal,
        edited.scenario.cones().unwrap().hub.gauge_plane.nominal
    );
    let edited = GOOD
        .replace("40 N*m", "44.0 Nm")
        .replace("1e5", "10_000")
        .replace("gauge_plane = \"3 mm\"", "gauge_plane = \"3.10mm\"");
    let edited =
        Loaded::from_text("good.toml", "good", &edited, &[]).unwrap_or_else(|p| panic!("{p}"));
    assert_eq!(read.hash, edited.hash);
}

#[test]
fn missing_files_folders_and_large_files_are_said_so() {
    let temp = tempfile::tempdir().unwrap();
    let path = |name: &str| temp.path().join(name);
    let text = |name: &str| Loaded::from_file(&path(name), &[]).unwrap_err();
    fs::write(path("impeller.toml"), GOOD).unwrap();
    let missing = text("impelller.toml");
    assert_eq!(missing.exit_code, 3);
    assert!(
        missing
            .to_string()
            .contains("did you mean \"impeller.toml\"?"),
        "{missing}"
    );
    assert!(
        text("no/x.toml")
            .to_string()
            .contains("does not exist either")
    );
    let given = Loaded::from_file(temp.path(), &[]).unwrap_err();
    assert!(
        given.to_string().contains("found a folder") && given.to_string().contains("impeller.toml"),
        "{given}"
    );

    let padded = |size: usize| format!("{GOOD}#{}", "x".repeat(size - GOOD.len() - 1));
    fs::write(path("full.toml"), padded(1 << 20)).unwrap();
    assert!(Loaded::from_file(&path("full.toml"), &[]).is_ok());
    fs::write(path("over.toml"), padded((1 << 20) + 1)).unwrap();
    let over = text("over.toml");
    assert_eq!(over.exit_code, 8);
    assert!(over.to_string().contains("1048577 bytes"), "{over}");
}

/// A file of 2 GB that takes no room on the disk is refused by its size alone.
#[test]
fn a_huge_file_is_refused_before_it_is_read() {
    let temp = tempfile::tempdir().unwrap();
    let path = temp.path().join("huge.toml");
    fs::File::create(&path)
        .unwrap()
        .set_len(2_000_000_000)
        .unwrap();
    let start = Instant::now();
    assert_eq!(Loaded::from_file(&path, &[]).unwrap_err().exit_code, 8);
    assert!(start.elapsed() < Duration::from_millis(200));
}

#[cfg(unix)]
#[test]
fn pipes_are_refused_at_once_and_unreadable_files_name_owner_and_mode() {
    use std::os::unix::fs::PermissionsExt;
    let temp = tempfile::tempdir().unwrap();
    let pipe = temp.path().join("pipe.toml");
    assert!(
        std::process::Command::new("mkfifo")
            .arg(&pipe)
            .status()
            .unwrap()
            .success()
    );
    let refused = Loaded::from_file(&pipe, &[]).unwrap_err();
    assert!(
        refused.to_string().contains("a pipe or device"),
        "{refused}"
    );
    let device = Loaded::from_file(Path::new("/dev/null"), &[]).unwrap_err();
    assert!(device.to_string().contains("a pipe or device"), "{device}");

    let locked = temp.path().join("locked.toml");
    fs::write(&locked, GOOD).unwrap();
    fs::set_permissions(&locked, fs::Permissions::from_mode(0o000)).unwrap();
    // The superuser may read everything; for anyone else the file is closed.
    match Loaded::from_file(&locked, &[]) {
        Ok(_) => assert!(fs::read(&locked).is_ok()),
        Err(problems) => {
            assert_eq!(problems.exit_code, 5);
            assert!(problems.to_string().contains("mode 0"), "{problems}");
        }
    }
}

#[cfg(unix)]
#[test]
fn hostile_file_names_are_shown_escaped() {
    use std::os::unix::ffi::OsStrExt;
    let temp = tempfile::tempdir().unwrap();
    for name in [
        &b"a\x1b[2J\n.toml"[..],
        b"b\xff.toml",
        "c\u{202e}.toml".as_bytes(),
    ] {
        let path = temp.path().join(std::ffi::OsStr::from_bytes(name));
        fs::write(&path, "x = 1\n").unwrap();
        let text = Loaded::from_file(&path, &[]).unwrap_err().to_string();
        assert!(
            text.chars()
                .all(|c| c == '\n' || !(c.is_control() || c == '\u{202e}')),
            "{text:?}"
        );
        fs::write(&path, GOOD).unwrap();
        assert!(Loaded::from_file(&path, &[]).is_ok());
    }
}

#[test]
fn every_planted_error_is_found_in_its_line() {
    let lines: Vec<&str> = GOOD.lines().collect();
    let spoiled = |line: &str| {
        line.starts_with("gauge")
            || line.starts_with("material")
            || line.ends_with(" mm\"")
            || line.starts_with("clamp")
    };
    let planted: Vec<usize> = (0..lines.len()).filter(|&i| spoiled(lines[i])).collect();
    assert!(planted.len() >= 9);
    for count in 1..=planted.len() {
        let mut text: Vec<String> = lines.iter().map(|l| (*l).to_owned()).collect();
        for &i in &planted[..count] {
            text[i] = text[i]
                .replacen(" = ", "x = ", 1)
                .replace("materialx = \"steel\"", "material = \"stone\"");
        }
        let problems = Loaded::from_text("p.toml", "p", &text.join("\n"), &[]).unwrap_err();
        for &i in &planted[..count] {
            assert!(
                problems
                    .list
                    .iter()
                    .any(|p| p.place.is_some_and(|(line, _)| line == i + 1)),
                "line {} of {count} planted\n{problems}",
                i + 1
            );
        }
    }
}

/// The reference names every shape in its table with every key by which the shape describes itself.
#[test]
fn the_reference_of_scenarios_has_a_row_for_every_shape_with_all_its_keys() {
    let page =
        fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("../scenarios/README.md"))
            .unwrap();
    for kind in distributions::KINDS {
        let row = page
            .lines()
            .find(|line| line.starts_with(&format!("| `\"{}\"` |", kind.name)))
            .unwrap_or_else(|| panic!("no row of {}", kind.name));
        let cells: Vec<&str> = row.split('|').collect();
        let extra = kind.by_moments.map_or(&[][..], |way| way.extra);
        let own = kind.by_parameters.map_or(&[][..], |way| way.parameters);
        for parameter in extra.iter().chain(own) {
            assert!(
                cells[2].contains(&format!("`{}`", parameter.key)),
                "{}: {}",
                kind.name,
                parameter.key
            );
        }
        assert_eq!(
            cells[2].trim_start().starts_with('M'),
            kind.by_moments.is_some(),
            "{}",
            kind.name
        );
    }
    for key in [
        "pp",
        "ppk",
        "fills_at_sds",
        "lots",
        "wear",
        "of",
        "class",
        "grade",
        "side",
    ] {
        assert!(page.contains(&format!("`{key}`")), "{key}");
    }
}

/// The reference and the program state the same: its example reads, and it names every output and every material.
#[test]
fn the_reference_of_scenarios_agrees_with_the_reader() {
    let page =
        fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("../scenarios/README.md"))
            .unwrap();
    let example = page
        .rsplit("```toml")
        .next()
        .unwrap()
        .split("```")
        .next()
        .unwrap();
    Loaded::from_text("README.md", "example", example, &[]).unwrap_or_else(|p| panic!("{p}"));
    for output in fit::Output::ALL {
        assert!(
            page.contains(&format!("`{}`", output.name())),
            "{}",
            output.name()
        );
    }
    let rows = page
        .lines()
        .filter_map(|line| line.strip_prefix("| `")?.split_once("` | "));
    let mut materials = 0;
    for (name, rest) in rows {
        let numbers: Vec<f64> = rest
            .split('|')
            .filter_map(|cell| cell.trim().parse().ok())
            .collect();
        let [modulus, poisson, expansion] = numbers[..] else {
            continue;
        };
        let set = [Override {
            path: "shaft.material".to_owned(),
            value: name.to_owned(),
        }];
        let read = Loaded::from_text("README.md", "example", example, &set)
            .unwrap_or_else(|p| panic!("{p}"));
        let material = read.scenario.shaft.material;
        assert_eq!(
            (material.modulus_mpa, material.poisson),
            (1000.0 * modulus, poisson),
            "{name}"
        );
        let read = material.expansion_per_k.expect("known by name");
        assert!((read - 1e-6 * expansion).abs() < 1e-18, "{name}");
        materials += 1;
    }
    assert_eq!(materials, 8);
}
