//! The lots of the site: how far each has come, how many heads stand in it, what comes next with it.

use chrono::NaiveDate;
use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};

use super::cabinet_forms::gated;
use super::due_list::DueScreen;
use super::lot::LotScreen;
use super::lots_forms;
use super::lots_worked::{Worked, standing};
use super::moves::{Cursor, MOVES, Scroll, key_lines};
use super::parts::{self, count, state};
use super::sheet::Sheet;
use crate::round::lots::{Lot, Stage, next_step};
use crate::round::state::State;
use crate::tui::chrome::put;
use crate::tui::keys::{Binding, Key, KeyLine, find, lines};
use crate::tui::samples::{outcome_words, short_step};
use crate::tui::screen::{Effect, Input, Message, Screen, View};
use crate::tui::text;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Action {
    Open,
    Due,
    Form,
    ByHand,
    Undo,
    Redo,
    Back,
}

const KEYS: &[Binding<Action>] = &[
    Binding {
        keys: &[Key::Enter],
        action: Action::Open,
        name: "open",
        help: "the chosen lot: its sample, draw, custody, bench",
        rank: 0,
    },
    Binding {
        keys: &[Key::Char('n')],
        action: Action::Form,
        name: "form lots",
        help: "form lots of what is due: the ways to draw them side by side, and what one failure would condemn",
        rank: 1,
    },
    Binding {
        keys: &[Key::Char('a')],
        action: Action::ByHand,
        name: "name one",
        help: "form a lot of heads that are named by hand, or write down one of earlier years",
        rank: 3,
    },
    Binding {
        keys: &[Key::Char('d')],
        action: Action::Due,
        name: "due",
        help: "what falls due by age, with a timeline",
        rank: 2,
    },
    Binding { keys: &[Key::Char('u')], action: Action::Undo, name: "undo", help: "take back your last entry", rank: 5 },
    Binding {
        keys: &[Key::Char('y')],
        action: Action::Redo,
        name: "redo",
        help: "bring back what you took back last",
        rank: 9,
    },
    Binding {
        keys: &[Key::Esc, Key::Char('q')],
        action: Action::Back,
        name: "back",
        help: "back to where one was",
        rank: 4,
    },
];

/// The list of lots.
pub struct LotsScreen {
    worked: Worked,
    cursor: Cursor,
}

impl LotsScreen {
    /// The lots as they stand, on the first that is not decided.
    #[must_use]
    pub fn boxed(view: &View<'_>) -> Box<dyn Screen> {
        let mut it = Self { worked: Worked::default(), cursor: Cursor::default() };
        it.refresh(view);
        it.cursor.at = it.worked.lots.iter().position(|l| !l.outcome.stage.is_decided()).unwrap_or(0);
        Box::new(it)
    }

    fn refresh(&mut self, view: &View<'_>) {
        let Some(state) = state(view) else { return };
        self.worked.refresh(state, view.today);
        self.cursor.keep_within(self.worked.lots.len());
    }

    fn here(&self) -> Option<&Lot> {
        self.worked.lots.get(self.cursor.at)
    }
}

impl Screen for LotsScreen {
    fn name(&self) -> &'static str {
        "lots"
    }

    fn keys(&self, view: &View<'_>) -> Vec<KeyLine> {
        let open = super::walk_act::closed(view).is_none();
        let own = lines(KEYS, |a| match a {
            Action::Open => self.here().is_some(),
            Action::ByHand | Action::Undo | Action::Redo => open,
            Action::Due | Action::Form | Action::Back => true,
        });
        own.into_iter().chain(key_lines(self.worked.lots.len() > 1)).collect()
    }

    fn update(&mut self, input: &Input, view: &View<'_>) -> Vec<Effect> {
        let Input::Key(key) = input else { return Vec::new() };
        match find(KEYS, *key) {
            Some(Action::Back) => return vec![Effect::Pop],
            Some(Action::Open) => {
                let lot = self.here().map(|l| l.id.clone());
                return lot.map(|id| Effect::Push(LotScreen::boxed(view, id))).into_iter().collect();
            }
            Some(Action::Due) => return vec![Effect::Push(DueScreen::boxed(view))],
            Some(Action::Form) => return super::due_list::usual_ways(view),
            Some(Action::ByHand) => return gated(view, |view| vec![Effect::Push(lots_forms::new_lot(view))]),
            Some(Action::Undo) => return gated(view, |_| vec![Effect::Undo]),
            Some(Action::Redo) => return gated(view, |_| vec![Effect::Redo]),
            None => {}
        }
        if let Some(by) = find(MOVES, *key) {
            self.cursor.step(by, self.worked.lots.len());
        }
        Vec::new()
    }

    fn hear(&mut self, _: &Message, view: &View<'_>) {
        self.refresh(view);
    }

    fn draw(&self, view: &View<'_>, area: Rect, buf: &mut Buffer) -> Option<Position> {
        let state = state(view)?;
        let lots = &self.worked.lots;
        let mut rest = parts::framed(&self.title(), view, area, buf);
        if lots.is_empty() {
            let words = "No lot is formed yet. A lot is all heads that one sample stands for, written down before any of them \
                         is tested. d shows what falls due; n forms lots of it.";
            parts::say(words, view, rest, buf);
            return None;
        }
        let wide = lots
            .iter()
            .map(|l| text::width(l.id.as_str()))
            .max()
            .unwrap_or(0)
            .clamp(8, if rest.width < NARROW { 12 } else { 20 });
        if rest.height > 6 {
            let row = Rect { height: 1, ..rest };
            put(buf, row, 3, &heads_of_columns(wide), view.theme.dim, view);
            rest = Rect { y: rest.y + 1, height: rest.height - 1, ..rest };
        }
        let (list, below) = parts::split(rest, if rest.height > 20 { 7 } else { 5 });
        for (n, at) in self.cursor.window(lots.len(), usize::from(list.height)).enumerate() {
            let (Ok(n), Some(lot)) = (u16::try_from(n), lots.get(at)) else { break };
            let row = Rect { y: list.y + n, height: 1, ..list };
            draw_row(state, lot, self.worked.overdue(&lot.id), wide, view, row, buf);
            if at == self.cursor.at {
                put(buf, row, 1, view.glyphs.point_right, view.theme.accent, view);
                parts::select(row, view, buf);
            }
        }
        if below.height > 0
            && let Some(lot) = self.here()
        {
            let rule = Rect { y: below.y - 1, height: 1, ..below };
            put(
                buf,
                rule,
                1,
                &view.glyphs.rule.repeat(usize::from(rule.width.saturating_sub(2))),
                view.theme.border,
                view,
            );
            detail(state, lot, self.worked.overdue(&lot.id), view, below.width).draw(
                view,
                below,
                buf,
                &Scroll::default(),
                None,
            );
        }
        None
    }
}

impl LotsScreen {
    /// How many lots stand how; one that passed and is due again is counted apart.
    fn title(&self) -> String {
        let lots = &self.worked.lots;
        let of = |stage: Stage| lots.iter().filter(|l| l.outcome.stage == stage).count();
        let (condemned, passed) = (of(Stage::Condemned), of(Stage::Passed));
        let overdue = lots.iter().filter(|l| self.worked.overdue(&l.id).is_some()).count();
        let mut words = vec![format!("{} open", lots.len() - condemned - passed)];
        let mut tell = |n: usize, what: &str| {
            if n > 0 {
                words.push(format!("{n} {what}"));
            }
        };
        tell(condemned, "condemned");
        tell(overdue, "OVERDUE");
        tell(passed - overdue, "passed");
        format!("Lots: {}", words.join(", "))
    }
}

/// Columns of the stage.
const STAGE: usize = 12;

/// Below so many columns names are cut short, for what comes next to keep its room.
const NARROW: u16 = 70;

fn heads_of_columns(wide: usize) -> String {
    format!("{:wide$}  {:STAGE$} {:>5} {:>7}  next", "lot", "stage", "heads", "tested")
}

fn draw_row(
    state: &State,
    lot: &Lot,
    overdue: Option<NaiveDate>,
    wide: usize,
    view: &View<'_>,
    row: Rect,
    buf: &mut Buffer,
) {
    let (sign, style) = standing(lot, overdue, view);
    let label = if overdue.is_some() { "OVERDUE" } else { lot.outcome.stage.label() };
    let column = put(buf, row, 3, &text::pad(lot.id.as_str(), wide, view.glyphs.ellipsis), view.theme.text, view);
    let words = text::pad(&format!("{sign} {label}"), STAGE, view.glyphs.ellipsis);
    let column = put(buf, row, column + 2, &words, style, view);
    let tested = lot.samples.iter().filter(|s| s.test.is_some()).count();
    let of = lot.samples.len().max(crate::tui::samples::wide(lot.outcome.asked.heads));
    // A laboratory that does not tell of each head leaves nothing to count.
    let tested = if lot.concluded.is_some() && tested == 0 { "by lab".to_owned() } else { format!("{tested} of {of}") };
    let words = format!(" {:>5} {tested:>7}", lot.heads.len());
    let column = put(buf, row, column, &words, view.theme.text, view);
    // The whole step where it fits: nobody acts upon the half of one.
    let room = usize::from(row.width.saturating_sub(column + 3));
    let step = if overdue.is_some() { String::new() } else { next_step(state, lot) };
    let step = if step.is_empty() || text::width(&step) > room { short_step(state, lot, overdue) } else { step };
    put(buf, row, column + 2, &step, style, view);
}

fn detail(state: &State, lot: &Lot, overdue: Option<NaiveDate>, view: &View<'_>, width: u16) -> Sheet {
    let mut sheet = Sheet::new(width);
    let due = lot.due.map_or_else(String::new, |d| format!("; due {d}"));
    // Where the row cuts the short name it stands here whole.
    let id = if width < NARROW { format!("{}; ", lot.id) } else { String::new() };
    sheet.text(0, &format!("{id}{}: {}{due}", lot.name, count(lot.heads.len(), "head")), view.theme.accent);
    let (_, style) = standing(lot, overdue, view);
    for (n, words) in outcome_words(state, lot, view.today).iter().enumerate() {
        sheet.text(0, words, if n == 0 { style } else { view.theme.text });
    }
    sheet
}
