//! The timeline of what falls due: one bar for what is due already, then bars along the time that lies ahead, today marked.

use chrono::{Datelike as _, NaiveDate};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use crate::round::due::{DueList, When};
use crate::tui::chrome::put;
use crate::tui::screen::View;
use crate::tui::text;

/// Columns of the bar for what is due already.
const LATE: u16 = 9;

/// Eighths of a cell, from the bottom.
const EIGHTHS: [&str; 9] = [" ", "▁", "▂", "▃", "▄", "▅", "▆", "▇", "█"];

/// Draws the bars, and the years below them; of the height two rows are for the years.
pub(super) fn draw(list: &DueList, view: &View<'_>, area: Rect, buf: &mut Buffer) {
    let (Some(today), Some(until)) = (list.today, list.until) else { return };
    if area.height < 3 || area.width < LATE + 12 {
        return;
    }
    let high = area.height - 2;
    let line = Rect { x: area.x + LATE + 1, width: area.width - LATE - 1, ..area };
    let columns = usize::from(line.width);
    let mut bars = vec![0usize; columns];
    let mut late = 0;
    for row in &list.rows {
        match (row.when, row.on) {
            (When::Unknown | When::Overdue, _) => late += row.heads,
            (When::Soon, Some(on)) => {
                if let Some(bar) = bars.get_mut(column(on, today, until, columns)) {
                    *bar += row.heads;
                }
            }
            _ => {}
        }
    }
    let most = bars.iter().copied().chain([late]).max().unwrap_or(0).max(1);
    for (x, heads) in bars.iter().enumerate() {
        if let Ok(x) = u16::try_from(x) {
            bar(*heads, most, high, Rect { x: line.x + x, width: 1, ..line }, 1, view.theme.warning, view, buf);
        }
    }
    bar(late, most, high, Rect { width: LATE, ..area }, LATE - 1, view.theme.error, view, buf);
    let axis = Rect { y: area.y + high, height: 1, ..area };
    put(buf, axis, 0, &view.glyphs.rule.repeat(usize::from(axis.width)), view.theme.border, view);
    put(buf, axis, LATE, view.glyphs.bar, view.theme.accent, view);
    let labels = Rect { y: axis.y + 1, ..axis };
    let words = if late > 0 { format!("{late} late") } else { "none late".to_owned() };
    let style = if late > 0 { view.theme.error } else { view.theme.dim };
    put(buf, Rect { width: LATE, ..labels }, 0, &words, style, view);
    let mut free = put(buf, labels, LATE, "today", view.theme.accent, view) + 1;
    for (at, words) in ticks(today, until, columns) {
        let Ok(at) = u16::try_from(at) else { break };
        let at = at + LATE + 1;
        if at >= free && usize::from(at) + text::width(&words) <= usize::from(labels.width) {
            put(buf, axis, at, if view.glyphs.ascii { "+" } else { "┴" }, view.theme.border, view);
            free = put(buf, labels, at, &words, view.theme.dim, view) + 1;
        }
    }
}

/// The column of a day.
fn column(day: NaiveDate, today: NaiveDate, until: NaiveDate, columns: usize) -> usize {
    let days = |d: NaiveDate| usize::try_from((d - today).num_days()).unwrap_or(0);
    let all = days(until).max(1);
    (days(day) * columns.saturating_sub(1) / all).min(columns.saturating_sub(1))
}

/// The first days of years, or of months where little lies ahead.
fn ticks(today: NaiveDate, until: NaiveDate, columns: usize) -> Vec<(usize, String)> {
    let years = (until.year() - today.year()).max(0);
    let days: Vec<(NaiveDate, String)> = if years <= 2 {
        let months = (today.year()..=until.year()).flat_map(|y| [1, 4, 7, 10].map(|m| (y, m)));
        months.filter_map(|(y, m)| Some((NaiveDate::from_ymd_opt(y, m, 1)?, format!("{y}-{m:02}")))).collect()
    } else {
        (today.year()..=until.year()).filter_map(|y| Some((NaiveDate::from_ymd_opt(y, 1, 1)?, y.to_string()))).collect()
    };
    let within = days.into_iter().filter(|(d, _)| *d > today && *d <= until);
    within.map(|(d, words)| (column(d, today, until, columns), words)).collect()
}

#[expect(clippy::too_many_arguments, reason = "a measure, a place and what to draw with")]
fn bar(
    heads: usize,
    most: usize,
    high: u16,
    area: Rect,
    wide: u16,
    style: ratatui::style::Style,
    view: &View<'_>,
    buf: &mut Buffer,
) {
    if heads == 0 {
        return;
    }
    // What is there at all shows, however little it is.
    let eighths = (heads * usize::from(high) * 8 / most).max(1);
    for n in 0..high {
        let of_row = eighths.saturating_sub(usize::from(n) * 8).min(8);
        let sign = match (view.glyphs.ascii, of_row) {
            (_, 0) => break,
            (true, 1..=4) => ".",
            (true, _) => "#",
            (false, n) => EIGHTHS.get(n).copied().unwrap_or(" "),
        };
        let row = Rect { y: area.y + high - 1 - n, height: 1, width: wide, ..area };
        put(buf, row, 0, &sign.repeat(usize::from(wide)), style, view);
    }
}
