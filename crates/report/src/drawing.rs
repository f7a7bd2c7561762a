//! A picture made of lines, areas, marks and text, which remembers where every text stands.

use std::fmt::Write;

use crate::face;
use crate::mark::{self, Mark};
use crate::mode::{Hatch, Mode};
use crate::style;
use crate::text::escape;

/// The two widths every chart is laid out for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Layout {
    /// The column of the page and of print.
    Wide,
    /// A telephone.
    Narrow,
}

impl Layout {
    /// Width of the picture (px).
    pub fn width(self) -> f64 {
        match self {
            Layout::Wide => 700.0,
            Layout::Narrow => 358.0,
        }
    }

    /// Whether this is the narrow one.
    pub fn is_narrow(self) -> bool {
        self == Layout::Narrow
    }
}

/// Blank edge around a chart that stands alone (px).
const MARGIN: f64 = 12.0;

/// Where a text is held.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    /// At its left end.
    Start,
    /// At its middle.
    Middle,
    /// At its right end.
    End,
}

/// The box of one text (px).
#[derive(Debug, Clone, PartialEq)]
pub struct TextBox {
    /// The text.
    pub text: String,
    /// Left, top, right, bottom.
    pub sides: [f64; 4],
}

/// A finished picture.
#[derive(Debug, Clone, PartialEq)]
pub struct Picture {
    /// `<svg>` for the page, without style of its own.
    pub inline: String,
    /// The same as a document that stands alone.
    pub alone: String,
    /// Width and height (px).
    pub size: [f64; 2],
    /// Boxes of all texts.
    pub texts: Vec<TextBox>,
}

/// A picture in the making.
#[derive(Debug)]
pub struct Drawing {
    name: String,
    title: String,
    width: f64,
    defs: String,
    body: String,
    texts: Vec<TextBox>,
    /// Next free line from the top (px).
    pub y: f64,
}

impl Drawing {
    /// A picture without anything on it.
    pub fn blank(name: &str, width: f64, title: &str) -> Drawing {
        Drawing {
            name: name.to_owned(),
            title: title.to_owned(),
            width,
            defs: String::new(),
            body: String::new(),
            texts: Vec::new(),
            y: 0.0,
        }
    }

    /// A chart with its finding as title and what is drawn as subtitle.
    pub fn titled(name: &str, layout: Layout, title: &str, subtitle: &str) -> Drawing {
        let suffix = if layout.is_narrow() { "-narrow" } else { "" };
        let mut drawing = Drawing::blank(&format!("{name}{suffix}"), layout.width(), title);
        drawing.y = 2.0;
        drawing.paragraph(title, "f-ink bold");
        drawing.paragraph(subtitle, "f-muted");
        drawing.y += 8.0;
        drawing
    }

    /// Width of the picture (px).
    pub fn width(&self) -> f64 {
        self.width
    }

    /// Name of the picture, used in the identifiers inside it.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Writes wrapped text at the next free line.
    pub fn paragraph(&mut self, text: &str, class: &str) {
        for line in face::wrap(text, self.width - 2.0, class.contains("bold")) {
            self.y += face::LINE;
            self.text(0.0, self.y - 4.0, Anchor::Start, class, &line);
        }
    }

    /// Adds markup as it is: only for what plotters drew.
    pub fn raw(&mut self, markup: &str) {
        self.body.push_str(markup);
    }

    /// A straight line.
    pub fn line(&mut self, from: [f64; 2], to: [f64; 2], class: &str) {
        let [x1, y1, x2, y2] = [from[0], from[1], to[0], to[1]].map(px);
        let _ = writeln!(
            self.body,
            "<line class=\"{class}\" x1=\"{x1}\" y1=\"{y1}\" x2=\"{x2}\" y2=\"{y2}\"/>"
        );
    }

    /// A rectangle.
    pub fn rect(&mut self, corner: [f64; 2], size: [f64; 2], class: &str) {
        let [x, y, w, h] = [corner[0], corner[1], size[0].max(0.0), size[1].max(0.0)].map(px);
        let _ = writeln!(
            self.body,
            "<rect class=\"{class}\" x=\"{x}\" y=\"{y}\" width=\"{w}\" height=\"{h}\"/>"
        );
    }

    /// A closed area through points, in a class and, if given, a fill of its own.
    pub fn area(&mut self, points: &[[f64; 2]], class: &str, fill: Option<&str>) {
        let corners: Vec<String> = points
            .iter()
            .map(|p| format!("{},{}", px(p[0]), px(p[1])))
            .collect();
        let fill = fill
            .map(|f| format!(" style=\"fill:{f}\""))
            .unwrap_or_default();
        let _ = writeln!(
            self.body,
            "<polygon class=\"{class}\"{fill} points=\"{}\"/>",
            corners.join(" ")
        );
    }

    /// A line through points.
    pub fn polyline(&mut self, points: &[[f64; 2]], class: &str) {
        let corners: Vec<String> = points
            .iter()
            .map(|p| format!("{},{}", px(p[0]), px(p[1])))
            .collect();
        let _ = writeln!(
            self.body,
            "<polyline class=\"{class}\" points=\"{}\"/>",
            corners.join(" ")
        );
    }

    /// Text on one line; `at` is on its baseline.
    pub fn text(&mut self, x: f64, y: f64, anchor: Anchor, class: &str, text: &str) {
        let width = face::width(text, class.contains("bold"));
        let (left, word) = match anchor {
            Anchor::Start => (x, ""),
            Anchor::Middle => (x - width / 2.0, " text-anchor=\"middle\""),
            Anchor::End => (x - width, " text-anchor=\"end\""),
        };
        self.texts.push(TextBox {
            text: text.to_owned(),
            sides: [left, y - face::ASCENT, left + width, y + face::DESCENT],
        });
        let _ = writeln!(
            self.body,
            "<text class=\"{class}\" x=\"{}\" y=\"{}\"{word}>{}</text>",
            px(x),
            px(y),
            escape(text)
        );
    }

    /// Text that reads upwards; it begins at `y`, and its baseline stands at `x`.
    pub fn text_upwards(&mut self, x: f64, y: f64, class: &str, text: &str) {
        let width = face::width(text, class.contains("bold"));
        self.texts.push(TextBox {
            text: text.to_owned(),
            sides: [x - face::ASCENT, y - width, x + face::DESCENT, y],
        });
        let (x, y) = (px(x), px(y));
        let _ = writeln!(
            self.body,
            "<text class=\"{class}\" x=\"{x}\" y=\"{y}\" transform=\"rotate(-90 {x} {y})\">{}</text>",
            escape(text)
        );
    }

    /// Text around `x`, moved so that it stays between `left` and `right`.
    pub fn text_within(
        &mut self,
        x: f64,
        y: f64,
        [left, right]: [f64; 2],
        class: &str,
        text: &str,
    ) {
        let width = face::width(text, class.contains("bold"));
        let start = (x - width / 2.0).min(right - width).max(left);
        self.text(start, y, Anchor::Start, class, text);
    }

    /// The mark of one joint around a centre.
    pub fn mark(&mut self, mark: Mark, centre: [f64; 2], r: f64, hue: &str) {
        self.marks(mark, &[centre], r, hue);
    }

    /// Many marks of one kind as a single path.
    pub fn marks(&mut self, mark: Mark, centres: &[[f64; 2]], r: f64, hue: &str) {
        let path: String = centres
            .iter()
            .map(|c| mark::path(mark, c[0], c[1], r))
            .collect();
        let class = match mark {
            Mark::Ring => format!("s-{hue} line"),
            Mark::Cross | Mark::Plus => format!("s-{hue} heavy"),
            _ => format!("f-{hue}"),
        };
        let _ = writeln!(self.body, "<path class=\"{class}\" d=\"{path}\"/>");
    }

    /// Many small dots of one hue as one short path; dots within two pixels are drawn once.
    pub fn dots(&mut self, centres: &[[f64; 2]], hue: &str) {
        let mut path = String::new();
        let mut seen = std::collections::HashSet::new();
        for [x, y] in centres {
            if seen.insert((libm::round(*x / 2.0) as i64, libm::round(*y / 2.0) as i64)) {
                let _ = write!(path, "M{} {}h0", px(*x), px(*y));
            }
        }
        let _ = writeln!(
            self.body,
            "<path class=\"s-{hue}\" style=\"stroke-width:3.6;stroke-linecap:round\" d=\"{path}\"/>"
        );
    }

    /// Many upright strokes as one short path: place, top and bottom of each.
    pub fn strokes(&mut self, strokes: &[[f64; 3]], class: &str) {
        let path: String = strokes
            .iter()
            .map(|[x, top, bottom]| format!("M{} {}V{}", px(*x), px(*top), px(*bottom)))
            .collect();
        let _ = writeln!(self.body, "<path class=\"{class}\" d=\"{path}\"/>");
    }

    /// Defines the hatch of a mode and gives the fill that uses it.
    pub fn hatch(&mut self, mode: &Mode) -> String {
        self.hatch_lines(&mode.key, [mode.hue, "paper"], mode.hatch)
    }

    /// Defines a hatch in the hue of its lines on the colour of its ground, and gives the fill that uses it.
    pub fn hatch_lines(&mut self, key: &str, [hue, ground]: [&str; 2], hatch: Hatch) -> String {
        let Hatch {
            angle,
            pitch,
            crossed,
        } = hatch;
        let plain: String = key
            .chars()
            .filter(|c| c.is_ascii_alphanumeric() || *c == '_')
            .collect();
        let id = format!("hatch-{}-{plain}", self.name);
        if !self.defs.contains(&format!("\"{id}\"")) {
            let second = if crossed {
                format!(
                    "<line class=\"s-{hue} line\" x1=\"{h}\" y1=\"0\" x2=\"{h}\" y2=\"{pitch}\"/>",
                    h = pitch / 2.0
                )
            } else {
                String::new()
            };
            let _ = writeln!(
                self.defs,
                "<pattern id=\"{id}\" width=\"{pitch}\" height=\"{pitch}\" patternUnits=\"userSpaceOnUse\" \
                 patternTransform=\"rotate({turn})\"><rect class=\"f-{ground}\" width=\"{pitch}\" \
                 height=\"{pitch}\"/><line class=\"s-{hue} line\" x1=\"0\" y1=\"{h}\" x2=\"{pitch}\" y2=\"{h}\"/>{second}</pattern>",
                turn = -angle,
                h = pitch / 2.0,
            );
        }
        format!("url(#{id})")
    }

    /// Finishes the picture: `description` for those who hear it, `note` in small print under the chart.
    pub fn finish(mut self, description: &str, note: &str) -> Picture {
        if !note.is_empty() {
            self.y += 6.0;
            self.paragraph(note, "f-muted");
        }
        let (width, height) = (self.width, self.y + 6.0);
        let name = &self.name;
        let defs = if self.defs.is_empty() {
            String::new()
        } else {
            format!("<defs>{}</defs>\n", self.defs)
        };
        let head = format!(
            "<title id=\"title-{name}\">{}</title>\n<desc id=\"desc-{name}\">{}</desc>\n",
            escape(&self.title),
            escape(description)
        );
        let open = |extra: &str, around: f64| {
            format!(
                "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"chart{extra}\" role=\"img\" \
                 aria-labelledby=\"title-{name} desc-{name}\" viewBox=\"{from} {from} {w} {h}\" width=\"{w}\" height=\"{h}\">\n{head}",
                from = px(-around),
                w = px(width + 2.0 * around),
                h = px(height + 2.0 * around),
            )
        };
        let side = if name.ends_with("-narrow") {
            " narrow"
        } else {
            " wide"
        };
        let ground = format!(
            "<rect class=\"f-paper\" x=\"{from}\" y=\"{from}\" width=\"{}\" height=\"{}\"/>\n",
            px(width + 2.0 * MARGIN),
            px(height + 2.0 * MARGIN),
            from = px(-MARGIN),
        );
        Picture {
            inline: format!("{}{defs}{}</svg>\n", open(side, 0.0), self.body),
            alone: format!(
                "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n{}<style>\n{}</style>\n{defs}{ground}{}</svg>\n",
                open("", MARGIN),
                escape_style(&style::chart_rules()),
                self.body
            ),
            size: [width, height],
            texts: self.texts,
        }
    }
}

/// Moves the middles of labels so that they stand `gap` apart between `low` and `high`, in their order.
pub fn spread(middles: &[f64], gap: f64, low: f64, high: f64) -> Vec<f64> {
    let mut order: Vec<usize> = (0..middles.len()).collect();
    order.sort_by(|&a, &b| middles[a].total_cmp(&middles[b]));
    let mut placed = vec![0.0; middles.len()];
    let mut last = low - gap;
    for &i in &order {
        last = middles[i].max(last + gap);
        placed[i] = last;
    }
    let mut next = high + gap;
    for &i in order.iter().rev() {
        next = placed[i].min(next - gap);
        placed[i] = next;
    }
    placed
}

/// A coordinate with one decimal.
pub fn px(x: f64) -> String {
    let text = format!("{x:.1}");
    let text = text.strip_suffix(".0").unwrap_or(&text);
    if text == "-0" {
        "0".to_owned()
    } else {
        text.to_owned()
    }
}

fn escape_style(css: &str) -> String {
    css.replace('&', "&amp;").replace('<', "&lt;")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_are_spread_without_leaving_their_span() {
        let placed = spread(&[10.0, 11.0, 99.0, 100.0], 18.0, 0.0, 100.0);
        let mut sorted = placed.clone();
        sorted.sort_by(f64::total_cmp);
        assert!(
            sorted.windows(2).all(|w| w[1] - w[0] >= 18.0 - 1e-9),
            "{placed:?}"
        );
        assert!(sorted[0] >= 0.0 && sorted[3] <= 100.0, "{placed:?}");
    }

    #[test]
    fn text_is_escaped_and_its_box_is_kept() {
        let mut drawing = Drawing::blank("t", 100.0, "a<b");
        drawing.text(100.0, 20.0, Anchor::End, "f-ink", "x<y");
        let picture = drawing.finish("c&d", "");
        assert!(
            picture.inline.contains("x&lt;y")
                && picture.inline.contains("a&lt;b")
                && picture.inline.contains("c&amp;d")
        );
        assert!((picture.texts[0].sides[2] - 100.0).abs() < 1e-9);
    }
}
