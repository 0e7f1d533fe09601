//! Finding heads by words: parts of an address, a kind, a state, a sign, a note. It looks when Enter is struck, not at
//! every letter, so that a large site costs nothing while one types.

use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};

use super::head_list::in_words;
use super::walk_words::{cell_state, short_words};
use crate::round::layout::HeadIx;
use crate::round::state::State;
use crate::tui::ask::Field;
use crate::tui::chrome::put;
use crate::tui::keys::{Binding, Key, KeyLine, find, lines};
use crate::tui::screen::{Effect, Input, Message, Screen, View};
use crate::tui::text;

#[derive(Clone, Copy)]
enum Action {
    Take,
    Up,
    Down,
    PageUp,
    PageDown,
    Leave,
}

const KEYS: &[Binding<Action>] = &[
    Binding {
        keys: &[Key::Enter],
        action: Action::Take,
        name: "find, then go",
        help: "look for the words; struck again, go to the head",
        rank: 0,
    },
    Binding { keys: &[Key::Up], action: Action::Up, name: "up", help: "one head up", rank: 9 },
    Binding { keys: &[Key::Down], action: Action::Down, name: "down", help: "one head down", rank: 9 },
    Binding { keys: &[Key::PageUp], action: Action::PageUp, name: "page up", help: "ten heads up", rank: 9 },
    Binding { keys: &[Key::PageDown], action: Action::PageDown, name: "page down", help: "ten heads down", rank: 9 },
    Binding { keys: &[Key::Esc], action: Action::Leave, name: "back", help: "leave without going anywhere", rank: 1 },
];

/// The search.
pub struct Find {
    area: u16,
    field: Field,
    /// What was looked for last, and what was found.
    found: Option<(String, Vec<HeadIx>, usize)>,
    at: usize,
}

/// The most heads that are listed; the count is always whole.
const LISTED: usize = 500;

impl Find {
    /// A search that lists the heads of the area at index `area` first.
    #[must_use]
    pub fn new(area: u16) -> Box<Self> {
        Box::new(Self { area, field: Field::default(), found: None, at: 0 })
    }

    fn take(&mut self, view: &View<'_>) -> Vec<Effect> {
        let Some(state) = view.desk.map(|d| d.state()) else { return Vec::new() };
        let typed = self.field.text().trim().to_lowercase();
        if let Some((looked_for, heads, _)) = &self.found
            && *looked_for == typed
        {
            return match heads.get(self.at) {
                Some(head) => vec![Effect::Pop, Effect::Say(Message::Goto(*head)), Effect::Remember(*head)],
                None => Vec::new(),
            };
        }
        if typed.is_empty() {
            return vec![Effect::Warn("Type a part of an address, a kind, a sign, a word of a note".to_owned())];
        }
        let (heads, count) = search(state, self.area, &typed);
        self.at = 0;
        self.found = Some((typed, heads, count));
        Vec::new()
    }

    fn step(&mut self, by: isize) {
        let last = self.found.as_ref().map_or(0, |(_, heads, _)| heads.len().saturating_sub(1));
        self.at = self.at.saturating_add_signed(by).min(last);
    }
}

/// Heads for which every word is part of the address, the kind, the state or something written about the head.
fn search(state: &State, area: u16, typed: &str) -> (Vec<HeadIx>, usize) {
    let words: Vec<&str> = typed.split_whitespace().collect();
    let register = state.register();
    let kinds: Vec<String> =
        register.kinds.iter().map(|k| format!("{} {}", k.id, k.describe(register.site.units)).to_lowercase()).collect();
    let areas = u16::try_from(register.areas.len()).unwrap_or(u16::MAX);
    let (mut heads, mut count) = (Vec::new(), 0);
    for area in std::iter::once(area).chain((0..areas).filter(|a| *a != area)) {
        for head in crate::round::act::heads_in_order(state, area) {
            let Some(known) = state.layout().head(head) else { continue };
            let kind = kinds.get(usize::from(known.kind.0)).map_or("", String::as_str);
            let mut left: Vec<&str> = words.iter().copied().filter(|w| !kind.contains(w)).collect();
            if !left.is_empty() {
                let about = state.address(head).map_or_else(String::new, |a| a.to_string());
                left.retain(|w| !about.contains(w));
            }
            if !left.is_empty() {
                let written = written_about(state, head);
                left.retain(|w| !written.contains(w));
            }
            if left.is_empty() {
                count += 1;
                if heads.len() < LISTED {
                    heads.push(head);
                }
            }
        }
    }
    (heads, count)
}

fn written_about(state: &State, head: HeadIx) -> String {
    let story = state.story(head);
    let findings = story.findings.iter().map(|f| f.entry);
    let carried = story.carried.iter().map(|c| c.last);
    let others = story.unsure.into_iter().chain(story.unreached).chain(story.notes.iter().copied());
    let mut words = cell_state(state, head).word().to_owned();
    for entry in findings.chain(carried).chain(others).chain(story.deeds.iter().copied()) {
        if let Some(entry) = state.entry(entry) {
            words.push(' ');
            words.push_str(&short_words(state, entry));
        }
    }
    words.to_lowercase()
}

impl Screen for Find {
    fn name(&self) -> &'static str {
        "find"
    }

    fn keys(&self, _: &View<'_>) -> Vec<KeyLine> {
        lines(KEYS, |_| true)
    }

    fn update(&mut self, input: &Input, view: &View<'_>) -> Vec<Effect> {
        if let Input::Key(key) = input {
            match find(KEYS, *key) {
                Some(Action::Take) => return self.take(view),
                Some(Action::Leave) => return vec![Effect::Pop],
                Some(Action::Up) => self.step(-1),
                Some(Action::Down) => self.step(1),
                Some(Action::PageUp) => self.step(-10),
                Some(Action::PageDown) => self.step(10),
                None => {
                    self.field.take(input);
                }
            }
            return Vec::new();
        }
        let does_something = matches!(input, Input::Again(key) if find(KEYS, *key).is_some());
        if !does_something {
            self.field.take(input);
        }
        Vec::new()
    }

    fn draw(&self, view: &View<'_>, area: Rect, buf: &mut Buffer) -> Option<Position> {
        let state = view.desk?.state();
        let mut rows = (area.y..area.bottom()).map(|y| Rect { y, height: 1, ..area });
        let row = rows.next()?;
        let at = put(buf, row, 1, "Find ", view.theme.title, view);
        let place = Rect { x: row.x + at.min(row.width), width: row.width.saturating_sub(at + 1).min(50), ..row };
        let caret = self.field.draw(view, place, buf, true);
        let row = rows.next()?;
        let Some((looked_for, heads, count)) = &self.found else {
            put(buf, row, 1, "Part of an address, a kind, a state, a sign, a word of a note", view.theme.dim, view);
            return caret;
        };
        let stale = *looked_for != self.field.text().trim().to_lowercase();
        let told = match (stale, *count) {
            (true, _) => "Enter looks again".to_owned(),
            (_, 0) => "No head matches every word".to_owned(),
            (_, n) if n > heads.len() => format!("{n} heads, the first {} of them; Enter goes there", heads.len()),
            (_, n) => format!("{}; Enter goes there", super::walk_words::heads_words(n)),
        };
        put(buf, row, 1, &told, view.theme.dim, view);
        let left: Vec<Rect> = rows.collect();
        let first = self.at.saturating_sub(left.len() / 2).min(heads.len().saturating_sub(left.len()));
        for (row, (n, head)) in left.iter().zip(heads.iter().enumerate().skip(first)) {
            let here = n == self.at;
            let cell = cell_state(state, *head);
            let address = state.address(*head).map_or_else(String::new, |a| a.to_string());
            let kind = state.layout().head(*head).and_then(|h| state.register().kind(h.kind));
            let kind = kind.map_or_else(String::new, |k| text::plain(&k.id));
            let words = in_words(state, *head).unwrap_or_else(|| cell.word().to_owned());
            let ellipsis = view.glyphs.ellipsis;
            let at = put(buf, *row, 1, if here { view.glyphs.point_right } else { " " }, view.theme.accent, view);
            let at = put(buf, *row, at + 1, cell.glyph(view.glyphs), cell.style(view.theme), view);
            let style = if here { view.theme.cursor } else { view.theme.text };
            let at = put(buf, *row, at + 1, &text::pad(&address, 16, ellipsis), style, view);
            let at = put(buf, *row, at + 1, &text::pad(&kind, 14, ellipsis), view.theme.dim, view);
            put(buf, *row, at + 1, &words, view.theme.text, view);
        }
        caret
    }

    fn takes_text(&self) -> bool {
        true
    }
}
