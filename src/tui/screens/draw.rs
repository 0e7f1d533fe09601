//! Drawing a sample by chance: how many heads may be drawn, which may not and why, how many are drawn, the seed. Which heads
//! they are shows once it is recorded: nobody tries seeds until the heads suit.

use std::collections::BTreeMap;

use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};

use super::cabinet_forms::gated;
use super::moves::{MOVES, Scroll, key_lines};
use super::parts::{self, address, count, state};
use super::sheet::Sheet;
use crate::round::entry::What;
use crate::round::lots::{self, Eligible, Lot, Why, eligible, wanted};
use crate::round::state::State;
use crate::trade::address::AreaId;
use crate::tui::ask::{Confirm, Line};
use crate::tui::keys::{Binding, Key, KeyLine, find, lines};
use crate::tui::samples::{Pool, capital, draw_entry, wide};
use crate::tui::screen::{Draft, Effect, Input, Message, Screen, View};

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Action {
    Draw,
    More,
    Fewer,
    Unseen,
    Seed,
    Back,
}

const KEYS: &[Binding<Action>] = &[
    Binding {
        keys: &[Key::Enter],
        action: Action::Draw,
        name: "draw",
        help: "draw so many heads and record them, after a question",
        rank: 0,
    },
    Binding { keys: &[Key::Right], action: Action::More, name: "one more", help: "draw one head more", rank: 2 },
    Binding {
        keys: &[Key::Left],
        action: Action::Fewer,
        name: "one fewer",
        help: "draw one head fewer, never fewer than are asked for",
        rank: 3,
    },
    Binding {
        keys: &[Key::Char('n')],
        action: Action::Unseen,
        name: "unseen too",
        help: "whether heads that nobody has looked at in this round may be drawn too",
        rank: 4,
    },
    Binding { keys: &[Key::Char('s')], action: Action::Seed, name: "seed", help: "write the seed by hand", rank: 5 },
    Binding {
        keys: &[Key::Esc, Key::Char('q')],
        action: Action::Back,
        name: "back",
        help: "back to the lot; nothing is drawn",
        rank: 1,
    },
];

/// A draw being made.
pub struct DrawScreen {
    id: AreaId,
    lot: Option<Lot>,
    found: Eligible,
    unseen: bool,
    seed: Option<u32>,
    /// Whether the seed was asked for by hand.
    asked: bool,
    by_hand: bool,
    least: u32,
    want: u32,
    scroll: Scroll,
}

impl DrawScreen {
    /// A draw for a lot; the seed comes from chance, as a message.
    #[must_use]
    pub fn boxed(view: &View<'_>, id: &AreaId) -> Box<dyn Screen> {
        let mut it = Self {
            id: id.clone(),
            lot: None,
            found: Eligible::default(),
            unseen: false,
            seed: None,
            asked: false,
            by_hand: false,
            least: 1,
            want: 0,
            scroll: Scroll::default(),
        };
        it.collect(view);
        Box::new(it)
    }

    fn collect(&mut self, view: &View<'_>) {
        let Some(state) = state(view) else { return };
        self.lot = lots::lots(state).into_iter().find(|l| l.id == self.id);
        let Some(lot) = &self.lot else { return };
        self.found = eligible(state, lot, self.unseen);
        self.least = wanted(state, lot).heads.max(1);
        self.want = self.want.max(self.least);
    }

    fn draw_now(&self, view: &View<'_>) -> Vec<Effect> {
        let (Some(state), Some(lot), Some(seed)) = (state(view), &self.lot, self.seed) else { return Vec::new() };
        let all = self.found.heads.len();
        if all == 0 {
            return vec![Effect::Warn("No head of the lot may be drawn: the reasons stand below".to_owned())];
        }
        if let Some(taken) = lot.seed_taken(state, seed) {
            return vec![Effect::Warn(format!("{}; s writes another", crate::tui::samples::capital(&taken)))];
        }
        let choice = lots::draw(state, &self.found.heads, &wanted(state, lot).kinds, self.want, seed);
        let pool = Pool { seed: Some(seed), eligible: all, unseen: self.unseen };
        let Some(drawn) = draw_entry(state, lot, &choice.heads, pool, None) else { return Vec::new() };
        let n = drawn.picks.len();
        let question = format!(
            "Draw {} by chance from {all} that may be drawn, with seed {seed}? It is recorded at once; for another draw this one is taken back first.",
            count(n, "head")
        );
        gated(view, move |_| {
            let drawn = drawn.clone();
            let then = move |(), _: &View<'_>| {
                let told = format!("{} drawn: take them down and put spares in their places", count(n, "head"));
                vec![
                    Effect::Record(vec![Draft::from(What::Drawn(Box::new(drawn.clone())))]),
                    Effect::Pop,
                    Effect::Tell(told),
                ]
            };
            vec![Effect::Push(Confirm::new("Draw the sample?", question.clone(), Box::new(then)))]
        })
    }
}

/// Asks for a seed.
fn ask_seed() -> Box<dyn Screen> {
    let read =
        |t: &str| t.trim().parse::<u32>().map_err(|_| "A seed is a whole number from 0 to 4294967295".to_owned());
    let check = move |t: &str, _: &View<'_>| read(t).map(|_| ());
    let then =
        move |t: String, _: &View<'_>| read(&t).map(|n| vec![Effect::Say(Message::Chance(n))]).unwrap_or_default();
    Line::new("Seed", "The same seed, lot and heads give the same draw.", "", Box::new(check), Box::new(then))
}

impl Screen for DrawScreen {
    fn name(&self) -> &'static str {
        "draw"
    }

    fn keys(&self, view: &View<'_>) -> Vec<KeyLine> {
        let open = super::walk_act::closed(view).is_none();
        let own = lines(KEYS, |a| match a {
            Action::Draw => open && self.seed.is_some() && !self.found.heads.is_empty(),
            Action::Fewer => self.want > self.least,
            Action::More => wide(self.want) < self.found.heads.len(),
            Action::Back | Action::Seed | Action::Unseen => true,
        });
        own.into_iter().chain(key_lines(self.scroll.is_longer())).collect()
    }

    fn update(&mut self, input: &Input, view: &View<'_>) -> Vec<Effect> {
        let Input::Key(key) = input else { return Vec::new() };
        match find(KEYS, *key) {
            Some(Action::Back) => return vec![Effect::Pop],
            Some(Action::Draw) => return self.draw_now(view),
            Some(Action::More) if wide(self.want) < self.found.heads.len() => self.want += 1,
            Some(Action::More) => return vec![Effect::Warn("No more heads may be drawn".to_owned())],
            Some(Action::Fewer) if self.want > self.least => self.want -= 1,
            Some(Action::Fewer) => return vec![Effect::Warn("The rule set asks for no fewer".to_owned())],
            Some(Action::Unseen) => {
                self.unseen = !self.unseen;
                self.collect(view);
            }
            Some(Action::Seed) => {
                self.asked = true;
                return vec![Effect::Push(ask_seed())];
            }
            None => {
                if let Some(by) = find(MOVES, *key) {
                    self.scroll.step(by);
                }
            }
        }
        Vec::new()
    }

    fn hear(&mut self, message: &Message, view: &View<'_>) {
        if let Message::Chance(seed) = message {
            self.seed = Some(*seed);
            self.by_hand = self.asked;
        }
        self.collect(view);
    }

    fn draw(&self, view: &View<'_>, area: Rect, buf: &mut Buffer) -> Option<Position> {
        let state = state(view)?;
        let lot = self.lot.as_ref()?;
        let rest = parts::framed(&format!("Draw a sample by chance: {}", lot.id), view, area, buf);
        self.sheet(state, lot, view, rest.width).draw(view, rest, buf, &self.scroll, None);
        None
    }
}

impl DrawScreen {
    fn sheet(&self, state: &State, lot: &Lot, view: &View<'_>, width: u16) -> Sheet {
        let mut sheet = Sheet::new(width);
        let (may, not) = (self.found.heads.len(), self.found.refused.len());
        let fact = |sheet: &mut Sheet, name: &str, words: &str, style| {
            sheet.item(0, vec![(format!("{name:<10}"), view.theme.dim)], words, style);
        };
        let style = if may == 0 { view.theme.error } else { view.theme.text };
        fact(
            &mut sheet,
            "Lot",
            &format!("{}; {may} may be drawn, {not} may not", count(lot.heads.len(), "head")),
            style,
        );
        let asked = format!(
            "{} {} {}   {}",
            view.glyphs.left,
            count(wide(self.want), "head"),
            view.glyphs.right,
            lot.outcome.asked.because
        );
        fact(&mut sheet, "Draw", &asked, view.theme.accent);
        let seed = self.seed.map_or_else(|| "none yet".to_owned(), |s| s.to_string());
        let from = if self.by_hand { "written by hand" } else { "from chance" };
        fact(
            &mut sheet,
            "Seed",
            &format!("{seed}, {from}; recorded, so that anybody can draw it again"),
            view.theme.text,
        );
        let (words, style) = if self.unseen {
            (
                "may be drawn: look at each before it is taken down; one with a defect says nothing of the others",
                view.theme.warning,
            )
        } else {
            ("may not be drawn", view.theme.text)
        };
        fact(&mut sheet, "Unseen", words, style);
        if wanted(state, lot).heads == 0 {
            fact(&mut sheet, "Already", "as many as are asked for are drawn", view.theme.good);
        }
        let kinds = wanted(state, lot).kinds;
        let names: Vec<&str> = kinds.iter().filter_map(|k| state.register().kind(*k)).map(|k| k.id.as_str()).collect();
        if !names.is_empty() {
            fact(&mut sheet, "Kinds", &format!("each must stand in the sample: {}", names.join(", ")), view.theme.text);
        }
        let there = |k| self.found.heads.iter().any(|h| state.layout().head(*h).is_some_and(|h| h.kind == k));
        for kind in kinds.iter().filter(|k| !there(**k)).filter_map(|k| state.register().kind(*k)) {
            let words = format!("no head of {} may be drawn: the sample cannot speak for it", kind.id);
            sheet.item(0, vec![(format!("{} ", view.glyphs.warn), view.theme.error)], &words, view.theme.error);
        }
        if wide(self.want) > may && may > 0 {
            let words = format!("only {} may be drawn; the rest is drawn when more may be", count(may, "head"));
            sheet.item(0, vec![(format!("{} ", view.glyphs.warn), view.theme.warning)], &words, view.theme.warning);
        }
        self.refusals(state, view, &mut sheet);
        sheet
    }

    fn refusals(&self, state: &State, view: &View<'_>, sheet: &mut Sheet) {
        let mut by: BTreeMap<Why, Vec<&lots::Refused>> = BTreeMap::new();
        for refused in &self.found.refused {
            by.entry(refused.why).or_default().push(refused);
        }
        if by.is_empty() {
            return;
        }
        sheet.heading("May not be drawn", view);
        for list in by.values() {
            let Some(first) = list.first() else { continue };
            let clause = if first.clause.is_empty() { String::new() } else { format!(" ({})", first.clause) };
            let lead = vec![(format!("{} {}  ", view.glyphs.cross, count(list.len(), "head")), view.theme.warning)];
            // Heads of one reason mostly share its words; those of a defect differ.
            let same = list.iter().all(|r| r.words == first.words);
            let words = if same { first.words.clone() } else { first.why.as_str().replace('-', " ") };
            sheet.item(0, lead, &format!("{}{clause}", capital(&words)), view.theme.text);
            if same {
                let heads: Vec<_> = list.iter().map(|r| r.head).collect();
                let shown: Vec<String> =
                    crate::round::act::ranges(state, &heads).iter().map(ToString::to_string).collect();
                sheet.text(4, &shown.join(", "), view.theme.dim);
            } else {
                for refused in list {
                    sheet.text(4, &format!("{}: {}", address(state, refused.head), refused.words), view.theme.dim);
                }
            }
        }
    }
}
