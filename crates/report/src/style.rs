//! Ink and hues, and the rules that turn them into light, dark and print.

use std::fmt::Write;

use crate::face;

/// Name, on white, on dark. The hues are of nearly equal weight; as text each reaches 4.5:1 on its ground.
const COLOURS: [(&str, &str, &str); 17] = [
    ("paper", "#ffffff", "#15171a"),
    ("ink", "#1b1d20", "#e9eaec"),
    ("muted", "#565a61", "#a9adb4"),
    ("hair", "#c6c9ce", "#43474d"),
    ("good", "#c3cad3", "#5d646e"),
    ("band", "#edf0f3", "#22262b"),
    ("metal", "#f4f5f6", "#1c1f23"),
    ("rust", "#a8401c", "#ef9272"),
    ("ochre", "#7d5a00", "#dcb251"),
    ("blue", "#1f5ea8", "#82b4ee"),
    ("teal", "#006d70", "#5cc5c6"),
    ("violet", "#71409c", "#c49ae6"),
    ("crimson", "#a3215c", "#f08bb4"),
    ("olive", "#4b6714", "#a8c96c"),
    ("slate", "#5b6069", "#b3b8bf"),
    ("window", "#e6efe4", "#20301f"),
    ("edge", "#34652d", "#8fce83"),
];

/// Variables and classes for shapes and text of a chart; the page and every stand-alone chart carry them.
pub fn chart_rules() -> String {
    let mut css = String::from(":root{");
    for (name, light, _) in COLOURS {
        let _ = write!(css, "--{name}:{light};");
    }
    css.push_str("}@media screen and (prefers-color-scheme:dark){:root{");
    for (name, _, dark) in COLOURS {
        let _ = write!(css, "--{name}:{dark};");
    }
    css.push_str("}}\n");
    // Twice, so that a reader without variables still gets the colour on white.
    for (name, light, _) in COLOURS {
        let _ = writeln!(
            css,
            ".f-{name}{{fill:{light};fill:var(--{name},{light})}}\
             .s-{name}{{fill:none;stroke:{light};stroke:var(--{name},{light})}}"
        );
    }
    let _ = writeln!(
        css,
        ".chart text{{font:{size}px {family};font-variant-numeric:tabular-nums;unicode-bidi:isolate}}\
         .chart .bold{{font-weight:700}}\
         .chart .halo{{paint-order:stroke;stroke:#ffffff;stroke:var(--paper,#ffffff);stroke-width:4px;stroke-linejoin:round}}\
         .hairline{{stroke-width:.8}}.line{{stroke-width:1.2}}.heavy{{stroke-width:2.2}}\
         .dash{{stroke-dasharray:7 4}}.dots{{stroke-dasharray:1.5 3.5;stroke-linecap:round}}\
         .chain{{stroke-dasharray:14 3 2 3}}",
        size = face::SIZE,
        family = face::FAMILY,
    );
    css
}

/// Rules of the page itself.
pub const PAGE_RULES: &str = "
html{color-scheme:light dark;background:var(--paper);color:var(--ink);-webkit-text-size-adjust:100%;text-size-adjust:100%}
body{margin:0 auto;padding:28px 16px 48px;max-width:700px;font:14px/1.45 Arial,'Liberation Sans','Helvetica Neue',Helvetica,sans-serif;font-variant-numeric:tabular-nums;overflow-wrap:break-word}
h1{font-size:24px;line-height:1.2;margin:0 0 10px}
h2{font-size:17px;line-height:1.25;margin:44px 0 8px;padding-top:10px;border-top:1px solid var(--ink)}
h3{font-size:14px;margin:24px 0 6px}
p{margin:0 0 8px;max-width:66em}
.lead{font-size:19px;line-height:1.35;margin:0 0 10px}
.small,.small td,.small th{font-size:12px;line-height:1.4}
.muted{color:var(--muted)}
.hash{overflow-wrap:anywhere}
code{font:12.5px/1.5 'Liberation Mono','Courier New',monospace;overflow-wrap:anywhere}
dl.facts{display:grid;grid-template-columns:max-content 1fr;gap:2px 14px;margin:0 0 10px}
dl.facts dt{color:var(--muted)}
dl.facts dd{margin:0}
dl.terms{columns:2;column-gap:28px}
dl.terms div{break-inside:avoid;padding-bottom:6px}
dl.terms dt{font-weight:700}
dl.terms dd{margin:0}
figure{margin:14px 0 20px}
figure svg{display:block;width:100%;height:auto;max-width:700px}
figure .narrow{display:none}
table{border-collapse:collapse;width:100%;margin:8px 0 16px}
th,td{text-align:left;vertical-align:top;padding:5px 10px 5px 0;border-bottom:1px solid var(--hair)}
thead th{border-bottom:1px solid var(--ink);font-weight:400;color:var(--muted);vertical-align:bottom}
tbody th{font-weight:400}
td:last-child,th:last-child{padding-right:0}
.num{text-align:right;white-space:nowrap}
.sub{display:block;color:var(--muted);font-size:12px;font-weight:400}
tbody th{min-width:9.5em;overflow-wrap:anywhere}
td.text{min-width:9.5em;overflow-wrap:anywhere}
td svg{display:block;width:190px;height:auto}
ul,ol{margin:0 0 8px;padding-left:20px}
li{margin:0 0 4px}
.warn{border-left:3px solid var(--rust);padding-left:10px}
@media screen and (max-width:719px){
figure .wide{display:none}
figure .narrow{display:block;max-width:440px}
.lead{font-size:17px}
table.stack,table.stack tbody,table.stack tr,table.stack td,table.stack tbody th{display:block}
table.stack thead{position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%)}
table.stack tr{border-bottom:1px solid var(--hair);padding:8px 0}
table.stack td,table.stack tbody th{border:0;padding:1px 0;text-align:left;white-space:normal}
table.stack tbody th{font-weight:700}
table.stack td[data-head]::before{content:attr(data-head) ': ';color:var(--muted)}
table.stack .sub{display:inline;margin-left:4px}
dl.terms{columns:1}
dl.facts{grid-template-columns:1fr;gap:0}
dl.facts dd{margin:0 0 6px}
}
@page{margin:14mm 12mm}
@media print{
html{color-scheme:light;background:#fff;color:#000}
body{padding:0;max-width:none;font-size:10.5pt;line-height:1.36}
h2{margin-top:7mm}
h1,h2,h3{break-after:avoid}
figure,tr,p,li{break-inside:avoid}
td,th{padding-top:3px;padding-bottom:3px}
figure svg{max-width:none}
thead{display:table-header-group}
p{orphans:3;widows:3}
}
";

/// Rules of the pages with wide tables of pairs and rungs: headings and names wrap, numbers do not.
pub const SHEET_RULES: &str = "
table.sheet th,table.sheet td.text{min-width:0;white-space:normal;overflow-wrap:anywhere}
table.sheet thead th{overflow-wrap:normal}
";

#[cfg(test)]
mod tests {
    use super::*;

    fn luminance(hex: &str) -> f64 {
        let channel = |i: usize| {
            let c = f64::from(u8::from_str_radix(&hex[i..i + 2], 16).expect("hex colour")) / 255.0;
            if c <= 0.040_45 {
                c / 12.92
            } else {
                libm::pow((c + 0.055) / 1.055, 2.4)
            }
        };
        0.2126 * channel(1) + 0.7152 * channel(3) + 0.0722 * channel(5)
    }

    fn contrast(a: &str, b: &str) -> f64 {
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    #[test]
    fn every_colour_of_text_reaches_four_and_a_half_to_one() {
        let grounds = ["paper", "band", "window", "metal"];
        let find = |name: &str| COLOURS.iter().find(|c| c.0 == name).expect("known colour");
        for (name, light, dark) in COLOURS {
            if grounds.contains(&name) || ["hair", "good"].contains(&name) {
                continue;
            }
            for ground in grounds {
                let (_, on_light, on_dark) = find(ground);
                assert!(
                    contrast(light, on_light) >= 4.5,
                    "{name} on {ground}: {}",
                    contrast(light, on_light)
                );
                assert!(
                    contrast(dark, on_dark) >= 4.5,
                    "{name} on dark {ground}: {}",
                    contrast(dark, on_dark)
                );
            }
        }
    }

    #[test]
    fn hues_are_of_nearly_equal_weight() {
        let hues = [
            "rust", "ochre", "blue", "teal", "violet", "crimson", "olive",
        ];
        for (name, light, _) in COLOURS.iter().filter(|c| hues.contains(&c.0)) {
            let weight = contrast(light, "#ffffff");
            assert!((5.0..7.6).contains(&weight), "{name} weighs {weight}");
        }
    }
}
