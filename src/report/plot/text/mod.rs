//! A plot as a grid of cells: a screen colours them, a command prints them.

mod canvas;
mod draw;
mod signs;

pub use canvas::Cell;
pub use signs::Glyphs;

use std::borrow::Cow;

use canvas::Canvas;

use super::model::{Across, Data, Ink, Plot, Scale};
use super::shape::folded;
use crate::report::lines::{ascii, cut, width, wrap};
use crate::report::phrases::{said, sentence};

/// The fewest columns that a plot is drawn in.
pub const LEAST_COLUMNS: usize = 30;
/// The fewest lines that a plot is drawn in.
pub const LEAST_ROWS: usize = 8;

/// A plot in cells.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TextPlot {
    /// The lines, each of as many cells as columns were asked for; at most as many lines as were asked for.
    pub rows: Vec<Vec<Cell>>,
    /// Notes that had no room: to be told elsewhere.
    pub left_out: Vec<String>,
}

impl TextPlot {
    /// The lines as text, without blanks at their ends.
    #[must_use]
    pub fn lines(&self) -> Vec<String> {
        let line = |cells: &Vec<Cell>| cells.iter().map(|c| c.glyph.as_str()).collect::<String>().trim_end().to_owned();
        self.rows.iter().map(line).collect()
    }

    /// The lines as stretches of one ink.
    #[must_use]
    pub fn runs(&self) -> Vec<Vec<(String, Ink)>> {
        let line = |cells: &Vec<Cell>| {
            let mut runs: Vec<(String, Ink)> = Vec::new();
            for cell in cells {
                match runs.last_mut() {
                    Some((text, ink)) if *ink == cell.ink => text.push_str(&cell.glyph),
                    _ => runs.push((cell.glyph.clone(), cell.ink)),
                }
            }
            runs
        };
        self.rows.iter().map(line).collect()
    }
}

/// The plot in at most `columns` columns and `rows` lines. Below [`LEAST_COLUMNS`] or [`LEAST_ROWS`] it says in words that there
/// is no room. Rows of a plot of rows that do not fit are drawn over one another in the last.
#[must_use]
pub fn text(plot: &Plot, columns: usize, rows: usize, glyphs: Glyphs) -> TextPlot {
    if columns < LEAST_COLUMNS || rows < LEAST_ROWS {
        return too_small(plot, columns, rows, glyphs);
    }
    let (plot, plan) = fitting(plot, columns, rows, glyphs);
    let plot = &*plot;
    let mut canvas = Canvas::new(columns, plan.all_rows());
    canvas.write(0, 0, &plan.words(&plot.title, columns), Ink::Title);
    for (n, line) in plan.key.iter().enumerate() {
        let mut at = 0;
        for (text, ink) in line {
            at += canvas.write(at, 1 + n, text, *ink);
        }
    }
    for label in &plan.labels {
        canvas.write(label.column, (plan.top + label.lane).saturating_sub(plan.lanes), &label.text, label.ink);
    }
    draw::frame(&mut canvas, plot, &plan);
    draw::inside(&mut canvas, plot, &plan);
    let below = plan.top + plan.high + 2;
    if plan.x_label {
        let label = plan.words(&plot.x.label, columns.saturating_sub(plan.left));
        let room = plan.wide.saturating_sub(width(&label));
        canvas.write(plan.left + room / 2, below, &label, Ink::Text);
    }
    for (n, line) in plan.notes.iter().enumerate() {
        canvas.write(0, below + usize::from(plan.x_label) + n, line, Ink::Faint);
    }
    TextPlot { rows: canvas.into_rows(), left_out: plan.left_out }
}

fn too_small(plot: &Plot, columns: usize, rows: usize, glyphs: Glyphs) -> TextPlot {
    let told = format!(
        "{}: no room for the plot, which needs {LEAST_COLUMNS} columns and {LEAST_ROWS} lines",
        shown(&plot.title, glyphs)
    );
    let lines = if columns == 0 { Vec::new() } else { wrap(&told, columns) };
    let mut canvas = Canvas::new(columns, lines.len().min(rows));
    for (n, line) in lines.iter().enumerate() {
        canvas.write(0, n, line, Ink::Text);
    }
    TextPlot { rows: canvas.into_rows(), left_out: plot.note.clone() }
}

/// Text as it may stand on the grid.
fn shown(text: &str, glyphs: Glyphs) -> String {
    let text = said(text);
    if glyphs.is_ascii() { ascii(&text) } else { text }
}

/// A label above the plot.
struct Label {
    column: usize,
    lane: usize,
    text: String,
    ink: Ink,
}

/// Where everything stands.
struct Plan {
    glyphs: Glyphs,
    /// The first line and column inside the axes, and how much there is.
    top: usize,
    left: usize,
    wide: usize,
    high: usize,
    /// Columns for words behind rows, and whether there is room for what else is to be said there.
    word: usize,
    more: usize,
    key: Vec<Vec<(String, Ink)>>,
    lanes: usize,
    labels: Vec<Label>,
    x_label: bool,
    notes: Vec<String>,
    left_out: Vec<String>,
    /// The most ticks along `y`.
    y_ticks: usize,
}

/// The plot with as many rows as fit, and where everything stands. Every row has a line of its own: what folding adds to the
/// notes may cost a line, so it is tried until that holds.
fn fitting(plot: &Plot, columns: usize, rows: usize, glyphs: Glyphs) -> (Cow<'_, Plot>, Plan) {
    let mut most = plot.rows.len().max(1);
    loop {
        let fewer = folded(plot, most);
        let plan = Plan::new(&fewer, columns, rows, glyphs);
        if most == 1 || plan.high >= fewer.rows.len() || plot.y.scale != Scale::Rows {
            return (fewer, plan);
        }
        most = plan.high.clamp(1, most - 1);
    }
}

impl Plan {
    fn new(plot: &Plot, columns: usize, rows: usize, glyphs: Glyphs) -> Self {
        let by_rows = plot.y.scale == Scale::Rows;
        let y_ticks = (rows / 4).clamp(2, 10);
        let widest = |texts: &mut dyn Iterator<Item = String>| texts.map(|t| width(&t)).max().unwrap_or(0);
        let said = |text: &str| shown(text, glyphs);
        let (left, word, more) = if by_rows {
            let label = widest(&mut plot.rows.iter().map(|r| said(&r.label))).min(columns * 7 / 20);
            let word = widest(&mut plot.rows.iter().map(|r| said(&r.word))).min(columns * 3 / 10);
            let more = widest(&mut plot.rows.iter().map(|r| said(&r.more)));
            let rest = columns.saturating_sub(label + word + 4);
            let fits = more > 0 && rest >= more + 1 + (columns * 2 / 5).max(24);
            (label + 2, word, if fits { more + 1 } else { 0 })
        } else {
            // Figures that no plot should hold are cut before they take the plot's place.
            let figures = widest(&mut plot.y.ticks(y_ticks).iter().map(|t| t.text.clone()));
            (figures.min(columns / 3) + 2, 0, 0)
        };
        let behind = if word + more > 0 { word + more + 1 } else { 0 };
        let wide = columns.saturating_sub(left + behind + usize::from(!by_rows)).max(8);
        let mut plan = Self {
            glyphs,
            top: 0,
            left,
            wide,
            high: 0,
            word,
            more,
            key: key(plot, columns, glyphs),
            lanes: 0,
            labels: Vec::new(),
            x_label: !plot.x.label.is_empty(),
            notes: Vec::new(),
            left_out: Vec::new(),
            y_ticks,
        };
        plan.place_labels(plot, columns);
        plan.share_out(plot, columns, rows);
        plan
    }

    /// Gives the lines to the parts: the plot has what it needs, then the notes from the first on, then the key.
    fn share_out(&mut self, plot: &Plot, columns: usize, rows: usize) {
        let by_rows = plot.y.scale == Scale::Rows;
        let wanted = if by_rows { plot.rows.len().max(1) } else { usize::MAX };
        let least = if by_rows { wanted.min(rows / 3).max(1) } else { rows / 3 };
        let fixed = |plan: &Self| 3 + plan.key.len() + plan.lanes + usize::from(plan.x_label);
        while self.key.len() > 1 && fixed(self) + least > rows {
            self.key.pop();
        }
        if fixed(self) + least > rows {
            self.x_label = false;
        }
        if fixed(self) + least > rows {
            self.key.clear();
        }
        let mut room = rows.saturating_sub(fixed(self) + least);
        for note in &plot.note {
            let lines = wrap(&shown(&sentence(note), self.glyphs), columns);
            if self.left_out.is_empty() && lines.len() <= room {
                room -= lines.len();
                self.notes.extend(lines);
            } else {
                self.left_out.push(note.clone());
            }
        }
        self.high = rows.saturating_sub(fixed(self) + self.notes.len()).min(wanted).max(1);
        self.top = 1 + self.key.len() + self.lanes;
    }

    fn all_rows(&self) -> usize {
        self.top + self.high + 2 + usize::from(self.x_label) + self.notes.len()
    }

    /// Text as it may stand on the grid, cut to some columns.
    fn words(&self, text: &str, columns: usize) -> String {
        let text = shown(text, self.glyphs);
        if width(&text) <= columns {
            return text;
        }
        let dots = self.glyphs.ellipsis();
        let start = cut(&text, columns.saturating_sub(width(dots)));
        cut(&format!("{}{dots}", start.trim_end()), columns)
    }

    /// The column of a fraction to the right.
    fn column(&self, right: f64) -> usize {
        self.left + cells(right, self.wide * 2) / 2
    }

    /// The line of a fraction down. Lines and columns follow the dots of braille, of which a cell has four by two, so that what
    /// is drawn in dots and what is drawn in signs lie together. A row's middle lies at (n + ½) of all: whole part, not nearest.
    fn line(&self, down: f64, by_rows: bool) -> usize {
        if by_rows {
            let high = f64::from(u32::try_from(self.high).unwrap_or(u32::MAX));
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "between 0 and the rows")]
            let at = (down.clamp(0.0, 1.0) * high).floor() as usize;
            return self.top + at.min(self.high.saturating_sub(1));
        }
        self.top + cells(down, self.high * 4) / 4
    }

    /// The labels of the axis that runs up, of limits and of bands: over the plot, in as many lines as it takes.
    fn place_labels(&mut self, plot: &Plot, columns: usize) {
        let mut wanted: Vec<(usize, String, Ink)> = Vec::new();
        for limit in plot.limits.iter().filter(|l| l.across == Across::X) {
            if let Some(at) = plot.x.inside(limit.at) {
                wanted.push((self.column(at), self.words(&limit.label, columns), Ink::Limit));
            }
        }
        let by_rows = plot.y.scale == Scale::Rows;
        for band in plot.bands.iter().filter(|b| b.across == Across::X && !b.label.is_empty()) {
            if let (Some(a), Some(b)) = (plot.x.place(band.from), plot.x.place(band.to)) {
                let label = self.words(&band.label, columns);
                let (from, to) = (self.column(a.clamp(0.0, 1.0)), self.column(b.clamp(0.0, 1.0)));
                // In a band too narrow for it, it ends before the far edge, where another label may begin.
                let half = width(&label) / 2;
                let middle = if by_rows && to < from + width(&label) + 4 {
                    to.saturating_sub(half + 3)
                } else {
                    from.midpoint(to)
                };
                wanted.push((middle, label, Ink::Faint));
            }
        }
        wanted.sort_by_key(|(middle, ..)| *middle);
        let y_label = self.words(&plot.y.label, columns);
        let mut taken: Vec<(usize, usize, usize)> = Vec::new();
        if !y_label.is_empty() {
            taken.push((0, 0, width(&y_label)));
            self.labels.push(Label { column: 0, lane: 0, text: y_label, ink: Ink::Text });
        }
        for (middle, text, ink) in wanted {
            let wide = width(&text);
            let last = columns.saturating_sub(wide);
            // Over the line where there is room, else beside it, else in a lane above.
            let starts =
                [middle.saturating_sub(wide / 2), middle, (middle + 1).saturating_sub(wide)].map(|s| s.min(last));
            let free = |lane: usize, start: usize| {
                taken.iter().all(|(l, a, b)| *l != lane || start > b + 1 || start + wide + 1 < *a)
            };
            let places = (0..=taken.len()).flat_map(|lane| starts.map(|start| (lane, start)));
            let place = places.into_iter().find(|(lane, start)| free(*lane, *start));
            let (lane, column) = place.unwrap_or((taken.len(), last));
            taken.push((lane, column, column + wide));
            self.labels.push(Label { column, lane, text, ink });
        }
        self.lanes = taken.iter().map(|(lane, ..)| lane + 1).max().unwrap_or(0);
    }
}

/// A fraction as one of `n` cells.
fn cells(fraction: f64, n: usize) -> usize {
    let last = n.saturating_sub(1);
    let span = f64::from(u32::try_from(last).unwrap_or(u32::MAX));
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "held between 0 and the last cell")]
    let at = (fraction.clamp(0.0, 1.0) * span).round() as usize;
    at.min(last)
}

/// The key in lines: what each series looks like and what it is. None for a single line, which the title names.
fn key(plot: &Plot, columns: usize, glyphs: Glyphs) -> Vec<Vec<(String, Ink)>> {
    let single = plot.series.iter().filter(|s| !matches!(s.data, Data::Points(..))).count() < 2;
    let mut lines: Vec<Vec<(String, Ink)>> = Vec::new();
    let mut used = 0;
    for (n, series) in plot.series.iter().enumerate() {
        let swatch = match &series.data {
            Data::Points(marker, _) => glyphs.marker(*marker).to_string(),
            _ if single => continue,
            Data::Line(_) => draw::line_swatch(n, plot.series.len(), glyphs),
            Data::Steps { .. } => {
                let along = glyphs.stair(n).along;
                let middle = signs::tag(n, plot.series.len()).unwrap_or(along);
                [along, middle, along].iter().collect()
            }
            Data::Spans(_) => glyphs.span().to_string().repeat(2),
        };
        let name = shown(&series.name, glyphs);
        if name.is_empty() {
            continue;
        }
        let name = format!(" {}", cut(&name, columns.saturating_sub(5)));
        let wide = width(&swatch) + width(&name);
        match lines.last_mut() {
            Some(line) if used + 3 + wide <= columns => {
                line.extend([("   ".to_owned(), Ink::Text), (swatch, series.ink), (name, Ink::Text)]);
                used += 3 + wide;
            }
            _ => {
                lines.push(vec![(swatch, series.ink), (name, Ink::Text)]);
                used = wide;
            }
        }
    }
    lines
}
