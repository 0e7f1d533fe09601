//! Close looks: every head that could not be judged and every doubtful finding of the round, with what each one needs.

use std::cell::Cell;

use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};

use super::moves::{Cursor, MOVES, key_lines};
use super::parts::{self, address, area_name, count, go_to, state};
use super::sheet::Sheet;
use crate::round::entry::{UnsureWhy, What};
use crate::round::layout::HeadIx;
use crate::round::state::{State, Status};
use crate::round::story::{Fate, Story};
use crate::rules::model::Ruling;
use crate::tui::chrome::put;
use crate::tui::keys::{Binding, Key, KeyLine, find, lines};
use crate::tui::screen::{Effect, Input, Message, Screen, View};
use crate::tui::text;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Action {
    Go,
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
        keys: &[Key::Esc, Key::Char('q')],
        action: Action::Back,
        name: "back",
        help: "back to the overview",
        rank: 1,
    },
];

/// The list of close looks.
pub struct CloseLooks {
    heads: Vec<HeadIx>,
    cursor: Cursor,
    unreached: Cell<usize>,
}

impl CloseLooks {
    /// The list as it stands now.
    #[must_use]
    pub fn boxed(view: &View<'_>) -> Box<dyn Screen> {
        let mut it = Self { heads: Vec::new(), cursor: Cursor::default(), unreached: Cell::new(0) };
        it.collect(view);
        Box::new(it)
    }

    fn collect(&mut self, view: &View<'_>) {
        let Some(state) = state(view) else { return };
        self.heads = of(state);
        self.cursor.keep_within(self.heads.len());
        self.unreached.set(state.counts().unreached);
    }
}

/// The heads that want a close look, in the order one meets them.
#[must_use]
pub fn of(state: &State) -> Vec<HeadIx> {
    let mut heads: Vec<HeadIx> = state
        .ruled()
        .filter(|h| {
            state.judgement(*h).is_some_and(|j| j.ruling == Ruling::Look)
                || state.status(*h) == Status::Unsure
                || state.story(*h).findings.iter().any(|f| f.fate == Fate::Open && is_doubtful(state, f.entry))
        })
        .collect();
    heads.sort_by_key(|h| state.layout().head(*h).map(|head| (head.area, head.spot)));
    heads
}

fn is_doubtful(state: &State, entry: crate::round::state::EntryIx) -> bool {
    matches!(state.entry(entry).map(|e| &e.what), Some(What::Saw(saw)) if saw.doubtful)
}

/// Why a head wants a close look, in a few words.
#[must_use]
pub fn reason(state: &State, story: &Story) -> String {
    if let Some(why) = story.unsure_why(state) {
        return match why {
            UnsureWhy::TooFar => "could not be judged: too far away",
            UnsureWhy::Light => "could not be judged: too dark or against the light",
            UnsureWhy::Hidden => "could not be judged: something in front of it",
            UnsureWhy::Dirty => "could not be judged: too dirty to see the parts",
            UnsureWhy::BehindPlate => "could not be judged: only the cover plate in sight",
            UnsureWhy::Other => "could not be judged",
        }
        .to_owned();
    }
    let doubtful = story.findings.iter().find(|f| f.fate == Fate::Open && is_doubtful(state, f.entry));
    let finding = doubtful.or_else(|| story.leading());
    match finding.and_then(|f| state.entry(f.entry)).map(|e| &e.what) {
        Some(What::Saw(saw)) => {
            let words = parts::saw(state, saw);
            if saw.doubtful { format!("in doubt: {words}") } else { words }
        }
        _ => "a close look is needed".to_owned(),
    }
}

/// What a close look needs. Common practice, no source.
#[must_use]
pub fn need(state: &State, story: &Story) -> &'static str {
    match story.unsure_why(state) {
        Some(UnsureWhy::TooFar) => "binoculars or a lift",
        Some(UnsureWhy::Light) => "a lamp, or another hour",
        Some(UnsureWhy::Hidden) => "the view cleared by the owner",
        Some(UnsureWhy::Dirty) => "a lift; look, do not touch",
        Some(UnsureWhy::BehindPlate) => "licensed people for the plate",
        Some(UnsureWhy::Other) => "a second visit",
        None => "a second look from near by",
    }
}

impl Screen for CloseLooks {
    fn name(&self) -> &'static str {
        "close looks"
    }

    fn keys(&self, _: &View<'_>) -> Vec<KeyLine> {
        let any = !self.heads.is_empty();
        lines(KEYS, |a| any || a == Action::Back).into_iter().chain(key_lines(any)).collect()
    }

    fn update(&mut self, input: &Input, view: &View<'_>) -> Vec<Effect> {
        let Input::Key(key) = input else { return Vec::new() };
        match find(KEYS, *key) {
            Some(Action::Back) => return vec![Effect::Pop],
            Some(Action::Go) => return self.heads.get(self.cursor.at).map(|h| go_to(view, *h)).unwrap_or_default(),
            None => {}
        }
        if let Some(by) = find(MOVES, *key) {
            self.cursor.step(by, self.heads.len());
        }
        Vec::new()
    }

    fn hear(&mut self, _: &Message, view: &View<'_>) {
        self.collect(view);
    }

    fn draw(&self, view: &View<'_>, area: Rect, buf: &mut Buffer) -> Option<Position> {
        let state = state(view)?;
        let title = format!("Close looks: {}", count(self.heads.len(), "head"));
        let list = super::parts::framed(&title, view, area, buf);
        if self.heads.is_empty() {
            let words = "No head of this round waits for a close look. Those are heads that could not be judged, and \
                         findings entered as doubtful.";
            parts::say(words, view, list, buf);
            return None;
        }
        let (list, below) = parts::split(list, 5);
        let wide = list.width >= 96;
        for (n, at) in self.cursor.window(self.heads.len(), usize::from(list.height)).enumerate() {
            let (Ok(n), Some(head)) = (u16::try_from(n), self.heads.get(at)) else { break };
            let row = Rect { y: list.y + n, height: 1, ..list };
            let story = state.story(*head);
            let here = at == self.cursor.at;
            let column = put(buf, row, 1, if here { view.glyphs.point_right } else { " " }, view.theme.accent, view);
            let shown = text::pad(&address(state, *head), 14, view.glyphs.ellipsis);
            let column = put(buf, row, column + 1, &shown, view.theme.text, view);
            let (glyph, style) = match state.status(*head) {
                Status::Unsure => (view.glyphs.unsure, view.theme.unsure),
                _ => {
                    let ruling = state.judgement(*head).map_or(Ruling::Look, |j| j.ruling);
                    (view.glyphs.ruling(ruling), view.theme.ruling_style(ruling))
                }
            };
            let column = put(buf, row, column + 1, glyph, style, view);
            let why = reason(state, &story);
            if wide {
                let why = text::pad(&why, usize::from(row.width).saturating_sub(52), view.glyphs.ellipsis);
                let column = put(buf, row, column + 1, &why, view.theme.text, view);
                put(buf, row, column + 2, need(state, &story), view.theme.hint, view);
            } else {
                put(buf, row, column + 1, &why, view.theme.text, view);
            }
            if here {
                parts::select(Rect { x: row.x + 1, width: row.width.saturating_sub(2), ..row }, view, buf);
            }
        }
        if let Some(head) = self.heads.get(self.cursor.at) {
            self.draw_detail(state, *head, view, below, buf);
        }
        None
    }
}

impl CloseLooks {
    fn draw_detail(&self, state: &State, head: HeadIx, view: &View<'_>, area: Rect, buf: &mut Buffer) {
        let story = state.story(head);
        let mut sheet = Sheet::new(area.width);
        let place = state.layout().head(head).map(|h| area_name(state, h.area)).unwrap_or_default();
        sheet.row(vec![(format!("{}  ", address(state, head)), view.theme.title), (place, view.theme.text)]);
        sheet.item(0, vec![("Why     ".to_owned(), view.theme.dim)], &reason(state, &story), view.theme.text);
        sheet.item(0, vec![("Needed  ".to_owned(), view.theme.dim)], need(state, &story), view.theme.text);
        let entry = story.unsure.or_else(|| story.leading().map(|f| f.entry)).and_then(|e| state.entry(e));
        if let Some(entry) = entry {
            let how = parts::how(crate::round::story::how_seen(entry));
            sheet.text(0, &format!("{} {}, {how}", entry.by, parts::when(entry)), view.theme.dim);
        }
        if self.unreached.get() > 0 {
            let words = format!("Besides these, {} not reached.", count(self.unreached.get(), "head"));
            sheet.text(0, &words, view.theme.dim);
        }
        sheet.draw(view, area, buf, &super::moves::Scroll::default(), None);
    }
}
