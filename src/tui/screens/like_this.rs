//! The same defect on the next heads: asks how many, names them, records on Enter.

use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};

use super::walk_words::{heads_words, saw_words};
use crate::round::act;
use crate::round::entry::{Saw, What};
use crate::round::layout::HeadIx;
use crate::round::state::{State, Status};
use crate::trade::address::Heads;
use crate::tui::ask::{Field, boxed};
use crate::tui::chrome::put;
use crate::tui::keys::{Binding, Key, KeyLine, find, lines};
use crate::tui::screen::{Draft, Effect, Input, Screen, View};
use crate::tui::text;

#[derive(Clone, Copy)]
enum Action {
    Record,
    Leave,
}

const KEYS: &[Binding<Action>] = &[
    Binding {
        keys: &[Key::Enter],
        action: Action::Record,
        name: "record",
        help: "record the defect on the heads that are named",
        rank: 0,
    },
    Binding { keys: &[Key::Esc], action: Action::Leave, name: "back", help: "record nothing", rank: 1 },
];

/// The most heads at a stroke; more than any line has.
const MOST: usize = 999;

/// The question.
pub struct LikeThis {
    from: HeadIx,
    saw: Saw,
    field: Field,
}

impl LikeThis {
    /// Asks how many heads after `from` show the same as `saw`.
    #[must_use]
    pub fn new(from: HeadIx, saw: Saw) -> Box<Self> {
        Box::new(Self { from, saw, field: Field::default() })
    }

    fn count(&self) -> usize {
        self.field.text().trim().parse().map_or(0, |n: usize| n.min(MOST))
    }

    fn heads(&self, state: &State) -> Vec<HeadIx> {
        act::like_this(state, self.from, self.count())
    }

    fn record(&self, view: &View<'_>) -> Vec<Effect> {
        let Some(desk) = view.desk else { return Vec::new() };
        let heads = self.heads(desk.state());
        let Some(last) = heads.last() else {
            return vec![Effect::Warn("Type how many of the next heads show the same".to_owned())];
        };
        let same = |head: Heads| Saw { head, of: None, clearance: None, note: None, ..self.saw.clone() };
        let drafts: Vec<Draft> = act::ranges(desk.state(), &heads)
            .into_iter()
            .map(|heads| Draft::from(What::Saw(Box::new(same(heads)))))
            .collect();
        let told = format!("The same recorded on {}", heads_words(heads.len()));
        vec![Effect::Pop, Effect::Record(drafts), Effect::Remember(*last), Effect::Tell(told)]
    }
}

impl Screen for LikeThis {
    fn name(&self) -> &'static str {
        "like this"
    }

    fn keys(&self, _: &View<'_>) -> Vec<KeyLine> {
        lines(KEYS, |action| !matches!(action, Action::Record) || self.count() > 0)
    }

    fn update(&mut self, input: &Input, view: &View<'_>) -> Vec<Effect> {
        if let Input::Key(key) = input {
            match find(KEYS, *key) {
                Some(Action::Record) => return self.record(view),
                Some(Action::Leave) => return vec![Effect::Pop],
                None => {}
            }
        }
        // Only a number means anything here; other letters are not worth an error.
        let letter = |key: &Key| matches!(key, Key::Char(c) if !c.is_ascii_digit()) || *key == Key::Space;
        let meant = match input {
            Input::Key(key) | Input::Again(key) => !letter(key),
            Input::Paste(pasted) => pasted.trim().bytes().all(|b| b.is_ascii_digit()),
        };
        if meant {
            self.field.take(input);
        }
        Vec::new()
    }

    fn draw(&self, view: &View<'_>, area: Rect, buf: &mut Buffer) -> Option<Position> {
        let state = view.desk?.state();
        let width = area.width.saturating_sub(4).min(60);
        let columns = usize::from(width).saturating_sub(2);
        let what = format!("The next heads show the same: {}.", saw_words(state.judge().set(), &self.saw));
        let what = text::wrap(&what, columns);
        let heads = self.heads(state);
        let mut named = vec![String::new()];
        if !heads.is_empty() {
            let ranges: Vec<String> = act::ranges(state, &heads).iter().map(ToString::to_string).collect();
            let known = heads.iter().filter(|h| state.status(**h) != Status::Unseen).count();
            let short = if heads.len() < self.count() { "; the area ends there" } else { "" };
            let entered = if known > 0 { format!("; {known} of them have an entry already") } else { String::new() };
            named =
                text::wrap(&format!("{}: {}{short}{entered}", heads_words(heads.len()), ranges.join(", ")), columns);
        }
        let room = usize::from(area.height).saturating_sub(what.len() + 4).max(1);
        if named.len() > room {
            named.truncate(room);
            if let Some(last) = named.last_mut() {
                *last = text::truncate(&format!("{last} {}", view.glyphs.ellipsis), columns, view.glyphs.ellipsis);
            }
        }
        let height = u16::try_from(what.len() + 2 + named.len().max(2)).unwrap_or(u16::MAX);
        let inner = boxed(view, area, buf, "Like this", width, height);
        let mut rows = (inner.y..inner.bottom()).map(|y| Rect { y, height: 1, ..inner });
        for (words, row) in what.iter().zip(rows.by_ref()) {
            put(buf, row, 1, words, view.theme.text, view);
        }
        let row = rows.next()?;
        let at = put(buf, row, 1, "How many? ", view.theme.text, view);
        let place = Rect { x: row.x + at.min(row.width), width: row.width.saturating_sub(at).min(6), ..row };
        let caret = self.field.draw(view, place, buf, true);
        rows.next();
        for (words, row) in named.iter().zip(rows) {
            put(buf, row, 1, words, view.theme.accent, view);
        }
        caret
    }

    fn takes_text(&self) -> bool {
        true
    }

    fn is_overlay(&self) -> bool {
        true
    }
}
