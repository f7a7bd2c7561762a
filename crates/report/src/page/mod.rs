//! The page: one HTML file, in the order in which a meeting reads it.
//!
//! It is written so that it is well-formed XML as well as HTML; no script, nothing fetched.

mod answer;
mod capability;
pub mod doubt;
mod grip;
mod head;
mod inspection;
pub mod ladder;
mod later;
pub mod lot;
mod lot_yields;
pub mod matrix;
mod mechanisms;
mod method;
mod parts;
mod readings;
mod rejects;
mod seat;
mod spread;
mod supply;
mod until;

use record::Record;

use crate::chart::Figures;
use crate::style;
use crate::text::{escape, html, visible};

/// Nothing may be loaded or run; only the style of the page itself counts.
const POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'; img-src data:";

/// Writes the page.
pub fn write(record: &Record, figures: &Figures) -> String {
    let sections = [
        head::write(record),
        answer::write(record, &figures.field),
        joint(figures),
        seat::write(record, figures),
        torque(figures),
        rejects::write(record, figures),
        play(figures),
        grip::write(record),
        later::write(record, figures),
        lot_yields::write(record, figures),
        inspection::write(record),
        capability::write(record, figures),
        parts::write(record),
        method::write(record),
    ];
    document(&title(record), "", &sections)
}

/// A page of sections under a title (not yet safe), with rules of its own beside those of every page.
fn document(title: &str, rules: &str, sections: &[String]) -> String {
    let mut page = String::with_capacity(400_000);
    page.push_str(
        "<!DOCTYPE html>\n<html lang=\"en\" dir=\"ltr\">\n<head>\n<meta charset=\"utf-8\"/>\n",
    );
    page.push_str(&format!(
        "<meta http-equiv=\"Content-Security-Policy\" content=\"{POLICY}\"/>\n"
    ));
    page.push_str("<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n");
    page.push_str("<meta name=\"referrer\" content=\"no-referrer\"/>\n");
    page.push_str(&format!("<title>{}</title>\n", escape(&visible(title))));
    page.push_str(&format!(
        "<style>\n{}{}{rules}</style>\n</head>\n<body>\n",
        style::chart_rules(),
        style::PAGE_RULES
    ));
    page.push_str("<main>\n");
    for section in sections {
        page.push_str(section);
    }
    page.push_str("</main>\n</body>\n</html>\n");
    page
}

/// The title of the scenario, or its name.
fn title(record: &Record) -> String {
    let title = record.subject.title.trim();
    if title.is_empty() {
        record.scenario.name.clone()
    } else {
        title.to_owned()
    }
}

/// A section under a heading; nothing when it has no body.
fn section(heading: &str, body: &str) -> String {
    if body.is_empty() {
        return String::new();
    }
    format!(
        "<section>\n<h2>{}</h2>\n{body}</section>\n",
        escape(heading)
    )
}

/// A paragraph of our own words (already safe).
fn paragraph(markup: &str) -> String {
    format!("<p>{markup}</p>\n")
}

/// The words of a characteristic, safe; its path when the record does not know it.
fn words_of(record: &Record, path: &str) -> String {
    let known = record.characteristics.iter().find(|c| c.path == path);
    html(known.map_or(path, |c| &c.words))
}

/// `a`, `a and b`, `a, b and c`.
fn listed(words: &[String]) -> String {
    match words {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

fn joint(figures: &Figures) -> String {
    section("The joint", &figures.joint.html())
}

fn play(figures: &Figures) -> String {
    section(
        "How loose the joints are that are not right",
        &figures.play.as_ref().map(|f| f.html()).unwrap_or_default(),
    )
}

fn torque(figures: &Figures) -> String {
    section(
        "What the torque buys",
        &figures
            .torque
            .as_ref()
            .map(|f| f.html())
            .unwrap_or_default(),
    )
}

/// One cell of a table, with the heading that a telephone shows before it.
fn cell(heading: &str, class: &str, markup: &str) -> String {
    let class = if class.is_empty() {
        String::new()
    } else {
        format!(" class=\"{class}\"")
    };
    format!("<td{class} data-head=\"{}\">{markup}</td>", escape(heading))
}

/// A table whose first column names the row. Cells are markup.
fn table(caption: &str, heads: &[&str], rows: &[Vec<String>]) -> String {
    let numeric = |i: usize| if i > 0 { "num" } else { "" };
    let mut out = table_head(caption);
    for (i, head) in heads.iter().enumerate() {
        let class = if i > 0 { " class=\"num\"" } else { "" };
        out.push_str(&format!("<th scope=\"col\"{class}>{}</th>", escape(head)));
    }
    out.push_str("</tr></thead>\n<tbody>\n");
    for row in rows {
        out.push_str("<tr>");
        for (i, markup) in row.iter().enumerate() {
            if i == 0 {
                out.push_str(&format!("<th scope=\"row\">{markup}</th>"));
            } else {
                out.push_str(&cell(heads.get(i).unwrap_or(&""), numeric(i), markup));
            }
        }
        out.push_str("</tr>\n");
    }
    out.push_str("</tbody>\n</table>\n");
    out
}

/// A table of names and numbers, each column under its heading and with its class; the first column names the row.
fn sheet(caption: &str, heads: &[(&str, &str)], rows: &[Vec<String>]) -> String {
    let mut out = table_head(caption).replacen("class=\"stack\"", "class=\"stack sheet small\"", 1);
    for (head, class) in heads {
        out.push_str(&format!(
            "<th scope=\"col\" class=\"{class}\">{}</th>",
            escape(head)
        ));
    }
    out.push_str("</tr></thead>\n<tbody>\n");
    for row in rows {
        out.push_str("<tr>");
        for (i, (markup, (head, class))) in row.iter().zip(heads).enumerate() {
            out.push_str(&match i {
                0 => format!("<th scope=\"row\" class=\"{class}\">{markup}</th>"),
                _ => cell(head, class, markup),
            });
        }
        out.push_str("</tr>\n");
    }
    out.push_str("</tbody>\n</table>\n");
    out
}

/// The heading of a table and its opening. A heading keeps with what follows when printed, a caption does not.
fn table_head(caption: &str) -> String {
    let id: String = caption
        .chars()
        .filter(char::is_ascii_alphabetic)
        .take(24)
        .collect();
    format!(
        "<h3 id=\"{id}\">{}</h3>\n<table class=\"stack\" aria-labelledby=\"{id}\">\n<thead><tr>",
        escape(caption)
    )
}

/// A value with what belongs under it in small print.
fn with_small(value: &str, small: &str) -> String {
    if small.is_empty() {
        return value.to_owned();
    }
    format!("{value} <span class=\"sub\">{small}</span>")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture;

    fn page(record: &Record) -> String {
        let figures = Figures::draw(record).expect("charts of a good record");
        write(record, &figures)
    }

    #[test]
    fn sections_of_a_mechanism_stand_only_where_it_is_used() {
        let plain = page(&fixture::impeller());
        let teeth = page(&fixture::spline());
        let later = page(&fixture::in_service());
        for (heading, in_plain, in_teeth, in_later) in [
            ("<h2>Grip, bolt and teeth</h2>", false, true, false),
            ("<h2>Grip and bolt</h2>", false, false, true),
            ("<h2>After assembly</h2>", false, false, true),
            ("Teeth laid flat", false, true, false),
            ("How far the ring law may be trusted", true, false, true),
            ("First touch is an extreme of the teeth", false, true, false),
            ("Settling: faces and threads flatten", false, false, true),
        ] {
            assert_eq!(plain.contains(heading), in_plain, "plain: {heading}");
            assert_eq!(teeth.contains(heading), in_teeth, "teeth: {heading}");
            assert_eq!(later.contains(heading), in_later, "later: {heading}");
        }
    }

    #[test]
    fn lots_inspection_and_readings_stand_only_where_they_are_used() {
        let plain = page(&fixture::impeller());
        let supply = page(&fixture::supply());
        for words in [
            "<h2>From lot to lot</h2>",
            "<h2>Inspection and scrap</h2>",
            "Correlated characteristics",
            "Readings behind the processes",
            "Gaussian copula",
            "Inspection with a gauge lets some bad parts through",
            "Means that move",
            "Doubt of the readings",
            "wide interval",
            "2.10\u{A0}µm</bdi> within, <bdi>2.50\u{A0}µm</bdi> overall",
            "drawing <bdi>h6</bdi>, ",
            "measured from 30 readings, drawn again",
            "Pp, Ppk</span>",
        ] {
            assert!(!plain.contains(words), "plain: {words}");
            assert!(supply.contains(words), "supply: {words}");
        }
    }

    #[test]
    fn the_wide_interval_leads_and_judges_the_target() {
        let mut record = fixture::supply();
        let lead =
            "<strong>Between 93.1\u{A0}% and 99.9\u{A0}% of the joints will be good</strong>";
        for (target, verdict) in [
            (0.93, "Meets the target"),
            (0.95, "Cannot be told against the target"),
            (0.999, "Misses the target"),
        ] {
            record.target_yield = Some(target);
            let page = page(&record);
            let at = |words: &str| page.find(words).unwrap_or_else(|| panic!("{words}"));
            assert!(at(lead) < at("Of 1\u{202F}000 joints"), "{target}");
            assert!(at(verdict) > 0, "{target}");
        }
        for (name, words) in [
            (
                "supply-all-good",
                "<strong>At least 99.72\u{A0}% of the joints",
            ),
            (
                "supply-none-good",
                "<strong>At most 0.40\u{A0}% of the joints",
            ),
            ("supply-few", "<strong>Any share of the joints may be good"),
        ] {
            let known = fixture::all().into_iter().find(|r| r.0 == name);
            let page = page(&known.expect("known record").1);
            assert!(page.contains(words), "{name}");
        }
    }

    #[test]
    fn the_rolled_throughput_is_the_product_that_is_written() {
        let page = page(&fixture::supply());
        let start = page.find("Rolled throughput, <bdi>").map(|i| &page[i..]);
        let sentence = start.and_then(|s| s.split("</p>").next()).expect("written");
        let product = sentence.split(": ").nth(1).expect("a product");
        let (factors, rest) = product.split_once(" = <strong>").expect("a result");
        let number = |text: &str| text.trim().parse::<f64>().expect("number");
        let rolled: f64 = factors.split('×').map(number).product();
        let written = number(rest.split('<').next().unwrap_or_default());
        assert!((rolled - written).abs() < 2e-4, "{sentence}");
    }

    #[test]
    fn what_is_left_out_is_true_for_each_record() {
        assert!(page(&fixture::impeller()).contains("settling, heat and speed in service"));
        assert!(!page(&fixture::in_service()).contains("settling, heat"));
        assert!(!page(&fixture::spline()).contains("errors of the cones"));
    }
}
