//! The findings of the round: every ruled head, weightiest class first, and what earlier rounds left without an answer.

use std::cmp::Reverse;
use std::collections::BTreeSet;

use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};

use super::explain::Explain;
use super::moves::{Cursor, MOVES, Scroll, key_lines};
use super::parts::{self, address, area_name, class_style, count, go_to, state};
use super::sheet::Sheet;
use crate::round::entry::What;
use crate::round::layout::HeadIx;
use crate::round::lots::condemnation;
use crate::round::state::{State, Status};
use crate::round::story::{Answer, Fate, Finding, Story};
use crate::rules::model::{Class, Ruling};
use crate::tui::chrome::put;
use crate::tui::keys::{Binding, Key, KeyLine, find, lines};
use crate::tui::samples::{self, failed_words};
use crate::tui::screen::{Effect, Input, Message, Screen, View};
use crate::tui::text;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Action {
    Go,
    Explain,
    SameRuling,
    SameClass,
    SameArea,
    All,
    Back,
}

const KEYS: &[Binding<Action>] = &[
    Binding {
        keys: &[Key::Enter],
        action: Action::Go,
        name: "go there",
        help: "go to the head in the walk; leaving the walk comes back here",
        rank: 0,
    },
    Binding {
        keys: &[Key::Right],
        action: Action::Explain,
        name: "explain",
        help: "every rule that spoke about the head, with its reason and clause",
        rank: 1,
    },
    Binding {
        keys: &[Key::Char('1')],
        action: Action::SameRuling,
        name: "this ruling",
        help: "only heads with the ruling of this one, and back",
        rank: 3,
    },
    Binding {
        keys: &[Key::Char('2')],
        action: Action::SameClass,
        name: "this class",
        help: "only heads with the class of this one, and back",
        rank: 3,
    },
    Binding {
        keys: &[Key::Char('3')],
        action: Action::SameArea,
        name: "this area",
        help: "only heads of this one's area, and back",
        rank: 3,
    },
    Binding { keys: &[Key::Char('0')], action: Action::All, name: "all", help: "all findings again", rank: 4 },
    Binding {
        keys: &[Key::Esc, Key::Char('q')],
        action: Action::Back,
        name: "back",
        help: "back to the overview",
        rank: 2,
    },
];

/// What is kept of a head for sorting and filtering; its words are worked out only where they show.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Item {
    head: HeadIx,
    area: u16,
    /// `None`: nothing in this round, only an unanswered finding of an earlier one.
    ruling: Option<Ruling>,
    class: Option<Class>,
}

#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
struct Filter {
    ruling: Option<Option<Ruling>>,
    class: Option<Option<Class>>,
    area: Option<u16>,
}

impl Filter {
    fn lets(self, item: &Item) -> bool {
        self.ruling.is_none_or(|r| r == item.ruling)
            && self.class.is_none_or(|c| c == item.class)
            && self.area.is_none_or(|a| a == item.area)
    }
}

/// The list of findings.
pub struct Findings {
    all: Vec<Item>,
    shown: Vec<Item>,
    filter: Filter,
    cursor: Cursor,
}

impl Findings {
    /// The list as it stands now.
    #[must_use]
    pub fn boxed(view: &View<'_>) -> Box<dyn Screen> {
        let mut it = Self { all: Vec::new(), shown: Vec::new(), filter: Filter::default(), cursor: Cursor::default() };
        it.collect(view);
        Box::new(it)
    }

    fn collect(&mut self, view: &View<'_>) {
        let Some(state) = state(view) else { return };
        let ruled: BTreeSet<HeadIx> = state.ruled().collect();
        let open = state.open_carried().filter(|h| !ruled.contains(h));
        let mut all: Vec<Item> = ruled
            .iter()
            .map(|h| (*h, true))
            .chain(open.map(|h| (h, false)))
            .filter_map(|(head, now)| {
                let area = state.layout().head(head)?.area;
                let judged = state.judgement(head).filter(|j| j.ruling > Ruling::Keep);
                // A ruled head without a ruling that asks for anything was mended.
                let ruling = judged.map(|j| j.ruling).or(now.then_some(Ruling::Keep));
                Some(Item { head, area, ruling, class: judged.and_then(|j| j.class) })
            })
            .collect();
        all.sort_by_key(|i| {
            (Reverse(i.class), i.area, Reverse(i.ruling), state.layout().head(i.head).map(|h| h.spot), i.head)
        });
        self.all = all;
        self.sift();
    }

    fn sift(&mut self) {
        self.shown = self.all.iter().filter(|i| self.filter.lets(i)).copied().collect();
        self.cursor.keep_within(self.shown.len());
    }

    /// Turns a filter by the head one stands on, keeping the cursor on it.
    fn turn(&mut self, action: Action) {
        let here = self.shown.get(self.cursor.at).copied();
        let f = &mut self.filter;
        match (action, here) {
            (Action::All, _) => *f = Filter::default(),
            (Action::SameRuling, Some(i)) => f.ruling = if f.ruling.is_some() { None } else { Some(i.ruling) },
            (Action::SameClass, Some(i)) => f.class = if f.class.is_some() { None } else { Some(i.class) },
            (Action::SameArea, Some(i)) => f.area = if f.area.is_some() { None } else { Some(i.area) },
            _ => {}
        }
        self.sift();
        if let Some(at) = here.and_then(|i| self.shown.iter().position(|x| x.head == i.head)) {
            self.cursor.at = at;
        }
    }

    fn title(&self, state: &State) -> String {
        let mut words = Vec::new();
        if let Some(ruling) = self.filter.ruling {
            words.push(ruling.map_or("not answered".to_owned(), |r| r.to_string()));
        }
        if let Some(class) = self.filter.class {
            words.push(class.map_or("no class".to_owned(), |c| c.to_string()));
        }
        if let Some(area) = self.filter.area {
            words.push(area_name(state, area));
        }
        let all = count(self.all.len(), "head");
        if words.is_empty() {
            format!("Findings: {all}")
        } else {
            format!("Findings: {} of {all} ({})", self.shown.len(), words.join(", "))
        }
    }
}

/// What became of a finding, in a few words.
fn fate(finding: &Finding) -> &'static str {
    match finding.fate {
        Fate::Open => "",
        Fate::Mended(_) => "mended, not looked at again",
        Fate::Gone(_) => "gone",
        Fate::SetAside(_) => "set aside",
    }
}

/// How a finding of earlier rounds stands, in words.
#[must_use]
pub fn answered(answer: Answer, said_fixed: bool) -> &'static str {
    match answer {
        Answer::Open if said_fixed => "said to be mended; not verified",
        Answer::Open => "not answered yet",
        Answer::Still(_) => "still there",
        Answer::Worse(_) => "worse",
        Answer::Mended(_) => "mended in this round; not verified",
        Answer::Gone(_) => "verified gone",
    }
}

/// The finding that a row is about, with how it stands.
fn row_words(state: &State, head: HeadIx, story: &Story) -> String {
    if state.status(head) == Status::Unsure {
        return super::close_looks::reason(state, story);
    }
    let finding = story.leading().or_else(|| story.findings.last());
    let carried = story.carried.first();
    if let Some(finding) = finding {
        let mut words = match state.entry(finding.entry).map(|e| &e.what) {
            Some(What::Saw(saw)) => parts::saw(state, saw),
            _ => condemned_words(state, head),
        };
        if story.findings.len() > 1 {
            words.push_str(&format!(" (+{})", story.findings.len() - 1));
        }
        let fate = fate(finding);
        if !fate.is_empty() {
            words.push_str(&format!("; {fate}"));
        } else if let Some(carried) = carried.filter(|_| finding.carried) {
            let times = count(carried.times, "earlier round");
            words.push_str(&format!("; {}, {times}", answered(carried.answer, carried.said_fixed.is_some())));
        }
        return words;
    }
    match carried.and_then(|c| state.entry(c.last).map(|e| (c, &e.what))) {
        Some((c, What::Saw(saw))) => {
            format!("{}; {}", parts::saw(state, saw), answered(c.answer, c.said_fixed.is_some()))
        }
        _ => condemned_words(state, head),
    }
}

/// The failed lot that condemns a head, in a few words; nothing where none does.
fn condemned_words(state: &State, head: HeadIx) -> String {
    state.failure(head).map_or_else(String::new, |f| failed_words(state, &f))
}

impl Screen for Findings {
    fn name(&self) -> &'static str {
        "findings"
    }

    fn keys(&self, _: &View<'_>) -> Vec<KeyLine> {
        let any = !self.shown.is_empty();
        let filtered = self.filter != Filter::default();
        lines(KEYS, |a| match a {
            Action::Back => true,
            Action::All => filtered,
            _ => any,
        })
        .into_iter()
        .chain(key_lines(any))
        .collect()
    }

    fn update(&mut self, input: &Input, view: &View<'_>) -> Vec<Effect> {
        let Input::Key(key) = input else { return Vec::new() };
        let here = self.shown.get(self.cursor.at).map(|i| i.head);
        match (find(KEYS, *key), here) {
            (Some(Action::Back), _) => return vec![Effect::Pop],
            (Some(Action::Go), Some(head)) => return go_to(view, head),
            (Some(Action::Explain), Some(head)) => return vec![Effect::Push(Explain::boxed(head))],
            (Some(action), _) => self.turn(action),
            (None, _) => {
                if let Some(by) = find(MOVES, *key) {
                    self.cursor.step(by, self.shown.len());
                }
            }
        }
        Vec::new()
    }

    fn hear(&mut self, _: &Message, view: &View<'_>) {
        self.collect(view);
    }

    fn draw(&self, view: &View<'_>, area: Rect, buf: &mut Buffer) -> Option<Position> {
        let state = state(view)?;
        let list = parts::framed(&self.title(state), view, area, buf);
        if self.all.is_empty() {
            let words =
                "Nothing was found in this round so far. That says nothing about heads that nobody has looked at.";
            parts::say(words, view, list, buf);
            return None;
        }
        let (list, below) = parts::split(list, if area.height >= 24 { 8 } else { 5 });
        for (n, at) in self.cursor.window(self.shown.len(), usize::from(list.height)).enumerate() {
            let (Ok(n), Some(item)) = (u16::try_from(n), self.shown.get(at)) else { break };
            let row = Rect { y: list.y + n, height: 1, ..list };
            draw_item(state, item, at == self.cursor.at, view, row, buf);
        }
        if let Some(item) = self.shown.get(self.cursor.at) {
            detail(state, item.head, view, below.width).draw(view, below, buf, &Scroll::default(), None);
        }
        None
    }
}

fn draw_item(state: &State, item: &Item, here: bool, view: &View<'_>, row: Rect, buf: &mut Buffer) {
    let column = put(buf, row, 1, if here { view.glyphs.point_right } else { " " }, view.theme.accent, view);
    let (words, style) = match item.ruling {
        Some(Ruling::Keep) => (format!("{} mended ", view.glyphs.check), view.theme.good),
        Some(ruling) => parts::ruling(ruling, 7, view),
        None => (format!("{} earlier", view.glyphs.carried), view.theme.carried),
    };
    let mut column = put(buf, row, column + 1, &words, style, view);
    if row.width >= 72 {
        let (word, style) = item.class.map_or(("", view.theme.dim), |c| (c.as_str(), class_style(c, view)));
        put(buf, row, column + 2, word, style, view);
        column += 13;
    }
    let shown = text::pad(&address(state, item.head), 13, view.glyphs.ellipsis);
    let column = put(buf, row, column + 2, &shown, view.theme.text, view);
    let words = row_words(state, item.head, &state.story(item.head));
    let inside = Rect { width: row.width.saturating_sub(1), ..row };
    put(buf, inside, column + 1, &words, view.theme.text, view);
    if here {
        parts::select(Rect { x: row.x + 1, width: row.width.saturating_sub(2), ..row }, view, buf);
    }
}

/// What there is to say about the chosen head.
fn detail(state: &State, head: HeadIx, view: &View<'_>, width: u16) -> Sheet {
    let mut sheet = Sheet::new(width);
    let Some(place) = state.layout().head(head) else { return sheet };
    let kind = state.register().kind(place.kind);
    let units = state.register().site.units;
    sheet.row(vec![
        (format!("{}  ", address(state, head)), view.theme.title),
        (area_name(state, place.area), view.theme.text),
    ]);
    if let Some(kind) = kind {
        sheet.text(0, &format!("{}: {}", kind.id, kind.describe(units)), view.theme.dim);
    }
    if let Some(condemned) = condemnation(state, head) {
        let lead = vec![(format!("{} ", view.glyphs.cross), view.theme.error)];
        sheet.item(0, lead, &format!("{}.", samples::capital(&condemned.words)), view.theme.text);
        let clause = if condemned.clause.is_empty() { String::new() } else { format!(" ({})", condemned.clause) };
        sheet.text(0, &format!("{}{clause}", condemned.because), view.theme.text);
    }
    let story = state.story(head);
    if let Some(finding) = story.leading().or_else(|| story.findings.last()) {
        let set = state.judge().set();
        if let Some(rule) = state.judge().reasons(finding.judgement).first().and_then(|r| set.rule_at(*r)) {
            sheet.text(0, &format!("{} ({})", rule.because, rule.clause), view.theme.text);
            sheet.item(0, vec![(format!("{} ", view.glyphs.arrow), view.theme.accent)], &rule.remedy, view.theme.text);
        }
        if let Some(entry) = state.entry(finding.entry) {
            let how = parts::how(crate::round::story::how_seen(entry));
            sheet.text(0, &format!("{} {}, {how}", entry.by, parts::when(entry)), view.theme.dim);
        }
    }
    sheet
}
