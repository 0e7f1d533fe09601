//! The summary of the round on the screen, as it would be written, and the key that writes it beside the site file as
//! text and as Markdown.

use std::cell::Cell;
use std::path::{Path, PathBuf};
use std::rc::Rc;

use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};

use super::moves::{MOVES, Scroll, key_lines};
use super::parts::state;
use crate::record::desk::Desk;
use crate::report::summary::Summary;
use crate::report::{markdown, text as plain_text};
use crate::tui::chrome::put;
use crate::tui::keys::{Binding, Key, KeyLine, find, lines};
use crate::tui::screen::{Effect, Input, Message, Screen, View};

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Action {
    Write,
    Back,
}

const KEYS: &[Binding<Action>] = &[
    Binding {
        keys: &[Key::Enter],
        action: Action::Write,
        name: "write it",
        help: "write the summary beside the site file, as text and as Markdown; asks before it replaces one",
        rank: 0,
    },
    Binding {
        keys: &[Key::Esc, Key::Char('q')],
        action: Action::Back,
        name: "back",
        help: "back to the overview",
        rank: 1,
    },
];

/// Rows as they were laid out last, for that many columns.
type Laid = (usize, Rc<Vec<String>>);

/// The summary to read. It is worked out when it is drawn first, so it holds what was recorded until then.
#[derive(Default)]
pub struct SummaryReader {
    laid: Cell<Option<Laid>>,
    scroll: Scroll,
}

impl SummaryReader {
    /// The summary of the present round.
    #[must_use]
    pub fn boxed(_: &View<'_>) -> Box<dyn Screen> {
        Box::new(Self::default())
    }

    /// The rows for a width; worked out anew only where the width has changed.
    fn rows(&self, view: &View<'_>, columns: usize) -> Rc<Vec<String>> {
        if let Some((wide, rows)) = self.laid.take()
            && wide == columns
        {
            self.laid.set(Some((wide, Rc::clone(&rows))));
            return rows;
        }
        let text = state(view).map_or_else(String::new, |state| {
            let layout = plain_text::Layout { columns, ascii: view.glyphs.ascii };
            let unread = view.desk.map_or(0, Desk::unread);
            plain_text::render(&Summary::of(state, view.today).with_unread(unread), layout)
        });
        let rows: Rc<Vec<String>> = Rc::new(text.lines().map(str::to_owned).collect());
        self.laid.set(Some((columns, Rc::clone(&rows))));
        rows
    }
}

/// Where the summary of a round goes: beside the site file, under its name.
fn path(site: &Path, round: &str, ending: &str) -> PathBuf {
    let name = site.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    let name = name.strip_suffix(".site.yaml").unwrap_or(&name);
    let round: String = round.chars().map(|c| if c.is_alphanumeric() || c == '_' { c } else { '-' }).collect();
    site.with_file_name(format!("{name}.summary-{round}.{ending}"))
}

fn write(view: &View<'_>) -> Vec<Effect> {
    let (Some(desk), Some(state)) = (view.desk, state(view)) else { return Vec::new() };
    let Some(round) = state.present_round().map(|r| r.name.to_string()) else { return Vec::new() };
    let summary = Summary::of(state, view.today).with_unread(view.desk.map_or(0, Desk::unread));
    let files = vec![
        (path(desk.path(), &round, "txt"), plain_text::render(&summary, plain_text::Layout::default())),
        (path(desk.path(), &round, "md"), markdown::render(&summary)),
    ];
    vec![Effect::Write { files, over: false }]
}

impl Screen for SummaryReader {
    fn name(&self) -> &'static str {
        "summary"
    }

    fn keys(&self, view: &View<'_>) -> Vec<KeyLine> {
        let any = state(view).is_some_and(|s| s.present_round().is_some());
        lines(KEYS, |a| any || a == Action::Back).into_iter().chain(key_lines(true)).collect()
    }

    fn update(&mut self, input: &Input, view: &View<'_>) -> Vec<Effect> {
        let Input::Key(key) = input else { return Vec::new() };
        match find(KEYS, *key) {
            Some(Action::Back) => return vec![Effect::Pop],
            Some(Action::Write) => return write(view),
            None => {}
        }
        if let Some(by) = find(MOVES, *key) {
            self.scroll.step(by);
        }
        Vec::new()
    }

    fn hear(&mut self, _: &Message, _: &View<'_>) {
        self.laid.set(None);
    }

    fn draw(&self, view: &View<'_>, area: Rect, buf: &mut Buffer) -> Option<Position> {
        let columns = usize::from(area.width).saturating_sub(3).clamp(40, 100);
        let rows = self.rows(view, columns);
        let window = self.scroll.window(rows.len(), usize::from(area.height), None);
        let (above, below) = (window.start > 0, window.end < rows.len());
        for (words, y) in rows.get(window).unwrap_or_default().iter().zip(area.y..) {
            let row = Rect { y, height: 1, width: area.width.saturating_sub(1), ..area };
            put(buf, row, 1, words, view.theme.text, view);
        }
        if area.width > 1 && area.height > 0 {
            let mark = |y: u16| Rect { x: area.right() - 1, y, width: 1, height: 1 };
            if above {
                put(buf, mark(area.y), 0, view.glyphs.up, view.theme.accent, view);
            }
            if below {
                put(buf, mark(area.bottom() - 1), 0, view.glyphs.down, view.theme.accent, view);
            }
        }
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_summary_goes_beside_the_site_file_under_its_name() {
        for (site, round, to) in [
            ("sites/quay.site.yaml", "2026", "sites/quay.summary-2026.txt"),
            ("quay.yaml", "2026-b", "quay.yaml.summary-2026-b.txt"),
            ("/a/b.site.yaml", "../up/\u{1b}x", "/a/b.summary----up--x.txt"),
        ] {
            assert_eq!(path(Path::new(site), round, "txt"), Path::new(to), "{site} {round}");
        }
    }
}
