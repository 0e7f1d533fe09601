//! Moving through what is longer than the screen: one key table for all lists and sheets, a cursor for lists, a scroll
//! for sheets. What is drawn is always a window; its size is the screen's, not the site's.

use std::cell::Cell;
use std::ops::Range;

use crate::tui::keys::{Binding, Key, KeyLine, find};
use crate::tui::screen::{Effect, Input};

/// A way of moving.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Move {
    /// One row up.
    Up,
    /// One row down.
    Down,
    /// A page up.
    PageUp,
    /// A page down.
    PageDown,
    /// To the first row.
    First,
    /// To the last row.
    Last,
}

/// The keys that move.
pub const MOVES: &[Binding<Move>] = &[
    Binding { keys: &[Key::Up], action: Move::Up, name: "up", help: "one row up", rank: 9 },
    Binding { keys: &[Key::Down], action: Move::Down, name: "down", help: "one row down", rank: 9 },
    Binding { keys: &[Key::PageUp], action: Move::PageUp, name: "page up", help: "a page up", rank: 9 },
    Binding { keys: &[Key::PageDown], action: Move::PageDown, name: "page down", help: "a page down", rank: 9 },
    Binding { keys: &[Key::Home], action: Move::First, name: "first", help: "to the first row", rank: 9 },
    Binding { keys: &[Key::End], action: Move::Last, name: "last", help: "to the last row", rank: 9 },
];

/// The keys that move, in pairs, as help and docs list them.
#[must_use]
pub fn key_lines(works: bool) -> Vec<KeyLine> {
    let pairs = [
        ([Key::Up, Key::Down], "up, down", "one row up or down"),
        ([Key::PageUp, Key::PageDown], "page", "a page up or down"),
        ([Key::Home, Key::End], "ends", "to the first or the last row"),
    ];
    let line = |(keys, name, help): ([Key; 2], &str, &str)| KeyLine {
        keys: keys.map(Key::name).join("/"),
        name: name.to_owned(),
        help: help.to_owned(),
        rank: 9,
        works,
    };
    pairs.into_iter().map(line).collect()
}

/// The row that keys act upon in a list.
#[derive(Debug, Default)]
pub struct Cursor {
    /// Its index.
    pub at: usize,
    /// How many rows the last drawing had room for; only page keys ask.
    page: Cell<usize>,
}

impl Cursor {
    /// A cursor on a row.
    #[must_use]
    pub fn on(at: usize) -> Self {
        Self { at, ..Self::default() }
    }

    /// Moves within `all` rows.
    pub fn step(&mut self, by: Move, all: usize) {
        let page = self.page.get().max(2) - 1;
        let last = all.saturating_sub(1);
        self.at = match by {
            Move::Up => self.at.saturating_sub(1),
            Move::Down => self.at + 1,
            Move::PageUp => self.at.saturating_sub(page),
            Move::PageDown => self.at + page,
            Move::First => 0,
            Move::Last => last,
        }
        .min(last);
    }

    /// Stays within `all` rows after they have changed.
    pub fn keep_within(&mut self, all: usize) {
        self.at = self.at.min(all.saturating_sub(1));
    }

    /// The rows that show where `room` of `all` fit: those around the cursor, as far as the ends allow.
    pub fn window(&self, all: usize, room: usize) -> Range<usize> {
        self.page.set(room);
        around(self.at, all, room)
    }
}

/// The rows around `at` that show where `room` of `all` fit.
#[must_use]
pub fn around(at: usize, all: usize, room: usize) -> Range<usize> {
    let first = at.saturating_sub(room / 2).min(all.saturating_sub(room));
    first..(first + room).min(all)
}

/// How far a sheet is scrolled. The drawing alone knows how many rows there are, so it leaves that here.
#[derive(Debug, Default)]
pub struct Scroll {
    top: Cell<usize>,
    all: Cell<usize>,
    room: Cell<usize>,
}

impl Scroll {
    /// What a page that is only read makes of a key: it is left by those of `leave`, and moved through.
    pub fn read(&mut self, leave: &[Binding<()>], input: &Input) -> Vec<Effect> {
        let Input::Key(key) = input else { return Vec::new() };
        if find(leave, *key).is_some() {
            return vec![Effect::Pop];
        }
        if let Some(by) = find(MOVES, *key) {
            self.step(by);
        }
        Vec::new()
    }

    /// Whether the last drawing had more rows than fitted.
    #[must_use]
    pub const fn is_longer(&self) -> bool {
        self.all.get() > self.room.get()
    }

    /// Moves.
    pub fn step(&mut self, by: Move) {
        let most = self.all.get().saturating_sub(self.room.get());
        let page = self.room.get().max(2) - 1;
        let top = self.top.get();
        self.top.set(
            match by {
                Move::Up => top.saturating_sub(1),
                Move::Down => top + 1,
                Move::PageUp => top.saturating_sub(page),
                Move::PageDown => top + page,
                Move::First => 0,
                Move::Last => most,
            }
            .min(most),
        );
    }

    /// The rows that show, where `room` of `all` fit; `see` are rows that must be among them.
    pub fn window(&self, all: usize, room: usize, see: Option<Range<usize>>) -> Range<usize> {
        self.all.set(all);
        self.room.set(room);
        let mut top = self.top.get();
        if let Some(see) = see {
            top = top.max(see.end.saturating_sub(room)).min(see.start);
        }
        top = top.min(all.saturating_sub(room));
        self.top.set(top);
        top..(top + room).min(all)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_key_that_moves_is_listed() {
        let listed: Vec<String> =
            key_lines(true).iter().flat_map(|l| l.keys.split('/').map(str::to_owned).collect::<Vec<_>>()).collect();
        let bound: Vec<String> = MOVES.iter().flat_map(|b| b.keys.iter().map(|k| k.name())).collect();
        assert_eq!(listed, bound);
    }

    #[test]
    fn a_cursor_never_leaves_its_rows() {
        let mut cursor = Cursor::default();
        assert_eq!(cursor.window(100, 10), 0..10);
        for (by, at) in [
            (Move::Up, 0),
            (Move::Down, 1),
            (Move::PageDown, 10),
            (Move::Last, 99),
            (Move::Down, 99),
            (Move::PageUp, 90),
            (Move::First, 0),
        ] {
            cursor.step(by, 100);
            assert_eq!(cursor.at, at, "{by:?}");
        }
        cursor.step(Move::Last, 0);
        assert_eq!(cursor.at, 0);
        cursor.at = 50;
        assert_eq!(cursor.window(100, 10), 45..55);
        assert_eq!(cursor.window(100, 0), 50..50);
        cursor.keep_within(3);
        assert_eq!(cursor.at, 2);
    }

    #[test]
    fn a_scroll_stops_at_the_ends_and_shows_what_must_be_seen() {
        let mut scroll = Scroll::default();
        assert_eq!(scroll.window(30, 10, None), 0..10);
        scroll.step(Move::Last);
        assert_eq!(scroll.window(30, 10, None), 20..30);
        scroll.step(Move::PageUp);
        assert_eq!(scroll.window(30, 10, None), 11..21);
        assert_eq!(scroll.window(30, 10, Some(2..3)), 2..12);
        assert_eq!(scroll.window(30, 10, Some(25..27)), 17..27);
        assert_eq!(scroll.window(5, 10, None), 0..5);
    }
}
