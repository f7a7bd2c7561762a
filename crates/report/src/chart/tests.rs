//! Claims about every chart of every test record, in both layouts.

use super::*;
use crate::drawing::TextBox;
use crate::fixture;

/// Every picture with the name of its record.
fn pictures() -> Vec<(String, Picture)> {
    let mut pictures = Vec::new();
    for (name, record) in fixture::all() {
        let figures = Figures::draw(&record).expect("every test record can be drawn");
        for figure in figures.all() {
            pictures.push((format!("{name}/{}", figure.name), figure.wide.clone()));
            pictures.push((
                format!("{name}/{}-narrow", figure.name),
                figure.narrow.clone(),
            ));
        }
        for (i, c) in record.characteristics.iter().enumerate() {
            pictures.push((format!("{name}/part-{i}"), density(c, i)));
        }
    }
    pictures.extend(pictures_of_pairs());
    pictures
}

/// Pictures of measured parts and of ladders.
fn pictures_of_pairs() -> Vec<(String, Picture)> {
    let mut figures = Vec::new();
    for (name, matrix) in fixture::matrices() {
        let figure = matrix::figure(&matrix).expect("small enough to be drawn");
        figures.push((format!("matrix {name}"), figure));
    }
    for (name, ladder) in fixture::ladders() {
        let figure = ladder::figure(&ladder).expect("every ladder can be drawn");
        figures.push((format!("ladder {name}"), figure));
    }
    for (name, study) in fixture::lots() {
        for drawn in lot::draw(&study).expect("every study can be drawn") {
            let named = drawn
                .all()
                .map(|f| (format!("lot {name}/{}", f.name), f.clone()));
            figures.extend(named);
        }
    }
    figures
        .into_iter()
        .flat_map(|(name, f)| [(name.clone(), f.wide), (name + "-narrow", f.narrow)])
        .collect()
}

fn overlap(a: &TextBox, b: &TextBox) -> bool {
    let ([l, t, r, bottom], [l2, t2, r2, bottom2]) = (a.sides, b.sides);
    l < r2 && l2 < r && t < bottom2 && t2 < bottom
}

#[test]
fn texts_of_a_chart_do_not_overlap() {
    let mut wrong = Vec::new();
    for (name, picture) in pictures() {
        for (i, a) in picture.texts.iter().enumerate() {
            let others = picture.texts[i + 1..].iter().filter(|b| overlap(a, b));
            wrong.extend(others.map(|b| format!("{name}: {a:?} overlaps {b:?}")));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn texts_stay_inside_the_picture() {
    for (name, picture) in pictures() {
        let [width, height] = picture.size;
        for text in &picture.texts {
            let [left, top, right, bottom] = text.sides;
            let inside =
                left >= -0.5 && top >= -0.5 && right <= width + 0.5 && bottom <= height + 0.5;
            assert!(inside, "{name}: {text:?} leaves {width} by {height}");
        }
    }
}

#[test]
fn every_chart_is_well_formed_and_names_itself() {
    for (name, picture) in pictures() {
        for svg in [&picture.inline, &picture.alone] {
            let document =
                roxmltree::Document::parse(svg).unwrap_or_else(|e| panic!("{name}: {e}"));
            let root = document.root_element();
            assert_eq!(root.attribute("role"), Some("img"), "{name}");
            let labels = root.attribute("aria-labelledby").expect("labelled");
            for id in labels.split(' ') {
                let named = document
                    .descendants()
                    .find(|n| n.attribute("id") == Some(id));
                let text = named.and_then(|n| n.text()).unwrap_or_default();
                assert!(!text.trim().is_empty(), "{name}: {id} says nothing");
            }
        }
    }
}

#[test]
fn every_coordinate_is_a_number() {
    for (name, picture) in pictures() {
        for bad in ["NaN", "inf", "e+", "e300"] {
            assert!(
                !picture.inline.contains(&format!("=\"{bad}")),
                "{name} holds {bad}"
            );
        }
        assert!(!picture.inline.contains("NaN"), "{name}");
    }
}

#[test]
fn every_hatch_that_is_used_is_defined() {
    for (name, picture) in pictures() {
        for part in picture.inline.split("url(#").skip(1) {
            let id = part.split(')').next().unwrap_or_default();
            assert!(
                picture.inline.contains(&format!("<pattern id=\"{id}\"")),
                "{name}: {id}"
            );
        }
    }
}

#[test]
fn pairings_seed_and_interval_stand_on_every_chart() {
    let record = fixture::impeller();
    for figure in Figures::draw(&record).expect("drawable").all() {
        let words: Vec<&str> = figure.wide.texts.iter().map(|t| t.text.as_str()).collect();
        let all = words.join(" ");
        for needed in ["pairings", "seed 7", "95\u{A0}%"] {
            assert!(all.contains(needed), "{}: {needed} is missing", figure.name);
        }
    }
}

#[test]
fn titles_claim_no_more_than_the_intervals_allow() {
    let title = |name: &str, chart: &str| {
        let (_, record) = fixture::all()
            .into_iter()
            .find(|r| r.0 == name)
            .expect("known record");
        let figures = Figures::draw(&record).expect("drawable");
        let figure = figures
            .all()
            .into_iter()
            .find(|f| f.name == chart)
            .expect("drawn")
            .clone();
        let document = roxmltree::Document::parse(&figure.wide.alone).expect("XML");
        document
            .descendants()
            .find(|n| n.has_tag_name("title"))
            .and_then(|n| n.text())
            .unwrap_or_default()
            .to_owned()
    };
    assert!(title("many-causes", "rejects").starts_with("No single cause leads"));
    assert!(title("all-bad", "rejects").starts_with("Most rejects lock on the cone"));
    assert_eq!(title("one-bad", "rejects"), "The one reject: never seats");
    assert!(title("all-good", "field").contains("fewer than 4 in a million bad"));
    assert_eq!(
        title("rare", "field"),
        "Fewer than one joint in a thousand is bad"
    );
    assert_eq!(
        title("all-bad", "torque"),
        "No torque drawn makes a good joint"
    );
    assert_eq!(
        title("all-good", "draw-up"),
        "No draw-up that occurred made a bad joint"
    );
}

#[test]
fn a_matrix_says_what_the_stock_can_do() {
    let title = |name: &str| {
        let found = fixture::matrices().into_iter().find(|m| m.0 == name);
        matrix::title(&found.expect("known matrix").1)
    };
    let (_, ordinary) = fixture::matrices().remove(0);
    let cured = |p: &&record::MatrixPair| p.verdict == "good" || p.remedy.is_some();
    let good = ordinary.pairs.iter().filter(cured).count();
    assert!(
        good > 30 && good < 60,
        "some are good, some are not: {good}"
    );
    assert_eq!(
        title("ordinary"),
        format!("{good} of 60 pairs can be made good with stock spacers in steps of 0.05\u{A0}mm")
    );
    assert_eq!(
        title("all-good"),
        "All 20 pairs can be made good with spacers made to measure"
    );
    assert!(title("one").starts_with("The one pair cannot be made good"));
    assert!(title("rows").ends_with("of 7 pairs are good with the spacer of the same row"));
}

#[test]
fn a_matrix_too_large_to_look_at_is_not_drawn() {
    let (_, mut matrix) = fixture::matrices().remove(0);
    let more = matrix::MOST + 1;
    matrix.shafts = vec!["s".to_owned(); more];
    let row = matrix.pairs[..matrix.hubs.len()].to_vec();
    matrix.pairs = std::iter::repeat_n(row, more).flatten().collect();
    assert!(matrix::figure(&matrix).is_none());
}

#[test]
fn a_ladder_says_when_the_spacer_is_pinched() {
    let title = |name: &str| {
        let found = fixture::ladders().into_iter().find(|m| m.0 == name);
        ladder::title(&found.expect("known ladder").1)
    };
    assert_eq!(
        title("pinched"),
        "The spacer is pinched at 36\u{A0}N·m; each N·m beyond adds 0.417\u{A0}kN of clamp load"
    );
    assert!(title("loose").starts_with("Up to 30\u{A0}N·m the spacer stays loose: 0.025"));
    assert!(title("free").contains("the seat never bears"));
    assert!(title("late").contains("the seat bears from 21.64\u{A0}N·m on"));
    assert!(title("never").starts_with("The hub never seats"));
}
