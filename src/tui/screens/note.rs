//! A note of several lines about a head.

use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};
use ratatui::widgets::Widget as _;
use tui_textarea::{CursorMove, Input as Stroke, Key as StrokeKey, TextArea, WrapMode};

use crate::round::entry::{Note as NoteEntry, What};
use crate::trade::address::Heads;
use crate::tui::ask::{Confirm, boxed};
use crate::tui::keys::{Binding, Key, KeyLine, find, lines};
use crate::tui::screen::{Draft, Effect, Input, Screen, View};

#[derive(Clone, Copy)]
enum Action {
    Record,
    NewLine,
    Leave,
}

const KEYS: &[Binding<Action>] = &[
    Binding { keys: &[Key::Tab], action: Action::Record, name: "record", help: "record the note", rank: 0 },
    Binding { keys: &[Key::Enter], action: Action::NewLine, name: "new line", help: "start a new line", rank: 1 },
    Binding { keys: &[Key::Esc], action: Action::Leave, name: "back", help: "leave without the note", rank: 2 },
];

/// The most bytes of a note: an entry is one line of the file.
const MOST: usize = 4000;

/// The text being written.
pub struct Note {
    heads: Heads,
    text: TextArea<'static>,
}

impl Note {
    /// A note about heads.
    #[must_use]
    pub fn new(heads: Heads, view: &View<'_>) -> Box<Self> {
        let mut text = TextArea::default();
        text.set_style(view.theme.text);
        text.set_cursor_line_style(view.theme.text);
        text.set_cursor_style(view.theme.cursor);
        text.set_wrap_mode(WrapMode::WordOrGlyph);
        Box::new(Self { heads, text })
    }

    fn words(&self) -> String {
        self.text.lines().join("\n").trim().to_owned()
    }

    fn length(&self) -> usize {
        self.text.lines().iter().map(|l| l.len() + 1).sum()
    }

    fn take(&mut self, key: Key) {
        let stroke = |key| Stroke { key, ctrl: false, alt: false, shift: false };
        let full = self.length() >= MOST;
        let movement = match key {
            Key::Char(c) if !full => {
                self.text.input_without_shortcuts(stroke(StrokeKey::Char(c)));
                return;
            }
            Key::Space if !full => {
                self.text.insert_char(' ');
                return;
            }
            Key::Backspace => {
                self.text.delete_char();
                return;
            }
            Key::Delete => {
                self.text.delete_next_char();
                return;
            }
            Key::Up => CursorMove::Up,
            Key::Down => CursorMove::Down,
            Key::Left => CursorMove::Back,
            Key::Right => CursorMove::Forward,
            Key::Home => CursorMove::Head,
            Key::End => CursorMove::End,
            _ => return,
        };
        self.text.move_cursor(movement);
    }

    fn record(&self) -> Vec<Effect> {
        let text = self.words();
        if text.is_empty() {
            return vec![Effect::Warn("Nothing is written yet: Esc leaves".to_owned())];
        }
        let note = NoteEntry { head: Some(self.heads.clone()), text };
        vec![Effect::Pop, Effect::Record(vec![Draft::from(What::Note(Box::new(note)))])]
    }
}

impl Screen for Note {
    fn name(&self) -> &'static str {
        "note"
    }

    fn keys(&self, _: &View<'_>) -> Vec<KeyLine> {
        lines(KEYS, |_| true)
    }

    fn update(&mut self, input: &Input, _: &View<'_>) -> Vec<Effect> {
        match input {
            Input::Paste(pasted) => {
                let free = MOST.saturating_sub(self.length());
                let lines: Vec<String> = pasted.lines().map(crate::tui::text::plain).collect();
                let mut tame = lines.join("\n");
                while tame.len() > free {
                    tame.pop();
                }
                self.text.insert_str(tame);
                Vec::new()
            }
            Input::Key(key) => match find(KEYS, *key) {
                Some(Action::Record) => self.record(),
                Some(Action::NewLine) => {
                    if self.length() < MOST {
                        self.text.insert_newline();
                    }
                    Vec::new()
                }
                Some(Action::Leave) if self.words().is_empty() => vec![Effect::Pop],
                Some(Action::Leave) => {
                    let drop = |(), _: &View<'_>| vec![Effect::Pop];
                    vec![Effect::Push(Confirm::new("Note", "Leave without the note you wrote?", Box::new(drop)))]
                }
                None => {
                    self.take(*key);
                    Vec::new()
                }
            },
            // The same letter twice is good English; only keys that do something are guarded.
            Input::Again(key) => {
                if find(KEYS, *key).is_none() {
                    self.take(*key);
                }
                Vec::new()
            }
        }
    }

    fn draw(&self, view: &View<'_>, area: Rect, buf: &mut Buffer) -> Option<Position> {
        let title = format!("Note on {}", self.heads);
        let inner =
            boxed(view, area, buf, &title, area.width.saturating_sub(6).min(72), area.height.saturating_sub(4).min(10));
        let inside = Rect { x: inner.x + 1.min(inner.width), width: inner.width.saturating_sub(2), ..inner };
        if !inside.is_empty() {
            (&self.text).render(inside, buf);
        }
        None
    }

    fn takes_text(&self) -> bool {
        true
    }

    fn is_overlay(&self) -> bool {
        true
    }
}
