//! A sheet: text to read, in rows of styled words, wrapped to the screen's width and scrolled. Some rows may be picked
//! with a cursor. It knows nothing of sites.

use std::ops::Range;

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;

use super::moves::Scroll;
use super::parts;
use crate::tui::chrome::put;
use crate::tui::screen::View;
use crate::tui::text;

/// A word or more with a style.
pub type Words = (String, Style);

#[derive(Debug, Default)]
struct Row {
    words: Vec<Words>,
    pick: Option<usize>,
}

/// A sheet being written, for a width.
#[derive(Debug, Default)]
pub struct Sheet {
    columns: usize,
    rows: Vec<Row>,
    pick: Option<usize>,
    picks: usize,
}

/// The widest a paragraph is set: longer rows are hard to read.
const WIDEST: usize = 96;

impl Sheet {
    /// An empty sheet for an area this wide: a column of margin at the left, one for the scroll marks at the right.
    #[must_use]
    pub fn new(width: u16) -> Self {
        Self { columns: usize::from(width).saturating_sub(3).min(WIDEST), ..Self::default() }
    }

    /// The columns that text may take.
    #[must_use]
    pub const fn columns(&self) -> usize {
        self.columns
    }

    /// How many rows can be picked.
    #[must_use]
    pub const fn picks(&self) -> usize {
        self.picks
    }

    /// How many rows there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.rows.len()
    }

    /// Whether nothing is written yet.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }

    /// A blank row, unless one is there or the sheet is empty.
    pub fn gap(&mut self) -> &mut Self {
        if self.rows.last().is_some_and(|r| !r.words.is_empty()) {
            self.rows.push(Row::default());
        }
        self
    }

    /// A heading with a blank row above it.
    pub fn heading(&mut self, words: &str, view: &View<'_>) -> &mut Self {
        self.gap().text(0, words, view.theme.title)
    }

    /// A paragraph.
    pub fn text(&mut self, indent: usize, words: &str, style: Style) -> &mut Self {
        self.item(indent, Vec::new(), words, style)
    }

    /// A paragraph that starts behind `lead` and hangs below its own first word.
    pub fn item(&mut self, indent: usize, lead: Vec<Words>, words: &str, style: Style) -> &mut Self {
        let lead: Vec<Words> = lead.into_iter().map(|(w, s)| (text::plain(&w), s)).collect();
        let lead_width: usize = lead.iter().map(|(w, _)| text::width(w)).sum();
        // A lead that leaves no room stands on a row of its own.
        let crowded = indent + lead_width + 12 > self.columns && lead_width > 0 && !words.is_empty();
        let hang = if crowded { indent + 2 } else { indent + lead_width };
        let mut first = vec![(" ".repeat(indent), Style::new())];
        first.extend(lead);
        let lines = text::wrap(words, self.columns.saturating_sub(hang).max(1));
        let mut lines = lines.into_iter();
        if !crowded && let Some(line) = lines.next() {
            first.push((line, style));
        }
        self.push(first);
        for line in lines {
            self.push(vec![(" ".repeat(hang), Style::new()), (line, style)]);
        }
        self
    }

    /// One row of words as they are.
    pub fn row(&mut self, words: Vec<Words>) -> &mut Self {
        let words = words.into_iter().map(|(w, s)| (text::plain(&w), s)).collect();
        self.push(words);
        self
    }

    /// What is written by `write` is one row to pick; its number comes back.
    pub fn pickable(&mut self, write: impl FnOnce(&mut Self)) -> usize {
        let number = self.picks;
        self.picks += 1;
        self.pick = Some(number);
        write(self);
        self.pick = None;
        number
    }

    fn push(&mut self, words: Vec<Words>) {
        self.rows.push(Row { words, pick: self.pick });
    }

    fn rows_of(&self, pick: usize) -> Option<Range<usize>> {
        let first = self.rows.iter().position(|r| r.pick == Some(pick))?;
        let last = self.rows.iter().rposition(|r| r.pick == Some(pick))?;
        Some(first..last + 1)
    }

    /// Draws what of the sheet fits. With `at`, the picked rows are marked and stay in sight.
    pub fn draw(&self, view: &View<'_>, area: Rect, buf: &mut Buffer, scroll: &Scroll, at: Option<usize>) {
        self.draw_from(view, area, buf, scroll, at, at.is_some());
    }

    /// The same, where the picked rows need not stay in sight: one may scroll away from them unless `follow` is set.
    pub fn draw_from(
        &self,
        view: &View<'_>,
        area: Rect,
        buf: &mut Buffer,
        scroll: &Scroll,
        at: Option<usize>,
        follow: bool,
    ) {
        let room = usize::from(area.height);
        let see = at.filter(|_| follow).and_then(|at| self.rows_of(at)).map(|see| match at {
            // The first thing to pick brings what stands above it into sight.
            Some(0) => see.end.saturating_sub(room)..see.end,
            _ => see,
        });
        let window = scroll.window(self.rows.len(), room, see);
        let (first, last) = (window.start, window.end);
        for (n, row) in self.rows.get(window).unwrap_or_default().iter().enumerate() {
            let Ok(y) = u16::try_from(n) else { return };
            let line = Rect { y: area.y + y, height: 1, ..area };
            let picked = at.is_some() && row.pick == at;
            let first_row = n == 0 || self.rows.get(first + n - 1).is_none_or(|r| r.pick != row.pick);
            if picked && first_row {
                put(buf, line, 0, view.glyphs.point_right, view.theme.accent, view);
            }
            let text_area = Rect { width: line.width.saturating_sub(1), ..line };
            let mut column = 1;
            for (words, style) in &row.words {
                column = put(buf, text_area, column, words, *style, view);
            }
            if picked {
                let width = u16::try_from(self.columns + 2).unwrap_or(u16::MAX).min(line.width);
                parts::select(Rect { width, ..line }, view, buf);
            }
        }
        if area.width > 1 && area.height > 0 {
            let mark = |y: u16| Rect { x: area.right() - 1, y, width: 1, height: 1 };
            if first > 0 {
                put(buf, mark(area.y), 0, view.glyphs.up, view.theme.accent, view);
            }
            if last < self.rows.len() {
                put(buf, mark(area.bottom() - 1), 0, view.glyphs.down, view.theme.accent, view);
            }
        }
    }
}
