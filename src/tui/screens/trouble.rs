//! A diagnostic on a screen of its own: what happened, to what, the lines of the file it points at, what to do now.

use std::sync::Arc;

use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};
use ratatui::style::Style;

use super::moves::{Scroll, key_lines};
use super::sheet::Sheet;
use crate::diag::{Diagnostic, Place, Severity, Source};
use crate::tui::keys::{Binding, Key, KeyLine, lines};
use crate::tui::screen::{Effect, Input, Screen, View};
use crate::tui::text;

const KEYS: &[Binding<()>] = &[Binding {
    keys: &[Key::Esc, Key::Enter, Key::Char('q')],
    action: (),
    name: "back",
    help: "back to where one was; nothing that was recorded is lost",
    rank: 0,
}];

/// The screen of one diagnostic.
pub struct Trouble {
    what: Box<Diagnostic>,
    scroll: Scroll,
}

impl Trouble {
    /// The screen of a diagnostic.
    #[must_use]
    pub fn boxed(what: Box<Diagnostic>) -> Box<dyn Screen> {
        Box::new(Self { what, scroll: Scroll::default() })
    }

    fn sheet(&self, view: &View<'_>, width: u16) -> Sheet {
        let it = &self.what;
        let mut sheet = Sheet::new(width);
        let (glyph, heading, style) = match it.severity {
            Severity::Error => (view.glyphs.cross, "This could not be done", view.theme.error),
            Severity::Warning => (view.glyphs.warn, "Somebody should look at this", view.theme.warning),
            Severity::Note => (view.glyphs.bullet, "Worth knowing", view.theme.title),
        };
        sheet.item(0, vec![(format!("{glyph} "), style)], heading, style);
        sheet.gap().text(2, &sentence(&it.message), view.theme.accent);
        let place = it.place.as_ref().map_or(String::new(), |p| format!(", line {}, column {}", p.line, p.column));
        sheet.gap().text(2, &format!("{}{place}", text::plain(&it.file)), view.theme.dim);
        if let (Some(source), Some(place)) = (&it.source, &it.place) {
            sheet.gap();
            snippet(&mut sheet, source, place, it.label.as_deref(), style, view);
            for (place, words) in &it.also {
                snippet(&mut sheet, source, place, Some(words), view.theme.title, view);
            }
        }
        if let Some(help) = &it.help {
            let lead = vec![(format!("{} ", view.glyphs.arrow), view.theme.accent)];
            sheet.gap().item(2, lead, &sentence(help), view.theme.text);
        }
        sheet.gap().text(2, &format!("({} {})", it.severity, it.code), view.theme.dim);
        sheet
    }
}

/// A sentence as a person expects it: a capital first, a full stop last.
fn sentence(words: &str) -> String {
    let words = text::plain(words);
    let mut chars = words.chars();
    let first = chars.next().map(|c| c.to_uppercase().to_string()).unwrap_or_default();
    let stop = if words.ends_with(['.', '?', '!']) { "" } else { "." };
    format!("{first}{}{stop}", chars.as_str())
}

/// The line a place is on, with its number, and marks under what is meant.
fn snippet(sheet: &mut Sheet, source: &Arc<Source>, place: &Place, label: Option<&str>, style: Style, view: &View<'_>) {
    let before = source.text.get(..place.span.start).unwrap_or_default();
    let start = before.rfind('\n').map_or(0, |i| i + 1);
    let line = source.text.get(start..).unwrap_or_default().lines().next().unwrap_or_default();
    let end = place.span.end.min(start + line.len()).max(place.span.start);
    let number = format!("{:>5} {} ", place.line, view.glyphs.bar);
    let room = sheet.columns().saturating_sub(text::width(&number) + 1).max(8);
    let head = text::plain(source.text.get(start..place.span.start).unwrap_or_default());
    let meant = text::plain(source.text.get(place.span.start..end).unwrap_or_default());
    // A long line is shown from shortly before the place.
    let skip = (text::width(&head) + text::width(&meant).min(room / 2)).saturating_sub(room);
    let shown_head: String = head.chars().skip(skip).collect();
    let rest = text::plain(source.text.get(end..start + line.len()).unwrap_or_default());
    let shown = format!("{shown_head}{meant}{rest}");
    sheet.row(vec![
        (number.clone(), view.theme.dim),
        (text::truncate(&shown, room, view.glyphs.ellipsis), view.theme.text),
    ]);
    let marks = "^".repeat(text::width(&meant).clamp(1, room.saturating_sub(text::width(&shown_head)).max(1)));
    let gutter = format!("{:>5} {} ", "", view.glyphs.bar);
    let lead = vec![(gutter, view.theme.dim), (format!("{}{marks} ", " ".repeat(text::width(&shown_head))), style)];
    sheet.item(0, lead, label.unwrap_or_default(), style);
}

impl Screen for Trouble {
    fn name(&self) -> &'static str {
        "trouble"
    }

    fn keys(&self, _: &View<'_>) -> Vec<KeyLine> {
        lines(KEYS, |()| true).into_iter().chain(key_lines(true)).collect()
    }

    fn update(&mut self, input: &Input, _: &View<'_>) -> Vec<Effect> {
        self.scroll.read(KEYS, input)
    }

    fn draw(&self, view: &View<'_>, area: Rect, buf: &mut Buffer) -> Option<Position> {
        self.sheet(view, area.width).draw(view, area, buf, &self.scroll, None);
        None
    }
}
