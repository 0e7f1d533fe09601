//! Questions as overlays: a confirmation that names what it does, a line of text, a choice from a list. Each hands its
//! answer to a closure that says what is to be done; Esc always leaves without doing it.

use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};
use ratatui::style::Style;
use ratatui::widgets::{Block, Clear, Widget};
use unicode_segmentation::UnicodeSegmentation;

use super::chrome::put;
use super::keys::{Binding, Key, KeyLine, find, lines};
use super::screen::{Effect, Input, Screen, View};
use super::text;

/// What an answer leads to. Effects run after the question has left the screen.
pub type Then<T> = Box<dyn Fn(T, &View<'_>) -> Vec<Effect>>;

/// Checks what was typed before it is taken; the sentence says what to mend.
pub type Check = Box<dyn Fn(&str, &View<'_>) -> Result<(), String>>;

/// A box in the middle of an area, cleared and framed, with a title; its inside comes back.
pub fn boxed(view: &View<'_>, area: Rect, buf: &mut Buffer, title: &str, columns: u16, rows: u16) -> Rect {
    let width = columns.saturating_add(2).min(area.width);
    let height = rows.saturating_add(2).min(area.height);
    let outer = Rect { x: area.x + (area.width - width) / 2, y: area.y + (area.height - height) / 2, width, height };
    Clear.render(outer, buf);
    buf.set_style(outer, view.theme.text);
    let title = text::truncate(&format!(" {title} "), usize::from(width.saturating_sub(2)), view.glyphs.ellipsis);
    let block = Block::bordered().border_set(view.glyphs.border).border_style(view.theme.focus).title(title);
    let inner = block.inner(outer);
    block.render(outer, buf);
    inner
}

/// The same with a column of air at both sides, where there is any to give.
fn airy(view: &View<'_>, area: Rect, buf: &mut Buffer, title: &str, columns: u16, rows: u16) -> Rect {
    let inner = boxed(view, area, buf, title, columns.saturating_add(2), rows);
    let air = u16::from(inner.width > 2);
    Rect { x: inner.x + air, width: inner.width - 2 * air, ..inner }
}

#[derive(Clone, Copy)]
enum Answering {
    Yes,
    No,
}

const YES_NO: &[Binding<Answering>] = &[
    Binding {
        keys: &[Key::Char('y')],
        action: Answering::Yes,
        name: "yes",
        help: "do what the question says",
        rank: 0,
    },
    Binding {
        keys: &[Key::Esc, Key::Char('n')],
        action: Answering::No,
        name: "no",
        help: "leave it as it is",
        rank: 1,
    },
];

/// A question that only `y` answers with yes: never the key that brought it up.
pub struct Confirm {
    title: String,
    question: String,
    then: Then<()>,
}

impl Confirm {
    /// A confirmation; `question` names what will be done and to how many.
    #[must_use]
    pub fn new(title: impl Into<String>, question: impl Into<String>, then: Then<()>) -> Box<Self> {
        Box::new(Self { title: title.into(), question: question.into(), then })
    }
}

impl Screen for Confirm {
    fn name(&self) -> &'static str {
        "confirmation"
    }

    fn keys(&self, _: &View<'_>) -> Vec<KeyLine> {
        lines(YES_NO, |_| true)
    }

    fn update(&mut self, input: &Input, view: &View<'_>) -> Vec<Effect> {
        let Input::Key(key) = input else { return Vec::new() };
        match find(YES_NO, *key) {
            Some(Answering::Yes) => {
                let mut effects = vec![Effect::Pop];
                effects.extend((self.then)((), view));
                effects
            }
            Some(Answering::No) => vec![Effect::Pop],
            None => Vec::new(),
        }
    }

    fn draw(&self, view: &View<'_>, area: Rect, buf: &mut Buffer) -> Option<Position> {
        let width = area.width.saturating_sub(4).min(64);
        let rows = text::wrap(&self.question, usize::from(width));
        let inner = airy(view, area, buf, &self.title, width, u16::try_from(rows.len() + 2).unwrap_or(u16::MAX));
        let mut row = Rect { height: 1, ..inner };
        for words in &rows {
            if row.y >= inner.bottom() {
                return None;
            }
            put(buf, row, 0, words, view.theme.text, view);
            row.y += 1;
        }
        row.y += 1;
        if row.y < inner.bottom() {
            let at = put(buf, row, 0, "y", view.theme.key, view);
            let at = put(buf, row, at, " yes   ", view.theme.hint, view);
            let at = put(buf, row, at, "Esc", view.theme.key, view);
            put(buf, row, at, " no", view.theme.hint, view);
        }
        None
    }

    fn is_overlay(&self) -> bool {
        true
    }
}

/// One line of text being typed; shared by questions and forms. Its caret is the terminal's own.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Field {
    text: String,
    /// Bytes before the caret; always at a grapheme's edge.
    caret: usize,
}

impl Field {
    /// A field that holds `text`, the caret behind it.
    #[must_use]
    pub fn new(text: impl Into<String>) -> Self {
        let text = text.into();
        let caret = text.len();
        Self { text, caret }
    }

    /// What was typed.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.text
    }

    /// Takes a key or a paste; whether it meant something to the field comes back. Line breaks become spaces.
    pub fn take(&mut self, input: &Input) -> bool {
        match input {
            Input::Key(key) | Input::Again(key) => self.strike(*key),
            Input::Paste(pasted) => {
                for c in pasted.chars().take(2000) {
                    if c.is_whitespace() {
                        self.insert(' ');
                    } else if !crate::diag::is_unprintable(c) {
                        self.insert(c);
                    }
                }
                true
            }
        }
    }

    fn strike(&mut self, key: Key) -> bool {
        match key {
            Key::Char(c) => self.insert(c),
            Key::Space => self.insert(' '),
            Key::Left => self.caret = self.before(),
            Key::Right => self.caret = self.after(),
            Key::Home => self.caret = 0,
            Key::End => self.caret = self.text.len(),
            Key::Backspace => {
                let from = self.before();
                self.text.replace_range(from..self.caret, "");
                self.caret = from;
            }
            Key::Delete => {
                let to = self.after();
                self.text.replace_range(self.caret..to, "");
            }
            _ => return false,
        }
        true
    }

    fn insert(&mut self, c: char) {
        if self.text.len() < 4000 {
            self.text.insert(self.caret, c);
            self.caret += c.len_utf8();
        }
    }

    fn before(&self) -> usize {
        let head = self.text.get(..self.caret).unwrap_or_default();
        head.grapheme_indices(true).next_back().map_or(0, |(i, _)| i)
    }

    fn after(&self) -> usize {
        let tail = self.text.get(self.caret..).unwrap_or_default();
        tail.graphemes(true).next().map_or(self.caret, |g| self.caret + g.len())
    }

    /// Draws the field into a row, scrolled so that the caret is in sight; where the caret stands comes back.
    pub fn draw(&self, view: &View<'_>, row: Rect, buf: &mut Buffer, focused: bool) -> Option<Position> {
        buf.set_style(row, view.theme.input);
        let head = self.text.get(..self.caret).unwrap_or_default();
        let space = usize::from(row.width).saturating_sub(1);
        let mut start = 0;
        // A field that nobody types into shows its beginning.
        while focused && text::width(head.get(start..).unwrap_or_default()) > space {
            let rest = head.get(start..).unwrap_or_default();
            let Some(first) = rest.graphemes(true).next() else { break };
            start += first.len();
        }
        put(buf, row, 0, self.text.get(start..).unwrap_or_default(), view.theme.input, view);
        let column = u16::try_from(text::width(head.get(start..).unwrap_or_default())).unwrap_or(u16::MAX);
        (focused && row.height > 0 && column < row.width).then(|| Position::new(row.x + column, row.y))
    }
}

#[derive(Clone, Copy)]
enum Typing {
    Done,
    Leave,
}

const TYPING: &[Binding<Typing>] = &[
    Binding { keys: &[Key::Enter], action: Typing::Done, name: "done", help: "take what was typed", rank: 0 },
    Binding { keys: &[Key::Esc], action: Typing::Leave, name: "back", help: "leave without it", rank: 1 },
];

/// A question answered with a line of text.
pub struct Line {
    title: String,
    prompt: String,
    field: Field,
    wrong: Option<String>,
    check: Check,
    then: Then<String>,
}

impl Line {
    /// A question with what is typed checked before it is taken.
    #[must_use]
    pub fn new(
        title: impl Into<String>,
        prompt: impl Into<String>,
        start: &str,
        check: Check,
        then: Then<String>,
    ) -> Box<Self> {
        Box::new(Self {
            title: title.into(),
            prompt: prompt.into(),
            field: Field::new(start),
            wrong: None,
            check,
            then,
        })
    }
}

impl Screen for Line {
    fn name(&self) -> &'static str {
        "text question"
    }

    fn keys(&self, _: &View<'_>) -> Vec<KeyLine> {
        lines(TYPING, |_| true)
    }

    fn update(&mut self, input: &Input, view: &View<'_>) -> Vec<Effect> {
        if let Input::Key(key) = input {
            match find(TYPING, *key) {
                Some(Typing::Leave) => return vec![Effect::Pop],
                Some(Typing::Done) => {
                    let typed = self.field.text().trim().to_owned();
                    return match (self.check)(&typed, view) {
                        Ok(()) => {
                            let mut effects = vec![Effect::Pop];
                            effects.extend((self.then)(typed, view));
                            effects
                        }
                        Err(why) => {
                            self.wrong = Some(why);
                            Vec::new()
                        }
                    };
                }
                None => {}
            }
        }
        if self.field.take(input) {
            self.wrong = None;
        }
        Vec::new()
    }

    fn draw(&self, view: &View<'_>, area: Rect, buf: &mut Buffer) -> Option<Position> {
        let width = area.width.saturating_sub(4).min(60);
        let prompt = text::wrap(&self.prompt, usize::from(width));
        let wrong = self.wrong.as_deref().map(|w| text::wrap(w, usize::from(width))).unwrap_or_default();
        let height = u16::try_from(prompt.len() + 1 + wrong.len()).unwrap_or(u16::MAX);
        let inner = airy(view, area, buf, &self.title, width, height);
        let mut row = Rect { height: 1, ..inner };
        for words in &prompt {
            if row.y < inner.bottom() {
                put(buf, row, 0, words, view.theme.text, view);
                row.y += 1;
            }
        }
        if row.y >= inner.bottom() {
            return None;
        }
        let caret = self.field.draw(view, row, buf, true);
        for words in &wrong {
            row.y += 1;
            if row.y < inner.bottom() {
                put(buf, row, 0, words, view.theme.error, view);
            }
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

/// One line of a choice.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Choice {
    /// The key that takes it at once.
    pub key: char,
    /// What it is.
    pub name: String,
    /// A few words more.
    pub hint: String,
}

#[derive(Clone, Copy)]
enum Choosing {
    Up,
    Down,
    Take,
    Leave,
}

const CHOOSING: &[Binding<Choosing>] = &[
    Binding { keys: &[Key::Up], action: Choosing::Up, name: "up", help: "one line up", rank: 9 },
    Binding { keys: &[Key::Down], action: Choosing::Down, name: "down", help: "one line down", rank: 9 },
    Binding { keys: &[Key::Enter], action: Choosing::Take, name: "take", help: "take the line one stands on", rank: 0 },
    Binding { keys: &[Key::Esc], action: Choosing::Leave, name: "back", help: "leave without choosing", rank: 1 },
];

/// A choice from a list, by key or by arrows and Enter.
pub struct Choose {
    name: &'static str,
    title: String,
    choices: Vec<Choice>,
    at: usize,
    then: Then<usize>,
}

impl Choose {
    /// A choice; `then` gets the index of what was chosen. `name` is what help calls it.
    #[must_use]
    pub fn new(name: &'static str, title: impl Into<String>, choices: Vec<Choice>, then: Then<usize>) -> Box<Self> {
        Box::new(Self { name, title: title.into(), choices, at: 0, then })
    }

    fn take(&self, at: usize, view: &View<'_>) -> Vec<Effect> {
        if at >= self.choices.len() {
            return Vec::new();
        }
        let mut effects = vec![Effect::Pop];
        effects.extend((self.then)(at, view));
        effects
    }
}

impl Screen for Choose {
    fn name(&self) -> &'static str {
        self.name
    }

    fn keys(&self, _: &View<'_>) -> Vec<KeyLine> {
        let own = self.choices.iter().map(|c| KeyLine {
            keys: c.key.to_string(),
            name: c.name.clone(),
            help: if c.hint.is_empty() { c.name.clone() } else { format!("{}: {}", c.name, c.hint) },
            rank: 9,
            works: true,
        });
        lines(CHOOSING, |_| true).into_iter().chain(own).collect()
    }

    fn update(&mut self, input: &Input, view: &View<'_>) -> Vec<Effect> {
        let Input::Key(key) = input else { return Vec::new() };
        if let Key::Char(c) = key
            && let Some(at) = self.choices.iter().position(|choice| choice.key == *c)
        {
            return self.take(at, view);
        }
        match find(CHOOSING, *key) {
            Some(Choosing::Up) => self.at = self.at.saturating_sub(1),
            Some(Choosing::Down) => self.at = (self.at + 1).min(self.choices.len().saturating_sub(1)),
            Some(Choosing::Take) => return self.take(self.at, view),
            Some(Choosing::Leave) => return vec![Effect::Pop],
            None => {}
        }
        Vec::new()
    }

    fn draw(&self, view: &View<'_>, area: Rect, buf: &mut Buffer) -> Option<Position> {
        // Hints stand below each other, unless one name is so long that they would be driven to the edge.
        let name = self.choices.iter().map(|c| text::width(&c.name)).max().unwrap_or(0).min(32);
        let widest = self.choices.iter().map(|c| name.max(text::width(&c.name)) + text::width(&c.hint) + 8);
        let widest = widest.max().unwrap_or(20);
        let width = u16::try_from(widest).unwrap_or(u16::MAX).clamp(24, area.width.saturating_sub(4).clamp(24, 72));
        let height = u16::try_from(self.choices.len()).unwrap_or(u16::MAX);
        let inner = airy(view, area, buf, &self.title, width, height);
        let shown = usize::from(inner.height);
        let first = self.at.saturating_sub(shown.saturating_sub(1));
        for (n, (at, choice)) in self.choices.iter().enumerate().skip(first).take(shown).enumerate() {
            let Ok(n) = u16::try_from(n) else { break };
            let row = Rect { y: inner.y + n, height: 1, ..inner };
            let here = at == self.at;
            let mark = if here { view.glyphs.point_right } else { " " };
            let column = put(buf, row, 0, mark, view.theme.text, view);
            let column = put(buf, row, column + 1, &choice.key.to_string(), view.theme.key, view);
            let after = put(buf, row, column + 2, &choice.name, view.theme.text, view);
            if !choice.hint.is_empty() {
                let column = after.max(column + 2 + u16::try_from(name).unwrap_or(0)) + 2;
                put(buf, row, column, &choice.hint, view.theme.dim, view);
            }
            if here {
                buf.set_style(row, Style::reset().patch(view.theme.text).patch(view.theme.selected));
            }
        }
        None
    }

    fn is_overlay(&self) -> bool {
        true
    }
}
