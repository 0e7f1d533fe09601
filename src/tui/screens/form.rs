//! Forms: labelled fields one below the other, each checked with a sentence under it, and a last row that takes the
//! whole. A form is a screen; what becomes of its answers is handed in.

use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};
use ratatui::style::Style;

pub use super::form_rows::{Answer, Row, Rows};
use super::moves::around;
use crate::tui::ask::Confirm;
use crate::tui::chrome::put;
use crate::tui::keys::{Binding, Key, KeyLine, find, lines};
use crate::tui::screen::{Effect, Input, Screen, View};
use crate::tui::text;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Filling {
    Next,
    Down,
    Up,
    Leave,
}

const FILLING: &[Binding<Filling>] = &[
    Binding {
        keys: &[Key::Enter],
        action: Filling::Next,
        name: "next, done",
        help: "to the next row; on the last one, take the whole form",
        rank: 0,
    },
    Binding { keys: &[Key::Down, Key::Tab], action: Filling::Down, name: "down", help: "to the next row", rank: 3 },
    Binding { keys: &[Key::Up, Key::BackTab], action: Filling::Up, name: "up", help: "to the row before", rank: 4 },
    Binding {
        keys: &[Key::Esc],
        action: Filling::Leave,
        name: "back",
        help: "leave the form; asks first when something was typed",
        rank: 1,
    },
];

#[derive(Clone, Copy)]
enum Choosing {
    Before,
    After,
    Turn,
}

/// Keys of a row with given words.
const CHOOSING: &[Binding<Choosing>] = &[
    Binding { keys: &[Key::Left], action: Choosing::Before, name: "before", help: "the word before", rank: 9 },
    Binding { keys: &[Key::Right], action: Choosing::After, name: "other word", help: "the next word", rank: 2 },
    Binding {
        keys: &[Key::Space],
        action: Choosing::Turn,
        name: "choose",
        help: "the next word, or on and off where several may be chosen",
        rank: 2,
    },
];

/// What becomes of the answers; the form stays where it fails.
pub type Then = Box<dyn Fn(&Rows, &View<'_>) -> Vec<Effect>>;

/// Changes a form while it is being filled in: rows that follow from others, rows that are added.
pub type Live = fn(&mut Rows, &str, &View<'_>);

/// A form as a screen.
pub struct Form {
    name: &'static str,
    title: String,
    intro: Vec<String>,
    rows: Rows,
    /// The row one stands on; one past the last is the row that takes the whole.
    at: usize,
    done: String,
    touched: bool,
    live: Option<Live>,
    then: Then,
}

impl Form {
    /// A form. `name` is what help calls it; `done` names what the last row does.
    #[must_use]
    pub fn new(name: &'static str, title: impl Into<String>, rows: Vec<Row>, done: &str, then: Then) -> Self {
        Self {
            name,
            title: title.into(),
            intro: Vec::new(),
            rows: Rows(rows),
            at: 0,
            done: done.to_owned(),
            touched: false,
            live: None,
            then,
        }
    }

    /// With paragraphs above the fields.
    #[must_use]
    pub fn intro(mut self, intro: Vec<String>) -> Self {
        self.intro = intro;
        self
    }

    /// With something that happens while it is being filled in; it gets the key of the row that changed.
    #[must_use]
    pub fn live(mut self, live: Live) -> Self {
        self.live = Some(live);
        self
    }

    /// The rows as they stand.
    pub(super) const fn rows(&self) -> &Rows {
        &self.rows
    }

    /// The row one stands on; one past the last takes the whole, and one beyond that is no row at all.
    pub(super) const fn at(&self) -> usize {
        self.at
    }

    /// Stands on a row.
    pub(super) const fn stand(&mut self, at: usize) {
        self.at = at;
    }

    /// Whether something was typed or chosen.
    pub(super) const fn is_touched(&self) -> bool {
        self.touched
    }

    /// Writes into a row that is answered by typing, as if a hand had.
    pub(super) fn write(&mut self, key: &str, words: &str) {
        if let Some(Answer::Text(field)) = self.rows.row(key).map(|r| &mut r.answer) {
            *field = crate::tui::ask::Field::new(words);
            self.touched = true;
        }
    }

    fn here(&self) -> Option<&Row> {
        self.rows.0.get(self.at)
    }

    fn examine_here(&mut self, view: &View<'_>) -> bool {
        self.rows.0.get_mut(self.at).is_none_or(|row| row.examine(view))
    }

    fn take_whole(&mut self, view: &View<'_>) -> Vec<Effect> {
        if self.examine_all(view) {
            return (self.then)(&self.rows, view);
        }
        vec![Effect::Warn("Something is still missing: see the marked row".to_owned())]
    }

    /// Checks every row; where one is wrong, one stands on the first of them afterwards.
    pub(super) fn examine_all(&mut self, view: &View<'_>) -> bool {
        let mut first_wrong = None;
        for (at, row) in self.rows.0.iter_mut().enumerate() {
            if !row.examine(view) && first_wrong.is_none() {
                first_wrong = Some(at);
            }
        }
        if let Some(at) = first_wrong {
            self.at = at;
        }
        first_wrong.is_none()
    }

    fn fill(&mut self, what: Filling, view: &View<'_>) -> Vec<Effect> {
        match what {
            Filling::Next if self.at >= self.rows.0.len() => return self.take_whole(view),
            Filling::Next => {
                if self.examine_here(view) {
                    self.at += 1;
                }
            }
            Filling::Down => {
                self.examine_here(view);
                self.at = (self.at + 1).min(self.rows.0.len());
            }
            Filling::Up => {
                self.examine_here(view);
                self.at = self.at.saturating_sub(1);
            }
            Filling::Leave if self.touched => {
                let question = "What was typed into the form will not be kept.";
                return vec![Effect::Push(Confirm::new(
                    "Leave the form?",
                    question,
                    Box::new(|(), _| vec![Effect::Pop]),
                ))];
            }
            Filling::Leave => return vec![Effect::Pop],
        }
        Vec::new()
    }

    /// Takes an input into the row one stands on; whether it meant something there comes back.
    fn answer(&mut self, input: &Input) -> bool {
        let Some(row) = self.rows.0.get_mut(self.at) else { return false };
        let took = match &mut row.answer {
            Answer::Text(field) => field.take(input),
            Answer::One(words, at) => choose(input, words.len(), at).is_some() || by_letter(input, words, at),
            Answer::Named(names, at) => {
                let words: Vec<&str> = names.iter().map(|(name, _)| name.as_str()).collect();
                choose(input, words.len(), at).is_some() || by_letter(input, &words, at)
            }
            Answer::Any(words, at) => match choose(input, words.len(), at) {
                Some(Choosing::Turn) => {
                    if let Some((_, on)) = words.get_mut(*at) {
                        *on = !*on;
                    }
                    true
                }
                other => other.is_some(),
            },
        };
        if took {
            row.wrong = None;
            self.touched = true;
        }
        took
    }
}

/// Moves among words; Space is left to the caller where several may be chosen, and moves on where one may.
fn choose(input: &Input, all: usize, at: &mut usize) -> Option<Choosing> {
    let (Input::Key(key) | Input::Again(key)) = input else { return None };
    let action = find(CHOOSING, *key)?;
    match action {
        Choosing::Before => *at = at.checked_sub(1).unwrap_or(all.saturating_sub(1)),
        Choosing::After => *at = if *at + 1 < all { *at + 1 } else { 0 },
        Choosing::Turn => {}
    }
    Some(action)
}

/// The next word that starts with the letter struck, or the word of the number struck; Space goes on to the next word.
fn by_letter(input: &Input, words: &[&str], at: &mut usize) -> bool {
    let Input::Key(Key::Char(c)) = input else { return false };
    let order = (*at + 1..words.len()).chain(0..*at + 1);
    let numbered = c.to_digit(10).and_then(|n| usize::try_from(n).ok()?.checked_sub(1)).filter(|n| *n < words.len());
    match order.into_iter().find(|i| words.get(*i).is_some_and(|w| w.starts_with(*c))).or(numbered) {
        Some(found) => {
            *at = found;
            true
        }
        None => false,
    }
}

impl Screen for Form {
    fn name(&self) -> &'static str {
        self.name
    }

    fn keys(&self, _: &View<'_>) -> Vec<KeyLine> {
        let given = self.here().is_some_and(|r| !matches!(r.answer, Answer::Text(_)));
        let mut own = lines(FILLING, |a| match a {
            Filling::Up => self.at > 0,
            Filling::Down => self.at < self.rows.0.len(),
            Filling::Next | Filling::Leave => true,
        });
        own.extend(
            lines(CHOOSING, |_| given).into_iter().map(|l| KeyLine { rank: if given { l.rank } else { 9 }, ..l }),
        );
        own
    }

    fn update(&mut self, input: &Input, view: &View<'_>) -> Vec<Effect> {
        if let Input::Key(key) = input
            && let Some(what) = find(FILLING, *key)
        {
            return self.fill(what, view);
        }
        // With one word only, Space means the next one.
        let input = match (input, self.here().map(|r| &r.answer)) {
            (Input::Key(Key::Space), Some(Answer::One(..) | Answer::Named(..))) => &Input::Key(Key::Right),
            _ => input,
        };
        if self.answer(input)
            && let Some(live) = self.live
        {
            let key = self.here().map(|r| r.key.clone()).unwrap_or_default();
            live(&mut self.rows, &key, view);
        }
        Vec::new()
    }

    fn draw(&self, view: &View<'_>, area: Rect, buf: &mut Buffer) -> Option<Position> {
        let columns = usize::from(area.width).saturating_sub(3).min(92);
        let label = self.rows.0.iter().map(|r| text::width(&r.label)).max().unwrap_or(0).min(columns / 3);
        let drawn = self.compose(view, columns, label);
        let focus = drawn.iter().position(|l| matches!(l, Drawn::Row(at) if *at == self.at)).unwrap_or(0);
        // The first row brings the title and the words above it into sight.
        let focus = if self.at == 0 { focus.min(usize::from(area.height) / 2) } else { focus };
        let window = around(focus, drawn.len(), usize::from(area.height));
        let (above, below) = (window.start > 0, window.end < drawn.len());
        let mut caret = None;
        for (n, line) in drawn.get(window).unwrap_or_default().iter().enumerate() {
            let Ok(n) = u16::try_from(n) else { break };
            let row = Rect { x: area.x + 1, y: area.y + n, width: area.width.saturating_sub(2), height: 1 };
            match line {
                Drawn::Words(indent, words, style) => {
                    let indent = u16::try_from(*indent).unwrap_or(0);
                    put(buf, row, indent, words, *style, view);
                }
                Drawn::Row(at) => caret = self.draw_row(*at, view, row, buf, label, columns).or(caret),
            }
        }
        let mark = |y: u16| Rect { x: area.right().saturating_sub(1), y, width: 1, height: 1 };
        if above && area.width > 1 {
            put(buf, mark(area.y), 0, view.glyphs.up, view.theme.accent, view);
        }
        if below && area.width > 1 {
            put(buf, mark(area.bottom() - 1), 0, view.glyphs.down, view.theme.accent, view);
        }
        caret
    }

    fn takes_text(&self) -> bool {
        true
    }
}

/// The word chosen, with marks at both sides where there are others.
fn draw_one(word: &str, here: bool, others: bool, view: &View<'_>, field: Rect, buf: &mut Buffer) {
    let turns = here && others;
    if turns {
        let before = Rect { x: field.x.saturating_sub(2), width: 1, ..field };
        put(buf, before, 0, view.glyphs.left, view.theme.accent, view);
    }
    let end = put(buf, field, 0, word, if here { view.theme.cursor } else { view.theme.text }, view);
    if turns {
        put(buf, field, end + 1, view.glyphs.right, view.theme.accent, view);
    }
}

enum Drawn {
    Words(usize, String, Style),
    Row(usize),
}

impl Form {
    fn compose(&self, view: &View<'_>, columns: usize, label: usize) -> Vec<Drawn> {
        let mut drawn = vec![Drawn::Words(0, text::plain(&self.title), view.theme.title)];
        let gap = || Drawn::Words(0, String::new(), view.theme.text);
        for paragraph in &self.intro {
            drawn.extend(text::wrap(paragraph, columns).into_iter().map(|l| Drawn::Words(0, l, view.theme.text)));
        }
        drawn.push(gap());
        let hang = label + 4;
        for (at, row) in self.rows.0.iter().enumerate() {
            if let Some(heading) = row.heading {
                if at > 0 {
                    drawn.push(gap());
                }
                drawn.push(Drawn::Words(0, heading.to_owned(), view.theme.title));
            }
            drawn.push(Drawn::Row(at));
            let room = columns.saturating_sub(hang).max(10);
            if let Some(wrong) = &row.wrong {
                let words = format!("{} {wrong}", view.glyphs.cross);
                drawn.extend(text::wrap(&words, room).into_iter().map(|l| Drawn::Words(hang, l, view.theme.error)));
            } else if at == self.at && !row.about().is_empty() {
                drawn.extend(text::wrap(row.about(), room).into_iter().map(|l| Drawn::Words(hang, l, view.theme.dim)));
            }
        }
        drawn.push(gap());
        drawn.push(Drawn::Row(self.rows.0.len()));
        drawn
    }

    fn draw_row(
        &self,
        at: usize,
        view: &View<'_>,
        row: Rect,
        buf: &mut Buffer,
        label: usize,
        columns: usize,
    ) -> Option<Position> {
        let here = at == self.at;
        let mark = if here { view.glyphs.point_right } else { " " };
        let column = put(buf, row, 0, mark, view.theme.accent, view) + 1;
        let Some(it) = self.rows.0.get(at) else {
            let style = if here { view.theme.cursor } else { view.theme.accent };
            put(buf, row, column, &format!(" {} ", self.done), style, view);
            return None;
        };
        let style = if here { view.theme.accent } else { view.theme.text };
        let name = text::pad(&text::plain(&it.label), label, view.glyphs.ellipsis);
        let column = put(buf, row, column, &name, style, view) + 2;
        let width = u16::try_from(columns).unwrap_or(u16::MAX).min(row.width).saturating_sub(column);
        let field = Rect { x: row.x + column, width, ..row };
        match &it.answer {
            Answer::Text(text) => text.draw(view, field, buf, here),
            Answer::One(words, at) => {
                let word = words.get(*at).copied().unwrap_or_default();
                draw_one(word, here, words.len() > 1, view, field, buf);
                None
            }
            Answer::Named(names, at) => {
                let word = names.get(*at).map_or("", |(name, _)| name.as_str());
                draw_one(word, here, names.len() > 1, view, field, buf);
                None
            }
            Answer::Any(words, on) => {
                self.draw_any(words, *on, here, view, field, buf);
                None
            }
        }
    }

    fn draw_any(
        &self,
        words: &[(&'static str, bool)],
        at: usize,
        here: bool,
        view: &View<'_>,
        row: Rect,
        buf: &mut Buffer,
    ) {
        if !here {
            let chosen: Vec<&str> = words.iter().filter(|(_, on)| *on).map(|(w, _)| *w).collect();
            let shown = if chosen.is_empty() { "none".to_owned() } else { chosen.join(", ") };
            put(buf, row, 0, &shown, view.theme.text, view);
            return;
        }
        // As many neighbours as fit are shown around the word that Space acts upon.
        let mut first = at;
        let width = |from: usize| -> usize {
            words.get(from..=at).unwrap_or_default().iter().map(|(w, _)| text::width(w) + 4).sum()
        };
        while first > 0 && width(first - 1) + 2 <= usize::from(row.width) {
            first -= 1;
        }
        let before = Rect { x: row.x.saturating_sub(2), width: 1, ..row };
        put(buf, before, 0, if first > 0 { view.glyphs.left } else { " " }, view.theme.accent, view);
        let mut column = 0;
        for (number, (word, on)) in words.iter().enumerate().skip(first) {
            if usize::from(column) + text::width(word) + 3 > usize::from(row.width) {
                put(buf, row, row.width.saturating_sub(1), view.glyphs.right, view.theme.accent, view);
                return;
            }
            let mark = if *on { view.glyphs.check } else { view.glyphs.open };
            let style = match (number == at, *on) {
                (true, _) => view.theme.cursor,
                (false, true) => view.theme.accent,
                (false, false) => view.theme.dim,
            };
            column = put(buf, row, column, &format!("{mark} {word}"), style, view) + 2;
        }
    }
}
