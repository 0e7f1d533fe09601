//! Counting a cabinet: one row a kind, digits and Enter down the list. The ledger's numbers are not shown, so that nobody
//! counts what they expect; the review behind the last row shows both.

use std::collections::BTreeMap;

use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};

use super::cabinet_review::Review;
use super::kind_choice;
use super::moves::around;
use super::parts::{self, state};
use crate::round::entry::Counted;
use crate::round::state::State;
use crate::round::stock;
use crate::trade::address::AreaId;
use crate::trade::register::KindIx;
use crate::tui::ask::Confirm;
use crate::tui::chrome::put;
use crate::tui::keys::{Binding, Key, KeyLine, find, lines};
use crate::tui::screen::{Effect, Input, Message, Screen, View};
use crate::tui::spares::{number, to_count};
use crate::tui::text;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Action {
    Next,
    Down,
    Up,
    Unfit,
    Another,
    Erase,
    Review,
    Leave,
}

const KEYS: &[Binding<Action>] = &[
    Binding {
        keys: &[Key::Enter],
        action: Action::Next,
        name: "next",
        help: "to the next kind; on the last one, to the review",
        rank: 1,
    },
    Binding {
        keys: &[Key::Char('u')],
        action: Action::Unfit,
        name: "unfit",
        help: "how many of them must not be used: painted, dented, without a cap, used before",
        rank: 2,
    },
    Binding {
        keys: &[Key::Char('a')],
        action: Action::Another,
        name: "another kind",
        help: "a kind that lies there and is not on this list",
        rank: 3,
    },
    Binding {
        keys: &[Key::Char('r')],
        action: Action::Review,
        name: "review",
        help: "hold the count against the ledger; it is recorded from there",
        rank: 4,
    },
    Binding {
        keys: &[Key::Esc, Key::Char('q')],
        action: Action::Leave,
        name: "back",
        help: "leave the count; asks first when something was typed",
        rank: 5,
    },
    Binding {
        keys: &[Key::Down, Key::Tab],
        action: Action::Down,
        name: "down",
        help: "to the next kind; one left empty was not counted",
        rank: 6,
    },
    Binding { keys: &[Key::Up, Key::BackTab], action: Action::Up, name: "up", help: "to the kind before", rank: 6 },
    Binding {
        keys: &[Key::Backspace],
        action: Action::Erase,
        name: "erase",
        help: "take back the last digit; without one, the kind was not counted",
        rank: 7,
    },
];

/// The digits of a number: more would be no count of spares.
const DIGITS: usize = 5;

struct Line {
    kind: KindIx,
    held: String,
    unfit: String,
}

/// A count being made.
pub(super) struct Count {
    cabinet: AreaId,
    lines: Vec<Line>,
    at: usize,
    /// Whether digits go to the unfit ones of the row.
    unfit: bool,
    /// Kinds of the register when one looked last.
    kinds: usize,
}

impl Count {
    /// A count of a cabinet, nothing typed yet.
    pub(super) fn boxed(view: &View<'_>, id: &AreaId) -> Box<dyn Screen> {
        let mut lines = Vec::new();
        let mut kinds = 0;
        if let Some(state) = state(view) {
            kinds = state.register().kinds.len();
            let ledger = stock::ledger(state);
            let cabinet = state.register().cabinets.iter().find(|c| c.id == *id);
            let list = cabinet.map(|c| to_count(state, c, ledger.shelf(id))).unwrap_or_default();
            lines = list.into_iter().map(|kind| Line { kind, held: String::new(), unfit: String::new() }).collect();
        }
        Box::new(Self { cabinet: id.clone(), lines, at: 0, unfit: false, kinds })
    }

    fn is_touched(&self) -> bool {
        self.lines.iter().any(|l| !l.held.is_empty())
    }

    /// What was counted so far.
    fn counted(&self, state: &State) -> Counted {
        let (mut held, mut unfit) = (BTreeMap::new(), BTreeMap::new());
        for line in &self.lines {
            let (Some(kind), Ok(n)) = (state.register().kind(line.kind), number(&line.held)) else { continue };
            held.insert(kind.id.clone(), n);
            if let Some(n) = number(&line.unfit).ok().filter(|n| *n > 0) {
                unfit.insert(kind.id.clone(), n);
            }
        }
        Counted { cabinet: self.cabinet.clone(), held, unfit, note: None }
    }

    /// Why the row one stands on cannot stay as it is.
    fn wrong(&self) -> Option<String> {
        let line = self.lines.get(self.at)?;
        if line.held.is_empty() {
            return None;
        }
        let held = match number(&line.held) {
            Ok(held) => held,
            Err(why) => return Some(why),
        };
        let unfit = number(&line.unfit).unwrap_or(0);
        (unfit > held).then(|| format!("Of {held} heads {unfit} cannot be unfit"))
    }

    fn digit(&mut self, c: char) {
        let Some(line) = self.lines.get_mut(self.at) else { return };
        let field = if self.unfit { &mut line.unfit } else { &mut line.held };
        if field.len() < DIGITS {
            field.push(c);
        }
    }

    fn erase(&mut self) {
        let Some(line) = self.lines.get_mut(self.at) else { return };
        if self.unfit && line.unfit.pop().is_some() {
            return;
        }
        if self.unfit {
            self.unfit = false;
            return;
        }
        line.held.pop();
        if line.held.is_empty() {
            line.unfit.clear();
        }
    }

    /// Leaves the row for another one, where it may stay as it is.
    fn go(&mut self, to: usize) -> Vec<Effect> {
        if let Some(why) = self.wrong() {
            return vec![Effect::Warn(why)];
        }
        self.unfit = false;
        self.at = to.min(self.lines.len().saturating_sub(1));
        Vec::new()
    }

    fn review(&mut self, view: &View<'_>) -> Vec<Effect> {
        if let Some(why) = self.wrong() {
            return vec![Effect::Warn(why)];
        }
        let Some(state) = state(view).filter(|_| self.is_touched()) else {
            return vec![Effect::Warn("Nothing was counted yet: type how many lie there, 0 for none".to_owned())];
        };
        self.unfit = false;
        let left = self.lines.iter().filter(|l| l.held.is_empty()).map(|l| l.kind).collect();
        vec![Effect::Push(Review::boxed(view, self.counted(state), left))]
    }

    fn act(&mut self, action: Action, view: &View<'_>) -> Vec<Effect> {
        match action {
            Action::Next if self.at + 1 >= self.lines.len() => self.review(view),
            Action::Next | Action::Down => self.go(self.at + 1),
            Action::Up => self.go(self.at.saturating_sub(1)),
            Action::Review => self.review(view),
            Action::Unfit if self.lines.get(self.at).is_none_or(|l| l.held.is_empty()) => {
                vec![Effect::Warn("First type how many lie there, fit or not".to_owned())]
            }
            Action::Unfit => {
                self.unfit = !self.unfit;
                Vec::new()
            }
            Action::Another => vec![Effect::Push(kind_choice::for_count(view, &self.kinds_listed()))],
            Action::Erase => {
                self.erase();
                Vec::new()
            }
            Action::Leave if self.is_touched() => {
                let n = self.lines.iter().filter(|l| !l.held.is_empty()).count();
                let question = format!("{} counted and not recorded. Leave, and lose that?", parts::count(n, "kind"));
                vec![Effect::Push(Confirm::new("Leave the count?", question, Box::new(|(), _| vec![Effect::Pop])))]
            }
            Action::Leave => vec![Effect::Pop],
        }
    }

    fn kinds_listed(&self) -> Vec<KindIx> {
        self.lines.iter().map(|l| l.kind).collect()
    }

    /// Puts a kind below the others, or goes to it.
    fn add(&mut self, kind: KindIx) {
        self.unfit = false;
        self.at = self.lines.iter().position(|l| l.kind == kind).unwrap_or_else(|| {
            self.lines.push(Line { kind, held: String::new(), unfit: String::new() });
            self.lines.len() - 1
        });
    }
}

impl Screen for Count {
    fn name(&self) -> &'static str {
        "count"
    }

    fn keys(&self, _: &View<'_>) -> Vec<KeyLine> {
        let any = !self.lines.is_empty();
        let digits = KeyLine {
            keys: "0-9".to_owned(),
            name: "how many".to_owned(),
            help: "how many heads of the kind lie there, fit or not; nothing typed: not counted; 0: none there"
                .to_owned(),
            rank: 0,
            works: any,
        };
        let mut own = lines(KEYS, |a| match a {
            Action::Another | Action::Leave => true,
            Action::Up => self.at > 0,
            Action::Down => self.at + 1 < self.lines.len(),
            Action::Next => any && (self.at + 1 < self.lines.len() || self.is_touched()),
            Action::Review => self.is_touched(),
            Action::Unfit | Action::Erase => self.lines.get(self.at).is_some_and(|l| !l.held.is_empty()),
        });
        own.insert(0, digits);
        own
    }

    fn update(&mut self, input: &Input, view: &View<'_>) -> Vec<Effect> {
        match input {
            // A digit twice in a row is a number as well, however fast: the review shows it.
            Input::Key(Key::Char(c)) | Input::Again(Key::Char(c)) if c.is_ascii_digit() => {
                self.digit(*c);
                Vec::new()
            }
            Input::Key(key) => find(KEYS, *key).map(|action| self.act(action, view)).unwrap_or_default(),
            _ => Vec::new(),
        }
    }

    fn hear(&mut self, message: &Message, view: &View<'_>) {
        if let Message::Kind(kind) = message {
            self.add(*kind);
        }
        // Kinds that were described meanwhile were found in this cabinet.
        let Some(now) = state(view).map(|s| s.register().kinds.len()) else { return };
        for ix in self.kinds..now {
            if let Ok(ix) = u16::try_from(ix) {
                self.add(KindIx(ix));
            }
        }
        self.kinds = now;
    }

    fn draw(&self, view: &View<'_>, area: Rect, buf: &mut Buffer) -> Option<Position> {
        let state = state(view)?;
        let name = state.register().cabinets.iter().find(|c| c.id == self.cabinet).map_or("", |c| c.name.as_str());
        let mut list = parts::framed(&format!("Counting: {name}"), view, area, buf);
        let words = "How many heads of each kind lie there, fit or not? The ledger is shown afterwards.";
        for line in text::wrap(words, usize::from(list.width.saturating_sub(2))) {
            if list.height > 6 {
                put(buf, Rect { height: 1, ..list }, 1, &line, view.theme.dim, view);
                list = Rect { y: list.y + 1, height: list.height - 1, ..list };
            }
        }
        if self.lines.is_empty() {
            parts::say("No kind is known here: a adds the one that lies there.", view, list, buf);
            return None;
        }
        let wide = self.lines.iter().filter_map(|l| state.register().kind(l.kind)).map(|k| text::width(&k.id)).max();
        let wide = wide.unwrap_or(0).min(18);
        let mut caret = None;
        let window = around(self.at, self.lines.len(), usize::from(list.height));
        for (n, at) in window.enumerate() {
            let (Ok(n), Some(line)) = (u16::try_from(n), self.lines.get(at)) else { break };
            let row = Rect { y: list.y + n, height: 1, ..list };
            caret = self.draw_line(state, at == self.at, line, wide, view, row, buf).or(caret);
        }
        caret
    }
}

/// Columns of the box that digits stand in.
const BOX: u16 = 6;

impl Count {
    #[expect(clippy::too_many_arguments, reason = "a row, where it goes and how it is set")]
    fn draw_line(
        &self,
        state: &State,
        here: bool,
        line: &Line,
        wide: usize,
        view: &View<'_>,
        row: Rect,
        buf: &mut Buffer,
    ) -> Option<Position> {
        let kind = state.register().kind(line.kind)?;
        let mut caret = None;
        let mut field = |typed: &str, column: u16, focused: bool, buf: &mut Buffer| {
            let cell = Rect { x: row.x + column, width: BOX.min(row.width.saturating_sub(column)), ..row };
            if here {
                buf.set_style(cell, view.theme.input);
            }
            let shown = if typed.is_empty() && !focused { view.glyphs.dot } else { typed };
            let style = if here { view.theme.input } else { view.theme.text };
            put(buf, cell, 0, &text::pad_left(shown, usize::from(BOX) - 1, view.glyphs.ellipsis), style, view);
            if focused && cell.width == BOX {
                caret = Some(Position::new(cell.x + BOX - 1, cell.y));
            }
        };
        put(buf, row, 1, if here { view.glyphs.point_right } else { " " }, view.theme.accent, view);
        field(&line.held, 3, here && !self.unfit, buf);
        let asks = here && self.unfit;
        if asks || !line.unfit.is_empty() {
            field(&line.unfit, 10, asks, buf);
            put(buf, row, 17, "unfit", if asks { view.theme.accent } else { view.theme.warning }, view);
        }
        let style = if here { view.theme.accent } else { view.theme.text };
        let column = put(buf, row, 23, &text::pad(&kind.id, wide, view.glyphs.ellipsis), style, view);
        // Kinds of one make-up differ in the year: it comes first.
        let made = kind.made.map_or_else(String::new, |m| format!("{m}, "));
        let words = format!("{made}{}", kind.describe(state.register().site.units));
        put(buf, row, column + 2, &words, view.theme.dim, view);
        caret
    }
}
