//! Choosing the heads of a sample by hand: every head of the lot in the order of the walk; what may not be drawn says why and
//! cannot be chosen. The reason for choosing is part of the record.

use std::collections::BTreeSet;

use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};

use super::moves::{Cursor, MOVES, Scroll, key_lines};
use super::parts::{self, address, count, state};
use super::sheet::Sheet;
use crate::round::entry::What;
use crate::round::layout::HeadIx;
use crate::round::lots::{self, Lot, eligible, refusal, wanted};
use crate::trade::address::AreaId;
use crate::tui::ask::{Confirm, Line};
use crate::tui::chrome::put;
use crate::tui::keys::{Binding, Key, KeyLine, find, lines};
use crate::tui::samples::{Pool, capital, draw_entry};
use crate::tui::screen::{Draft, Effect, Input, Message, Screen, View};
use crate::tui::text;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Action {
    Tick,
    Done,
    Unseen,
    Back,
}

const KEYS: &[Binding<Action>] = &[
    Binding {
        keys: &[Key::Space],
        action: Action::Tick,
        name: "choose",
        help: "choose the head one stands on, or leave it again",
        rank: 0,
    },
    Binding {
        keys: &[Key::Enter],
        action: Action::Done,
        name: "draw these",
        help: "record the chosen heads as drawn, with the reason",
        rank: 1,
    },
    Binding {
        keys: &[Key::Char('n')],
        action: Action::Unseen,
        name: "unseen too",
        help: "whether heads that nobody has looked at in this round may be chosen too",
        rank: 3,
    },
    Binding {
        keys: &[Key::Esc, Key::Char('q')],
        action: Action::Back,
        name: "back",
        help: "back to the lot; nothing is drawn",
        rank: 2,
    },
];

/// Heads being chosen.
pub struct ByHand {
    id: AreaId,
    lot: Option<Lot>,
    chosen: BTreeSet<HeadIx>,
    unseen: bool,
    cursor: Cursor,
}

impl ByHand {
    /// The heads of a lot, none chosen.
    #[must_use]
    pub fn boxed(view: &View<'_>, id: &AreaId) -> Box<dyn Screen> {
        let mut it =
            Self { id: id.clone(), lot: None, chosen: BTreeSet::new(), unseen: false, cursor: Cursor::default() };
        it.collect(view);
        Box::new(it)
    }

    fn collect(&mut self, view: &View<'_>) {
        let Some(state) = state(view) else { return };
        self.lot = lots::lots(state).into_iter().find(|l| l.id == self.id);
        let Some(lot) = &self.lot else { return };
        self.cursor.keep_within(lot.heads.len());
        self.chosen.retain(|h| refusal(state, lot, *h, self.unseen).is_none());
    }

    fn tick(&mut self, view: &View<'_>) -> Vec<Effect> {
        let (Some(state), Some(lot)) = (state(view), &self.lot) else { return Vec::new() };
        let Some(head) = lot.heads.get(self.cursor.at).copied() else { return Vec::new() };
        if let Some(refused) = refusal(state, lot, head, self.unseen) {
            return vec![Effect::Warn(format!("It may not be drawn: {}", refused.words))];
        }
        if !self.chosen.remove(&head) {
            self.chosen.insert(head);
        }
        Vec::new()
    }

    fn done(&self, view: &View<'_>) -> Vec<Effect> {
        let (Some(state), Some(lot)) = (state(view), &self.lot) else { return Vec::new() };
        if self.chosen.is_empty() {
            return vec![Effect::Warn("No head is chosen yet: Space chooses".to_owned())];
        }
        let heads: Vec<HeadIx> = self.chosen.iter().copied().collect();
        let pool = Pool { seed: None, eligible: eligible(state, lot, self.unseen).heads.len(), unseen: self.unseen };
        let Some(drawn) = draw_entry(state, lot, &heads, pool, None) else { return Vec::new() };
        let prompt =
            format!("{} chosen by hand. Why these? It stands in the record.", capital(&count(heads.len(), "head")));
        let check = |t: &str, _: &View<'_>| {
            if t.is_empty() { Err("Write the reason, as in 'the lift reaches only line 3'".to_owned()) } else { Ok(()) }
        };
        let then = move |why: String, _: &View<'_>| {
            let drawn = crate::round::entry::Drawn { note: Some(why), ..drawn.clone() };
            vec![Effect::Record(vec![Draft::from(What::Drawn(Box::new(drawn)))]), Effect::Pop]
        };
        vec![Effect::Push(Line::new("Drawn by hand", prompt, "", Box::new(check), Box::new(then)))]
    }
}

impl Screen for ByHand {
    fn name(&self) -> &'static str {
        "draw by hand"
    }

    fn keys(&self, view: &View<'_>) -> Vec<KeyLine> {
        let open = super::walk_act::closed(view).is_none();
        let any = self.lot.as_ref().is_some_and(|l| !l.heads.is_empty());
        let own = lines(KEYS, |a| match a {
            Action::Tick => any,
            Action::Done => open && !self.chosen.is_empty(),
            Action::Unseen | Action::Back => true,
        });
        own.into_iter().chain(key_lines(any)).collect()
    }

    fn update(&mut self, input: &Input, view: &View<'_>) -> Vec<Effect> {
        let Input::Key(key) = input else { return Vec::new() };
        match find(KEYS, *key) {
            Some(Action::Tick) => return self.tick(view),
            Some(Action::Done) => return self.done(view),
            Some(Action::Unseen) => {
                self.unseen = !self.unseen;
                self.collect(view);
            }
            Some(Action::Back) if self.chosen.is_empty() => return vec![Effect::Pop],
            Some(Action::Back) => {
                let question = format!(
                    "{} chosen and not recorded. Leave, and lose that?",
                    capital(&count(self.chosen.len(), "head"))
                );
                return vec![Effect::Push(Confirm::new("Leave?", question, Box::new(|(), _| vec![Effect::Pop])))];
            }
            None => {
                if let (Some(by), Some(lot)) = (find(MOVES, *key), &self.lot) {
                    self.cursor.step(by, lot.heads.len());
                }
            }
        }
        Vec::new()
    }

    fn hear(&mut self, _: &Message, view: &View<'_>) {
        self.collect(view);
    }

    fn draw(&self, view: &View<'_>, area: Rect, buf: &mut Buffer) -> Option<Position> {
        let (state, lot) = (state(view)?, self.lot.as_ref()?);
        let title =
            format!("Choose by hand: {}; {} chosen, {} asked for", lot.id, self.chosen.len(), wanted(state, lot).heads);
        let rest = parts::framed(&title, view, area, buf);
        let (list, below) = parts::split(rest, 3);
        for (n, at) in self.cursor.window(lot.heads.len(), usize::from(list.height)).enumerate() {
            let (Ok(n), Some(head)) = (u16::try_from(n), lot.heads.get(at).copied()) else { break };
            let row = Rect { y: list.y + n, height: 1, ..list };
            let refused = refusal(state, lot, head, self.unseen);
            let (mark, style) = match (&refused, self.chosen.contains(&head)) {
                (Some(_), _) => (view.glyphs.cross, view.theme.dim),
                (None, true) => (view.glyphs.check, view.theme.good),
                (None, false) => (view.glyphs.open, view.theme.text),
            };
            let column = put(buf, row, 3, mark, style, view);
            let column =
                put(buf, row, column + 1, &text::pad(&address(state, head), 14, view.glyphs.ellipsis), style, view);
            let kind =
                state.layout().head(head).and_then(|h| state.register().kind(h.kind)).map_or("", |k| k.id.as_str());
            let column = put(buf, row, column + 1, &text::pad(kind, 16, view.glyphs.ellipsis), view.theme.dim, view);
            if let Some(refused) = &refused {
                put(buf, row, column + 1, &refused.words, view.theme.dim, view);
            }
            if at == self.cursor.at {
                put(buf, row, 1, view.glyphs.point_right, view.theme.accent, view);
                parts::select(row, view, buf);
            }
        }
        if below.height > 0
            && let Some(head) = lot.heads.get(self.cursor.at).copied()
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
            let mut sheet = Sheet::new(below.width);
            match refusal(state, lot, head, self.unseen) {
                Some(r) => {
                    let clause = if r.clause.is_empty() { String::new() } else { format!(" ({})", r.clause) };
                    sheet.text(
                        0,
                        &format!("{} may not be drawn: {}{clause}.", address(state, head), r.words),
                        view.theme.warning,
                    );
                }
                None => {
                    sheet.text(0, &format!("{} may be drawn.", address(state, head)), view.theme.text);
                }
            }
            sheet.draw(view, below, buf, &Scroll::default(), None);
        }
        None
    }
}
