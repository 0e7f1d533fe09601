//! The overview of the open site: areas in walking order with how far each has come, what was ruled, what is still
//! owed. Only the rows that show are drawn, however many areas there are.

use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};
use ratatui::style::Style;

use super::area_menu::AreaMenu;
use super::begin::Begin;
use super::cabinet::Cabinets;
use super::close_looks::CloseLooks;
use super::due_list::DueScreen;
use super::findings::Findings;
use super::lots::LotsScreen;
use super::moves::{Cursor, MOVES, key_lines};
use super::notices::Notices;
use super::other_set;
use super::parts::{self, count, state};
use super::rule_book;
use super::signoff::SignoffReview;
use super::summary::SummaryReader;
use super::walk::Walk;
use crate::record::desk::Desk;
use crate::round::rounds::Round;
use crate::round::state::{Counts, State};
use crate::rules::model::Ruling;
use crate::tui::chrome::put;
use crate::tui::keys::{Binding, Key, KeyLine, find, lines};
use crate::tui::screen::{Effect, Input, Message, Screen, View};
use crate::tui::text;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Action {
    Walk,
    Begin,
    Looks,
    Findings,
    Notices,
    Sign,
    Summary,
    Edit,
    Rules,
    OtherSet,
    Cabinets,
    Due,
    Lots,
    Undo,
    Redo,
    Theme,
    Close,
}

const KEYS: &[Binding<Action>] = &[
    Binding {
        keys: &[Key::Enter],
        action: Action::Walk,
        name: "walk",
        help: "walk the area one stands on, from where one left off",
        rank: 0,
    },
    Binding {
        keys: &[Key::Char('g')],
        action: Action::Begin,
        name: "begin round",
        help: "begin a round, or join one as another inspector",
        rank: 6,
    },
    Binding {
        keys: &[Key::Char('c')],
        action: Action::Looks,
        name: "close looks",
        help: "heads that could not be judged, and doubtful findings: what needs a lift or a second visit",
        rank: 1,
    },
    Binding {
        keys: &[Key::Char('f')],
        action: Action::Findings,
        name: "findings",
        help: "every head with a ruling in this round, weightiest first",
        rank: 2,
    },
    Binding {
        keys: &[Key::Char('i')],
        action: Action::Notices,
        name: "notices",
        help: "open impairments: whom to tell, the clocks that run, who was told",
        rank: 4,
    },
    Binding {
        keys: &[Key::Char('s')],
        action: Action::Sign,
        name: "sign off",
        help: "close the round: what stands in the way, what was found, then the sign-off",
        rank: 3,
    },
    Binding {
        keys: &[Key::Char('r')],
        action: Action::Summary,
        name: "summary",
        help: "read the summary of the round and write it beside the site file",
        rank: 5,
    },
    Binding {
        keys: &[Key::Char('e')],
        action: Action::Edit,
        name: "edit",
        help: "add an area found in the field, or a note on the one one stands on",
        rank: 7,
    },
    Binding {
        keys: &[Key::Char('b')],
        action: Action::Rules,
        name: "rules",
        help: "the rules for a kind of head in the area one stands on: every sign, part and extent at a glance",
        rank: 8,
    },
    Binding {
        keys: &[Key::Char('o')],
        action: Action::OtherSet,
        name: "other set",
        help: "what another edition or rule set would change: the heads it rules otherwise, and why",
        rank: 8,
    },
    Binding {
        keys: &[Key::Char('k')],
        action: Action::Cabinets,
        name: "cabinet",
        help: "the cabinets of spare heads: what is asked for and held, counts, movements, what is wrong with them",
        rank: 5,
    },
    Binding {
        keys: &[Key::Char('d')],
        action: Action::Due,
        name: "due",
        help: "what falls due by age, with a timeline: heads to be sampled or replaced, when and why",
        rank: 5,
    },
    Binding {
        keys: &[Key::Char('l')],
        action: Action::Lots,
        name: "lots",
        help: "the lots: draw a sample, hand it on, test it at the bench, what it means for the others",
        rank: 5,
    },
    Binding { keys: &[Key::Char('u')], action: Action::Undo, name: "undo", help: "take back your last entry", rank: 9 },
    Binding {
        keys: &[Key::Char('y')],
        action: Action::Redo,
        name: "redo",
        help: "bring back what you took back last",
        rank: 9,
    },
    Binding { keys: &[Key::Char('t')], action: Action::Theme, name: "theme", help: "the next theme", rank: 8 },
    Binding {
        keys: &[Key::Esc, Key::Char('q')],
        action: Action::Close,
        name: "close",
        help: "close the site and go back to the opening screen; everything recorded is on the disk",
        rank: 6,
    },
];

/// The overview.
pub struct Overview {
    cursor: Cursor,
    /// Whether the place where one left off has been looked up.
    placed: bool,
}

impl Overview {
    /// The overview, on the first area that is not answered for.
    #[must_use]
    pub fn boxed(desk: &Desk) -> Box<dyn Screen> {
        let state = desk.state();
        let open = (0..area_count(state)).find(|a| !state.area_counts(*a).complete());
        let cursor = Cursor::on(usize::from(open.unwrap_or(0)));
        Box::new(Self { cursor, placed: false })
    }

    fn area(&self) -> u16 {
        u16::try_from(self.cursor.at).unwrap_or(u16::MAX)
    }

    fn act(&self, action: Action, view: &View<'_>) -> Vec<Effect> {
        let Some(state) = state(view) else { return Vec::new() };
        let begun = state.present_round().is_some_and(|r| r.begin.is_some());
        match action {
            Action::Walk if area_count(state) == 0 => {
                vec![Effect::Warn("The register holds no area yet: e adds one".to_owned())]
            }
            Action::Walk if !begun && is_writable(view) => {
                vec![Effect::Push(Begin::boxed(view)), Effect::Warn("A round must begin before the walk".to_owned())]
            }
            Action::Walk => vec![Effect::Push(Walk::new(self.area(), None))],
            Action::Begin => vec![Effect::Push(Begin::boxed(view))],
            Action::Looks => vec![Effect::Push(CloseLooks::boxed(view))],
            Action::Findings => vec![Effect::Push(Findings::boxed(view))],
            Action::Notices => vec![Effect::Push(Notices::boxed(view))],
            Action::Sign => vec![Effect::Push(SignoffReview::boxed(view))],
            Action::Summary if !begun => vec![Effect::Warn("There is no round to sum up yet".to_owned())],
            Action::Summary => vec![Effect::Push(SummaryReader::boxed(view))],
            Action::Edit => vec![Effect::Push(AreaMenu::boxed(view, self.area()))],
            Action::Rules => rule_book::choose(view, self.area()).map(Effect::Push).into_iter().collect(),
            Action::OtherSet => other_set::choose(view).map(Effect::Push).into_iter().collect(),
            Action::Cabinets => vec![Effect::Push(Cabinets::boxed(view))],
            Action::Due => vec![Effect::Push(DueScreen::boxed(view))],
            Action::Lots => vec![Effect::Push(LotsScreen::boxed(view))],
            Action::Undo => vec![Effect::Undo],
            Action::Redo => vec![Effect::Redo],
            Action::Theme => vec![Effect::NextTheme],
            Action::Close => vec![Effect::Close],
        }
    }
}

fn area_count(state: &State) -> u16 {
    u16::try_from(state.register().areas.len()).unwrap_or(u16::MAX)
}

fn is_writable(view: &View<'_>) -> bool {
    view.desk.is_some_and(|d| d.read_only().is_none())
}

impl Screen for Overview {
    fn name(&self) -> &'static str {
        "overview"
    }

    fn keys(&self, view: &View<'_>) -> Vec<KeyLine> {
        let Some(state) = state(view) else { return Vec::new() };
        let writable = is_writable(view);
        let round = state.present_round();
        let begun = round.is_some_and(|r| r.begin.is_some());
        let own = lines(KEYS, |a| match a {
            Action::Walk | Action::Rules => area_count(state) > 0,
            Action::Begin | Action::Edit => writable,
            Action::Sign => begun && writable && !round.is_some_and(Round::is_signed),
            Action::Undo | Action::Redo => begun && writable,
            Action::Summary => begun,
            _ => true,
        });
        own.into_iter().chain(key_lines(area_count(state) > 1)).collect()
    }

    fn update(&mut self, input: &Input, view: &View<'_>) -> Vec<Effect> {
        let Input::Key(key) = input else { return Vec::new() };
        if let Some(action) = find(KEYS, *key) {
            return self.act(action, view);
        }
        if let (Some(by), Some(state)) = (find(MOVES, *key), state(view)) {
            self.cursor.step(by, state.register().areas.len());
        }
        Vec::new()
    }

    fn hear(&mut self, _: &Message, view: &View<'_>) {
        let Some(state) = state(view) else { return };
        if !self.placed {
            self.placed = true;
            let stood = view.places.stood.get(&state.register().site.id);
            if let Some(area) = stood.and_then(|address| state.layout().area(&address.area)) {
                self.cursor.at = usize::from(area);
            }
        }
        self.cursor.keep_within(state.register().areas.len());
    }

    fn draw(&self, view: &View<'_>, area: Rect, buf: &mut Buffer) -> Option<Position> {
        let state = state(view)?;
        let margin = u16::from(area.width > 2);
        let mut rest = Rect { x: area.x + margin, width: area.width - 2 * margin, ..area };
        draw_round(state, view, &mut rest, buf);
        let below = match rest.height {
            0..=3 => 0,
            4..=8 => 2,
            9..=13 => 3,
            _ => 5,
        };
        let all = area_count(state);
        let list = Rect { height: (rest.height - below).min(all.max(1)), ..rest };
        let table = Table::of(state, view, list.width);
        for (n, at) in self.cursor.window(state.register().areas.len(), usize::from(list.height)).enumerate() {
            let (Ok(n), Ok(number)) = (u16::try_from(n), u16::try_from(at)) else { break };
            let row = Rect { y: list.y + n, height: 1, ..list };
            let here = at == self.cursor.at;
            table.draw_area(state, number, here, view, row, buf);
            if here {
                parts::select(row, view, buf);
            }
        }
        if below >= 2 {
            let row = Rect { y: list.bottom(), height: 1, ..rest };
            put(buf, row, 0, &view.glyphs.rule.repeat(usize::from(row.width)), view.theme.border, view);
            table.draw_total(state, view, Rect { y: row.y + 1, ..row }, buf);
            let gap = u16::from(below >= 5);
            let words = if all > 0 { in_words(state, self.area()) } else { String::new() };
            let room = usize::from(row.width.saturating_sub(4));
            let rows = usize::from(below.saturating_sub(2 + gap));
            let mut lines = text::wrap(&words, room);
            if lines.len() > rows
                && let Some(last) = lines.get_mut(rows.saturating_sub(1))
            {
                *last = text::truncate(&format!("{last} {}", view.glyphs.ellipsis), room, view.glyphs.ellipsis);
            }
            for (n, words) in (0..).zip(lines.into_iter().take(rows)) {
                put(buf, Rect { y: row.y + 2 + gap + n, ..row }, 2, &words, view.theme.hint, view);
            }
        }
        None
    }
}

/// The round and the rules, above the list.
fn draw_round(state: &State, view: &View<'_>, rest: &mut Rect, buf: &mut Buffer) {
    let roomy = rest.height >= 10;
    let next = |rest: &mut Rect| {
        let row = Rect { height: rest.height.min(1), ..*rest };
        rest.y += row.height;
        rest.height -= row.height;
        row
    };
    let row = next(rest);
    match state.present_round() {
        Some(round) if round.begin.is_some() || round.is_signed() => {
            let column = put(buf, row, 0, &format!("Round {}", text::plain(&round.name)), view.theme.title, view);
            put(buf, row, column + 2, &round_words(round, view), view.theme.text, view);
        }
        _ => {
            let column = put(buf, row, 0, view.glyphs.warn, view.theme.warning, view);
            let words = "No round has begun. g begins one: its name, the day, the inspector.";
            put(buf, row, column + 1, words, view.theme.warning, view);
        }
    }
    if roomy {
        let site = &state.register().site;
        let set = state.judge().set();
        let rules = format!("{} ({})", text::plain(&set.title), text::plain(&set.name));
        let words = if site.place.is_empty() {
            rules
        } else {
            format!("{} {} {rules}", text::plain(&site.place), view.glyphs.dot)
        };
        put(buf, next(rest), 0, &words, view.theme.dim, view);
        next(rest);
    }
}

fn round_words(round: &Round, view: &View<'_>) -> String {
    let dot = view.glyphs.dot;
    let mut words = vec![round.date().to_string()];
    let names: Vec<String> = round.inspectors.iter().map(|(_, b)| text::plain(&b.inspector)).collect();
    if !names.is_empty() {
        words.push(names.join(", "));
    }
    match &round.signoff {
        Some((_, signoff)) => {
            words.push(format!("signed by {} on {}", text::plain(&signoff.name), signoff.date));
            if !round.late.is_empty() {
                words.push(format!("{} after sign-off", round.late.len()));
            }
        }
        None => words.extend(round.begin.as_ref().map(|b| text::plain(&b.purpose)).filter(|p| !p.is_empty())),
    }
    words.join(&format!(" {dot} "))
}

/// What the numbers of an area say, in words.
fn in_words(state: &State, area: u16) -> String {
    let counts = state.area_counts(area);
    let mut words = Vec::new();
    if counts.unseen > 0 {
        words.push(format!("{} unseen", counts.unseen));
    }
    if counts.disagreements > 0 {
        words.push(count(counts.disagreements, "disagreement"));
    }
    for ruling in Ruling::ALL.iter().rev().filter(|r| **r > Ruling::Keep) {
        match counts.ruled(*ruling) {
            0 => {}
            n => words.push(format!("{n} {ruling}")),
        }
    }
    if counts.advisory > 0 {
        words.push(format!("{} advisory", counts.advisory));
    }
    if counts.carried > 0 {
        words.push(format!("{} unanswered", count(counts.carried, "earlier finding")));
    }
    if counts.unreached > 0 {
        words.push(format!("{} not reached", counts.unreached));
    }
    if words.is_empty() {
        words.push(if counts.heads == 0 { "no heads".to_owned() } else { "every head seen".to_owned() });
    }
    let id = state.register().areas.get(usize::from(area)).map(|a| a.id.to_string()).unwrap_or_default();
    format!("{id}: {}", words.join(", "))
}

/// One column of counts.
struct Column {
    glyph: &'static str,
    style: Style,
    word: &'static str,
    count: fn(&Counts) -> usize,
    /// What a narrow screen can do without goes first: what is open or unlooked at stays longest, or a list of areas that
    /// nobody reached would look like one without a blemish.
    keep: u8,
    width: usize,
}

impl Column {
    const fn wordy(&self) -> bool {
        self.width > self.word.len() + 5
    }
}

/// How the list is set at a width.
struct Table {
    columns: Vec<Column>,
    /// Columns of an area's short name, so that the full names stand below each other.
    id: usize,
    name: usize,
    bar: usize,
    done: usize,
    total: Counts,
}

impl Table {
    /// Columns only for what occurs somewhere, strongest first, so that an empty site is a calm one.
    fn of(state: &State, view: &View<'_>, width: u16) -> Self {
        let (g, t) = (view.glyphs, view.theme);
        let total = state.counts();
        let column = |glyph, style, word, count, keep| Column { glyph, style, word, count, keep, width: 0 };
        let mut columns = vec![
            column(g.disagreement, t.disagreement, "disagree", |c| c.disagreements, 6),
            column(g.replace, t.replace, "replace", |c| c.ruled(Ruling::Replace), 7),
            column(g.test, t.test, "test", |c| c.ruled(Ruling::Test), 3),
            column(g.correct, t.correct, "correct", |c| c.ruled(Ruling::Correct), 2),
            column(g.clean, t.clean, "clean", |c| c.ruled(Ruling::Clean), 1),
            column(g.look, t.ruling_style(Ruling::Look), "look", |c| c.ruled(Ruling::Look), 4),
            column(g.watch, t.watch, "watch", |c| c.ruled(Ruling::Watch), 0),
            column(g.advisory, t.advisory, "advisory", |c| c.advisory, 5),
            column(g.carried, t.carried, "earlier", |c| c.carried, 8),
            column(g.unreached, t.unreached, "unreached", |c| c.unreached, 9),
        ];
        columns.retain(|c| (c.count)(&total) > 0);
        let digits = total.heads.to_string().len();
        let done = 2 * digits + 1;
        let width = usize::from(width);
        let wordy = width >= 110;
        for c in &mut columns {
            let digits = (c.count)(&total).to_string().len();
            c.width = digits + if wordy { c.word.len() + 5 } else { 2 };
        }
        let bar = match width {
            0..70 => 5,
            70..100 => 8,
            _ => 12,
        };
        // A mark and a space, two spaces each around the bar, and the word at the end.
        let fixed = 2 + 2 + bar + 2 + done + 8;
        let areas = &state.register().areas;
        // Of very many areas a few hundred stand for all: the width must not cost more than the screen.
        let most = areas.iter().take(200).chain(areas.iter().rev().take(200));
        // In a narrow list the full names alone stand; the chosen area's short name is told below.
        let id = if width < 70 { 0 } else { most.clone().map(|a| a.id.as_str().len()).max().unwrap_or(0).min(12) };
        let wanted = id + 2 + most.map(|a| text::width(&a.name)).max().unwrap_or(0);
        let wanted = wanted.max(text::width(&total_words(&total, state)));
        let least = wanted.clamp(12, if width >= 70 { 24 } else { 16 });
        let needed = |columns: &[Column]| fixed + least + columns.iter().map(|c| c.width).sum::<usize>();
        // First the words go, then whole columns.
        let mut order: Vec<u8> = columns.iter().map(|c| c.keep).collect();
        order.sort_unstable();
        for keep in &order {
            if needed(&columns) > width
                && let Some(c) = columns.iter_mut().find(|c| c.keep == *keep && c.wordy())
            {
                c.width = (c.count)(&total).to_string().len() + 2;
            }
        }
        for keep in &order {
            if needed(&columns) > width {
                columns.retain(|c| c.keep != *keep);
            }
        }
        let taken = fixed + columns.iter().map(|c| c.width).sum::<usize>();
        let name = width.saturating_sub(taken).min(wanted.clamp(12, 44));
        Self { columns, id, name, bar, done, total }
    }

    fn draw_area(&self, state: &State, area: u16, here: bool, view: &View<'_>, row: Rect, buf: &mut Buffer) {
        let counts = state.area_counts(area);
        put(buf, row, 0, if here { view.glyphs.point_right } else { " " }, view.theme.accent, view);
        let complete = counts.complete();
        let style = if complete { view.theme.dim } else { view.theme.text };
        let name = state.register().areas.get(usize::from(area)).map_or_else(String::new, |a| {
            let name = text::plain(&a.name);
            if self.id == 0 {
                return name;
            }
            format!("{}  {name}", text::pad(a.id.as_str(), self.id, view.glyphs.ellipsis))
        });
        let name = text::pad(&name, self.name, view.glyphs.ellipsis);
        self.draw_counts(&counts, &name, style, view, row, buf);
    }

    fn draw_total(&self, state: &State, view: &View<'_>, row: Rect, buf: &mut Buffer) {
        let name = text::pad(&total_words(&self.total, state), self.name, view.glyphs.ellipsis);
        self.draw_counts(&self.total, &name, view.theme.accent, view, row, buf);
    }

    fn draw_counts(&self, counts: &Counts, name: &str, style: Style, view: &View<'_>, row: Rect, buf: &mut Buffer) {
        let mut column = put(buf, row, 2, name, style, view) + 2;
        let answered = counts.answered();
        // A finding of an earlier round that has no answer keeps a bar from looking full.
        let shown = if counts.complete() { counts.heads } else { answered.min(counts.heads.saturating_sub(1)) };
        column = draw_bar(shown, counts.heads, self.bar, counts.complete(), view, row, column, buf) + 2;
        let done = text::pad_left(&format!("{answered}/{}", counts.heads), self.done, "");
        column = put(buf, row, column, &done, view.theme.text, view);
        for c in &self.columns {
            let n = (c.count)(counts);
            if n > 0 {
                let words =
                    if c.wordy() { format!("  {} {n} {}", c.glyph, c.word) } else { format!(" {}{n}", c.glyph) };
                put(buf, row, column, &words, c.style, view);
            }
            column += u16::try_from(c.width).unwrap_or(0);
        }
        if counts.complete() && counts.heads > 0 {
            put(buf, row, column + 2, &format!("{} done", view.glyphs.check), view.theme.good, view);
        }
    }
}

fn total_words(total: &Counts, state: &State) -> String {
    format!("{} in {}", count(total.heads, "head"), count(state.register().areas.len(), "area"))
}

/// A progress bar as a line: blocks on neighbouring rows would run into each other.
#[expect(clippy::too_many_arguments, reason = "a place, a measure and what to draw with")]
fn draw_bar(
    done: usize,
    all: usize,
    columns: usize,
    complete: bool,
    view: &View<'_>,
    row: Rect,
    column: u16,
    buf: &mut Buffer,
) -> u16 {
    let g = view.glyphs;
    let bar = g.progress(done, all, columns);
    let full = bar.trim_end_matches(g.progress_empty);
    let rest = text::width(&bar) - text::width(full);
    let (full, rest) = if g.ascii {
        (full.to_owned(), g.progress_empty.repeat(rest))
    } else {
        (full.replace(g.progress_full, "━").replace(g.progress_half, "╸"), g.rule.repeat(rest))
    };
    let style = if complete { view.theme.done } else { view.theme.accent };
    let column = put(buf, row, column, &full, style, view);
    put(buf, row, column, &rest, view.theme.dim, view)
}
