//! What another rule set would change at the open site: the heads that it rules otherwise, what the register alone would
//! then advise, what first falls due by age on another day, and the entries whose words it does not know. It changes nothing: the record stays judged by its own set.

use std::rc::Rc;
use std::sync::Arc;

use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};

use super::explain::Explain;
use super::moves::{Cursor, MOVES, Scroll, key_lines};
use super::parts::{self, class_style, count, go_to, state};
use super::sheet::{Sheet, Words};
use crate::round::layout::HeadIx;
use crate::round::rulings::{self, AdviceChanged, Advised, Against, Changed, Decided, DueBy, DueChanged, NotKnown};
use crate::round::state::State;
use crate::rules::grid::letter;
use crate::rules::model::{Class, RuleSet, Ruling};
use crate::trade::quantity::PartialDate;
use crate::tui::ask::{Choice, Choose};
use crate::tui::chrome::put;
use crate::tui::keys::{Binding, Key, KeyLine, find, lines};
use crate::tui::screen::{Effect, Input, Message, Screen, View};
use crate::tui::text;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Action {
    Explain,
    Go,
    Next,
    Before,
    Other,
    Back,
}

const KEYS: &[Binding<Action>] = &[
    Binding {
        keys: &[Key::Enter, Key::Char('?')],
        action: Action::Explain,
        name: "why",
        help: "explain what the other set rules on the head: its rules, what every edition says, cases; help is one ? further",
        rank: 0,
    },
    Binding {
        keys: &[Key::Char('g')],
        action: Action::Go,
        name: "go there",
        help: "go to the head in the walk",
        rank: 2,
    },
    Binding {
        keys: &[Key::Tab],
        action: Action::Next,
        name: "next list",
        help: "heads; what the register alone advises; what first falls due by age; entries that the other set does not know",
        rank: 3,
    },
    Binding { keys: &[Key::BackTab], action: Action::Before, name: "list before", help: "the list before", rank: 9 },
    Binding {
        keys: &[Key::Char('o')],
        action: Action::Other,
        name: "other set",
        help: "choose another rule set to compare with",
        rank: 4,
    },
    Binding {
        keys: &[Key::Esc, Key::Char('q')],
        action: Action::Back,
        name: "back",
        help: "back to the overview",
        rank: 1,
    },
];

/// The choice of a set to compare the adopted one with.
#[must_use]
pub fn choose(view: &View<'_>) -> Option<Box<dyn Screen>> {
    let own = state(view)?.rules().to_owned();
    let offers: Vec<_> = view.offers.list().iter().filter(|o| o.name != own).cloned().collect();
    let choices = offers
        .iter()
        .zip(('1'..='9').chain(std::iter::repeat(' ')))
        .map(|(offer, key)| Choice {
            key,
            name: text::plain(&offer.name),
            hint: if offer.sound { text::plain(&offer.edition) } else { "cannot be used as it stands".to_owned() },
        })
        .collect();
    let then = move |at: usize, view: &View<'_>| match offers.get(at).map(|offer| view.offers.load(&offer.name)) {
        Some(Ok(set)) => OtherSet::boxed(set, view).map(Effect::Push).into_iter().collect(),
        // One complaint is enough here; `rules check` tells them all.
        Some(Err(troubles)) => troubles.into_iter().next().map(|it| Effect::Show(Box::new(it))).into_iter().collect(),
        None => Vec::new(),
    };
    let title = format!("Other sets than {}", text::plain(&own));
    Some(Choose::new("other sets", title, choices, Box::new(then)))
}

/// Which list is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum List {
    Heads,
    Register,
    Due,
    Unknown,
}

impl List {
    const ALL: [Self; 4] = [Self::Heads, Self::Register, Self::Due, Self::Unknown];

    const fn name(self) -> &'static str {
        match self {
            Self::Heads => "heads",
            Self::Register => "register",
            Self::Due => "ages",
            Self::Unknown => "not known",
        }
    }
}

/// What another set would change.
pub struct OtherSet {
    set: Arc<RuleSet>,
    /// The record judged by it, and how many entries that were.
    other: Rc<State>,
    found: Against,
    list: List,
    cursor: Cursor,
}

impl OtherSet {
    /// The record compared with what that set makes of it.
    #[must_use]
    pub fn boxed(set: Arc<RuleSet>, view: &View<'_>) -> Option<Box<dyn Screen>> {
        let (other, found) = compare(&set, view)?;
        let mut it = Self { set, other: Rc::new(other), found, list: List::Heads, cursor: Cursor::default() };
        // The first list in which there is anything.
        it.list = List::ALL.into_iter().find(|l| it.rows_of(*l) > 0).unwrap_or(List::Heads);
        Some(Box::new(it))
    }

    fn rows_of(&self, list: List) -> usize {
        match list {
            List::Heads => self.found.heads.len(),
            List::Register => self.found.advice.len(),
            List::Due => self.found.due.len(),
            List::Unknown => self.found.not_known.len(),
        }
    }

    fn head(&self) -> Option<HeadIx> {
        self.changed().map(|c| c.ix)
    }

    fn changed(&self) -> Option<&Changed> {
        self.found.heads.get(self.cursor.at).filter(|_| self.list == List::Heads)
    }

    fn turn(&mut self, by: usize) {
        let at = List::ALL.iter().position(|l| *l == self.list).unwrap_or(0);
        self.list = List::ALL.get((at + by) % List::ALL.len()).copied().unwrap_or(List::Heads);
        self.cursor = Cursor::default();
    }

    fn title(&self, view: &View<'_>) -> String {
        let own = state(view).map_or("", State::rules);
        format!("{} {} {}", text::plain(own), view.glyphs.arrow, text::plain(self.other.rules()))
    }

    /// How many heads change, and which way.
    fn sums(&self) -> String {
        let heads = &self.found.heads;
        if heads.is_empty() {
            return format!("none of {} changes", count(self.found.listed, "listed head"));
        }
        let weight = |d: &Decided| (d.ruling, d.class);
        let judged = || heads.iter().filter(|c| c.from.known && c.to.known);
        let stricter = judged().filter(|c| weight(&c.from) < weight(&c.to)).count();
        let milder = judged().count() - stricter;
        let mut words = vec![format!("{stricter} stricter"), format!("{milder} milder")];
        match heads.len() - stricter - milder {
            0 => {}
            n => words.push(format!("{n} not judged")),
        }
        let verb = if heads.len() == 1 { "changes" } else { "change" };
        format!("{} of {} {verb}: {}", heads.len(), count(self.found.listed, "listed head"), words.join(", "))
    }

    /// The lists with their lengths, the one that is shown in its own style.
    fn lists(&self, view: &View<'_>, row: Rect, buf: &mut Buffer) {
        let mut column = 1;
        for list in List::ALL {
            let here = list == self.list;
            let style = if here { view.theme.accent } else { view.theme.dim };
            let mark = if here { view.glyphs.point_right } else { " " };
            let words = format!("{mark}{} {}", list.name(), self.rows_of(list));
            column = put(buf, row, column, &words, style, view) + 2;
        }
    }
}

fn compare(set: &Arc<RuleSet>, view: &View<'_>) -> Option<(State, Against)> {
    let state = state(view)?;
    let other = state.rejudged(Arc::clone(set), &set.name);
    let found = rulings::against(state, &other, view.today);
    Some((other, found))
}

/// What one side says, in short: `✗ replace C`.
fn short(ruling: Option<Ruling>, class: Option<Class>, view: &View<'_>) -> Words {
    let class = class.map_or_else(String::new, |c| format!(" {}", letter(c)));
    match ruling {
        Some(ruling) => {
            let words = format!("{} {ruling}{class}", view.glyphs.ruling(ruling));
            (words, view.theme.ruling_style(ruling))
        }
        None => ("-".to_owned(), view.theme.dim),
    }
}

/// Columns of one side: `↻ correct N` and a column more.
const SIDE: u16 = 12;

/// Puts both sides with an arrow between them; the column after them comes back.
fn both(from: Words, to: Words, row: Rect, column: u16, view: &View<'_>, buf: &mut Buffer) -> u16 {
    put(buf, row, column, &from.0, from.1, view);
    put(buf, row, column + SIDE, view.glyphs.arrow, view.theme.dim, view);
    put(buf, row, column + SIDE + 2, &to.0, to.1, view);
    column + SIDE + 2 + SIDE
}

impl OtherSet {
    fn draw_row(&self, at: usize, view: &View<'_>, row: Rect, buf: &mut Buffer) {
        let inside = Rect { width: row.width.saturating_sub(1), ..row };
        match self.list {
            List::Heads => {
                let Some(it) = self.found.heads.get(at) else { return };
                let address = text::pad(&it.head.to_string(), 13, view.glyphs.ellipsis);
                let column = put(buf, inside, 2, &address, view.theme.text, view) + 1;
                let (from, to) = (&it.from, &it.to);
                let (from, to) = (short(from.ruling, from.class, view), short(to.ruling, to.class, view));
                let column = both(from, to, inside, column, view, buf);
                put(buf, inside, column, &why(it), view.theme.text, view);
            }
            List::Register => {
                let Some(it) = self.found.advice.get(at) else { return };
                let place = text::pad(&format!("{} {}", it.area, it.kind), 20, view.glyphs.ellipsis);
                let column = put(buf, inside, 2, &place, view.theme.text, view) + 1;
                let column = put(buf, inside, column, &format!("{:>4} ", it.heads), view.theme.dim, view);
                let side =
                    |a: &Option<Advised>| short(a.as_ref().map(|a| a.ruling), a.as_ref().and_then(|a| a.class), view);
                let column = both(side(&it.from), side(&it.to), inside, column, view, buf);
                put(buf, inside, column, &text::plain(&it.title), view.theme.text, view);
            }
            List::Due => {
                let Some(it) = self.found.due.get(at) else { return };
                let room = if row.width >= 90 { 20 } else { 16 };
                // Where both days have no room with it, only the words below the list say that one is past.
                let due = |by: Option<&DueBy>| {
                    let words = due(by);
                    if row.width < 78 { words.trim_end_matches(" (past)").to_owned() } else { words }
                };
                let place = text::pad(&format!("{} {}", it.area, it.kind), room, view.glyphs.ellipsis);
                let column = put(buf, inside, 2, &place, view.theme.text, view) + 1;
                let column = put(buf, inside, column, &format!("{:>4} ", it.heads), view.theme.dim, view);
                let wide = self.found.due.iter().map(|d| text::width(&due(d.from.as_ref()))).max().unwrap_or(0);
                let from = text::pad(&due(it.from.as_ref()), wide, view.glyphs.ellipsis);
                let column = put(buf, inside, column, &from, view.theme.text, view);
                let column = put(buf, inside, column + 1, view.glyphs.arrow, view.theme.dim, view);
                put(buf, inside, column + 1, &due(it.to.as_ref()), view.theme.accent, view);
            }
            List::Unknown => {
                let Some(it) = self.found.not_known.get(at) else { return };
                let heads = text::pad(&text::plain(&it.heads), 20, view.glyphs.ellipsis);
                let column = put(buf, inside, 2, &heads, view.theme.text, view) + 1;
                put(buf, inside, column, &text::plain(&it.why), view.theme.warning, view);
            }
        }
    }

    fn detail(&self, view: &View<'_>, width: u16) -> Sheet {
        let mut sheet = Sheet::new(width);
        let own = state(view).map_or("", State::rules);
        let names = [own, self.other.rules()].map(text::plain);
        let wide = names.iter().map(|n| text::width(n)).max().unwrap_or(0);
        let [from, to] = names.map(|n| text::pad(&n, wide, ""));
        match self.list {
            List::Heads => {
                if let Some(it) = self.changed() {
                    head_detail(&mut sheet, it, (&from, &to), view);
                }
            }
            List::Register => {
                if let Some(it) = self.found.advice.get(self.cursor.at) {
                    advice_detail(&mut sheet, it, (&from, &to), view);
                }
            }
            List::Due => {
                if let Some(it) = self.found.due.get(self.cursor.at) {
                    due_detail(&mut sheet, it, (&from, &to), view);
                }
            }
            List::Unknown => {
                if let Some(it) = self.found.not_known.get(self.cursor.at) {
                    unknown_detail(&mut sheet, it, view);
                }
            }
        }
        sheet
    }
}

/// What leads to the new ruling says why; where no rule does any more, what led to the old one.
fn why(it: &Changed) -> String {
    let why = if it.to.title.is_empty() { &it.from.title } else { &it.to.title };
    let earlier = if it.carried { " (earlier finding)" } else { "" };
    text::plain(&format!("{why}{earlier}"))
}

fn head_detail(sheet: &mut Sheet, it: &Changed, (from, to): (&str, &str), view: &View<'_>) {
    sheet.row(vec![
        (format!("{}  ", it.head), view.theme.title),
        (format!("{}  ", it.area), view.theme.text),
        (it.make_up.clone(), view.theme.dim),
    ]);
    for (name, side) in [(from, &it.from), (to, &it.to)] {
        let mut lead = vec![(format!("{name}  "), view.theme.dim), ruled(side.ruling, view)];
        if let Some(class) = side.class {
            lead.push((format!(" {class}"), class_style(class, view)));
        }
        lead.push((" ".to_owned(), view.theme.text));
        let clause = side.clause.as_ref().map_or_else(String::new, |c| format!(" ({c})"));
        sheet.item(0, lead, &format!("{}{clause}", side.title), view.theme.text);
    }
    if !it.to.because.is_empty() {
        sheet.text(0, &it.to.because, view.theme.dim);
    }
    if !it.to.remedy.is_empty() {
        sheet.item(0, vec![(format!("{} ", view.glyphs.arrow), view.theme.accent)], &it.to.remedy, view.theme.text);
    }
}

fn advice_detail(sheet: &mut Sheet, it: &AdviceChanged, (from, to): (&str, &str), view: &View<'_>) {
    sheet.row(vec![
        (format!("{} in {}  ", count(it.heads, "head"), it.area), view.theme.title),
        (format!("{}: {}", it.kind, it.make_up), view.theme.dim),
    ]);
    for (name, side) in [(from, &it.from), (to, &it.to)] {
        let mut lead = vec![(format!("{name}  "), view.theme.dim), ruled(side.as_ref().map(|s| s.ruling), view)];
        if let Some(class) = side.as_ref().and_then(|s| s.class) {
            lead.push((format!(" {class}"), class_style(class, view)));
        }
        lead.push((" ".to_owned(), view.theme.text));
        sheet.item(0, lead, side.as_ref().map_or("", |s| s.clause.as_str()), view.theme.text);
    }
    sheet.text(0, &format!("{} ({})", it.title, it.rule), view.theme.text);
}

/// When heads first fall due, for what and whether that is past: `2018-05-01 replace (past)`.
fn due(by: Option<&DueBy>) -> String {
    by.map_or_else(
        || "never".to_owned(),
        |by| {
            let day = by.on.map_or_else(|| "at once".to_owned(), |d| d.to_string());
            format!("{day} {}{}", by.act, if by.past { " (past)" } else { "" })
        },
    )
}

fn due_detail(sheet: &mut Sheet, it: &DueChanged, (from, to): (&str, &str), view: &View<'_>) {
    sheet.row(vec![
        (format!("{} in {}  ", count(it.heads, "head"), it.area), view.theme.title),
        (format!("{}: {}", it.kind, it.make_up), view.theme.dim),
    ]);
    let known = |date: Option<PartialDate>| date.map_or_else(|| "not known".to_owned(), |d| d.to_string());
    sheet.text(0, &format!("made {}, in service since {}", known(it.made), known(it.since)), view.theme.dim);
    for (name, side) in [(from, &it.from), (to, &it.to)] {
        let words = match side {
            None => "it asks nothing of their age".to_owned(),
            Some(by) => {
                let earlier = match (by.on, by.made_unknown) {
                    (None, _) => ", as no day is known",
                    (_, true) => " or earlier, as the year made is not known",
                    _ => "",
                };
                format!("{}{earlier}: {} ({})", due(side.as_ref()), by.title, by.clause)
            }
        };
        sheet.item(0, vec![(format!("{name}  "), view.theme.dim)], &words, view.theme.text);
    }
    sheet.text(0, "The first date by the set; tests made since are not counted.", view.theme.dim);
}

fn unknown_detail(sheet: &mut Sheet, it: &NotKnown, view: &View<'_>) {
    sheet.row(vec![
        (format!("{}  ", it.heads), view.theme.title),
        (format!("round {}, entry {}", it.round, it.entry), view.theme.dim),
    ]);
    sheet.text(0, &it.why, view.theme.warning);
    sheet.text(0, "What it found counts as not judged under the other set.", view.theme.text);
}

fn ruled(ruling: Option<Ruling>, view: &View<'_>) -> Words {
    ruling.map_or_else(|| ("- nothing".to_owned(), view.theme.dim), |r| parts::ruling(r, 7, view))
}

impl Screen for OtherSet {
    fn name(&self) -> &'static str {
        "other set"
    }

    fn keys(&self, view: &View<'_>) -> Vec<KeyLine> {
        let any = self.rows_of(self.list) > 0;
        let own = lines(KEYS, |a| match a {
            Action::Explain => self.explains(view),
            Action::Go => self.head().is_some(),
            _ => true,
        });
        own.into_iter().chain(key_lines(any)).collect()
    }

    fn explains(&self, _: &View<'_>) -> bool {
        self.head().is_some()
    }

    fn update(&mut self, input: &Input, view: &View<'_>) -> Vec<Effect> {
        let Input::Key(key) = input else { return Vec::new() };
        if let Some(by) = find(MOVES, *key) {
            self.cursor.step(by, self.rows_of(self.list));
            return Vec::new();
        }
        match (find(KEYS, *key), self.head()) {
            (Some(Action::Explain), Some(head)) => {
                return vec![Effect::Push(Explain::under(Rc::clone(&self.other), head))];
            }
            (Some(Action::Go), Some(head)) => return go_to(view, head),
            (Some(Action::Next), _) => self.turn(1),
            (Some(Action::Before), _) => self.turn(List::ALL.len() - 1),
            (Some(Action::Other), _) => {
                // The choice takes this screen's place, or comparisons would pile up.
                return choose(view).map(Effect::Swap).into_iter().collect();
            }
            (Some(Action::Back), _) => return vec![Effect::Pop],
            _ => {}
        }
        Vec::new()
    }

    fn hear(&mut self, _: &Message, view: &View<'_>) {
        // What was recorded since is compared too; coming back from an explanation costs nothing.
        let known = self.other.entries().len();
        if state(view).is_some_and(|s| s.entries().len() != known)
            && let Some((other, found)) = compare(&self.set, view)
        {
            (self.other, self.found) = (Rc::new(other), found);
            self.cursor.keep_within(self.rows_of(self.list));
        }
    }

    fn draw(&self, view: &View<'_>, area: Rect, buf: &mut Buffer) -> Option<Position> {
        state(view)?;
        let mut rest = parts::framed(&self.title(view), view, area, buf);
        if area.height >= 12 {
            // The blank row below the title holds the sums.
            let row = Rect { y: rest.y - 1, height: 1, width: rest.width.saturating_sub(1), ..rest };
            put(buf, row, 1, &self.sums(), view.theme.text, view);
        }
        self.lists(view, Rect { height: rest.height.min(1), ..rest }, buf);
        let used = rest.height.min(1);
        rest = Rect { y: rest.y + used, height: rest.height - used, ..rest };
        if self.rows_of(self.list) == 0 {
            parts::say(nothing(self.list), view, rest, buf);
            return None;
        }
        let (list, below) = parts::split(rest, if area.height >= 24 { 8 } else { 6 });
        for (n, at) in self.cursor.window(self.rows_of(self.list), usize::from(list.height)).enumerate() {
            let Ok(n) = u16::try_from(n) else { break };
            let row = Rect { y: list.y + n, height: 1, ..list };
            let here = at == self.cursor.at;
            put(buf, row, 1, if here { view.glyphs.point_right } else { " " }, view.theme.accent, view);
            self.draw_row(at, view, row, buf);
            if here {
                parts::select(Rect { x: row.x + 1, width: row.width.saturating_sub(2), ..row }, view, buf);
            }
        }
        self.detail(view, below.width).draw(view, below, buf, &Scroll::default(), None);
        None
    }
}

/// What is said of a list without rows.
const fn nothing(list: List) -> &'static str {
    match list {
        List::Heads => {
            "No head changes its ruling or its class. That says nothing about heads that nobody has looked at, nor about \
             what else the set asks for: ages, samples, stock."
        }
        List::Register => "What the register alone says of heads is the same under both sets.",
        List::Due => "Every head first falls due by its age on the same day under both sets.",
        List::Unknown => "The other set knows every word of the record.",
    }
}
