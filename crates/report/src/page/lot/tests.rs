//! Claims about the page of every study of the fixtures.

use std::collections::BTreeSet;

use super::answer::findings;
use crate::fixture;
use crate::{lot_findings, render_lot};

fn known(name: &str) -> record::LotStudy {
    let found = fixture::lots().into_iter().find(|l| l.0 == name);
    found.unwrap_or_else(|| panic!("no study {name}")).1
}

fn tree(html: &str) -> roxmltree::Document<'_> {
    let options = roxmltree::ParsingOptions {
        allow_dtd: true,
        ..Default::default()
    };
    roxmltree::Document::parse_with_options(html, options).unwrap_or_else(|e| panic!("{e}"))
}

#[test]
fn every_page_is_well_formed_small_and_has_each_identifier_once() {
    for (name, study) in fixture::lots() {
        let page = render_lot(&study).unwrap_or_else(|e| panic!("{name}: {e}"));
        assert!(
            page.html.len() < 1_000_000,
            "{name}: {} bytes",
            page.html.len()
        );
        let tree = tree(&page.html);
        let mut ids = BTreeSet::new();
        for id in tree.descendants().filter_map(|n| n.attribute("id")) {
            assert!(ids.insert(id.to_owned()), "{name}: {id} twice");
        }
        for node in tree.descendants().filter(|n| n.is_element()) {
            let word = node.tag_name().name();
            assert!(
                !["script", "img", "link", "iframe"].contains(&word),
                "{name}: {word}"
            );
            assert!(
                node.attributes().all(|a| !a.name().starts_with("on")),
                "{name}"
            );
            let to = node.attribute("href").or(node.attribute("src"));
            let is_here = |to: &str| to.strip_prefix('#').is_some_and(|id| ids.contains(id));
            assert!(to.is_none_or(is_here), "{name}: {to:?}");
        }
    }
}

#[test]
fn the_same_study_gives_the_same_bytes() {
    for name in ["gear", "gauge", "hostile"] {
        let study = known(name);
        assert_eq!(
            render_lot(&study).expect("drawn"),
            render_lot(&study).expect("drawn")
        );
    }
}

#[test]
fn hostile_texts_change_no_element() {
    let shape = |study: &record::LotStudy| -> Vec<String> {
        let page = render_lot(study).expect("drawn").html;
        let tree = tree(&page);
        let elements = tree.descendants().filter(|n| n.is_element());
        // Wrapped labels and dots that fall together may differ inside a picture.
        let outside = elements.filter(|n| !n.ancestors().any(|a| a.tag_name().name() == "svg"));
        outside.map(|n| n.tag_name().name().to_owned()).collect()
    };
    let mut hostile = known("hostile");
    // Its keys would fall together.
    for c in &mut hostile.characteristics {
        c.capability.iter_mut().for_each(|cap| cap.absent.clear());
    }
    let text = serde_json::to_string(&hostile).expect("written");
    let harmless = fixture::hostile_texts().iter().fold(text, |text, bad| {
        let quoted = serde_json::to_string(bad).expect("written");
        text.replace(&quoted, "\"abc\"")
    });
    let mut plain: record::LotStudy = serde_json::from_str(&harmless).expect("still a study");
    assert_eq!(plain.characteristics[0].name, "abc");
    plain
        .characteristics
        .iter_mut()
        .for_each(|c| c.scenario = hostile.characteristics[0].scenario.clone());
    assert_eq!(shape(&hostile), shape(&plain));
}

#[test]
fn counts_come_first_and_the_bound_is_never_rounded_up() {
    // Indices and bound: published gear diameters, see the fixture.
    let said = findings(&known("gear"));
    assert_eq!(
        said[0],
        "Of 100 parts measured, none lies outside the drawing."
    );
    assert!(
        said.iter()
            .any(|s| s.starts_with("Ppk 0.94 seen on 100 parts demonstrates 0.81:")),
        "{said:?}"
    );
    assert!(
        said.iter()
            .any(|s| s.starts_with("The order shows shifts: the index is not a forecast"))
    );
}

#[test]
fn few_readings_no_spread_and_no_limits_are_said() {
    let all = |name: &str| lot_findings(&known(name)).join(" ");
    assert!(all("tiny").contains("not suitable below 30 values (ISO 22514-3), and here are 4"));
    assert!(!all("gear").contains("ISO 22514-3"));
    assert!(all("constant").contains("No index is given: the readings do not spread."));
    assert!(
        all("no-limits").contains("no drawing limit is stated, so none can be called good or bad")
    );
    assert!(all("bare").contains("width: Nothing was measured."));
    assert!(
        all("outside")
            .starts_with("All 12 parts measured lie outside the drawing, above 0.05\u{A0}mm.")
    );
    assert!(all("outside").contains("The readings are coarse"));
}

#[test]
fn readings_of_a_gauge_study_are_not_called_parts() {
    // Published gauge study: 27.86 % of the total, 4 categories.
    let said = lot_findings(&known("gauge"));
    assert!(said[0].starts_with("Of 90 readings, none"), "{said:?}");
    assert!(
        said.iter()
            .any(|s| s.contains("27.9\u{A0}% of the total spread") && s.contains("4 categories")),
        "{said:?}"
    );
}

#[test]
fn with_many_characteristics_the_first_are_drawn_and_all_stand_in_tables() {
    let mut study = known("many");
    let page = render_lot(&study).expect("drawn");
    let drawn = page.charts.len() / 4;
    assert!(
        (5..=crate::chart::lot::MOST_DRAWN).contains(&drawn),
        "{drawn}"
    );
    let said = format!("Charts are drawn of the first {drawn} of the 40 characteristics");
    assert!(page.html.contains(&said));
    let tables = page.html.matches("What must stand beside every index");
    assert_eq!(tables.count(), 40);
    study.characteristics.truncate(12);
    let page = render_lot(&study).expect("drawn");
    assert_eq!(page.charts.len(), 4 * 12, "twelve are all drawn");
    assert!(!page.html.contains("Charts are drawn of the first"));
}

#[test]
fn one_limit_has_no_two_sided_words() {
    let page = render_lot(&known("form-error")).expect("drawn").html;
    assert!(page.contains("at most 10\u{A0}µm"));
    assert!(!page.contains("lower limit"), "no lower limit is stated");
}

#[test]
fn the_table_has_a_row_for_every_index_and_no_live_formula() {
    for (name, study) in fixture::lots() {
        let csv = render_lot(&study).expect("drawn").summary_csv;
        let mut reader = csv::Reader::from_reader(csv.as_bytes());
        for row in reader.records() {
            let row = row.unwrap_or_else(|e| panic!("{name}: {e}"));
            let live = |field: &str| field.starts_with(['=', '@', '+']);
            assert!(!row.iter().any(live), "{name}: {row:?}");
        }
    }
    let csv = render_lot(&known("gear")).expect("drawn").summary_csv;
    assert!(
        csv.contains("diameter,ppk,0.936469,,0.7901981,1.0816174"),
        "{csv}"
    );
}
