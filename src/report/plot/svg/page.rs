//! Elements of an SVG document, written one after the other. Everything that comes from outside is escaped here and nowhere else.

use std::fmt::Write as _;

use super::hex;
use crate::report::phrases::said;
use crate::report::plot::model::{Ink, Marker};

pub(super) struct Page {
    text: String,
}

/// How a stroke is drawn.
#[derive(Clone, Copy)]
pub(super) struct Pen {
    pub(super) colour: &'static str,
    pub(super) wide: f64,
    /// The lengths of strokes and gaps; empty for none.
    pub(super) dash: &'static str,
}

impl Pen {
    pub(super) const fn plain(colour: &'static str, wide: f64) -> Self {
        Self { colour, wide, dash: "" }
    }

    fn attributes(self) -> String {
        let dash = if self.dash.is_empty() { String::new() } else { format!(" stroke-dasharray=\"{}\"", self.dash) };
        format!("stroke=\"{}\" stroke-width=\"{}\"{dash}", self.colour, number(self.wide))
    }
}

/// One line of text in which nothing is markup. The two signs that no XML document may hold become U+FFFD.
pub(super) fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in said(text).chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            '\u{FFFE}' | '\u{FFFF}' => out.push('\u{FFFD}'),
            c => out.push(c),
        }
    }
    out
}

/// A length with one decimal at most.
pub(super) fn number(value: f64) -> String {
    let text = format!("{value:.1}");
    let text = text.strip_suffix(".0").unwrap_or(&text);
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

impl Page {
    pub(super) fn new(title: &str, describe: &str, wide: f64, high: f64) -> Self {
        let (w, h) = (number(wide), number(high));
        let mut page = Self { text: String::new() };
        let title = escaped(title);
        page.line(&format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}\" height=\"{h}\" viewBox=\"0 0 {w} {h}\" role=\"img\" \
             aria-label=\"{title}\" font-family=\"sans-serif\" lang=\"en\">"
        ));
        page.line(&format!("<title>{title}</title>"));
        page.line(&format!("<desc>{}</desc>", escaped(describe)));
        page.line(&format!("<rect width=\"{w}\" height=\"{h}\" fill=\"#ffffff\"/>"));
        page
    }

    fn line(&mut self, text: &str) {
        self.text.push_str(text);
        self.text.push('\n');
    }

    pub(super) fn finish(mut self) -> String {
        self.line("</svg>");
        self.text
    }

    pub(super) fn words(&mut self, x: f64, y: f64, text: &str, size: f64, ink: Ink, anchor: &str) {
        let bold = if matches!(ink, Ink::Title | Ink::Bad | Ink::Mark) { " font-weight=\"bold\"" } else { "" };
        let anchor = if anchor == "start" { String::new() } else { format!(" text-anchor=\"{anchor}\"") };
        let (x, y, size) = (number(x), number(y), number(size));
        let colour = hex(ink);
        self.line(&format!(
            "<text x=\"{x}\" y=\"{y}\" font-size=\"{size}\" fill=\"{colour}\"{bold}{anchor}>{}</text>",
            escaped(text)
        ));
    }

    pub(super) fn stroke(&mut self, from: (f64, f64), to: (f64, f64), pen: Pen) {
        let [x1, y1, x2, y2] = [from.0, from.1, to.0, to.1].map(number);
        self.line(&format!("<line x1=\"{x1}\" y1=\"{y1}\" x2=\"{x2}\" y2=\"{y2}\" {}/>", pen.attributes()));
    }

    pub(super) fn path(&mut self, points: &[(f64, f64)], pen: Pen) {
        let d = Self::through(points);
        self.line(&format!("<path d=\"{d}\" fill=\"none\" stroke-linejoin=\"round\" {}/>", pen.attributes()));
    }

    pub(super) fn area(&mut self, points: &[(f64, f64)], colour: &str, opacity: f64) {
        let d = Self::through(points);
        self.line(&format!("<path d=\"{d}Z\" fill=\"{colour}\" fill-opacity=\"{opacity}\"/>"));
    }

    fn through(points: &[(f64, f64)]) -> String {
        let mut d = String::new();
        for (n, (x, y)) in points.iter().enumerate() {
            let _ = write!(d, "{}{} {}", if n == 0 { "M" } else { "L" }, number(*x), number(*y));
        }
        d
    }

    pub(super) fn rect(&mut self, x: f64, y: f64, wide: f64, high: f64, fill: &str) {
        let [x, y, w, h] = [x, y, wide.max(0.0), high.max(0.0)].map(number);
        self.line(&format!("<rect x=\"{x}\" y=\"{y}\" width=\"{w}\" height=\"{h}\" fill=\"{fill}\"/>"));
    }

    /// A ground that lets what lies behind shine through a little.
    pub(super) fn ground(&mut self, x: f64, y: f64, wide: f64, high: f64) {
        let [x, y, w, h] = [x, y, wide.max(0.0), high.max(0.0)].map(number);
        self.line(&format!(
            "<rect x=\"{x}\" y=\"{y}\" width=\"{w}\" height=\"{h}\" fill=\"#ffffff\" fill-opacity=\"0.8\"/>"
        ));
    }

    /// A marker about `r` from its middle to its edge, on a thin white ground that parts it from what lies behind.
    pub(super) fn marker(&mut self, (x, y): (f64, f64), r: f64, marker: Marker, colour: &str) {
        let at = |dx: f64, dy: f64| format!("{} {}", number(x + dx * r), number(y + dy * r));
        let filled = format!("fill=\"{colour}\" stroke=\"#ffffff\" stroke-width=\"1\"");
        let open = format!("fill=\"#ffffff\" stroke=\"{colour}\" stroke-width=\"1.8\"");
        let bare = format!("fill=\"none\" stroke=\"{colour}\" stroke-width=\"2\"");
        let circle =
            |style: &str| format!("<circle cx=\"{}\" cy=\"{}\" r=\"{}\" {style}/>", number(x), number(y), number(r));
        let polygon = |corners: &[(f64, f64)], style: &str| {
            let d: Vec<String> = corners.iter().map(|(a, b)| at(*a, *b)).collect();
            format!("<path d=\"M{}Z\" {style}/>", d.join("L"))
        };
        let text = match marker {
            Marker::Ring => circle(&open),
            Marker::Disc => circle(&filled),
            Marker::Diamond => polygon(&[(0.0, -1.3), (1.3, 0.0), (0.0, 1.3), (-1.3, 0.0)], &filled),
            Marker::Square => polygon(&[(-0.9, -0.9), (0.9, -0.9), (0.9, 0.9), (-0.9, 0.9)], &open),
            Marker::Triangle => polygon(&[(0.0, -1.2), (1.2, 1.0), (-1.2, 1.0)], &filled),
            Marker::Onward => polygon(&[(1.4, 0.0), (-0.8, 1.2), (-0.8, -1.2)], &filled),
            Marker::Before => polygon(&[(-1.4, 0.0), (0.8, 1.2), (0.8, -1.2)], &filled),
            Marker::Cross => {
                let d = format!("M{}L{}M{}L{}", at(-1.0, -1.0), at(1.0, 1.0), at(-1.0, 1.0), at(1.0, -1.0));
                format!("<path d=\"{d}\" {bare}/>")
            }
            Marker::Opens => {
                let d = format!("M{}L{}L{}L{}", at(0.8, -1.3), at(0.0, -1.3), at(0.0, 1.3), at(0.8, 1.3));
                format!("<path d=\"{d}\" {bare}/>")
            }
            Marker::Closes => {
                let d = format!("M{}L{}L{}L{}", at(-0.8, -1.3), at(0.0, -1.3), at(0.0, 1.3), at(-0.8, 1.3));
                format!("<path d=\"{d}\" {bare}/>")
            }
        };
        self.line(&text);
    }
}
