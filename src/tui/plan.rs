//! The ceiling plan of an area: one cell a head, one row a branch line, as the ceiling looks from below. Not the state
//! of the heads: it asks for each visible cell, so its cost depends on the size of the screen only.

use super::glyphs::Glyphs;
use super::theme::Theme;
use crate::rules::model::Ruling;
use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};
use ratatui::style::Style;
use ratatui::widgets::Widget;

/// What one cell of the plan says about its head.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum CellState {
    /// Nobody has looked at it in this round.
    Unseen,
    /// Condemned by a failed test, and nobody has looked at it in this round.
    Condemned,
    /// Looked at, nothing to say.
    Seen,
    /// Looked at, and the rule set gives this ruling.
    Ruled(Ruling),
    /// Looked at, and nothing but advisories is open.
    Advisory,
    /// Could not be reached.
    Unreached,
    /// Could not be judged.
    Unsure,
    /// A finding of an earlier round not answered yet.
    Carried,
    /// Two people's entries lead to different rulings.
    Disagreement,
    /// No head at this place.
    Gap,
    /// The head has been taken out.
    Removed,
}

impl CellState {
    /// Its sign.
    #[must_use]
    pub const fn glyph(self, glyphs: &Glyphs) -> &'static str {
        match self {
            Self::Unseen => glyphs.unseen,
            Self::Condemned => glyphs.condemned,
            Self::Seen => glyphs.seen,
            Self::Ruled(ruling) => glyphs.ruling(ruling),
            Self::Advisory => glyphs.advisory,
            Self::Unreached => glyphs.unreached,
            Self::Unsure => glyphs.unsure,
            Self::Carried => glyphs.carried,
            Self::Disagreement => glyphs.disagreement,
            Self::Gap => glyphs.gap,
            Self::Removed => glyphs.removed,
        }
    }

    /// Its style.
    #[must_use]
    pub const fn style(self, theme: &Theme) -> Style {
        match self {
            Self::Unseen => theme.unseen,
            Self::Condemned => theme.condemned,
            Self::Seen => theme.seen,
            Self::Ruled(ruling) => theme.ruling_style(ruling),
            Self::Advisory => theme.advisory,
            Self::Unreached => theme.unreached,
            Self::Unsure => theme.unsure,
            Self::Carried => theme.carried,
            Self::Disagreement => theme.disagreement,
            Self::Gap | Self::Removed => theme.absent,
        }
    }

    /// Its word, the same as in [`Glyphs::states`].
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Unseen => "unseen",
            Self::Condemned => "condemned, unseen",
            Self::Seen => "seen",
            Self::Ruled(ruling) => ruling.as_str(),
            Self::Advisory => "advisory",
            Self::Unreached => "not reached",
            Self::Unsure => "could not be judged",
            Self::Carried => "earlier finding, not answered",
            Self::Disagreement => "disagreement",
            Self::Gap => "no head here",
            Self::Removed => "taken out",
        }
    }
}

/// The plan as a widget. Lines and places count from 0 here and are shown from 1.
pub struct Plan<'a> {
    /// How many branch lines there are.
    pub lines: usize,
    /// How many places the longest line has.
    pub places: usize,
    /// The state of a place on a line; `None` past the line's end.
    pub cell: &'a dyn Fn(usize, usize) -> Option<CellState>,
    /// Line and place of the cursor; the plan scrolls so that it shows.
    pub cursor: (usize, usize),
    /// Styles.
    pub theme: &'a Theme,
    /// Signs.
    pub glyphs: &'a Glyphs,
}

/// The visible part of one axis.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Window {
    first: usize,
    len: usize,
}

impl Window {
    /// Of `all` things `room` fit: those around `at`, as far as the ends allow.
    fn around(at: usize, all: usize, room: usize) -> Self {
        let first = at.saturating_sub(room / 2).min(all.saturating_sub(room));
        Self { first, len: room.min(all) }
    }
}

/// Where everything stands in the area.
struct Layout {
    area: Rect,
    /// Columns for the line number; 0 when there is no room for one.
    digits: u16,
    ruler: u16,
    cell: u16,
    /// Column of the first cell.
    left: u16,
    lines: Window,
    places: Window,
}

impl Plan<'_> {
    fn layout(&self, area: Rect) -> Layout {
        let digits = u16::try_from(self.lines.to_string().len()).unwrap_or(u16::MAX);
        // A line number, a mark beside it, a mark for what is cut at the left, and room for two cells and a mark.
        let digits = if area.width >= digits.saturating_add(7) { digits } else { 0 };
        let ruler = u16::from(area.height >= 3);
        let left = (if digits > 0 { digits + 2 } else { 1 }).min(area.width);
        let room = area.width - left;
        let wide = self.places.saturating_mul(2) <= usize::from(room);
        let cell: u16 = if wide { 2 } else { 1 };
        // The last column belongs to the mark for what is cut at the right.
        let columns = if wide { room } else { room.saturating_sub(1).max(room.min(1)) };
        let (line, place) = self.cursor;
        Layout {
            area,
            digits,
            ruler,
            cell,
            left: area.x + left,
            lines: Window::around(line, self.lines, usize::from(area.height - ruler)),
            places: Window::around(place, self.places, usize::from(columns / cell)),
        }
    }

    /// Draws the plan and says where the cursor's cell is. Asks for the state of visible cells and of one neighbour at
    /// each end of a row, nothing else.
    pub fn draw(&self, area: Rect, buf: &mut Buffer) -> Option<Position> {
        let area = area.intersection(buf.area);
        if area.is_empty() || self.lines == 0 {
            return None;
        }
        let at = self.layout(area);
        if at.ruler > 0 {
            self.draw_ruler(&at, buf);
        }
        let mut cursor = None;
        for row in 0..at.lines.len {
            cursor = self.draw_line(&at, row, buf).or(cursor);
        }
        cursor
    }

    fn draw_line(&self, at: &Layout, row: usize, buf: &mut Buffer) -> Option<Position> {
        let (theme, glyphs) = (self.theme, self.glyphs);
        let line = at.lines.first + row;
        let y = at.area.y + at.ruler + u16::try_from(row).ok()?;
        let here = line == self.cursor.0;
        if at.digits > 0 {
            let number = super::text::pad_left(&(line + 1).to_string(), usize::from(at.digits), "");
            buf.set_string(at.area.x, y, number, if here { theme.accent } else { theme.dim });
            let above = row == 0 && at.lines.first > 0;
            let below = row + 1 == at.lines.len && line + 1 < self.lines;
            let mark = match (here, above, below) {
                (true, ..) => glyphs.point_right,
                (_, true, _) => glyphs.up,
                (_, _, true) => glyphs.down,
                _ => " ",
            };
            buf.set_string(at.area.x + at.digits, y, mark, theme.accent);
        }
        let last = at.places.first + at.places.len;
        if at.places.first > 0 && (self.cell)(line, at.places.first - 1).is_some() {
            buf.set_string(at.left - 1, y, glyphs.left, theme.accent);
        }
        if last < self.places && (self.cell)(line, last).is_some() && at.places.len > 0 {
            let x = at.left + u16::try_from(at.places.len).ok()? * at.cell;
            set(buf, at, x, y, glyphs.right, theme.accent);
        }
        let mut cursor = None;
        for column in 0..at.places.len {
            let place = at.places.first + column;
            let x = at.left + u16::try_from(column).ok()? * at.cell;
            let under = here && place == self.cursor.1;
            let state = (self.cell)(line, place);
            if let Some(state) = state {
                set(buf, at, x, y, state.glyph(glyphs), state.style(theme));
            } else if !under {
                break;
            }
            if under {
                cursor = Some(Position::new(x, y));
                if let Some(cell) = buf.cell_mut((x, y)) {
                    cell.set_style(theme.cursor);
                }
                // Brackets as well, because reverse video alone is weak on some terminals.
                if at.cell > 1 {
                    set(buf, at, x - 1, y, "[", theme.accent);
                    set(buf, at, x + 1, y, "]", theme.accent);
                }
            }
        }
        cursor
    }

    /// Place numbers over every fifth or tenth cell; the cursor's own number comes first and pushes others aside.
    fn draw_ruler(&self, at: &Layout, buf: &mut Buffer) {
        let step = if at.cell > 1 { 5 } else { 10 };
        let end = at.area.right();
        let mut taken: Vec<(u16, u16)> = Vec::new();
        let cursor = std::iter::once((self.cursor.1, self.theme.accent));
        let ticks = (at.places.first..at.places.first + at.places.len)
            .filter(|p| *p == 0 || (p + 1).is_multiple_of(step))
            .map(|p| (p, self.theme.dim));
        for (place, style) in cursor.chain(ticks) {
            let Some(column) = place.checked_sub(at.places.first).filter(|c| *c < at.places.len) else { continue };
            let number = (place + 1).to_string();
            let (Ok(column), Ok(wide)) = (u16::try_from(column), u16::try_from(number.len())) else { continue };
            let from = at.left + column * at.cell;
            let to = from.saturating_add(wide);
            // A free column on both sides, so that two numbers never read as one.
            if to <= end && taken.iter().all(|(a, b)| to < *a || from > *b) {
                buf.set_string(from, at.area.y, &number, style);
                taken.push((from, to));
            }
        }
    }
}

fn set(buf: &mut Buffer, at: &Layout, x: u16, y: u16, glyph: &str, style: Style) {
    if at.area.contains(Position::new(x, y)) {
        buf.set_string(x, y, glyph, style);
    }
}

impl Widget for &Plan<'_> {
    fn render(self, area: Rect, buf: &mut Buffer) {
        self.draw(area, buf);
    }
}

#[cfg(test)]
#[path = "plan_tests.rs"]
mod tests;
