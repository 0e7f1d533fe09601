//! Every entry about one head, of all rounds, newest first; those of the present round can be taken back.

use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};

use super::moves::{Cursor, MOVES, Scroll, key_lines};
use super::parts::{self, address, ago, count, state};
use super::sheet::Sheet;
use crate::round::entry::{Entry, What};
use crate::round::layout::HeadIx;
use crate::round::state::{EntryIx, State};
use crate::round::words::entry_words;
use crate::tui::ask::Confirm;
use crate::tui::chrome::put;
use crate::tui::keys::{Binding, Key, KeyLine, find, lines};
use crate::tui::screen::{Draft, Effect, Input, Message, Screen, View};
use crate::tui::text;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Action {
    TakeBack,
    Back,
}

const KEYS: &[Binding<Action>] = &[
    Binding {
        keys: &[Key::Enter],
        action: Action::TakeBack,
        name: "take back",
        help: "take the entry back; asks first where it is another person's or about more heads than this one",
        rank: 0,
    },
    Binding {
        keys: &[Key::Esc, Key::Char('q')],
        action: Action::Back,
        name: "back",
        help: "back to the walk",
        rank: 1,
    },
];

/// The entries about one head.
pub struct HeadEntries {
    head: HeadIx,
    entries: Vec<EntryIx>,
    cursor: Cursor,
}

impl HeadEntries {
    /// The entries as they stand now.
    #[must_use]
    pub fn boxed(view: &View<'_>, head: HeadIx) -> Box<dyn Screen> {
        let mut it = Self { head, entries: Vec::new(), cursor: Cursor::default() };
        it.collect(view);
        Box::new(it)
    }

    fn collect(&mut self, view: &View<'_>) {
        let Some(state) = state(view) else { return };
        let Some(at) = state.address(self.head) else { return };
        let about = |e: &Entry| e.heads().is_some_and(|h| h.area == at.area && h.holds(at.spot));
        self.entries = state
            .entries()
            .iter()
            .enumerate()
            .rev()
            .filter(|(_, e)| about(e))
            .filter_map(|(ix, _)| u32::try_from(ix).ok().map(EntryIx))
            .collect();
        self.cursor.keep_within(self.entries.len());
    }

    fn here(&self) -> Option<EntryIx> {
        self.entries.get(self.cursor.at).copied()
    }
}

/// Why an entry cannot be taken back, if it cannot.
pub(super) fn bar(state: &State, ix: EntryIx, view: &View<'_>) -> Option<String> {
    let entry = state.entry(ix)?;
    let present = state.present_round().map(|r| &r.name);
    if !state.stands(ix) {
        return Some("it is taken back already; y in the walk brings back your last one".to_owned());
    }
    if present != Some(&entry.round) {
        return Some(format!("it belongs to round {}, which is behind us", text::plain(&entry.round)));
    }
    view.desk.and_then(|d| d.read_only()).map(str::to_owned)
}

/// Takes an entry back; asks first where it is another person's or about several heads.
pub(super) fn take_back(ix: EntryIx, view: &View<'_>) -> Vec<Effect> {
    let (Some(state), Some(desk)) = (state(view), view.desk) else { return Vec::new() };
    let Some(entry) = state.entry(ix) else { return Vec::new() };
    if let Some(why) = bar(state, ix, view) {
        return vec![Effect::Warn(format!("The entry stays: {why}"))];
    }
    let id = entry.id;
    let many = entry.heads().map_or(0, |h| state.layout().heads_of(&h).len());
    let mine = *entry.by == *desk.by();
    if mine && many <= 1 {
        return vec![Effect::Record(vec![Draft::from(What::Retract(id))])];
    }
    let whose = if mine { String::new() } else { format!("It is {}'s entry, not yours. ", text::plain(&entry.by)) };
    let reach = if many > 1 { format!("It is about {}. ", count(many, "head")) } else { String::new() };
    let question =
        format!("{whose}{reach}Take back \"{}\"? It stays in the file, marked as taken back.", entry_words(entry));
    let then = move |(), _: &View<'_>| vec![Effect::Record(vec![Draft::from(What::Retract(id))])];
    vec![Effect::Push(Confirm::new("Take back?", question, Box::new(then)))]
}

impl Screen for HeadEntries {
    fn name(&self) -> &'static str {
        "entries of a head"
    }

    fn keys(&self, view: &View<'_>) -> Vec<KeyLine> {
        let free = self.here().zip(state(view)).is_some_and(|(ix, s)| bar(s, ix, view).is_none());
        let any = self.entries.len() > 1;
        lines(KEYS, |a| free || a == Action::Back).into_iter().chain(key_lines(any)).collect()
    }

    fn update(&mut self, input: &Input, view: &View<'_>) -> Vec<Effect> {
        let Input::Key(key) = input else { return Vec::new() };
        match find(KEYS, *key) {
            Some(Action::Back) => return vec![Effect::Pop],
            Some(Action::TakeBack) => return self.here().map(|ix| take_back(ix, view)).unwrap_or_default(),
            None => {}
        }
        if let Some(by) = find(MOVES, *key) {
            self.cursor.step(by, self.entries.len());
        }
        Vec::new()
    }

    fn hear(&mut self, _: &Message, view: &View<'_>) {
        self.collect(view);
    }

    fn draw(&self, view: &View<'_>, area: Rect, buf: &mut Buffer) -> Option<Position> {
        let state = state(view)?;
        let title = format!("Entries about {}: {}", address(state, self.head), self.entries.len());
        let list = parts::framed(&title, view, area, buf);
        if self.entries.is_empty() {
            parts::say("Nothing was ever recorded about this head.", view, list, buf);
            return None;
        }
        let (list, below) = parts::split(list, 5);
        for (n, at) in self.cursor.window(self.entries.len(), usize::from(list.height)).enumerate() {
            let (Ok(n), Some(ix)) = (u16::try_from(n), self.entries.get(at)) else { break };
            let Some(entry) = state.entry(*ix) else { continue };
            let row = Rect { y: list.y + n, height: 1, ..list };
            let here = at == self.cursor.at;
            let stands = state.stands(*ix);
            let column = put(buf, row, 1, if here { view.glyphs.point_right } else { " " }, view.theme.accent, view);
            let column = put(buf, row, column + 1, &parts::when(entry), view.theme.dim, view);
            let round = text::pad(&text::plain(&entry.round), 6, view.glyphs.ellipsis);
            let column = put(buf, row, column + 2, &round, view.theme.dim, view);
            let by = text::pad(&text::plain(&entry.by), 6, view.glyphs.ellipsis);
            let column = put(buf, row, column + 1, &by, view.theme.text, view);
            let words = entry_words(entry);
            let (words, style) =
                if stands { (words, view.theme.text) } else { (format!("(taken back) {words}"), view.theme.dim) };
            put(buf, Rect { width: row.width.saturating_sub(1), ..row }, column + 1, &words, style, view);
            if here {
                parts::select(Rect { x: row.x + 1, width: row.width.saturating_sub(2), ..row }, view, buf);
            }
        }
        self.draw_detail(state, view, below, buf);
        None
    }
}

impl HeadEntries {
    fn draw_detail(&self, state: &State, view: &View<'_>, area: Rect, buf: &mut Buffer) {
        let Some((ix, entry)) = self.here().and_then(|ix| state.entry(ix).map(|e| (ix, e))) else { return };
        let mut sheet = Sheet::new(area.width);
        sheet.text(0, &entry_words(entry), view.theme.accent);
        let age = ago(entry.at, view.now);
        let how = parts::how(crate::round::story::how_seen(entry));
        let seen =
            if matches!(entry.what, What::Saw(_) | What::Unsure(_)) { format!(", {how}") } else { String::new() };
        sheet.text(0, &format!("{}, {}{seen}; {age}", entry.by, parts::when(entry)), view.theme.text);
        if let Some(why) = bar(state, ix, view) {
            sheet.text(0, &format!("It stays: {why}."), view.theme.dim);
        }
        sheet.draw(view, area, buf, &Scroll::default(), None);
    }
}
