//! The sweep: the rest of a line or of the area recorded as seen, with the counts named before anything is recorded.
//! The key that brings it up does nothing in it.

use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};

use super::walk_words::heads_words;
use crate::round::act::{self, Reach};
use crate::round::entry::What;
use crate::round::layout::HeadIx;
use crate::round::state::State;
use crate::tui::ask::boxed;
use crate::tui::chrome::put;
use crate::tui::keys::{Binding, Key, KeyLine, find, lines};
use crate::tui::screen::{Draft, Effect, Input, Screen, View};
use crate::tui::text;

#[derive(Clone, Copy)]
enum Answer {
    Line,
    Area,
    Leave,
}

const KEYS: &[Binding<Answer>] = &[
    Binding {
        keys: &[Key::Char('y')],
        action: Answer::Line,
        name: "this line",
        help: "the rest of this line",
        rank: 0,
    },
    Binding {
        keys: &[Key::Char('a')],
        action: Answer::Area,
        name: "whole area",
        help: "the rest of the whole area",
        rank: 1,
    },
    Binding { keys: &[Key::Esc, Key::Char('n')], action: Answer::Leave, name: "back", help: "record nothing", rank: 2 },
];

/// The question.
pub struct Sweep {
    area: u16,
    line: u16,
    head: HeadIx,
    on_line: usize,
    in_area: usize,
    left_out: String,
}

impl Sweep {
    /// Asks about the line numbered `line` and its area; `head` is where one stands.
    #[must_use]
    pub fn new(state: &State, area: u16, line: u16, head: HeadIx) -> Box<Self> {
        let on_line = act::sweep(state, area, Reach::Line(line)).0;
        let in_area = act::sweep(state, area, Reach::Area).0;
        let counts = state.area_counts(area);
        let ruled = counts.seen.saturating_sub(counts.ruled(crate::rules::model::Ruling::Keep));
        let left_out = [
            (ruled, "ruled"),
            (counts.carried, "with an earlier finding to answer"),
            (counts.unsure, "not to be judged"),
            (counts.unreached, "not reached"),
        ]
        .iter()
        .filter(|(n, _)| *n > 0)
        .map(|(n, what)| format!("{n} {what}"))
        .collect::<Vec<_>>()
        .join(", ");
        Box::new(Self { area, line, head, on_line, in_area, left_out })
    }

    fn record(&self, reach: Reach, view: &View<'_>) -> Vec<Effect> {
        let Some(desk) = view.desk else { return Vec::new() };
        let (count, ranges) = act::sweep(desk.state(), self.area, reach);
        if count == 0 {
            return vec![Effect::Warn("Nothing is left to sweep there".to_owned())];
        }
        let drafts = ranges.into_iter().map(|heads| Draft::from(What::Seen(heads))).collect();
        let told = format!("{} recorded as seen", heads_words(count));
        vec![Effect::Pop, Effect::Record(drafts), Effect::Remember(self.head), Effect::Tell(told)]
    }
}

impl Screen for Sweep {
    fn name(&self) -> &'static str {
        "sweep"
    }

    fn keys(&self, _: &View<'_>) -> Vec<KeyLine> {
        lines(KEYS, |answer| match answer {
            Answer::Line => self.on_line > 0,
            Answer::Area => self.in_area > 0,
            Answer::Leave => true,
        })
    }

    fn update(&mut self, input: &Input, view: &View<'_>) -> Vec<Effect> {
        let Input::Key(key) = input else { return Vec::new() };
        match find(KEYS, *key) {
            Some(Answer::Line) => self.record(Reach::Line(self.line), view),
            Some(Answer::Area) => self.record(Reach::Area, view),
            Some(Answer::Leave) => vec![Effect::Pop],
            None => Vec::new(),
        }
    }

    fn draw(&self, view: &View<'_>, area: Rect, buf: &mut Buffer) -> Option<Position> {
        let width = area.width.saturating_sub(4).min(58);
        let mut notes = text::wrap("You have looked at each of them and saw nothing.", usize::from(width));
        if !self.left_out.is_empty() {
            notes.extend(text::wrap(&format!("Left out: {}.", self.left_out), usize::from(width)));
        }
        let height = u16::try_from(notes.len() + 5).unwrap_or(u16::MAX);
        let inner = boxed(view, area, buf, "Record the rest as seen", width, height);
        let mut rows = (inner.y..inner.bottom()).map(|y| Rect { y, height: 1, ..inner });
        let reaches =
            [("y", format!("this line, {}", self.line), self.on_line), ("a", "whole area".to_owned(), self.in_area)];
        for (key, what, count) in reaches {
            let row = rows.next()?;
            let (key_style, style) =
                if count > 0 { (view.theme.key, view.theme.text) } else { (view.theme.dim, view.theme.dim) };
            let at = put(buf, row, 1, key, key_style, view);
            let at = put(buf, row, at + 2, &text::pad(&what, 18, view.glyphs.ellipsis), style, view);
            put(buf, row, at + 1, &heads_words(count), if count > 0 { view.theme.accent } else { style }, view);
        }
        rows.next();
        for (words, row) in notes.iter().zip(rows.by_ref()) {
            put(buf, row, 1, words, view.theme.dim, view);
        }
        rows.next();
        if let Some(row) = rows.next() {
            let at = put(buf, row, 1, "Esc", view.theme.key, view);
            put(buf, row, at, " records nothing", view.theme.hint, view);
        }
        None
    }

    fn is_overlay(&self) -> bool {
        true
    }
}
