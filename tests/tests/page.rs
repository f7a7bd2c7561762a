//! The page as it is handed over: one file that stands alone, shows every text as text and never says more
//! than the record does.

#[path = "../../crates/report/tests/fixture/mod.rs"]
mod fixture;

#[path = "page/fields.rs"]
mod fields;

use std::collections::BTreeSet;

use record::Record;
use report::{Rendered, render};
use study::RunOptions;

use fields::FIELDS;

fn rendered() -> Vec<(&'static str, Record, Rendered)> {
    fixture::all()
        .into_iter()
        .map(|(name, record)| {
            let rendered = render(&record).unwrap_or_else(|e| panic!("{name}: {e}"));
            (name, record, rendered)
        })
        .collect()
}

/// Pages of what the program really finds in the committed scenarios.
fn really_run() -> Vec<(&'static str, Record, Rendered)> {
    let names = [
        "pump-impeller",
        "fan-hub-gap-left",
        "winch-drum-mixed",
        "nine-normals",
    ];
    let few = [("run.pairings", "4000")];
    names
        .into_iter()
        .map(|name| {
            let loaded = acceptance::scenario(name, &few);
            let record = acceptance::run(&loaded, &RunOptions::threads(1));
            let rendered = render(&record).unwrap_or_else(|e| panic!("{name}: {e}"));
            (name, record, rendered)
        })
        .collect()
}

fn known(name: &str) -> Record {
    let found = fixture::all().into_iter().find(|r| r.0 == name);
    found.unwrap_or_else(|| panic!("no record {name}")).1
}

/// The page as XML: it is written so that it is both.
fn tree(html: &str) -> roxmltree::Document<'_> {
    let options = roxmltree::ParsingOptions {
        allow_dtd: true,
        ..Default::default()
    };
    roxmltree::Document::parse_with_options(html, options).unwrap_or_else(|e| panic!("{e}"))
}

/// Names of all elements with the names of their attributes, in order.
fn skeleton(html: &str) -> Vec<String> {
    tree(html)
        .descendants()
        .filter(|n| n.is_element())
        .map(|n| {
            let attributes: Vec<&str> = n.attributes().map(|a| a.name()).collect();
            format!("{} {}", n.tag_name().name(), attributes.join(" "))
        })
        .collect()
}

/// All words that a reader can see, with the space between number and unit made plain.
fn words(html: &str) -> String {
    let document = tree(html);
    let is_seen =
        |n: &roxmltree::Node| n.is_text() && !n.ancestors().any(|a| a.has_tag_name("style"));
    let seen: Vec<&str> = document
        .descendants()
        .filter(is_seen)
        .filter_map(|n| n.text())
        .collect();
    seen.join(" ").replace(['\u{A0}', '\u{202F}'], " ")
}

#[test]
fn scenarios_of_the_repository_give_the_whole_page() {
    for (name, record, page) in really_run() {
        let sections: Vec<String> = tree(&page.html)
            .descendants()
            .filter(|n| n.has_tag_name("h2"))
            .filter_map(|n| n.text().map(str::to_owned))
            .collect();
        // Eight sections every page has; the rest only where joints have play or a mechanism is used.
        let always = [
            "Answer",
            "The joint",
            "Where joints seat",
            "What the torque buys",
            "Why joints are rejected",
            "How capable",
            "What was assumed of the parts",
            "How this was computed",
        ];
        for heading in always {
            assert!(
                sections.iter().any(|s| s == heading),
                "{name}: no {heading} in {sections:?}"
            );
        }
        assert!(page.charts.len() >= 6, "{name}: {}", page.charts.len());
        let seen = words(&page.html);
        let good = format!("{} of 4 000 pairings", thousands(record.yield_.good));
        assert!(seen.contains(&good), "{name}: {good}");
        for phrase in ["NaN", "not a number", " 0 ppm", "± 0", "does not say why"] {
            assert!(!seen.contains(phrase), "{name}: {phrase}");
        }
        let again = render(&record).expect("drawable");
        assert!(page == again, "{name}: rendered twice");
    }
}

/// A whole number under a million as the page writes it, with plain spaces.
fn thousands(n: u64) -> String {
    match (n / 1000, n % 1000) {
        (0, rest) => rest.to_string(),
        (whole, rest) => format!("{whole} {rest:03}"),
    }
}

#[test]
fn page_is_balanced_and_asks_for_nothing() {
    let forbidden = [
        "script", "link", "iframe", "object", "embed", "img", "image", "use", "base", "form", "a",
    ];
    for (name, _, page) in rendered() {
        let document = tree(&page.html);
        for node in document.descendants().filter(|n| n.is_element()) {
            let tag = node.tag_name().name();
            assert!(!forbidden.contains(&tag), "{name}: <{tag}>");
            for attribute in node.attributes() {
                let (key, value) = (attribute.name(), attribute.value());
                assert!(
                    !key.starts_with("on") && !["src", "href", "srcset"].contains(&key),
                    "{name}: {key}"
                );
                assert!(!value.contains("//"), "{name}: {key}={value}");
            }
        }
        let style = |n: &roxmltree::Node| n.has_tag_name("style");
        let styles: String = document
            .descendants()
            .filter(style)
            .filter_map(|n| n.text())
            .collect();
        assert!(
            !styles.contains("url(") && !styles.contains("@import"),
            "{name}"
        );
        let policy = document
            .descendants()
            .find(|n| n.attribute("http-equiv") == Some("Content-Security-Policy"));
        let content = policy
            .and_then(|n| n.attribute("content"))
            .unwrap_or_default();
        assert_eq!(
            content, "default-src 'none'; style-src 'unsafe-inline'; img-src data:",
            "{name}"
        );
    }
}

#[test]
fn identifiers_are_unique_and_labels_point_at_one() {
    for (name, _, page) in rendered() {
        let document = tree(&page.html);
        let mut seen = BTreeSet::new();
        for id in document.descendants().filter_map(|n| n.attribute("id")) {
            assert!(seen.insert(id), "{name}: {id} twice");
        }
        for labels in document
            .descendants()
            .filter_map(|n| n.attribute("aria-labelledby"))
        {
            assert!(
                labels.split(' ').all(|id| seen.contains(id)),
                "{name}: {labels}"
            );
        }
    }
}

#[test]
fn same_record_gives_same_bytes_also_after_a_round_trip() {
    for (name, record, first) in rendered() {
        assert!(
            first == render(&record).expect("drawable"),
            "{name}: rendered twice"
        );
        let read = Record::from_json(&record.to_json()).unwrap_or_else(|e| panic!("{name}: {e}"));
        assert!(
            first == render(&read).expect("drawable"),
            "{name}: after a round trip"
        );
    }
}

#[test]
fn page_and_charts_are_small() {
    for (name, _, page) in rendered() {
        assert!(
            page.html.len() < 1_000_000,
            "{name}: {} bytes",
            page.html.len()
        );
        for chart in &page.charts {
            assert!(
                chart.svg.len() < 300_000,
                "{name}: {} {}",
                chart.file_name,
                chart.svg.len()
            );
        }
    }
}

#[test]
fn every_chart_file_is_xml_and_has_a_plain_name() {
    for (name, _, page) in rendered() {
        let mut names = BTreeSet::new();
        for chart in &page.charts {
            let file = &chart.file_name;
            roxmltree::Document::parse(&chart.svg)
                .unwrap_or_else(|e| panic!("{name}: {file}: {e}"));
            let plain = file.strip_suffix(".svg").expect("an SVG file");
            assert!(
                plain.chars().all(|c| c.is_ascii_lowercase() || c == '-'),
                "{name}: {file}"
            );
            assert!(names.insert(file), "{name}: {file} twice");
            assert!(
                !chart.svg.contains("<script") && !chart.svg.contains("href="),
                "{name}: {file}"
            );
        }
    }
}

#[test]
fn nothing_seen_is_never_said_as_zero_nor_all_as_certain() {
    let wrong = [
        " 0 ppm",
        "± 0",
        "(0 to 0)",
        " 0 in a million",
        "100 % (100 %",
        "Yield: 100 %",
        "NaN",
        "not a number",
    ];
    for (name, record, page) in rendered() {
        let words = words(&page.html);
        for phrase in wrong {
            assert!(!words.contains(phrase), "{name}: {phrase}");
        }
        if record.yield_.good == record.yield_.pairings {
            assert!(
                words.contains("fewer than"),
                "{name}: no bound for what was not seen"
            );
        }
    }
}

#[test]
fn a_bound_comes_from_the_interval_of_the_record() {
    let mut record = known("all-good");
    record.yield_.low = 1.0 - 0.000_123;
    let page = render(&record).expect("drawable");
    assert!(words(&page.html).contains("fewer than 130 in a million are bad (95 %)"));
}

#[test]
fn counts_of_the_sentence_add_up_to_a_thousand() {
    for (name, record, page) in rendered() {
        let seen = words(&page.html);
        let Some((_, rest)) = seen.split_once("Of 1 000 joints, ") else {
            continue;
        };
        let lead = rest.split("  ").next().unwrap_or_default();
        let sentence: String = lead.split(". ").take(2).collect::<Vec<_>>().join(", ");
        let first = |part: &str| {
            part.trim()
                .split(' ')
                .next()
                .and_then(|n| n.parse::<u64>().ok())
        };
        let total: u64 = sentence.split(", ").filter_map(first).sum();
        if record.yield_.good > 0 && name != "hostile" {
            assert_eq!(total, 1000, "{name}: {sentence}");
        }
    }
}

#[test]
fn no_heading_is_empty_and_order_is_that_of_the_meeting() {
    let order = [
        "Answer",
        "The joint",
        "Where joints seat",
        "What the torque buys",
        "Why joints are rejected",
        "How loose the joints are that are not right",
        "Grip and bolt",
        "Grip, bolt and teeth",
        "After assembly",
        "From lot to lot",
        "Inspection and scrap",
        "How capable",
        "What was assumed of the parts",
        "How this was computed",
    ];
    for (name, _, page) in rendered() {
        let document = tree(&page.html);
        let mut last = 0;
        for section in document.descendants().filter(|n| n.has_tag_name("section")) {
            let children: Vec<_> = section.children().filter(|n| n.is_element()).collect();
            assert!(children.len() > 1, "{name}: an empty section");
            let heading = children[0].text().unwrap_or_default();
            let place = order.iter().position(|h| *h == heading);
            let place = place.unwrap_or_else(|| panic!("{name}: {heading}"));
            assert!(place >= last, "{name}: {heading} comes late");
            last = place;
        }
        assert_eq!(last, order.len() - 1, "{name}: the method is missing");
    }
}

/// Every text field gets every hostile text in turn; the tree must equal that of the harmless run.
#[test]
fn hostile_texts_change_no_tag() {
    // A longer text may wrap into more lines; nothing else may differ.
    let kept = |html: &str| -> Vec<String> {
        let line =
            |e: &String| e.starts_with("text ") || e.starts_with("br") || e.starts_with("bdi");
        skeleton(html).into_iter().filter(|e| !line(e)).collect()
    };
    let mut tried = 0;
    for (field, set) in FIELDS {
        let mut record = fixture::impeller();
        set(&mut record, "harmless");
        let harmless = kept(&render(&record).expect("drawable").html);
        for text in &fixture::hostile_texts() {
            set(&mut record, text);
            let page = render(&record).expect("drawable");
            assert!(
                harmless == kept(&page.html),
                "{field}: {text:?} changes the tree"
            );
            assert!(
                !page.html.contains("<script") && !page.html.contains("<img"),
                "{field}: {text:?}"
            );
            for bad in ['\u{202E}', '\u{1}', '\u{1b}', '\u{FFFE}', '\u{2028}'] {
                let mut all = page
                    .charts
                    .iter()
                    .map(|c| c.svg.as_str())
                    .chain([page.html.as_str()]);
                assert!(
                    all.all(|t| !t.contains(bad)),
                    "{field}: {text:?} leaves {bad:?}"
                );
            }
            tried += 1;
        }
    }
    assert!(tried >= 100, "{tried} payloads");
}

#[test]
fn spreadsheet_gets_no_live_cell() {
    let live = [
        '=', '+', '-', '@', '\t', '\r', '\n', '\0', '＝', '＋', '－', '＠',
    ];
    for (name, _, page) in rendered() {
        let mut reader = csv::Reader::from_reader(page.summary_csv.as_bytes());
        for row in reader.records() {
            let row = row.unwrap_or_else(|e| panic!("{name}: {e}"));
            assert_eq!(row.len(), 7, "{name}");
            for cell in &row {
                assert!(
                    !cell.starts_with(live) || cell.parse::<f64>().is_ok(),
                    "{name}: {cell:?}"
                );
            }
        }
    }
}

#[test]
fn summary_holds_the_numbers_of_the_record() {
    let record = fixture::impeller();
    let page = render(&record).expect("drawable");
    let find = |section: &str, item: &str, field: &str| {
        let mut reader = csv::Reader::from_reader(page.summary_csv.as_bytes());
        let is_it = |r: &csv::StringRecord| &r[0] == section && &r[1] == item && &r[2] == field;
        reader
            .records()
            .flatten()
            .find(is_it)
            .unwrap_or_else(|| panic!("{section} {item} {field}"))
    };
    let number = |text: &str| text.parse::<f64>().expect("a number");
    let good = find("yield", "good", "fraction");
    assert_eq!(number(&good[3]), record.yield_.fraction);
    assert_eq!(
        (number(&good[5]), number(&good[6])),
        (record.yield_.low, record.yield_.high)
    );
    let first = &record.rejects[0];
    assert_eq!(
        find("reject", &first.mode, "count")[3],
        first.count.to_string()
    );
    let clamp = record
        .output("clamp_load")
        .and_then(|o| o.ppk_percentile)
        .expect("judged");
    assert_eq!(
        number(&find("output", "clamp_load", "Ppk percentile")[3]),
        clamp.value
    );
}
