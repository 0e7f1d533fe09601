//! A plot in an area of the screen: the cells of `report::plot` in the theme's styles.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;

use crate::report::plot::{Glyphs, Ink, Plot, text as drawn};
use crate::tui::chrome::put;
use crate::tui::screen::View;

/// The style of an ink.
const fn style(ink: Ink, view: &View<'_>) -> Style {
    match ink {
        Ink::Text | Ink::Axis => view.theme.text,
        Ink::Faint => view.theme.dim,
        Ink::Title => view.theme.title,
        Ink::Limit | Ink::Mark => view.theme.accent,
        Ink::Series(0) => view.theme.key,
        Ink::Series(_) => view.theme.accent,
        Ink::Good => view.theme.good,
        Ink::Watch => view.theme.warning,
        Ink::Bad => view.theme.error,
    }
}

/// Draws a plot as large as the area lets it.
pub(super) fn draw(plot: &Plot, view: &View<'_>, area: Rect, buf: &mut Buffer) {
    let glyphs = if view.glyphs.ascii { Glyphs::Ascii } else { Glyphs::Unicode };
    let area = Rect { x: area.x + u16::from(area.width > 2), width: area.width.saturating_sub(2), ..area };
    let cells = drawn(plot, usize::from(area.width), usize::from(area.height), glyphs);
    for (y, runs) in (0..area.height).zip(cells.runs()) {
        let row = Rect { y: area.y + y, height: 1, ..area };
        let mut column = 0;
        for (words, ink) in runs {
            column = put(buf, row, column, &words, style(ink, view), view);
        }
    }
}
