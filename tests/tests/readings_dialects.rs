//! One lot written in 72 ways: read to identical bits with the right settings, and otherwise refused with the setting that it
//! needs, never silently different. And the line and column of a bad cell, whatever stands before it.

use study::readings::{Cells, Decimal, Dialect, Separator, SetBy, Sheet, Want, read_text};

const WANTS: [Want<'static>; 2] = [Want::Number("diameter"), Want::Number("angle_deg")];

/// Readings that need all their digits.
const LOT: [(&str, f64, f64); 6] = [
    ("A-1", 29.9951, 1.4320961),
    ("A-2", 30.0, -0.25),
    ("A-3", 30.000_000_000_1, 1e-3),
    ("A-4", 29.123_456_789_012_3, 2.0),
    ("A-5", 0.1, 1.431_998),
    ("A-6", 30.3, 1.432_2),
];

/// One way to write a file.
#[derive(Debug, Clone, Copy)]
struct Way {
    end: &'static str,
    bom: bool,
    separator: Separator,
    decimal: Decimal,
    quoted: bool,
}

fn ways() -> Vec<Way> {
    let mut all = vec![];
    for end in ["\n", "\r\n", "\r"] {
        for bom in [false, true] {
            for separator in Separator::ALL {
                for decimal in [Decimal::Point, Decimal::Comma] {
                    for quoted in [false, true] {
                        all.push(Way {
                            end,
                            bom,
                            separator,
                            decimal,
                            quoted,
                        });
                    }
                }
            }
        }
    }
    all
}

fn written(way: Way) -> String {
    let cell = |text: String| {
        if way.quoted {
            format!("\"{text}\"")
        } else {
            text
        }
    };
    let number = |value: f64| {
        let text = format!("{value}");
        cell(match way.decimal {
            Decimal::Point => text,
            Decimal::Comma => text.replace('.', ","),
        })
    };
    let separator = char::from(way.separator.sign()).to_string();
    let mut text = if way.bom {
        "\u{feff}".to_owned()
    } else {
        String::new()
    };
    let head = ["serial", "diameter [mm]", "angle_deg"].map(|h| cell(h.to_owned()));
    text += &(head.join(&separator) + way.end);
    for (serial, diameter, angle) in LOT {
        let row = [cell(serial.to_owned()), number(diameter), number(angle)];
        text += &(row.join(&separator) + way.end);
    }
    text
}

fn read(text: &str, dialect: &Dialect) -> Result<Sheet, String> {
    read_text(
        "lot.csv",
        text.as_bytes(),
        dialect,
        &SetBy::Options,
        Some(&WANTS),
    )
    .map_err(|p| p.to_string())
}

fn bits(sheet: &Sheet) -> Vec<Vec<u64>> {
    let numbers = sheet.columns.iter().filter_map(|column| column.numbers());
    numbers
        .map(|all| all.iter().map(|v| v.map_or(0, f64::to_bits)).collect())
        .collect()
}

fn expected() -> Vec<Vec<u64>> {
    vec![
        LOT.iter().map(|row| row.1.to_bits()).collect(),
        LOT.iter().map(|row| row.2.to_bits()).collect(),
    ]
}

#[test]
fn seventy_two_ways_are_read_to_identical_bits_or_refused_with_the_setting_they_need() {
    let ways = ways();
    assert_eq!(ways.len(), 72);
    for way in ways {
        let text = written(way);
        let splits =
            way.separator == Separator::Comma && way.decimal == Decimal::Comma && !way.quoted;
        let right = Dialect {
            separator: Some(way.separator),
            decimal: way.decimal,
            ..Dialect::default()
        };
        match read(&text, &right) {
            Ok(sheet) if !splits => assert_eq!(bits(&sheet), expected(), "{way:?}"),
            Ok(_) => panic!("{way:?}: commas that divide cells and values cannot be told apart"),
            Err(_) if splits => {}
            Err(problems) => panic!("{way:?}: {problems}"),
        }
        // With no settings at all, and following the hints until it reads.
        let mut dialect = Dialect::default();
        let mut read_at_last = None;
        for _ in 0..3 {
            match read(&text, &dialect) {
                Ok(sheet) => {
                    assert_eq!(bits(&sheet), expected(), "{way:?} with {dialect:?}");
                    read_at_last = Some(dialect);
                    break;
                }
                Err(problems) => {
                    let hint = problems
                        .lines()
                        .find(|line| line.contains("hint:"))
                        .unwrap_or_default();
                    if splits {
                        assert!(
                            hint.contains("a decimal comma splits the value"),
                            "{way:?}: {problems}"
                        );
                        break;
                    }
                    if hint.contains("--separator semicolon") {
                        dialect.separator = Some(Separator::Semicolon);
                    }
                    if hint.contains("--separator tab") {
                        dialect.separator = Some(Separator::Tab);
                    }
                    if hint.contains("--decimal ,") {
                        dialect.decimal = Decimal::Comma;
                    }
                }
            }
        }
        assert!(
            splits || read_at_last.is_some(),
            "{way:?}: the hints do not lead anywhere"
        );
    }
}

/// Numbers of a simple generator, so that the cases are the same every time.
struct Lcg(u64);

impl Lcg {
    fn below(&mut self, n: usize) -> usize {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) as usize) % n
    }
}

#[test]
fn line_and_column_of_a_bad_cell_are_exact_in_ten_thousand_files() {
    let mut random = Lcg(7);
    for case in 0..10_000 {
        let end = ["\n", "\r\n", "\r"][random.below(3)];
        let mut text = if random.below(2) == 0 {
            "\u{feff}".to_owned()
        } else {
            String::new()
        };
        let mut line = 1;
        let blank = |text: &mut String, line: &mut usize, random: &mut Lcg| {
            for _ in 0..random.below(3) {
                *text += end;
                *line += 1;
            }
        };
        blank(&mut text, &mut line, &mut random);
        text += &format!("note,µ reading [mm],x{end}");
        line += 1;
        let (rows, bad_row) = (1 + random.below(6), random.below(6));
        let bad_row = bad_row.min(rows - 1);
        let mut place = (0, 0);
        for row in 0..rows {
            blank(&mut text, &mut line, &mut random);
            let note = match random.below(4) {
                0 => "plain".to_owned(),
                1 => "µµ ö".to_owned(),
                2 => "\"a, \"\"b\"\"\"".to_owned(),
                _ => {
                    // A line end inside quotes.
                    let note = format!("\"one{end}two\"");
                    text += &note;
                    line += 1;
                    String::new()
                }
            };
            let before = if note.is_empty() {
                "two\"".chars().count()
            } else {
                note.chars().count()
            };
            text += &note;
            let pad = " ".repeat(random.below(3));
            let cell = if row == bad_row {
                ["2.5x", "\u{2212}1", "=1+1"][random.below(3)]
            } else {
                "2.5"
            };
            if row == bad_row {
                place = (line, before + 1 + pad.len() + 1);
            }
            text += &format!(",{pad}{cell},1{end}");
            line += 1;
        }
        let problems = read_text(
            "r.csv",
            text.as_bytes(),
            &Dialect::default(),
            &SetBy::Options,
            Some(&[Want::Number("µ reading")]),
        )
        .expect_err("one bad cell");
        assert_eq!(problems.list.len(), 1, "case {case}: {problems}\n{text:?}");
        assert_eq!(
            problems.list[0].place,
            Some(place),
            "case {case}: {problems}\n{text:?}"
        );
    }
}

#[test]
fn random_bytes_are_read_or_refused_and_never_more() {
    let mut random = Lcg(11);
    let pieces: [&[u8]; 20] = [
        b"a",
        b"1.5",
        b",",
        b";",
        b"\t",
        b"\"",
        b"\"\"",
        b"\n",
        b"\r\n",
        b"\r",
        b" ",
        b"\xb5",
        b"\xef\xbb\xbf",
        b"\0",
        b"sep=;",
        b"name",
        b"[mm]",
        b"1e999",
        b"#N/A",
        b"\xff\xfe",
    ];
    for _ in 0..50_000 {
        let mut bytes = vec![];
        for _ in 0..random.below(24) {
            bytes.extend_from_slice(pieces[random.below(pieces.len())]);
        }
        let dialect = Dialect {
            separator: [
                None,
                Some(Separator::Comma),
                Some(Separator::Semicolon),
                Some(Separator::Tab),
            ][random.below(4)],
            decimal: [Decimal::Point, Decimal::Comma][random.below(2)],
            skip_rows: random.below(3),
            ..Dialect::default()
        };
        match read_text("r.csv", &bytes, &dialect, &SetBy::Options, None) {
            Err(problems) => {
                assert!(!problems.list.is_empty() && [4, 5, 8].contains(&problems.exit_code))
            }
            Ok(sheet) => {
                assert!(sheet.rows > 0 && !sheet.columns.is_empty());
                for column in &sheet.columns {
                    let len = match &column.cells {
                        Cells::Numbers(all) => all.len(),
                        Cells::Text(all) => all.len(),
                        Cells::NotRead => sheet.rows,
                    };
                    assert_eq!(len, sheet.rows);
                }
            }
        }
    }
}
