//! Small things that several screens draw or do alike: a ruling with its glyph and words, a way to a head, times.

use chrono::{DateTime, FixedOffset, TimeDelta};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;

use super::moves::Scroll;
use super::sheet::{Sheet, Words};
use super::walk::Walk;
use crate::round::entry::{Entry, How, Saw};
use crate::round::layout::HeadIx;
use crate::round::state::State;
use crate::rules::judge::Judgement;
use crate::rules::model::{Class, Ruling};
use crate::tui::chrome::put;
use crate::tui::screen::{Effect, View};
use crate::tui::text;

/// The state of the open site, where one is open.
#[must_use]
pub fn state<'a>(view: &View<'a>) -> Option<&'a State> {
    view.desk.map(crate::record::desk::Desk::state)
}

/// Puts the walk on top, standing at a head.
#[must_use]
pub fn go_to(view: &View<'_>, head: HeadIx) -> Vec<Effect> {
    let Some(area) = state(view).and_then(|s| s.layout().head(head)).map(|h| h.area) else { return Vec::new() };
    vec![Effect::Push(Walk::new(area, Some(head)))]
}

/// The style of a class.
#[must_use]
pub const fn class_style(class: Class, view: &View<'_>) -> Style {
    match class {
        Class::Impairment => view.theme.impairment,
        Class::Critical => view.theme.critical,
        Class::Noncritical => view.theme.noncritical,
        Class::Advisory => view.theme.advisory,
    }
}

/// A ruling's glyph and word, set in `columns` columns at least.
#[must_use]
pub fn ruling(ruling: Ruling, columns: usize, view: &View<'_>) -> Words {
    let words = format!("{} {:<columns$}", view.glyphs.ruling(ruling), ruling.as_str());
    (words, view.theme.ruling_style(ruling))
}

/// A ruling with its class in words.
#[must_use]
pub fn judgement(j: Judgement, view: &View<'_>) -> Vec<Words> {
    let mut words = vec![ruling(j.ruling, 0, view)];
    if let Some(class) = j.class {
        words.push((format!(" {} ", view.glyphs.dot), view.theme.dim));
        words.push((class.to_string(), class_style(class, view)));
    }
    words
}

/// A head's address, or a dash for a head that is none.
#[must_use]
pub fn address(state: &State, head: HeadIx) -> String {
    state.address(head).map_or_else(|| "-".to_owned(), |a| a.to_string())
}

/// `1 head`, `3 heads`.
#[must_use]
pub fn count(n: usize, one: &str) -> String {
    if n == 1 { format!("1 {one}") } else { format!("{n} {one}s") }
}

/// When an entry was made, to the minute, by its writer's clock.
#[must_use]
pub fn when(entry: &Entry) -> String {
    entry.at.format("%Y-%m-%d %H:%M").to_string()
}

/// How a head was looked at, in words.
#[must_use]
pub const fn how(how: How) -> &'static str {
    match how {
        How::Eye => "from the floor",
        How::Binoculars => "with binoculars",
        How::Lift => "from a lift or ladder",
        How::Camera => "through a camera",
    }
}

/// A length of time in words: `12 min`, `2 h 14 min`, `3 days 4 h`.
#[must_use]
pub fn span(time: TimeDelta) -> String {
    let minutes = time.num_minutes().abs();
    let (days, hours, minutes) = (minutes / 1440, minutes / 60 % 24, minutes % 60);
    match (days, hours) {
        (0, 0) => format!("{minutes} min"),
        (0, _) => format!("{hours} h {minutes} min"),
        (1, _) => format!("1 day {hours} h"),
        _ => format!("{days} days {hours} h"),
    }
}

/// How long ago something was.
#[must_use]
pub fn ago(then: DateTime<FixedOffset>, now: DateTime<FixedOffset>) -> String {
    format!("{} ago", span(now - then))
}

/// The name of an area in the way a heading gives it: `pack  Packing hall`.
#[must_use]
pub fn area_name(state: &State, area: u16) -> String {
    state
        .register()
        .areas
        .get(usize::from(area))
        .map(|a| format!("{}  {}", a.id, text::plain(&a.name)))
        .unwrap_or_default()
}

/// A finding in words: `paint on heat element, trace`.
#[must_use]
pub fn saw(state: &State, saw: &Saw) -> String {
    let set = state.judge().set();
    let sign = set.sign(&saw.sign).and_then(|s| set.sign_at(s)).map_or(saw.sign.as_str(), |s| s.name.as_str());
    let part = set.part(&saw.part).and_then(|p| set.part_at(p)).map_or(saw.part.as_str(), |p| p.name.as_str());
    let extent =
        set.extent(&saw.extent).and_then(|e| set.extent_at(e)).map_or(saw.extent.as_str(), |e| e.name.as_str());
    text::plain(&format!("{sign} on {part}, {extent}"))
}

/// A heading over a screen; the area below it comes back.
pub fn framed(title: &str, view: &View<'_>, area: Rect, buf: &mut Buffer) -> Rect {
    let row = Rect { height: area.height.min(1), ..area };
    put(buf, row, 1, &text::plain(title), view.theme.title, view);
    let used = if area.height >= 12 { 2 } else { area.height.min(1) };
    Rect { y: area.y + used, height: area.height - used, ..area }
}

/// A paragraph on an otherwise empty screen.
pub fn say(words: &str, view: &View<'_>, area: Rect, buf: &mut Buffer) {
    let mut sheet = Sheet::new(area.width);
    sheet.text(0, words, view.theme.text);
    sheet.draw(view, area, buf, &Scroll::default(), None);
}

/// A list above, a rule and `rows` rows about the chosen one below; nothing below where there is no room for both.
#[must_use]
pub fn split(area: Rect, rows: u16) -> (Rect, Rect) {
    if area.height < rows + 5 {
        return (area, Rect { y: area.bottom(), height: 0, ..area });
    }
    let list = Rect { height: area.height - rows - 1, ..area };
    (list, Rect { y: list.bottom() + 1, height: rows, ..area })
}

/// Marks a row as the one that keys act upon: one calm bar, whatever colours stood in it. Its words and glyphs stay.
pub fn select(row: Rect, view: &View<'_>, buf: &mut Buffer) {
    buf.set_style(row, Style::reset().patch(view.theme.text).patch(view.theme.selected));
}
