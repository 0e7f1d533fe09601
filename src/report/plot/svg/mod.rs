//! A plot as SVG: one file that needs no other, without scripts and without fonts of its own. The same plot gives the same bytes.
//! It can be read in black and white: series differ by dash, width and marker, and everything that has a meaning has a word.

mod draw;
mod page;

use page::Page;

use super::colour::hex;
use super::model::{Across, Data, Ink, Plot, Scale};
use super::shape::folded;
use crate::report::lines::{cut, width, wrap};
use crate::report::phrases::{said, sentence};

/// The size of the picture in pixels of CSS (96 to the inch).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SvgSize {
    /// The width; held between 320 and 4000.
    pub width: u32,
    /// The height; held between 240 and 4000, and raised where title, key and notes would leave no room for the plot.
    pub height: u32,
}

impl SvgSize {
    /// The size at which a plot is drawn where nobody asks for another: 720 by 420; with rows as high as they need, up to
    /// a page.
    #[must_use]
    pub fn of(plot: &Plot) -> Self {
        let rows = u32::try_from(plot.rows.len()).unwrap_or(u32::MAX);
        let height =
            if plot.y.scale == Scale::Rows { rows.min(38).saturating_mul(22).saturating_add(170) } else { 420 };
        Self { width: 720, height }
    }
}

/// Pixels of the type.
const TYPE: f64 = 13.0;
const TITLE: f64 = 17.0;
/// How much wider bold type runs.
const BOLD: f64 = 1.1;
/// From one line of type to the next.
const LINE: f64 = 17.0;
/// The least height of the plot between its axes.
const LEAST: f64 = 60.0;
/// Around everything.
const EDGE: f64 = 14.0;

/// The plot as an SVG document. Rows that do not fit are drawn over one another in the last.
#[must_use]
pub fn svg(plot: &Plot, size: &SvgSize) -> String {
    let (wide, high) = (f64::from(size.width.clamp(320, 4000)), f64::from(size.height.clamp(240, 4000)));
    let first = Plan::new(plot, wide, high);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a height of at most 4000 pixels")]
    let fit = (first.high / 15.0).floor().max(1.0) as usize;
    let plot = &*folded(plot, fit);
    let plan = Plan::new(plot, wide, high);
    let mut page = Page::new(&plot.title, &plot.describe, wide, plan.page_high);
    for (n, line) in plan.title.iter().enumerate() {
        page.words(EDGE, EDGE + TITLE + step(n) * (TITLE + 4.0) - 3.0, line, TITLE, Ink::Title, "start");
    }
    draw::all(&mut page, plot, &plan);
    let mut at = plan.top + plan.high + LINE + 8.0;
    if !plot.x.label.is_empty() {
        at += LINE;
        page.words(plan.left + plan.wide / 2.0, at, &plot.x.label, TYPE, Ink::Text, "middle");
    }
    for line in &plan.notes {
        at += LINE;
        page.words(EDGE, at + 4.0, line, TYPE - 1.0, Ink::Faint, "start");
    }
    page.finish()
}

/// The width that a text takes, with some to spare: nobody knows which face it is drawn in.
fn reach(text: &str, size: f64) -> f64 {
    step(width(text)) * size * 0.56
}

/// The columns of type that fit a width.
fn columns(wide: f64, size: f64) -> usize {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a width of at most 4000 pixels")]
    let columns = (wide / (size * 0.56)).floor().max(1.0) as usize;
    columns
}

fn step(n: usize) -> f64 {
    f64::from(u32::try_from(n).unwrap_or(u32::MAX))
}

/// Text of one line, cut with an ellipsis where it is wider than the pixels.
fn fitted(text: &str, wide: f64, size: f64) -> String {
    let text = said(text);
    if reach(&text, size) <= wide {
        return text;
    }
    format!("{}…", cut(&text, columns(wide, size).saturating_sub(1)).trim_end())
}

/// A label above the plot.
struct Label {
    x: f64,
    anchor: &'static str,
    lane: usize,
    text: String,
    ink: Ink,
}

/// An entry of the key: which series, what it is called, where it stands.
struct Entry {
    series: usize,
    name: String,
    x: f64,
    y: f64,
}

/// Where everything stands, in pixels.
struct Plan {
    title: Vec<String>,
    key: Vec<Entry>,
    labels: Vec<Label>,
    lanes: usize,
    top: f64,
    left: f64,
    wide: f64,
    high: f64,
    /// The height of the whole picture: as asked for, or more where the words around the plot need it.
    page_high: f64,
    /// Pixels for the words behind rows, and for what else stands there.
    word: f64,
    more: f64,
    notes: Vec<String>,
    /// The width of the whole picture.
    page: f64,
}

impl Plan {
    fn new(plot: &Plot, wide: f64, high: f64) -> Self {
        let title: Vec<String> =
            wrap(&said(&plot.title), columns((wide - EDGE * 2.0) / BOLD, TITLE)).into_iter().take(3).collect();
        let by_rows = plot.y.scale == Scale::Rows;
        let widest =
            |texts: &mut dyn Iterator<Item = &str>| texts.map(|t| reach(&said(t), TYPE)).fold(0.0_f64, f64::max);
        let (before, word, more) = if by_rows {
            let label = widest(&mut plot.rows.iter().map(|r| r.label.as_str())).min(wide * 0.34);
            let word = (widest(&mut plot.rows.iter().map(|r| r.word.as_str())) * BOLD).min(wide * 0.28);
            let more = widest(&mut plot.rows.iter().map(|r| r.more.as_str()));
            let room = wide - EDGE * 2.0 - label - word;
            (label, word, if more > 0.0 && room > more + wide * 0.3 { more + 10.0 } else { 0.0 })
        } else {
            (plot.y.ticks(10).iter().map(|t| reach(&t.text, TYPE)).fold(0.0_f64, f64::max), 0.0, 0.0)
        };
        let left = EDGE + before + 10.0;
        let behind = if word + more > 0.0 { word + more + 12.0 } else { 6.0 };
        let shaded = plot.series.iter().any(|s| matches!(&s.data, Data::Steps { spread, .. } if !spread.is_empty()));
        let shaded = shaded.then(|| "Shaded: the band of confidence around each curve.".to_owned());
        let room = columns(wide - EDGE * 2.0, TYPE - 1.0);
        let notes = plot.note.iter().chain(&shaded).flat_map(|n| wrap(&said(&sentence(n)), room)).collect();
        let mut plan = Self {
            title,
            key: Vec::new(),
            labels: Vec::new(),
            lanes: 0,
            top: 0.0,
            left,
            wide: (wide - left - behind - EDGE).max(60.0),
            high: 0.0,
            page_high: 0.0,
            word,
            more,
            notes,
            page: wide,
        };
        plan.place_key(plot);
        plan.place_labels(plot);
        let gap = if plot.y.label.is_empty() { 6.0 } else { 14.0 };
        plan.top = plan.key_top() + step(plan.key_lines()) * (LINE + 3.0) + step(plan.lanes) * LINE + gap;
        let below =
            LINE + 8.0 + if plot.x.label.is_empty() { 0.0 } else { LINE } + step(plan.notes.len()) * LINE + EDGE;
        plan.high = (high - plan.top - below).max(LEAST);
        plan.page_high = plan.top + plan.high + below;
        plan
    }

    fn key_top(&self) -> f64 {
        EDGE + step(self.title.len().max(1)) * (TITLE + 4.0) + 4.0
    }

    fn key_lines(&self) -> usize {
        let last = self.key.last().map_or(0.0, |e| e.y - self.key_top());
        let lines = (1..40).find(|n| step(*n) * (LINE + 3.0) > last).unwrap_or(1);
        if self.key.is_empty() { 0 } else { lines }
    }

    fn place_key(&mut self, plot: &Plot) {
        let single = plot.series.iter().filter(|s| !matches!(s.data, Data::Points(..))).count() < 2;
        let (mut x, mut y) = (EDGE, self.key_top());
        for (series, s) in plot.series.iter().enumerate() {
            let pointy = matches!(s.data, Data::Points(..));
            if said(&s.name).is_empty() || (single && !pointy) {
                continue;
            }
            let name = fitted(&s.name, self.page - EDGE * 2.0 - 48.0, TYPE);
            let wide = if pointy { 20.0 } else { 48.0 } + reach(&name, TYPE) + 18.0;
            if x > EDGE && x + wide > self.page - EDGE {
                (x, y) = (EDGE, y + LINE + 3.0);
            }
            self.key.push(Entry { series, name, x, y });
            x += wide;
        }
    }

    /// Labels of limits and of bands between rows stand over the plot, one above the other where they would meet.
    fn place_labels(&mut self, plot: &Plot) {
        let mut wanted: Vec<(f64, String, Ink)> = Vec::new();
        for limit in plot.limits.iter().filter(|l| l.across == Across::X) {
            if let Some(at) = plot.x.inside(limit.at) {
                wanted.push((self.left + at * self.wide, fitted(&limit.label, self.page * 0.6, TYPE), Ink::Limit));
            }
        }
        let by_rows = plot.y.scale == Scale::Rows;
        for band in plot.bands.iter().filter(|b| b.across == Across::X && !b.label.is_empty() && by_rows) {
            if let (Some(a), Some(b)) = (plot.x.place(band.from), plot.x.place(band.to)) {
                let middle = f64::midpoint(a.clamp(0.0, 1.0), b.clamp(0.0, 1.0));
                wanted.push((self.left + middle * self.wide, fitted(&band.label, self.page * 0.6, TYPE), Ink::Faint));
            }
        }
        wanted.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut taken: Vec<(usize, f64, f64)> = Vec::new();
        if !plot.y.label.is_empty() {
            let text = fitted(&plot.y.label, self.page * 0.8, TYPE);
            taken.push((0, EDGE, EDGE + reach(&text, TYPE)));
            self.labels.push(Label { x: EDGE, anchor: "start", lane: 0, text, ink: Ink::Text });
        }
        for (middle, text, ink) in wanted {
            let half = reach(&text, TYPE) / 2.0 + 4.0;
            let inside = |x: f64| x.clamp(EDGE + half, (self.page - EDGE - half).max(EDGE + half));
            // Over the line where there is room, else beside it, else in a lane above.
            let middles = [middle, middle + half - 6.0, middle - half + 6.0].map(inside);
            let free = |lane: usize, x: f64| taken.iter().all(|(l, a, b)| *l != lane || x - half > *b || x + half < *a);
            let places = (0..=taken.len()).flat_map(|lane| middles.map(|x| (lane, x)));
            let place = places.into_iter().find(|(lane, x)| free(*lane, *x));
            let (lane, x) = place.unwrap_or((taken.len(), inside(middle)));
            taken.push((lane, x - half, x + half));
            self.labels.push(Label { x, anchor: "middle", lane, text, ink });
        }
        self.lanes = taken.iter().map(|(lane, ..)| lane + 1).max().unwrap_or(0);
    }
}
