//! Impairment notices: which heads are out of order, whom to tell, the clocks that run since, and the log of who was
//! told. One key records a notice.

use std::collections::BTreeMap;

use chrono::{DateTime, FixedOffset};
use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};

use super::due::due;
use super::form::{Form, Row, Rows};
use super::moves::{MOVES, Move, Scroll, key_lines};
use super::parts::{self, address, ago, area_name, count, state};
use super::sheet::Sheet;
use super::walk_words::short_words;
use crate::round::act::ranges;
use crate::round::entry::{Channel, Entry, Notice, What};
use crate::round::layout::HeadIx;
use crate::round::lots::Failure;
use crate::round::notices::{Impaired, Told, entered, impairs, log, open, told};
use crate::round::rulings::impaired_since;
use crate::round::state::{EntryIx, State};
use crate::tui::keys::{Binding, Key, KeyLine, find, lines};
use crate::tui::samples::failed_words;
use crate::tui::screen::{Draft, Effect, Input, Screen, View};
use crate::tui::text;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Action {
    Record,
    Other,
    Back,
}

const KEYS: &[Binding<Action>] = &[
    Binding {
        keys: &[Key::Enter],
        action: Action::Record,
        name: "record a notice",
        help: "record that the one on the chosen row was told, and how",
        rank: 0,
    },
    Binding {
        keys: &[Key::Char('o')],
        action: Action::Other,
        name: "somebody else",
        help: "record that somebody who is not on the list was told",
        rank: 1,
    },
    Binding {
        keys: &[Key::Esc, Key::Char('q')],
        action: Action::Back,
        name: "back",
        help: "back to where one was",
        rank: 2,
    },
];

/// The notices of the round.
#[derive(Default)]
pub struct Notices {
    at: usize,
    /// Whether one has moved along the list: until then what is out of order stands in sight, whoever is to be told first.
    moved: bool,
    scroll: Scroll,
}

impl Notices {
    /// The notices, on the first one to tell who was not told yet.
    #[must_use]
    pub fn boxed(view: &View<'_>) -> Box<dyn Screen> {
        let mut it = Self::default();
        if let Some(state) = state(view) {
            let (open, log) = (open(state), log(state));
            it.at = to_tell(state).iter().position(|who| told(who, &open, &log).owing()).unwrap_or(0);
        }
        Box::new(it)
    }

    fn sheet(&self, state: &State, view: &View<'_>, width: u16) -> Sheet {
        let mut sheet = Sheet::new(width);
        let open = open(state);
        let log = log(state);
        write_heads(&mut sheet, state, view);
        sheet.heading("Tell, in this order", view);
        let own = state.register().site.tell.len();
        let list = to_tell(state);
        let widest = list.iter().map(|w| text::width(w)).max().unwrap_or(0);
        let wide = widest.min(sheet.columns().saturating_sub(39)).max(16);
        for (n, who) in list.into_iter().enumerate() {
            if n == own && n > 0 {
                sheet.gap().text(0, "The adopted rules name besides", view.theme.title);
            }
            let (mark, style, words) = match told(&who, &open, &log) {
                Told::All(entry, notice) => {
                    let words = format!("told {}, {} ({})", parts::when(entry), notice.how, entry.by);
                    (view.glyphs.check, view.theme.good, words)
                }
                Told::Some(head, more) => {
                    let more = if more == 0 { String::new() } else { format!(" and {more} more") };
                    let words = format!("not yet about {}{more}", address(state, head));
                    (view.glyphs.open, view.theme.warning, words)
                }
                Told::None if open.is_empty() => (view.glyphs.open, view.theme.dim, String::new()),
                Told::None => (view.glyphs.open, view.theme.warning, "not told yet".to_owned()),
            };
            let name = text::pad(&text::plain(&who), wide, view.glyphs.ellipsis);
            sheet.pickable(|s| {
                s.row(vec![(format!("{mark} "), style), (name, view.theme.text), (format!("  {words}"), style)]);
            });
        }
        write_clocks(&mut sheet, state, since(state, &open), view);
        let duty = &state.judge().set().impairment;
        if !duty.steps.is_empty() {
            sheet.heading("Steps", view);
            for (n, step) in duty.steps.iter().enumerate() {
                sheet.item(0, vec![(format!("{}. ", n + 1), view.theme.dim)], step, view.theme.text);
            }
        }
        sheet.heading("Notices of this round", view);
        for (entry, notice) in &log {
            let lead = vec![(format!("{}  ", parts::when(entry)), view.theme.dim)];
            let note = notice.note.as_deref().map_or(String::new(), |n| format!(": {n}"));
            let words = format!("{} told, {} ({}){note}", notice.told, notice.how, entry.by);
            sheet.item(0, lead, &words, view.theme.text);
        }
        if log.is_empty() {
            sheet.text(0, "none recorded", view.theme.dim);
        }
        sheet
    }
}

/// Whom to tell: the site's own list first, then those the adopted rules name besides.
fn to_tell(state: &State) -> Vec<String> {
    let mut list: Vec<String> = Vec::new();
    for who in state.register().site.tell.iter().chain(&state.judge().set().impairment.tell) {
        if !list.iter().any(|w| w.eq_ignore_ascii_case(who)) {
            list.push(who.clone());
        }
    }
    list
}

/// Since when the clocks run: since an impairment that is open was reported, be it by an earlier round.
fn since(state: &State, open: &[Impaired<'_>]) -> Option<DateTime<FixedOffset>> {
    let reported = |i: &Impaired<'_>| {
        let open = state.story(i.head).findings.into_iter().filter(impairs);
        open.filter_map(|f| impaired_since(state, i.head, f.entry)).map(|e| e.at).min()
    };
    open.iter().filter_map(reported).min()
}

/// The most heads that are listed one by one.
const MOST: usize = 12;

/// The most stretches of condemned heads that are written out for a lot.
const STRETCHES: usize = 4;

fn write_heads(sheet: &mut Sheet, state: &State, view: &View<'_>) {
    let all = state.counts().impaired;
    if all == 0 {
        sheet.text(0, "No impairment is open in this round.", view.theme.title);
        let words = "An impairment is a head that may not work in a fire. Once one is entered, the clocks below run.";
        sheet.text(0, words, view.theme.text);
        return;
    }
    sheet.text(0, &format!("Out of order: {}", count(all, "head")), view.theme.title);
    // Heads that one failed lot condemns are out of order for one reason.
    let mut condemned: BTreeMap<EntryIx, (Failure, Vec<HeadIx>)> = BTreeMap::new();
    let mut seen: Vec<(HeadIx, &Entry, String)> = Vec::new();
    for head in state.impaired() {
        let Some(entry) = entered(state, head) else { continue };
        match (&entry.what, state.failure(head)) {
            (What::Saw(saw), _) => seen.push((head, entry, parts::saw(state, saw))),
            (_, Some(failure)) => {
                condemned.entry(failure.lot).or_insert_with(|| (failure, Vec::new())).1.push(head);
            }
            (_, None) => seen.push((head, entry, short_words(state, entry))),
        }
    }
    for (failure, heads) in condemned.values() {
        let words = format!("{}: {}", failed_words(state, failure), count(heads.len(), "head"));
        let lead = vec![(format!("{} {words}  ", view.glyphs.warn), view.theme.critical)];
        let shown: Vec<String> = ranges(state, heads).iter().take(STRETCHES).map(ToString::to_string).collect();
        let more = if ranges(state, heads).len() > STRETCHES { " and more" } else { "" };
        let when = state
            .entry(failure.entry)
            .map_or_else(String::new, |e| format!("; entered {}, {}", parts::when(e), ago(e.at, view.now)));
        sheet.item(0, lead, &format!("{}{more}{when}", shown.join(", ")), view.theme.text);
    }
    let left = seen.len().saturating_sub(MOST);
    for (head, entry, saw) in seen.into_iter().take(MOST) {
        let area = state.layout().head(head).map(|h| area_name(state, h.area)).unwrap_or_default();
        let lead = vec![(format!("{} {}  ", view.glyphs.warn, address(state, head)), view.theme.critical)];
        let words = format!("{saw}; {area}; entered {}, {}", parts::when(entry), ago(entry.at, view.now));
        sheet.item(0, lead, &words, view.theme.text);
    }
    if left > 0 {
        sheet.text(2, &format!("and {left} more"), view.theme.text);
    }
}

fn write_clocks(sheet: &mut Sheet, state: &State, since: Option<DateTime<FixedOffset>>, view: &View<'_>) {
    let clocks = &state.judge().set().impairment.clocks;
    if clocks.is_empty() {
        return;
    }
    let heading = since.map_or("Clocks that start with an impairment".to_owned(), |at| {
        format!("Clocks, running since {}", at.format("%Y-%m-%d %H:%M"))
    });
    sheet.heading(&heading, view);
    for clock in clocks {
        let what = format!("{} ({}; {})", clock.what, clock.clause, clock.confidence.means());
        let (mark, style, words) = match since.map(|at| due(clock.within, at, view.now)) {
            Some(due) if due.over => (view.glyphs.warn, view.theme.error, due.words),
            Some(due) => (view.glyphs.bullet, view.theme.accent, due.words),
            None => (view.glyphs.bullet, view.theme.dim, format!("within: {}", clock.within)),
        };
        sheet.item(0, vec![(format!("{mark} "), style)], &what, view.theme.text);
        sheet.text(2, &words, style);
    }
}

/// The form that records a notice.
fn notice_form(who: &str) -> Box<dyn Screen> {
    let ways = Channel::ALL.iter().map(|c| c.as_str()).collect();
    let rows = vec![
        Row::text("told", "Told", who, "who was told: a role or a name").needed(),
        Row::one("how", "How", ways, 0, "face to face, by telephone, in writing, by a tag"),
        Row::text("note", "Note", "", "what was said or agreed"),
    ];
    let then = |rows: &Rows, _: &View<'_>| {
        let Ok(how) = Channel::parse(&rows.get("how")) else { return Vec::new() };
        let notice = Notice { told: rows.get("told"), how, head: None, note: rows.some("note") };
        vec![Effect::Record(vec![Draft::from(What::Notice(Box::new(notice)))]), Effect::Pop]
    };
    let intro = vec!["Recorded with the present moment. Tell first, then record.".to_owned()];
    Box::new(Form::new("notice", "Somebody was told", rows, "Record it", Box::new(then)).intro(intro))
}

impl Screen for Notices {
    fn name(&self) -> &'static str {
        "notices"
    }

    fn keys(&self, view: &View<'_>) -> Vec<KeyLine> {
        let begun = state(view).is_some_and(|s| s.present_round().is_some());
        let writable = begun && view.desk.is_some_and(|d| d.read_only().is_none());
        lines(KEYS, |a| writable || a == Action::Back).into_iter().chain(key_lines(true)).collect()
    }

    fn update(&mut self, input: &Input, view: &View<'_>) -> Vec<Effect> {
        let (Input::Key(key), Some(state)) = (input, state(view)) else { return Vec::new() };
        let list = to_tell(state);
        match find(KEYS, *key) {
            Some(Action::Back) => return vec![Effect::Pop],
            Some(Action::Record) => {
                return vec![Effect::Push(notice_form(list.get(self.at).map_or("", String::as_str)))];
            }
            Some(Action::Other) => return vec![Effect::Push(notice_form(""))],
            None => {}
        }
        match find(MOVES, *key) {
            Some(by @ (Move::Up | Move::Down)) => {
                self.moved = true;
                let last = list.len().saturating_sub(1);
                self.at = if by == Move::Up { self.at.saturating_sub(1) } else { (self.at + 1).min(last) };
            }
            Some(by) => self.scroll.step(by),
            None => {}
        }
        Vec::new()
    }

    fn draw(&self, view: &View<'_>, area: Rect, buf: &mut Buffer) -> Option<Position> {
        let sheet = self.sheet(state(view)?, view, area.width);
        sheet.draw_from(view, area, buf, &self.scroll, Some(self.at), self.moved);
        None
    }
}
