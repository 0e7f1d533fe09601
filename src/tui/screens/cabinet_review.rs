//! The review of a count: what was counted held against the ledger, a note, and one key that records it.

use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};

use super::moves::{Move, Scroll};
use super::parts::{self, state};
use super::sheet::Sheet;
use crate::round::entry::{Counted, What};
use crate::round::state::State;
use crate::round::stock;
use crate::trade::register::KindIx;
use crate::tui::ask::Field;
use crate::tui::chrome::put;
use crate::tui::keys::{Binding, Key, KeyLine, find, lines};
use crate::tui::screen::{Draft, Effect, Input, Screen, View};
use crate::tui::spares::{Against, against};
use crate::tui::text;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Action {
    Record,
    Back,
    Up,
    Down,
    PageUp,
    PageDown,
}

const KEYS: &[Binding<Action>] = &[
    Binding {
        keys: &[Key::Enter],
        action: Action::Record,
        name: "record",
        help: "record the count with its note",
        rank: 0,
    },
    Binding {
        keys: &[Key::Esc],
        action: Action::Back,
        name: "back",
        help: "back to the count, with everything that was typed there",
        rank: 1,
    },
    Binding { keys: &[Key::Up], action: Action::Up, name: "up", help: "one row up", rank: 9 },
    Binding { keys: &[Key::Down], action: Action::Down, name: "down", help: "one row down", rank: 9 },
    Binding { keys: &[Key::PageUp], action: Action::PageUp, name: "page up", help: "a page up", rank: 9 },
    Binding { keys: &[Key::PageDown], action: Action::PageDown, name: "page down", help: "a page down", rank: 9 },
];

/// A count to be recorded.
pub(super) struct Review {
    count: Counted,
    lines: Vec<(KindIx, u32, u32, Against)>,
    /// Kinds that were not counted.
    left: Vec<KindIx>,
    note: Field,
    scroll: Scroll,
}

impl Review {
    /// A count as it was made, held against the ledger as it stands.
    pub(super) fn boxed(view: &View<'_>, count: Counted, left: Vec<KindIx>) -> Box<dyn Screen> {
        let lines = state(view).map(|s| against(s, stock::ledger(s).shelf(&count.cabinet), &count)).unwrap_or_default();
        Box::new(Self { count, lines, left, note: Field::default(), scroll: Scroll::default() })
    }

    fn record(&self) -> Vec<Effect> {
        let note = Some(self.note.text().trim().to_owned()).filter(|n| !n.is_empty());
        let what = What::Counted(Box::new(Counted { note, ..self.count.clone() }));
        let heads: u64 = self.count.held.values().map(|n| u64::from(*n)).sum();
        let words = format!("Counted: {heads} heads of {}", parts::count(self.count.held.len(), "kind"));
        vec![Effect::Record(vec![Draft::from(what)]), Effect::PopTo("cabinet"), Effect::Tell(words)]
    }

    fn sheet(&self, state: &State, view: &View<'_>, width: u16) -> Sheet {
        let mut sheet = Sheet::new(width);
        let differing = self.lines.iter().filter(|(.., a)| a.differs()).count();
        let new = self.lines.iter().filter(|(.., a)| *a == Against::New).count();
        let (mark, style, words) = match differing {
            0 if new > 0 => {
                let words = format!("Nothing differs; {} new to the ledger.", parts::count(new, "kind"));
                (view.glyphs.check, view.theme.good, words)
            }
            0 => (view.glyphs.check, view.theme.good, "The count and the ledger agree.".to_owned()),
            1 => (view.glyphs.cross, view.theme.error, "1 kind differs from the ledger.".to_owned()),
            n => (view.glyphs.cross, view.theme.error, format!("{n} kinds differ from the ledger.")),
        };
        sheet.item(0, vec![(format!("{mark} "), style)], &words, view.theme.title);
        let wide = self.lines.iter().filter_map(|(k, ..)| state.register().kind(*k)).map(|k| text::width(&k.id)).max();
        let wide = wide.unwrap_or(0).min(18);
        // What differs comes first: the rest only confirms.
        let mut order: Vec<_> = self.lines.iter().collect();
        order.sort_by_key(|(.., a)| !a.differs());
        for (kind, held, unfit, against) in order {
            let name = state.register().kind(*kind).map_or("", |k| k.id.as_str());
            let (mark, style) = match against {
                Against::Same => (view.glyphs.check, view.theme.good),
                Against::New => (view.glyphs.bullet, view.theme.text),
                Against::Fewer(..) | Against::More(..) => (view.glyphs.cross, view.theme.error),
            };
            let unfit = if *unfit > 0 { format!("; {unfit} unfit") } else { String::new() };
            let lead = vec![
                (format!("{mark} "), style),
                (format!("{held:>5}  "), view.theme.text),
                (text::pad(name, wide, view.glyphs.ellipsis), view.theme.text),
                ("  ".to_owned(), view.theme.text),
            ];
            sheet.item(0, lead, &format!("{}{unfit}", against.words()), style);
        }
        if !self.left.is_empty() {
            let names: Vec<&str> =
                self.left.iter().filter_map(|k| state.register().kind(*k)).map(|k| k.id.as_str()).collect();
            let lead = vec![(format!("{} Not counted: ", view.glyphs.open), view.theme.warning)];
            sheet.gap().item(0, lead, &names.join(", "), view.theme.text);
        }
        if differing > 0 {
            let words = "A difference is kept, never written over: the ledger goes on from the count. Say below why it differs, where you know.";
            sheet.gap().text(0, words, view.theme.dim);
        }
        sheet
    }
}

impl Screen for Review {
    fn name(&self) -> &'static str {
        "count review"
    }

    fn keys(&self, _: &View<'_>) -> Vec<KeyLine> {
        let typed = KeyLine {
            keys: "a-z".to_owned(),
            name: "a note".to_owned(),
            help: "what is typed becomes the note of the count; it may stay empty".to_owned(),
            rank: 9,
            works: true,
        };
        let mut own = lines(KEYS, |_| true);
        own.push(typed);
        own
    }

    fn update(&mut self, input: &Input, _: &View<'_>) -> Vec<Effect> {
        if let Input::Key(key) = input
            && let Some(action) = find(KEYS, *key)
        {
            match action {
                Action::Record => return self.record(),
                Action::Back => return vec![Effect::Pop],
                Action::Up => self.scroll.step(Move::Up),
                Action::Down => self.scroll.step(Move::Down),
                Action::PageUp => self.scroll.step(Move::PageUp),
                Action::PageDown => self.scroll.step(Move::PageDown),
            }
            return Vec::new();
        }
        // A glove's second Enter records nothing: it is no text either.
        self.note.take(input);
        Vec::new()
    }

    fn draw(&self, view: &View<'_>, area: Rect, buf: &mut Buffer) -> Option<Position> {
        let state = state(view)?;
        let cabinet = state.register().cabinets.iter().find(|c| c.id == self.count.cabinet);
        let title = format!("Count of {}", cabinet.map_or("", |c| c.name.as_str()));
        let rest = parts::framed(&title, view, area, buf);
        let below = rest.height.min(2);
        let list = Rect { height: rest.height - below, ..rest };
        self.sheet(state, view, list.width).draw(view, list, buf, &self.scroll, None);
        if rest.height == 0 {
            return None;
        }
        let row = Rect { y: rest.bottom() - 1, height: 1, ..rest };
        let column = put(buf, row, 1, "Note", view.theme.accent, view) + 2;
        let width = row.width.saturating_sub(column + 1);
        self.note.draw(view, Rect { x: row.x + column, width, ..row }, buf, true)
    }

    fn takes_text(&self) -> bool {
        true
    }
}
