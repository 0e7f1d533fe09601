//! The frame around every screen: a line that says where one is, the impairment banner, the screen, a message line, and
//! the keys that work here. `? help` is drawn first, but where `?` explains a ruling.

use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};
use ratatui::style::Style;

use super::keys::KeyLine;
use super::screen::{Screen, View};
use super::text;
use crate::diag::Severity;
use crate::round::notices;

/// The least a terminal must offer, in columns and rows.
pub const LEAST: (u16, u16) = (40, 10);

/// Draws the whole frame; where a text caret stands comes back.
pub fn draw(
    stack: &[Box<dyn Screen>],
    line: Option<&(Severity, String)>,
    view: &View<'_>,
    area: Rect,
    buf: &mut Buffer,
) -> Option<Position> {
    buf.set_style(area, view.theme.text);
    if area.width < LEAST.0 || area.height < LEAST.1 {
        too_small(view, area, buf);
        return None;
    }
    let mut rows = area;
    header(view, take_top(&mut rows), buf);
    if impaired(view) > 0 || impaired_before(view) > 0 {
        banner(view, take_top(&mut rows), buf);
    }
    let foot = take_bottom(&mut rows);
    let message = take_bottom(&mut rows);
    let from = stack.iter().rposition(|s| !s.is_overlay()).unwrap_or(0);
    let mut caret = None;
    for screen in stack.get(from..).unwrap_or_default() {
        caret = screen.draw(view, rows, buf);
    }
    if let Some((severity, words)) = line {
        let (glyph, style) = match severity {
            Severity::Error => (view.glyphs.cross, view.theme.error),
            Severity::Warning => (view.glyphs.warn, view.theme.warning),
            Severity::Note => (view.glyphs.check, view.theme.good),
        };
        put(buf, message, 0, &format!(" {glyph} {}", text::plain(words)), style, view);
    }
    if let Some(top) = stack.last() {
        let helps = !top.takes_text() && top.name() != "help" && !top.explains(view);
        footer(&top.keys(view), helps, view, foot, buf);
    }
    caret
}

fn take_top(rows: &mut Rect) -> Rect {
    let top = Rect { height: rows.height.min(1), ..*rows };
    rows.y += top.height;
    rows.height -= top.height;
    top
}

fn take_bottom(rows: &mut Rect) -> Rect {
    let height = rows.height.min(1);
    let bottom = Rect { y: rows.y + rows.height - height, height, ..*rows };
    rows.height -= height;
    bottom
}

fn too_small(view: &View<'_>, area: Rect, buf: &mut Buffer) {
    let words = format!("Make the window larger: at least {} by {}", LEAST.0, LEAST.1);
    for (row, line) in text::wrap(&words, usize::from(area.width)).iter().enumerate() {
        let Ok(row) = u16::try_from(row) else { return };
        if row < area.height {
            put(buf, Rect { y: area.y + row, height: 1, ..area }, 0, line, view.theme.warning, view);
        }
    }
}

/// Writes text into a one-row area from a column on, cut to fit; the column after it comes back.
pub fn put(buf: &mut Buffer, row: Rect, column: u16, words: &str, style: Style, view: &View<'_>) -> u16 {
    if row.height == 0 || column >= row.width {
        return column;
    }
    let space = usize::from(row.width - column);
    let shown = text::truncate(words, space, view.glyphs.ellipsis);
    buf.set_stringn(row.x + column, row.y, &shown, space, style);
    column.saturating_add(u16::try_from(text::width(&shown)).unwrap_or(u16::MAX))
}

fn impaired(view: &View<'_>) -> usize {
    view.desk.map_or(0, |d| d.state().counts().impaired)
}

fn impaired_before(view: &View<'_>) -> usize {
    view.desk.map_or(0, |d| d.state().counts().impaired_before)
}

fn header(view: &View<'_>, row: Rect, buf: &mut Buffer) {
    let Some(desk) = view.desk else {
        put(buf, row, 0, " Headround", view.theme.title, view);
        return;
    };
    let state = desk.state();
    let counts = state.counts();
    let mark = if desk.read_only().is_some() { "read-only" } else { "saved" };
    let round = state.present_round().map_or("no round".to_owned(), |r| {
        let signed = if r.is_signed() { ", signed" } else { "" };
        format!("round {}{signed}", text::plain(&r.name))
    });
    let right =
        format!("{round} {} {}/{} {} {mark} ", view.glyphs.dot, counts.answered(), counts.heads, view.glyphs.dot);
    let right_width = text::width(&right);
    let space = usize::from(row.width).saturating_sub(right_width + 1);
    let left = format!(" {}", text::plain(&state.register().site.name));
    put(buf, row, 0, &text::pad(&left, space, view.glyphs.ellipsis), view.theme.title, view);
    let at = u16::try_from(usize::from(row.width).saturating_sub(right_width)).unwrap_or(0);
    let style = if desk.read_only().is_some() { view.theme.warning } else { view.theme.dim };
    put(buf, row, at, &right, style, view);
}

/// Shown from the moment an impairment is entered until it is mended: which heads, and how many have still to be told.
fn banner(view: &View<'_>, row: Rect, buf: &mut Buffer) {
    let Some(desk) = view.desk else { return };
    let state = desk.state();
    let n = impaired(view);
    let before = match impaired_before(view) {
        0 => String::new(),
        1 => "1 of an earlier round not looked at since".to_owned(),
        n => format!("{n} of an earlier round not looked at since"),
    };
    if n == 0 {
        let words = format!(" {} IMPAIRMENT: {before} (overview: f)", view.glyphs.warn);
        let words = text::pad(&words, usize::from(row.width), view.glyphs.ellipsis);
        put(buf, row, 0, &words, view.theme.impairment, view);
        return;
    }
    let heads: Vec<String> = state.impaired().take(3).filter_map(|h| state.address(h)).map(|a| a.to_string()).collect();
    let (told, briefly) = match notices::owing(state) {
        (_, 0) => ("tell those who must be told now (overview: i)".to_owned(), "tell now (overview: i)".to_owned()),
        (0, _) => ("all on the list told".to_owned(), "all told".to_owned()),
        (owing, all) => (format!("{owing} of {all} not told (overview: i)"), format!("{owing} not told (overview: i)")),
    };
    let dot = view.glyphs.dot;
    let before = if before.is_empty() { before } else { format!("{dot} {before} ") };
    // Fewer heads by name, then fewer words: whom to tell, and by which key, goes last.
    let which = |named: usize| match (heads.get(..named).unwrap_or_default(), n - named.min(n)) {
        ([], 1) => "1 head".to_owned(),
        ([], all) => format!("{all} heads"),
        (named, 0) => named.join(", "),
        (named, more) => format!("{} and {more} more", named.join(", ")),
    };
    let said = |named: usize, told: &str, before: &str| {
        format!(" {} IMPAIRMENT: {} {dot} {told} {before}", view.glyphs.warn, which(named))
    };
    let fits = |words: &String| text::width(words.trim_end()) <= usize::from(row.width);
    let ways = [told.as_str(), briefly.as_str()];
    let most = heads.len();
    let words = [before.as_str(), ""]
        .into_iter()
        .flat_map(|before| ways.into_iter().map(move |told| (told, before)))
        .flat_map(|(told, before)| (0..=most).rev().map(move |named| (named, told, before)))
        .map(|(named, told, before)| said(named, told, before))
        .find(fits)
        .unwrap_or_else(|| said(0, &briefly.replace("overview: ", ""), ""));
    put(buf, row, 0, &text::pad(&words, usize::from(row.width), view.glyphs.ellipsis), view.theme.impairment, view);
}

/// Keys by rank, as many as fit; those that do nothing just now are dimmed and in brackets.
fn footer(keys: &[KeyLine], helps: bool, view: &View<'_>, row: Rect, buf: &mut Buffer) {
    let mut at = 1;
    if helps {
        at = put(buf, row, at, "?", view.theme.key, view);
        at = put(buf, row, at, " help", view.theme.hint, view);
    }
    let mut order: Vec<&KeyLine> = keys.iter().filter(|k| k.rank < 9).collect();
    order.sort_by_key(|k| (!k.works, k.rank));
    for key in order {
        let words = if key.works { format!(" {}", key.name) } else { format!(" ({})", key.name) };
        let needed = 2 + text::width(&key.keys) + text::width(&words);
        if usize::from(at) + needed > usize::from(row.width) {
            continue;
        }
        let (key_style, style) =
            if key.works { (view.theme.key, view.theme.hint) } else { (view.theme.dim, view.theme.dim) };
        at = put(buf, row, at + if at > 1 { 2 } else { 0 }, &key.keys, key_style, view);
        at = put(buf, row, at, &words, style, view);
    }
}
